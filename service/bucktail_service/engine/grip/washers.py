"""Which washers bring a stack inside a grip, under the head and under the nut. Tables: washers, rules."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations_with_replacement

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.rounding import put, say
from bucktail_tables.model import Edition, Row

_NOMINAL = 32
# lengths are printed to a thousandth: washers this little too low to hide the fourth thread hide it [in]
_ROUNDED = Fraction(4, 1000)


@dataclass(frozen=True, slots=True)
class WasherLimits:
    """How many washers a practice asks for and allows, and two heights.

    Attributes:
        head_least, nut_least, side_most, most: How many under the head, under the nut, on a side, in all.
        in_hole: How much thread they may push into the hole. [in]
        height_most: How high those that make up for grip should be at most. [in]
    """

    head_least: int
    nut_least: int
    side_most: int
    most: int
    in_hole: Fraction
    height_most: Fraction = Fraction(1, 8)


@dataclass(frozen=True, slots=True)
class Room:
    """What washers must make up for.

    Attributes:
        grip: Grip of the bolt, nominal. [in]
        thinnest: The stack where the nut comes nearest to the shank. [in]
        thickest: The stack where thread comes nearest to the hole. [in]
        longest: Grip at its longest, incomplete thread included. [in]
        shortest: Grip at its shortest. [in]
        window: Between which heights of all washers the threads past the nut are as many as they should be; None
            where the nut's height or the bolt's length is not known. [in]
    """

    grip: Fraction
    thinnest: Fraction
    thickest: Fraction
    longest: Fraction
    shortest: Fraction
    window: tuple[Fraction, Fraction] | None = None


@dataclass(frozen=True, slots=True)
class WasherSet:
    """Washers under the head and under the nut, rows of the table, the thicker first."""

    under_head: tuple[Row, ...]
    under_nut: tuple[Row, ...]

    @property
    def head(self) -> Fraction:
        """Height under the head. [in]"""
        return _height(self.under_head)

    @property
    def nut(self) -> Fraction:
        """Height under the nut. [in]"""
        return _height(self.under_nut)

    @property
    def total(self) -> Fraction:
        """Height of all washers. [in]"""
        return self.head + self.nut

    @property
    def count(self) -> int:
        """How many washers."""
        return len(self.under_head) + len(self.under_nut)

    def fits(self, room: Room, limits: WasherLimits) -> bool:
        """True when no more thread lies in the hole than allowed, and the nut does not run onto the shank."""
        in_hole = self.head + room.thickest - room.grip
        return in_hole <= limits.in_hole and self.total + room.thinnest >= room.grip


def washer_limits(practice: str, edition: Edition) -> WasherLimits:
    """Return what a practice asks of washers. None may push thread into the hole, whatever the practice lets lie there:
    the grip is never under the stack, and thread in the hole carries no shear.
    """

    def value(name: str) -> Fraction:
        return rule_row(edition, "rules", name).number("value")

    return WasherLimits(
        int(value(f"washers_head_{practice}")),
        int(value("washers_nut_least")),
        int(value("washers_side_most")),
        int(value("washers_most")),
        Fraction(0),
        value("washers_height_most"),
    )


def washer_sizes(fraction: str, edition: Edition) -> list[Row]:
    """Return the washers of a bolt size, the thicker first; none where the tables hold none."""
    rows = [row for row in edition["washers"] if row.text("fraction") == fraction]
    return sorted(rows, key=lambda row: row.number("thickness_in"), reverse=True)


def choose_washers(sizes: Sequence[Row], room: Room, limits: WasherLimits) -> WasherSet | None:
    """Return the washers that bring a stack inside a grip, None when no set of *sizes* does.

    Those no higher than washers should be come first, then those that keep the nut off the shank at its longest too: a
    nut that meets the shank feels tight and clamps nothing. Then those under whose head no washer pushes thread of the
    shortest grip into the hole, then the fewest, then those that come nearest to the
    threads there should be past the nut, then the least height, then one under the head, no thicker than need be.
    """
    fitting = [found for found in _sets(sizes, limits) if found.fits(room, limits)]
    return min(fitting, key=lambda found: _preference(found, room, limits), default=None)


def tell_misfit(sizes: Sequence[Row], room: Room, limits: WasherLimits) -> str:
    """Return why no set of *sizes* brings a stack inside a grip: what is missing."""
    heights = [
        found.total for found in _sets(sizes, limits) if found.head + room.thickest - room.grip <= limits.in_hole
    ]
    if not heights:
        return "the washers the practice asks for under the head push thread into the hole"
    missing = room.grip - room.thinnest - max(heights)
    return f"{say(missing)} in more washers than the practice allows"


def washers_block(washers: WasherSet) -> Block:
    """Return the washers block."""
    block: Block = {
        "under_head": [_washer(row) for row in washers.under_head],
        "under_nut": [_washer(row) for row in washers.under_nut],
    }
    put(block, "total", washers.total)
    return block


def name_washers(rows: Sequence[Row]) -> str:
    """Return washers in words, such as `2 AN960-416` or `AN960-416 and AN960-416L`."""
    names = [row.text("washer") for row in rows]
    counted = [(names.count(name), name) for name in dict.fromkeys(names)]
    return " and ".join(f"{count} {name}" if count > 1 else name for count, name in counted)


def _washer(row: Row) -> Block:
    block: Block = {"washer": row.text("washer"), "variant": row.text("variant")}
    put(block, "thickness", row.number("thickness_in"))
    return {**block, "replaced_by": row.text("replaced_by") or None}


def _height(rows: Sequence[Row]) -> Fraction:
    return sum((row.number("thickness_in") for row in rows), Fraction(0))


def _sets(sizes: Sequence[Row], limits: WasherLimits) -> Iterator[WasherSet]:
    for heads in range(limits.head_least, limits.side_most + 1):
        for nuts in range(limits.nut_least, min(limits.side_most, limits.most - heads) + 1):
            for under_head in combinations_with_replacement(sizes, heads):
                for under_nut in combinations_with_replacement(sizes, nuts):
                    yield WasherSet(under_head, under_nut)


def _preference(
    found: WasherSet, room: Room, limits: WasherLimits
) -> tuple[bool, bool, bool, int, Fraction, Fraction, Fraction]:
    # the limit is one of nominal thirty-seconds: two regular washers, 0.063 in each, are an eighth
    too_high = is_over(found.total, limits.height_most)
    reaches_shank = found.total + room.thinnest < room.longest
    # thread that a washer under the head pushes into the hole of the shortest bolt the standard lets pass
    pushes = found.head > 0 and found.head + room.thickest > room.shortest
    low, high = room.window or (found.total, found.total)
    # lower than this leaves too many threads, higher leaves too few, which weighs more: no slack there
    outside = max(low - found.total - _ROUNDED, found.total - high, Fraction(0))
    return (too_high, reaches_shank, pushes, found.count, outside, found.total, _heaped(found))


def _heaped(found: WasherSet) -> Fraction:
    """Return how far two or more washers are from one under the head, no thicker than need be, and the rest under the
    nut: the thread is as long as one on each side needs (race-hardware technical note).
    """
    return Fraction(1) if found.count > 1 and not found.under_head else found.head


def is_over(height: Fraction, most: Fraction) -> bool:
    """Return whether washers are higher than a limit that counts nominal thirty-seconds of an inch."""
    return Fraction(round(height * _NOMINAL), _NOMINAL) > most
