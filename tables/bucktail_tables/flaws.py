"""What every relation is made of: flaws, and the figures several of them share."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from bucktail_tables.errors import BrokenEdition
from bucktail_tables.model import Row

Flaws = Iterator[BrokenEdition]

ROUNDING_IN = Fraction(6, 10000)  # documents print three decimals, drills four


SANE_TIMES_D = (Fraction("0.2"), Fraction(4))  # formed heads and the shank they are made of


def flaw(row: Row, column: str, message: str) -> BrokenEdition:
    """Return a flaw of a row, at a column."""
    return BrokenEdition(row.table, row.line, column, message)


def rising(rows: list[Row], column: str) -> Flaws:
    """Yield a flaw for each row whose figure does not rise above the one before."""
    for before, after in pairwise(rows):
        if after.number(column) <= before.number(column):
            yield flaw(after, column, f"{after.text(column)} does not rise above {before.text(column)}")
