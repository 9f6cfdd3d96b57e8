"""The balance answer: how mass and static moment of a control surface change when it is repaired.

It is a sum of what was given, and no balance: every answer says to weigh and balance to the maker's limits.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.balance_words import ARM_EXAMPLE, Arm, Extra, Holes, Moments, Piece, Weighed
from bucktail_service.engine.blocks import NEWTONS_PER_POUND, Block, edition_block, rule_row
from bucktail_service.engine.cautions import ALWAYS, caution_list, find_layer_material, material_codes
from bucktail_service.engine.errors import NoAnswer, OutsideTable
from bucktail_service.engine.hole_metal import HoleMetal, from_sizes, measured
from bucktail_service.engine.lengths import MM_PER_INCH, Stack
from bucktail_service.engine.mass import GRAMS_PER_POUND
from bucktail_service.engine.rounding import half_even, put, say
from bucktail_service.engine.sources import Ledger
from bucktail_service.engine.weights import PieceMass, weigh
from bucktail_tables.model import Edition

SIGN = (
    "x is positive aft of the hinge line: + is tail heavy (underbalance), - is nose heavy (overbalance); "
    "makers differ, so go by the words"
)
_GRAMS = Fraction(str(GRAMS_PER_POUND))
_METRES_PER_INCH = MM_PER_INCH / 1000
_CALLED = {"tail heavy": "underbalance", "nose heavy": "overbalance", "none": "balance unchanged"}


@dataclass(frozen=True, slots=True)
class BalanceQuestion:
    """How does a repair change the balance of a control surface?

    Attributes:
        arm: Centre of the repair from the hinge line.
        removed: Fasteners taken out.
        installed: Fasteners put in.
        stack: Layers the holes go through; without *hole_metal* the metal cut follows from the sizes.
        hole_metal: Holes enlarged, as measured.
        extra: Other masses added or taken off.
        weight_arm: Where a balance weight could go.
        limit: Lowest and highest static moment, or change of it when there is no *current* one.
        current: Static moment before the repair, positive tail heavy. [in-lb]
    """

    arm: Arm
    removed: tuple[Piece, ...] = ()
    installed: tuple[Piece, ...] = ()
    stack: Stack | None = None
    hole_metal: tuple[Holes, ...] = ()
    extra: tuple[Extra, ...] = ()
    weight_arm: Arm | None = None
    limit: Moments | None = None
    current: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Summed:
    """What a repair takes out and puts in, weighed."""

    removed: tuple[PieceMass, ...]
    installed: tuple[PieceMass, ...]
    holes: tuple[HoleMetal, ...]
    repair_g: Fraction
    change_g: Fraction
    moment: Fraction


def balance(question: BalanceQuestion, edition: Edition) -> Block:
    """Return the change of mass and static moment, the weight that would compensate, and the limit's verdict.

    Raises:
        NoAnswer: Nothing is changed, or no stack says how deep the holes are.
        NotTabulated: A fastener, its mass or the density of a layer is not in the tables.
        OutsideTable: A length, a hole or the arm of the weight cannot be.
    """
    total = _sum(question, edition)
    ledger = Ledger()
    _cite(question, total, edition, ledger)
    weight = _weight(question, total.moment)
    limit = _limit(question, total.moment)
    codes = _codes(question, total, limit, ledger, edition)
    return {
        "removed": _pieces(total.removed),
        "installed": _pieces(total.installed),
        "hole_metal": _hole_metal(total.holes, computed=not question.hole_metal and question.stack is not None),
        "extra": _extras(question),
        "arm": _arm(question.arm),
        "repair": {**_mass(total.repair_g), **_moment(total.repair_g * question.arm.inches / _GRAMS)},
        "change": {**_mass(total.change_g), **_moment(total.moment)},
        "balance_weight": weight,
        "limit": limit,
        "sign": SIGN,
        "reasoning": _reasoning(question, total, weight, edition),
        "cautions": caution_list(codes, edition),
        "sources": ledger.as_list(),
        "edition": edition_block(edition),
        "link": None,
    }


def _sum(question: BalanceQuestion, edition: Edition) -> Summed:
    if not (question.removed or question.installed or question.hole_metal or question.extra):
        raise NoAnswer(
            "installed", "nothing is removed, installed, cut or added: there is no change", "24 x MS20470AD4-4"
        )
    removed = tuple(weigh(piece, "removed", edition) for piece in question.removed)
    installed = tuple(weigh(piece, "installed", edition) for piece in question.installed)
    if question.hole_metal:
        holes = measured(question.hole_metal, question.stack, edition)
    else:
        holes = [] if question.stack is None else from_sizes(removed, installed, question.stack, edition)
    repair = _grams(installed) - _grams(removed) - _grams(holes)
    moment = repair * question.arm.inches
    for extra in question.extra:
        moment += _weighed(extra.mass) * (extra.arm or question.arm).inches
    change = repair + sum((_weighed(extra.mass) for extra in question.extra), Fraction(0))
    return Summed(removed, installed, tuple(holes), repair, change, moment / _GRAMS)


def _grams(entries: Iterable[PieceMass | HoleMetal]) -> Fraction:
    return sum((entry.grams for entry in entries), Fraction(0))


def _weighed(mass: Weighed) -> Fraction:
    return mass.amount * (_GRAMS if mass.unit == "lb" else 1)


def _mass(grams: Fraction) -> Block:
    return {"mass_g": half_even(grams, 4), "mass_lb": half_even(grams / _GRAMS, 6)}


def _moment(moment: Fraction) -> Block:
    """Return a static moment [in-lb, N m] and what it is called."""
    direction = "tail heavy" if moment > 0 else "nose heavy" if moment < 0 else "none"
    newton_metres = moment * NEWTONS_PER_POUND * _METRES_PER_INCH
    return {
        "moment_in_lb": half_even(moment, 4),
        "moment_n_m": half_even(newton_metres, 6),
        "direction": direction,
        "called": _CALLED[direction],
    }


def _arm(arm: Arm) -> Block:
    block: Block = {"text": str(arm), "side": arm.side}
    put(block, "distance", arm.distance.inches)
    return block


def _pieces(entries: Sequence[PieceMass]) -> Block:
    lines = [
        {"pieces": entry.pieces, "fastener": entry.name, "each_g": half_even(entry.each_g, 4), **_mass(entry.grams)}
        for entry in entries
    ]
    return {"pieces": sum(entry.pieces for entry in entries), **_mass(_grams(entries)), "lines": lines}


def _hole_metal(entries: Sequence[HoleMetal], *, computed: bool) -> Block:
    lines = []
    for entry in entries:
        line: Block = {"pieces": entry.pieces, "stack": str(entry.stack)}
        put(line, "from", entry.smaller)
        put(line, "to", entry.larger)
        lines.append({**line, **_mass(entry.grams)})
    return {"computed": computed, **_mass(_grams(entries)), "lines": lines}


def _extras(question: BalanceQuestion) -> Block:
    lines = []
    for extra in question.extra:
        grams, arm = _weighed(extra.mass), extra.arm or question.arm
        moment = grams * arm.inches / _GRAMS
        lines.append({"name": extra.name, **_mass(grams), "arm": _arm(arm), **_moment(moment)})
    return {**_mass(sum((_weighed(extra.mass) for extra in question.extra), Fraction(0))), "lines": lines}


def _weight(question: BalanceQuestion, moment: Fraction) -> Block | None:
    """Return the balance weight whose moment is the change's opposite; a negative one is taken off."""
    arm = question.weight_arm
    if arm is None:
        return None
    if not arm.inches:
        raise OutsideTable("weight_arm", "a weight on the hinge line balances nothing: give its distance", ARM_EXAMPLE)
    grams = -moment / arm.inches * _GRAMS
    action = "add" if grams > 0 else "take off" if grams < 0 else "none"
    return {"arm": _arm(arm), **_mass(abs(grams)), "action": action}


