"""How long the rivet must be. Tables: lengths, length_rules."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from bucktail_service.engine.errors import NotTabulated, OutsideTable
from bucktail_service.engine.rounding import say, times
from bucktail_tables.model import Edition, Row

SIXTEENTH = Fraction(1, 16)


class ProtrusionWords(NamedTuple):
    """A window of protrusion as sentences say it, made once."""

    span: str
    preferred: str
    least: str
    most: str


@dataclass(frozen=True, slots=True)
class Protrusion:
    """How much shank stands out of the stack before driving. [in]; in words too, and the rows that say why."""

    minimum: Fraction
    preferred: Fraction
    maximum: Fraction | None
    words: ProtrusionWords
    rows: dict[str, Row]


@dataclass(frozen=True, slots=True)
class LengthChoice:
    """The length chosen and why.

    Attributes:
        dash: Length number of the part number, in sixteenths: `4`, `4.5`.
        length: What the number counts. [in]
        ideal: Stack plus preferred protrusion. [in]
        protrusion: Shank beyond the stack, as supplied or as trimmed. [in]
        trim_to: Length to cut the rivet to, or None. [in]
        alternatives: Other tabulated lengths within a sixteenth whose protrusion is inside the window.
    """

    dash: str
    length: Fraction
    ideal: Fraction
    protrusion: Fraction
    trim_to: Fraction | None
    alternatives: tuple[str, ...]


def protrusion(practice: str, alloy: str, diameter: Fraction, edition: Edition) -> Protrusion:
    """Return the protrusion window of a practice for an alloy. [in]

    Raises:
        NotTabulated: The practice has no rule for the alloy.
    """
    rows = {
        row.text("figure"): row
        for row in edition["length_rules"]
        if row.text("practice") == practice and alloy in row.words("alloys")
    }
    if "preferred" not in rows or "minimum" not in rows:
        raise NotTabulated("alloy", f"practice {practice} has no length rule for {alloy}", "AD")
    figures = {figure: row.number("times_d") * diameter for figure, row in rows.items()}
    low, preferred, high = figures["minimum"], figures["preferred"], figures.get("maximum")
    words = ProtrusionWords(
        f"{say(low)} or more" if high is None else f"{say(low)} to {say(high)}",
        f"{float(preferred / diameter):g} x {say(diameter)}",
        times(low, diameter),
        "" if high is None else times(high, diameter),
    )
    return Protrusion(low, preferred, high, words, rows)


@dataclass(frozen=True, slots=True)
class Ladder:
    """The tabulated lengths of a diameter, shortest first: length numbers, and lengths [in] beside them.

    They stand in even steps, so that a length is found by counting and not by searching.
    """

    dashes: tuple[str, ...]
    lengths: tuple[Fraction, ...]
    steps_per_inch: int
    first_step: int

    def between(self, low: Fraction, high: Fraction) -> list[tuple[str, Fraction]]:
        """Return the lengths from *low* to *high*, both ends included."""
        start = max(self._step_at_least(low), 0)
        stop = high.numerator * self.steps_per_inch // high.denominator - self.first_step + 1
        span = slice(start, max(stop, start))
        return list(zip(self.dashes[span], self.lengths[span], strict=True))

    def next_longer(self, low: Fraction) -> tuple[str, Fraction] | None:
        """Return the shortest length of at least *low*, or None."""
        at = max(self._step_at_least(low), 0)
        return (self.dashes[at], self.lengths[at]) if at < len(self.lengths) else None

    def _step_at_least(self, low: Fraction) -> int:
        return -(-low.numerator * self.steps_per_inch // low.denominator) - self.first_step


def ladder(row: Row) -> Ladder:
    """Return the tabulated lengths of a diameter."""
    steps = 2 if row.flag("half_sizes") else 1
    first, last = int(row.number("shortest_dash")) * steps, int(row.number("longest_dash")) * steps
    dashes = [Fraction(step, steps) for step in range(first, last + 1)]
    lengths = tuple(dash * SIXTEENTH for dash in dashes)
    return Ladder(tuple(map(_dash_text, dashes)), lengths, 16 * steps, first)


def _dash_text(dash: Fraction) -> str:
    return str(dash) if dash.denominator == 1 else f"{dash.numerator // 2}.5"


def choose_length(
    total: Fraction,
    thinnest: Fraction,
    thickest: Fraction,
    window: Protrusion,
    lengths: Ladder,
) -> LengthChoice:
    """Return the tabulated length for a stack.

    Of the lengths whose protrusion stays inside the window (both ends belong to it) from the thinnest to the
    thickest stack, whole sixteenths come first, then the nearest to the ideal, then the longer. Where none
    fits, the next longer is cut to the ideal, or to what the thickest stack needs where that is more.

    Args:
        total: Stack as given. [in]
        thinnest: Stack less its tolerance. [in]
        thickest: Stack plus its tolerance. [in]
        window: Shank to stand out of the stack.
        lengths: The tabulated lengths, shortest first.

    Raises:
        OutsideTable: The stack is nothing, or no tabulated length spans it.
    """
    if thinnest <= 0:
        raise OutsideTable("stack", f"a stack of {say(thinnest)} in at its thinnest holds nothing", "0.032+0.040")
    ideal = total + window.preferred
    low = thickest + window.minimum
    # without a maximum the search ends a sixteenth past the ideal, where the next whole length stands
    high = max(low, ideal) + SIXTEENTH if window.maximum is None else thinnest + window.maximum
    fitting = lengths.between(low, high)
    fitting.sort(key=lambda entry: (entry[0].endswith(".5"), abs(entry[1] - ideal), -entry[1]))
    if fitting:
        dash, length = fitting[0]
        near = [entry for entry, other in fitting[1:] if abs(other - length) <= SIXTEENTH][:3]
        return LengthChoice(dash, length, ideal, length - total, None, tuple(near))
    # cut so that the shank still stands out far enough where the stack is thickest
    cut = max(ideal, low)
    longer = lengths.next_longer(cut)
    if longer is not None:
        dash, length = longer
        return LengthChoice(dash, length, ideal, cut - total, cut, ())
    longest = (lengths.dashes[-1], lengths.lengths[-1])
    spans = longest[1] - window.minimum
    raise OutsideTable(
        "stack",
        f"no tabulated rivet of this diameter spans {say(total)} in: the longest, -{longest[0]}, "
        f"is {say(longest[1])} in and serves stacks up to {say(spans)} in",
        f"a stack up to {say(spans)} in, or a larger diameter",
    )


def explain(
    choice: LengthChoice,
    total: Fraction,
    thinnest: Fraction,
    thickest: Fraction,
    window: Protrusion,
    lengths: Ladder,
    diameter: Fraction,
) -> list[str]:
    """Return a length choice in words, one step a line; the arguments are those it was made from."""
    over = f" over stacks of {say(thinnest)} to {say(thickest)} in" if thinnest != thickest else ""
    total_line = (
        f"{say(total)} stack + {window.words.preferred} = {say(choice.ideal)} in; "
        f"the shank may stand out {window.words.span} in{over}"
    )
    if choice.trim_to is not None:
        longer = f"-{choice.dash} ({say(choice.length)} in)"
        return [
            total_line,
            f"no tabulated length stays inside; the next longer, {longer}, is cut to {say(choice.trim_to)} in",
        ]
    why = _why(choice.dash, choice.length, total, thinnest, thickest, window, lengths, diameter)
    return [total_line, *why]


def _why(
    dash: str,
    length: Fraction,
    total: Fraction,
    thinnest: Fraction,
    thickest: Fraction,
    window: Protrusion,
    lengths: Ladder,
    diameter: Fraction,
) -> list[str]:
    kind = "half size, as no whole sixteenth fits" if dash.endswith(".5") else "nearest whole sixteenth that fits"
    out = length - total
    reasons = [f"-{dash} ({say(length)} in) leaves {say(out)} in, {times(out, diameter)}: {kind}"]
    whole = [entry for entry in lengths.between(length - SIXTEENTH, length + SIXTEENTH) if "." not in entry[0]]
    shorter = whole[0] if whole and whole[0][1] < length else None
    longer = whole[-1] if whole and whole[-1][1] > length else None
    if longer is not None:
        most = longer[1] - thinnest
        if window.maximum is not None and most > window.maximum:
            reasons.append(
                f"-{longer[0]} ({say(longer[1])} in) would leave {say(most)} in, {times(most, diameter)}: "
                f"too long, over {window.words.most}"
            )
        else:
            reasons.append(f"-{longer[0]} ({say(longer[1])} in) would leave {say(most)} in: further from the ideal")
    if shorter is not None:
        least = shorter[1] - thickest
        if least < window.minimum:
            reasons.append(
                f"-{shorter[0]} ({say(shorter[1])} in) would leave {say(least)} in, {times(least, diameter)}: "
                f"too short, under {window.words.least}"
            )
        else:
            reasons.append(f"-{shorter[0]} ({say(shorter[1])} in) would leave {say(least)} in: further from the ideal")
    return reasons
