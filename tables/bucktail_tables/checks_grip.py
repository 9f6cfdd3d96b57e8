"""Relations of fasteners chosen by grip: grip ranges, holes, flush heads, strengths, limits."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

from bucktail_tables.flaws import ROUNDING_IN, Flaws, flaw
from bucktail_tables.model import Edition, Row

_SIXTEENTH = Fraction(1, 16)
_AN_STEP_IN = Fraction(1, 8)
_MOST_COUNTED = 3
_THOUSANDTH = Fraction(1, 1000)
_TEN_THOUSANDTH = Fraction(1, 10_000)
# printed ranges of a ladder of another name, and the ladder they agree with
_PRINTED_AS = {"mechanically-locked": "maximum-nas", "lockbolt": "lockbolt", "break-stem": "break-stem"}
# the drill these rows name is not inside their limits: held to what the documents give, drill and least hole
_DRILL_UNDER_LEAST = {
    ("break-stem", "3/16"): (Fraction("0.191"), Fraction("0.192")),  # printed so: TM 10-5410-223-24 Table 2-3
    ("pull-stem", "3/16"): (Fraction("0.191"), Fraction("0.192")),  # taken from it
    ("locked", "1/8"): (Fraction("0.1285"), Fraction("0.129")),  # recalled so: as if rounded to thousandths
}
# holes inferred from those printed for another kind of blind rivet of the same size
_TAKEN_FROM = {"pull-stem": "break-stem"}
_MOST_HOLE_D = Fraction("1.13")
_SANE_HEAD_D = (Fraction("1.5"), Fraction("2.1"))
_SANE_PSI = (20_000, 200_000)
_BREAK_STEM_TAIL_IN = (Fraction(1, 16), Fraction(1, 4))
_PROTRUSION_WINDOW_IN = _SIXTEENTH + Fraction("0.020")
_WITH_VALUE = "measured"
_MOST = {"in": Fraction(1), "lbf": Fraction(100), "percent": Fraction(100)}


def _break_stem(edition: Edition) -> list[Row]:
    return [row for row in edition["grip_ranges"] if row.text("ladder") == "break-stem"]


def ladders_count_up(edition: Edition) -> Flaws:
    """A ladder's numbers rise, one number holds a sixteenth, or two around its middle, and the first holds some."""
    for row in edition["grip_ladders"]:
        first, last = row.maybe("first"), row.maybe("last")
        if (first is None) != (last is None) or (first is not None and not 1 <= first < (last or 0) <= 100):
            yield flaw(row, "last", "is not over the first number")
        below, above = row.maybe("below_in"), row.maybe("above_in")
        if (below is None) != (above is None):
            yield flaw(row, "above_in" if above is None else "below_in", "the other end stands alone")
        elif below is not None and above is not None and (below + above) / _SIXTEENTH not in {0, 1, 2}:
            yield flaw(row, "below_in", "and above_in are no range of sixteenths")
        least = row.maybe("least_in")
        if least is not None and not 0 < least < _SIXTEENTH:
            yield flaw(row, "least_in", "is not within the first sixteenth")


def printed_ranges_follow_their_ladder(edition: Edition) -> Flaws:
    """Printed ranges are those of the rule, to the four decimals the documents print."""
    for row in edition["grip_ranges"]:
        ladder = edition["grip_ladders"].find(_PRINTED_AS.get(row.text("ladder"), ""))
        if ladder is None or not ladder.text("below_in"):
            continue  # no rule: the printed chart is the ladder
        middle = row.number("number") / 16
        low, high = middle - ladder.number("below_in"), middle + ladder.number("above_in")
        least = row.maybe("minimum_in")
        if least is None:
            if row.number("number") != 1:
                yield flaw(row, "minimum_in", "is blank, which it is printed for grip 1 alone")
        elif abs(least - low) > _TEN_THOUSANDTH / 2:
            yield flaw(row, "minimum_in", f"the rule gives {float(low)}")
        if abs(row.number("maximum_in") - high) > _TEN_THOUSANDTH / 2:
            yield flaw(row, "maximum_in", f"the rule gives {float(high)}")


