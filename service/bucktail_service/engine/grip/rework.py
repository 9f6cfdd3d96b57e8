"""Blind rivets and bolts in place of a solid rivet, each held against every rule; and how they are put in.

No rule read lets a bolt stand for a driven rivet at large: the check says that the designer's data must.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.checks import (
    Bored,
    bearing_ratio,
    bored,
    couple_checks,
    distance_checks,
    repair_limit_checks,
    strength_check,
)
from bucktail_service.engine.errors import QuestionError
from bucktail_service.engine.facts import Facts
from bucktail_service.engine.grip.blind import pick_blind
from bucktail_service.engine.grip.blocks import find_grip_holes, grip_spacing, least_hole, shank_size
from bucktail_service.engine.grip.bolt import pick_bolt
from bucktail_service.engine.grip.choice import GripChoice, choose
from bucktail_service.engine.lengths import parse_length
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.option import FAIL, HEED, PASS, UNKNOWN, Check, Found, Option
from bucktail_service.engine.rounding import half_even, put, say
from bucktail_service.engine.shear import single_shear
from bucktail_tables.model import Edition, Row

ONE_SIDED = "one-sided"
# a hole may be this much over a bolt's nominal size and still be the bolt's own: No. 10 is 0.190 in [in]
_CLEARANCE = Fraction(1, 100)
_BLIND_ALLOY = "B"  # 5056, the sleeve the tables hold a strength for


@dataclass(frozen=True, slots=True)
class _Candidate:
    name: str
    title: str
    family: str
    head: str
    alloy: str
    fraction: str
    enlarges: bool


def grip_options(before: Facts, found: Found, edition: Edition) -> list[Option]:
    """Return the blind rivets and the bolts that might stand in place of a solid rivet, judged."""
    return [_judged(candidate, before, found, edition) for candidate in _candidates(before, found.hole, edition)]


def _candidates(before: Facts, hole: Fraction | None, edition: Edition) -> list[_Candidate]:
    size = before.diameter.text("fraction")
    flush = before.choice.is_flush
    nominal, oversize = ("NAS1399", "NAS1739") if flush else ("NAS1398", "NAS1738")
    found = [
        _Candidate(ONE_SIDED, f"blind rivet, {size}", "blind", nominal, _BLIND_ALLOY, size, False),
        _Candidate(
            "one-sided-oversize",
            f"blind rivet, {size}, shank 1/64 oversize",
            "blind",
            oversize,
            _BLIND_ALLOY,
            size,
            True,
        ),
    ]
    larger = next((row for row in edition["diameters"] if row.number("nominal_in") > before.size), None)
    if larger is not None:
        next_up = larger.text("fraction")
        found.append(
            _Candidate("one-sided-next-size", f"blind rivet, {next_up}", "blind", nominal, _BLIND_ALLOY, next_up, True)
        )
    for name, begun, alloy in (("bolt", "AN", "steel"), ("close-tolerance-bolt", "NAS62", "steel")):
        row = _bolt_for(begun, max(before.size, hole or before.size), edition)
        if row is not None:
            kind = edition["grip_standards"].by_key[(row.text("standard"),)].text("kind")
            title = f"{kind}, {row.text('fraction')}, with nut and washers"
            is_larger = row.number("nominal_in") > before.size
            found.append(_Candidate(name, title, "bolt", row.text("standard"), alloy, row.text("fraction"), is_larger))
    return found


def _bolt_for(begun: str, size: Fraction, edition: Edition) -> Row | None:
    """Return the smallest bolt of a series that is not smaller than the rivet and its hole, a hair aside. [in]"""
    rows = [row for row in edition["bolt_series"] if row.text("standard").startswith(begun)]
    return next((row for row in rows if row.number("nominal_in") + _CLEARANCE >= size), None)


def _judged(candidate: _Candidate, before: Facts, found: Found, edition: Edition) -> Option:
    diameter = parse_length(candidate.fraction)
    try:
        choice = choose(candidate.family, candidate.head, candidate.alloy, diameter, edition)
    except QuestionError as error:
        failed = Check("tables", FAIL, error.detail)
        return Option(candidate.name, candidate.title, None, None, (failed,), last_resort=True)
    answer, grip = _picked(candidate, choice, found, edition)
    is_blind = candidate.family == "blind"
    size = shank_size(choice, edition)
    distances = grip_spacing(choice, found.practice, edition)
    hole, bore = _hole(choice, found, edition)
    kept = _shear_kept(before, answer, edition)
    layers = found.stack.layers[1:] if choice.is_flush else found.stack.layers
    bearing_kept = bearing_ratio(bored(before), Bored(bore, size), layers, found.edge, edition)
    checks = [
        _access(found, blind=is_blind),
        grip,
        hole,
        *distance_checks(found, size, distances),
        *_head(choice, before, found, edition),
        *(_blind_substitution(candidate, found, edition) if is_blind else _bolt_substitution()),
        _shear(kept, blind=is_blind),
        strength_check("bearing", bearing_kept),
        *couple_checks(choice.offered.text("material"), choice.offered.text("name"), found, edition),
        *(repair_limit_checks(found) if candidate.enlarges else []),
    ]
    growth = max(bore - (found.hole or before.holes.final.diameter), Fraction(0))
    return Option(
        candidate.name,
        candidate.title,
        None,
        None,
        tuple(checks),
        None if is_blind else kept,  # an estimate is no claim
        bearing_kept,
        growth,
        same_alloy=False,
        enlarges=candidate.enlarges,
        by_grip=answer,
        last_resort=True,
    )


def _picked(candidate: _Candidate, choice: GripChoice, found: Found, edition: Edition) -> tuple[Block | None, Check]:
    """Return what the stack takes of the candidate, and the check that says so."""
    question = PickQuestion(
        parse_length(candidate.fraction),
        candidate.alloy,
        candidate.head,
        found.stack,
        found.tolerance,
        candidate.family,
        found.practice,
        preparation=found.preparation if choice.is_flush else None,
    )
    pick = pick_blind if candidate.family == "blind" else pick_bolt
    try:
        answer = pick(question, edition)
    except QuestionError as error:
        return None, Check("grip", FAIL, error.detail)
    return answer, Check("grip", PASS, f"{answer['part_number']} holds the stack", rows=(choice.standard,))


def _access(found: Found, *, blind: bool) -> Check:
    if blind and found.access == "one":
        return Check("access", PASS, "one side is enough")
    if blind:
        return Check("access", HEED, "both sides can be reached: a solid rivet goes first")
    if found.access == "both":
        return Check("access", PASS, "both sides can be reached")
    return Check("access", FAIL, "the nut needs the far side, which cannot be reached: a blind rivet would pass")


def _hole(choice: GripChoice, found: Found, edition: Edition) -> tuple[Check, Fraction]:
    """Return the hole held against the limits, and the size it is opened to. [in]"""
    holes = find_grip_holes(choice, edition)
    if holes is None or holes.minimum is None or holes.maximum is None:
        bore = choice.nominal if holes is None else holes.final.diameter
        return _no_limits(choice, found.hole, edition), max(bore, found.hole or bore)
    low, high, bore, hole = holes.minimum, holes.maximum, holes.final.diameter, found.hole
    rows = (holes.final.row,)
    if hole is None:
        return Check("hole", UNKNOWN, f"not measured; it may be {say(low)} to {say(high)} in", None, high, rows), bore
    if hole > high:
        return Check("hole", FAIL, f"{say(hole)} in is over the most, {say(high)} in", hole, high, rows), bore
    if hole < least_hole(holes, low):
        return Check("hole", PASS, f"open from {say(hole)} to {say(bore)} in", hole, high, rows), bore
    told = f"{say(hole)} in lies within {say(low)} to {say(high)} in as it is"
    if hole < low:
        told = f"{say(hole)} in is what drill {holes.final.name} cuts: measure it, {say(low)} to {say(high)} in"
    return Check("hole", PASS, told, hole, high, rows), bore


def _no_limits(choice: GripChoice, hole: Fraction | None, edition: Edition) -> Check:
    """Return what can be said of a hole that no document limits: its size beside the shank."""
    shank = edition["bolt_shanks"].find(choice.name)
    told = f"the tables hold no hole limits for {choice.name}: take them from the manufacturer's data"
    if hole is not None and shank is not None:
        span = f"{say(shank.number('minimum_in'))} to {say(shank.number('maximum_in'))} in"
        told = f"{say(hole)} in beside a shank of {span}; {told}"
    return Check("hole", UNKNOWN, told, hole, None, () if shank is None else (shank,))


def _head(choice: GripChoice, before: Facts, found: Found, edition: Edition) -> list[Check]:
    """Return whether the head suits the sheet that the old one lay in."""
    if not before.choice.is_flush:
        return []
    if not choice.is_flush:
        return [_hexagon(found)]
    if found.preparation == "dimpled":
        return [Check("countersink", HEED, "the dimple must suit the blind rivet's own head")]
    row = edition["grip_heads"].find("blind-flush", choice.fraction, "sheet")
    outer = found.stack.layers[0]
    if row is None or (len(found.stack.layers) == 1 and outer.material is None):
        return [Check("countersink", UNKNOWN, "give the layers one by one, head side first")]
    limit, thickness = row.number("minimum_in"), outer.thickness.inches
    if thickness < limit:
        told = f"the outer sheet, {say(thickness)} in, is too thin to countersink: {say(limit)} in would pass"
        return [Check("countersink", FAIL, told, thickness, limit, (row,))]
    return [
        Check("countersink", PASS, f"the outer sheet, {say(thickness)} in, takes the head", thickness, limit, (row,))
    ]


def _hexagon(found: Found) -> Check:
    if found.preparation == "dimpled":
        return Check("head", FAIL, "a hexagon head has no seat on dimpled sheet: a flush head would pass")
    return Check("head", HEED, "a hexagon head stands out where a flush one lay, on countersunk sheet")


def _blind_substitution(candidate: _Candidate, found: Found, edition: Edition) -> list[Check]:
    rule = rule_row(edition, "rules", "blind_for_solid")
    rows = (rule, rule_row(edition, "rules", "oversize_blind")) if candidate.enlarges else (rule,)
    row = found.row
    share = "" if row is None or not row.failed else f"{len(row.failed)} of {row.count} here: "
    return [Check("substitution", HEED, share + rule.text("text"), rows=rows)]


def _bolt_substitution() -> list[Check]:
    told = "no general rule read lets a bolt stand for a driven rivet: the manufacturer's or a designer's data must"
    return [Check("substitution", UNKNOWN, told)]


def _shear_kept(before: Facts, answer: Block | None, edition: Edition) -> Fraction | None:
    """Return single shear of the new fastener over that of the rivet that was there; None when one is not known."""
    old = single_shear(before.choice.material, before.diameter.text("fraction"), before.holes, edition)
    pounds = None if answer is None else answer["strength"]["single_shear_lbf"]
    return None if old is None or pounds is None else _exact(pounds) / old.pounds


def _shear(kept: Fraction | None, *, blind: bool) -> Check:
    if kept is None:
        return Check("shear", UNKNOWN, "the tables do not tell the shear of both")
    told = f"{half_even(kept, 3):.2f} of the shear that was there"
    if kept < 1:
        return Check("shear", FAIL, f"{told}: weaker; 1.00 or more would pass")
    if blind:
        estimate = f"not known in these sheets: {told} by its stress over the hole, before thin sheet takes from it"
        return Check("shear", UNKNOWN, f"{estimate}; it must be at least as strong")
    return Check("shear", PASS, told)


def opening_by_grip(answer: Block, hole: Fraction | None) -> Block:
    """Return how the hole is opened for a fastener chosen by grip, in the shape of a solid rivet's plan."""
    block = answer["hole"]
    low, high, final = block["minimum_in"], block["maximum_in"], block["final"]
    steps = []
    least = low if low is None or final is None else min(low, final["diameter_in"])
    # figures of an answer are rounded, and floats: an exact hole is held to what they print
    if hole is not None and least is not None and high is not None and _exact(least) <= hole <= _exact(high):
        lies = "lies within" if hole >= _exact(low) else f"is what drill {final['drill']} cuts, measure it:"
        steps.append(f"leave the hole as it is: {say(hole)} in {lies} {low:.4f} to {high:.4f} in")
    elif final is not None:
        drill = f"drill {final['drill']}, {final['diameter_in']:.4f} in"
        steps.append(f"open with {drill}, sheets clamped, square to the surface")
        steps += [] if high is None else [f"measure, a drill cuts larger than it is: {low:.4f} to {high:.4f} in"]
    else:
        steps.append("take the hole from the manufacturer's data: the tables hold none for this fastener")
    steps += [] if not block.get("fit") else [block["fit"]]
    steps.append("part the sheets, clear the chips and burrs")
    plan: Block = {"final": None if final is None else final["drill"], "steps": steps}
    plan |= {f"final_diameter_{unit}": None if final is None else final[f"diameter_{unit}"] for unit in ("in", "mm")}
    put(plan, "deburr_maximum", None)
    return plan


