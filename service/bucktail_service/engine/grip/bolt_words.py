"""A bolt's choice in words and figures, one step a line."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from bucktail_service.engine.blocks import rule_row
from bucktail_service.engine.grip.bolt_job import BoltJob
from bucktail_service.engine.grip.bolt_strength import BoltStrength
from bucktail_service.engine.grip.ladder import neighbours
from bucktail_service.engine.grip.tightening import TORQUED_FINISH, Torques
from bucktail_service.engine.grip.washers import is_over, name_washers
from bucktail_service.engine.lengths import format_decimal
from bucktail_service.engine.rounding import half_even, say


def explain_bolt(job: BoltJob, torques: Torques | None, strength: BoltStrength | None) -> list[str]:
    """Return why this bolt, these washers and this torque."""
    return [
        *_grip(job),
        *_washers(job),
        *_worst(job),
        *_past_nut(job),
        *_nut(job),
        *_torque(job, torques),
        *_shear(job, strength),
    ]


def tell_threads(job: BoltJob) -> str:
    """Return what stands past the nut in figures, and what would change it, for a caution."""
    assert job.past_nut is not None and job.per_inch is not None, "asked where threads are counted"  # noqa: S101, PT018
    threads = job.past_nut * job.per_inch
    if threads < job.past_nut_least.number("value"):
        told = f"{_count(threads)} threads" if threads >= 0 else f"the bolt ends {say(-job.past_nut)} in inside the nut"
        return f"{told}; a nut up to {say(job.nut_height_most or Fraction(0))} in high would do"
    shorter, _ = neighbours(job.draft.choice.standard, job.bolt, job.draft.edition)
    told = f"{_count(threads)} threads"
    if shorter is None:
        return told
    on_thread = say(job.draft.thickest - shorter.grip)
    return f"{told}; the next shorter, -{shorter.dash}, leaves {on_thread} in of the stack on its thread"


def tell_shortest(job: BoltJob) -> str:
    """Return what lies in the hole and before the nut at the ends of the grip's tolerance, for a caution."""
    minus, plus = job.bolt.tolerance("grip_minus"), job.bolt.tolerance("grip_plus")
    if minus is None or plus is None:
        return "how much the grip may vary is not in the tables: measure the bolt"
    in_hole = max(Fraction(0), job.under_head + job.draft.thickest - job.bolt.grip + minus)
    total = job.serves_from + (Fraction(0) if job.washers is None else job.washers.total)
    early = max(Fraction(0), job.bolt.grip + plus - total) if job.washers is not None else None
    thread = f"{say(in_hole)} in of thread in the hole then" if in_hole else "no thread in the hole then either"
    told = f"the grip may be {say(minus)} in shorter: {thread}"
    if early is None:
        return told
    nut = f"the nut {say(early)} in onto the shank" if early else "the nut off the shank then too"
    return f"{told}; or {say(plus)} in longer: {nut}"


def tell_straddle(job: BoltJob) -> str:
    """Return how far a stack at its thinnest is under what the grip holds, for a caution."""
    thinnest = say(job.draft.thinnest)
    if job.washers is None:
        return f"at its thinnest, {thinnest} in, it belongs to a shorter grip: up to {say(job.bolt.over)} in"
    short = job.bolt.grip - job.washers.total - job.draft.thinnest
    return f"at its thinnest, {thinnest} in, the nut would run {say(short)} in onto the shank"


def _count(number: Fraction) -> str:
    return f"{half_even(number, 1):g}"


def _grip(job: BoltJob) -> Iterator[str]:
    draft, bolt = job.draft, job.bolt
    total, thickest = draft.total, draft.thickest
    over = f", {say(thickest)} in at its thickest" if thickest != total else ""
    shorter, _ = neighbours(draft.choice.standard, bolt, draft.edition)
    left = "" if shorter is None else f"; -{shorter.dash}, {say(shorter.grip)} in, would leave thread in the hole"
    yield f"{say(total)} in stack{over}: -{bolt.dash}, {say(bolt.grip)} in, is the shortest grip not under it{left}"
    for dash in bolt.same:
        yield f"-{dash} has the same grip and less thread: it does not follow the length ladder"
    yield f"{draft.practice} practice: {rule_row(draft.edition, 'rules', f'bolt_grip_{draft.practice}').text('text')}"


def _washers(job: BoltJob) -> Iterator[str]:
    washers, draft, grip = job.washers, job.draft, job.bolt.grip
    if washers is None:
        yield _no_washers(job)
        return
    head = name_washers(washers.under_head) or "none"
    yield f"washers: {head} under the head, {name_washers(washers.under_nut)} under the nut, {say(washers.total)} in"
    thinnest = job.serves_from
    yield (
        f"{say(thinnest)} stack + {say(washers.total)} washers = {say(thinnest + washers.total)} in, not under "
        f"the grip, {say(grip)} in: the nut stays off the shank"
    )
    most = rule_row(draft.edition, "rules", f"thread_in_hole_{draft.practice}").number("value")
    threads = "" if job.per_inch is None else f", {_count(job.in_hole * job.per_inch)} threads"
    yield f"thread in the hole: {say(job.in_hole)} in{threads}; {draft.practice} practice allows {_count(most)}"
    rule = rule_row(draft.edition, "rules", "washers_height_most")
    if is_over(washers.total, rule.number("value")):
        yield (
            f"{say(washers.total)} in of washers is over {say(rule.number('value'))} in, the most that makes up for "
            f"grip ({rule.document} {rule.place}, {rule.basis})"
        )


