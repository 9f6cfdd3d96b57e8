"""The joint answer: what one fastener carries in its sheets, what governs it, how many there must be and where."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction

from bucktail_service.engine.blocks import (
    NEWTONS_PER_POUND,
    Block,
    alloy_block,
    diameter_block,
    edition_block,
    head_block,
)
from bucktail_service.engine.carried import Carried, carry
from bucktail_service.engine.cautions import ALWAYS, caution_list, countersink_codes, material_codes, stack_codes
from bucktail_service.engine.counting import SpliceAsked, splice_blocks
from bucktail_service.engine.errors import OutsideTable
from bucktail_service.engine.facts import Facts, default_practice, rivet_facts, standard_codes
from bucktail_service.engine.lengths import Length, Stack
from bucktail_service.engine.patterns import PatternAsked, check_pattern, layout_block, pattern_block
from bucktail_service.engine.rounding import half_even, put, say
from bucktail_service.engine.sources import Ledger
from bucktail_service.engine.spacing import find_spacing
from bucktail_tables.model import Edition

STACK_EXAMPLE = "0.040 2024-T3+0.040 2024-T3"


@dataclass(frozen=True, slots=True)
class Load:
    """A load on the joint [lbf], or on each inch of its width [lbf/in]."""

    pounds: Fraction
    per_inch: bool


@dataclass(frozen=True, slots=True)
class JointQuestion:
    """What does this joint carry, and how many pieces does it take?

    Attributes:
        diameter: Nominal shank diameter. [in]
        alloy: Letters or alloy number.
        head: Head name or head standard.
        stack: Layers with their materials, outer one first.
        shear: `single` or `double`; in double shear the middle one of three layers carries what the outer two share.
        practice: Named set of rules; the edition's default when None.
        edge_distance: Centre to edge; the practice's least when None. [in]
        pitch: Centre to centre along a row. [in]
        rows: Rows of rivets.
        row_spacing: Centre to centre between rows. [in]
        load: What the joint must carry.
        width: Width across the load, for counts and the layout. [in]
        thickness: Sheet for the counts; the thickest layer when None. [in]
        table: Count table; found by the sheet's material when None.
        member: What is spliced: its share of the count table.
        preparation: How the hole of a flush head is made, `countersunk` or `dimpled`.
    """

    diameter: Length
    alloy: str
    head: str
    stack: Stack
    shear: str = "single"
    practice: str | None = None
    edge_distance: Length | None = None
    pitch: Length | None = None
    rows: int | None = None
    row_spacing: Length | None = None
    load: Load | None = None
    width: Length | None = None
    thickness: Length | None = None
    table: str | None = None
    member: str | None = None
    preparation: str = "countersunk"


def joint(question: JointQuestion, edition: Edition) -> Block:
    """Return the answer to a joint question: shear, bearing of each layer, what governs, pieces, counts and layout.

    Raises:
        BadQuestion: The alloy, the head or the practice is not one the edition knows.
        NotTabulated: The diameter or the combination is not in the edition.
        OutsideTable: A layer, an edge distance or another length is none that a joint can have.
    """
    facts = rivet_facts(question.head, question.alloy, question.diameter, _practice(question, edition), edition)
    _refuse_what_is_no_joint(question)
    ledger, missing, reasons = Ledger(), list[str](), list[str]()
    spacing = find_spacing(facts.practice, flush=facts.choice.is_flush, diameter=facts.size, edition=edition)
    asked = _pattern_asked(question, facts)
    checks = check_pattern(asked, spacing, edition, ledger)
    carried = carry(question, facts, spacing, ledger, missing, reasons)
    splice, strength, counts = splice_blocks(_splice_asked(question), facts, ledger, missing, reasons)
    need, pieces = _need(question, carried)
    layout = layout_block(asked, max(pieces, counts), spacing, edition, ledger, reasons)
    codes = _codes(question, facts, carried, checks)
    if splice and strength and splice["pieces"] != strength["pieces"]:
        codes.append("count-methods")
    answer: Block = {
        "family": "solid",
        "standard": facts.choice.standard.text("standard"),
        "diameter": diameter_block(facts.diameter, ledger),
        "alloy": alloy_block(facts.choice.material, ledger),
        "head": head_block(facts.choice, facts.head_row, ledger, []),
        "stack": _stack(question.stack),
        "shear": carried.shear,
        "layers": carried.layers,
        "flush": carried.flush,
        "critical": carried.critical,
        "allowed": carried.allowed,
        "need": need,
        "pattern": pattern_block(asked, carried.lowest if carried.known else None),
        "splice": splice,
        "strength_method": strength,
        "checks": checks,
        "layout": layout,
        "reasoning": reasons,
    }
    if missing:
        codes.append("no-figure")
    if ledger.rests_on_doubt():
        codes.append("not-published")
    answer["cautions"] = caution_list(codes, edition, missing, _told(question, facts, checks))
    answer["sources"] = ledger.as_list()
    answer["practice"] = facts.practice
    answer["edition"] = edition_block(edition)
    answer["link"] = None  # asked in a body alone
    return answer


def _practice(question: JointQuestion, edition: Edition) -> str:
    return question.practice or default_practice(edition)


def _refuse_what_is_no_joint(question: JointQuestion) -> None:
    layers = question.stack.layers
    if len(layers) < 2:  # noqa: PLR2004
        raise OutsideTable("stack", "one layer is no joint: give the sheets one by one, outer one first", STACK_EXAMPLE)
    if question.shear == "double" and len(layers) != 3:  # noqa: PLR2004
        detail = f"double shear has three layers, the middle one pulled against the outer two; here are {len(layers)}"
        raise OutsideTable("stack", detail, "0.040 2024-T3+0.063 2024-T3+0.040 2024-T3")
    if not all(layer.thickness.inches for layer in layers):
        raise OutsideTable("stack", "a layer of 0 in is no sheet", STACK_EXAMPLE)
    for name, example in (("pitch", "1/2"), ("row_spacing", "3/8"), ("width", "10"), ("thickness", "0.040")):
        given: Length | None = getattr(question, name)
        if given is not None and not given.inches:
            raise OutsideTable(name, f"0 in is no {name.replace('_', ' ')}", example)


def _pattern_asked(question: JointQuestion, facts: Facts) -> PatternAsked:
    lengths = (question.edge_distance, question.pitch, question.row_spacing, question.width)
    edge, pitch, apart, width = (None if length is None else length.inches for length in lengths)
    return PatternAsked(facts.size, edge, pitch, question.rows, apart, width)


def _splice_asked(question: JointQuestion) -> SpliceAsked | None:
    """Return what the counts are asked for; None when nothing of the question is about a splice.

    A width beside a load is there for the load's pieces and their layout.
    """
    if not any((question.thickness, question.table, question.member, question.width and not question.load)):
        return None
    layers = question.stack.layers
    if question.thickness is None:
        sheet = max(layers, key=lambda layer: layer.thickness.inches)
        thickness, material = sheet.thickness.inches, sheet.material
    else:
        thickness = question.thickness.inches
        alike = [layer for layer in layers if layer.thickness.inches == thickness]
        material = (alike or layers)[0].material
    width = None if question.width is None else question.width.inches
    return SpliceAsked(thickness, material, question.table, question.member or "splice", width, question.shear)


def _need(question: JointQuestion, carried: Carried) -> tuple[Block | None, int]:
    """Return the pieces a load takes, and how many of them the layout must place: 0 when that is not known."""
    load = question.load
    if load is None:
        return None, 0
    width = None if question.width is None else question.width.inches
    total = load.pounds if not load.per_inch else None if width is None else load.pounds * width
    each = carried.lowest
    pieces = None if total is None or not each else math.ceil(total / each)
    per_inch = None
    if each and (load.per_inch or width):
        per_inch = (load.pounds if load.per_inch else load.pounds / (width or 1)) / each
    block: Block = {
        "load_lbf": half_even(load.pounds, 3),
        "per_inch": load.per_inch,
        "load_n": half_even(load.pounds * NEWTONS_PER_POUND, 1),
        "pieces": pieces if carried.known else None,
        "pieces_at_least": pieces,
        "pieces_per_inch": half_even(per_inch, 4) if per_inch is not None and carried.known else None,
    }
    return block, (pieces or 0) if carried.known else 0


def _codes(question: JointQuestion, facts: Facts, carried: Carried, checks: list[Block]) -> list[str]:
    choice = facts.choice
    codes = [
        *ALWAYS,
        *standard_codes(choice.standard, choice.alias),
        *stack_codes(_bare(question.stack), facts.size, facts.edition),
    ]
    codes += [*material_codes(choice.material, facts.size, facts.edition), *carried.codes]
    codes += [code for code in facts.codes if code in ("edition-draft", "strength-basis")]
    if choice.is_flush and question.preparation == "countersunk":
        codes += countersink_codes(question.stack, _head_height(facts), facts.sheet_minimum)
    if question.edge_distance is None:
        codes.append("edge-assumed")
    if any(not check["passes"] and check["too"] == "close" for check in checks):
        codes.append("pattern-too-close")
    return codes


def _bare(stack: Stack) -> Stack:
    """Return the stack with clad and bare left unsaid: hazards are looked up by the alloy."""
    return Stack(tuple(replace(layer, material=_alloy(layer.material)) for layer in stack.layers))


def _alloy(material: str | None) -> str | None:
    words = [word for word in (material or "").split() if word.casefold() not in ("clad", "alclad", "bare")]
    return " ".join(words) or material


def _head_height(facts: Facts) -> Fraction | None:
    return None if facts.head_row is None else facts.head_row.number("height_in")


def _told(question: JointQuestion, facts: Facts, checks: list[Block]) -> dict[str, str]:
    """Return what fired the cautions about sheets and distances, in figures."""
    layers = question.stack.layers
    thickest, height = max(layer.thickness.inches for layer in layers), _head_height(facts)
    high = "" if height is None else f", the head {say(height)} in high"
    told = {
        "diameter-for-sheet": f"{say(facts.size)} in with a thickest sheet of {say(thickest)} in",
        "knife-edge": f"the sheet is {say(layers[0].thickness.inches)} in{high}",
    }
    close = "; ".join(check["text"] for check in checks if check["too"] == "close")
    return {**told, "pattern-too-close": close} if close else told


def _stack(stack: Stack) -> Block:
    block: Block = {}
    put(block, "total", stack.total)
    block["layers"] = []
    for layer in stack.layers:
        entry: Block = {"material": layer.material}
        put(entry, "thickness", layer.thickness.inches)
        block["layers"].append(entry)
    return block
