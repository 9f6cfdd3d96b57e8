"""What no figure shows, and what must be heeded, of a blind rivet, a bolt or a pin that is in.

Tables: grip_inspection, rules.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.grip.in_place import LOCKED, InPlace
from bucktail_service.engine.grip.inspect_limits import SWAGED, past_nut_most
from bucktail_service.engine.inspect import InspectQuestion
from bucktail_service.engine.judged import Judged
from bucktail_service.engine.rounding import say
from bucktail_service.engine.sources import Ledger
from bucktail_tables.model import Edition, Row

# limits of grip_inspection, and which measure of the question is held to them
_ASKED = {
    "lock_collar": "collar",
    "blind_gap": "gap",
    "bolt_lock_collar": "collar",
    "bolt_pin_above": "stem",
    "bolt_pin_below": "stem",
    "bolt_blind_head": "formed_diameter",
}
_COTTER = "with a cotter pin: "
LOCKBOLT, OVERSIZE, CLOSE_TOLERANCE = "lockbolt", "locked-oversize", "close-tolerance"


def look_for(
    question: InspectQuestion, fastener: InPlace, figures: Iterable[Judged], edition: Edition, ledger: Ledger
) -> list[Block]:
    """Return what an eye must look for, and the limits of what was not measured, in the tables' words."""
    found = []
    for row, lead in (*_measure_again(figures, edition), *_rows(question, fastener, edition)):
        value = row.maybe("value")
        figure = "" if value is None else f"{float(value):g} {row.text('unit')}: "
        found.append({"text": lead + figure + row.text("text"), "rejects": False})
        ledger.cite(row, "look_for")
    return found


def _measure_again(figures: Iterable[Judged], edition: Edition) -> Iterator[tuple[Row, str]]:
    """Yield how a stack is measured where it lies at an end of the grip."""
    rule = rule_row(edition, "rules", "grip_near_boundary")
    near = rule.number("value")
    for figure in figures:
        ends = [end for bounds in figure.bounds.values() for end in (bounds.least, bounds.most) if end is not None]
        # one just beyond an end is not judged: it has no ends, and the rule among its rows
        beyond = any(rule in bounds.rows for bounds in figure.bounds.values())
        if figure.name == "stack" and (beyond or any(abs(figure.measured - end) <= near for end in ends)):
            yield rule_row(edition, "rules", "grip_measure_clamped"), f"the stack is within {say(near)} in of an end: "


def _rows(question: InspectQuestion, fastener: InPlace, edition: Edition) -> Iterator[tuple[Row, str]]:
    for row in edition["grip_inspection"]:
        measure = _ASKED.get(row.text("limit"))
        if row.text("fastener") in fastener.kinds and (measure is None or getattr(question, measure) in (None, ())):
            yield row, ""
    yield from ((rule_row(edition, "rules", name), lead) for name, lead in _rules(fastener))


def _rules(fastener: InPlace) -> Iterator[tuple[str, str]]:
    """Yield the rules that an eye holds the fastener to, and the words to begin them with."""
    if LOCKED in fastener.kinds:
        yield "grip_stack_tolerance", ""
    if fastener.family == "bolt":
        yield "bolt_direction", ""
        if fastener.drilled_shank is not False:
            yield "cotter_alignment", _COTTER
            yield "cotter_stands_over", _COTTER
    if fastener.choice is not None and fastener.choice.standard.text("ladder") == SWAGED:
        yield "pin_chamfer", ""


def family_codes(fastener: InPlace, edition: Edition) -> list[str]:
    """Return the cautions that the fastener itself fires."""
    choice = fastener.choice
    if choice is None:
        return ["blind-clearance"]
    holes, ladder = (choice.standard.text(column) for column in ("holes", "ladder"))
    codes = ["superseded-number"] if edition["rules"].find(f"superseded_{choice.name}") is not None else []
    if fastener.family == "blind":
        codes += ["blind-limits", "blind-clearance"]
        codes += ["oversize-shank"] if holes == OVERSIZE else []
        codes += ["not-for-aircraft"] if choice.standard.text("use") == "not-for-aircraft" else []
    elif fastener.family == "bolt":
        codes += ["bolt-step"]
        codes += ["bolt-too-small"] if choice.nominal < _floor(choice.offered, edition) else []
        codes += ["close-tolerance"] if holes == CLOSE_TOLERANCE else []
        codes += ["castle-cotter"] if fastener.drilled_shank else []
    else:
        codes += ["pin-shear-only"] if ladder == SWAGED else []
        codes += ["lockbolt-collar", "lockbolt-width"] if ladder == LOCKBOLT else []
    return codes


def _floor(offered: Row, edition: Edition) -> Fraction:
    """Return the smallest bolt of a material in primary structure. [in]"""
    metal = "aluminium" if offered.text("material") == "2024" else "steel"
    return rule_row(edition, "rules", f"bolt_floor_{metal}").number("value")


def stack_codes(fastener: InPlace, stack: Fraction, edition: Edition) -> list[str]:
    """Return the cautions that a stack held to the grip of a number fires."""
    choice = fastener.choice
    if choice is None or fastener.family == "bolt":
        return []
    ladder = edition["grip_ladders"].by_key[(choice.standard.text("ladder"),)]
    codes = ["grip-unverified"] if ladder.basis == "memory" else []
    codes += ["preparation-unsaid"] if fastener.family == "blind" and choice.is_flush else []
    shortest = rule_row(edition, "rules", "pin_grip_least").number("value") * choice.nominal
    return codes + (["pin-grip-short"] if ladder.key == (SWAGED,) and stack < shortest else [])


def thread_codes(figure: Judged, fastener: InPlace, practices: tuple[str, ...], edition: Edition) -> list[str]:
    """Return the cautions of what stands out of a nut: fewer threads than a practice wants, or more than usual."""
    if figure.outside(practices):
        return ["thread-short"]
    most = past_nut_most(fastener.name, edition)
    return ["thread-long"] if most is not None and figure.measured > most else []
