"""JSON as the standard has it: no NaN, no name twice, no nesting without end."""

from __future__ import annotations

import json
from typing import Any


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is not JSON")


def _only_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    entries = dict(pairs)
    if len(entries) != len(pairs):
        raise ValueError("a name stands twice in one object")
    return entries


def read_json(text: str) -> Any:
    """Return JSON text read; numbers that JSON does not have, and nesting without end, are a ValueError."""
    try:
        return json.loads(text, parse_constant=_refuse_constant, object_pairs_hook=_only_once)
    except RecursionError:
        raise ValueError("nested too deeply") from None
