"""The rework answer: how to replace a rivet that failed, every option judged, and how to do the work.

One question gives the whole plan: options, the one recommended, removal, opening, setting, the row's condition, the
couples with each layer and the change of mass and of static moment.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.balance import BalanceQuestion, balance
from bucktail_service.engine.balance_words import Arm, parse_pieces
from bucktail_service.engine.blocks import Block, edition_block
from bucktail_service.engine.cautions import ALWAYS, caution_list, material_codes, stack_codes
from bucktail_service.engine.designation import format_number
from bucktail_service.engine.errors import NoAnswer, NotTabulated, OutsideTable
from bucktail_service.engine.facts import Facts, default_practice, rivet_facts, standard_codes
from bucktail_service.engine.galvanic import judge_pair
from bucktail_service.engine.grip.rework import opening_by_grip, setting_by_grip
from bucktail_service.engine.holes import hole_size
from bucktail_service.engine.installed import Installed, read_installed
from bucktail_service.engine.lengths import NO_TOLERANCE, Length, Stack, Tolerance
from bucktail_service.engine.option import FAIL, HEED, UNKNOWN, Check, Found, Option
from bucktail_service.engine.options import judge_options, rank
from bucktail_service.engine.plans import opening_plan, removal_plan, setting_plan
from bucktail_service.engine.record import work_note
from bucktail_service.engine.rounding import half_even, put
from bucktail_service.engine.row_condition import RowCondition, row_condition
from bucktail_service.engine.sources import Ledger
from bucktail_tables.model import Edition

# cautions of a pick that the rework answer fires by its own figures
_SAID_HERE = frozenset({*ALWAYS, "edition-draft", "no-figure", "not-published"})


@dataclass(frozen=True, slots=True)
class ReworkQuestion:
    """How is this rivet replaced?

    Attributes:
        installed: Part number, stem, or `1/8 AD universal`.
        stack: Layers, head side first.
        hole: Hole measured now, a length or a drill.
        edge_distance, pitch, row_spacing: As found, centre to edge and centre to centre. [in]
        count: Rivets in the row or pattern.
        failed: Positions of those to replace, from 1.
        corroded: Materials that were found eating each other.
        access: `both` sides or `one`.
        preparation: Flush heads: `countersunk` or `dimpled`; None when not said.
        environment: `marine`, `seawater` or `industrial`.
        arm: Distance of the repair from the hinge line of a control surface. [in]
        arm_side: `aft` or `forward` of the hinge line.
        record: Whether a work note is wanted.
    """

    installed: str
    stack: Stack
    stack_tolerance: Tolerance = NO_TOLERANCE
    hole: str | None = None
    edge_distance: Length | None = None
    pitch: Length | None = None
    row_spacing: Length | None = None
    count: int | None = None
    failed: tuple[int, ...] = ()
    corroded: tuple[str, ...] = ()
    access: str = "both"
    preparation: str | None = None
    environment: str = "marine"
    arm: Length | None = None
    arm_side: str = "aft"
    practice: str | None = None
    record: bool = False


def rework(question: ReworkQuestion, edition: Edition) -> Block:
    """Return every way to replace a rivet, judged, with the plans to do it.

    Raises:
        BadQuestion: The practice or the drill is not one the edition knows.
        NotTabulated: The edition cannot read the installed rivet.
        OutsideTable: A position is not in the row, or the row's count is not given.
    """
    practice = question.practice or default_practice(edition)
    installed = read_installed(question.installed, edition)
    try:
        before = rivet_facts(installed.head, installed.alloy, installed.diameter, practice, edition)
    except NotTabulated as error:
        raise NotTabulated("installed", error.detail, error.example) from None
    found = _found(question, practice, edition)
    options = judge_options(installed, found, edition)
    best = rank(options)
    ledger = Ledger()
    for option in options:
        for check in option.checks:
            for row in check.rows:
                ledger.cite(row, f"options.{option.name}.{check.name}")
    answer: Block = {
        "installed": _installed_block(installed, before, ledger),
        "found": _found_block(question, found),
        "recommended": None if best is None else best.name,
        "why": _why(best, options),
        "options": [_option_block(option) for option in options],
        "removal": removal_plan(before, edition, ledger),
        "opening": None,
        "setting": None,
        "row": _row_block(found.row, before, ledger),
        "couples": _couples(before, found, edition, ledger),
        "balance": None,
    }
    if best is not None and best.by_grip is not None:
        answer["opening"] = opening_by_grip(best.by_grip, found.hole)
        answer["setting"] = setting_by_grip(best.by_grip)
        ledger.cite_again(best.by_grip["sources"], "opening", "setting")
    if best is not None and best.picked is not None:
        answer["opening"] = opening_plan(best.picked.facts, found.hole, question.stack, edition, ledger)
        answer["setting"] = setting_plan(best.picked, edition, ledger)
        number = answer["installed"]["part_number"] if installed.dash is not None else None
        answer["balance"] = _balance(question, number, options, best, edition)
    codes = _codes(question, found, before, best, answer["couples"], ledger, edition)
    unweighed = question.arm is not None and best is not None and answer["balance"] is None
    codes += ["no-figure"] if unweighed else []
    answer |= {
        "cautions": caution_list(codes, edition, ["balance"] if unweighed else ()),
        "sources": [*ledger.as_list(), *(answer["balance"].pop("sources") if answer["balance"] else [])],
        "practice": practice,
        "edition": edition_block(edition),
    }
    answer["record"] = work_note(answer) if question.record else None
    return answer


def _found(question: ReworkQuestion, practice: str, edition: Edition) -> Found:
    pitch = None if question.pitch is None else question.pitch.inches
    row = None
    if question.failed and question.count is None:
        raise OutsideTable("count", "is needed to know what is left of the row", "12")
    if question.count is not None:
        row = row_condition(question.count, question.failed, pitch, edition)
    return Found(
        question.stack,
        question.stack_tolerance,
        practice,
        None if question.hole is None else hole_size(question.hole, edition),
        None if question.edge_distance is None else question.edge_distance.inches,
        pitch,
        None if question.row_spacing is None else question.row_spacing.inches,
        question.access,
        question.preparation,
        question.environment,
        question.corroded,
        row,
    )


def _installed_block(installed: Installed, before: Facts, ledger: Ledger) -> Block:
    alias = before.choice.alias
    named = None if alias is None else alias.text("alias")
    number = format_number(before.choice.offered, before.diameter.text("dash"), installed.dash, named)
    ledger.cite(before.choice.offered, "installed.part_number")
    return {
        "part_number": number,
        "diameter": before.blocks["diameter"],
        "alloy": before.blocks["alloy"],
        "head": before.blocks["head"],
        "single_shear_lbf": before.blocks["strength"]["single_shear_lbf"],
    }


def _found_block(question: ReworkQuestion, found: Found) -> Block:
    block: Block = {
        "stack": str(question.stack),
        "access": found.access,
        "preparation": found.preparation,
        "environment": found.environment,
    }
    put(block, "stack_total", question.stack.total)
    put(block, "hole", found.hole)
    put(block, "edge_distance", found.edge)
    put(block, "pitch", found.pitch)
    put(block, "row_spacing", found.row_spacing)
    block["corroded"] = list(found.corroded)
    return block


def _why(best: Option | None, options: list[Option]) -> str:
    if best is not None:
        # no rule lets a bolt stand for a rivet: it is no answer more
        others = sum(option.passes and not option.name.endswith("bolt") for option in options) - 1
        kept = "" if best.shear_kept is None else f", keeps {half_even(best.shear_kept, 3):.2f} of the shear"
        heeds = dict.fromkeys(check.name for check in best.checks if check.verdict == HEED)
        unknown = dict.fromkeys(check.name for check in best.checks if check.verdict == UNKNOWN)
        told = f"{best.title}: no check fails{kept}, removes the least metal"
        told += f"; heed: {', '.join(heeds)}" if heeds else ""
        told += f"; not known: {', '.join(unknown)}" if unknown else ""
        return f"{told}; {others} more without a failure" if others else f"{told}; no other does"
    if any(option.passes for option in options):
        return "only a larger rivet is without a failure, and nothing found asks for a larger hole: see the checks"
    first = options[0]
    reasons = "; ".join(f"{check.name}: {check.told}" for check in first.checks if check.verdict == FAIL)
    return f"no option passes; {first.title}: {reasons}"


def _option_block(option: Option) -> Block:
    block: Block = {
        "name": option.name,
        "title": option.title,
        "passes": option.passes,
        "part_number": option.part_number,
        "shear_kept": None if option.shear_kept is None else half_even(option.shear_kept, 3),
        "to_measure": [check.name for check in option.checks if check.verdict == UNKNOWN],
        "checks": [_check_block(check) for check in option.checks],
        "link": option.link,
    }
    is_told = option.facts is not None or option.by_grip is not None
    put(block, "hole_growth", option.hole_growth if is_told else None)
    block["drill"] = option.drill
    block["bearing_kept"] = None if option.bearing_kept is None else half_even(option.bearing_kept, 3)
    return block


def _check_block(check: Check) -> Block:
    block: Block = {"check": check.name, "verdict": check.verdict, "told": check.told}
    put(block, "found", check.found)
    put(block, "limit", check.limit)
    return block


def _row_block(row: RowCondition | None, before: Facts, ledger: Ledger) -> Block | None:
    if row is None:
        return None
    most = before.distances["pitch_maximum"]
    block: Block = {
        "count": row.count,
        "failed": list(row.failed),
        "longest_run": row.longest_run,
        "strength_left": half_even(row.strength_left, 3),
        "oversize_allowed": row.oversize_allowed,
        "within_limits": row.within_limits,
    }
    put(block, "unsupported", row.unsupported)
    put(block, "pitch_maximum", None if most is None else most.inches)
    for rule in row.rows:
        ledger.cite(rule, "row.oversize_allowed", "row.within_limits")
    if most is not None:
        ledger.cite(most.row, "row.pitch_maximum")
    return block


def _couples(before: Facts, found: Found, edition: Edition, ledger: Ledger) -> list[Block]:
    """Return the couples of the rivet that was there with each layer, and those found corroded."""
    alloy = before.choice.material.text("alloy")
    pairs = [(alloy, layer.material) for layer in found.stack.layers if layer.material is not None]
    pairs += [(found.corroded[0], other) for other in found.corroded[1:]]
    blocks = []
    for first, second in dict.fromkeys(pairs):
        pair = judge_pair(first, second, found.environment, edition)
        if pair is None:
            blocks.append(_couple_block(first, second, None, None, ()))
            continue
        for row in pair.rows:
            ledger.cite(row, f"couples.{first}.{second}")
        blocks.append(_couple_block(first, second, pair.compatible, pair.corrodes, pair.advice))
    return blocks


def _couple_block(
    first: str, second: str, compatible: bool | None, corrodes: str | None, advice: tuple[str, ...]
) -> Block:
    return {
        "first": first,
        "second": second,
        "compatible": compatible,
        "corrodes": corrodes,
        "advice": list(advice),
    }


def _balance(
    question: ReworkQuestion, before: str | None, options: list[Option], best: Option, edition: Edition
) -> Block | None:
    """Return the change of mass and static moment of replacing the failed rivets, the holes' metal included."""
    picked = best.picked
    if question.arm is None or picked is None:
        return None
    pieces = max(len(set(question.failed)), 1)
    # the old length is seldom known: the same rivet through the same stack takes the one it would be given now
    same = options[0].picked or picked
    removed = before if before is not None else same.part_number
    arm = Arm(question.arm, question.arm_side)
    gone, come = (parse_pieces(f"{pieces} x {number}", "installed") for number in (removed, picked.part_number))
    for stack in (question.stack, None):  # without the stack where a layer's density is not tabulated
        try:
            found = balance(BalanceQuestion(arm, gone, come, stack=stack), edition)
        except NoAnswer:
            continue
        return _balance_block(found, pieces, counts_holes=stack is not None)
    return None