def ladders_end_where_they_are_printed(edition: Edition) -> Flaws:
    """A ladder whose ranges are printed goes on as far as they do, and no further."""
    for printed, name in _PRINTED_AS.items():
        numbers = [row.number("number") for row in edition["grip_ranges"] if row.text("ladder") == printed]
        ladder = edition["grip_ladders"].find(name)
        if ladder is not None and numbers and ladder.number("last") != max(numbers):
            yield flaw(ladder, "last", f"the last printed is {max(numbers)}")


def break_stem_ranges_end_at_their_number(edition: Edition) -> Flaws:
    """A break-stem grip ends at its sixteenths, and the rivet is longer than it."""
    for row in _break_stem(edition):
        if len(row.text("diameter")) != 1:
            yield flaw(row, "diameter", "is not one digit, as the first of the number must be")
        low, high = row.number("minimum_in"), row.number("maximum_in")
        if abs(high - row.number("number") / 16) > _THOUSANDTH:
            yield flaw(row, "maximum_in", f"is not {row.text('number')} sixteenths")
        if not 0 < low < high:
            yield flaw(row, "minimum_in", "is not under the most grip")
        tail = row.number("length_in") - high
        if not _BREAK_STEM_TAIL_IN[0] < tail < _BREAK_STEM_TAIL_IN[1]:
            yield flaw(row, "length_in", f"is {float(tail):.3f} over the most grip")


def break_stem_ranges_rise(edition: Edition) -> Flaws:
    """Within a diameter a break-stem grip begins over the one before, and its rivet is longer."""
    for before, after in pairwise(_break_stem(edition)):
        if before.text("diameter") != after.text("diameter"):
            continue
        if after.number("number") <= before.number("number"):
            yield flaw(after, "number", f"does not rise above {before.text('number')}")
        # a thousandth lies between printed neighbours
        if after.number("minimum_in") <= before.number("maximum_in"):
            yield flaw(after, "minimum_in", "overlaps the grip before")
        if after.number("length_in") <= before.number("length_in"):
            yield flaw(after, "length_in", "is no longer than the grip before")


def grip_holes_pass_the_shank(edition: Edition) -> Flaws:
    """Hole limits stand over the shank, the least under the most, and the drill lies between them."""
    drills = {row.text("drill"): row.number("diameter_in") for row in edition["drills"]}
    for row in edition["grip_holes"]:
        shank = row.maybe("shank_in") or row.number("fraction")
        low, high = row.maybe("minimum_in"), row.maybe("maximum_in")
        drill = drills[row.text("drill")]
        if low is None or high is None:
            if not row.text("fit"):
                yield flaw(row, "minimum_in" if low is None else "maximum_in", "is empty, and no fit is told")
            continue
        if not shank < low < high:
            yield flaw(row, "minimum_in", "does not lie between the shank and the largest hole")
        printed = _DRILL_UNDER_LEAST.get((row.text("holes"), row.text("fraction")))
        if printed is not None:
            if (drill, low) != printed:
                yield flaw(row, "drill", f"and least hole are {float(printed[0])} and {float(printed[1])} as printed")
        elif not low <= drill <= high:
            yield flaw(row, "drill", "lies outside the limits of its own row")
        if not high / shank <= _MOST_HOLE_D:
            yield flaw(row, "maximum_in", f"is over {float(_MOST_HOLE_D)} times the shank")


def holes_taken_from_others_agree_with_them(edition: Edition) -> Flaws:
    """Where the holes of one kind are inferred from another's, drill and limits are the same."""
    for row in edition["grip_holes"]:
        kind = _TAKEN_FROM.get(row.text("holes"))
        if kind is None:
            continue
        printed = edition["grip_holes"].find(kind, row.text("fraction"))
        if printed is None:
            yield flaw(row, "fraction", f"none is printed for {kind}")
        for column in ("drill", "minimum_in", "maximum_in"):
            if printed is not None and row.text(column) != printed.text(column):
                yield flaw(row, column, f"is {printed.text(column)} where it was printed")


