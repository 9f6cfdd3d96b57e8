"""Flush heads of blind rivets: their diameter, the sheet they need, what dimples add. Table: grip_heads."""

from __future__ import annotations

import math
from fractions import Fraction

from bucktail_service.engine.blocks import rule_row
from bucktail_service.engine.cautions import countersink_codes
from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.grip.blocks import Draft
from bucktail_service.engine.grip.choice import GripChoice
from bucktail_service.engine.rounding import say
from bucktail_tables.model import Row

# the rows for 100-degree blind rivets at large
AT_LARGE = "blind-flush"


def head_diameter(draft: Draft) -> Fraction | None:
    """Return the printed diameter of a flush head, its greatest where two limits are printed; None without row. [in]"""
    row = _head_row(draft)
    if row is None:
        return None
    draft.ledger.cite(row, "head.diameter")
    low, high = row.maybe("minimum_in"), row.number("maximum_in")
    if low is not None:
        draft.reasoning.append(f"the head is printed {say(low)} to {say(high)} in across: the greatest is shown")
    return high


def prepare(draft: Draft, shank: Fraction) -> None:
    """Add the head to a dimpled stack, or hold a countersunk one's outer sheet to its least thickness.

    Args:
        draft: The answer in the making.
        shank: Shank diameter. [in]

    Raises:
        NotTabulated: A preparation for a protruding head; dimpled sheet, and the head or the stack is not known.
    """
    preparation = draft.question.preparation
    if not draft.choice.is_flush:
        if preparation is not None:
            told = f"{draft.choice.name} has a protruding head: sheets are countersunk or dimpled for flush ones"
            raise NotTabulated("preparation", told, "leave it out")
        return
    if preparation == "dimpled":
        _add_dimple(draft, shank)
        return
    draft.reasoning.append("the grip of a flush rivet counts from the outer surface: its head lies in the stack")
    if preparation is None:
        draft.codes.append("preparation-unsaid")
    _hold_to_sheet(draft)


def _is_flush_blind(choice: GripChoice) -> bool:
    return choice.is_flush and choice.standard.text("family") == "blind"


def _head_row(draft: Draft) -> Row | None:
    heads, choice = draft.edition["grip_heads"], draft.choice
    own = heads.find(choice.name, choice.fraction, "diameter")
    return own or (heads.find(AT_LARGE, choice.fraction, "diameter") if _is_flush_blind(choice) else None)


def _add_dimple(draft: Draft, shank: Fraction) -> None:
    choice, row = draft.choice, _head_row(draft)
    if row is None:
        told = f"the head diameter of {choice.name} in {choice.fraction} has no row: what dimples add is not known"
        raise NotTabulated("preparation", told, "countersunk, or the height measured and added to the stack")
    if draft.question.stack.gauge is not None:
        told = "what a hook gauge reads in dimpled sheet has no row: give the thickness of the sheets"
        raise NotTabulated("stack", told, "0.032+0.040")
    across, cone = row.number("maximum_in"), int(choice.standard.number("cone_angle_deg"))
    height = float((across - shank) / 2) / math.tan(math.radians(cone / 2))
    draft.added = round(Fraction(height), 6)
    draft.reasoning.append(
        f"{say(draft.question.stack.total)} stack + the countersunk head, ({say(across)} - {say(shank)}) / 2 / "
        f"tan {cone // 2} deg = {say(draft.added)} in high (derived), = {say(draft.total)} in"
    )
    draft.ledger.cite(row, "stack.total")
    for rule in ("grip_double_dimple", "flush_head_height"):
        draft.ledger.cite(rule_row(draft.edition, "rules", rule), "stack.total")
    draft.codes.append("dimpled-stack")
    draft.told["dimpled-stack"] = f"{say(draft.added)} in added"


def _hold_to_sheet(draft: Draft) -> None:
    stack = draft.question.stack
    row = draft.edition["grip_heads"].find(AT_LARGE, draft.choice.fraction, "sheet")
    least = None if row is None else row.number("minimum_in")
    draft.codes += countersink_codes(stack, None, least)
    if row is None or least is None:
        return
    draft.ledger.cite(row, "reasoning")
    draft.reasoning.append(f"a sheet is machine countersunk from {say(least)} in on")
    draft.told["knife-edge"] = f"the sheet is {say(stack.layers[0].thickness.inches)} in, the least {say(least)} in"
