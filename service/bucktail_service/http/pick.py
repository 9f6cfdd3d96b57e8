"""`GET` and `POST /v1/pick`."""

from __future__ import annotations

from flask import Response

from bucktail_service.engine.lengths import stack_of_query
from bucktail_service.http.ask import add_post, answered, responses, writers
from bucktail_service.http.openapi import query_parameters
from bucktail_service.http.operation import operation
from bucktail_service.http.requests import FORMAT_PARAMETER, query_fields
from bucktail_service.schemas.answers import PickAnswer
from bucktail_service.schemas.questions import PICK
from bucktail_service.text.pick import pick_text

_WRITERS = writers("pick", pick_text)
_TOLD = "The fastener, with hole, spacing, formed head, strength, mass, cautions and sources."


@operation(
    "get",
    "/v1/pick",
    operation_id="pick",
    parameters=(*query_parameters(), FORMAT_PARAMETER),
    responses={
        **responses(PickAnswer, _TOLD),
        304: {"description": "The answer the reader has is still right."},
    },
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
    return answered("pick", payload, _WRITERS, payload.pop("format", None))


add_post(
    "pick",
    takes=PICK,
    gives=PickAnswer,
    as_text=pick_text,
    told="Pick the fastener for a stack, asked in JSON.",
    operation_id="pickByBody",
)
