"""`GET` and `POST /v1/pick`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from bucktail_service.answering import answer_pick
from bucktail_service.engine.lengths import stack_of_query
from bucktail_service.flat import pick_csv
from bucktail_service.http.answers import answer_response, chosen_format, json_writer, text_writer
from bucktail_service.http.openapi import query_parameters, question_body
from bucktail_service.http.operation import operation
from bucktail_service.http.problems import refuse
from bucktail_service.http.requests import FORMAT_PARAMETER, json_object, query_fields
from bucktail_service.schemas.answers import PickAnswer
from bucktail_service.text.pick import pick_text

WRITERS = {"json": json_writer, "csv": text_writer(pick_csv), "text": text_writer(pick_text)}
EXAMPLE = "application/json, text/csv or text/plain"
RESPONSES = {
    200: {
        "description": "The fastener, with hole, spacing, formed head, strength, mass, cautions and sources.",
        "content": {
            "application/json": {"schema": PickAnswer},
            "text/csv": {"schema": {"type": "string"}},
            "text/plain": {"schema": {"type": "string"}},
        },
    }
}


@operation(
    "get",
    "/v1/pick",
    operation_id="pick",
    parameters=(*query_parameters(), FORMAT_PARAMETER),
    responses={**RESPONSES, 304: {"description": "The answer the reader has is still right."}},
    problems=(404, 406, 422, 500),
)
def get_pick() -> Response:
    """Pick the fastener for a stack.

    A + in a query is a space to the standard: write %2B between layers. Plain lengths parted by spaces are
    read as layers too, since that is what a forgotten %2B leaves.
    """
    payload = query_fields()
    stack = payload.get("stack")
    if stack is not None:
        payload["stack"] = stack_of_query(stack)
    return _answered(payload, payload.pop("format", None))


@operation(
    "post",
    "/v1/pick",
    operation_id="pickByBody",
    parameters=(FORMAT_PARAMETER,),
    request=question_body(),
    responses=RESPONSES,
    problems=(400, 404, 406, 413, 415, 422, 500),
)
def post_pick() -> Response:
    """Pick the fastener for a stack, asked in JSON."""
    asked = query_fields(allowed=("format",))
    body = json_object()
    return body if isinstance(body, Response) else _answered(body, asked.get("format"))


def _answered(payload: Mapping[str, Any], asked: str | None) -> Response:
    chosen = chosen_format(asked, WRITERS)
    if chosen is None:
        return refuse(406, "Not acceptable", "offers application/json, text/csv and text/plain", "Accept", EXAMPLE)
    return answer_response(answer_pick(payload), WRITERS, chosen, payload.get("edition"))
