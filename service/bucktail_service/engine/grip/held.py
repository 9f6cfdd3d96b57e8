"""The grip block of blind rivets and pins: which number holds the stack, and why, in figures."""

from __future__ import annotations

import math

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.grip.blocks import Draft
from bucktail_service.engine.grip.ranges import (
    SIXTEENTH,
    GripLadder,
    GripRange,
    Held,
    begins,
    choose_by_gauge,
    choose_grip,
    find_ladder,
)
from bucktail_service.engine.lengths import format_decimal
from bucktail_service.engine.rounding import put, say

MOST = "maximum grip in 1/16 in"
MIDDLE = "middle of the grip in 1/16 in"


def grip_block(entry: GripRange, counts_most: bool) -> Block:
    """Return the grip block of a number as its ladder or its chart says it; its neighbours are not told."""
    block: Block = {"dash": str(entry.number), "counts": MOST if counts_most else MIDDLE}
    put(block, "length", None)
    put(block, "minimum", entry.minimum)
    put(block, "maximum", entry.maximum)
    block["minimum_included"] = entry.minimum_included
    block["alternatives"] = []
    return block


def hold_stack(draft: Draft) -> tuple[GripRange, Block]:
    """Return the grip that holds the draft's stack, and its block; cautions, sources and reasons go into the draft.

    Raises:
        OutsideTable: No number holds the stack.
        NotTabulated: The stack is a gauge's reading, and it cannot be read for this fastener.
    """
    choice = draft.choice
    ladder = find_ladder(choice.standard.text("ladder"), choice.dash, draft.edition)
    held = _measured(draft, ladder) if draft.question.stack.gauge is None else _gauged(draft, ladder)
    draft.ledger.cite(ladder.row, "grip.dash", "grip.counts")
    draft.ledger.cite(held.range.row, "grip.dash", "grip.minimum", "grip.maximum")
    if ladder.is_ruled and ladder.counts_most:
        draft.ledger.cite(rule_row(draft.edition, "rules", "grip_upper_bound"), "grip.maximum")
    if ladder.row.basis == "memory":
        draft.codes.append("grip-unverified")
    block = grip_block(held.range, ladder.counts_most)
    low, included = held.range.minimum_for(draft.thickest)
    put(block, "minimum", low)
    block["minimum_included"] = included
    block["alternatives"] = [str(entry.number) for entry in held.alternatives]
    return held.range, block


def _measured(draft: Draft, ladder: GripLadder) -> Held:
    """Return the grip of a stack given by its thickness."""
    near = rule_row(draft.edition, "rules", "grip_near_boundary")
    held = choose_grip(ladder, draft.thinnest, draft.thickest, near.number("value"))
    if draft.thinnest == draft.thickest:
        stack = f"{say(draft.thickest)} stack"
    else:
        stack = f"{say(draft.thinnest)} to {say(draft.thickest)} in, chosen for the thickest place"
    draft.reasoning.append(f"{stack}: {_range(held.range, draft)}; {_next(held.range, ladder)}")
    if held.range.below is not None and draft.thickest < held.range.minimum:
        gap = f"{say(held.range.below)} and {say(held.range.minimum)}"
        draft.reasoning.append(f"what lies between the printed {gap} belongs to the upper number")
    if held.straddled:
        _tell_straddled(draft, held, ladder)
    if held.at_end:
        _tell_end(draft, held, ladder)
        draft.ledger.cite(near, "grip.alternatives")
    return held


def _gauged(draft: Draft, ladder: GripLadder) -> Held:
    """Return the grip that a hook gauge read, as it stands on the gauge."""
    question, edition = draft.question, draft.edition
    reading = question.stack.gauge
    assert reading is not None  # noqa: S101
    if not ladder.counts_most:
        told = rule_row(edition, "rules", "lockbolt_gauge").text("text")
        raise NotTabulated("stack", f"{told}: give the thickness", "0.125+0.125")
    if question.stack_tolerance.plus.inches or question.stack_tolerance.minus.inches:
        told = "the reading of a hook gauge already stands for a sixteenth of stacks: no tolerance is added to it"
        raise NotTabulated("stack_tolerance", told, "leave it out, or give the thickness")
    entry = choose_by_gauge(ladder, reading)
    number = math.ceil(reading)
    said = f"gauge {format_decimal(reading)}"
    if reading != number:
        said += f" lies between {number - 1} and {number}, the higher is taken"
    meant = f"over {say((number - 1) * SIXTEENTH)} up to {say(number * SIXTEENTH)} in"
    draft.reasoning.append(f"{said}: the stack is {meant}; {_range(entry, draft)}")
    hook = rule_row(edition, "rules", "hook_gauge")
    draft.reasoning.append(f"hook gauge: {hook.text('text')}")
    draft.ledger.cite(hook, "stack.total", "grip.dash")
    draft.codes.append("gauge-reading")
    return Held(entry)


def _range(entry: GripRange, draft: Draft) -> str:
    low, included = entry.minimum_for(draft.thickest)
    span = f"{say(low)} to {say(entry.maximum)} in" if included else f"over {say(low)} up to {say(entry.maximum)} in"
    return f"grip {entry.number} holds {span}"


def _next(entry: GripRange, ladder: GripLadder) -> str:
    at = ladder.ranges.index(entry) + 1
    if at == len(ladder.ranges):
        return "no number follows"
    return f"grip {ladder.ranges[at].number} begins {begins(ladder.ranges[at])}"


def _tell_straddled(draft: Draft, held: Held, ladder: GripLadder) -> None:
    """Caution where the stack's tolerance reaches out of the range, and say how to choose."""
    rule = rule_row(draft.edition, "rules", "grip_stack_tolerance")
    thin = ladder.holding(draft.thinnest)
    there = "no grip holds it" if thin is None else f"grip {thin.number} holds it"
    grip, most = held.range.number, say(rule.number("value"))
    draft.reasoning.append(
        f"at its thinnest, {say(draft.thinnest)} in, {there}, at its thickest grip {grip}: measure each place and "
        f"take the grip that holds it; one grip takes up no more than {most} in"
    )
    draft.ledger.cite(rule, "grip.alternatives")
    draft.codes.append("grip-straddled")
    draft.told["grip-straddled"] = f"{say(draft.thinnest)} to {say(draft.thickest)} in"


def _tell_end(draft: Draft, held: Held, ladder: GripLadder) -> None:
    """Caution where the stack lies close to an end of the range, and name what lies beyond."""
    entry, at = held.range, ladder.ranges.index(held.range)
    ends = []
    if held.near_low:
        below = ladder.ranges[at - 1] if at else None
        beyond = "no number holds less" if below is None else f"grip {below.number} ends at {say(below.maximum)}"
        ends.append(f"grip {entry.number} begins {begins(entry)} in, {beyond}")
    if held.near_high:
        ends.append(f"grip {entry.number} ends at {say(entry.maximum)} in, {_next(entry, ladder)}")
    clamped = rule_row(draft.edition, "rules", "grip_measure_clamped")
    draft.reasoning.append(f"close to an end of its range: {clamped.text('text')}")
    draft.ledger.cite(clamped, "grip.alternatives")
    draft.codes.append("grip-boundary")
    draft.told["grip-boundary"] = "; ".join(ends)