def shanks_of_holes_are_their_size(edition: Edition) -> Flaws:
    """A shank is of its nominal size, or a sixty-fourth over where the holes are for oversize shanks."""
    for row in edition["grip_holes"]:
        shank = row.maybe("shank_in")
        over = Fraction(1, 64) if row.text("holes") == "locked-oversize" else Fraction(0)
        if shank is None:
            if over:
                yield flaw(row, "shank_in", "is empty for an oversize shank")
        elif abs(shank - row.number("fraction") - over) > ROUNDING_IN:
            yield flaw(row, "shank_in", f"is not {float(row.number('fraction') + over)}")


def clearance_drills_are_the_next_letter(edition: Edition) -> Flaws:
    """An AN bolt is drilled for with the first letter drill over its size (FAA AC 43.13-1B 7-39)."""
    letters = [row for row in edition["drills"] if row.text("series") == "letter"]
    for row in edition["grip_holes"]:
        if row.text("holes") != "an-bolt":
            continue
        over = [drill for drill in letters if drill.number("diameter_in") > row.number("fraction")]
        if not over:
            yield flaw(row, "fraction", "is over every letter drill")
        elif row.text("drill") != over[0].text("drill"):
            yield flaw(row, "drill", f"the first letter drill over {row.text('fraction')} is {over[0].text('drill')}")


def flush_heads_fit_shank_and_hole(edition: Edition) -> Flaws:
    """A flush head is wider than its shank, the shank passes the least hole, and thicker rivets need thicker sheet."""
    heads = edition["grip_heads"]
    least_sheet: Row | None = None
    for row in heads:
        size, low, high = row.number("fraction"), row.maybe("minimum_in"), row.maybe("maximum_in")
        if low is not None and high is not None and not low < high:
            yield flaw(row, "maximum_in", "is not over the least")
        figure = row.text("figure")
        if figure == "diameter":
            if high is None or not _SANE_HEAD_D[0] <= high / size <= _SANE_HEAD_D[1]:
                yield flaw(row, "maximum_in", "is no diameter of a flush head of this size")
            yield from _inside_flush_limits(row, edition)
        elif figure == "shank":
            yield from _passes_the_hole(row, edition)
        else:
            if low is None or not Fraction("0.02") <= low < size:
                yield flaw(row, "minimum_in", "is no sheet for a head of this size")
            elif least_sheet is not None and low < least_sheet.number("minimum_in"):
                yield flaw(row, "minimum_in", f"is under the {least_sheet.text('minimum_in')} of a smaller rivet")
            least_sheet = row


def _inside_flush_limits(row: Row, edition: Edition) -> Flaws:
    """Yield a flaw where a standard's head lies outside the countersinks printed for 100-deg rivets at large."""
    limits = edition["grip_heads"].find("blind-flush", row.text("fraction"), "diameter")
    if limits is None or limits is row or row.maybe("maximum_in") is None:
        return
    if not limits.number("minimum_in") <= row.number("maximum_in") <= limits.number("maximum_in"):
        yield flaw(row, "maximum_in", "lies outside the limits of 100-deg blind rivets at large")


def _passes_the_hole(row: Row, edition: Edition) -> Flaws:
    """Yield a flaw where the largest shank of a standard does not pass its least hole, or is of another size."""
    standard = edition["grip_standards"].find(row.text("heads"))
    hole = None if standard is None else edition["grip_holes"].find(standard.text("holes"), row.text("fraction"))
    if hole is None:
        yield flaw(row, "fraction", "has no hole")
        return
    low, high = row.number("minimum_in"), row.number("maximum_in")
    if high >= hole.number("minimum_in"):
        yield flaw(row, "maximum_in", f"does not pass the least hole, {hole.text('minimum_in')}")
    if not low < row.number("fraction") < high or high - low != Fraction("0.0045"):
        yield flaw(row, "minimum_in", "and maximum_in are not the size with +.0035 -.001")


def strengths_are_those_of_offered_metals(edition: Edition) -> Flaws:
    """A strength belongs to a material that is offered; stresses are those of metals."""
    low, high = _SANE_PSI
    for row in edition["grip_strength"]:
        if edition["grip_offered"].find(row.text("offers"), row.text("alloy")) is None:
            yield flaw(row, "alloy", f"{row.text('alloy')} is not offered by {row.text('offers')}")
        for column in ("shear_psi", "tension_psi"):
            psi = row.maybe(column)
            if psi is not None and not low <= psi <= high:
                yield flaw(row, column, f"is not between {low} and {high} psi")
        if row.maybe("shear_psi") is None and row.maybe("single_shear_lbf") is None:
            yield flaw(row, "shear_psi", "neither stress nor load is told")


