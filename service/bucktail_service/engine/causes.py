"""Why a formed head is outside its limits, by constant volume. Tables: formed_heads, length_rules, holes.

The head is taken as a cylinder. Its metal, told as inches of shank, is what decides: with less than the smallest
head inside the limits the shank was too short or the hole took it; with more than the largest it was too long; and
with anything between, a head inside the limits could have been driven from it, so that it was the driving.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.facts import Facts
from bucktail_service.engine.formed_head import net_volume
from bucktail_service.engine.rounding import say

# a formed head is a barrel and not a cylinder: a quarter more or less tells nothing; common practice, no source
_BARREL = Fraction(1, 4)
_STEP = 100_000  # volumes are estimates: a hundred-thousandth of an inch is finer than anyone measures


@dataclass(frozen=True, slots=True)
class Span:
    """The limits of one measure [in]; None where there is none."""

    least: Fraction | None
    most: Fraction | None

    def side(self, value: Fraction | None) -> int:
        """Return -1 under the least, 1 over the most, 0 inside, or where nothing was measured."""
        if value is None:
            return 0
        if self.least is not None and value < self.least:
            return -1
        return 1 if self.most is not None and value > self.most else 0


@dataclass(frozen=True, slots=True)
class Driven:
    """What is known of how a rivet was driven. [in]

    Attributes:
        facts: The rivet.
        across: Limits of the formed head's diameter, the strictest of the practices that rule.
        high: Limits of its height, likewise.
        window: Limits of the shank that stands out before driving, likewise.
        stack: What it clamps; None when not said.
        length: Shank under the head, or of a flush rivet the whole; None when not said.
        hole: As measured; None when it was not.
    """

    facts: Facts
    across: Span
    high: Span
    window: Span
    stack: Fraction | None
    length: Fraction | None
    hole: Fraction | None

    @property
    def protrusion(self) -> Fraction | None:
        """Shank beyond the stack before driving. [in]"""
        return None if self.stack is None or self.length is None else self.length - self.stack

    @property
    def expected(self) -> Fraction | None:
        """Shank left for the head after the rest has swelled into the hole, at least nothing. [in]"""
        if self.protrusion is None or self.swelled() is None:
            return None
        return max(self._left(self.protrusion, self.bore), Fraction(0))

    @property
    def bore(self) -> Fraction:
        """The hole as measured, or the final drill's. [in]"""
        return self.facts.holes.final.diameter if self.hole is None else self.hole

    def swelled(self, hole: Fraction | None = None) -> Fraction | None:
        """Return the shank that swells into a hole, the measured one unless told; None without a stack. [in]"""
        if self.stack is None or not self.facts.predicts:
            return None
        return -self._left(Fraction(0), self.bore if hole is None else hole)

    def _left(self, protrusion: Fraction, bore: Fraction) -> Fraction:
        size, head = self.facts.size, self.facts.head_row
        cone = head.number("height_in") if self.facts.choice.is_flush and head is not None else Fraction(0)
        cylinder = float((self.stack or Fraction(0)) - cone)
        volume = net_volume(float(size), float(bore), cylinder, float(protrusion))
        return Fraction(round(volume / float(size) ** 2 * _STEP), _STEP)


def held(across: Fraction, high: Fraction, shank: Fraction) -> Fraction:
    """Return the shank that a head holds: its diameter squared x its height / shank squared. [in]"""
    return across**2 * high / shank**2


def find_causes(across: Fraction | None, high: Fraction | None, driven: Driven) -> list[tuple[str, str]]:
    """Return what put a head outside its limits, as code and sentence; nothing when it is inside.

    Args:
        across: Its diameter; None when not measured. [in]
        high: Its height; None when not measured. [in]
        driven: The rest that is known.
    """
    causes = _by_metal(across, high, driven)
    if not causes:
        return []
    found = {code for code, _ in causes}
    if "hole_too_big" not in found and (driven.across.side(across) < 0 or driven.high.side(high) < 0):
        causes = [*_large_hole(driven), *causes]
    return [*causes, *_unlike(across, high, driven)]


def _large_hole(driven: Driven) -> list[tuple[str, str]]:
    """Return that a hole over its limit took metal from a head that came out small."""
    maximum = driven.facts.holes.maximum
    if driven.hole is None or maximum is None or driven.hole <= maximum:
        return []
    told = f"hole too big: {say(driven.bore)} in, over {say(maximum)} in"
    swelled, usual = driven.swelled(), driven.swelled(driven.facts.holes.final.diameter)
    taken = "" if swelled is None or usual is None else f", took {say(swelled - usual)} in of shank"
    return [("hole_too_big", told + taken)]


