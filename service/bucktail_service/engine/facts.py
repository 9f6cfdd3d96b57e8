"""Everything about one rivet that no stack can change, worked out once per rivet, practice and edition."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from bucktail_service.engine import formed_head, mass
from bucktail_service.engine.blocks import (
    Block,
    alloy_block,
    cite_mass,
    diameter_block,
    head_block,
    hole_block,
    limit_block,
    rule_row,
    spacing_block,
    strength_block,
)
from bucktail_service.engine.cautions import ALWAYS, material_codes
from bucktail_service.engine.errors import BadQuestion, NotTabulated
from bucktail_service.engine.holes import Holes, find_holes
from bucktail_service.engine.length import Ladder, Protrusion, ladder, protrusion
from bucktail_service.engine.lengths import Length
from bucktail_service.engine.sizes import find_diameter
from bucktail_service.engine.sources import Ledger
from bucktail_service.engine.spacing import Distance, find_spacing
from bucktail_service.engine.standards import Choice, choose_standard
from bucktail_tables.model import Edition, Row

PREDICTIONS = ("diameter", "height", "diameter_minimum", "diameter_maximum")


@dataclass(frozen=True, slots=True, eq=False)
class Facts:
    """Everything about one rivet that no stack can change. Compared by identity: there is one per rivet."""

    practice: str
    edition: Edition
    choice: Choice
    diameter: Row
    size: Fraction
    head_row: Row | None
    holes: Holes
    window: Protrusion
    lengths: Ladder
    limits: dict[str, formed_head.Limit | None]
    distances: dict[str, Distance | None]
    mass: mass.MassRule | None
    predicts: bool
    sheet_minimum: Fraction | None
    blocks: dict[str, Block]
    missing: tuple[str, ...]
    codes: tuple[str, ...]
    sources: tuple[Block, ...]
    link: str

    @property
    def head_height(self) -> Fraction | None:
        """Height of the manufactured head, None where it is not tabulated. [in]"""
        return None if self.head_row is None else self.head_row.number("height_in")


def default_practice(edition: Edition) -> str:
    """Return the practice that rules when none is asked for."""
    return next(row.text("practice") for row in edition["practices"] if row.flag("default"))


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
        raise NotTabulated("head", f"{name} is a repair rivet: no holes or spacing for it in this edition", "MS20470")
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
    distances = find_spacing(practice, flush=choice.is_flush, diameter=size, edition=edition)
    rule = mass.mass_rule(choice.material, head_row, size, edition)
    blocks = {
        "diameter": diameter_block(row, ledger),
        "alloy": alloy_block(choice.material, ledger),
        "head": head_block(choice, head_row, ledger, missing),
        "hole": hole_block(holes, ledger, missing),
        "spacing": spacing_block(distances, ledger, missing),
        "formed_head": limit_block(limits, ledger, missing),
        "strength": strength_block(choice.material, fraction, holes, edition, ledger, missing),
    }
    if window.maximum is None:
        missing.append("length.protrusion_maximum")
    predicts = head_row is not None or not choice.is_flush  # without its cone a flush shank's volume is unknown
    if not predicts:
        missing += [f"formed_head.predicted_{name}" for name in PREDICTIONS]
    _cite_length(edition, window, lengths_row, choice, ledger)
    cite_mass(rule, edition, choice, ledger, missing)
    sheet = edition["countersinks"].find(practice, choice.standard.text("head"), fraction)
    return Facts(
        practice,
        edition,
        choice,
        row,
        size,
        head_row,
        holes,
        window,
        ladder(lengths_row),
        limits,
        distances,
        rule,
        predicts,
        None if sheet is None else sheet.number("sheet_minimum_in"),
        blocks,
        tuple(missing),
        tuple(_fixed_codes(choice, size, limits, missing, ledger, edition)),
        tuple(ledger.as_list()),
        _link_to(choice, fraction),
    )


def _link_to(choice: Choice, fraction: str) -> str:
    """Return the beginning of the path that asks for the rivet, up to its stack."""
    head = choice.standard.text("standard") if choice.alias is None else choice.alias.text("alias")
    return f"/v1/pick?diameter={fraction}&alloy={choice.material.text('alloy')}&head={head}&stack="


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


def _cite_length(edition: Edition, window: Protrusion, lengths: Row, choice: Choice, ledger: Ledger) -> None:
    ledger.cite(lengths, "length.length", "length.dash", "length.alternatives")
    ledger.cite(window.rows["preferred"], "length.ideal", "length.protrusion")
    for end in ("minimum", "maximum"):
        if end in window.rows:
            ledger.cite(window.rows[end], f"length.protrusion_{end}")
    ledger.cite(rule_row(edition, "rules", f"length_counts_{choice.standard.text('length_counts')}"), "length.counts")
    ledger.cite(
        rule_row(edition, "rules", "formed_head_volume"),
        *(f"formed_head.predicted_{name}" for name in PREDICTIONS),
    )
