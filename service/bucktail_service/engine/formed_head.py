"""What the formed head must measure, and what it will measure by volume. Table: formed_heads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from bucktail_tables.model import Edition, Row

FIGURES = tuple(f"{measure}_{end}" for measure in ("diameter", "height") for end in ("minimum", "nominal", "maximum"))


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit of the formed head [in] and the row it came from."""

    inches: Fraction
    row: Row


def find_limits(practice: str, alloy: str, diameter: Row, edition: Edition) -> dict[str, Limit | None]:
    """Return the formed-head limits of a practice, None where it prints none. [in]

    A row for the diameter or the alloy stands before a general one, by rank.
    """
    size = diameter.number("nominal_in")
    limits: dict[str, Limit | None] = dict.fromkeys(FIGURES)
    ranks: dict[str, Fraction] = {}
    for row in edition["formed_heads"]:
        figure = row.text("figure")
        fits = row.text("practice") == practice and row.text("fraction") in ("any", diameter.text("fraction"))
        if fits and alloy in row.words("alloys") and (figure not in ranks or row.number("rank") < ranks[figure]):
            ranks[figure] = row.number("rank")
            printed = row.maybe("value_in")
            limits[figure] = Limit(row.number("times_d") * size if printed is None else printed, row)
    return limits


class Prediction(NamedTuple):
    """What the formed head comes to by constant volume, to the ten-thousandth; None when no shank is left. [in]"""

    diameter: Fraction | None
    height: Fraction | None
    diameter_minimum: Fraction | None
    diameter_maximum: Fraction | None


def net_volume(shank: float, hole: float, cylinder: float, protrusion: float) -> float:
    """Return the shank volume left for the formed head, in units of pi/4. [in3]

    The shank beyond the grip, less what swells into the clearance of the hole.

    Args:
        shank: Shank diameter. [in]
        hole: Hole diameter; one printed below the nominal shank has no clearance. [in]
        cylinder: Depth of hole that the shank fills by swelling: the grip, less a flush head's cone. [in]
        protrusion: Shank beyond the grip. [in]
    """
    clearance = max(hole, shank) ** 2 - shank**2
    return shank**2 * protrusion - clearance * max(cylinder, 0.0)


def diameter_at_height(volume: float, height: float) -> Fraction | None:
    """Return the diameter of a cylinder of that volume (units of pi/4) and height; None when nothing is left. [in]"""
    return _estimate(math.sqrt(volume / height)) if volume > 0 else None


def height_at_diameter(volume: float, diameter: float) -> Fraction | None:
    """Return the height of a cylinder of that volume (units of pi/4) and diameter; None when nothing is left. [in]"""
    return _estimate(volume / diameter**2) if volume > 0 else None


def _estimate(value: float) -> Fraction:
    return Fraction(round(value * 10_000), 10_000)
