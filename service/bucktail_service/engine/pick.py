"""The pick answer: one solid rivet for a stack, with everything a person at the bench asks next.

What depends on the rivet alone is worked out once per rivet, practice and edition and kept; a question then costs
its stack: length, predicted formed head, mass and cautions.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any
from urllib.parse import quote

from bucktail_tables.model import Edition, Row

from bucktail_service.engine import formed_head, mass, shear, spacing
from bucktail_service.engine.cautions import (
    ALWAYS,
    caution_list,
    countersink_codes,
    material_codes,
    stack_codes,
)
from bucktail_service.engine.designation import format_number
from bucktail_service.engine.errors import BadQuestion, NotTabulated
from bucktail_service.engine.holes import HOLE_EXAMPLE, Drill, Holes, find_holes, hole_size
from bucktail_service.engine.length import Ladder, LengthChoice, Protrusion, choose_length, ladder, protrusion
from bucktail_service.engine.lengths import Length
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.rounding import half_even, put, say, times
from bucktail_service.engine.sizes import find_diameter
from bucktail_service.engine.sources import Ledger
from bucktail_service.engine.standards import Choice, choose_standard

Block = dict[str, Any]

NEWTONS_PER_POUND = Fraction("4.4482216152605")
FAMILIES = ("solid", "blind", "bolt", "pin")


@dataclass(frozen=True, slots=True)
class Facts:
    """Everything about one rivet that no stack can change."""

    choice: Choice
    diameter: Row
    size: Fraction
    head_row: Row | None
    holes: Holes
    window: Protrusion
    lengths: Ladder
    limits: dict[str, formed_head.Limit | None]
    mass: mass.MassRule | None
    sheet_minimum: Fraction | None
    blocks: dict[str, Block]
    missing: tuple[str, ...]
    codes: tuple[str, ...]
    sources: tuple[Block, ...]


def default_practice(edition: Edition) -> str:
    """Return the practice that rules when none is asked for."""
    return next(row.text("practice") for row in edition["practices"] if row.flag("default"))


def pick(question: PickQuestion, edition: Edition) -> Block:
    """Return the answer to a pick question: part number, length, hole, spacing, formed head, strength, mass, cautions.

    Lengths are rounded once, here, half to even: six decimals of an inch, four of a millimetre. Blocks that
    depend on the rivet alone are shared between answers and must not be changed.

    Raises:
        BadQuestion: The alloy, the head, the practice or the hole is not one the edition knows.
        NotTabulated: The family, the diameter or the combination is not in the edition.
        OutsideTable: No tabulated length spans the stack.
    """
    if question.family != "solid":
        raise NotTabulated("family", f"edition {edition.name} has no tables for {question.family} fasteners", "solid")
    practice = question.practice or default_practice(edition)
    facts = rivet_facts(question.head, question.alloy, question.diameter, practice, edition)
    stack, tolerance = question.stack, question.stack_tolerance
    thinnest, thickest = stack.total - tolerance.minus.inches, stack.total + tolerance.plus.inches
    choice = choose_length(stack.total, thinnest, thickest, facts.window, facts.lengths, facts.size)
    hole = None if question.hole is None else hole_size(question.hole, edition)
    if hole is not None and not facts.size <= hole <= 2 * facts.size:
        raise BadQuestion(
            "hole", f"{question.hole} is no hole for a {facts.diameter.text('fraction')} rivet", HOLE_EXAMPLE
        )
    part_number = format_number(facts.choice.offered, facts.diameter.text("dash"), choice.dash)

    cut = choice.length if choice.trim_to is None else choice.trim_to
    predicted = _predicted(facts, cut, (stack.total, thinnest, thickest), hole)
    weight = _mass(facts, choice)
    codes = [*facts.codes, *stack_codes(stack, facts.size, edition), *_length_codes(choice, thinnest != thickest)]
    if facts.choice.is_flush:
        height = None if facts.head_row is None else facts.head_row.number("height_in")
        codes += countersink_codes(stack, height, facts.sheet_minimum)
    if hole is not None and not _inside(hole, facts.holes):
        codes.append("hole-outside-limits")
    sources = list(facts.sources)
    if choice.trim_to is not None:
        ledger = Ledger()
        ledger.cite(_rule_row(edition, "cautions", "trim-to-length"), "length.trim_to")
        sources += ledger.as_list()

    return {
        "part_number": part_number,
        "family": "solid",
        "standard": facts.choice.standard.text("standard"),
        **{name: facts.blocks[name] for name in ("diameter", "alloy", "head")},
        "stack": _stack(question, thinnest, thickest),
        "length": _length(choice, facts),
        "grip": None,
        "hole": facts.blocks["hole"] if hole is None else _given_hole(facts, hole, question.hole or ""),
        "spacing": facts.blocks["spacing"],
        "formed_head": {**facts.blocks["formed_head"], **_prediction_block(predicted)},
        "strength": facts.blocks["strength"],
        "mass": weight,
        "reasoning": [*choice.reasons, *_counts(facts), *_by_volume(predicted, facts)],
        "cautions": caution_list(codes, edition, list(facts.missing)),
        "sources": sources,
        "practice": practice,
        "edition": edition_block(edition),
        "link": _link(question, facts, practice, edition),
    }


@lru_cache(maxsize=2048)
def rivet_facts(head: str, alloy: str, diameter: Length, practice: str, edition: Edition) -> Facts:
    """Return everything about one rivet that no stack can change; kept per rivet, practice and edition.

    Raises:
        BadQuestion, NotTabulated: As `pick`.
    """
    if edition["practices"].find(practice) is None:
        known = ", ".join(row.text("practice") for row in edition["practices"])
        raise BadQuestion("practice", f"{practice!r} is not a practice of this edition", f"one of {known}")
    choice = choose_standard(head, alloy, edition)
    if choice.standard.flag("repair_only"):
        name = choice.standard.text("standard")
        raise NotTabulated("head", f"{name} is an oversize repair rivet: no holes or spacing in this edition", "MS20470")
    row = find_diameter(diameter, edition)
    size = row.number("nominal_in")
    fraction = row.text("fraction")
    letters = choice.material.text("alloy")
    ledger = Ledger()
    missing: list[str] = []
    head_row = edition["manufactured_heads"].find(choice.standard.text("standard"), fraction)
    holes = find_holes(fraction, edition)
    window = protrusion(practice, letters, size, edition)
    lengths_row = edition["lengths"].find(fraction)
    assert lengths_row is not None, "the check holds a ladder for every diameter"  # noqa: S101
    limits = formed_head.find_limits(practice, letters, row, edition)
    rule = mass.mass_rule(choice.material, head_row, size, edition)
    blocks = {
        "diameter": diameter_block(row, ledger),
        "alloy": alloy_block(choice.material, ledger),
        "head": head_block(choice, head_row, ledger, missing),
        "hole": _holes(holes, ledger, missing),
        "spacing": _spacing(practice, choice, size, edition, ledger, missing),
        "formed_head": _limits(limits, ledger, missing),
        "strength": strength_block(choice.material, fraction, holes, edition, ledger, missing),
    }
    _cite_length(edition, window, lengths_row, choice, ledger)
    cite_mass(rule, edition, choice, ledger, missing)
    sheet = edition["countersinks"].find(practice, choice.standard.text("head"), fraction)
    return Facts(
        choice,
        row,
        size,
        head_row,
        holes,
        window,
        ladder(lengths_row),
        limits,
        rule,
        None if sheet is None else sheet.number("sheet_minimum_in"),
        blocks,
        tuple(missing),
        tuple(_fixed_codes(choice, size, limits, missing, ledger, edition)),
        tuple(ledger.as_list()),
    )


def _fixed_codes(
    choice: Choice,
    size: Fraction,
    limits: dict[str, formed_head.Limit | None],
    missing: list[str],
    ledger: Ledger,
    edition: Edition,
) -> list[str]:
    codes = [*ALWAYS, *standard_codes(choice.standard, choice.alias), *material_codes(choice.material, size, edition)]
    if edition.is_draft:
        codes.append("edition-draft")
    if missing:
        codes.append("no-figure")
    if ledger.rests_on_doubt():
        codes.append("not-published")
    name = "strength_head_diameter_7050" if choice.material.text("number") == "7050" else "strength_head_diameter"
    assumed = edition["rules"].find(name)
    smallest = limits["diameter_minimum"]
    if (
        assumed is not None
        and smallest is not None
        and smallest.inches < assumed.number("value") * size - Fraction(1, 1000)
    ):
        codes.append("strength-basis")
    return codes


def standard_codes(standard: Row, alias: Row | None) -> list[str]:
    """Return the cautions that the head standard and the number asked for fire."""
    codes = []
    if standard.text("replaced_by"):
        codes.append("replaced-head")
    if standard.flag("repair_only"):
        codes.append("repair-rivet")
    if alias is not None and alias.text("relation") == "superseded":
        codes.append("superseded-number")
    return codes


def diameter_block(row: Row, ledger: Ledger) -> Block:
    """Return the diameter block of an answer."""
    block: Block = {"dash": int(row.text("dash")), "fraction": row.text("fraction")}
    put(block, "nominal", row.number("nominal_in"))
    ledger.cite(row, "diameter")
    return block


def alloy_block(material: Row, ledger: Ledger) -> Block:
    """Return the alloy block of an answer."""
    ledger.cite(material, "alloy")
    return {
        "code": material.text("alloy"),
        "name": material.text("name"),
        "head_mark": material.text("head_mark"),
        "heat_treat": material.text("heat_treat"),
    }


def head_block(choice: Choice, row: Row | None, ledger: Ledger, missing: list[str]) -> Block:
    """Return the head block of an answer; dimensions are null where the edition has none."""
    standard = choice.standard
    block: Block = {"name": standard.text("head"), "style": standard.text("head_style")}
    put(block, "diameter", None if row is None else row.number("diameter_in"))
    put(block, "height", None if row is None else row.number("height_in"))
    angle = standard.maybe("cone_angle_deg")
    block["cone_angle_deg"] = None if angle is None else int(angle)
    ledger.cite(standard, "standard", "head.name", "head.cone_angle_deg")
    ledger.cite(choice.offered, "part_number")
    if row is None:
        missing += ["head.diameter", "head.height"]
    else:
        ledger.cite(row, "head.diameter", "head.height")
    return block


def _holes(holes: Holes, ledger: Ledger, missing: list[str]) -> Block:
    block: Block = {"pilot": _drill(holes.pilot), "final": _drill(holes.final)}
    put(block, "minimum", holes.minimum)
    put(block, "maximum", holes.maximum)
    for name, drill in (("hole.pilot", holes.pilot), ("hole.final", holes.final)):
        if drill is None:
            missing.append(name)
        else:
            ledger.cite(drill.row, name)
            ledger.cite(drill.size, f"{name}.diameter")
    if holes.minimum is None or holes.maximum is None:
        missing += ["hole.minimum", "hole.maximum"]
    else:
        ledger.cite(holes.final.row, "hole.minimum", "hole.maximum")
    return block


def _drill(drill: Drill | None) -> Block | None:
    if drill is None:
        return None
    block: Block = {"drill": drill.name}
    put(block, "diameter", drill.diameter)
    return block


def _given_hole(facts: Facts, hole: Fraction, text: str) -> Block:
    given: Block = {"text": text.strip()}
    put(given, "diameter", hole)
    return {**facts.blocks["hole"], "given": given}


def _inside(hole: Fraction, holes: Holes) -> bool:
    low, high = holes.minimum, holes.maximum
    return (low is None or low <= hole) and (high is None or hole <= high)


def _spacing(
    practice: str, choice: Choice, size: Fraction, edition: Edition, ledger: Ledger, missing: list[str]
) -> Block:
    block: Block = {}
    for name, distance in spacing.find_spacing(practice, flush=choice.is_flush, diameter=size, edition=edition).items():
        put(block, name, None if distance is None else distance.inches)
        if distance is None:
            missing.append(f"spacing.{name}")
        else:
            ledger.cite(distance.row, f"spacing.{name}")
    return block


def _limits(limits: dict[str, formed_head.Limit | None], ledger: Ledger, missing: list[str]) -> Block:
    block: Block = {}
    for name, limit in limits.items():
        put(block, name, None if limit is None else limit.inches)
        if limit is None:
            missing.append(f"formed_head.{name}")
        else:
            ledger.cite(limit.row, f"formed_head.{name}")
    return block


def strength_block(
    material: Row, fraction: str, holes: Holes, edition: Edition, ledger: Ledger, missing: list[str]
) -> Block:
    """Return the strength block of an answer: single shear [lbf, N] and the temper it holds for."""
    found = shear.single_shear(material, fraction, holes, edition)
    if found is None:
        missing.append("strength.single_shear")
        return {"single_shear_lbf": None, "single_shear_n": None, "temper": None, "basis": None}
    ledger.cite(found.row, "strength.single_shear")
    if found.estimated:
        ledger.cite(_rule_row(edition, "rules", "shear_on_hole_area"), "strength.single_shear")
    pounds = found.pounds
    return {
        "single_shear_lbf": int(pounds) if pounds.denominator == 1 else float(pounds),
        "single_shear_n": half_even(pounds * NEWTONS_PER_POUND, 0),
        "temper": found.temper,
        "basis": "estimated" if found.estimated else found.row.basis,
    }


def _cite_length(edition: Edition, window: Protrusion, lengths: Row, choice: Choice, ledger: Ledger) -> None:
    ledger.cite(lengths, "length.length", "length.dash", "length.alternatives")
    ledger.cite(window.rows["preferred"], "length.ideal", "length.protrusion")
    for end in ("minimum", "maximum"):
        if end in window.rows:
            ledger.cite(window.rows[end], f"length.protrusion_{end}")
    ledger.cite(_rule_row(edition, "rules", f"length_counts_{choice.standard.text('length_counts')}"), "length.counts")
    ledger.cite(
        _rule_row(edition, "rules", "formed_head_volume"),
        *(f"formed_head.predicted_{name}" for name in _PREDICTIONS),
    )


def cite_mass(rule: mass.MassRule | None, edition: Edition, choice: Choice, ledger: Ledger, missing: list[str]) -> None:
    """Write the sources of the mass block down, or that it has none."""
    if rule is None:
        missing += ["mass.each", "mass.pieces_per_lb"]
        return
    for row in rule.rows:
        ledger.cite(row, "mass.each", "mass.pieces_per_lb")
    if not choice.is_flush:
        ledger.cite(_rule_row(edition, "rules", "head_volume_dome"), "mass.each", "mass.pieces_per_lb")


def _rule_row(edition: Edition, table: str, key: str) -> Row:
    row = edition[table].find(key)
    assert row is not None, f"edition has no {key} in {table}"  # noqa: S101
    return row


def _stack(question: PickQuestion, thinnest: Fraction, thickest: Fraction) -> Block:
    block: Block = {}
    put(block, "total", question.stack.total)
    put(block, "minimum", thinnest)
    put(block, "maximum", thickest)
    block["layers"] = [_layer(layer.thickness, layer.material) for layer in question.stack.layers]
    return block


def _layer(thickness: Length, material: str | None) -> Block:
    block: Block = {"material": material}
    put(block, "thickness", thickness.inches)
    return block


def _length(choice: LengthChoice, facts: Facts) -> Block:
    block: Block = {"dash": choice.dash}
    put(block, "length", choice.length)
    put(block, "ideal", choice.ideal)
    put(block, "protrusion", choice.protrusion)
    put(block, "protrusion_minimum", facts.window.minimum)
    put(block, "protrusion_maximum", facts.window.maximum)
    put(block, "trim_to", choice.trim_to)
    block["alternatives"] = list(choice.alternatives)
    block["counts"] = facts.choice.standard.text("length_counts")
    return block


def _length_codes(choice: LengthChoice, has_tolerance: bool) -> list[str]:
    codes = []
    if choice.trim_to is not None:
        codes.append("trim-to-length")
        if has_tolerance:
            codes.append("stack-tolerance")
    if choice.dash.endswith(".5"):
        codes.append("half-size")
    return codes


_PREDICTIONS = ("diameter", "height", "diameter_minimum", "diameter_maximum")


def _predicted(
    facts: Facts, cut: Fraction, stacks: tuple[Fraction, ...], given: Fraction | None
) -> formed_head.Prediction:
    """Return what the formed head comes to: cut to *cut*, over the stack as given, at its thinnest and thickest."""
    height, across = facts.limits["height_nominal"], facts.limits["diameter_nominal"]
    if height is None or across is None:
        return formed_head.Prediction(None, None, None, None)
    shank, length, high = float(facts.size), float(cut), float(height.inches)
    cone = float(facts.head_row.number("height_in")) if facts.choice.is_flush and facts.head_row is not None else 0.0
    bores = (
        (given,) * 3 if given is not None else (facts.holes.final.diameter, facts.holes.minimum, facts.holes.maximum)
    )
    bore, tightest, widest = (float(size or facts.holes.final.diameter) for size in bores)
    total, thinnest, thickest = map(float, stacks)
    volume = formed_head.net_volume(shank, bore, total - cone, length - total)
    least = formed_head.net_volume(shank, widest, thickest - cone, length - thickest)
    most = formed_head.net_volume(shank, tightest, thinnest - cone, length - thinnest)
    return formed_head.Prediction(
        formed_head.diameter_at_height(volume, high),
        formed_head.height_at_diameter(volume, float(across.inches)),
        formed_head.diameter_at_height(least, high),
        formed_head.diameter_at_height(most, high),
    )


def _prediction_block(predicted: formed_head.Prediction) -> Block:
    block: Block = {}
    for name in _PREDICTIONS:
        put(block, f"predicted_{name}", getattr(predicted, name))
    return block


def _by_volume(predicted: formed_head.Prediction, facts: Facts) -> list[str]:
    across = facts.limits["diameter_nominal"]
    if predicted.height is None or across is None:
        return []
    height = f"{say(predicted.height)} in high, {times(predicted.height, facts.size)}"
    return [f"by volume, driven to {say(across.inches)} in across, the formed head stands about {height}"]


def _mass(facts: Facts, choice: LengthChoice) -> Block:
    if facts.mass is None:
        return {"each_g": None, "pieces_per_lb": None}
    return {"each_g": facts.mass.each_g(choice.length), "pieces_per_lb": facts.mass.pieces_per_lb(choice.length)}


def _counts(facts: Facts) -> list[str]:
    if not facts.choice.is_flush:
        return []
    height = "" if facts.head_row is None else f", its {say(facts.head_row.number('height_in'))} in included"
    return [f"a flush rivet's length counts the head{height}: the head lies in the stack, so the same sum holds"]


def edition_block(edition: Edition) -> Block:
    """Return the edition block of an answer."""
    return {"name": edition.name, "sha256": edition.sha256, "status": edition.status}


def _link(question: PickQuestion, facts: Facts, practice: str, edition: Edition) -> str:
    alias = facts.choice.alias
    parts = [
        ("diameter", facts.diameter.text("fraction")),
        ("alloy", facts.choice.material.text("alloy")),
        ("head", facts.choice.standard.text("standard") if alias is None else alias.text("alias")),
        ("stack", str(question.stack)),
    ]
    if question.stack_tolerance.plus.inches or question.stack_tolerance.minus.inches:
        parts.append(("stack_tolerance", str(question.stack_tolerance)))
    if question.hole is not None:
        parts.append(("hole", question.hole.strip()))
    parts += [("practice", practice), ("edition", edition.name)]
    return "/v1/pick?" + "&".join(f"{name}={quote(value, safe='/')}" for name, value in parts)
