"""JSON out: compact, in the answer's own order, never NaN."""

from __future__ import annotations

import json
from typing import Any

_ENCODE = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode


def as_json(value: Any) -> bytes:
    """Return *value* as JSON; half a character, which JSON can name but UTF-8 cannot hold, becomes `?`."""
    return _ENCODE(value).encode("utf-8", "replace")
