"""The one decimal rule: figures are exact fractions until they leave, and are then rounded half to even.

Inches leave with six decimals (a sixty-fourth is exact), millimetres with four.
"""

from __future__ import annotations

from fractions import Fraction


def half_even(value: Fraction, places: int) -> float:
    """Return *value* rounded half to even at *places* decimals."""
    scale: int = 10**places
    return _nearest(value.numerator * scale, value.denominator) / scale


def _nearest(over: int, under: int) -> int:
    quotient, rest = divmod(over, under)
    twice = 2 * rest
    if twice > under or (twice == under and quotient & 1):
        quotient += 1
    return quotient


def inches(value: Fraction) -> float:
    """Return a length for the answer. [in]"""
    return _nearest(value.numerator * 1_000_000, value.denominator) / 1_000_000


def millimetres(value: Fraction) -> float:
    """Return a length given in inches for the answer. [mm]"""
    return _nearest(value.numerator * 254_000, value.denominator) / 10_000


def put(block: dict[str, object], name: str, value: Fraction | None) -> None:
    """Put a length [in] into *block* as its two twins, `name_in` and `name_mm`; None stays null in both."""
    block[name + "_in"] = None if value is None else inches(value)
    block[name + "_mm"] = None if value is None else millimetres(value)


def say(value: Fraction) -> str:
    """Return a length [in] for a sentence: at least four decimals, no more than it needs."""
    text = f"{_nearest(value.numerator * 1_000_000, value.denominator) / 1_000_000:.6f}"
    return text[:-2] + text[-2:].rstrip("0")


def times(value: Fraction, diameter: Fraction) -> str:
    """Return *value* as a multiple of the diameter for a sentence, such as `1.36 D`."""
    over, under = value.numerator * diameter.denominator, value.denominator * diameter.numerator
    return f"{_nearest(100 * over, under) / 100:.2f} D"
