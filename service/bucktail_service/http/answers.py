"""An answer as the response its reader asked for: JSON, CSV or text, with validator and caching."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from typing import Any

from flask import Response, request
from werkzeug.datastructures import MIMEAccept

from bucktail_service.engine.lengths import shown
from bucktail_service.http.encode import as_json
from bucktail_service.http.superseded import superseded_headers
from bucktail_service.problems import BadFields, FieldError
from bucktail_service.workbook import MEDIA_TYPE as XLSX
from bucktail_tables.load import load_edition
from bucktail_tables.model import Edition

Writer = Callable[[Mapping[str, Any]], bytes]

MEDIA_TYPES = {"json": "application/json", "csv": "text/csv", "text": "text/plain", "xlsx": XLSX}
# a draft may change when the service is next installed, a released edition never does
PINNED = "public, max-age=31536000, immutable"
PINNED_DRAFT = "public, max-age=300, immutable"
UNPINNED = "no-cache"


def chosen_format(asked: str | None, offered: Mapping[str, Any]) -> str | None:
    """Return the format to answer in, by `?format=` first and `Accept` after it; None when none is acceptable.

    Raises:
        BadFields: `format` names none of those offered.
    """
    if asked is not None:
        if asked not in offered:
            raise BadFields([FieldError("format", f"{shown(asked)} is not one of {', '.join(offered)}", "json")])
        return asked
    accept = request.headers.get("Accept")
    if not accept or accept == "*/*":
        return "json"
    best = best_accepted([MEDIA_TYPES[name] for name in offered])
    return next((name for name in offered if MEDIA_TYPES[name] == best), None)


def answer_response(
    answer: Mapping[str, Any],
    writers: Mapping[str, Writer],
    chosen: str,
    pinned: str | None,
    *,
    announced: bool = True,
) -> Response:
    """Return *answer* as a response that caches may keep.

    Args:
        answer: The answer.
        writers: What writes it, by format.
        chosen: The format.
        pinned: The edition the request named, if it did.
        announced: Whether to tell that another edition has taken its place; not what is about editions as such.
    """
    body = writers[chosen](answer)
    response = Response(body, mimetype=MEDIA_TYPES[chosen])
    response.headers["ETag"] = f'"{hashlib.sha256(body).hexdigest()[:32]}"'
    response.headers["Vary"] = "Accept"
    if pinned is None:
        response.headers["Cache-Control"] = UNPINNED
    else:
        response.headers["Cache-Control"] = _pinned(load_edition(pinned))
        if announced:
            response.headers.update(superseded_headers(answer, pinned, request))
    if request.if_none_match.contains_weak(response.get_etag()[0] or ""):
        response.status_code = 304
        response.data = b""
        del response.headers["Content-Length"]
    return response


def _pinned(edition: Edition) -> str:
    """Return how long an answer out of an edition that was named may be kept: a house may change its tables today."""
    if edition.is_house:
        return UNPINNED
    return PINNED_DRAFT if edition.is_draft else PINNED


def best_accepted(offered: list[str]) -> str | None:
    """Return the media type of *offered* that `Accept` likes best, its parameters other than q set aside."""
    accepted = MIMEAccept([(value.split(";")[0].strip(), quality) for value, quality in request.accept_mimetypes])
    return accepted.best_match(offered)


def json_writer(answer: Mapping[str, Any]) -> bytes:
    """Return an answer as JSON."""
    return as_json(answer)


def text_writer(write: Callable[[Mapping[str, Any]], str]) -> Writer:
    """Return a writer of bytes from one of text."""
    return lambda answer: write(answer).encode()
