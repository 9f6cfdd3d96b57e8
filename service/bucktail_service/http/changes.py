"""`GET` and `POST /v1/editions/{name}/changes/{other}`."""

from __future__ import annotations

import io
from typing import Any

from flask import Response, current_app, request

from bucktail_service.answering import question
from bucktail_service.asking.changes import answer_changes, changes_csv
from bucktail_service.asking.editions import DEFAULT
from bucktail_service.asking.moves import answer_moves, moves_csv
from bucktail_service.batch.past import FORMATS, MOST_BYTES, MOST_ROWS, TooManyRows, read_past
from bucktail_service.http.answers import answer_response, chosen_format, json_writer, text_writer
from bucktail_service.http.ask import responses
from bucktail_service.http.operation import operation
from bucktail_service.http.problems import problem_response, refuse
from bucktail_service.http.requests import FORMAT_PARAMETER, query_fields, read_body
from bucktail_service.schemas.changes import ChangesAnswer, MovesAnswer
from bucktail_service.schemas.plain import EDITION_PATTERN
from bucktail_service.text.changes import changes_text
from bucktail_service.text.moves import moves_text
from bucktail_tables.load import load_edition

_CHANGES = {"json": json_writer, "csv": text_writer(changes_csv), "text": text_writer(changes_text)}
_MOVES = {"json": json_writer, "csv": text_writer(moves_csv), "text": text_writer(moves_text)}
_OFFERS = "application/json, text/csv or text/plain"
_PATH = "/v1/editions/<name>/changes/<other>"


def _edition_parameter(name: str, told: str) -> dict[str, Any]:
    return {
        "name": name,
        "in": "path",
        "required": True,
        "description": told,
        "schema": {"type": "string", "pattern": f"^{EDITION_PATTERN}$"},
        "example": "2026.1",
    }


_PARAMETERS = (
    _edition_parameter("name", "The edition before."),
    _edition_parameter("other", "The edition after."),
    FORMAT_PARAMETER,
)


def _bodies() -> dict[str, Any]:
    header = ",".join(question("pick").required)
    rows = {
        "type": "string",
        "description": f"A header and at most {MOST_ROWS} rows, as a batch of picks reads them; edition is ignored.",
        "pattern": rf"^{header}(?:\r?\n|$)",
    }
    lines = {"type": "string", "description": "A question on each line.", "pattern": r"[^ \t\r\n]"}
    example = f"{header}\n" + ",".join(str(question("pick").example[name]) for name in question("pick").required)
    return {
        "required": True,
        "content": {
            "text/csv": {"schema": rows, "example": f"{example}\n"},
            "application/x-ndjson": {"schema": lines},
        },
    }


@operation(
    "get",
    _PATH,
    operation_id="changes",
    parameters=_PARAMETERS,
    responses={
        **responses(ChangesAnswer, "Rows added, removed and changed, cell by cell."),
        304: {"description": "The answer the reader has is still right."},
    },
    problems=(404, 406, 422, 500),
)
def get_changes(name: str, other: str) -> Response:
    """Tell what differs from one edition to another."""
    asked = query_fields(allowed=("format",))
    chosen = chosen_format(asked.get("format"), _CHANGES)
    if chosen is None:
        return refuse(406, "Not acceptable", f"offers {_OFFERS}", "Accept", _OFFERS)
    answer = answer_changes(name, other)
    return answer_response(answer, _CHANGES, chosen, _pinned(name, other), announced=False)


@operation(
    "post",
    _PATH,
    operation_id="moves",
    parameters=_PARAMETERS,
    request=_bodies(),
    responses=responses(MovesAnswer, "Whose answers move, by how much, and the changed rows behind it."),
    problems=(404, 406, 413, 415, 422, 500),
)
def post_changes(name: str, other: str) -> Response:
    """Tell whose answers move from one edition to another, given past questions.

    Each row is asked in both editions. A bad row is a problem in its place; the others go on.
    """
    asked = query_fields(allowed=("format",))
    reads = FORMATS.get(request.mimetype)
    charset = request.mimetype_params.get("charset", "utf-8").lower()
    if reads is None or charset not in ("utf-8", "utf8", "us-ascii"):
        told = f"the body is {request.content_type or 'of no type'}; {' or '.join(FORMATS)} in UTF-8 is needed"
        return refuse(415, "Unsupported media type", told, "Content-Type", " or ".join(FORMATS))
    chosen = chosen_format(asked.get("format"), _MOVES)
    if chosen is None:
        return refuse(406, "Not acceptable", f"offers {_OFFERS}", "Accept", _OFFERS)
    body = read_body(min(MOST_BYTES, current_app.config["BUCKTAIL_SETTINGS"].max_batch_body))
    try:
        past = read_past(io.BytesIO(body), reads)
    except TooManyRows as error:
        return problem_response(error.problem, 413)
    return answer_response(answer_moves(name, other, past), _MOVES, chosen, None)


def _pinned(*names: str) -> str | None:
    """Return the edition that says how long the answer may be kept: of the two, the one that may change sooner."""
    if DEFAULT in names:
        return None
    return max((load_edition(name) for name in names), key=lambda edition: (edition.is_house, edition.is_draft)).name