def _no_washers(job: BoltJob) -> str:
    return f"no washer for {job.draft.choice.fraction} is in the tables: what stands past the nut is told without any"


def _worst(job: BoltJob) -> Iterator[str]:
    """Tell what the bolt's own tolerances may do."""
    plus, minus = job.bolt.tolerance("grip_plus"), job.bolt.tolerance("grip_minus")
    total = job.serves_from + (Fraction(0) if job.washers is None else job.washers.total)
    incomplete = None if job.series is None else job.series.maybe("incomplete_thread_in")
    if job.washers is not None and plus is not None:
        ends = f"the grip may be {say(plus)} in longer"
        short = job.bolt.grip + plus - total
        yield f"{ends}: {_reach(short)}"
    if minus is not None:
        in_hole = max(Fraction(0), job.under_head + job.draft.thickest - job.bolt.grip + minus)
        yield f"it may be {say(minus)} in shorter: then {say(in_hole)} in of thread lies in the hole"
    if job.washers is not None and incomplete is not None:
        short = job.bolt.grip + incomplete - total
        yield f"up to {say(incomplete)} in of incomplete thread follows the grip: {_reach(short)}"


def _reach(short: Fraction) -> str:
    if short > 0:
        return f"the nut may then stop {say(short)} in early; look before torque, and add a washer"
    return "the washers cover that too"


def _past_nut(job: BoltJob) -> Iterator[str]:
    bolt, out = job.bolt, job.past_nut
    if bolt.length is None:
        yield f"{job.draft.choice.name} has no thread length in the tables: its overall length is not told"
        return
    if out is None:
        most = job.nut_height_most
        if most is not None:
            yield f"a nut up to {say(most)} in high leaves the threads the practice wants"
        return
    threads = "" if job.per_inch is None else f", {_count(out * job.per_inch)} threads"
    least = _count(job.past_nut_least.number("value"))
    with_washers = "stack" if job.washers is None else "stack and washers"
    yield (
        f"{say(bolt.length)} overall - {say(job.clamped)} {with_washers} - {say(job.nut.height or Fraction(0))} nut = "
        f"{_signed(out)} in past the nut{threads}; at least {least} by {job.draft.practice} practice"
    )


def _signed(value: Fraction) -> str:
    return say(value) if value >= 0 else f"-{say(-value)}"


def _nut(job: BoltJob) -> Iterator[str]:
    nut, is_an = job.nut, job.draft.choice.standard.text("number_format") == "an-bolt"
    asked = job.draft.question.nut
    if asked is not None and asked != nut.name:
        yield f"{asked} is {nut.name} in the tables"
    if nut.is_castellated:
        yield f"{nut.name} takes a cotter pin: the shank is drilled, so the number has no A"
        yield rule_row(job.draft.edition, "rules", "cotter_alignment").text("text")
        stands = rule_row(job.draft.edition, "rules", "cotter_stands_over")
        yield f"{stands.text('text')} ({stands.text('value')} {stands.text('unit')})"
        yield "where the cotter hole comes against the slots of the nut is not worked out: look when it is on"
    elif is_an:
        yield f"{nut.name} takes no cotter pin: A, shank not drilled"
    yield f"{rule_row(job.draft.edition, 'rules', 'bolt_direction').text('text')}"


def _torque(job: BoltJob, torques: Torques | None) -> Iterator[str]:
    if torques is None:
        yield _no_torque(job)
        return
    row = torques.row
    low, high = format_decimal(torques.least), format_decimal(torques.most)
    yield f"{row.document} {row.place}: {low} to {high} in-lb for {row.text('thread')} and a {torques.load} nut"
    if "torque" in job.nut.row.text("note"):
        yield f"{job.nut.name}: {job.nut.row.text('note')}"
    if torques.final is not None and torques.drag is not None:
        final = " to ".join(_pounds(value) for value in torques.final)
        yield f"with {_pounds(torques.drag)} in-lb of drag: {final} in-lb"
        if torques.is_over:
            yield f"{final.split()[-1]} in-lb is over the most the table allows, {_pounds(torques.allowable)} in-lb"


def _pounds(value: Fraction) -> str:
    return f"{half_even(value, 2):g}"


def _no_torque(job: BoltJob) -> str:
    choice = job.draft.choice
    if choice.offered.text("material") != TORQUED_FINISH:
        return (
            f"no torque for {choice.offered.text('name')}: the table is for steel bolts with cadmium-plated threads "
            "(FAA AC 43.13-1B, Table 7-1)"
        )
    return f"no torque: the thread of {choice.name} has no row"


def _shear(job: BoltJob, strength: BoltStrength | None) -> Iterator[str]:
    if strength is not None and strength.computed:
        stress, nominal = strength.row.text("shear_psi"), say(job.draft.choice.nominal)
        yield f"shear: {stress} psi x pi/4 x {nominal} in squared = {half_even(strength.single_shear, 0):.0f} lbf"
