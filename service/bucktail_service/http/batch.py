"""`POST /v1/batch/{question}`, a route for each question."""

from __future__ import annotations

from collections.abc import Iterator
from tempfile import SpooledTemporaryFile
from typing import Any, BinaryIO, cast

from flask import Response, current_app, request

from bucktail_service.answering import QUESTIONS
from bucktail_service.answering import question as find_question
from bucktail_service.asking.question import Question
from bucktail_service.batch.columns import csv_line
from bucktail_service.batch.run import Batch
from bucktail_service.engine.lengths import shown
from bucktail_service.http.answers import best_accepted
from bucktail_service.http.operation import operation
from bucktail_service.http.problems import refuse
from bucktail_service.http.requests import body_parts, query_fields
from bucktail_service.problems import BadFields, FieldError

MEDIA_TYPES = {"csv": "text/csv", "ndjson": "application/x-ndjson", "json": "application/json"}
READS = {media_type: name for name, media_type in MEDIA_TYPES.items()}
_SPOOL_IN_MEMORY = 1024 * 1024

_LINES: dict[str, Any] = {
    "type": "string",
    "description": "One question on each line, as the question's own route takes it in JSON.",
    "pattern": r"[^ \t\r\n]",
}

_BATCH_FORMAT: dict[str, Any] = {
    "name": "format",
    "in": "query",
    "required": False,
    "description": "Format of the results; goes before the Accept header. The body's own format when neither says.",
    "schema": {"type": "string", "enum": list(MEDIA_TYPES)},
}
_RESULTS = {
    "type": "array",
    "items": {
        "type": "object",
        "required": ["row"],
        "properties": {"row": {"type": "integer"}, "carried": {"type": "object"}},
    },
}
_CONTENT = {
    "text/csv": {"schema": {"type": "string"}},
    "application/x-ndjson": {"schema": {"type": "string"}},
    "application/json": {"schema": _RESULTS},
}
_ARRAY = {"type": "array", "description": "Questions; an item that is none is a problem in its place."}


def _csv(question: Question) -> dict[str, Any]:
    """Return what a CSV body of a question looks like, its needed columns first."""
    header = ",".join(question.required)
    more = "".join(f",{name}" for name in _more_columns(question))
    return {
        "type": "string",
        "description": "A header and rows. Columns may stand in any order; others than the question's are carried.",
        "pattern": rf"^{header}(?:{more})?(?:\r?\n|$)" if more else rf"^{header}(?:\r?\n|$)",
    }


def _more_columns(question: Question) -> list[str]:
    """Return the fields of the question's example that are not needed and fit a cell."""
    return [
        name
        for name, value in question.example.items()
        if name not in question.required and isinstance(value, str | int | float)
    ]


def _csv_example(question: Question) -> str:
    names = [*question.required, *_more_columns(question)]
    return f"{','.join(names)}\n{csv_line([str(question.example[name]) for name in names])}\n"


def add_batch(name: str) -> None:
    """Put down `POST /v1/batch/<name>`."""
    question = find_question(name)

    def post() -> Response:
        return post_batch(name)

    post.__doc__ = f"""Ask `{name}` many times, from a file.

    Results stream in the order of the rows. A bad row is a problem in its place; the others go on.
    """
    operation(
        "post",
        f"/v1/batch/{name}",
        operation_id=f"batch{name.capitalize()}",
        parameters=(_BATCH_FORMAT,),
        request={
            "required": True,
            "content": {
                "text/csv": {"schema": _csv(question), "example": _csv_example(question)},
                "application/x-ndjson": {"schema": _LINES},
                "application/json": {"schema": _ARRAY},
            },
        },
        responses={200: {"description": "One result per row, in order: an answer or a problem.", "content": _CONTENT}},
        problems=(404, 406, 413, 415, 422, 500),
    )(post)


def post_batch(name: str) -> Response:
    """Return the results of a file of questions, streamed."""
    asked = query_fields(allowed=("format",))
    reads = READS.get(request.mimetype)
    charset = request.mimetype_params.get("charset", "utf-8").lower()
    if reads is None or charset not in ("utf-8", "utf8", "us-ascii"):
        detail = f"the body is {request.content_type or 'of no type'}; text/csv, NDJSON or JSON in UTF-8 is needed"
        return refuse(
            415, "Unsupported media type", detail, "Content-Type", "text/csv, application/x-ndjson or application/json"
        )
    writes = _writes(asked.get("format"), reads)
    if writes is None:
        detail = f"offers {', '.join(MEDIA_TYPES.values())}"
        return refuse(406, "Not acceptable", detail, "Accept", "text/csv")
    # the whole body is taken before the first result is written: a sender that does not read cannot block us
    spool = cast("BinaryIO", SpooledTemporaryFile(max_size=_SPOOL_IN_MEMORY))  # noqa: SIM115  closed with the response
    try:
        for part in body_parts(current_app.config["BUCKTAIL_SETTINGS"].max_batch_body):
            spool.write(part)
        spool.seek(0)
        batch = Batch(name, spool, reads, writes)
    except BaseException:
        spool.close()
        raise
    response = Response(_streamed(batch, spool), mimetype=MEDIA_TYPES[writes])
    response.headers["Cache-Control"] = "no-store"
    response.headers["Vary"] = "Accept"
    response.call_on_close(spool.close)
    return response


def _streamed(batch: Batch, spool: BinaryIO) -> Iterator[bytes]:
    with spool:
        yield from batch


def _writes(asked: str | None, reads: str) -> str | None:
    if asked is not None:
        if asked not in MEDIA_TYPES:
            raise BadFields([FieldError("format", f"{shown(asked)} is not one of {', '.join(MEDIA_TYPES)}", "csv")])
        return asked
    accept = request.headers.get("Accept")
    if not accept or accept == "*/*":
        return reads
    ordered = [MEDIA_TYPES[reads], *(media for name, media in MEDIA_TYPES.items() if name != reads)]
    best = best_accepted(ordered)
    return READS.get(best) if best else None


for _name in QUESTIONS:
    if find_question(_name).in_batch:
        add_batch(_name)
