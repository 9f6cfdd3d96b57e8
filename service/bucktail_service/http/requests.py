"""Requests read strictly: a parameter once, JSON as the standard has it, a body of the type that was said."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from flask import Response, current_app, request

from bucktail_service.http.problems import BodyTooLarge, refuse
from bucktail_service.problems import BadFields, FieldError
from bucktail_service.strict_json import read_json

_PART = 65_536

FORMAT_PARAMETER: dict[str, Any] = {
    "name": "format",
    "in": "query",
    "required": False,
    "description": "Format of the answer; goes before the Accept header.",
    "schema": {"type": "string", "enum": ["json", "csv", "text"]},
}
EDITION_PARAMETER: dict[str, Any] = {
    "name": "edition",
    "in": "query",
    "required": False,
    "description": "Edition of the tables; pins the answer.",
    "schema": {"type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$"},
    "example": "2026.1",
}


def query_fields(allowed: tuple[str, ...] | None = None, repeated: tuple[str, ...] = ()) -> dict[str, str]:
    """Return the query parameters.

    Args:
        allowed: The only names there may be; any name when None, for a schema to refuse.
        repeated: Names that may stand more than once; `request.args.getlist` has them all.

    Raises:
        BadFields: A parameter stands twice, or is not allowed.
    """
    values = dict(request.args.lists())
    errors = [
        FieldError(name[:80], f"stands {len(texts)} times", "once")
        for name, texts in values.items()
        if len(texts) > 1 and name not in repeated
    ]
    if allowed is not None:
        known = f"one of {', '.join(allowed)}" if allowed else "no parameters at all"
        errors += [FieldError(name[:80], "is not a parameter here", known) for name in values if name not in allowed]
    if errors:
        raise BadFields(errors)
    return {name: texts[0] for name, texts in values.items()}


def body_parts(limit: int) -> Iterator[bytes]:
    """Yield the body in parts, whether its length was said or it comes in chunks.

    Raises:
        BodyTooLarge: It is longer than *limit* bytes; found before the first part where its length was said.
    """
    if (request.content_length or 0) > limit:
        raise BodyTooLarge(limit)
    stream = request.stream
    size = 0
    for part in iter(partial(stream.read, _PART), b""):
        size += len(part)
        if size > limit:
            raise BodyTooLarge(limit)
        yield part


def read_body(limit: int) -> bytes:
    """Return the whole body; BodyTooLarge when it is longer than *limit* bytes."""
    return b"".join(body_parts(limit))


def json_object(limit: int | None = None, reads: str = "application/json") -> dict[str, Any] | Response:
    """Return the JSON object of the body, or the problem of a body that is none.

    Args:
        limit: Largest body; that of a single question when None. [bytes]
        reads: The media types this route reads, for the problem of another.

    Raises:
        BadFields: The body is JSON, but not an object.
    """
    example = '{"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040+0.040"}'
    if request.mimetype != "application/json":
        detail = f"the body is {request.mimetype or 'of no type'}; {reads} is needed"
        return refuse(415, "Unsupported media type", detail, "Content-Type", "application/json")
    limit = current_app.config["BUCKTAIL_SETTINGS"].max_body if limit is None else limit
    try:
        body = read_json(read_body(limit).decode())
    except ValueError as error:
        return refuse(400, "The body cannot be read as JSON", f"is not JSON: {error}", "body", example)
    if not isinstance(body, dict):
        raise BadFields([FieldError("body", "is not a JSON object", example)])
    return body