def _balance_block(found: Block, pieces: int, *, counts_holes: bool) -> Block:
    change = found["change"]
    metal = "" if counts_holes else "; the holes' metal is not counted: a layer's density is not in the tables"
    return {
        "pieces": pieces,
        "mass_change_g": change["mass_g"],
        "moment_change_in_lb": change["moment_in_lb"],
        "moment_change_n_m": change["moment_n_m"],
        "sense": f"{change['direction']} ({change['called']})",
        "told": f"{found['reasoning'][0]}, holes by their drills{metal}"
        if counts_holes
        else found["reasoning"][0] + metal,
        "arm_in": found["arm"]["distance_in"],
        "arm_mm": found["arm"]["distance_mm"],
        "sources": [{**source, "figures": ["balance"]} for source in found["sources"]],
    }


def _row_codes(row: RowCondition | None, before: Facts) -> list[str]:
    if row is None:
        return []
    most = before.distances["pitch_maximum"]
    codes = [] if row.within_limits else ["row-beyond-limits"]
    if row.unsupported is not None and most is not None and row.unsupported > most.inches:
        codes.append("unsupported-run")
    return codes


def _material_codes(before: Facts, best: Option | None, edition: Edition) -> list[str]:
    """Return the cautions of what goes in: of a fastener chosen by grip all its own."""
    if best is not None and best.by_grip is not None:
        return [caution["code"] for caution in best.by_grip["cautions"] if caution["code"] not in _SAID_HERE]
    material = before.choice.material if best is None or best.facts is None else best.facts.choice.material
    return material_codes(material, _size(before, best), edition)