def _limit(question: BalanceQuestion, change: Fraction) -> Block | None:
    """Return what the user's limit says: of the moment after the repair when the one before is known, else the change.

    Exact figures are compared, before anything is rounded.
    """
    limit, current = question.limit, question.current
    if limit is None:
        return None
    found = change if current is None else current + change
    inside = limit.lowest <= found <= limit.highest
    over = max(limit.lowest - found, found - limit.highest)
    return {
        "of": "change" if current is None else "moment",
        "current_in_lb": None if current is None else half_even(current, 4),
        "found": _moment(found),
        "lowest": _moment(limit.lowest),
        "highest": _moment(limit.highest),
        "margin_in_lb": half_even(-over, 4),
        "verdict": "inside limits" if inside else "outside limits",
    }


def _codes(
    question: BalanceQuestion, total: Summed, limit: Block | None, ledger: Ledger, edition: Edition
) -> list[str]:
    codes = [*ALWAYS, "weigh-and-balance"]
    for entry in total.installed:
        codes += material_codes(entry.choice.material, entry.diameter.number("nominal_in"), edition)
    stacks = [entry.stack for entry in total.holes] + ([question.stack] if question.stack else [])
    for layer in (layer for stack in stacks for layer in stack.layers):
        row = None if layer.material is None else find_layer_material(layer.material, edition)
        codes += [] if row is None else [row.text("hazard")]
    codes += ["weight-aft"] if total.moment > 0 else []
    codes += ["balance-weights"] if question.weight_arm is not None else []
    codes += ["balance-outside"] if limit is not None and limit["verdict"] != "inside limits" else []
    codes += [] if question.extra and (question.stack or question.hole_metal) else ["not-counted"]
    codes += ["edition-draft"] if edition.is_draft else []
    codes += ["not-published"] if ledger.rests_on_doubt() else []
    return codes


