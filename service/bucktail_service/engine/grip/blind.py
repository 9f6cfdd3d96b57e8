"""The pick answer of a blind rivet: the grip that holds the stack, and what the bench asks next.

Tables: grip_standards, grip_ladders, grip_ranges, grip_holes, grip_heads, grip_strength, grip_inspection.
"""

from __future__ import annotations

import math
from fractions import Fraction

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.cautions import stack_codes
from bucktail_service.engine.grip.blocks import Draft, begin, find_grip_holes, finish, hole_block, strength_block
from bucktail_service.engine.grip.choice import GripChoice, choose
from bucktail_service.engine.grip.flush import head_diameter, prepare
from bucktail_service.engine.grip.given import given_hole, tell_hole
from bucktail_service.engine.grip.held import hold_stack
from bucktail_service.engine.grip.limits import blind_kinds, inspection_block
from bucktail_service.engine.grip.numbers import format_grip_number
from bucktail_service.engine.grip.ranges import GripRange
from bucktail_service.engine.holes import Holes
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.rounding import put, say
from bucktail_tables.model import Edition, Row

_OVERSIZE = "locked-oversize"


def pick_blind(question: PickQuestion, edition: Edition) -> Block:
    """Return the pick answer of a blind rivet.

    Raises:
        BadQuestion: The hole is not a length.
        NotTabulated: The standard lacks data, or does not come in the material or the size; no such drill; a
            preparation that the head cannot take, or whose figures have no row.
        OutsideTable: No grip number holds the stack, or the hole is no hole for the rivet.
    """
    choice = choose("blind", question.head, question.alloy, question.diameter, edition)
    draft = begin(question, choice, edition)
    holes = find_grip_holes(choice, edition)
    oversize = _oversize(choice, edition)
    shank = choice.nominal if oversize is None else oversize.number("shank_in")
    given = given_hole(draft, shank)
    across = head_diameter(draft)
    prepare(draft, shank)
    held, grip = hold_stack(draft)
    draft.codes += ["blind-limits", "blind-clearance", *stack_codes(question.stack, choice.nominal, edition)]
    _tell_sheets(draft)
    if choice.standard.text("use") == "not-for-aircraft":
        draft.codes.append("not-for-aircraft")
    tell_hole(draft, given, holes)
    _tell_drill(draft, holes)
    _tell_larger(draft, given, holes)
    return finish(
        draft,
        {
            "part_number": format_grip_number(
                choice.standard, choice.offered.text("letters"), choice.dash, str(held.number)
            ),
            "head_diameter": across,
            "length": _length(draft, held),
            "grip": grip,
            "hole": hole_block(draft, holes, given),
            "shank": _shank(draft, oversize),
            "strength": blind_strength(draft, holes),
            "inspection": inspection_block(blind_kinds(choice.standard), edition, draft.ledger),
        },
    )


def _oversize(choice: GripChoice, edition: Edition) -> Row | None:
    """Return the row of the oversize shank of a standard that has one."""
    if choice.standard.text("holes") != _OVERSIZE:
        return None
    return edition["grip_holes"].find(_OVERSIZE, choice.fraction)


def _length(draft: Draft, held: GripRange) -> Block | None:
    """Return the length block where the chart prints the rivet's length under the head; None elsewhere."""
    if held.row.table != "grip_ranges":
        return None
    length = held.row.number("length_in")
    draft.ledger.cite(held.row, "length.dash", "length.length", "length.protrusion", "length.counts")
    block: Block = {"dash": str(held.number)}
    put(block, "length", length)
    put(block, "ideal", None)
    put(block, "protrusion", length - draft.thickest)
    for name in ("protrusion_minimum", "protrusion_maximum", "trim_to"):
        put(block, name, None)
    return {**block, "alternatives": [], "counts": "under-head"}