def _exact(figure: float) -> Fraction:
    return Fraction(repr(figure))


def setting_by_grip(answer: Block) -> Block:
    """Return how a fastener chosen by grip is put in and looked at, in the shape of a solid rivet's plan."""
    steps = []
    if answer["family"] == "blind":
        steps.append("clamp the sheets, seat the head square to the surface, pull the stem until it breaks")
        steps += [_limit(limit) for limit in answer["inspection"] or ()]
    else:
        steps += _bolt_steps(answer)
    block: Block = {"steps": steps, "force_estimate_lbf": None}
    put(block, "stop_at_height", None)
    return block


def _limit(limit: Block) -> str:
    figure = "" if limit["value"] is None else f"{limit['value']:g} {limit['unit']}: "
    return f"look: {figure}{limit['text']}"


def _bolt_steps(answer: Block) -> list[str]:
    washers, nut, torque = answer["washers"], answer["nut"], answer["torque"]
    steps = ["head up or forward where possible"]
    for side, label in (("under_head", "head"), ("under_nut", "nut")):
        names = [] if washers is None else [washer["washer"] for washer in washers[side]]
        if names:
            steps.append(f"under the {label}: {' and '.join(names)}")
    if nut is not None:
        steps.append(f"nut {nut['number'] or nut['nut']}: {nut['text']}")
    if torque is not None:
        span = f"{torque['minimum_in_lb']:g} to {torque['maximum_in_lb']:g} in-lb"
        steps.append(f"tighten to {span} and the drag measured while running the nut down")
    return steps
