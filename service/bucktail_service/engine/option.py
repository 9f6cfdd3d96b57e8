"""A way to replace a rivet, and the checks it was held against."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import Block
from bucktail_service.engine.facts import Facts
from bucktail_service.engine.lengths import Stack, Tolerance
from bucktail_service.engine.pick import Picked
from bucktail_service.engine.row_condition import RowCondition
from bucktail_tables.model import Row

PASS, FAIL, HEED, UNKNOWN = "pass", "fail", "heed", "unknown"


@dataclass(frozen=True, slots=True)
class Found:
    """What was found at the hole and what surrounds the choice. Lengths in inches; None where not measured."""

    stack: Stack
    tolerance: Tolerance
    practice: str
    hole: Fraction | None
    edge: Fraction | None
    pitch: Fraction | None
    row_spacing: Fraction | None
    access: str
    preparation: str | None
    environment: str
    corroded: tuple[str, ...]
    row: RowCondition | None


@dataclass(frozen=True, slots=True)
class Check:
    """One rule held against one option: the verdict, in words, with the figure found and its limit. [in]"""

    name: str
    verdict: str
    told: str
    found: Fraction | None = None
    limit: Fraction | None = None
    rows: tuple[Row, ...] = ()


@dataclass(frozen=True, slots=True)
class Option:
    """A way to replace the rivet, with its checks.

    Attributes:
        name: Ours, as the answer tells it.
        title: In words.
        picked: The solid rivet, where it is one.
        facts: What is known of it.
        checks: Every rule it was held against.
        shear_kept: Its shear over that of the rivet that was there.
        bearing_kept: The same of bearing, in the layer that loses most.
        hole_growth: How much larger its hole is than the one found. [in]
        same_alloy: Whether it is of the alloy that was there.
        enlarges: Whether it needs a larger hole than the rivet that was there.
        by_grip: The pick answer, where it is a fastener chosen by grip.
        last_resort: Whether another kind of fastener comes before it wherever one passes.
    """

    name: str
    title: str
    picked: Picked | None
    facts: Facts | None
    checks: tuple[Check, ...]
    shear_kept: Fraction | None = None
    bearing_kept: Fraction | None = None
    hole_growth: Fraction = Fraction(0)
    same_alloy: bool = True
    enlarges: bool = False
    by_grip: Block | None = None
    last_resort: bool = False

    @property
    def passes(self) -> bool:
        """True when nothing fails."""
        return all(check.verdict != FAIL for check in self.checks)

    @property
    def part_number(self) -> str | None:
        """Its part number; None where the stack takes none."""
        if self.by_grip is not None:
            number: str | None = self.by_grip["part_number"]
            return number
        return None if self.picked is None else self.picked.part_number

    @property
    def link(self) -> str | None:
        """The path that tells all of it."""
        if self.by_grip is not None:
            link: str = self.by_grip["link"]
            return link
        return None if self.picked is None else self.picked.link()

    @property
    def drill(self) -> str | None:
        """Its final drill."""
        if self.by_grip is not None:
            final = self.by_grip["hole"]["final"]
            return None if final is None else str(final["drill"])
        return None if self.facts is None else self.facts.holes.final.name

    @property
    def incompatible(self) -> int:
        """Couples with a layer that must be parted."""
        return sum(check.name == "couple" and check.verdict != PASS for check in self.checks)
