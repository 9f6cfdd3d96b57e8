"""Checks that prove an edition whole, across its tables; also `python -m bucktail_tables.check [edition]`.

The loader has already checked each cell against the descriptor. Here the figures are held against each other and
against relations that do not come from the tables (area x stress, cone geometry, two unit columns).
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterator
from fractions import Fraction

from bucktail_tables.errors import BrokenEdition, TablesError
from bucktail_tables.load import load_edition
from bucktail_tables.model import Edition, Row

Flaws = Iterator[BrokenEdition]

_ROUNDING_IN = Fraction(6, 10000)  # documents print three decimals, drills four
_LB_PER_IN3_IN_G_PER_CM3 = 27.679905


def check_edition(edition: Edition) -> list[BrokenEdition]:
    """Return every flaw found in *edition*, each naming table, row and column; empty when it is whole."""
    return [flaw for check in CHECKS for flaw in check(edition)]


def _flaw(row: Row, column: str, message: str) -> BrokenEdition:
    return BrokenEdition(row.table, row.line, column, message)


def _rising(rows: list[Row], column: str) -> Flaws:
    for before, after in zip(rows, rows[1:], strict=False):
        if after.number(column) <= before.number(column):
            yield _flaw(after, column, f"{after.text(column)} does not rise above {before.text(column)}")


def diameters_rise_and_agree(edition: Edition) -> Flaws:
    """Dash / 32, the fraction and the decimal are one size; sizes rise down the table."""
    rows = list(edition["diameters"])
    yield from _rising(rows, "nominal_in")
    for row in rows:
        if not row.number("fraction") == row.number("nominal_in") == row.number("dash") / 32:
            yield _flaw(row, "nominal_in", "dash, fraction and decimal are not one size")


def lengths_form_a_ladder(edition: Edition) -> Flaws:
    """Every diameter has one ladder of lengths, shorter end first."""
    lengths = {row.text("fraction"): row for row in edition["lengths"]}
    for diameter in edition["diameters"]:
        if diameter.text("fraction") not in lengths:
            yield _flaw(diameter, "fraction", "has no row in lengths")
    for row in lengths.values():
        if row.number("shortest_dash") >= row.number("longest_dash"):
            yield _flaw(row, "longest_dash", "is not longer than the shortest")


def drills_rise_in_series(edition: Edition) -> Flaws:
    """Fractions are exact, number drills rise as their numbers fall, letters rise."""
    for row in edition["drills"]:
        if row.text("series") == "fraction" and row.number("drill") != row.number("diameter_in"):
            yield _flaw(row, "diameter_in", "is not the fraction")
    for series in ("number", "letter", "fraction"):
        rows = [row for row in edition["drills"] if row.text("series") == series]
        yield from _rising(rows, "diameter_in")


def holes_fit_their_limits(edition: Edition) -> Flaws:
    """Printed drill sizes are the drills' own; finished holes lie inside their limits and clear the shank."""
    drills = {row.text("drill"): row.number("diameter_in") for row in edition["drills"]}
    for row in edition["holes"]:
        drill = drills[row.text("drill")]
        if abs(drill - row.number("printed_in")) > _ROUNDING_IN:
            yield _flaw(row, "printed_in", f"{row.text('drill')} is {float(drill)} in the drill table")
        if drill < row.number("fraction"):
            yield _flaw(row, "drill", "is smaller than the rivet")
        low, high = row.maybe("minimum_in"), row.maybe("maximum_in")
        if low is not None and high is not None and not low <= drill <= high:
            yield _flaw(row, "drill", "lies outside the limits of its own row")
    for row in edition["diameters"]:
        if edition["holes"].find(row.text("fraction"), "final", "1") is None:
            yield _flaw(row, "fraction", "has no final drill in holes")


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


def _not_falling(ladder: list[Row | None], practice: Row) -> Flaws:
    if ladder[0] is None:
        yield _flaw(practice, "practice", "has no minimum in spacing")
    rows = [row for row in ladder if row is not None]
    for before, after in zip(rows, rows[1:], strict=False):
        if after.number("times_d") < before.number("times_d"):
            yield _flaw(after, "times_d", "falls below the figure it should follow")


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
                yield _flaw(material, "alloy", f"has no length rule in practice {practice.text('practice')}")
                continue
            ladder = [rows[figure] for figure in ("minimum", "preferred", "maximum") if figure in rows]
            for before, after in zip(ladder, ladder[1:], strict=False):
                if after.number("times_d") < before.number("times_d"):
                    yield _flaw(after, "times_d", "falls below the figure it should follow")


def formed_heads_are_ordered(edition: Edition) -> Flaws:
    """Minimum <= nominal <= maximum, and no row that is passed over is stricter than the row answers give."""
    for practice in edition["practices"]:
        for material in edition["materials"]:
            for diameter in edition["diameters"]:
                for measure in ("diameter", "height"):
                    yield from _formed_head(edition, practice, material, diameter, measure)


