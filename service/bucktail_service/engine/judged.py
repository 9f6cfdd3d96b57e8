"""One measured figure held to the limits of each practice. Tables: those of the pick, inspection_limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.facts import Facts
from bucktail_service.engine.rounding import put, say
from bucktail_service.engine.sources import Ledger
from bucktail_tables.model import Edition, Row

INSIDE, OUTSIDE, UNJUDGED = "inside limits", "outside limits", "no limit"


@dataclass(frozen=True, slots=True)
class Bounds:
    """Between what a figure must lie [in], the rows that say so, and the words where the two ends do not tell it."""

    least: Fraction | None
    most: Fraction | None
    rows: tuple[Row, ...] = ()
    words: str = ""

    def verdict(self, value: Fraction) -> str:
        """Return whether a figure lies inside; both ends belong to the inside."""
        if self.least is None and self.most is None:
            return UNJUDGED
        low = self.least is not None and value < self.least
        return OUTSIDE if low or (self.most is not None and value > self.most) else INSIDE

    def told(self) -> str:
        """Return the limit as a person says it."""
        if self.words:
            return self.words
        if self.least is None:
            return "none in the tables" if self.most is None else f"at most {say(self.most)} in"
        return f"at least {say(self.least)} in" if self.most is None else f"{say(self.least)} to {say(self.most)} in"


@dataclass(frozen=True, slots=True)
class Judged:
    """A figure of one piece, or of all of them when it has no number, and its verdict by each practice."""

    name: str
    piece: int | None
    measured: Fraction
    bounds: Mapping[str, Bounds]
    verdicts: Mapping[str, str]

    def block(self) -> Block:
        """Return the figure as the answer tells it."""
        found: Block = {"name": self.name, "piece": self.piece}
        put(found, "measured", self.measured)
        by = []
        for practice, bounds in self.bounds.items():
            entry: Block = {"practice": practice, "verdict": self.verdicts[practice], "limit": bounds.told()}
            put(entry, "minimum", bounds.least)
            put(entry, "maximum", bounds.most)
            by.append(entry)
        return {**found, "by": by}

    def outside(self, practices: tuple[str, ...]) -> list[str]:
        """Return those of the practices whose limit it is outside of."""
        return [practice for practice in practices if self.verdicts[practice] == OUTSIDE]


def judge(name: str, piece: int | None, measured: Fraction, bounds: Mapping[str, Bounds], ledger: Ledger) -> Judged:
    """Return a figure judged by each practice, its sources written down."""
    for practice, limit in bounds.items():
        for row in limit.rows:
            if piece in (None, 1):
                ledger.cite(row, f"{name}.{practice}")
    return Judged(
        name, piece, measured, bounds, {practice: limit.verdict(measured) for practice, limit in bounds.items()}
    )


def head_bounds(facts: Facts, measure: str) -> Bounds:
    """Return the limits of the formed head's `diameter` or `height`."""
    low, high = (facts.limits[f"{measure}_{end}"] for end in ("minimum", "maximum"))
    rows = tuple(limit.row for limit in (low, high) if limit is not None)
    return Bounds(None if low is None else low.inches, None if high is None else high.inches, rows)


def spacing_bounds(facts: Facts, least: str, most: str | None) -> Bounds:
    """Return limits of the spacing table by the names of its figures."""
    low = facts.distances[least]
    high = None if most is None else facts.distances[most]
    rows = tuple(distance.row for distance in (low, high) if distance is not None)
    return Bounds(None if low is None else low.inches, None if high is None else high.inches, rows)


def hole_bounds(facts: Facts) -> Bounds:
    """Return the limits of the hole, which no practice has of its own."""
    return Bounds(facts.holes.minimum, facts.holes.maximum, (facts.holes.final.row,))


def gap_bounds(around: Fraction | None, edition: Edition) -> Bounds:
    """Return the limit of a gap under the head.

    A feeler thinner than the gauge's finds no gap. One that enters is let go only when it is known to enter over no
    more of the circumference than the table says.

    Args:
        around: Share of the circumference over which the feeler enters; None when not said. [percent]
        edition: The tables to read.
    """
    feeler = rule_row(edition, "inspection_limits", "gap_feeler")
    share = rule_row(edition, "inspection_limits", "gap_around")
    thin, most = feeler.number("value"), share.number("value")
    words = f"a {say(thin)[:-1]} in feeler does not enter, or over at most {float(most):g} percent round"
    if around is not None and around <= most:
        return Bounds(Fraction(0), None, (feeler, share), words)
    return Bounds(None, thin - Fraction(1, 10**9), (feeler, share), words)


def flush_bounds(facts: Facts, off: Fraction, edition: Edition) -> Bounds:
    """Return the limit of a flush head's step; only steel has one in the tables, and a flush one needs none.

    Args:
        facts: The rivet.
        off: How far the head stands above the skin; negative below it. [in]
        edition: The tables to read.
    """
    row = rule_row(edition, "inspection_limits", "flush_steel_below")
    if facts.choice.material.text("alloy") in row.words("alloys"):
        below = row.number("value")
        return Bounds(-below, Fraction(0), (row,), f"flush to {say(below)} in below")
    return Bounds(Fraction(0), Fraction(0), (), "flush") if off == 0 else Bounds(None, None)
