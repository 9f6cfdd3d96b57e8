"""`GET /v1/parts/{number}`."""

from __future__ import annotations

from flask import Response

from bucktail_service.asking.part import answer_part, part_csv
from bucktail_service.http.answers import answer_response, chosen_format, json_writer, text_writer
from bucktail_service.http.operation import operation
from bucktail_service.http.problems import refuse
from bucktail_service.http.requests import EDITION_PARAMETER, FORMAT_PARAMETER, query_fields
from bucktail_service.http.superseded import HEADERS
from bucktail_service.schemas.answers import PartAnswer
from bucktail_service.text.part import part_text

PART_WRITERS = {"json": json_writer, "csv": text_writer(part_csv), "text": text_writer(part_text)}
EXAMPLE = "application/json, text/csv or text/plain"
OFFERS = "offers application/json, text/csv and text/plain"
_TEXTS = {"text/csv": {"schema": {"type": "string"}}, "text/plain": {"schema": {"type": "string"}}}
NOT_MODIFIED = {304: {"description": "The answer the reader has is still right."}}


@operation(
    "get",
    "/v1/parts/<path:number>",
    operation_id="part",
    parameters=(
        {
            "name": "number",
            "in": "path",
            "required": True,
            "description": "A standard part number or its stem.",
            "schema": {"type": "string", "minLength": 1},
            "example": "MS20470AD4-4",
        },
        EDITION_PARAMETER,
        FORMAT_PARAMETER,
    ),
    responses={
        200: {
            "description": "What the number means.",
            "headers": HEADERS,
            "content": {"application/json": {"schema": PartAnswer}, **_TEXTS},
        },
        **NOT_MODIFIED,
    },
    problems=(404, 406, 422, 500),
)
def get_part(number: str) -> Response:
    """Tell what a part number means, field by field."""
    asked = query_fields(allowed=("edition", "format"))
    chosen = chosen_format(asked.get("format"), PART_WRITERS)
    if chosen is None:
        return refuse(406, "Not acceptable", OFFERS, "Accept", EXAMPLE)
    edition = asked.get("edition")
    return answer_response(answer_part(number, edition), PART_WRITERS, chosen, edition)