def _formed_head(edition: Edition, practice: Row, material: Row, diameter: Row, measure: str) -> Flaws:
    size = diameter.number("nominal_in")
    figures = []
    for end in ("minimum", "nominal", "maximum"):
        fits = sorted(
            (
                row
                for row in edition["formed_heads"]
                if row.text("practice") == practice.text("practice")
                and row.text("figure") == f"{measure}_{end}"
                and material.text("alloy") in row.words("alloys")
                and row.text("fraction") in ("any", diameter.text("fraction"))
            ),
            key=lambda row: row.number("rank"),
        )
        if not fits and end != "maximum":
            yield _flaw(material, "alloy", f"has no {measure} {end} in practice {practice.text('practice')}")
        values = [_value(row, size) for row in fits]
        if end == "minimum" and values and max(values) > values[0] + _ROUNDING_IN:
            yield _flaw(fits[0], "rank", f"a stricter minimum is passed over for {diameter.text('fraction')}")
        figures += [(values[0], fits[0])] if values else []
    for (low, _), (high, row) in zip(figures, figures[1:], strict=False):
        if high < low:
            yield _flaw(row, "times_d", f"falls below the figure it should follow at {diameter.text('fraction')}")


def _value(row: Row, size: Fraction) -> Fraction:
    value = row.maybe("value_in")
    return row.number("times_d") * size if value is None else value


def shear_is_area_times_stress(edition: Edition) -> Flaws:
    """Area is that of the hole (or shank) and shear is area x stress, within the documents' rounding."""
    for row in edition["shear"]:
        across = row.maybe("hole_in") or row.number("fraction")
        area = math.pi / 4 * float(across) ** 2
        if abs(area - float(row.number("area_in2"))) > 2e-6:
            yield _flaw(row, "area_in2", f"is not the area of {float(across)} in")
        computed = area * float(row.number("stress_ksi")) * 1000
        printed = float(row.number("single_shear_lbf"))
        # the handbook rounds to 5 lbf above 1000 and takes areas to three figures
        if abs(computed - printed) > max(1.5, 0.003 * printed):
            yield _flaw(row, "single_shear_lbf", f"area x stress is {computed:.0f}")


def flush_heads_are_cones(edition: Edition) -> Flaws:
    """Height of a flush head = (head diameter - shank) / (2 tan(half the cone angle))."""
    for row in edition["manufactured_heads"]:
        angle = row.maybe("cone_angle_deg")
        if angle is None:
            continue
        slope = 2 * math.tan(math.radians(float(angle) / 2))
        height = (float(row.number("diameter_in")) - float(row.number("fraction"))) / slope
        if abs(height - float(row.number("height_in"))) > 0.0012:
            yield _flaw(row, "height_in", f"the cone is {height:.4f} in high")


def unit_columns_agree(edition: Edition) -> Flaws:
    """g/cm3 and lb/in3 of one material agree within the printed digits."""
    for row in edition["densities"]:
        metric = row.maybe("g_per_cm3")
        inch = float(row.number("lb_per_in3"))
        if metric is not None and abs(float(metric) / _LB_PER_IN3_IN_G_PER_CM3 - inch) > 0.00065:
            yield _flaw(row, "lb_per_in3", f"{float(metric)} g/cm3 is another density")


def offers_have_a_head(edition: Edition) -> Flaws:
    """Every head standard offers at least one alloy, and every alias leads to one standard."""
    offered = {row.text("standard") for row in edition["offered"]}
    for row in edition["standards"]:
        if row.text("standard") not in offered:
            yield _flaw(row, "standard", "offers no alloy")
        successor = row.text("replaced_by")
        if successor and edition["standards"].find(successor) is None:
            yield _flaw(row, "replaced_by", f"{successor} is not in standards")
    for row in edition["aliases"]:
        if edition["standards"].find(row.text("alias")) is not None:
            yield _flaw(row, "alias", "is a standard of its own")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    diameters_rise_and_agree,
    lengths_form_a_ladder,
    drills_rise_in_series,
    holes_fit_their_limits,
    spacing_figures_rise,
    length_rules_cover_every_alloy,
    formed_heads_are_ordered,
    shear_is_area_times_stress,
    flush_heads_are_cones,
    unit_columns_agree,
    offers_have_a_head,
)


def main(arguments: list[str]) -> int:
    """Print the flaws of an edition, or that it is whole; return the exit code."""
    try:
        edition = load_edition(arguments[0] if arguments else None)
    except TablesError as error:
        print(error, file=sys.stderr)
        return 1
    flaws = check_edition(edition)
    for flaw in flaws:
        print(flaw, file=sys.stderr)
    rows = sum(len(table) for table in edition.tables.values())
    print(f"{edition.name} ({edition.status}) {edition.sha256}: {len(edition.tables)} tables, {rows} rows, ", end="")
    print(f"{len(CHECKS)} relations, {len(flaws)} flaws")
    return 1 if flaws else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
