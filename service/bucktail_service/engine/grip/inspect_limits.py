"""Between which limits what is measured of a blind rivet, a bolt or a pin must lie, by each practice.

Tables: grip_inspection, grip_holes, pin_protrusions, bolt_series, spacing, rules, and those of the grips.
A figure without a row has no limit, and is told so.
"""

from __future__ import annotations

from fractions import Fraction

from bucktail_service.engine.blocks import rule_row
from bucktail_service.engine.errors import NoAnswer
from bucktail_service.engine.grip.blocks import find_grip_holes, grip_spacing, least_hole
from bucktail_service.engine.grip.in_place import BREAK_STEM, BY_GRIP_EXAMPLE, InPlace
from bucktail_service.engine.grip.ladder import find_dash
from bucktail_service.engine.grip.ranges import begins, find_ladder
from bucktail_service.engine.holes import Holes
from bucktail_service.engine.judged import OUTSIDE, Bounds, gap_bounds
from bucktail_service.engine.rounding import say
from bucktail_service.engine.spacing import threaded_spacing
from bucktail_tables.model import Edition, Row

NO_LIMIT = Bounds(None, None)
SWAGED = "swaged-pin"
# an end that does not belong to a range is moved in by less than anyone measures
_HAIR = Fraction(1, 10**9)
# what threads come to in inches is held to as it is measured
_MEASURED = 10_000


def hole_bounds(fastener: InPlace, edition: Edition) -> Bounds:
    """Return the limits of the hole [in]; bolts and pins have none in the tables."""
    holes = None if fastener.choice is None else find_grip_holes(fastener.choice, edition)
    if holes is None or holes.minimum is None:
        return NO_LIMIT
    least = least_hole(holes, holes.minimum)
    words = "" if least == holes.minimum or holes.maximum is None else _as_drilled(holes, least)
    return Bounds(least, holes.maximum, (holes.final.row,), words)


def _as_drilled(holes: Holes, least: Fraction) -> str:
    low, high = holes.minimum or least, holes.maximum or least
    return f"{say(low)} to {say(high)} in, or as drill {holes.final.name} is, {say(least)} in"


def head_gap_bounds(fastener: InPlace, around: Fraction | None, edition: Edition) -> Bounds:
    """Return the limit of a gap under the head; the documents tell it of blind rivets alone."""
    if "blind" not in fastener.kinds:
        return NO_LIMIT
    return gap_bounds(around, edition, rule_row(edition, "grip_inspection", "blind_gap"))


def flush_head_bounds(off: Fraction) -> Bounds:
    """Return the limit of a flush head's step: no document has one, and a flush one needs none."""
    return Bounds(Fraction(0), Fraction(0), (), "flush") if off == 0 else NO_LIMIT


def collar_bounds(fastener: InPlace, off: Fraction, edition: Edition) -> Bounds:
    """Return between what a lock collar may stand off the top of the head; below it negative. [in]"""
    if BREAK_STEM in fastener.kinds:
        return _trimmed(off, edition)
    row = rule_row(edition, "grip_inspection", "bolt_lock_collar" if fastener.choice is None else "lock_collar")
    most = row.number("value")
    return Bounds(-most, most, (row,), f"at most {say(most)} in above or below the head")


def stem_bounds(fastener: InPlace, off: Fraction, edition: Edition) -> Bounds:
    """Return between what a broken-off stem may stand off the head; below it negative. [in]"""
    if BREAK_STEM in fastener.kinds:
        return _trimmed(off, edition)
    if fastener.choice is not None:
        return NO_LIMIT
    above, below = (rule_row(edition, "grip_inspection", f"bolt_pin_{side}") for side in ("above", "below"))
    high, low = above.number("value"), below.number("value")
    return Bounds(-low, high, (above, below), f"at most {say(high)} in above, {say(low)} in below the head")


def _trimmed(off: Fraction, edition: Edition) -> Bounds:
    """Return the limit of a trimmed stem or its collar: flush; how much flash is slight no document says."""
    row = rule_row(edition, "grip_inspection", "stem_trim")
    if off == 0:
        return Bounds(Fraction(0), Fraction(0), (row,), "flush")
    return Bounds(None, None, (row,), "flush; slight flash is accepted, without a figure")


def blind_head_bounds(edition: Edition) -> Bounds:
    """Return the least diameter of the blind head of the blind bolt. [in]"""
    row = rule_row(edition, "grip_inspection", "bolt_blind_head")
    return Bounds(row.number("value"), None, (row,))


def protrusion_bounds(fastener: InPlace, practice: str, edition: Edition) -> Bounds:
    """Return how far a pin stands out of the sheet before its collar goes on, or a bolt out of its nut. [in]"""
    choice = fastener.choice
    assert choice is not None, "the blind bolt stands out of nothing"  # noqa: S101
    if fastener.family == "bolt":
        return _past_the_nut(choice.name, practice, edition)
    if choice.standard.text("ladder") == SWAGED:
        # a grip number counts the most stack: the shank stands out by what the stack is under it
        row = rule_row(edition, "grip_ladders", SWAGED)
        most = row.number("below_in")
        return Bounds(Fraction(0), most, (row,), f"straight shank {say(Fraction(0))} to {say(most)} in")
    found = edition["pin_protrusions"].find(choice.name, choice.fraction)
    if found is None:
        return NO_LIMIT
    return Bounds(found.number("minimum_in"), found.number("maximum_in"), (found,))


