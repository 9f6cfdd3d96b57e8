"""JSON out: compact, in the answer's own order. Half a character, which UTF-8 cannot hold, is written escaped."""

from __future__ import annotations

import json
from typing import Any

import orjson


def as_json(value: Any) -> bytes:
    """Return *value* as JSON."""
    try:
        return orjson.dumps(value)
    except TypeError:
        return json.dumps(value, allow_nan=False, separators=(",", ":")).encode()
