"""Spares of an order: a rate of the pieces wanted, or a fixed number, for each part number. Table: rules."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import rule_row
from bucktail_service.engine.errors import BadQuestion
from bucktail_service.engine.lengths import format_decimal, shown
from bucktail_tables.model import Edition, Row

MAX_PIECES = 999_999
_RATE = r"[0-9]{1,3}(?:\.[0-9]{1,3})? ?%"
SPARES = rf"(?:{_RATE}|0|[1-9][0-9]{{0,5}})"
SPARES_EXAMPLE = "10% or 20"

_SPARES = re.compile(SPARES, re.ASCII)


@dataclass(frozen=True, slots=True)
class Spares:
    """What is added to the pieces wanted of each part number.

    Attributes:
        rate: Percent of the pieces wanted, rounded up to a whole piece; None for a fixed number. [percent]
        pieces: The fixed number, or the least that the rate gives. [pieces]
        rows: The rules it rests on; none when it was asked for.
    """

    rate: Fraction | None
    pieces: int
    rows: tuple[Row, ...] = ()

    def for_wanted(self, wanted: int) -> int:
        """Return the spares for that many pieces wanted. [pieces]"""
        if self.rate is None:
            return self.pieces
        return max(self.pieces, math.ceil(wanted * self.rate / 100))

    def __str__(self) -> str:
        if self.rate is None:
            return f"{self.pieces} for each part number"
        rate = f"{format_decimal(self.rate)} percent, rounded up"
        return f"{rate}, at least {self.pieces} for each part number" if self.pieces else rate


def parse_spares(text: str) -> Spares:
    """Return the spares written in *text*: `10%` of the pieces wanted, or `20` pieces of each part number.

    Raises:
        BadQuestion: Anything else.
    """
    if _SPARES.fullmatch(text) is None:
        raise BadQuestion("spares", f"{shown(text)} is neither a rate in percent nor whole pieces", SPARES_EXAMPLE)
    if text.endswith("%"):
        return Spares(Fraction(text.rstrip(" %")), 0)
    return Spares(None, int(text))


def usual_spares(edition: Edition) -> Spares:
    """Return the spares of an order that asks for none."""
    rate, least = rule_row(edition, "rules", "spares_rate"), rule_row(edition, "rules", "spares_minimum")
    return Spares(rate.number("value"), int(least.number("value")), (rate, least))
