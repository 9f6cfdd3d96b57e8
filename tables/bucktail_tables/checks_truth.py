"""Relations between tables that stand in no one of them: geometry, arithmetic, what another document prints.

A row that a relation leaves aside stands in `EXCEPTIONS` with the figure it is held to instead, as its document prints
it, and why: the report of an edition lists them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from bucktail_tables.flaws import ROUNDING_IN, Flaws, flaw
from bucktail_tables.model import Edition, Row


@dataclass(frozen=True, slots=True)
class Aside:
    """A row that a relation does not hold for.

    Attributes:
        table: Its table.
        key: Its key.
        column: The column that is held to a figure instead.
        printed: That figure.
        why: What is otherwise.
    """

    table: str
    key: tuple[str, ...]
    column: str
    printed: str
    why: str


_UNDER_HEAD = "the head is higher than this sheet, and answers refuse it"
_SHEETS = (
    ("civil", "flush-100", "3/32", "0.032"),
    ("civil", "flush-100", "1/8", "0.04"),
    ("civil", "flush-100", "5/32", "0.05"),
    ("civil", "flush-100", "3/16", "0.063"),
    ("civil", "flush-100", "1/4", "0.071"),
    ("military", "flush-100", "1/4", "0.072"),
    *(
        (practice, "reduced-flush-100", fraction, "0.0315")
        for practice in ("civil", "military")
        for fraction in ("5/32", "3/16", "1/4")
    ),
)
EXCEPTIONS: tuple[Aside, ...] = (
    *(Aside("countersinks", row[:3], "sheet_minimum_in", row[3], _UNDER_HEAD) for row in _SHEETS),
    Aside("splice_counts", ("4-9", "0.032", "5/32"), "per_inch", "3.9", "sheet and hole give 4.03"),
    Aside("splice_counts", ("4-9", "0.102", "AN-3 bolt"), "per_inch", "3.4", "its hole gives 3.29"),
    Aside("splice_counts", ("4-9", "0.128", "AN-3 bolt"), "per_inch", "3.2", "its hole gives 3.29"),
    Aside("shank_tolerances", ("5/32",), "plus_in", "0.003", "the thickest shank is 0.00025 in over the #21 drill"),
    Aside("shank_tolerances", ("3/8",), "plus_in", "0.004", "the thickest shank is 0.002 in over the V drill"),
)
_ASIDE = {(entry.table, entry.key): entry for entry in EXCEPTIONS}

_SPACED = {"edge_minimum": Fraction(1, 2), "pitch_minimum": Fraction(1), "staggered_pitch_minimum": Fraction(1)}
# a service and repair manual of the 1940s prints drills with their sizes (par. 16)
_DRILLS_PRINTED = {"#52": "0.0635", "#41": "0.096", "#30": "0.1285", "#22": "0.157", "#12": "0.189"}
_NUMBERS = range(1, 81)
# rivets per inch = the larger of 1 / (b x hole) and sheet / (share x hole area): the share in shear stands in
# splice_tables; b is worked out from the cells of FAA AC 43.13-1B tables 4-9 to 4-11, whose notes say 1.60 for all
_BEARING = {"4-9": 1.60, "4-10": 1.60, "4-11": 1.65}
_COUNT_WITHIN = 0.08
_NO_10_IN = 0.19
_GAUGES = range(36)
_DENSITY_WITHIN = Fraction(5, 1000)
_LB_PER_IN3 = Fraction("27.6799")  # g/cm3
_NUT_FACTOR = Fraction(1, 5)  # torque = a fifth of diameter x tension: dry steel threads, common practice, no source


def _held(row: Row, column: str, holds: bool, message: str) -> Flaws:
    """Yield a flaw where a relation does not hold, save for a row that it leaves aside and that is as printed."""
    entry = _ASIDE.get((row.table, row.key))
    if holds or (entry is not None and entry.column == column and row.number(column) == Fraction(entry.printed)):
        return
    yield flaw(row, column, message)


def _strength_holes(edition: Edition) -> dict[str, Fraction]:
    return {row.text("fraction"): row.number("printed_in") for row in edition["holes"] if row.text("use") == "strength"}


def _head_kinds(edition: Edition) -> dict[str, str]:
    """Return `flush` or `protruding` by standard."""
    return {
        row.text("standard"): "flush" if row.text("cone_angle_deg") else "protruding" for row in edition["standards"]
    }


def heads_lie_on_the_sheet(edition: Edition) -> Flaws:
    """Manufactured heads neither reach over the edge nor onto one another at the least spacing of their practice."""
    kinds = _head_kinds(edition)
    for row in edition["spacing"]:
        share = _SPACED.get(row.text("figure"))
        if share is None:
            continue
        for head in edition["manufactured_heads"]:
            room = row.number("times_d") * head.number("fraction") + (row.maybe("plus_in") or 0)
            fits = row.text("heads") in ("any", kinds[head.text("standard")])
            if fits and room < share * head.number("diameter_in"):
                yield flaw(row, "times_d", f"a {head.text('standard')} head of {head.text('fraction')} has no room")
                break


def formed_heads_lie_on_the_sheet(edition: Edition) -> Flaws:
    """The widest formed head of a practice has room at its least edge distance and pitch."""
    for row in edition["formed_heads"]:
        across = row.maybe("times_d")
        if row.text("figure") != "diameter_maximum" or across is None:
            continue
        for spacing in edition["spacing"]:
            share = _SPACED.get(spacing.text("figure"))
            same = spacing.text("practice") == row.text("practice")
            if share is not None and same and spacing.number("times_d") < share * across:
                yield flaw(row, "times_d", f"has no room at {spacing.text('figure')} {spacing.text('times_d')} D")
                break


def edges_are_inside_the_bearing_tables(edition: Edition) -> Flaws:
    """No practice lets a fastener nearer the edge than bearing stresses are tabulated for."""
    least = edition["rules"].find("bearing_edge_least")
    for row in edition["spacing"]:
        if least is not None and row.text("figure") == "edge_minimum" and row.number("times_d") < least.number("value"):
            yield flaw(row, "times_d", f"no bearing is tabulated under {least.text('value')} D")


def countersunk_sheets_hold_the_head(edition: Edition) -> Flaws:
    """A sheet that may be countersunk is thicker than the head is high."""
    heads = {row.text("standard"): row.text("head") for row in edition["standards"]}
    heights: dict[tuple[str, str], Fraction] = {}
    for row in edition["manufactured_heads"]:
        heights.setdefault((heads[row.text("standard")], row.text("fraction")), row.number("height_in"))
    for row in edition["countersinks"]:
        height = heights.get((row.text("head"), row.text("fraction")), Fraction(0))
        holds = row.number("sheet_minimum_in") > height
        yield from _held(row, "sheet_minimum_in", holds, f"the head is {float(height)} in high: a knife edge")


def blind_and_solid_heads_need_one_sheet(edition: Edition) -> Flaws:
    """TM 9-2320-363-34-2 Table 4 is one table for 100-deg heads: both tables that hold it say the same."""
    for row in edition["grip_heads"]:
        solid = edition["countersinks"].find("military", "flush-100", row.text("fraction"))
        if row.text("heads") != "blind-flush" or row.text("figure") != "sheet" or solid is None:
            continue
        if row.number("minimum_in") != solid.number("sheet_minimum_in"):
            yield flaw(row, "minimum_in", f"countersinks says {solid.text('sheet_minimum_in')}")


def reduced_heads_are_smaller(edition: Edition) -> Flaws:
    """A reduced flush head is narrower and lower than the flush head of the same size."""
    kinds = {row.text("standard"): row.text("head") for row in edition["standards"]}
    full = {
        row.text("fraction"): row for row in edition["manufactured_heads"] if kinds[row.text("standard")] == "flush-100"
    }
    for row in edition["manufactured_heads"]:
        other = full.get(row.text("fraction"))
        if kinds[row.text("standard")] != "reduced-flush-100" or other is None:
            continue
        for column in ("diameter_in", "height_in"):
            if row.number(column) >= other.number(column):
                yield flaw(row, column, f"is not under the {other.text(column)} of {other.text('standard')}")


def drills_are_all_there(edition: Edition) -> Flaws:
    """No number from 1 to 80 and no letter is missing between others: a hole is measured with the drill that fits."""
    drills = edition["drills"]
    for series, names in (("number", [f"#{at}" for at in _NUMBERS]), ("letter", [chr(at) for at in range(65, 91)])):
        rows = [row for row in drills if row.text("series") == series]
        for name in names:
            if rows and drills.find(series, name) is None:
                yield flaw(rows[0], "series", f"{name} is missing")


def drills_are_as_printed_elsewhere(edition: Edition) -> Flaws:
    """Drills that a document of its own prints with their sizes have those."""
    for row in edition["drills"]:
        printed = _DRILLS_PRINTED.get(row.text("drill"))
        if printed is not None and row.number("diameter_in") != Fraction(printed):
            yield flaw(row, "diameter_in", f"is printed {printed} in another document")


def strength_rests_on_one_hole(edition: Edition) -> Flaws:
    """The hole whose area carries the shear is the one the holes table gives for strength."""
    holes = _strength_holes(edition)
    for row in edition["shear"]:
        hole = row.maybe("hole_in")
        if hole is not None and hole != holes.get(row.text("fraction")):
            yield flaw(row, "hole_in", "is not the strength hole of holes")


def shanks_pass_their_drill(edition: Edition) -> Flaws:
    """The thickest shank that the tolerance allows passes the final drill."""
    drills = {row.text("drill"): row.number("diameter_in") for row in edition["drills"]}
    for row in edition["shank_tolerances"]:
        hole = edition["holes"].find(row.text("fraction"), "final", "1")
        if hole is None:
            continue
        drill = drills[hole.text("drill")]
        thickest = row.number("fraction") + row.number("plus_in")
        yield from _held(row, "plus_in", thickest <= drill, f"the drill is {float(drill)} in")


def one_metal_has_one_density(edition: Edition) -> Flaws:
    """A metal that is a rivet and a layer weighs the same as both, in either unit."""
    rivets = {row.text("number"): row for row in edition["densities"]}
    for row in edition["layer_materials"]:
        for name in (row.text("material"), *row.text("also").split("|")):
            other, layer = rivets.get(name), row.maybe("g_per_cm3")
            if other is None or layer is None:
                continue
            rivet = other.maybe("g_per_cm3") or other.number("lb_per_in3") * _LB_PER_IN3
            if abs(layer / rivet - 1) > _DENSITY_WITHIN:
                yield flaw(row, "g_per_cm3", f"is {float(rivet):.2f} in densities")


def counts_follow_hole_and_sheet(edition: Edition) -> Flaws:
    """A count of FAA AC 43.13-1B is what bearing or shear asks for, worked out from its engineering notes."""
    holes = _strength_holes(edition)
    for row in edition["splice_counts"]:
        bearing, table = _BEARING.get(row.text("table")), edition["splice_tables"].find(row.text("table"))
        fastener = row.text("fastener")
        if bearing is None or table is None or ("/" in fastener and fastener not in holes):
            continue
        shear = float(table.number("shear_percent")) / 100
        if "/" in fastener:
            hole = float(holes[fastener])
            count = max(1 / (bearing * hole), float(row.number("thickness_in")) / (shear * math.pi / 4 * hole**2))
        else:
            count = 1 / (bearing * _NO_10_IN)  # a steel bolt is never short of shear here
        holds = abs(count - float(row.number("per_inch"))) <= _COUNT_WITHIN
        yield from _held(row, "per_inch", holds, f"hole and sheet give {count:.2f}")


def counted_sheets_are_gauges(edition: Edition) -> Flaws:
    """The sheets of the count tables are those of the American gauge: 0.005 x 92^((36 - n) / 39) in."""
    gauges = [Fraction(0.005 * 92 ** ((36 - number) / 39)) for number in _GAUGES]
    for row in edition["splice_counts"]:
        sheet = row.number("thickness_in")
        if not any(abs(sheet - gauge) <= ROUNDING_IN for gauge in gauges):
            yield flaw(row, "thickness_in", "is no gauge")


def bearing_sheets_are_thick_enough(edition: Edition) -> Flaws:
    """The unit bearing table holds no sheet thinner than MIL-HDBK-5 lets it be used for."""
    thinnest = edition["rules"].find("bearing_thinnest")
    for row in edition["unit_bearing"]:
        share = row.number("sheet_in") / row.number("fraction")
        if thinnest is not None and share < thinnest.number("value"):
            yield flaw(row, "sheet_in", f"is under {thinnest.text('value')} D: a test is required")


def flush_joints_gain_with_the_sheet(edition: Edition) -> Flaws:
    """A flush joint carries no less in thicker sheet, dimpled no less than countersunk, and yields before it fails."""
    rows = sorted(edition["flush_joints"], key=lambda row: (*row.key[:2], *row.key[3:], row.number("sheet_in")))
    for before, after in pairwise(rows):
        same = (before.key[:2], before.key[3:]) == (after.key[:2], after.key[3:])
        if same and after.number("load_lbf") < before.number("load_lbf"):
            yield flaw(after, "load_lbf", f"is under the {before.text('load_lbf')} of a thinner sheet")
    for row in rows:
        alloy, fraction, sheet, preparation, strength = row.key
        dimpled = edition["flush_joints"].find(alloy, fraction, sheet, "dimpled", strength)
        ultimate = edition["flush_joints"].find(alloy, fraction, sheet, preparation, "ultimate")
        if strength == "ultimate" and dimpled is not None and row.number("load_lbf") > dimpled.number("load_lbf"):
            yield flaw(row, "load_lbf", f"is over the {dimpled.text('load_lbf')} of dimpled sheet")
        if ultimate is not None and row.number("load_lbf") > ultimate.number("load_lbf"):
            yield flaw(row, "load_lbf", f"is over the ultimate load, {ultimate.text('load_lbf')}")


def torques_leave_the_bolt_whole(edition: Edition) -> Flaws:
    """The most torque allowed pulls an AN bolt by no more than it carries in tension."""
    for row in edition["bolt_series"]:
        torque = next((entry for entry in edition["torques"] if entry.text("thread") == row.text("thread")), None)
        bolt = edition["grip_strength"].find("AN-bolt", "steel", row.text("fraction"))
        if not row.text("standard").startswith("AN") or torque is None or bolt is None:
            continue
        most, carried = torque.maybe("tension_allowable"), bolt.maybe("tension_lbf")
        if most is not None and carried is not None and most > _NUT_FACTOR * row.number("fraction") * carried:
            yield flaw(torque, "tension_allowable", f"pulls a {row.text('standard')} by more than {carried} lbf")


def other_names_are_of_one_number(edition: Edition) -> Flaws:
    """What a part is also called has its number: NASM20470 is MS20470, AN470 became it."""
    for row in edition["aliases"]:
        alias, number = row.text("alias"), row.text("standard").lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
        expected = {"same part": number, "superseded": number.removeprefix("20")}.get(row.text("relation"))
        if expected is not None and alias.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ") != expected:
            yield flaw(row, "alias", f"is not of number {number}")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    heads_lie_on_the_sheet,
    formed_heads_lie_on_the_sheet,
    edges_are_inside_the_bearing_tables,
    countersunk_sheets_hold_the_head,
    blind_and_solid_heads_need_one_sheet,
    reduced_heads_are_smaller,
    drills_are_all_there,
    drills_are_as_printed_elsewhere,
    strength_rests_on_one_hole,
    shanks_pass_their_drill,
    one_metal_has_one_density,
    counts_follow_hole_and_sheet,
    counted_sheets_are_gauges,
    bearing_sheets_are_thick_enough,
    flush_joints_gain_with_the_sheet,
    torques_leave_the_bolt_whole,
    other_names_are_of_one_number,
)
