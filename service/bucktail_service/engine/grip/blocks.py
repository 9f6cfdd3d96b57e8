"""The blocks of an answer that blind rivets, bolts and pins share, and the shape all their answers have."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any
from urllib.parse import quote

from bucktail_service.engine.blocks import NEWTONS_PER_POUND, OWN_BLOCKS, Block, edition_block
from bucktail_service.engine.cautions import ALWAYS, caution_list
from bucktail_service.engine.facts import default_practice
from bucktail_service.engine.galvanic import DEFAULT_ENVIRONMENT, judge_pair
from bucktail_service.engine.grip.choice import GripChoice
from bucktail_service.engine.grip.ranges import SIXTEENTH
from bucktail_service.engine.holes import Drill, Holes, find_drill
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.rounding import half_even, put
from bucktail_service.engine.sources import Ledger
from bucktail_service.engine.spacing import FIGURES, Distance, find_spacing, threaded_spacing
from bucktail_tables.model import Edition, Row


@dataclass(slots=True)
class Draft:
    """A pick answer while it is being made.

    Attributes:
        ledger: Which figure came from which row.
        missing: Figures that have no row.
        codes: Cautions that fired.
        reasoning: Why, a sentence a line.
        told: What fired a caution, in figures, by its code.
        added: What is added to the layers before a grip is chosen, the heads in dimpled sheet. [in]
    """

    question: PickQuestion
    choice: GripChoice
    practice: str
    edition: Edition
    ledger: Ledger = field(default_factory=Ledger)
    missing: list[str] = field(default_factory=list)
    codes: list[str] = field(default_factory=list)
    reasoning: list[str] = field(default_factory=list)
    told: dict[str, str] = field(default_factory=dict)
    added: Fraction = Fraction(0)

    @property
    def total(self) -> Fraction:
        """The stack as it counts: its layers, and what is added to them. [in]"""
        return self.question.stack.total + self.added

    @property
    def thinnest(self) -> Fraction:
        """The stack at its thinnest; of a hook gauge's reading, what it is over. [in]"""
        unknown = Fraction(0) if self.question.stack.gauge is None else SIXTEENTH
        return self.total - self.question.stack_tolerance.minus.inches - unknown

    @property
    def thickest(self) -> Fraction:
        """The stack at its thickest. [in]"""
        return self.total + self.question.stack_tolerance.plus.inches


def begin(question: PickQuestion, choice: GripChoice, edition: Edition) -> Draft:
    """Return the beginnings of an answer: its practice, and the sources of what it is."""
    draft = Draft(question, choice, question.practice or default_practice(edition), edition)
    draft.ledger.cite(choice.standard, "standard", "head.name", "head.cone_angle_deg")
    draft.ledger.cite(choice.offered, "part_number", "alloy")
    draft.ledger.cite(choice.size_row or choice.standard, "diameter")
    if choice.others:
        draft.reasoning.append(
            f"{choice.name} answers; also of this head, material and size: {', '.join(choice.others)}"
        )
    return draft


def finish(draft: Draft, blocks: Mapping[str, Any]) -> Block:
    """Return the whole pick answer of a draft; *blocks* are those its family fills, the others are null.

    The order and the names are those of a solid rivet's answer, `length` null where a standard does not tell it.
    """
    edition, choice = draft.edition, draft.choice
    head, spacing = head_block(choice, blocks.get("head_diameter")), spacing_block(draft)
    draft.missing += [f"head.{name}" for name in ("diameter", "height") if head[f"{name}_in"] is None]
    draft.missing += ["mass.each", "mass.pieces_per_lb"]
    codes = [*draft.codes, *_couple_codes(draft), *ALWAYS]
    codes += ["edition-draft"] if edition.is_draft else []
    codes += ["no-figure"] if draft.missing else []
    codes += ["not-published"] if draft.ledger.rests_on_doubt() else []
    return {
        "part_number": blocks["part_number"],
        "family": choice.standard.text("family"),
        "standard": choice.name,
        "diameter": diameter_block(choice),
        "alloy": alloy_block(choice.offered),
        "head": head,
        "stack": stack_block(draft),
        "length": blocks.get("length"),
        "grip": blocks["grip"],
        "hole": blocks["hole"],
        "spacing": spacing,
        "formed_head": None,
        "strength": blocks["strength"],
        "mass": {"each_g": None, "pieces_per_lb": None},
        **{name: blocks.get(name) for name in OWN_BLOCKS},
        "reasoning": draft.reasoning,
        "cautions": caution_list(codes, edition, dict.fromkeys(draft.missing), draft.told),
        "sources": draft.ledger.as_list(),
        "practice": draft.practice,
        "edition": edition_block(edition),
        "link": link(draft),
    }


