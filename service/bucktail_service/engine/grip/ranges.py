"""Which grip number of a ladder holds a stack. Tables: grip_ladders, grip_ranges.

Most numbers count sixteenths by a rule, without gap or overlap. A chart that skips numbers holds only what it prints:
a stack in a gap, or beyond, has no number, never the nearest.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from bucktail_service.engine.errors import OutsideTable
from bucktail_service.engine.rounding import say
from bucktail_tables.model import Edition, Row

SIXTEENTH = Fraction(1, 16)
# a printed range starts .001 in over its lower neighbour: no stack is meant to fall between
_HAIR = Fraction(11, 10_000)


@dataclass(frozen=True, slots=True)
class GripRange:
    """Which stacks a grip number holds.

    Attributes:
        number: The grip number.
        minimum: Thinnest stack, as printed where a chart prints it. [in]
        maximum: Thickest stack; it belongs to the number. [in]
        minimum_included: Whether a stack of just the minimum belongs to it.
        row: Row of grip_ladders whose rule says so, or the printed row of grip_ranges.
        below: End of the lower neighbour where a chart leaves a hair between the two: what lies there belongs to the
            upper. None where there is no such neighbour. [in]
    """

    number: int
    minimum: Fraction
    maximum: Fraction
    minimum_included: bool
    row: Row
    below: Fraction | None = None

    @property
    def floor(self) -> Fraction:
        """Where the range begins, the hair under a printed minimum included. [in]"""
        return self.minimum if self.below is None else self.below

    def holds(self, stack: Fraction) -> bool:
        """Return whether a stack [in] belongs to this number."""
        return self.begins_below(stack) and stack <= self.maximum

    def begins_below(self, stack: Fraction) -> bool:
        """Return whether a stack [in] is not too thin for this number."""
        return self.floor < stack or (self.floor == stack and self.below is None and self.minimum_included)

    def minimum_for(self, stack: Fraction) -> tuple[Fraction, bool]:
        """Return the minimum to show beside a stack it holds, and whether it belongs: as printed where that holds."""
        if self.below is not None and stack < self.minimum:
            return self.below, False
        return self.minimum, self.minimum_included


@dataclass(frozen=True, slots=True)
class GripLadder:
    """The grip numbers of a standard in a diameter, smallest first, and the row that says how they count."""

    row: Row
    ranges: tuple[GripRange, ...]

    @property
    def counts_most(self) -> bool:
        """True where a number is the most grip in sixteenths; False where it is the middle."""
        return not self.row.maybe("above_in")

    @property
    def is_ruled(self) -> bool:
        """True where a rule gives the ranges, False where a chart prints them."""
        return self.row.text("below_in") != ""

    def number(self, number: int) -> GripRange | None:
        """Return the range of a grip number, or None where there is no such number."""
        return next((entry for entry in self.ranges if entry.number == number), None)

    def holding(self, stack: Fraction) -> GripRange | None:
        """Return the range that holds a stack [in], or None."""
        return next((entry for entry in self.ranges if entry.holds(stack)), None)


@lru_cache(maxsize=128)
def find_ladder(name: str, dash: int, edition: Edition) -> GripLadder:
    """Return a ladder of grip numbers for a diameter in thirty-seconds.

    Raises:
        KeyError: The edition has no ladder of that name.
    """
    row = edition["grip_ladders"].by_key[(name,)]
    return GripLadder(row, _ruled(row) if row.text("below_in") else _printed(name, dash, edition))


def _ruled(row: Row) -> tuple[GripRange, ...]:
    below, above, least = row.number("below_in"), row.number("above_in"), row.maybe("least_in")
    first, last = int(row.text("first")), int(row.text("last"))
    ranges = []
    for number in range(first, last + 1):
        middle = number * SIXTEENTH
        begins = least is not None and number == first
        low = least if begins and least is not None else middle - below
        ranges.append(GripRange(number, low, middle + above, begins, row))
    return tuple(ranges)


def _printed(name: str, dash: int, edition: Edition) -> tuple[GripRange, ...]:
    rows = [
        row
        for row in edition["grip_ranges"]
        if row.text("ladder") == name and row.text("diameter") in (str(dash), "any")
    ]
    rows.sort(key=lambda row: int(row.text("number")))
    ranges = []
    for lower, row in pairwise([None, *rows]):
        assert row is not None  # noqa: S101
        low = row.number("minimum_in")
        end = None if lower is None else lower.number("maximum_in")
        below = end if end is not None and low - end <= _HAIR else None
        ranges.append(GripRange(int(row.text("number")), low, row.number("maximum_in"), True, row, below))
    return tuple(ranges)


@dataclass(frozen=True, slots=True)
class Held:
    """The grip chosen for a stack.

    Attributes:
        range: The number that holds the thickest place.
        alternatives: Numbers that hold another place of the stack, or whose range begins or ends close by.
        straddled: Whether the thinnest place lies outside the range.
        near_low: Whether the thinnest place is close to the range's lower end, and inside it.
        near_high: Whether the thickest place is close to its upper end.
    """

    range: GripRange
    alternatives: tuple[GripRange, ...] = ()
    straddled: bool = False
    near_low: bool = False
    near_high: bool = False

    @property
    def at_end(self) -> bool:
        """True where the stack lies close to an end of the range."""
        return self.near_low or self.near_high


def choose_grip(ladder: GripLadder, thinnest: Fraction, thickest: Fraction, margin: Fraction) -> Held:
    """Return the grip for a stack: the one that holds its thickest place.

    Args:
        ladder: The grip numbers.
        thinnest: Stack at its thinnest place. [in]
        thickest: Stack at its thickest place. [in]
        margin: How close to an end both neighbours are shown. [in]

    Raises:
        OutsideTable: No number holds the thickest place.
    """
    held = ladder.holding(thickest)
    if held is None:
        raise _outside(ladder, thickest, " at its thickest" if thinnest != thickest else "")
    straddled = not held.begins_below(thinnest)
    others = tuple(
        entry
        for entry in ladder.ranges
        if entry is not held and entry.floor <= thickest + margin and thinnest - margin <= entry.maximum
    )
    near_low = not straddled and thinnest - held.floor <= margin
    return Held(held, others, straddled, near_low, held.maximum - thickest <= margin)


def choose_by_gauge(ladder: GripLadder, reading: Fraction) -> GripRange:
    """Return the grip that a hook gauge's reading means; between two numbers the higher.

    Where a chart skips the number, the row that holds what the reading means has it.

    Args:
        ladder: Grip numbers that count the most grip.
        reading: What the gauge read. [1/16 in]

    Raises:
        OutsideTable: No number holds it.
    """
    number = math.ceil(reading)
    found = ladder.number(number)
    if found is not None:
        return found
    most = number * SIXTEENTH
    held = ladder.holding(most)
    # a reading means all of its sixteenth: a range that holds its end alone would not do
    if held is None or not held.holds(most - SIXTEENTH / 2):
        raise _outside(ladder, most)
    return held


def _outside(ladder: GripLadder, stack: Fraction, place: str = "") -> OutsideTable:
    first, last = ladder.ranges[0], ladder.ranges[-1]
    lower = [entry for entry in ladder.ranges if entry.maximum < stack]
    upper = [entry for entry in ladder.ranges if entry not in lower]
    told = f"no grip number holds {say(stack)} in{place}: "
    if lower and upper:
        told += f"between grip {lower[-1].number}, which ends at {say(lower[-1].maximum)} in, and "
        told += f"grip {upper[0].number}, which begins {begins(upper[0])} in, there is none; "
    elif lower:
        told += f"grip {last.number} is the last; "
    else:
        told += f"grip {first.number} is the first; "
    span = f"{'from' if first.minimum_included else 'over'} {say(first.minimum)} up to {say(last.maximum)} in"
    good = lower[-1].maximum if lower else first.maximum
    return OutsideTable("stack", f"{told}the numbers of this size hold stacks {span}", f"{say(good)}, or another size")


def begins(entry: GripRange) -> str:
    """Return where a range begins, for a sentence: `above 0.0625` or `at 0.0200`. [in]"""
    return f"{'at' if entry.below is None and entry.minimum_included else 'above'} {say(entry.floor)}"
