"""`POST /v1/order`: in JSON with price list and stock, or the lines alone as CSV."""

from __future__ import annotations

import io
from typing import Any

from flask import Response, current_app, request

from bucktail_service.answering import question
from bucktail_service.asking.order import order_csv
from bucktail_service.asking.order_sheets import order_xlsx
from bucktail_service.batch.order_files import lines_of_csv
from bucktail_service.http.answers import Writer, json_writer, text_writer
from bucktail_service.http.ask import PROBLEMS, answered, responses
from bucktail_service.http.openapi import question_body, question_property
from bucktail_service.http.operation import operation
from bucktail_service.http.problems import refuse
from bucktail_service.http.requests import FORMAT_PARAMETER, json_object, query_fields, read_body
from bucktail_service.schemas.order import ORDER
from bucktail_service.schemas.order_answer import OrderAnswer
from bucktail_service.text.order import order_text
from bucktail_service.workbook import MEDIA_TYPE

OPTIONS = ("spares", "pack", "practice", "edition")
_READS = "application/json, or text/csv in UTF-8"
_TOLD = "One line for each part number, the rejected lines, and totals that reconcile."
_WRITERS: dict[str, Writer] = {
    "json": json_writer,
    "csv": text_writer(order_csv),
    "text": text_writer(order_text),
    "xlsx": order_xlsx,
}
_CSV: dict[str, Any] = {
    "type": "string",
    "description": "The lines: a header and rows, with a column `quantity` and those of a pick question, "
    "or `part_number`. Other columns are carried.",
    "pattern": r"^diameter,alloy,head,stack,quantity(?:\r?\n|$)",
}
_CSV_EXAMPLE = "diameter,alloy,head,stack,quantity\n1/8,AD,universal,0.040+0.040,24\n"


def _option(name: str) -> dict[str, Any]:
    field = ORDER.fields[name]
    schema = question_property(field)
    texts = [entry for entry in schema.get("oneOf", ()) if entry["type"] == "string"]
    return {
        "name": name,
        "in": "query",
        "required": False,
        "description": f"{field.metadata['description']} Goes before the same field of a JSON body.",
        "schema": texts[0] if texts else schema,
    }


def _request() -> dict[str, Any]:
    body = question_body(ORDER, question("order").example)
    body["content"]["text/csv"] = {"schema": _CSV, "example": _CSV_EXAMPLE}
    return body


def _responses() -> dict[int, dict[str, Any]]:
    told = responses(OrderAnswer, _TOLD)
    told[200]["content"][MEDIA_TYPE] = {"schema": {"type": "string", "format": "binary"}}
    return told


@operation(
    "post",
    "/v1/order",
    operation_id="order",
    parameters=(
        *map(_option, OPTIONS),
        {**FORMAT_PARAMETER, "schema": {"type": "string", "enum": list(_WRITERS)}},
    ),
    request=_request(),
    responses=_responses(),
    problems=PROBLEMS,
)
def post_order() -> Response:
    """Gather many lines into an order.

    Each line is picked as the pick question picks it. A line that cannot be understood is rejected with its row and
    reason, and the others go on.
    """
    asked = query_fields(allowed=("format", *OPTIONS))
    body = _lines() if request.mimetype == "text/csv" else json_object(_limit(), _READS)
    if isinstance(body, Response):
        return body
    options = {name: asked[name] for name in OPTIONS if name in asked}
    response = answered("order", {**body, **options}, _WRITERS, asked.get("format"))
    if response.mimetype == MEDIA_TYPE:
        response.headers["Content-Disposition"] = 'attachment; filename="order.xlsx"'
    return response


def _limit() -> int:
    limit: int = current_app.config["BUCKTAIL_SETTINGS"].max_order_body
    return limit


def _lines() -> dict[str, Any] | Response:
    charset = request.mimetype_params.get("charset", "utf-8").lower()
    if charset not in ("utf-8", "utf8", "us-ascii"):
        detail = f"the body is {request.content_type}; {_READS} is needed"
        return refuse(415, "Unsupported media type", detail, "Content-Type", "text/csv")
    return {"lines": lines_of_csv(io.BytesIO(read_body(_limit())))}