def _couple_codes(draft: Draft) -> list[str]:
    """Return the caution of layers that the fastener's metal may not touch, in marine air."""
    metal = draft.choice.offered.text("material")
    layers = dict.fromkeys(layer.material for layer in draft.question.stack.layers)
    apart = []
    for material in layers:
        pair = judge_pair(metal, material, DEFAULT_ENVIRONMENT, draft.edition) if metal and material else None
        if pair is not None and not pair.compatible:
            apart.append(f"{draft.choice.offered.text('name')} with {material}, in marine air")
    if apart:
        draft.told["couple-of-fastener"] = "; ".join(apart)
    return ["couple-of-fastener"] if apart else []


def diameter_block(choice: GripChoice) -> Block:
    """Return the diameter block; its dash is the one of the part number."""
    block: Block = {"dash": choice.dash, "fraction": choice.fraction}
    put(block, "nominal", choice.nominal)
    return block


def alloy_block(offered: Row) -> Block:
    """Return the alloy block; these fasteners have no head mark or heat treatment in the tables."""
    stem = offered.text("stem")
    name = f"{offered.text('name')} sleeve, {stem} stem" if stem else offered.text("name")
    return {"code": offered.text("alloy"), "name": name, "head_mark": None, "heat_treat": None}


def head_block(choice: GripChoice, diameter: Fraction | None = None) -> Block:
    """Return the head block; its height has no row for these fasteners."""
    block: Block = {"name": choice.standard.text("head"), "style": choice.standard.text("head_style")}
    put(block, "diameter", diameter)
    put(block, "height", None)
    angle = choice.standard.maybe("cone_angle_deg")
    block["cone_angle_deg"] = None if angle is None else int(angle)
    return block


def stack_block(draft: Draft) -> Block:
    """Return the stack block."""
    stack = draft.question.stack
    block: Block = {}
    put(block, "total", draft.total)
    put(block, "minimum", draft.thinnest)
    put(block, "maximum", draft.thickest)
    layers = []
    for layer in stack.layers if stack.gauge is None else ():
        entry: Block = {"material": layer.material}
        put(entry, "thickness", layer.thickness.inches)
        layers.append(entry)
    block["layers"] = layers
    return block


def find_grip_holes(choice: GripChoice, edition: Edition) -> Holes | None:
    """Return the final drill and hole limits of a fastener; None where the tables hold none."""
    row = edition["grip_holes"].find(choice.standard.text("holes"), choice.fraction)
    if row is None:
        return None
    size = find_drill(row.text("drill"), edition)
    assert size is not None, "the loader holds grip_holes.drill to the drill table"  # noqa: S101
    drill = Drill(row.text("drill"), size.number("diameter_in"), row, size)
    return Holes(None, drill, None, row.maybe("minimum_in"), row.maybe("maximum_in"))


def least_hole(holes: Holes, minimum: Fraction) -> Fraction:
    """Return from which hole on none is called too small: the least one, or what the named drill is. [in]

    Two drills are printed a little under their own least hole; a drill cuts larger than it is.
    """
    return min(minimum, holes.final.diameter)


def shank_size(choice: GripChoice, edition: Edition) -> Fraction:
    """Return the diameter that spacing is a multiple of: an oversize shank's own, else the nominal. [in]"""
    row = edition["grip_holes"].find(choice.standard.text("holes"), choice.fraction)
    shank = None if row is None else row.maybe("shank_in")
    return choice.nominal if shank is None else max(shank, choice.nominal)


