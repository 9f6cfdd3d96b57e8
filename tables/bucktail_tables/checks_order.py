"""Relations of the rules an order rests on."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from bucktail_tables.errors import BrokenEdition
from bucktail_tables.model import Edition

Flaws = Iterator[BrokenEdition]

_MOST_PERCENT, _MOST_PIECES = 100, 100


def spares_are_sane(edition: Edition) -> Flaws:
    """Spares nobody asked for never double a small order: a rate up to a hundred percent, whole pieces up to 100."""
    for name, most in (("spares_rate", _MOST_PERCENT), ("spares_minimum", _MOST_PIECES)):
        row = edition["rules"].find(name)
        value = None if row is None else row.maybe("value")
        if row is None:
            continue
        if value is None or not 0 <= value <= most:
            yield BrokenEdition(row.table, row.line, "value", f"is not from 0 to {most}")
        elif name == "spares_minimum" and value.denominator != 1:
            yield BrokenEdition(row.table, row.line, "value", "a piece is whole")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (spares_are_sane,)
