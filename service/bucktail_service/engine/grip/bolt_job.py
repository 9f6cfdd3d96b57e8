"""What is decided for a bolt before it is told: its grip, its nut, its washers, and what its thread comes to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.errors import OutsideTable
from bucktail_service.engine.grip.blocks import Draft
from bucktail_service.engine.grip.ladder import BoltGrip, choose_grip
from bucktail_service.engine.grip.nuts import Nut, choose_nut
from bucktail_service.engine.grip.washers import (
    Room,
    WasherSet,
    choose_washers,
    tell_misfit,
    washer_limits,
    washer_sizes,
)
from bucktail_service.engine.rounding import say
from bucktail_tables.model import Row


@dataclass(frozen=True, slots=True)
class BoltJob:
    """A bolt laid out for a stack.

    Attributes:
        draft: The question, the standard and size that answer it, and the answer's beginnings.
        bolt: Dash, grip and length.
        nut: The nut.
        series: Row of bolt_series; None where the standard's thread has none.
        washers: The washers; None where the tables hold none of the size, or cannot judge them.
        serves_from: The thinnest stack that the washers bring inside the grip. [in]
        head_washer_left_out: Whether a washer the practice asks for under the head would push thread into the hole.
    """

    draft: Draft
    bolt: BoltGrip
    nut: Nut
    series: Row | None
    washers: WasherSet | None
    serves_from: Fraction
    head_washer_left_out: bool = False

    @property
    def per_inch(self) -> Fraction | None:
        """Threads per inch; None where the standard's thread has no row."""
        return None if self.series is None else self.series.number("threads_per_inch")

    @property
    def under_head(self) -> Fraction:
        """Height of the washers under the head. [in]"""
        return Fraction(0) if self.washers is None else self.washers.head

    @property
    def clamped(self) -> Fraction:
        """The stack at its thickest and all washers. [in]"""
        return self.draft.thickest + (Fraction(0) if self.washers is None else self.washers.total)

    @property
    def in_hole(self) -> Fraction:
        """Thread that lies in the hole where the stack is thickest. [in]"""
        return max(Fraction(0), self.under_head + self.draft.thickest - self.bolt.grip)

    @property
    def past_nut(self) -> Fraction | None:
        """What stands out of the nut where the stack is thickest; below zero the nut stands over the bolt. [in]"""
        if self.bolt.length is None or self.nut.height is None:
            return None
        return self.bolt.length - self.clamped - self.nut.height

    @property
    def past_nut_least(self) -> Row:
        """The rule that tells how many threads the practice wants past the nut."""
        return rule_row(self.draft.edition, "rules", f"thread_past_nut_{self.draft.practice}")

    @property
    def nut_height_most(self) -> Fraction | None:
        """The tallest nut that leaves the threads the practice wants. [in]"""
        if self.bolt.length is None or self.per_inch is None:
            return None
        return self.bolt.length - self.clamped - self.past_nut_least.number("value") / self.per_inch

    @property
    def is_straddled(self) -> bool:
        """True where the stack at its thinnest is too thin for the grip that holds it at its thickest."""
        if self.washers is None:
            return self.draft.thinnest <= self.bolt.over
        return self.serves_from > self.draft.thinnest


def lay_out(draft: Draft) -> BoltJob:
    """Return the bolt, the nut and the washers for a stack.

    Raises:
        NotTabulated: The nut is not known, or needs a drilled shank whose letters are not.
        OutsideTable: The stack is over the longest grip, no washers bring it inside its grip, or a nut's height is
            no nut's.
    """
    choice, edition = draft.choice, draft.edition
    nut = choose_nut(draft.question, choice, edition)
    bolt = choose_grip(choice.standard, draft.thickest, edition)
    series = edition["bolt_series"].find(choice.name)
    washers, serves_from, left_out = _find_washers(draft, bolt, nut, series)
    return BoltJob(draft, bolt, nut, series, washers, serves_from, left_out)


def null_figures(name: str, block: Block) -> Iterator[str]:
    """Yield the figures of a block that are null, by their dotted names; a length's two twins are one."""
    for key, value in block.items():
        if value is None and not key.endswith("_mm"):
            yield f"{name}.{key.removesuffix('_in')}"


def _find_washers(
    draft: Draft, bolt: BoltGrip, nut: Nut, series: Row | None
) -> tuple[WasherSet | None, Fraction, bool]:
    """Return the washers, the thinnest stack they serve [in], and whether one under the head was left out."""
    sizes = washer_sizes(draft.choice.fraction, draft.edition)
    per_inch = None if series is None else series.number("threads_per_inch")
    limits = washer_limits(draft.practice, draft.edition)
    window = _window(draft, bolt, nut, per_inch)
    longest = bolt.grip + (bolt.tolerance("grip_plus") or 0)
    longest += (None if series is None else series.maybe("incomplete_thread_in")) or 0
    shortest = bolt.grip - (bolt.tolerance("grip_minus") or 0)
    # where nothing serves the thinnest place too, the stack as given, then the thickest place
    for thinnest in (draft.thinnest, draft.total, draft.thickest) if sizes else ():
        room = Room(bolt.grip, thinnest, draft.thickest, longest, shortest, window)
        for asked in (limits, replace(limits, head_least=0)):
            found = choose_washers(sizes, room, asked)
            if found is not None:
                return found, thinnest, len(found.under_head) < limits.head_least
    if not sizes:
        return None, draft.thinnest, False
    told = tell_misfit(sizes, Room(bolt.grip, draft.thickest, draft.thickest, longest, shortest), limits)
    raise OutsideTable(
        "stack",
        f"{say(draft.thickest)} in on the grip of {draft.choice.name}-{bolt.dash}, {say(bolt.grip)} in, needs {told}",
        f"a stack of {say(bolt.grip)} in, or another diameter",
    )


def _window(draft: Draft, bolt: BoltGrip, nut: Nut, per_inch: Fraction | None) -> tuple[Fraction, Fraction] | None:
    """Return between which heights of washers the practice's least to the usual most threads pass the nut. [in]"""
    if bolt.length is None or nut.height is None or per_inch is None:
        return None
    beyond = bolt.length - draft.thickest - nut.height
    least = rule_row(draft.edition, "rules", f"thread_past_nut_{draft.practice}").number("value")
    most = rule_row(draft.edition, "rules", "thread_past_nut_most").number("value")
    return beyond - most / per_inch, beyond - least / per_inch
