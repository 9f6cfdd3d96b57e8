"""What an answer from a superseded edition says beside itself: since when, until when, and where the same stands now.

The answer itself never changes and never goes: `Deprecation` (RFC 9745) and `Sunset` (RFC 8594) are told in headers.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from typing import Any
from urllib.parse import quote

from flask import Request
from werkzeug.http import http_date

from bucktail_tables.load import load_edition, superseded

_TEXT = {"type": "string"}
HEADERS: dict[str, dict[str, Any]] = {
    "Deprecation": {
        "description": "Since when another edition has been the default; only of a superseded edition that was named.",
        "schema": {**_TEXT, "pattern": "^@[0-9]+$"},
    },
    "Sunset": {"description": "Until when the superseded edition is promised, where that is said.", "schema": _TEXT},
    "Link": {"description": 'The same in the default edition, rel="successor-version".', "schema": _TEXT},
}


def superseded_headers(answer: Mapping[str, Any], edition: str, request: Request) -> dict[str, str]:
    """Return the headers of an answer that was asked in *edition* by name; none while no other has taken its place."""
    found = superseded(edition)
    if found is None:
        return {}
    since, until = found
    headers = {"Deprecation": f"@{int(_midnight(since).timestamp())}"}
    if until is not None:
        headers["Sunset"] = http_date(_midnight(until))
    target = _successor(answer, edition, default_name(), request)
    return {**headers, "Link": f'<{target}>; rel="successor-version"'}


def default_name() -> str:
    """Return the packaged edition that took the others' place, whatever edition this service answers by."""
    return load_edition().name


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time(), UTC)


def _successor(answer: Mapping[str, Any], edition: str, default: str, request: Request) -> str:
    """Return the path that asks the same of the default edition; of a question asked in a body, where to send it."""
    link = answer.get("link")
    path = link if isinstance(link, str) else quote(request.path, safe="/")
    named = re.escape(edition)
    path = re.sub(rf"((?:[?&]|%3F|%26)edition(?:=|%3D)){named}(?=&|%26|$)", rf"\g<1>{default}", path)
    path = re.sub(rf"^/v1/editions/{named}(?=/|\?|$)", f"/v1/editions/{default}", path)
    wanted = request.args.get("format")
    if wanted is None:
        return path
    return f"{path}{'&' if '?' in path else '?'}format={quote(wanted, safe='')}"