def _shank(draft: Draft, oversize: Row | None) -> Block:
    """Return the shank block: limits where the standard's sheet prints them, an oversize shank where it has one."""
    choice = draft.choice
    printed = draft.edition["grip_heads"].find(choice.name, choice.fraction, "shank")
    block: Block = {}
    for end in ("minimum", "maximum"):
        put(block, end, None if printed is None else printed.number(f"{end}_in"))
    put(block, "oversize", None if oversize is None else oversize.number("shank_in"))
    if printed is None:
        draft.missing += ["shank.minimum", "shank.maximum"]
    else:
        draft.ledger.cite(printed, "shank.minimum", "shank.maximum")
    if oversize is not None:
        draft.ledger.cite(oversize, "shank.oversize")
        draft.codes.append("oversize-shank")
        draft.told["oversize-shank"] = f"{say(oversize.number('shank_in'))} against {say(choice.nominal)} in"
    return block


def blind_strength(draft: Draft, holes: Holes | None) -> Block:
    """Return the strength block: stress over the area of the final hole; the tables print no loads."""
    choice, edition = draft.choice, draft.edition
    draft.missing.append("strength.tension")
    row = edition["grip_strength"].find(choice.offered.text("offers"), choice.offered.text("alloy"), "")
    if row is None or holes is None:
        draft.missing += ["strength.single_shear", "strength.double_shear"]
        return strength_block(None)
    stress, across = row.number("shear_psi"), holes.final.diameter
    pounds = Fraction(round(float(stress) * math.pi / 4 * float(across) ** 2))
    draft.ledger.cite(row, "strength.single_shear", "strength.double_shear")
    draft.ledger.cite(rule_row(edition, "rules", "shear_on_hole_area"), "strength.single_shear")
    draft.reasoning.append(
        f"shear: {stress} psi over the area of the {say(across)} in hole, {pounds} lbf, is an estimate: thin sheet "
        "and machine-countersunk sheet take away from it"
    )
    return strength_block(pounds, basis="estimated")


def _tell_sheets(draft: Draft) -> None:
    thickest = max(layer.thickness.inches for layer in draft.question.stack.layers)
    draft.told["diameter-for-sheet"] = f"{say(draft.choice.nominal)} in with a thickest sheet of {say(thickest)} in"


def _tell_drill(draft: Draft, holes: Holes | None) -> None:
    """Say where a printed drill is smaller than the printed least hole: what it cuts must be measured."""
    if holes is not None and holes.minimum is not None and holes.final.diameter < holes.minimum:
        draft.reasoning.append(
            f"the {holes.final.name} drill, {say(holes.final.diameter)} in, is under the least hole, "
            f"{say(holes.minimum)} in: a drill cuts larger than it is, measure the hole"
        )


def _tell_larger(draft: Draft, given: Fraction | None, holes: Holes | None) -> None:
    """Say which rivets with an oversize shank the hole as given would suit, where it is too large for this one."""
    choice, edition = draft.choice, draft.edition
    row = edition["grip_holes"].find(_OVERSIZE, choice.fraction)
    if given is None or row is None or holes is None or holes.maximum is None or given <= holes.maximum:
        return
    low, high = row.number("minimum_in"), row.number("maximum_in")
    names = _with_oversize_shank(choice, edition)
    if names and low <= given <= high:
        draft.reasoning.append(
            f"a hole of {say(given)} in suits the 1/64 in oversize shank of {' or '.join(names)}: "
            f"{say(low)} to {say(high)} in"
        )
        draft.ledger.cite(row, "reasoning")


def _with_oversize_shank(choice: GripChoice, edition: Edition) -> list[str]:
    """Return the standards with an oversize shank that come with the head, in the material and the size of a choice."""
    offers = {
        row.text("offers") for row in edition["grip_offered"] if row.text("material") == choice.offered.text("material")
    }
    return [
        row.text("standard")
        for row in edition["grip_standards"]
        if row.text("holes") == _OVERSIZE
        and row.text("head") == choice.standard.text("head")
        and row.text("offers") in offers
        and str(choice.dash) in row.words("sizes")
    ]
