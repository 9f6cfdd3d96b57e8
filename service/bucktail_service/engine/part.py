"""The part answer: what a part number says, field by field, and what it is easily taken for."""

from __future__ import annotations

from fractions import Fraction
from typing import Any
from urllib.parse import quote

from bucktail_service.engine.blocks import (
    Block,
    alloy_block,
    cite_mass,
    diameter_block,
    edition_block,
    head_block,
    strength_block,
)
from bucktail_service.engine.cautions import ALWAYS, caution_list, material_codes
from bucktail_service.engine.designation import Designation, format_number, parse_number
from bucktail_service.engine.facts import standard_codes
from bucktail_service.engine.holes import find_holes
from bucktail_service.engine.length import SIXTEENTH
from bucktail_service.engine.lengths import format_fraction
from bucktail_service.engine.mass import mass_rule
from bucktail_service.engine.rounding import put
from bucktail_service.engine.sources import Ledger
from bucktail_service.engine.standards import Choice
from bucktail_tables.model import Edition, Row


def part(number: str, edition: Edition) -> Block:
    """Return what a solid rivet's part number means; a stem without length is read too.

    Raises:
        NotTabulated: The edition cannot read the number; the detail explains the likely misreading.
    """
    found = parse_number(number, edition)
    choice = Choice(found.standard, found.offered, found.material, found.alias)
    size = found.diameter.number("nominal_in")
    fraction = found.diameter.text("fraction")
    head_row = edition["manufactured_heads"].find(found.standard.text("standard"), fraction)
    ledger, missing = Ledger(), list[str]()
    blocks = {
        "diameter": diameter_block(found.diameter, ledger),
        "alloy": alloy_block(found.material, ledger),
        "head": head_block(choice, head_row, ledger, missing),
    }
    ladder_row = edition["lengths"].find(fraction)
    length = _length(found, head_row, choice, edition, ledger)
    strength = strength_block(found.material, fraction, find_holes(fraction, edition), edition, ledger, missing)
    rule = mass_rule(found.material, head_row, size, edition)
    cite_mass(rule, edition, choice, ledger, missing)
    inches = None if found.sixteenths is None else found.sixteenths * SIXTEENTH
    weight: Block = {"each_g": None, "pieces_per_lb": None}
    if rule is not None and inches is not None:
        weight = {"each_g": rule.each_g(inches), "pieces_per_lb": rule.pieces_per_lb(inches)}
    codes = [*ALWAYS, *standard_codes(found.standard, found.alias), *material_codes(found.material, size, edition)]
    codes += ["edition-draft"] if edition.is_draft else []
    codes += ["no-figure"] if missing else []
    codes += ["not-published"] if ledger.rests_on_doubt() else []
    codes += ["half-size"] if found.dash is not None and found.dash.endswith(".5") else []
    return {
        "part_number": found.part_number,
        "written_as": found.written_as,
        "family": "solid",
        "standard": found.standard.text("standard"),
        "supersedes": _superseded(found, edition),
        "replaced_by": found.standard.text("replaced_by") or None,
        "same_as": _same_as(found, edition),
        "fields": _fields(found),
        **blocks,
        "length": length,
        "grip": None,
        "strength": strength,
        "mass": weight,
        "notes": _notes(found, ladder_row),
        "cautions": caution_list(codes, edition, missing),
        "sources": ledger.as_list(),
        "edition": edition_block(edition),
        "link": f"/v1/parts/{quote(found.written_as)}?edition={edition.name}",
    }


def _length(found: Designation, head_row: Row | None, choice: Choice, edition: Edition, ledger: Ledger) -> Block | None:
    if found.sixteenths is None:
        return None
    counts = found.standard.text("length_counts")
    block: Block = {"dash": found.dash, "counts": counts}
    put(block, "length", found.sixteenths * SIXTEENTH)
    shank = found.sixteenths * SIXTEENTH
    if choice.is_flush:
        shank = shank - head_row.number("height_in") if head_row is not None else Fraction(0)
    put(block, "shank", shank if shank > 0 else None)
    for name in ("length_code", f"length_counts_{counts}"):
        row = edition["rules"].find(name)
        if row is not None:
            ledger.cite(row, "length")
    return block


def _superseded(found: Designation, edition: Edition) -> list[str]:
    standard = found.standard.text("standard")
    rows = (row for row in edition["aliases"] if row.text("relation") == "superseded")
    return [row.text("alias") for row in rows if row.text("standard") == standard]


def _same_as(found: Designation, edition: Edition) -> list[Block]:
    """Return the other numbers of the same part, the current standard first."""
    dash = found.diameter.text("dash")
    numbers = [(format_number(found.offered, dash, found.dash), "current standard")]
    numbers += [
        (format_number(found.offered, dash, found.dash, row.text("alias")), row.text("relation"))
        for row in edition["aliases"]
        if row.text("standard") == found.standard.text("standard")
    ]
    return [{"number": number, "relation": relation} for number, relation in numbers if number != found.written_as]


def _fields(found: Designation) -> list[Block]:
    """Return the number's fields from left to right with their meaning."""
    standard = found.standard
    letters = found.offered.text("letters")
    dash = found.diameter.text("dash")
    named = standard.text("standard") if found.alias is None else found.alias.text("alias")
    style = standard.text("head_style")
    head = style if style.endswith("head") else f"{style} head"
    if found.alias is not None:
        word = "superseded by" if found.alias.text("relation") == "superseded" else "the same part as"
        head += f"; {word} {standard.text('standard')}"
    material = f"alloy {found.material.text('name')}, head mark: {found.material.text('head_mark')}"
    fraction = found.diameter.text("fraction")
    size = f"diameter {fraction} in" if fraction == f"{dash}/32" else f"diameter {dash}/32 = {fraction} in"
    parts: list[Any] = [(named, head), (dash, size)]
    at = 2 if found.offered.text("number_format") == "diameter-letters" else 1
    parts.insert(at, (letters, material if letters else f"no letters: {material}"))
    if found.dash is not None:
        inches = format_fraction(Fraction(found.dash) * SIXTEENTH)
        half = ", a half size" if found.dash.endswith(".5") else ""
        counts = "overall, head included" if standard.text("length_counts") == "overall" else "under the head"
        parts.append((found.dash, f"length {found.dash}/16 = {inches} in {counts}{half}"))
    return [{"text": text, "meaning": meaning} for text, meaning in parts]


def _notes(found: Designation, ladder: Row | None) -> list[str]:
    """Return what the number is easily taken for."""
    notes = []
    dash, diameter = found.dash, found.diameter.text("dash")
    if dash is None:
        return [f"no length: this is the stem of a number; add -4 for {format_fraction(4 * SIXTEENTH)} in"]
    if dash.endswith(".5"):
        notes.append(f"{dash} is {dash[:-2]} and a half sixteenths: the .5 adds 1/32 in to -{dash[:-2]}")
    elif len(dash) > 1 and dash.endswith("5"):
        half = f"{dash[:-1]}.5"
        notes.append(f"{dash} counts whole sixteenths; {dash[:-1]} and a half sixteenths would be written {half}")
    elif found.offered.text("number_format") == "letters-diameter":
        notes.append(f"{diameter}-{dash} is diameter and length, {diameter}/32 by {dash}/16 in; it is not a half size")
    if ladder is not None and not ladder.number("shortest_dash") <= Fraction(dash) <= ladder.number("longest_dash"):
        listed = f"-{ladder.text('shortest_dash')} to -{ladder.text('longest_dash')}"
        notes.append(
            f"-{dash} is not among the lengths of this edition, {listed}; the standard lets unlisted ones follow"
        )
    return notes
