"""The pick answer of a pin with a swaged or threaded collar, and of a lockbolt: grip and collar.

Tables: grip_standards, grip_ladders, grip_ranges, collars, pin_protrusions, rules.
"""

from __future__ import annotations

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.cautions import countersink_codes, stack_codes
from bucktail_service.engine.errors import OutsideTable
from bucktail_service.engine.grip.blocks import Draft, begin, find_grip_holes, finish, hole_block, strength_block
from bucktail_service.engine.grip.choice import choose
from bucktail_service.engine.grip.collar import collar_block, interference
from bucktail_service.engine.grip.given import given_hole, tell_hole
from bucktail_service.engine.grip.held import hold_stack
from bucktail_service.engine.grip.limits import inspection_block
from bucktail_service.engine.grip.numbers import format_grip_number
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.rounding import put, say
from bucktail_tables.model import Edition

_DASHES = "dashes"


def pick_pin(question: PickQuestion, edition: Edition) -> Block:
    """Return the pick answer of a pin; its part number is null where only the dashes of its number are known.

    Raises:
        BadQuestion: The hole is not a length.
        NotTabulated: The standard lacks data, or does not come in the size; no such drill; a gauge that does not
            read this fastener.
        OutsideTable: No grip number holds the stack, it is under the shank diameter of a swaged pin, or the hole is no
            hole for the pin.
    """
    choice = choose("pin", question.head, question.alloy, question.diameter, edition)
    draft = begin(question, choice, edition)
    tightest = interference(choice.standard, edition)
    given = given_hole(draft, choice.nominal - max(tightest.least or 0, tightest.most or 0))
    held, grip = hold_stack(draft)
    draft.codes += stack_codes(question.stack, choice.nominal, edition)
    # how thick a rivet is for its sheet says nothing of pins, which have a rule of their own
    draft.codes = [code for code in draft.codes if code != "diameter-for-sheet"]
    if choice.is_flush:
        draft.codes += countersink_codes(question.stack, None, None)
    _tell_use(draft)
    _tell_superseded(draft)
    dashes = format_grip_number(choice.standard, choice.offered.text("letters"), choice.dash, str(held.number))
    holes = find_grip_holes(choice, edition)
    tell_hole(draft, given, holes)
    if given is not None and given > choice.nominal:
        draft.codes.append("hole-outside-limits")
        draft.told["hole-outside-limits"] = f"{say(given)} in is over the shank, {say(choice.nominal)} in"
    is_named = choice.standard.text("number_format") != _DASHES
    if not is_named:
        draft.missing.append("part_number")
        draft.reasoning.append(f"the dashes behind the standard's own number: {dashes}")
    return finish(
        draft,
        {
            "part_number": dashes if is_named else None,
            "grip": grip,
            "hole": hole_block(draft, holes, given),
            "shank": _shank(draft),
            "collar": collar_block(draft, tightest),
            "strength": pin_strength(draft),
            "inspection": inspection_block(("pin",), edition, draft.ledger),
        },
    )


def _tell_use(draft: Draft) -> None:
    """Write down the cautions of the kind of pin: what loads it takes, how thick the stack must be."""
    choice, edition = draft.choice, draft.edition
    ladder = choice.standard.text("ladder")
    if ladder == "lockbolt":
        draft.codes += ["lockbolt-collar", "lockbolt-width"]
    if ladder != "swaged-pin":
        return
    shear, least = (rule_row(edition, "rules", name) for name in ("pin_shear_only", "pin_grip_least"))
    draft.codes.append("pin-shear-only")
    draft.ledger.cite(shear, "strength.tension")
    draft.ledger.cite(least, "grip.dash")
    shortest = least.number("value") * choice.nominal
    if draft.thickest < shortest:
        told = f"{least.text('text')}: {say(draft.thickest)} in is under {say(shortest)} in"
        raise OutsideTable("stack", told, f"{say(shortest)}, or a rivet")
    if draft.thinnest < shortest:
        draft.codes.append("pin-grip-short")
        draft.told["pin-grip-short"] = f"{say(draft.thinnest)} in at its thinnest against {say(shortest)} in"
    chamfer = rule_row(edition, "rules", "pin_chamfer")
    draft.reasoning.append(f"hole: {chamfer.text('text')}")
    draft.ledger.cite(chamfer, "hole")


def _tell_superseded(draft: Draft) -> None:
    row = draft.edition["rules"].find(f"superseded_{draft.choice.name}")
    if row is not None:
        draft.codes.append("superseded-number")
        draft.told["superseded-number"] = row.text("text")
        draft.reasoning.append(f"{row.text('text')}: answered in the number asked for")
        draft.ledger.cite(row, "standard")


def _shank(draft: Draft) -> Block:
    block: Block = {}
    for name in ("minimum", "maximum", "oversize"):
        put(block, name, None)
    draft.missing += ["shank.minimum", "shank.maximum"]
    return block


def pin_strength(draft: Draft) -> Block:
    """Return the strength block, empty: the documents compare a pin to a bolt but print no load."""
    draft.missing += [f"strength.{name}" for name in ("single_shear", "double_shear", "tension")]
    if draft.choice.standard.text("ladder") == "swaged-pin":
        rule = rule_row(draft.edition, "rules", "pin_shear_as_bolt")
        draft.reasoning.append(f"{rule.text('text')}; no load is printed")
        draft.ledger.cite(rule, "strength.single_shear")
    return strength_block(None)
