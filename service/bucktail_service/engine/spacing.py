"""How far from the edge and from each other. Table: spacing."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_tables.model import Edition, Row

FIGURES = (
    "edge_minimum",
    "edge_layout",
    "edge_maximum",
    "pitch_minimum",
    "pitch_usual_low",
    "pitch_usual_high",
    "pitch_maximum",
    "row_minimum",
    "staggered_pitch_minimum",
)


@dataclass(frozen=True, slots=True)
class Distance:
    """A distance [in] and the row it came from."""

    inches: Fraction
    row: Row


def find_spacing(practice: str, *, flush: bool, diameter: Fraction, edition: Edition) -> dict[str, Distance | None]:
    """Return each spacing figure of a practice, None where it prints none. [in]

    Args:
        practice: Name of the practice.
        flush: True for countersunk heads, which keep further from the edge.
        diameter: Nominal shank diameter. [in]
        edition: The tables to read.
    """
    heads = "flush" if flush else "protruding"
    found: dict[str, Distance | None] = {}
    for figure in FIGURES:
        row = edition["spacing"].find(practice, figure, heads) or edition["spacing"].find(practice, figure, "any")
        found[figure] = None if row is None else Distance(_distance(row, diameter), row)
    return found


def threaded_spacing(practice: str, diameter: Fraction, edition: Edition) -> dict[str, Distance]:
    """Return the spacing figures of bolts and pins, those of sheet-metal repairs at large. [in]"""
    rows = {figure: edition["spacing"].find(practice, figure, "threaded") for figure in FIGURES}
    return {figure: Distance(_distance(row, diameter), row) for figure, row in rows.items() if row is not None}


def _distance(row: Row, diameter: Fraction) -> Fraction:
    return row.number("times_d") * diameter + (row.maybe("plus_in") or 0)
