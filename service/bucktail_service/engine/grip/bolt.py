"""The pick answer of a bolt: dash by grip, washers, nut, thread, torque, hole and strength."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.cautions import stack_codes
from bucktail_service.engine.errors import OutsideTable
from bucktail_service.engine.grip.blocks import Draft, begin, find_grip_holes, finish, hole_block, strength_block
from bucktail_service.engine.grip.bolt_job import BoltJob, lay_out, null_figures
from bucktail_service.engine.grip.bolt_numbers import format_bolt_number
from bucktail_service.engine.grip.bolt_strength import bearing_blocks, cite_strength, find_strength
from bucktail_service.engine.grip.bolt_words import explain_bolt, tell_shortest, tell_straddle, tell_threads
from bucktail_service.engine.grip.choice import choose
from bucktail_service.engine.grip.ladder import grip_block, near_ends
from bucktail_service.engine.grip.nuts import nut_block, nut_codes
from bucktail_service.engine.grip.tightening import (
    Torques,
    cotter_block,
    find_cotter,
    find_torques,
    thread_block,
    thread_codes,
    torque_block,
)
from bucktail_service.engine.grip.washers import is_over, washers_block
from bucktail_service.engine.holes import Holes, hole_size
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.rounding import half_even, put, say
from bucktail_tables.model import Edition, Row

CLOSE_TOLERANCE = "close-tolerance"
# the ladder of NAS bolts whose sheet was not read
SIXTEENTHS = "sixteenths"
# rivets are judged by their thickest sheet, bolts go through fittings
_OF_RIVETS = frozenset({"diameter-for-sheet"})
# an interference fit is tighter than the nominal size, by far less than this share of it
_TIGHTEST = Fraction(99, 100)
# from here on a hole is the next bolt's
_NEXT_SIZE = Fraction(1, 16)


def pick_bolt(question: PickQuestion, edition: Edition) -> Block:
    """Return the pick answer of a bolt.

    Raises:
        NotTabulated: The standard lacks data or does not come so; or the nut is not known, or needs a drilled shank
            whose letters are not.
        OutsideTable: The stack is over the longest grip, no washers bring it inside its grip, the hole is no hole for
            the bolt, or the nut's height is no nut's.
    """
    choice = choose("bolt", question.head, question.alloy, question.diameter, edition)
    draft = begin(question, choice, edition)
    job = lay_out(draft)
    by_layers = stack_codes(question.stack, choice.nominal, edition)
    draft.codes += ["bolt-step", *(code for code in by_layers if code not in _OF_RIVETS)]
    draft.told["bolt-step"] = tell_shortest(job)
    if job.washers is not None and job.head_washer_left_out:
        draft.codes.append("head-washer-left-out")
    torques, strength = find_torques(job), find_strength(draft)
    if strength is not None and job.nut.load == "shear":
        strength = replace(strength, tension=None)  # a thin nut carries none
    cite_strength(draft, strength)
    if strength is None:
        strengths = strength_block(None, bearing=bearing_blocks(draft))
    else:
        strengths = strength_block(strength.single_shear, strength.tension, strength.basis, bearing_blocks(draft))
    blocks = {
        "part_number": _number(job),
        "length": _length(job),
        "grip": _grip(job),
        "hole": _hole(job),
        "strength": strengths,
        "shank": _shank(draft),
        "washers": _washers(job),
        "nut": _nut(job),
        "thread": _thread(job),
        "torque": _torque(draft, torques),
        "cotter": _cotter(job),
    }
    _judge(job)
    draft.reasoning += explain_bolt(job, torques, strength)
    return finish(draft, blocks)


def _number(job: BoltJob) -> str:
    choice = job.draft.choice
    return format_bolt_number(
        choice.standard,
        choice.offered.text("letters"),
        job.bolt.dash,
        drilled_head=choice.drilled_head,
        drilled_shank=job.nut.is_castellated,
        diameter=choice.dash,
    )


def _judge(job: BoltJob) -> None:
    """Write down the cautions of the bolt itself and of the stack in its grip."""
    draft = job.draft
    floor = _floor(draft.choice.offered, draft.edition)
    if draft.choice.nominal < floor.number("value"):
        draft.codes.append("bolt-too-small")
        draft.ledger.cite(floor, "diameter")
    if draft.choice.standard.text("holes") == CLOSE_TOLERANCE:
        draft.codes.append("close-tolerance")
    if job.is_straddled:
        draft.codes.append("grip-straddled")
        draft.told["grip-straddled"] = tell_straddle(job)


def _floor(offered: Row, edition: Edition) -> Row:
    """Return the rule that sets the smallest bolt of a material in primary structure."""
    if offered.text("material") == "2024":
        return rule_row(edition, "rules", "bolt_floor_aluminium")
    return rule_row(edition, "rules", "bolt_floor_steel")


def _length(job: BoltJob) -> Block | None:
    draft, bolt = job.draft, job.bolt
    if bolt.length is None:
        draft.missing.append("length.length")
        return None
    for row in (bolt.row, None if bolt.row else job.series):
        if row is not None:
            draft.ledger.cite(row, "length.length", "length.protrusion")
    block: Block = {"dash": bolt.dash}
    put(block, "length", bolt.length)
    put(block, "ideal", None)
    put(block, "protrusion", bolt.length - job.under_head - draft.thickest)
    for name in ("protrusion_minimum", "protrusion_maximum", "trim_to"):
        put(block, name, None)
    return {**block, "alternatives": [], "counts": "under-head"}


def _grip(job: BoltJob) -> Block:
    draft, bolt, edition = job.draft, job.bolt, job.draft.edition
    standard = draft.choice.standard
    ladder = edition["grip_ladders"].by_key[(standard.text("ladder"),)]
    draft.ledger.cite(ladder, "grip.dash", "grip.counts")
    if ladder.text("ladder") == SIXTEENTHS:
        draft.codes.append("grip-unverified")
    draft.ledger.cite(bolt.row or ladder, "grip.length", "grip.minimum", "grip.maximum")
    draft.ledger.cite(rule_row(edition, "rules", f"bolt_grip_{draft.practice}"), "grip.length")
    near = rule_row(edition, "rules", "grip_near_boundary")
    ends = near_ends(standard, bolt, draft.thickest, near.number("value"), edition)
    if ends:
        draft.codes.append("grip-boundary")
        draft.told["grip-boundary"] = f"over {say(bolt.over)} up to {say(bolt.grip)} in"
        draft.ledger.cite(near, "grip.alternatives")
    return grip_block(standard, bolt, [*bolt.same, *ends])


def _hole(job: BoltJob) -> Block:
    draft = job.draft
    choice, edition = draft.choice, draft.edition
    close = choice.standard.text("holes") == CLOSE_TOLERANCE
    fit_row = rule_row(edition, "rules", "close_tolerance_fit") if close else None
    if fit_row is not None:
        draft.ledger.cite(fit_row, "hole.fit")
    holes = None if close else find_grip_holes(choice, edition)
    if holes is None and not close:
        draft.reasoning.append(
            "hole: FAA AC 43.13-1B 7-39 takes the first letter drill over the nominal size from 1/4 in up: "
            f"none for {choice.fraction}"
        )
    given = None if draft.question.hole is None else hole_size(draft.question.hole, edition)
    if given is not None:
        _judge_hole(draft, given, holes)
    return hole_block(draft, holes, given, None if fit_row is None else fit_row.text("text"))


def _judge_hole(draft: Draft, given: Fraction, holes: Holes | None) -> None:
    """Tell the hole as given against shank and drill; no limits are in the tables.

    Raises:
        OutsideTable: It is no hole for the bolt.
    """
    choice = draft.choice
    nominal, shank = choice.nominal, draft.edition["bolt_shanks"].find(choice.name)
    if not nominal * _TIGHTEST <= given < nominal + _NEXT_SIZE:
        span = f"{say(nominal * _TIGHTEST)} to under {say(nominal + _NEXT_SIZE)} in"
        told = f"{say(given)} in is no hole for a {choice.fraction} bolt: {span}; a drill is written #30"
        raise OutsideTable("hole", told, say(nominal))
    if shank is not None:
        least, most = given - shank.number("maximum_in"), given - shank.number("minimum_in")
        draft.reasoning.append(f"the hole as given, {say(given)} in, is {_beside(least, most)} the shank")
        close = choice.standard.text("holes") == CLOSE_TOLERANCE
        if (least > 0 and close) or (most < 0 and not close):
            _tell_hole(draft, f"{say(given)} in against a shank of {_span(shank)} in")
    if holes is not None and given > holes.final.diameter:
        drill = f"{holes.final.name}, {say(holes.final.diameter)} in"
        _tell_hole(draft, f"{say(given)} in, over the drill of a clearance fit, {drill}")


def _tell_hole(draft: Draft, told: str) -> None:
    draft.codes.append("hole-outside-limits")
    draft.told["hole-outside-limits"] = told


def _beside(least: Fraction, most: Fraction) -> str:
    if most <= 0:
        return f"{say(-most)} to {say(-least)} in under"
    if least >= 0:
        return f"{say(least)} to {say(most)} in over"
    return f"{say(-least)} in under to {say(most)} in over"


def _span(shank: Row) -> str:
    return f"{say(shank.number('minimum_in'))} to {say(shank.number('maximum_in'))}"


def _shank(draft: Draft) -> Block | None:
    row = draft.edition["bolt_shanks"].find(draft.choice.name)
    if row is None:
        draft.missing.append("shank")
        return None
    draft.ledger.cite(row, "shank.minimum", "shank.maximum")
    block: Block = {}
    put(block, "minimum", row.number("minimum_in"))
    put(block, "maximum", row.number("maximum_in"))
    put(block, "oversize", None)
    return block


def _washers(job: BoltJob) -> Block | None:
    draft = job.draft
    if job.washers is None:
        draft.missing.append("washers")
        return None
    draft.codes.append("washer-metal")
    most = rule_row(draft.edition, "rules", "washers_height_most").number("value")
    if is_over(job.washers.total, most):
        draft.codes.append("washers-high")
        draft.told["washers-high"] = f"{say(job.washers.total)} in, the most {say(most)}"
    for row in dict.fromkeys((*job.washers.under_head, *job.washers.under_nut)):
        draft.ledger.cite(row, "washers")
    for name in (f"washers_head_{draft.practice}", "washers_nut_least", "washers_side_most", "washers_most"):
        draft.ledger.cite(rule_row(draft.edition, "rules", name), "washers.under_head", "washers.under_nut")
    return washers_block(job.washers)


def _nut(job: BoltJob) -> Block:
    draft, nut = job.draft, job.nut
    block = nut_block(nut)
    draft.codes += nut_codes(nut)
    draft.missing += null_figures("nut", block)
    draft.ledger.cite(nut.row, "nut.kind", "nut.load", "nut.castellated")
    if nut.size is not None:
        draft.ledger.cite(nut.size, "nut.number", *(() if nut.height is None or nut.measured else ("nut.height",)))
    return block


def _thread(job: BoltJob) -> Block:
    draft, practice = job.draft, job.draft.practice
    block = thread_block(job)
    draft.missing += null_figures("thread", block)
    if job.series is not None:
        draft.ledger.cite(job.series, "thread.thread", "thread.per_inch", "thread.length")
    in_hole = ("thread.in_hole", "thread.in_hole_threads")
    draft.ledger.cite(rule_row(draft.edition, "rules", f"thread_in_hole_{practice}"), *in_hole, f"{in_hole[1]}_maximum")
    past_nut = ("thread.past_nut", "thread.past_nut_threads")
    tallest = () if job.nut_height_most is None else ("thread.nut_height_maximum",)
    draft.ledger.cite(job.past_nut_least, f"{past_nut[1]}_minimum", *tallest)
    for row in (job.bolt.row or job.series, None if job.nut.measured else job.nut.size):
        if row is not None and job.past_nut is not None:
            draft.ledger.cite(row, *past_nut)
    codes = thread_codes(job)
    draft.codes += codes
    draft.told |= {code: tell_threads(job) for code in codes}
    if "thread-long" in codes:
        draft.ledger.cite(rule_row(draft.edition, "rules", "thread_past_nut_most"), "thread.past_nut_threads")
    return block


def _torque(draft: Draft, torques: Torques | None) -> Block | None:
    if torques is None:
        draft.missing.append("torque")
        return None
    draft.codes += ["torque-dry", "torque-drag"] if torques.final is None else ["torque-dry"]
    draft.ledger.cite(torques.row, "torque")
    if torques.final is not None:
        rule = rule_row(draft.edition, "rules", "torque_drag")
        draft.ledger.cite(rule, "torque.drag", "torque.final_minimum", "torque.final_maximum")
    if torques.final is not None and torques.is_over:
        final, most = (half_even(value, 2) for value in (torques.final[1], torques.allowable))
        draft.codes.append("torque-over")
        draft.told["torque-over"] = f"{final:g} in-lb with the drag, the most allowed {most:g}"
    return torque_block(torques)


def _cotter(job: BoltJob) -> Block | None:
    if not job.nut.is_castellated:
        return None
    row = find_cotter(job)
    block = cotter_block(row, job.series)
    job.draft.missing += null_figures("cotter", block)
    if row is not None:
        job.draft.ledger.cite(row, "cotter")
    if job.series is not None and block["hole_minimum_in"] is not None:
        job.draft.ledger.cite(job.series, "cotter.hole_minimum", "cotter.hole_maximum")
    return block
