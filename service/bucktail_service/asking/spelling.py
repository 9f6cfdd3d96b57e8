"""Names that are nearly fields of a question."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from functools import lru_cache

from bucktail_service.problems import FieldError

_LONGEST_SLIP = 40


def misspelled(names: Sequence[str], fields: tuple[str, ...]) -> list[FieldError]:
    """Return an error for each name that is nearly a field: carried through, it would silently not count."""
    errors = []
    for name in names:
        plain = name.casefold().replace(" ", "_").replace("-", "_")
        if name not in fields:
            meant = _nearest_field(plain, fields) if len(plain) <= _LONGEST_SLIP else None
            if meant:
                errors.append(FieldError(name, f"is not a field; was {meant} meant?", meant))
    return errors


@lru_cache(maxsize=4096)
def _nearest_field(name: str, fields: tuple[str, ...]) -> str | None:
    if name in fields:
        return name
    return next(iter(get_close_matches(name, fields, 1, 0.85)), None)
