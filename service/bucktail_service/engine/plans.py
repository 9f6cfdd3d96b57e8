"""How the work is done: taking the old rivet out, opening the hole, setting the new one. Tables: removal, rules."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from bucktail_service.engine.facts import Facts
from bucktail_service.engine.lengths import Stack
from bucktail_service.engine.pick import Picked
from bucktail_service.engine.rounding import put, say
from bucktail_service.engine.sources import Ledger
from bucktail_tables.model import Edition, Row

Block = dict[str, Any]

# a drill nearer than this to the shank is not one size smaller for any hand
_ONE_SIZE_IN = Fraction(2, 1000)


def removal_plan(before: Facts, edition: Edition, ledger: Ledger) -> Block:
    """Return how the old rivet comes out: both drills the documents name, depth, drift, support, and their steps.

    Documents disagree on the drill: the shank's own size, or one size smaller. Both are told.
    """
    smaller = _drill_under(before.size, edition)
    drift = edition["rules"].by_key[("drift_under_shank",)]
    block: Block = {
        "drill_same_size": before.diameter.text("fraction"),
        "drill_one_smaller": None if smaller is None else smaller.text("drill"),
        "methods": _methods(before.practice, edition, ledger),
        "avoid": ["no cold chisel and hammer on the heads", "no hole drilled through the sheet from the head"],
    }
    put(block, "drill_one_smaller", None if smaller is None else smaller.number("diameter_in"))
    put(block, "depth", None if before.head_row is None else before.head_row.number("height_in"))
    put(block, "drift", before.size - drift.number("value"))
    widest = before.limits["diameter_maximum"] or before.limits["diameter_nominal"]
    put(block, "support_over", None if widest is None else widest.inches)
    ledger.cite(drift, "removal.drift")
    if before.head_row is not None:
        ledger.cite(before.head_row, "removal.depth")
    if widest is not None:
        ledger.cite(widest.row, "removal.support_over")
    if smaller is not None:
        ledger.cite(smaller, "removal.drill_one_smaller")
    return block


def _drill_under(size: Fraction, edition: Edition) -> Row | None:
    below = [row for row in edition["drills"] if row.number("diameter_in") <= size - _ONE_SIZE_IN]
    return max(below, key=lambda row: row.number("diameter_in"), default=None)


def _methods(practice: str, edition: Edition, ledger: Ledger) -> list[Block]:
    methods: dict[str, Block] = {}
    for row in sorted(edition["removal"], key=lambda row: (row.text("method"), row.number("step"))):
        if practice in row.words("practices"):
            method = methods.setdefault(row.text("method"), {"method": row.text("method"), "steps": []})
            method["steps"].append(row.text("text"))
            ledger.cite(row, f"removal.methods.{row.text('method')}")
    return list(methods.values())


def opening_plan(after: Facts, hole: Fraction | None, stack: Stack, edition: Edition, ledger: Ledger) -> Block:
    """Return how the hole is opened for the new rivet, and how deep it may be deburred."""
    low, high, final = after.holes.minimum, after.holes.maximum, after.holes.final
    steps = []
    if hole is not None and low is not None and high is not None and low <= hole <= high:
        steps.append(f"leave the hole as it is: {say(hole)} in lies within {say(low)} to {say(high)} in")
    else:
        if hole is None and after.holes.pilot is not None:
            steps.append(f"pilot {after.holes.pilot.name}, {say(after.holes.pilot.diameter)} in, if the hole is new")
        steps.append(f"open with drill {final.name}, {say(final.diameter)} in, sheets clamped, square to the surface")
        if high is not None:
            steps.append(f"measure: no more than {say(high)} in")
    share, most = (edition["rules"].by_key[(f"deburr_{name}_maximum",)] for name in ("share", "depth"))
    deburr = None
    if len(stack.layers) > 1:
        thinnest = min(layer.thickness.inches for layer in stack.layers)
        deburr = min(share.number("value") / 100 * thinnest, most.number("value"))
    depth = "a tenth of the thinnest sheet" if deburr is None else f"{say(round(deburr, 4))} in"
    steps.append(f"part the sheets, clear the chips, deburr no deeper than {depth}")
    block: Block = {"final": final.name, "steps": steps}
    put(block, "final_diameter", final.diameter)
    put(block, "deburr_maximum", deburr)
    ledger.cite(final.row, "opening.final")
    ledger.cite(final.size, "opening.final_diameter")
    ledger.cite(share, "opening.deburr_maximum")
    ledger.cite(most, "opening.deburr_maximum")
    return block


def setting_plan(picked: Picked, edition: Edition, ledger: Ledger) -> Block:
    """Return how the new rivet is set: its head first, the gap that leaves the formed height, an estimate of force."""
    facts = picked.facts
    height = facts.limits["height_nominal"]
    rule = edition["rules"].by_key[("squeeze_force_eighth",)]
    is_2117 = facts.choice.material.text("number") == "2117"
    force = round(float(rule.number("value")) * float(facts.size / Fraction(1, 8)) ** 2, -2) if is_2117 else None
    steps = ["seat the manufactured head first: no gap under it, checked before driving"]
    if picked.choice.trim_to is not None:
        steps.append(f"cut the rivet to {say(picked.choice.trim_to)} in, square, and clear the burr")
    if height is not None:
        steps.append(f"drive until the formed head stands {say(height.inches)} in high, then measure its diameter")
        ledger.cite(height.row, "setting.stop_at_height")
    steps.append("do not drive again to close a gap: replace the rivet")
    block: Block = {"steps": steps, "force_estimate_lbf": None if force is None else int(force)}
    put(block, "stop_at_height", None if height is None else height.inches)
    if force is not None:
        ledger.cite(rule, "setting.force_estimate")
    return block
