"""One decorator puts a route on the blueprint and down for the OpenAPI document, so that the two cannot part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from flask import Blueprint, Response

Handler = Callable[..., Response]


@dataclass(frozen=True, slots=True)
class Operation:
    """A route as the document shows it."""

    method: str
    path: str
    operation_id: str
    summary: str
    description: str
    parameters: tuple[dict[str, Any], ...] = ()
    request: dict[str, Any] | None = None
    responses: dict[int, dict[str, Any]] = field(default_factory=dict)
    problems: tuple[int, ...] = ()


OPERATIONS: list[Operation] = []

blueprint = Blueprint("desk", __name__)


def operation(
    method: str,
    path: str,
    *,
    operation_id: str,
    parameters: tuple[dict[str, Any], ...] = (),
    request: dict[str, Any] | None = None,
    responses: dict[int, dict[str, Any]],
    problems: tuple[int, ...] = (),
) -> Callable[[Handler], Handler]:
    """Return a decorator for the handler of a route; its docstring becomes summary and description.

    Args:
        method: HTTP method.
        path: Path in Flask's form, `/v1/parts/<number>`.
        operation_id: Name of the operation, for generated clients.
        parameters: OpenAPI parameter objects.
        request: OpenAPI request body object.
        responses: OpenAPI response objects by status.
        problems: Statuses answered with a problem.
    """

    def decorate(handler: Handler) -> Handler:
        summary, _, description = (handler.__doc__ or "").partition("\n")
        shown = path.replace("<path:", "<").replace("<", "{").replace(">", "}")
        OPERATIONS.append(
            Operation(
                method.lower(),
                shown,
                operation_id,
                summary.strip(),
                " ".join(description.split()),
                parameters,
                request,
                responses,
                problems,
            )
        )
        blueprint.add_url_rule(path, operation_id, handler, methods=[method.upper()])
        return handler

    return decorate
