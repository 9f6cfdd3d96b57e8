"""Grips and lengths of bolts: from the dash, and from the stack. Tables: bolt_grips, bolt_series, grip_ladders."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import groupby
from operator import attrgetter

from bucktail_service.engine.blocks import Block
from bucktail_service.engine.errors import OutsideTable
from bucktail_service.engine.rounding import put, say
from bucktail_tables.model import Edition, Row

BY_LENGTH = "an-bolt"
_COUNTS_LENGTH = "overall length in eighths of an inch: of two digits the first counts inches, the second eighths"
_COUNTS_GRIP = "grip in sixteenths of an inch"
_SIXTEENTH = Fraction(1, 16)


@dataclass(frozen=True, slots=True)
class BoltGrip:
    """A bolt of a standard by its dash.

    Attributes:
        dash: What stands after the diameter and the material in the number.
        grip: Shank under the head that is not threaded, as the document prints it. [in]
        length: Overall length under the head; None where the thread length has no row. [in]
        over: The next shorter grip: stacks over it belong to this dash; 0 for the first. [in]
        same: Other dashes of the same grip, which are not chosen.
        row: Row of bolt_grips; None where the dash counts the grip itself.
    """

    dash: str
    grip: Fraction
    length: Fraction | None
    over: Fraction = Fraction(0)
    same: tuple[str, ...] = ()
    row: Row | None = None

    def tolerance(self, name: str) -> Fraction | None:
        """Return a tolerance, such as `grip_plus`; None where the tables hold none. [in]"""
        return None if self.row is None else self.row.maybe(f"{name}_in")


@lru_cache(maxsize=128)
def bolt_ladder(standard: Row, edition: Edition) -> tuple[BoltGrip, ...]:
    """Return the bolts of a standard that a stack may get, one a grip, shortest first."""
    every = sorted(_every_bolt(standard, edition), key=lambda bolt: (bolt.grip, bolt.length or 0))
    chosen: list[BoltGrip] = []
    for grip, alike in groupby(every, key=attrgetter("grip")):
        # of two that share a grip the longer follows the length ladder: the shorter lacks thread
        *same, last = alike
        over = chosen[-1].grip if chosen else Fraction(0)
        chosen.append(BoltGrip(last.dash, grip, last.length, over, tuple(bolt.dash for bolt in same), last.row))
    return tuple(chosen)


def find_dash(standard: Row, dash: str, edition: Edition) -> BoltGrip | None:
    """Return the bolt of a standard with that dash; None when there is none."""
    for bolt in bolt_ladder(standard, edition):
        if bolt.dash == dash:
            return bolt
        if dash in bolt.same:
            alone = next(other for other in _every_bolt(standard, edition) if other.dash == dash)
            others = tuple(other for other in (*bolt.same, bolt.dash) if other != dash)
            return BoltGrip(dash, alone.grip, alone.length, bolt.over, others, alone.row)
    return None


def choose_grip(standard: Row, thickest: Fraction, edition: Edition) -> BoltGrip:
    """Return the bolt with the shortest grip not under the stack at its thickest, so that no thread lies in it.

    Args:
        standard: Row of grip_standards.
        thickest: The stack at its thickest. [in]
        edition: The tables to read.

    Raises:
        OutsideTable: The stack is over the longest grip.
    """
    bolts = bolt_ladder(standard, edition)
    at = bisect_left(bolts, thickest, key=attrgetter("grip"))  # the grip itself belongs to the dash
    if at < len(bolts):
        return bolts[at]
    first, last = bolts[0], bolts[-1]
    raise OutsideTable(
        "stack",
        f"no tabulated {standard.text('standard')} holds {say(thickest)} in: its grips go from -{first.dash}, "
        f"{say(first.grip)} in, to -{last.dash}, {say(last.grip)} in",
        f"a stack up to {say(last.grip)} in",
    )


def neighbours(standard: Row, bolt: BoltGrip, edition: Edition) -> tuple[BoltGrip | None, BoltGrip | None]:
    """Return the next shorter and the next longer bolt of the ladder; None at its ends."""
    bolts = bolt_ladder(standard, edition)
    at = bisect_left(bolts, bolt.grip, key=attrgetter("grip"))
    return (bolts[at - 1] if at else None), (bolts[at + 1] if at + 1 < len(bolts) else None)


def near_ends(standard: Row, bolt: BoltGrip, thickest: Fraction, near: Fraction, edition: Edition) -> list[str]:
    """Return the dashes of the neighbours whose range begins or ends within *near* [in] of the stack."""
    shorter, longer = neighbours(standard, bolt, edition)
    found = [shorter.dash] if shorter is not None and thickest - bolt.over <= near else []
    return found + ([longer.dash] if longer is not None and bolt.grip - thickest <= near else [])


def grip_block(standard: Row, bolt: BoltGrip, alternatives: list[str]) -> Block:
    """Return the grip block of a bolt: its grip, and the stacks it serves, over the next shorter grip."""
    block: Block = {"dash": bolt.dash, "counts": _COUNTS_GRIP if counts_grip(standard) else _COUNTS_LENGTH}
    put(block, "length", bolt.grip)
    put(block, "minimum", bolt.over)
    put(block, "maximum", bolt.grip)
    return {**block, "minimum_included": False, "alternatives": alternatives}


def counts_grip(standard: Row) -> bool:
    """Return whether a standard's dash counts the grip itself, in sixteenths."""
    return standard.text("ladder") != BY_LENGTH


def _every_bolt(standard: Row, edition: Edition) -> list[BoltGrip]:
    name = standard.text("standard")
    if counts_grip(standard):
        return _by_sixteenths(standard, edition)
    rows = [row for row in edition["bolt_grips"] if row.text("standard") == name]
    return [BoltGrip(row.text("dash"), row.number("grip_in"), row.maybe("length_in"), row=row) for row in rows]


def _by_sixteenths(standard: Row, edition: Edition) -> list[BoltGrip]:
    ladder = edition["grip_ladders"].by_key[(standard.text("ladder"),)]
    series = edition["bolt_series"].find(standard.text("standard"))
    even_over = ladder.maybe("even_over")
    thread = None if series is None else series.maybe("thread_length_in")
    numbers = range(int(ladder.text("first")), int(ladder.text("last")) + 1)
    kept = [number for number in numbers if even_over is None or number <= even_over or number % 2 == 0]
    grips = [(str(number), number * _SIXTEENTH) for number in kept]
    return [BoltGrip(dash, grip, None if thread is None else grip + thread) for dash, grip in grips]
