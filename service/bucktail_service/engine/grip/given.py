"""The hole as a question gives it: whether it can be a hole for the fastener at all."""

from __future__ import annotations

from fractions import Fraction

from bucktail_service.engine.errors import OutsideTable
from bucktail_service.engine.grip.blocks import Draft
from bucktail_service.engine.holes import Holes, hole_size
from bucktail_service.engine.rounding import say

_SMALLEST = Fraction(9, 10)


def given_hole(draft: Draft, least: Fraction) -> Fraction | None:
    """Return the diameter of the hole as given, or None where the question gives none. [in]

    Args:
        draft: The answer in the making.
        least: The tightest hole the shank goes into, where that is under its nominal size. [in]

    Raises:
        BadQuestion: Not a length.
        NotTabulated: No such drill.
        OutsideTable: It is no hole for the fastener: under nine tenths of its diameter, or over twice of it.
    """
    if draft.question.hole is None:
        return None
    choice = draft.choice
    hole = hole_size(draft.question.hole, draft.edition)
    # a smaller hole is one still to be opened
    low, high = _SMALLEST * min(least, choice.nominal), 2 * choice.nominal
    if not low <= hole <= high:
        fastener = f"{choice.fraction} {'rivet' if choice.standard.text('family') == 'blind' else 'pin'}"
        told = f"{say(hole)} in is no hole for a {fastener} of {choice.name}: {say(low)} to {say(high)} in"
        raise OutsideTable("hole", f"{told}; a drill is written #30", say(choice.nominal))
    return hole


def tell_hole(draft: Draft, hole: Fraction | None, holes: Holes | None) -> None:
    """Write down what fires the caution about a hole outside its limits, in figures."""
    if hole is not None and holes is not None and holes.minimum is not None and holes.maximum is not None:
        limits = f"{say(holes.minimum)} to {say(holes.maximum)}"
        told = f"{say(hole)} in against {limits}"
        if hole < holes.minimum:
            told += f": open it with {holes.final.name}"
        draft.told["hole-outside-limits"] = told
