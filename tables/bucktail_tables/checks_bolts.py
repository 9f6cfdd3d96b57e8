"""Relations of bolts and what goes with them: dash ladders, threads, shanks, torques, washers, nuts, cotter pins."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

from bucktail_tables.flaws import ROUNDING_IN, Flaws, flaw, rising
from bucktail_tables.model import Edition, Row

_EIGHTH = Fraction(1, 8)
_THOUSANDTH = Fraction(1, 1000)
_NO_10 = Fraction("0.190")  # a 3/16 bolt is a No. 10
# overall length of AN bolts is the dash in eighths and this
_OFFSETS_IN = {"AN3": Fraction(1, 32), "AN4": Fraction(1, 32), "AN5": Fraction(3, 32), "AN6": Fraction(5, 64)}
# the shortest dash of AN3 and AN4 keeps to no ladder: held to its figures as printed, grip and length
_SHORTEST = {
    ("AN3", "3"): (Fraction("0.063"), Fraction("0.469")),
    ("AN4", "3"): (Fraction("0.063"), Fraction("0.469")),
}
_LAST_EIGHTH = 7
# the ladder read to its end is that of one series alone; others are read as far as every number of it is there
_READ_LADDER, _READ_SERIES, _UNREAD_LADDER = "exact", "NAS62", "sixteenths"
_NAS_FORM = "UNJF"  # distributor transcriptions of the NAS sheets; AN sheets were not read for theirs
_AN_SHANK_IN = Fraction("0.003")  # kit-airplane builder manual
_NAS_SHANK_IN = Fraction("0.001")
_SHANK_UNDER_IN = Fraction("0.005")
_COTTER_HOLE_IN = Fraction("0.010")
_WASHER_NUT = "AN365"  # what AN threads are sized for: race-hardware technical note
_SHEAR_WITHIN = 0.01
# the thread's section is less than the shank's
_TENSION_SHARE = (0.5, 1.0)
# no torque column of the circular is over 0.7 of its tension column, or under half
_SHEAR_SHARE = (Fraction("0.5"), Fraction("0.7"))
_TORQUES = (
    "tension_minimum",
    "tension_maximum",
    "shear_minimum",
    "shear_maximum",
    "tension_allowable",
    "shear_allowable",
)


def _across(fraction: Fraction) -> Fraction:
    """Return the full diameter of a bolt's shank. [in]"""
    return _NO_10 if fraction == Fraction(3, 16) else fraction


def _eighths(row: Row) -> int:
    """Return the dash of an AN bolt as eighths: the first of two digits counts inches."""
    inches, eighths = divmod(int(row.text("dash")), 10)
    return 8 * inches + eighths


def _by_standard(edition: Edition) -> dict[str, list[Row]]:
    ladders: dict[str, list[Row]] = {}
    for row in edition["bolt_grips"]:
        ladders.setdefault(row.text("standard"), []).append(row)
    return ladders


def dashes_count_eighths_without_a_gap(edition: Edition) -> Flaws:
    """An AN dash ends in 0 to 7, and every dash from the shortest to the longest is there."""
    for row in edition["bolt_grips"]:
        if int(row.text("dash")) % 10 > _LAST_EIGHTH:
            yield flaw(row, "dash", "eighths of an inch end at 7")
    for rows in _by_standard(edition).values():
        for before, after in pairwise(rows):
            if _eighths(after) != _eighths(before) + 1:
                yield flaw(after, "dash", f"does not follow {before.text('dash')}")


def lengths_follow_their_dash(edition: Edition) -> Flaws:
    """The length of an AN bolt is its dash in eighths and the offset of its diameter; the shortest as printed."""
    for row in edition["bolt_grips"]:
        shortest = _SHORTEST.get((row.text("standard"), row.text("dash")))
        if shortest is not None:
            if row.number("length_in") != shortest[1]:
                yield flaw(row, "length_in", f"is not {float(shortest[1])} as printed")
            continue
        ladder = _EIGHTH * _eighths(row) + _OFFSETS_IN[row.text("standard")]
        if abs(row.number("length_in") - ladder) > _THOUSANDTH:
            yield flaw(row, "length_in", f"the ladder gives {float(ladder):.3f}")


