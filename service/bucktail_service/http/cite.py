"""`GET /v1/cite`."""

from __future__ import annotations

from flask import Response

from bucktail_service.asking.cite import (
    LINK_EXAMPLE,
    LINK_PATTERN,
    LONGEST_LINK,
    answer_cite,
    cite_csv,
    edition_of,
)
from bucktail_service.http.answers import answer_response, chosen_format, json_writer, text_writer
from bucktail_service.http.ask import responses
from bucktail_service.http.operation import operation
from bucktail_service.http.problems import refuse
from bucktail_service.http.requests import FORMAT_PARAMETER, query_fields
from bucktail_service.problems import BadFields, FieldError
from bucktail_service.schemas.cite import CiteAnswer
from bucktail_service.text.cite import cite_text

_WRITERS = {"json": json_writer, "csv": text_writer(cite_csv), "text": text_writer(cite_text)}
_LINK = {
    "name": "link",
    "in": "query",
    "required": True,
    "description": "The link of a pick or a part answer, percent-encoded: its & and + would be this request's own.",
    "schema": {"type": "string", "pattern": f"^{LINK_PATTERN}$", "maxLength": LONGEST_LINK},
    "example": LINK_EXAMPLE,
}


@operation(
    "get",
    "/v1/cite",
    operation_id="cite",
    parameters=(_LINK, FORMAT_PARAMETER),
    responses={
        **responses(CiteAnswer, "Every figure of the answer, with its value, document, place and basis."),
        304: {"description": "The answer the reader has is still right."},
    },
    problems=(404, 406, 422, 500),
)
def get_cite() -> Response:
    """Cite every figure of an answer, given its link."""
    asked = query_fields(allowed=("link", "format"))
    if "link" not in asked:
        raise BadFields([FieldError("link", "is missing", LINK_EXAMPLE)])
    chosen = chosen_format(asked.get("format"), _WRITERS)
    if chosen is None:
        offers = "application/json, text/csv or text/plain"
        return refuse(406, "Not acceptable", f"offers {offers}", "Accept", offers)
    return answer_response(answer_cite(asked["link"]), _WRITERS, chosen, edition_of(asked["link"]))
