"""Relations of spacing and of the shank that must stand out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import pairwise

from bucktail_tables.flaws import Flaws, flaw
from bucktail_tables.model import Edition, Row

_MOST_PITCH_D, _MOST_PLUS_IN = 20, Fraction(1, 4)
_MOST_PITCH_D, _MOST_PLUS_IN = 20, Fraction(1, 4)
# A head is two diameters across: below these it would hang over the edge or lie on its neighbour.
# TM 10-7360-208-13&P prints 1/2 D between rows, a lost digit.
_SPACING_FLOORS = {"edge_minimum": 1, "pitch_minimum": 2, "row_minimum": 2, "staggered_pitch_minimum": 2}


def spacing_figures_rise(edition: Edition) -> Flaws:
    """Each practice has its minima, and minimum <= usual <= maximum."""
    for practice in edition["practices"]:
        name = practice.text("practice")
        for heads in ("protruding", "flush"):
            ladder = [_spacing(edition, name, figure, heads) for figure in ("edge_minimum", "edge_maximum")]
            yield from _not_falling(ladder, practice)
        pitches = ("pitch_minimum", "pitch_usual_low", "pitch_usual_high", "pitch_maximum")
        yield from _not_falling([_spacing(edition, name, figure, "any") for figure in pitches], practice)


def _spacing(edition: Edition, practice: str, figure: str, heads: str) -> Row | None:
    table = edition["spacing"]
    return table.find(practice, figure, heads) or table.find(practice, figure, "any")


def _not_falling(ladder: Sequence[Row | None], practice: Row) -> Flaws:
    if ladder[0] is None:
        yield flaw(practice, "practice", "has no minimum in spacing")
    rows = [row for row in ladder if row is not None]
    for before, after in pairwise(rows):
        if after.number("times_d") < before.number("times_d"):
            yield flaw(after, "times_d", "falls below the figure it should follow")


def edges_grow_with_the_head(edition: Edition) -> Flaws:
    """A flush rivet keeps at least as far from the edge as a protruding one; layout never goes below the minimum."""
    for practice in edition["practices"]:
        name = practice.text("practice")
        minima = [_spacing(edition, name, "edge_minimum", heads) for heads in ("protruding", "flush")]
        yield from _not_falling(minima, practice)
        for minimum, heads in zip(minima, ("protruding", "flush"), strict=True):
            yield from _not_falling([minimum, _spacing(edition, name, "edge_layout", heads)], practice)


def spacing_leaves_room_for_heads(edition: Edition) -> Flaws:
    """No minimum puts a head over the edge or onto its neighbour; no figure is beyond what any document prints."""
    for row in edition["spacing"]:
        floor = _SPACING_FLOORS.get(row.text("figure"), 1)
        if row.number("times_d") < floor:
            yield flaw(row, "times_d", f"is under {floor} D: heads would not fit")
        if row.number("times_d") > _MOST_PITCH_D:
            yield flaw(row, "times_d", f"is over {_MOST_PITCH_D} D")
        if not 0 <= (row.maybe("plus_in") or 0) <= _MOST_PLUS_IN:
            yield flaw(row, "plus_in", f"is not between 0 and {float(_MOST_PLUS_IN)} in")


def length_rules_cover_every_alloy(edition: Edition) -> Flaws:
    """Each practice and alloy has one minimum and one preferred protrusion, in order."""
    for practice in edition["practices"]:
        for material in edition["materials"]:
            rows = {
                row.text("figure"): row
                for row in edition["length_rules"]
                if row.text("practice") == practice.text("practice") and material.text("alloy") in row.words("alloys")
            }
            if not {"minimum", "preferred"} <= set(rows):
                yield flaw(material, "alloy", f"has no length rule in practice {practice.text('practice')}")
                continue
            ladder = [rows[figure] for figure in ("minimum", "preferred", "maximum") if figure in rows]
            yield from _not_falling(ladder, practice)


def length_rules_stand_once(edition: Edition) -> Flaws:
    """No practice has two rules of one figure for the same alloy."""
    seen: set[tuple[str, str, str]] = set()
    for row in edition["length_rules"]:
        for alloy in row.words("alloys"):
            rule = (row.text("practice"), row.text("figure"), alloy)
            if rule in seen:
                yield flaw(row, "alloys", f"a second {rule[1]} for {alloy} in practice {rule[0]}")
            seen.add(rule)


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    spacing_figures_rise,
    edges_grow_with_the_head,
    spacing_leaves_room_for_heads,
    length_rules_cover_every_alloy,
    length_rules_stand_once,
)