def grips_rise_by_an_eighth(edition: Edition) -> Flaws:
    """The grip of an AN bolt grows an eighth with each dash, save from the shortest, which is as printed."""
    for rows in _by_standard(edition).values():
        for before, after in pairwise(rows):
            shortest = _SHORTEST.get((before.text("standard"), before.text("dash")))
            if shortest is not None and before.number("grip_in") != shortest[0]:
                yield flaw(before, "grip_in", f"is not {float(shortest[0])} as printed")
            step = after.number("grip_in") - before.number("grip_in")
            # 0.063 and 0.063 are printed for AN4-3 and AN4-4, 0.063 and 0.125 for AN3-3 and AN3-4
            if shortest is None and abs(step - _EIGHTH) > _THOUSANDTH:
                yield flaw(after, "grip_in", f"is {float(step):.3f} over the grip before")
            elif not 0 <= step <= _EIGHTH:
                yield flaw(after, "grip_in", "is not within an eighth of the shortest grip")


def threads_are_length_less_grip(edition: Edition) -> Flaws:
    """What is not grip is thread: one length of it for a diameter."""
    for row in edition["bolt_grips"]:
        series = edition["bolt_series"].find(row.text("standard"))
        if series is None or (row.text("standard"), row.text("dash")) == ("AN4", "3"):
            continue  # AN4-3 is printed 1/16 shorter in the thread: its figures are held as printed
        thread = row.number("length_in") - row.number("grip_in")
        if abs(thread - series.number("thread_length_in")) > 2 * _THOUSANDTH:
            yield flaw(row, "length_in", f"less grip is {float(thread):.3f}, the thread is not")


def bolts_are_their_size(edition: Edition) -> Flaws:
    """A bolt's fraction, its decimal and the sixteenths of its standard are one size."""
    for row in edition["bolt_series"]:
        standard = edition["grip_standards"].find(row.text("standard"))
        sizes = [] if standard is None else standard.words("sizes")
        if row.number("nominal_in") != row.number("fraction"):
            yield flaw(row, "nominal_in", f"is not {row.text('fraction')}")
        if sizes != [str(row.number("fraction") * 16)]:
            yield flaw(row, "fraction", f"the standard comes in {' '.join(sizes) or 'no size'}")


def bolts_are_numbered_by_their_size(edition: Edition) -> Flaws:
    """A bolt that comes in one size tells it by its number: AN4, NAS6204 and NAS1104 are 4/16."""
    for row in edition["grip_standards"]:
        sizes, digits = row.words("sizes"), row.text("standard").lstrip("ANS")
        if row.text("family") == "bolt" and len(sizes) == 1 and int(sizes[0]) != int(digits) % 100:
            yield flaw(row, "sizes", f"{sizes[0]} is not the size of {row.text('standard')}")


def ladders_of_nas_bolts_go_as_far_as_they_were_read(edition: Edition) -> Flaws:
    """The ladder read to its end is of its own series; over some number it has only even ones, and its words say so."""
    for row in edition["grip_standards"]:
        ladder, offers = row.text("ladder"), row.text("offers")
        is_nas = ladder in (_READ_LADDER, _UNREAD_LADDER)
        if is_nas and (ladder == _READ_LADDER) != (offers == _READ_SERIES):
            yield flaw(row, "ladder", f"{ladder} is not the ladder of {offers}")
    for row in edition["grip_ladders"]:
        even_over = row.maybe("even_over")
        if even_over is None:
            continue
        told = f"every number to {row.text('even_over')}, even ones to {row.text('last')}"
        if not row.number("first") < even_over < row.number("last") or even_over % 2:
            yield flaw(row, "even_over", "is no even number between the first and the last")
        elif told not in row.text("text"):
            yield flaw(row, "even_over", f"the words do not say: {told}")
    read, unread = (edition["grip_ladders"].find(name) for name in (_READ_LADDER, _UNREAD_LADDER))
    if read is not None and unread is not None and unread.text("last") != read.text("even_over"):
        yield flaw(unread, "last", f"every number is there to {read.text('even_over') or 'the end'} where it was read")


def threads_of_nas_bolts_have_their_form(edition: Edition) -> Flaws:
    """The form of a thread is told of NAS bolts, whose sheets name it, and of no other."""
    for row in edition["bolt_series"]:
        form = _NAS_FORM if row.text("standard").startswith("NAS") else ""
        if row.text("form") != form:
            yield flaw(row, "form", f"is not {form or 'empty'}")