def _cite(question: BalanceQuestion, total: Summed, edition: Edition, ledger: Ledger) -> None:
    """Write down what each figure rests on, every row once for each of its figures."""
    cited = [(row, "removed.mass") for entry in total.removed for row in entry.rows]
    cited += [(row, "installed.mass") for entry in total.installed for row in entry.rows]
    domes = [("removed.mass", total.removed), ("installed.mass", total.installed)]
    for figure, entries in domes:
        if any(not entry.choice.is_flush for entry in entries):
            cited.append((rule_row(edition, "rules", "head_volume_dome"), figure))
    if total.holes:
        cited.append((rule_row(edition, "rules", "hole_metal_volume"), "hole_metal.mass"))
        cited += [(row, "hole_metal.mass") for entry in total.holes for row in entry.rows]
        if not question.hole_metal:
            cited += [(entry.hole_row, "hole_metal.mass") for entry in (*total.removed, *total.installed)]
    weighed = [(row, figure) for row, _ in cited for figure in ("change.mass", "change.moment")]
    cited += [*weighed, (rule_row(edition, "rules", "balance_change"), "change.moment")]
    if question.extra:
        cited.append((rule_row(edition, "rules", "balance_sum"), "change.moment"))
    cited.append((rule_row(edition, "rules", "balance_sign"), "change.direction"))
    cited.append((rule_row(edition, "rules", "balance_arm"), "arm"))
    if question.weight_arm is not None:
        cited.append((rule_row(edition, "rules", "balance_weight"), "balance_weight.mass"))
    for row, figure in dict.fromkeys(cited):
        ledger.cite(row, figure)


def _reasoning(question: BalanceQuestion, total: Summed, weight: Block | None, edition: Edition) -> list[str]:
    put_in, taken_out, cut = (_grams(entries) for entries in (total.installed, total.removed, total.holes))
    lines = [
        f"repair: {_g(put_in)} put in - {_g(taken_out)} taken out - {_g(cut)} cut from holes = {_g(total.repair_g)}",
        f"{_lb(total.repair_g)} x {_signed(question.arm)} = {_in_lb(total.repair_g * question.arm.inches / _GRAMS)}",
    ]
    for extra in question.extra:
        grams, arm = _weighed(extra.mass), extra.arm or question.arm
        lines.append(f"{extra.name}: {_lb(grams)} x {_signed(arm)} = {_in_lb(grams * arm.inches / _GRAMS)}")
    lines.append(f"change of static moment: {_in_lb(total.moment)}")
    if weight is not None and question.weight_arm is not None:
        weighed = _lb(-total.moment / question.weight_arm.inches * _GRAMS)
        lines.append(f"balance weight: -({_in_lb(total.moment)}) / {_signed(question.weight_arm)} = {weighed}")
    return [*lines, *(rule_row(edition, "rules", name).text("text") for name in ("balance_arm", "balance_sign"))]


def _g(grams: Fraction) -> str:
    return f"{half_even(grams, 4):.4f} g"


def _lb(grams: Fraction) -> str:
    return f"{half_even(grams / _GRAMS, 6):.6f} lb"


def _in_lb(moment: Fraction) -> str:
    return f"{half_even(moment, 4):+.4f} in-lb"


def _signed(arm: Arm) -> str:
    return f"{'-' if arm.inches < 0 else '+'}{say(arm.distance.inches)} in"