def _unlike(across: Fraction | None, high: Fraction | None, driven: Driven) -> list[tuple[str, str]]:
    """Return that the head holds another amount of metal than the rivet said leaves for it: driving loses none."""
    expected = driven.expected
    if across is None or high is None or expected is None:
        return []
    metal = held(across, high, driven.facts.size)
    if abs(metal - expected) <= _BARREL * max(expected, metal):
        return []
    more = (
        "a longer rivet or a thinner stack"
        if metal > expected
        else "a shorter rivet, a thicker stack, or metal between"
    )
    told = f"the head holds {say(_near(metal))} in of shank, the length said leaves {say(expected)} in"
    return [("not_as_said", f"not as said: {told}: {more}{'' if metal > expected else ' the sheets'}")]


def _by_metal(across: Fraction | None, high: Fraction | None, driven: Driven) -> list[tuple[str, str]]:
    """Return what the metal in a head says of how it came to be outside its limits."""
    wide, tall = driven.across.side(across), driven.high.side(high)
    if not wide and not tall:
        return []
    causes = _by_length(wide, tall, driven)
    metal, told = _metal(across, high, driven)
    if metal is None:
        return causes or [("undecided", _undecided(wide, tall))]
    size = driven.facts.size
    least = _corner(driven.across.least, driven.high.least, size)
    most = _corner(driven.across.most, driven.high.most, size)
    if least is not None and metal < least:
        causes = _missing_metal(metal, least, told, causes, driven)
    elif most is not None and metal > most:
        text = f"too long: {told}, more than any head inside the limits takes ({say(_near(most))} in)"
        causes = [entry for entry in causes if entry[0] == "too_long"] or [("too_long", text)]
    elif wide > 0 or tall < 0:
        causes.append(("over_driven", f"over-driven: {told}, enough for a head inside the limits, but it is too flat"))
    else:
        causes.append(
            ("under_driven", f"under-driven: {told}, enough for a head inside the limits; it was not driven far enough")
        )
    return causes


def _metal(across: Fraction | None, high: Fraction | None, driven: Driven) -> tuple[Fraction | None, str]:
    """Return the shank a head holds [in], measured or else from the length, and how that is told."""
    if across is not None and high is not None:
        metal = held(across, high, driven.facts.size)
        return metal, f"by volume the head holds {say(_near(metal))} in of shank"
    expected = driven.expected
    return expected, "" if expected is None else f"by its length {say(expected)} in of shank is left for the head"


def _by_length(wide: int, tall: int, driven: Driven) -> list[tuple[str, str]]:
    """Return that the shank was too long or too short before driving, where that explains a head too big or small."""
    out = driven.protrusion
    side = driven.window.side(out)
    if out is None or not side or side not in (wide, tall):
        return []
    least, most = driven.window.least, driven.window.most
    if side > 0 and most is not None:
        return [("too_long", f"too long: {say(out)} in stood out before driving, over {say(most)} in")]
    assert least is not None, "every practice has a least protrusion"  # noqa: S101
    return [("too_short", f"too short: {say(out)} in stood out before driving, under {say(least)} in")]


def _missing_metal(
    metal: Fraction, least: Fraction, told: str, by_length: list[tuple[str, str]], driven: Driven
) -> list[tuple[str, str]]:
    """Return where the metal went that a head inside the limits needs."""
    short = f"{told}, less than the smallest head inside the limits takes ({say(_near(least))} in)"
    maximum = driven.facts.holes.maximum or driven.facts.holes.final.diameter
    too_big = driven.hole is not None and driven.hole > maximum
    if not too_big:
        if by_length or driven.protrusion is None:
            return by_length or [("too_short", f"too short: {short}")]
        text = f"hole too big, or the shank swelled between the sheets: the length is right, yet {short}"
        return [("hole_too_big", text)]
    swelled, usual = driven.swelled(), driven.swelled(driven.facts.holes.final.diameter)
    hole = f"hole too big: {say(driven.bore)} in, over {say(maximum)} in"
    if swelled is None or usual is None:
        return [("hole_too_big", f"{hole}; {short}"), *by_length]
    taken = swelled - usual
    causes = [("hole_too_big", f"{hole}, took {say(taken)} in of shank more than the final drill's; {short}")]
    if by_length or metal + taken < least:
        causes += by_length or [("too_short", f"too short: without that too, {short}")]
    return causes


def _corner(across: Fraction | None, high: Fraction | None, size: Fraction) -> Fraction | None:
    return None if across is None or high is None else held(across, high, size)


def _undecided(wide: int, tall: int) -> str:
    names = ("too long or over-driven" if wide > 0 else "too short or under-driven") if wide else ""
    names = names or ("too long or under-driven" if tall > 0 else "too short or over-driven")
    return f"{names}: measure both the diameter and the height, or give stack and length, to tell which"


def _near(value: Fraction) -> Fraction:
    return Fraction(round(value * 10_000), 10_000)