def threads_are_named(edition: Edition) -> Flaws:
    """A thread's name tells size and threads per inch; the torque table has it, and some of it is complete."""
    for row in edition["bolt_series"]:
        size, _, pitch = row.text("thread").rpartition("-")
        if size != ("10" if row.text("fraction") == "3/16" else row.text("fraction")):
            yield flaw(row, "thread", f"{size} is not the thread of {row.text('fraction')}")
        if pitch != row.text("threads_per_inch"):
            yield flaw(row, "threads_per_inch", f"the thread is {row.text('thread')}")
        if edition["torques"].find(row.text("thread")) is None:
            yield flaw(row, "thread", "has no torque")
        least = (row.maybe("incomplete_thread_in") or 0) + 1 / row.number("threads_per_inch")
        if not least < row.number("thread_length_in") < 2 * row.number("nominal_in") + _EIGHTH:
            yield flaw(row, "thread_length_in", "is no thread of this diameter")


def shanks_lie_under_nominal(edition: Edition) -> Flaws:
    """A shank is no thicker than its size, and is made within the tolerance of its series."""
    for row in edition["bolt_shanks"]:
        series = edition["bolt_series"].find(row.text("standard"))
        low, high = row.number("minimum_in"), row.number("maximum_in")
        nominal = None if series is None else _across(series.number("fraction"))
        if nominal is None:
            yield flaw(row, "standard", "has no row in bolt_series")
        elif not nominal - _SHANK_UNDER_IN <= low < high <= nominal:
            yield flaw(row, "maximum_in", f"{float(low)} to {float(high)} is no shank of {float(nominal)} in")
        tolerance = _NAS_SHANK_IN if row.text("standard").startswith("NAS") else _AN_SHANK_IN
        if high - low != tolerance:
            yield flaw(row, "minimum_in", f"is not {float(tolerance)} under the largest shank")


def cotters_fit_their_holes(edition: Edition) -> Flaws:
    """A cotter hole has a hundredth of tolerance, and the pin of a size passes the hole of every bolt of it."""
    drilled = [row for row in edition["bolt_series"] if row.text("cotter_hole_minimum_in")]
    for row in drilled:
        if row.number("cotter_hole_maximum_in") - row.number("cotter_hole_minimum_in") != _COTTER_HOLE_IN:
            yield flaw(row, "cotter_hole_maximum_in", f"is not {float(_COTTER_HOLE_IN)} over the least")
    for row in edition["cotters"]:
        thick = Fraction(row.text("size").partition(" x ")[0])
        holes = [bolt for bolt in drilled if bolt.text("fraction") == row.text("fraction")]
        if not holes:
            yield flaw(row, "fraction", "no bolt of this size has a cotter hole")
        elif not min(bolt.number("cotter_hole_minimum_in") for bolt in holes) / 2 < thick:
            yield flaw(row, "size", "is loose in the cotter hole")
        elif thick > min(bolt.number("cotter_hole_minimum_in") for bolt in holes):
            yield flaw(row, "size", "does not pass the cotter hole")


def torques_rise(edition: Edition) -> Flaws:
    """Torque grows from least to most to the most allowed, and with the thread; thin nuts take less."""
    for row in edition["torques"]:
        for kind in ("tension", "shear"):
            least, most, allowed = (row.number(f"{kind}_{end}") for end in ("minimum", "maximum", "allowable"))
            if not 0 < least < most < allowed:
                yield flaw(row, f"{kind}_maximum", "does not lie between the least and the most allowed")
        for end in ("minimum", "maximum", "allowable"):
            share = row.number(f"shear_{end}") / row.number(f"tension_{end}")
            if not _SHEAR_SHARE[0] < share < _SHEAR_SHARE[1]:
                yield flaw(row, f"shear_{end}", f"is {float(share):.2f} of the tension column")
    for series in ("fine", "coarse"):
        rows = [row for row in edition["torques"] if row.text("series") == series]
        for column in _TORQUES:
            yield from rising(rows, column)


