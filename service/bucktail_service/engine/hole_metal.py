"""The metal that leaves with enlarged holes: as measured, or from the sizes of the rivets. Table: layer_materials."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.balance_words import HOLES_EXAMPLE, Holes
from bucktail_service.engine.cautions import find_layer_material
from bucktail_service.engine.errors import BadQuestion, NoAnswer, NotTabulated, OutsideTable
from bucktail_service.engine.holes import HOLE_EXAMPLE, hole_size
from bucktail_service.engine.lengths import Stack
from bucktail_service.engine.mass import CM3_PER_IN3
from bucktail_service.engine.rounding import say
from bucktail_service.engine.weights import PieceMass
from bucktail_tables.model import Edition, Row


@dataclass(frozen=True, slots=True)
class HoleMetal:
    """Holes of one kind that were enlarged: from and to [in], the stack, the metal that left [g], rows behind it."""

    pieces: int
    smaller: Fraction
    larger: Fraction
    stack: Stack
    grams: Fraction
    rows: tuple[Row, ...]


def measured(entries: Iterable[Holes], stack: Stack | None, edition: Edition) -> list[HoleMetal]:
    """Return the metal of holes given by their sizes.

    Raises:
        OutsideTable: A hole is said to shrink.
        NotTabulated: A drill or a layer's density is not in the tables.
        NoAnswer: No stack says how deep the holes are.
    """
    found = []
    for entry in entries:
        layers = entry.stack or stack
        if layers is None:
            raise NoAnswer("hole_metal", "no stack says how deep the holes are: add through, or stack", HOLES_EXAMPLE)
        smaller, larger = (_size(text, edition) for text in (entry.smaller, entry.larger))
        if smaller > larger:
            raise OutsideTable(
                "hole_metal",
                f"from {say(smaller)} to {say(larger)} in: a hole does not shrink; put the smaller size first",
                HOLES_EXAMPLE,
            )
        found.append(_cut(entry.pieces, smaller, larger, layers, "hole_metal", edition))
    return found


def from_sizes(
    removed: Sequence[PieceMass], installed: Sequence[PieceMass], stack: Stack, edition: Edition
) -> list[HoleMetal]:
    """Return the metal cut when each hole is opened from its old rivet's final drill to that of its new one.

    Old and new holes are paired from the largest down. A rivet more than were removed takes a hole from the solid; a
    hole that a smaller rivet goes into, or none, loses nothing.
    """
    opened: dict[tuple[Fraction, Fraction], int] = {}
    before = _runs(removed)
    for larger, wanted in reversed(_runs(installed)):
        left = wanted
        while left:
            smaller, holes = before.pop() if before else (Fraction(0), left)
            pieces = min(left, holes)
            if holes > pieces:
                before.append((smaller, holes - pieces))
            left -= pieces
            if larger > smaller:
                opened[smaller, larger] = opened.get((smaller, larger), 0) + pieces
    return [_cut(pieces, *sizes, stack, "stack", edition) for sizes, pieces in opened.items()]


def _runs(pieces: Iterable[PieceMass]) -> list[tuple[Fraction, int]]:
    """Return how many holes of each size [in] there are."""
    runs: dict[Fraction, int] = {}
    for entry in pieces:
        runs[entry.hole] = runs.get(entry.hole, 0) + entry.pieces
    return sorted(runs.items())


def _size(text: str, edition: Edition) -> Fraction:
    try:
        return hole_size(text, edition)
    except (BadQuestion, NotTabulated) as error:
        raise NotTabulated("hole_metal", error.detail, HOLE_EXAMPLE) from None


def _cut(pieces: int, smaller: Fraction, larger: Fraction, stack: Stack, field: str, edition: Edition) -> HoleMetal:
    """Return the metal that leaves holes; pi/4 x (to squared - from squared) x thickness x density of each layer."""
    rows, grams_per_in2 = [], Fraction(0)
    for layer in stack.layers:
        row = _material(layer.material, str(layer), field, edition)
        rows.append(row)
        grams_per_in2 += layer.thickness.inches * row.number("g_per_cm3") * Fraction(CM3_PER_IN3)
    area = Fraction(math.pi) / 4 * (larger**2 - smaller**2)
    return HoleMetal(pieces, smaller, larger, stack, pieces * area * grams_per_in2, tuple(rows))


def _material(name: str | None, layer: str, field: str, edition: Edition) -> Row:
    row = None if name is None else find_layer_material(name, edition)
    if row is None:
        known = ", ".join(row.text("material") for row in edition["layer_materials"])
        why = "has no material" if name is None else "is of a material that is not in the tables"
        raise NotTabulated(field, f"layer {layer} {why}: the metal of a hole needs its density", f"one of {known}")
    return row
