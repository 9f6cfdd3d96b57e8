"""Relations of what a driven rivet is held to besides its formed head."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from bucktail_tables.errors import BrokenEdition
from bucktail_tables.model import Edition

Flaws = Iterator[BrokenEdition]

# what answers measure against, its unit, and the most it can be: no gap or step of a rivet is a sixteenth of an inch
_MEASURED = {"gap_feeler": ("in", 0.0625), "gap_around": ("percent", 100), "flush_steel_below": ("in", 0.0625)}


def measured_limits_are_there(edition: Edition) -> Flaws:
    """What answers measure against has a sane value in its own unit; what is only looked at has none."""
    table = edition["inspection_limits"]
    for name, (unit, most) in _MEASURED.items():
        row = table.find(name)
        if row is None:
            yield BrokenEdition(table.name, None, "limit", f"answers name {name}, which is not there")
        elif row.text("unit") != unit or not 0 < (row.maybe("value") or 0) <= most:
            yield BrokenEdition(table.name, row.line, "value", f"is not above 0 and up to {most} {unit}")
    for row in table:
        if (row.text("kind") == "measured") != (row.text("value") != ""):
            yield BrokenEdition(
                table.name, row.line, "kind", "what is measured has a value, what is looked at has none"
            )


def inspected_alloys_are_known(edition: Edition) -> Flaws:
    """A limit for some alloys names alloys of the edition."""
    for row in edition["inspection_limits"]:
        for alloy in row.words("alloys"):
            if edition["materials"].find(alloy) is None:
                yield BrokenEdition(row.table, row.line, "alloys", f"{alloy} is not in materials")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (measured_limits_are_there, inspected_alloys_are_known)
