"""JSON as the standard has it: no NaN, no name twice, no nesting without end."""

from __future__ import annotations

import json
import math
from typing import Any

_MAX_DIGITS = 1000


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is not JSON")


def _only_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    entries = dict(pairs)
    if len(entries) != len(pairs):
        raise ValueError("a name stands twice in one object")
    return entries


def _finite(text: str) -> float:
    number = float(text)
    if math.isinf(number):
        raise ValueError(f"the number {text[:20]} is too large")
    return number


def _whole(text: str) -> int | float:
    """Return a whole number; one of more digits than any length has is infinite, without working it out."""
    return int(text) if len(text) <= _MAX_DIGITS else math.inf


def _short(text: str) -> int:
    if len(text) > _MAX_DIGITS:
        raise ValueError(f"a number of {len(text)} digits is too long")
    return int(text)


def read_json(text: str, *, to_carry: bool = False) -> Any:
    """Return JSON text read.

    Args:
        text: One JSON value.
        to_carry: Refuse numbers beyond all bounds, since what is read goes out again; otherwise they are infinite,
            for a schema to refuse by their field.

    Raises:
        ValueError: It is not JSON, a name stands twice in an object, or it is nested without end.
    """
    try:
        return json.loads(
            text,
            parse_constant=_refuse_constant,
            parse_float=_finite if to_carry else float,
            parse_int=_short if to_carry else _whole,
            object_pairs_hook=_only_once,
        )
    except RecursionError:
        raise ValueError("nested too deeply") from None
