"""Every failure as `application/problem+json`, whoever raised it."""

from __future__ import annotations

import logging

from flask import Flask, Response, request
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge

from bucktail_service.engine.errors import QuestionError
from bucktail_service.http.encode import as_json
from bucktail_service.problems import MEDIA_TYPE, FieldError, problem, problem_of

log = logging.getLogger(__name__)


class BodyTooLarge(RequestEntityTooLarge):
    """A body is longer than its limit in bytes; counted by us, since the framework cuts a chunked body short."""

    def __init__(self, limit: int) -> None:
        super().__init__()
        self.limit = limit


CODES = {
    400: "bad-request",
    404: "not-found",
    405: "method-not-allowed",
    406: "not-acceptable",
    408: "timed-out",
    411: "length-required",
    413: "too-large",
    414: "too-long",
    415: "unsupported-media-type",
    417: "expectation-failed",
    422: "bad-question",
    429: "busy",
    431: "headers-too-large",
    500: "internal",
    503: "busy",
}


def problem_response(body: dict[str, object], status: int) -> Response:
    """Return a problem document as a response; never stored by a cache."""
    response = Response(as_json(body), status, mimetype=MEDIA_TYPE)
    response.headers["Cache-Control"] = "no-store"
    return response


def refuse(status: int, title: str, detail: str, field: str, example: str) -> Response:
    """Return the problem of a request that cannot be read at all: its body, its type, its size."""
    code = CODES.get(status, "bad-request" if status < 500 else "internal")  # noqa: PLR2004
    return problem_response(problem(code, title, status, detail, [FieldError(field, detail, example)]), status)


def _told(error: HTTPException, status: int) -> tuple[str, str, str]:
    """Return what to say of a failure the framework found: detail, field and a good example."""
    if status == 404:  # noqa: PLR2004
        return f"there is no page {request.path[:80]!r}", "path", "/v1/pick"
    if status == 405:  # noqa: PLR2004
        allowed = ", ".join(sorted(getattr(error, "valid_methods", None) or ()))
        return f"{request.method[:20]} is not answered here", "method", allowed
    if status == 413:  # noqa: PLR2004
        limit = f"{error.limit} bytes" if isinstance(error, BodyTooLarge) else "the limit"
        return f"is larger than {limit}", "body", "a smaller body; a batch for many rows, in parts if need be"
    return error.description or error.name, "request", "see /v1/openapi.json"


def register(app: Flask) -> None:
    """Make *app* answer every failure with a problem."""

    @app.errorhandler(QuestionError)
    def _question(error: QuestionError) -> Response:
        body = problem_of(error)
        return problem_response(body, body["status"])

    @app.errorhandler(HTTPException)
    def _http(error: HTTPException) -> Response | HTTPException:
        status = error.code or 500
        if status < 400:  # noqa: PLR2004  a redirect is no failure
            return error
        response = refuse(status, error.name, *_told(error, status))
        for name, value in error.get_headers(None):
            if name not in ("Content-Type", "Content-Length"):
                response.headers[name] = value
        return response

    @app.errorhandler(Exception)
    def _unforeseen(error: Exception) -> Response:
        log.error("unforeseen failure", exc_info=error)
        detail = "the service failed; the fault is ours and has been logged"
        return problem_response(problem("internal", "The service failed", 500, detail), 500)