def protrusions_leave_one_window(edition: Edition) -> Flaws:
    """A pin stands out within 1/16 and 0.020 in, whatever its size, more for a thicker one; every size has a window."""
    rows = list(edition["pin_protrusions"])
    for row in rows:
        low, high = row.number("minimum_in"), row.number("maximum_in")
        if abs(high - low - _PROTRUSION_WINDOW_IN) > _THOUSANDTH:
            yield flaw(row, "maximum_in", f"is {float(high - low):.3f} over the least")
        if low <= row.number("fraction"):
            yield flaw(row, "minimum_in", "is not over the diameter")
    for before, after in pairwise(rows):
        if after.number("minimum_in") <= before.number("minimum_in"):
            yield flaw(after, "minimum_in", "does not rise above the smaller pin's")
    for standard in edition["grip_standards"]:
        if standard.text("ladder") != "threaded-pin":
            continue
        for size in standard.words("sizes"):
            if edition["pin_protrusions"].find(standard.text("standard"), str(Fraction(int(size), 32))) is None:
                yield flaw(standard, "sizes", f"{size} has no protrusion")


def limits_of_inspection_are_measures(edition: Edition) -> Flaws:
    """What is measured has a value and its unit, what is looked at has neither."""
    for row in edition["grip_inspection"]:
        value, unit = row.maybe("value"), row.text("unit")
        if row.text("kind") != _WITH_VALUE:
            if value is not None or unit:
                yield flaw(row, "value", "stands beside something to look at")
        elif value is None or not unit:
            yield flaw(row, "value" if value is None else "unit", "is empty beside something to measure")
        elif not 0 < value <= _MOST[unit]:
            yield flaw(row, "value", f"is not above 0 and up to {_MOST[unit]} {unit}")


def rules_agree_with_the_ladders(edition: Edition) -> Flaws:
    """Rules that say a figure of the ladders again say the same, and limits leave room between them."""
    rules = edition["rules"]
    for name, ladder in (("grip_stack_tolerance", "maximum-nas"), ("threaded_counterbore", "threaded-pin")):
        rule, row = rules.find(name), edition["grip_ladders"].find(ladder)
        if rule is not None and row is not None:
            width = row.number("below_in") + row.number("above_in")
            if rule.maybe("value") != width:
                yield flaw(rule, "value", f"{ladder} takes up {float(width)}")
    washers = rules.find("washers_height_most")
    if washers is not None and washers.maybe("value") != _AN_STEP_IN:
        yield flaw(washers, "value", "is not one step of AN grips")
    for low, high in (
        ("lockbolt_hole_least", "lockbolt_hole_most"),
        ("thread_past_nut_civil", "thread_past_nut_most"),
        ("thread_past_nut_military", "thread_past_nut_most"),
        ("washers_nut_least", "washers_side_most"),
        ("washers_side_most", "washers_most"),
        ("bolt_floor_steel", "bolt_floor_aluminium"),
        ("grip_near_boundary", "grip_stack_tolerance"),
    ):
        less, more = rules.find(low), rules.find(high)
        if less is not None and more is not None and not 0 < less.number("value") < more.number("value"):
            yield flaw(less, "value", f"is not above 0 and under {high}")
    for row in rules:
        counted = row.text("unit") in {"threads", "washers"}
        if counted and row.number("value") not in range(_MOST_COUNTED + 1):
            yield flaw(row, "value", f"is not 0 to {_MOST_COUNTED} {row.text('unit')}")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    ladders_count_up,
    printed_ranges_follow_their_ladder,
    ladders_end_where_they_are_printed,
    break_stem_ranges_end_at_their_number,
    break_stem_ranges_rise,
    grip_holes_pass_the_shank,
    holes_taken_from_others_agree_with_them,
    shanks_of_holes_are_their_size,
    clearance_drills_are_the_next_letter,
    flush_heads_fit_shank_and_hole,
    strengths_are_those_of_offered_metals,
    protrusions_leave_one_window,
    limits_of_inspection_are_measures,
    rules_agree_with_the_ladders,
)
