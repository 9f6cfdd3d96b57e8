"""Prices and what they come to: exact, rounded half up to the cent once for each line. Currencies never mix."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

PER = ("piece", "pack", "lb")
ROUNDING = "each line's cost is rounded half up to the cent, 0.01; totals add the rounded lines"


@dataclass(frozen=True, slots=True)
class Price:
    """What a piece, a pack or a pound costs in a currency."""

    amount: Decimal
    per: str
    currency: str

    def __str__(self) -> str:
        return f"{self.amount:f} {self.currency} a {'pound' if self.per == 'lb' else self.per}"


def to_cents(amount: Fraction) -> Decimal:
    """Return an amount of money that is not negative, rounded half up to the cent."""
    cents = (2 * 100 * amount.numerator + amount.denominator) // (2 * amount.denominator)
    return Decimal(f"{cents // 100}.{cents % 100:02d}")
