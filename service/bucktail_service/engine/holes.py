"""Which hole: pilot and final drill, limits, the hole behind the strength tables. Tables: holes, drills."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.errors import BadQuestion, NotTabulated
from bucktail_service.engine.lengths import parse_length, shown
from bucktail_tables.model import Edition, Row

HOLE_EXAMPLE = "0.130, #30, #F or 3.3 mm"


@dataclass(frozen=True, slots=True)
class Drill:
    """A drill: its name, its diameter [in], and the rows of both."""

    name: str
    diameter: Fraction
    row: Row
    size: Row


@dataclass(frozen=True, slots=True)
class Holes:
    """What to drill for a rivet diameter, and between which limits [in] the finished hole must lie."""

    pilot: Drill | None
    final: Drill
    strength: Drill | None
    minimum: Fraction | None
    maximum: Fraction | None


def find_holes(fraction: str, edition: Edition) -> Holes:
    """Return the drills and limits for a rivet diameter, named by its fraction. Every diameter has a final drill."""
    final = _drill(fraction, "final", edition)
    if final is None:  # the edition's check holds this
        raise BadQuestion("diameter", f"{fraction} has no final drill in this edition", "1/8")
    pilot, strength = _drill(fraction, "pilot", edition), _drill(fraction, "strength", edition)
    return Holes(pilot, final, strength, final.row.maybe("minimum_in"), final.row.maybe("maximum_in"))


def _drill(fraction: str, use: str, edition: Edition) -> Drill | None:
    row = edition["holes"].find(fraction, use, "1")
    if row is None:
        return None
    size = find_drill(row.text("drill"), edition)
    assert size is not None, "the loader holds holes.drill to the drill table"  # noqa: S101
    return Drill(row.text("drill"), size.number("diameter_in"), row, size)


def find_drill(name: str, edition: Edition) -> Row | None:
    """Return the row of a drill by its name: `#30`, `F`, `1/8`."""
    series = "number" if name.startswith("#") else "letter" if name.isalpha() else "fraction"
    return edition["drills"].find(series, name)


def hole_size(text: str, edition: Edition) -> Fraction:
    """Return the diameter of a hole given as a length or, marked by `#`, as a drill: `#30`, `#F`. [in]

    Raises:
        BadLength: Not a length.
        NotTabulated: No such drill.
    """
    name = text.strip().upper()
    if not name.startswith("#"):
        return parse_length(text, "hole").inches
    row = find_drill(name.removeprefix("#") if name[1:].isalpha() else name, edition)
    if row is None:
        raise NotTabulated("hole", f"{shown(text)} is not a drill of this edition", HOLE_EXAMPLE)
    return row.number("diameter_in")
