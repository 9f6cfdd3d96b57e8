"""Relations of sizes: diameters, lengths, drills, holes."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from bucktail_tables.flaws import ROUNDING_IN, Flaws, flaw, rising
from bucktail_tables.model import Edition

_MM_PER_INCH = Fraction("25.4")
_LONGEST_DASH = 128  # sixteenths; no solid rivet is eight inches long
_SANE_HOLE_D = (Fraction("0.95"), Fraction("1.25"))
_SERIES = (("number", re.compile(r"#[1-9][0-9]?")), ("letter", re.compile(r"[A-Z]")))


def diameters_rise_and_agree(edition: Edition) -> Flaws:
    """Dash / 32, the fraction and the decimal are one size; sizes rise down the table."""
    rows = list(edition["diameters"])
    yield from rising(rows, "nominal_in")
    for row in rows:
        if not row.number("fraction") == row.number("nominal_in") == row.number("dash") / 32:
            yield flaw(row, "nominal_in", "dash, fraction and decimal are not one size")


def metric_names_are_near(edition: Edition) -> Flaws:
    """A size's name in metric lists is its measure to a tenth of a millimetre."""
    for row in edition["diameters"]:
        name = row.maybe("metric_name_mm")
        if name is not None and abs(name - row.number("nominal_in") * _MM_PER_INCH) > Fraction(1, 10):
            yield flaw(row, "metric_name_mm", f"{row.text('fraction')} in is another size")


def lengths_form_a_ladder(edition: Edition) -> Flaws:
    """Every diameter has one ladder of lengths, shorter end first."""
    lengths = {row.text("fraction"): row for row in edition["lengths"]}
    for diameter in edition["diameters"]:
        if diameter.text("fraction") not in lengths:
            yield flaw(diameter, "fraction", "has no row in lengths")
    for row in lengths.values():
        if row.number("shortest_dash") < 1:
            yield flaw(row, "shortest_dash", "is no length")
        if row.number("longest_dash") > _LONGEST_DASH:
            yield flaw(row, "longest_dash", f"is over {_LONGEST_DASH} sixteenths")
        if row.number("shortest_dash") >= row.number("longest_dash"):
            yield flaw(row, "longest_dash", "is not longer than the shortest")


def drills_rise_in_series(edition: Edition) -> Flaws:
    """Fractions are exact, number drills rise as their numbers fall, letters rise."""
    for row in edition["drills"]:
        if row.text("series") == "fraction" and row.number("drill") != row.number("diameter_in"):
            yield flaw(row, "diameter_in", "is not the fraction")
    for series in ("number", "letter", "fraction"):
        rows = [row for row in edition["drills"] if row.text("series") == series]
        yield from rising(rows, "diameter_in")


def drills_are_named_by_series(edition: Edition) -> Flaws:
    """A drill's name tells its series, as answers find it by name: `#30`, `F`, `1/8`."""
    for row in edition["drills"]:
        name = row.text("drill")
        series = next((series for series, form in _SERIES if form.fullmatch(name)), "fraction")
        if row.text("series") != series:
            yield flaw(row, "series", f"{name} is a {series} drill by its name")


def _drill_sizes(edition: Edition) -> dict[str, Fraction]:
    return {row.text("drill"): row.number("diameter_in") for row in edition["drills"]}


def holes_are_their_drills(edition: Edition) -> Flaws:
    """Printed drill sizes are the drills' own and clear the shank; every diameter has a final drill."""
    drills = _drill_sizes(edition)
    for row in edition["holes"]:
        drill = drills[row.text("drill")]
        if abs(drill - row.number("printed_in")) > ROUNDING_IN:
            yield flaw(row, "printed_in", f"{row.text('drill')} is {float(drill)} in the drill table")
        if drill < row.number("fraction"):
            yield flaw(row, "drill", "is smaller than the rivet")
    for row in edition["diameters"]:
        if edition["holes"].find(row.text("fraction"), "final", "1") is None:
            yield flaw(row, "fraction", "has no final drill in holes")


def holes_fit_their_limits(edition: Edition) -> Flaws:
    """Limits stand both or neither, near the shank, and the drill lies between them."""
    drills = _drill_sizes(edition)
    least, most = _SANE_HOLE_D
    for row in edition["holes"]:
        low, high = row.maybe("minimum_in"), row.maybe("maximum_in")
        if low is None and high is None:
            continue
        if low is None or high is None:
            yield flaw(row, "minimum_in" if low is None else "maximum_in", "the other limit stands alone")
        elif not low <= drills[row.text("drill")] <= high:
            yield flaw(row, "drill", "lies outside the limits of its own row")
        for column in ("minimum_in", "maximum_in"):
            if not least <= (row.maybe(column) or row.number("fraction")) / row.number("fraction") <= most:
                yield flaw(row, column, f"is not between {float(least)} and {float(most)} D")


def holes_have_a_first_rank(edition: Edition) -> Flaws:
    """Answers give the drill of rank 1: a size that has other ranks has that one."""
    for row in edition["holes"]:
        if edition["holes"].find(row.text("fraction"), row.text("use"), "1") is None:
            yield flaw(row, "rank", f"{row.text('fraction')} {row.text('use')} has no rank 1")


def pilots_are_no_larger_than_finals(edition: Edition) -> Flaws:
    """A pilot hole can still be opened to the final one."""
    drills = _drill_sizes(edition)
    for row in edition["holes"]:
        final = edition["holes"].find(row.text("fraction"), "final", "1")
        if row.text("use") != "pilot" or final is None:
            continue
        if drills[row.text("drill")] > drills[final.text("drill")]:
            yield flaw(row, "drill", f"is larger than the final drill, {final.text('drill')}")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    diameters_rise_and_agree,
    metric_names_are_near,
    lengths_form_a_ladder,
    drills_rise_in_series,
    drills_are_named_by_series,
    holes_are_their_drills,
    holes_fit_their_limits,
    holes_have_a_first_rank,
    pilots_are_no_larger_than_finals,
)