def washers_pass_the_bolt(edition: Edition) -> Flaws:
    """A washer passes its bolt and is wider than its hole; a light one is half as thick as the regular."""
    regular = {row.text("fraction"): row for row in edition["washers"] if row.text("variant") == "regular"}
    for row in edition["washers"]:
        inside, outside = row.number("inside_in"), row.number("outside_in")
        bolt = _across(row.number("fraction"))
        if not bolt < inside < bolt + Fraction(1, 32):
            yield flaw(row, "inside_in", f"is not a little over the bolt's {float(bolt)}")
        if not 3 * inside / 2 < outside < 3 * inside:
            yield flaw(row, "outside_in", "is no rim around the hole")
        other = regular.get(row.text("fraction"))
        if row.text("variant") == "regular":
            if abs(row.number("thickness_in") - Fraction(1, 16)) > ROUNDING_IN:
                yield flaw(row, "thickness_in", "is not 1/16")
        elif other is None or abs(2 * row.number("thickness_in") - other.number("thickness_in")) > _THOUSANDTH:
            yield flaw(row, "thickness_in", "is not half the regular washer's")


def nuts_and_washers_have_bolts(edition: Edition) -> Flaws:
    """Washers, nuts and cotter pins are of sizes that bolts have, and every nut comes in some size."""
    sizes = {row.text("fraction") for row in edition["bolt_series"]}
    for table in ("washers", "nut_sizes", "cotters"):
        for row in edition[table]:
            if row.text("fraction") not in sizes:
                yield flaw(row, "fraction", "no bolt is of this size")
    sized = {row.text("nut") for row in edition["nut_sizes"]}
    for row in edition["nuts"]:
        # no number of a plain nut was read: its name and its caution are all there is
        if row.text("nut") not in sized and row.text("kind") != "plain":
            yield flaw(row, "nut", "comes in no size")
    for row in edition["nut_sizes"]:
        if not row.text("number").startswith(f"{row.text('nut')}-"):
            yield flaw(row, "number", f"is no number of {row.text('nut')}")


def threads_reach_through_washer_and_nut(edition: Edition) -> Flaws:
    """An AN thread holds a washer, the full-height nut and one thread more, and is not two nuts long."""
    washers = {row.text("fraction"): row for row in edition["washers"] if row.text("variant") == "regular"}
    for row in edition["bolt_series"]:
        nut = edition["nut_sizes"].find(_WASHER_NUT, row.text("fraction"))
        washer = washers.get(row.text("fraction"))
        if nut is None or washer is None or not row.text("standard").startswith("AN"):
            continue
        height = nut.number("height_in")
        needed = washer.number("thickness_in") + height + 1 / row.number("threads_per_inch")
        if not needed <= row.number("thread_length_in") < 2 * height:
            yield flaw(nut, "height_in", f"does not suit the thread of {row.text('standard')}")


def bolt_loads_are_stress_by_area(edition: Edition) -> Flaws:
    """A bolt's shear is its stress times the area of its shank; its tension is that of a thread, which is less."""
    for row in edition["grip_strength"]:
        if not row.text("fraction"):
            continue
        area = math.pi / 4 * float(_across(row.number("fraction"))) ** 2
        shear, tension = row.maybe("single_shear_lbf"), row.maybe("tension_lbf")
        by_area = float(row.number("shear_psi")) * area
        if shear is not None and abs(float(shear) / by_area - 1) > _SHEAR_WITHIN:
            yield flaw(row, "single_shear_lbf", f"stress x area is {by_area:.0f}")
        share = float(tension or 0) / (float(row.number("tension_psi")) * area)
        if tension is not None and not _TENSION_SHARE[0] < share < _TENSION_SHARE[1]:
            yield flaw(row, "tension_lbf", f"is {share:.2f} of stress x area of the shank")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    dashes_count_eighths_without_a_gap,
    lengths_follow_their_dash,
    grips_rise_by_an_eighth,
    threads_are_length_less_grip,
    bolts_are_their_size,
    bolts_are_numbered_by_their_size,
    ladders_of_nas_bolts_go_as_far_as_they_were_read,
    threads_of_nas_bolts_have_their_form,
    threads_are_named,
    shanks_lie_under_nominal,
    cotters_fit_their_holes,
    torques_rise,
    washers_pass_the_bolt,
    nuts_and_washers_have_bolts,
    threads_reach_through_washer_and_nut,
    bolt_loads_are_stress_by_area,
)