def grip_spacing(choice: GripChoice, practice: str, edition: Edition) -> Mapping[str, Distance | None]:
    """Return the spacing figures: a rivet's for blind rivets, that of sheet-metal repairs at large for others. [in]"""
    size = shank_size(choice, edition)
    if choice.standard.text("family") == "blind":
        return find_spacing(practice, flush=choice.is_flush, diameter=size, edition=edition)
    return threaded_spacing(practice, size, edition)


def hole_block(draft: Draft, holes: Holes | None, given: Fraction | None, fit: str | None = None) -> Block:
    """Return the hole block: final drill, limits, the hole as given, and the fit in words."""
    block: Block = {"pilot": None, "final": None}
    draft.missing.append("hole.pilot")
    if holes is None:
        draft.missing += ["hole.final", "hole.minimum", "hole.maximum"]
    else:
        final: Block = {"drill": holes.final.name}
        put(final, "diameter", holes.final.diameter)
        block["final"] = final
        draft.ledger.cite(holes.final.row, "hole.final")
        draft.ledger.cite(holes.final.size, "hole.final.diameter")
    low, high = (None, None) if holes is None else (holes.minimum, holes.maximum)
    put(block, "minimum", low)
    put(block, "maximum", high)
    if holes is not None and low is not None:
        draft.ledger.cite(holes.final.row, "hole.minimum", "hole.maximum")
    elif holes is not None:
        draft.missing += ["hole.minimum", "hole.maximum"]
    if given is not None:
        entry: Block = {"text": draft.question.hole}
        put(entry, "diameter", given)
        block["given"] = entry
        tight = holes is not None and low is not None and given < least_hole(holes, low)
        if tight or (high is not None and given > high):
            draft.codes.append("hole-outside-limits")
    block["fit"] = fit or (None if holes is None else holes.final.row.text("fit") or None)
    return block


def spacing_block(draft: Draft) -> Block:
    """Return the spacing block: a rivet's for blind rivets, that of sheet-metal repairs at large for the others."""
    choice, edition = draft.choice, draft.edition
    distances = grip_spacing(choice, draft.practice, edition)
    block: Block = {}
    for name in FIGURES:
        distance = distances.get(name)
        put(block, name, None if distance is None else distance.inches)
        if distance is None:
            draft.missing.append(f"spacing.{name}")
        else:
            draft.ledger.cite(distance.row, f"spacing.{name}")
    return block


def strength_block(
    single_shear: Fraction | None,
    tension: Fraction | None = None,
    basis: str | None = None,
    bearing: Iterable[Block] = (),
) -> Block:
    """Return the strength block; double shear is twice the single. [lbf, N]"""
    block: Block = {}
    loads = {
        "single_shear": single_shear,
        "double_shear": None if single_shear is None else 2 * single_shear,
        "tension": tension,
    }
    for name, pounds in loads.items():
        block[f"{name}_lbf"] = None if pounds is None else half_even(pounds, 0)
        block[f"{name}_n"] = None if pounds is None else half_even(pounds * NEWTONS_PER_POUND, 0)
    return {**block, "temper": None, "basis": basis, "bearing": list(bearing)}


def link(draft: Draft) -> str:
    """Return the path that asks the same again, edition pinned."""
    question, choice = draft.question, draft.choice
    head, alloy = choice.name + ("H" if choice.drilled_head else ""), choice.offered.text("alloy")
    if choice.others:  # the answer names them, which it would not where the standard was asked for
        head, alloy = question.head, question.alloy
    asked = {
        "family": choice.standard.text("family"),
        "diameter": choice.fraction,
        "alloy": alloy,
        "head": head,
        "stack": str(question.stack),
    }
    if question.stack_tolerance.plus.inches or question.stack_tolerance.minus.inches:
        asked["stack_tolerance"] = str(question.stack_tolerance)
    for name in ("hole", "preparation", "nut", "nut_height", "drag"):
        value = getattr(question, name)
        if value is not None:
            asked[name] = str(value)
    asked |= {"practice": draft.practice, "edition": draft.edition.name}
    return "/v1/pick?" + "&".join(f"{name}={quote(value, safe='/')}" for name, value in asked.items())
