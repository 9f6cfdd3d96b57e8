"""Checks that every way to replace a rivet is held against, whatever kind of fastener it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from bucktail_service.engine.cautions import find_layer_material
from bucktail_service.engine.facts import Facts
from bucktail_service.engine.galvanic import judge_pair
from bucktail_service.engine.joints import bearing
from bucktail_service.engine.lengths import Layer
from bucktail_service.engine.option import FAIL, HEED, PASS, UNKNOWN, Check, Found
from bucktail_service.engine.rounding import half_even, say, times
from bucktail_service.engine.spacing import Distance
from bucktail_tables.model import Edition

_DISTANCES = {"edge distance": "edge_minimum", "pitch": "pitch_minimum", "row spacing": "row_minimum"}


def distance_checks(found: Found, size: Fraction, distances: Mapping[str, Distance | None]) -> list[Check]:
    """Return edge distance, pitch and row spacing as found, held against what a fastener of that size [in] needs."""
    values = {"edge distance": found.edge, "pitch": found.pitch, "row spacing": found.row_spacing}
    return [_distance(name, values[name], size, distances, figure) for name, figure in _DISTANCES.items()]


def _distance(
    name: str, value: Fraction | None, size: Fraction, distances: Mapping[str, Distance | None], figure: str
) -> Check:
    block = distances.get(figure)
    if block is None:
        return Check(name, UNKNOWN, "the practice prints no figure", value)
    limit, rows = block.inches, (block.row,)
    needs = f"{say(limit)} in, {times(limit, size)}"
    if value is None:
        return Check(name, UNKNOWN, f"not measured; at least {needs}", None, limit, rows)
    has = f"{say(value)} in, {times(value, size)}"
    if value < limit:
        return Check(name, FAIL, f"{has}, is under the least, {needs}", value, limit, rows)
    most = distances.get(figure.replace("minimum", "maximum"))
    if most is not None and value > most.inches:
        told = f"{has}, is over the most, {say(most.inches)} in, {times(most.inches, size)}"
        return Check(name, HEED, told, value, most.inches, (most.row,))
    return Check(name, PASS, f"{has}; at least {needs}", value, limit, rows)


def strength_check(name: str, kept: Fraction | None) -> Check:
    """Return what is kept of a strength that was there, held against all of it."""
    if kept is None:
        return Check(name, UNKNOWN, f"the tables do not tell the {name} of both in these sheets")
    told = f"{half_even(kept, 3):.2f} of the {name} that was there"  # as the option's own figure is rounded
    return Check(name, FAIL, f"{told}: weaker; 1.00 or more would pass") if kept < 1 else Check(name, PASS, told)


class Bored(NamedTuple):
    """A fastener in its hole: the hole the strength tables rest on, and the fastener's diameter. [in]"""

    hole: Fraction
    size: Fraction


def bored(facts: Facts) -> Bored:
    """Return a solid rivet in its hole."""
    return Bored((facts.holes.strength or facts.holes.final).diameter, facts.size)


def bearing_ratio(
    before: Bored, after: Bored, layers: Sequence[Layer], edge: Fraction | None, edition: Edition
) -> Fraction | None:
    """Return bearing under the new fastener over that under the old one, in the layer that loses most.

    The same edge distance [in] is fewer diameters of a larger fastener. None when no layer's bearing is tabulated.
    """
    ratios = []
    for layer in layers:
        old, new = (
            bearing(
                entry.hole, layer.thickness.inches, None if edge is None else edge / entry.size, layer.material, edition
            ).pounds
            for entry in (before, after)
        )
        if old is not None and new is not None:
            ratios.append(new / old)
    return min(ratios, default=None)


def couple_checks(metal: str, number: str, found: Found, edition: Edition) -> list[Check]:
    """Return one check for each material the fastener touches.

    Args:
        metal: The fastener's metal: an alloy, the letters of one, or its plating.
        number: Its alloy number; 5056 is the one named for magnesium.
        found: The layers, and what was found corroded.
        edition: The tables to read.
    """
    checks = []
    for material in dict.fromkeys(layer.material for layer in found.stack.layers if layer.material is not None):
        pair = judge_pair(metal, material, found.environment, edition)
        layer = find_layer_material(material, edition)
        if layer is not None and layer.text("hazard") == "magnesium" and number != "5056":
            told = f"with {material}: 5056 is the rivet named for magnesium"
            checks.append(Check("couple", HEED, told, rows=() if pair is None else pair.rows))
        elif pair is None:
            checks.append(Check("couple", HEED, f"{material} is not in the tables: its couple was not judged"))
        elif pair.compatible:
            checks.append(Check("couple", PASS, f"with {material}: compatible, {found.environment}", rows=pair.rows))
        else:
            ate = f"with {material}: not compatible, {found.environment}; {pair.corrodes} corrodes"
            was_found = _found_corroded(material, {metal.casefold(), number.casefold()}, found, edition)
            told = (
                f"{ate}, and did here: part them or choose another alloy" if was_found else f"{ate}: part and seal them"
            )
            checks.append(Check("couple", HEED, told, rows=pair.rows))
    return checks


def _found_corroded(material: str, names: set[str], found: Found, edition: Edition) -> bool:
    """Return whether a couple of a material and a metal of these names is one that was found corroded."""
    other = find_layer_material(material, edition)
    others = {material.casefold()} | ({other.text("material")} if other is not None else set())
    corroded = {name.casefold() for name in found.corroded}
    return bool(corroded & names) and bool(corroded & others)


def repair_limit_checks(found: Found) -> list[Check]:
    """Return whether so many of the row may be made oversize, where a row was told."""
    row = found.row
    if row is None or not row.failed:
        return []
    most = f"{row.oversize_allowed} of {row.count} in one pattern, two side by side"
    if row.within_limits:
        return [Check("repair limit", PASS, f"{len(row.failed)} to replace; at most {most}", rows=row.rows)]
    told = f"{len(row.failed)} to replace, {row.longest_run} side by side, is beyond {most}: the designer's data"
    return [Check("repair limit", FAIL, told, rows=row.rows)]
