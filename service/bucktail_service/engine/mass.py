"""What a rivet weighs: density x (shank + head). Tables: densities, manufactured_heads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.rounding import half_even
from bucktail_tables.model import Edition, Row

CM3_PER_IN3 = 16.387064
GRAMS_PER_POUND = 453.59237
G_PER_CM3_IN_LB_PER_IN3 = GRAMS_PER_POUND / CM3_PER_IN3


@dataclass(frozen=True, slots=True)
class MassRule:
    """Mass of a rivet as a straight line over its length: head [g] and grams per inch of what the dash counts."""

    head_g: float
    per_inch_g: float
    rows: tuple[Row, ...]

    def each_g(self, length: Fraction) -> float:
        """Return the mass of one rivet of that length, four decimals. [g]"""
        return half_even(Fraction(self.head_g + self.per_inch_g * float(length)), 4)

    def pieces_per_lb(self, length: Fraction) -> int:
        """Return the pieces in a pound, to the nearest. [1/lb]"""
        return round(GRAMS_PER_POUND / (self.head_g + self.per_inch_g * float(length)))


def mass_rule(material: Row, head: Row | None, diameter: Fraction, edition: Edition) -> MassRule | None:
    """Return the mass rule of a rivet from nominal dimensions; None when its head or density is not tabulated.

    A protruding head is taken as the dome over its diameter and height; a flush head is a cone, and its length
    counts the cone.
    """
    density_row = edition["densities"].find(material.text("number"))
    if density_row is None or head is None:
        return None
    density = _grams_per_in3(density_row)
    area = math.pi / 4 * float(diameter) ** 2
    across, height = float(head.number("diameter_in")), float(head.number("height_in"))
    if head.text("cone_angle_deg"):
        volume = math.pi * height / 12 * (across**2 + across * float(diameter) + float(diameter) ** 2) - area * height
    else:
        volume = math.pi * height / 6 * (3 * (across / 2) ** 2 + height**2)
    return MassRule(density * volume, density * area, (density_row, head))


def _grams_per_in3(row: Row) -> float:
    metric = row.maybe("g_per_cm3")
    if metric is not None:
        return float(metric) * CM3_PER_IN3
    return float(row.number("lb_per_in3")) * GRAMS_PER_POUND
