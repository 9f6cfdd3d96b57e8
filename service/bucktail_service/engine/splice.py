"""How many rivets a splice takes: by the count tables and by the strength method.

Tables: splice_tables, splice_counts, splice_members, handbook_shear, handbook_bearing. The two methods rest on
different assumptions; answers show them side by side, each under its own name.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import rule_row
from bucktail_service.engine.rounding import half_even, say
from bucktail_tables.model import Edition, Row

BOLT = "AN-3 bolt"
COUNTED_ALLOY = "AD"


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of a count table: pieces per inch of width, for a sheet as thick as asked or the next thicker row."""

    row: Row
    exact: bool

    @property
    def per_inch(self) -> Fraction:
        """Pieces per inch of width, as printed. [1/in]"""
        return self.row.number("per_inch")


@dataclass(frozen=True, slots=True)
class Strength:
    """The strength method: S and B of one rivet [lbf], the rows behind them, and pieces per inch [1/in]."""

    shear: Fraction
    bearing: Fraction
    rows: tuple[Row, ...]
    shear_tabulated: bool
    bearing_tabulated: bool
    per_inch: Fraction


def choose_table(material: str | None, edition: Edition) -> Row | None:
    """Return the count table for a sheet as a layer names it; the first in the file where two are for it.

    Clad 2024-T3 stands over two tables: the first asks for more rivets.
    """
    words = [word for word in (material or "").casefold().split() if word not in ("clad", "alclad", "bare")]
    wanted = " ".join(words)
    names = {wanted, wanted.partition("-")[0]}
    for row in edition["splice_tables"]:
        if names & set(row.text("alloys").casefold().split("|")):
            return row
    return None


def find_cell(table: str, thickness: Fraction, fastener: str, edition: Edition) -> Cell | None:
    """Return the cell for a sheet [in] and a fastener: `1/8`, or `AN-3 bolt`.

    A thickness between two rows takes the thicker one, which asks for no fewer rivets; None when that row has no cell
    for the fastener, and for sheet thicker than the table's last row.
    """
    rows = [row for row in edition["splice_counts"] if row.text("table") == table]
    thicker = [row.number("thickness_in") for row in rows if row.number("thickness_in") >= thickness]
    if not thicker:
        return None
    used = min(thicker)
    for row in rows:
        if row.number("thickness_in") == used and row.text("fastener") == fastener:
            return Cell(row, used == thickness)
    return None


def fasteners_at(table: str, thickness: Fraction, edition: Edition) -> list[str]:
    """Return the fasteners that have a cell for a sheet [in]."""
    names = dict.fromkeys(row.text("fastener") for row in edition["splice_counts"])
    return [name for name in names if find_cell(table, thickness, name, edition) is not None]


def count_pieces(per_inch: Fraction, member: Row, width: Fraction) -> tuple[int, list[str]]:
    """Return the pieces a width takes, and the steps in the printed order of rounding.

    Args:
        per_inch: The cell of the count table. [1/in]
        member: The row of the member: its share of the table, and what is rounded first.
        width: Width across the load. [in]
    """
    share = member.number("percent") / 100
    shown, wide = _plain(per_inch), _plain(width)
    if member.text("rounding") == "tenth":
        tenth = Fraction(math.floor(per_inch * share * 10 + Fraction(1, 2)), 10)
        pieces = math.ceil(tenth * width)
        first = f"{shown} x {_plain(share)} = {_plain(per_inch * share)}, to one decimal {_plain(tenth)} per inch"
        return pieces, [first, f"{wide} in x {_plain(tenth)} = {_plain(tenth * width)}, up to {pieces}"]
    whole = math.ceil(per_inch * width)
    steps = [f"{wide} in x {shown} = {_plain(per_inch * width)}, up to {whole}"]
    if share == 1:
        return whole, steps
    pieces = math.ceil(whole * share)
    return pieces, [*steps, f"{whole} x {_plain(share)} = {_plain(whole * share)}, up to {pieces}"]


def strength_method(
    number: str, fraction: str, diameter: Fraction, thickness: Fraction, edition: Edition
) -> Strength | None:
    """Return the strength method for a rivet and a sheet: N = L x T x 75000 / min(S, B); None without S.

    Args:
        number: Alloy number of the rivet, `2117`.
        fraction: Its diameter, as the tables name it.
        diameter: Nominal shank diameter. [in]
        thickness: Thickness of the sheet, T. [in]
        edition: The tables to read.

    A size or a thickness without a cell is worked out from the stress of the cells beside it.
    """
    shear = edition["handbook_shear"].find(number, fraction)
    alike = shear or next((row for row in edition["handbook_shear"] if row.text("number") == number), None)
    if alike is None:
        return None
    bearings = [row for row in edition["handbook_bearing"] if row.text("fraction") == fraction]
    bearing = next((row for row in bearings if row.number("sheet_in") == thickness), None)
    near = bearing or next(iter(bearings), None) or next(iter(edition["handbook_bearing"]))
    area = Fraction(math.pi / 4) * diameter**2
    pounds = Fraction(round(alike.number("stress_psi") * area)) if shear is None else shear.number("shear_lbf")
    crushed = near.number("stress_psi") * diameter * thickness if bearing is None else bearing.number("bearing_lbf")
    stress = rule_row(edition, "rules", "splice_design_stress")
    per_inch = thickness * stress.number("value") / min(pounds, crushed)
    return Strength(pounds, crushed, (alike, near, stress), shear is not None, bearing is not None, per_inch)


def strength_pieces(method: Strength, width: Fraction) -> int:
    """Return the pieces each side of the break for a width, L. [in]"""
    return math.ceil(method.per_inch * width)


def strength_steps(method: Strength, thickness: Fraction, width: Fraction) -> list[str]:
    """Return the strength method written out."""
    least = min(method.shear, method.bearing)
    which = "S" if method.shear <= method.bearing else "B"
    stress, total = method.rows[2].text("value"), half_even(method.per_inch * width, 2)
    sum_ = f"{_plain(width)} in x {say(thickness)} in x {stress} psi / {_plain(least)} lbf = {total}"
    return [
        f"S = {_plain(method.shear)} lbf, B = {_plain(method.bearing)} lbf; the lower, {which}, rules",
        f"{sum_}, up to {strength_pieces(method, width)}",
    ]


def _plain(value: Fraction) -> str:
    """Return a number for a sentence: at most four decimals, no more than it needs."""
    return f"{half_even(value, 4):.4f}".rstrip("0").rstrip(".")
