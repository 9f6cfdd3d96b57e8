"""Relations of the joint tables: cells against their formulas, counts against sheet and size."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import pairwise

from bucktail_tables.errors import BrokenEdition
from bucktail_tables.model import Edition, Row

Flaws = Iterator[BrokenEdition]

_FORMULAS = {"single": (Fraction("0.04"), Fraction(3)), "double": (Fraction("0.13"), Fraction("1.5"))}
_PRINTED_FACTOR = Fraction("0.0025")  # 3/8 at 0.100 is printed 0.972, two thousandths over the formula
_HALF_POUND = Fraction("0.6")
_UNIT_ROUNDING = Fraction(1, 1000)  # the copy prints 3210 where the product is 3212.5
_KSI_BASIS = 100
_SANE_FBRU = (20, 300)  # ksi
_SANE_DESIGN = (10_000, 200_000)  # psi


def _flaw(row: Row, column: str, message: str) -> BrokenEdition:
    return BrokenEdition(row.table, row.line, column, message)


def thin_sheet_factors_follow_their_formula(edition: Edition) -> Flaws:
    """A factor is 1 - slope x (D/t - start), not above 1, within what the documents print."""
    for row in edition["thin_sheet_factors"]:
        slope, start = _FORMULAS[row.text("shear")]
        formula = min(Fraction(1), 1 - slope * (row.number("fraction") / row.number("sheet_in") - start))
        if abs(formula - row.number("factor")) > _PRINTED_FACTOR:
            yield _flaw(row, "factor", f"the formula gives {float(formula):.3f}")


def unit_bearing_is_hole_by_sheet(edition: Edition) -> Flaws:
    """A unit bearing is hole x sheet x 100 ksi, and its hole is the strength tables' own."""
    holes = {row.text("fraction"): row for row in edition["holes"] if row.text("use") == "strength"}
    for row in edition["unit_bearing"]:
        pounds = row.number("hole_in") * row.number("sheet_in") * _KSI_BASIS * 1000
        if abs(pounds - row.number("bearing_lbf")) > max(_HALF_POUND, _UNIT_ROUNDING * pounds):
            yield _flaw(row, "bearing_lbf", f"hole x sheet x {_KSI_BASIS} ksi is {float(pounds):.1f}")
        hole = holes.get(row.text("fraction"))
        if hole is None or hole.number("printed_in") != row.number("hole_in"):
            yield _flaw(row, "hole_in", "is not the strength hole of holes")


def bearing_stresses_rise_with_the_edge(edition: Edition) -> Flaws:
    """A sheet carries more at 2 D than at 1.5 D, its B basis no less than A, and its rows do not overlap."""
    last: dict[str, Row] = {}
    low, high = _SANE_FBRU
    for row in edition["bearing_allowables"]:
        near, far = row.number("fbru_15_ksi"), row.number("fbru_20_ksi")
        if not low <= near < far <= high:
            yield _flaw(row, "fbru_20_ksi", f"{far} after {near} ksi is no bearing stress at 2 D and 1.5 D")
        for column in ("fbru_15", "fbru_20"):
            basis = row.maybe(f"{column}_b_ksi")
            if basis is not None and basis < row.number(f"{column}_ksi"):
                yield _flaw(row, f"{column}_b_ksi", "the B basis is under the A basis")
        if not 0 < row.number("from_in") < row.number("to_in"):
            yield _flaw(row, "to_in", "is not over the thinnest sheet of the row")
        before = last.get(row.text("sheet"))
        if before is not None and before.number("to_in") >= row.number("from_in"):
            yield _flaw(row, "from_in", "overlaps the row before")
        last[row.text("sheet")] = row


def a_sheet_is_named_once(edition: Edition) -> Flaws:
    """No name of a sheet finds two kinds of it, and every name is written as answers look it up."""
    owner: dict[str, str] = {}
    for row in edition["bearing_allowables"]:
        for name in row.text("names").split("|"):
            if name != name.casefold().strip() or not name:
                yield _flaw(row, "names", f"{name!r} is not in small letters")
            if owner.setdefault(name, row.text("sheet")) != row.text("sheet"):
                yield _flaw(row, "names", f"{name} finds {owner[name]} too")


def counts_rise_with_the_sheet(edition: Edition) -> Flaws:
    """Thicker sheet asks for no fewer rivets, and a larger rivet is asked for no more often."""
    rivets = [row for row in edition["splice_counts"] if "/" in row.text("fastener")]
    order = sorted(
        rivets, key=lambda row: (row.text("table"), Fraction(row.text("fastener")), row.number("thickness_in"))
    )
    for before, after in pairwise(order):
        same = before.text("table") == after.text("table") and before.text("fastener") == after.text("fastener")
        if same and after.number("per_inch") < before.number("per_inch"):
            yield _flaw(after, "per_inch", f"is under the {before.text('per_inch')} of a thinner sheet")
    order = sorted(
        rivets, key=lambda row: (row.text("table"), row.number("thickness_in"), Fraction(row.text("fastener")))
    )
    for before, after in pairwise(order):
        same = before.text("table") == after.text("table") and before.number("thickness_in") == after.number(
            "thickness_in"
        )
        if same and after.number("per_inch") > before.number("per_inch"):
            yield _flaw(after, "per_inch", f"is over the {before.text('per_inch')} of a smaller rivet")


def shares_are_percentages(edition: Edition) -> Flaws:
    """A member needs some of the count table and not more than all of it, and a splice all of it."""
    for row in edition["splice_members"]:
        if not 0 < row.number("percent") <= 100:
            yield _flaw(row, "percent", "is not above 0 and up to 100")
    whole = edition["splice_members"].find("splice")
    if whole is None or whole.number("percent") != 100:
        yield BrokenEdition("splice_members", None, "percent", "a splice takes all of the table")


def handbook_strengths_are_stress_by_area(edition: Edition) -> Flaws:
    """The airframe handbook's S is stress x shank area, its B stress x diameter x sheet."""
    for row in edition["handbook_shear"]:
        pounds = float(row.number("stress_psi")) * math.pi / 4 * float(row.number("fraction")) ** 2
        if abs(pounds - float(row.number("shear_lbf"))) > _HALF_POUND:
            yield _flaw(row, "shear_lbf", f"stress x area is {pounds:.1f}")
    for row in edition["handbook_bearing"]:
        exact = row.number("stress_psi") * row.number("fraction") * row.number("sheet_in")
        if abs(exact - row.number("bearing_lbf")) > _HALF_POUND:
            yield _flaw(row, "bearing_lbf", f"stress x diameter x sheet is {float(exact):.1f}")
    design = edition["rules"].find("splice_design_stress")
    low, high = _SANE_DESIGN
    if design is not None and not low <= (design.maybe("value") or 0) <= high:
        yield _flaw(design, "value", f"is not between {low} and {high} psi")


def flush_joints_carry_no_more_than_the_shank(edition: Edition) -> Flaws:
    """A flush joint's ultimate load is at most the driven rivet's shear."""
    for row in edition["flush_joints"]:
        shear = edition["shear"].find(row.text("alloy"), "driven", row.text("fraction"))
        if shear is None or not 0 < row.number("load_lbf") <= shear.number("single_shear_lbf"):
            yield _flaw(row, "load_lbf", "is not within the single shear of the rivet")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    thin_sheet_factors_follow_their_formula,
    unit_bearing_is_hole_by_sheet,
    bearing_stresses_rise_with_the_edge,
    a_sheet_is_named_once,
    counts_rise_with_the_sheet,
    shares_are_percentages,
    handbook_strengths_are_stress_by_area,
    flush_joints_carry_no_more_than_the_shank,
)