def threads_per_inch(standard: str, edition: Edition) -> Row | None:
    """Return the row that holds the threads per inch of a bolt; None where there is none."""
    return edition["bolt_series"].find(standard)


def past_nut_most(standard: str, edition: Edition) -> Fraction | None:
    """Return what stands out of the nut where more is heeded; None where the threads are not known. [in]"""
    series = threads_per_inch(standard, edition)
    if series is None:
        return None
    return _inches(rule_row(edition, "rules", "thread_past_nut_most"), series)


def _past_the_nut(standard: str, practice: str, edition: Edition) -> Bounds:
    series = threads_per_inch(standard, edition)
    if series is None:
        return NO_LIMIT
    rule = rule_row(edition, "rules", f"thread_past_nut_{practice}")
    threads, least = rule.number("value"), _inches(rule, series)
    word = "thread" if threads == 1 else "threads"
    return Bounds(least, None, (rule, series), f"at least {float(threads):g} {word}, {say(least)} in")


def _inches(threads: Row, series: Row) -> Fraction:
    """Return how long the threads of a rule are on a bolt, to a ten-thousandth. [in]"""
    return Fraction(round(threads.number("value") / series.number("threads_per_inch") * _MEASURED), _MEASURED)


def distance_bounds(fastener: InPlace, practice: str, least: str, most: str | None, edition: Edition) -> Bounds:
    """Return limits of the spacing table by the names of its figures. [in]

    A blind rivet has those of rivets, bolts and pins those of sheet-metal repairs at large.
    """
    choice = fastener.choice
    distances = (
        threaded_spacing(practice, fastener.nominal, edition)
        if choice is None
        else grip_spacing(choice, practice, edition)
    )
    low, high = distances.get(least), None if most is None else distances.get(most)
    rows = tuple(distance.row for distance in (low, high) if distance is not None)
    return Bounds(None if low is None else low.inches, None if high is None else high.inches, rows)


def stack_bounds(fastener: InPlace, stack: Fraction, practice: str, edition: Edition) -> Bounds:
    """Return what stacks the grip of a number holds; none where the stack is just beyond an end of it. [in]

    No document says which grip an exact boundary takes, and a stack is measured no finer than that.

    Raises:
        NoAnswer: The number does not tell its grip.
    """
    held = _held(fastener, practice, edition)
    near = rule_row(edition, "rules", "grip_near_boundary")
    beyond = near.number("value") + _HAIR
    ends = [end for end in (held.least, held.most) if end is not None]
    if held.verdict(stack) == OUTSIDE and any(abs(stack - end) <= beyond for end in ends):
        return Bounds(None, None, (*held.rows, near), f"{held.told()}: at an end of it, measure again, clamped up")
    return held


def _held(fastener: InPlace, practice: str, edition: Edition) -> Bounds:
    choice, grip = fastener.choice, fastener.grip
    if choice is None or grip is None:
        raise NoAnswer("stack", f"no grip is told for {fastener.name}: give it too", _with_grip(fastener))
    if fastener.family == "bolt":
        return _bolt_stack(choice.standard, grip, practice, edition)
    ladder = find_ladder(choice.standard.text("ladder"), choice.dash, edition)
    entry = ladder.number(int(grip))
    assert entry is not None, "a number is read only where its grip is in the tables"  # noqa: S101
    least = entry.floor
    if not entry.begins_below(least):  # this end is the lower neighbour's
        least += _HAIR
    rows = (entry.row, rule_row(edition, "rules", "grip_upper_bound")) if ladder.is_ruled else (entry.row,)
    return Bounds(least, entry.maximum, rows, f"{begins(entry)} up to {say(entry.maximum)} in")


def _with_grip(fastener: InPlace) -> str:
    """Return how a fastener is named with its grip."""
    choice = fastener.choice
    if choice is None or fastener.family == "bolt":
        return f"fastener {BY_GRIP_EXAMPLE}"
    return f"fastener {choice.fraction} {choice.offered.text('alloy')} {choice.name} -5"


def _bolt_stack(standard: Row, dash: str, practice: str, edition: Edition) -> Bounds:
    """Return what stacks a bolt holds: as thick as its grip, what is missing made up by washers. [in]

    A washer under the head pushes thread into the hole as a sheet does: it counts to the stack.
    """
    bolt = find_dash(standard, dash, edition)
    assert bolt is not None, "a number is read only where its dash is in the tables"  # noqa: S101
    make_up = rule_row(edition, "rules", "washers_height_most")
    in_hole = rule_row(edition, "rules", f"thread_in_hole_{practice}")
    series = threads_per_inch(standard.text("standard"), edition)
    most = bolt.grip
    if series is not None:
        most += _inches(in_hole, series)
    least = max(bolt.grip - make_up.number("value"), Fraction(0))
    rows = (bolt.row or rule_row(edition, "grip_ladders", standard.text("ladder")), make_up, in_hole)
    return Bounds(least, most, rows, f"{say(least)} to {say(most)} in, washers under the head counted")
