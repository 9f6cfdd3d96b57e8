"""One measured figure held to the limits of each practice. Tables: those of the pick, inspection_limits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.facts import Facts
from bucktail_service.engine.rounding import put, say
from bucktail_service.engine.sources import Ledger
from bucktail_tables.model import Edition, Row

INSIDE, OUTSIDE, UNJUDGED = "inside limits", "outside limits", "no limit"
SPACING = ("edge_distance", "pitch")


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


def why(figure: Judged, practice: str) -> str:
    """Return the sentence that tells what of a figure lies outside the limit of a practice."""
    name = figure.name.replace("_", " ")
    return f"{name} {signed(figure.measured)} in; limit {figure.bounds[practice].told()} ({practice})"


def signed(value: Fraction) -> str:
    """Return a length [in] for a sentence, also one below nothing."""
    return f"-{say(-value)}" if value < 0 else say(value)


def calm_verdict(figures: Iterable[Judged], practices: tuple[str, ...]) -> str:
    """Return the verdict of figures none of which is outside."""
    verdicts = {figure.verdicts[practice] for figure in figures for practice in practices}
    if verdicts == {UNJUDGED}:
        return "not judged"
    return "inside limits, some not judged" if UNJUDGED in verdicts else "inside limits"


def overall_verdict(figures: list[Judged], practices: tuple[str, ...]) -> str:
    """Return the verdict over all; a new fastener mends nothing that only its place is outside of."""
    outside = {figure.name for figure in figures if figure.outside(practices)}
    if not outside:
        return calm_verdict(figures, practices)
    return f"{OUTSIDE}: replace" if outside - set(SPACING) else f"{OUTSIDE}: not mended by replacing"


def practice_block(name: str, ruling: tuple[str, ...], count: int, figures: list[Judged]) -> Block:
    """Return what one practice says of *count* pieces, and whether it is among those that rule."""
    rejected = [
        number
        for number in range(1, count + 1)
        if any(figure.outside((name,)) for figure in figures if figure.piece in (None, number))
    ]
    return {
        "practice": name,
        "rules": name in ruling,
        "verdict": overall_verdict(figures, (name,)),
        "rejects": len(rejected),
        "rejected": rejected,
    }


def piece_block(number: int, measured: Block, ruling: tuple[str, ...], figures: list[Judged]) -> Block:
    """Return a piece as it was measured, its verdict by the practices that rule, and what of it is outside."""
    own = [figure for figure in figures if figure.piece in (None, number)]
    outside = [(figure, practice) for figure in own for practice in figure.outside(ruling)]
    return {
        "piece": number,
        **measured,
        "verdict": OUTSIDE if outside else calm_verdict(own, ruling),
        "outside": [why(figure, practice) for figure, practice in outside],
    }


def tell_ruling(count: int, practices: tuple[str, ...], figures: list[Judged]) -> list[str]:
    """Return in words how many pieces were judged by which practices, and what is taken to hold for all."""
    pieces, ruling = f"{count} {'piece' if count == 1 else 'pieces'}", " and ".join(practices)
    lines = [f"{pieces}; {ruling} rules, the other figures stand beside it"]
    if len(practices) > 1:
        lines = [f"{pieces}; {ruling} rule together, the strictest limit decides"]
    if count > 1 and any(figure.piece is None for figure in figures):
        lines.append("what is not given piece by piece is taken to hold for every piece")
    return lines


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


def gap_bounds(around: Fraction | None, edition: Edition, share: Row | None = None) -> Bounds:
    """Return the limit of a gap under the head.

    A feeler thinner than the gauge's finds no gap. One that enters is let go only when it is known to enter over no
    more of the circumference than the table says.

    Args:
        around: Share of the circumference over which the feeler enters; None when not said. [percent]
        edition: The tables to read.
        share: Row of the most it may be; that of driven rivets when None. [percent]
    """
    feeler = rule_row(edition, "inspection_limits", "gap_feeler")
    share = share or rule_row(edition, "inspection_limits", "gap_around")
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