def _size(before: Facts, best: Option | None) -> Fraction:
    """Return the diameter that goes in; the old one when no option passes. [in]"""
    return before.size if best is None or best.facts is None else best.facts.size


def _codes(
    question: ReworkQuestion,
    found: Found,
    before: Facts,
    best: Option | None,
    couples: list[Block],
    ledger: Ledger,
    edition: Edition,
) -> list[str]:
    codes = [*ALWAYS, "support-structure", *stack_codes(question.stack, _size(before, best), edition)]
    codes = [code for code in codes if code != "control-surface" or question.arm is not None]
    codes += _material_codes(before, best, edition)
    codes += standard_codes(before.choice.standard, before.choice.alias)
    if best is None:
        codes.append("no-option-passes")
    elif best.hole_growth > 0:
        codes.append("highly-stressed")
    if best is not None and any(check.verdict == UNKNOWN for check in best.checks):
        codes.append("measure-first")
    codes += _row_codes(found.row, before)
    if any("chromate" in advice for couple in couples for advice in couple["advice"] if not couple["compatible"]):
        codes.append("chromate-primer")
    if best is not None and best.picked is not None:
        codes += [code for code in best.picked.caution_codes() if code in ("half-size", "trim-to-length", "knife-edge")]
    if edition.is_draft:
        codes.append("edition-draft")
    if ledger.rests_on_doubt():
        codes.append("not-published")
    return codes
