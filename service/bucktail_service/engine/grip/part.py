"""The part answer for blind rivets, bolts and pins: what a number says, field by field, in a solid rivet's shape.

Tables: grip_standards, grip_offered, grip_ladders, grip_ranges, bolt_grips, bolt_series, grip_strength, grip_heads.
"""

from __future__ import annotations

from urllib.parse import quote

from bucktail_service.engine.blocks import Block, edition_block, rule_row
from bucktail_service.engine.cautions import ALWAYS, caution_list
from bucktail_service.engine.facts import default_practice
from bucktail_service.engine.grip.blind import blind_strength
from bucktail_service.engine.grip.blocks import (
    Draft,
    alloy_block,
    diameter_block,
    find_grip_holes,
    head_block,
    strength_block,
)
from bucktail_service.engine.grip.bolt import SIXTEENTHS
from bucktail_service.engine.grip.bolt_strength import cite_strength, find_strength
from bucktail_service.engine.grip.choice import GripChoice
from bucktail_service.engine.grip.flush import head_diameter
from bucktail_service.engine.grip.held import grip_block as range_block
from bucktail_service.engine.grip.ladder import BoltGrip, find_dash
from bucktail_service.engine.grip.ladder import grip_block as bolt_block
from bucktail_service.engine.grip.part_words import tell_fields, tell_notes
from bucktail_service.engine.grip.pin import pin_strength
from bucktail_service.engine.grip.ranges import GripRange, find_ladder
from bucktail_service.engine.grip.reading import GripDesignation, parse_grip_number
from bucktail_service.engine.lengths import Length, Stack
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.rounding import put, say
from bucktail_tables.model import Edition, Row

_SUPERSEDED = "superseded_"


def part_by_grip(number: str, edition: Edition) -> Block:
    """Return what the part number of a blind rivet, a bolt or a pin means; a stem without grip is read too.

    Raises:
        NotTabulated: The edition cannot read the number, or lacks the data of its standard; the detail says why.
    """
    found = parse_grip_number(number, edition)
    draft = _begin(found.choice, edition)
    held = _find_grip(found, edition)
    head = head_block(found.choice, head_diameter(draft))
    draft.missing += [f"head.{name}" for name in ("diameter", "height") if head[f"{name}_in"] is None]
    blocks: Block = {
        "diameter": diameter_block(found.choice),
        "alloy": alloy_block(found.choice.offered),
        "head": head,
        "length": _length(draft, held),
        "grip": _grip(draft, held),
        "strength": _strength(draft),
        "mass": {"each_g": None, "pieces_per_lb": None},
    }
    draft.missing += ["mass.each", "mass.pieces_per_lb"]
    _caution(draft, held)
    notes = [*tell_notes(found, held, draft), *draft.reasoning]
    return _finish(found, draft, blocks, tell_fields(found, held), notes)


def _begin(choice: GripChoice, edition: Edition) -> Draft:
    """Return the beginnings of an answer, of a question whose stack was not said."""
    length = Length(choice.nominal, choice.fraction)
    asked = PickQuestion(length, choice.offered.text("alloy"), choice.name, Stack(()))
    draft = Draft(asked, choice, default_practice(edition), edition)
    draft.ledger.cite(choice.standard, "standard", "head.name", "head.cone_angle_deg")
    draft.ledger.cite(choice.offered, "part_number", "alloy")
    draft.ledger.cite(choice.size_row or choice.standard, "diameter")
    return draft


def _find_grip(found: GripDesignation, edition: Edition) -> BoltGrip | GripRange | None:
    """Return what the number's grip holds; None for a stem."""
    if found.grip is None:
        return None
    standard = found.standard
    if standard.text("family") == "bolt":
        return find_dash(standard, found.grip, edition)
    return find_ladder(standard.text("ladder"), found.choice.dash, edition).number(int(found.grip))


def _grip(draft: Draft, held: BoltGrip | GripRange | None) -> Block | None:
    """Return the grip block, as a pick fills it; None for a stem."""
    choice, edition = draft.choice, draft.edition
    if held is None:
        return None
    if isinstance(held, BoltGrip):
        row = edition["grip_ladders"].by_key[(choice.standard.text("ladder"),)]
        draft.ledger.cite(row, "grip.dash", "grip.counts")
        draft.ledger.cite(held.row or row, "grip.length", "grip.minimum", "grip.maximum")
        if row.text("ladder") == SIXTEENTHS:
            draft.codes.append("grip-unverified")
        return bolt_block(choice.standard, held, list(held.same))
    ladder = find_ladder(choice.standard.text("ladder"), choice.dash, edition)
    draft.ledger.cite(ladder.row, "grip.dash", "grip.counts")
    draft.ledger.cite(held.row, "grip.minimum", "grip.maximum")
    if ladder.is_ruled and ladder.counts_most:
        draft.ledger.cite(rule_row(edition, "rules", "grip_upper_bound"), "grip.maximum")
    if ladder.row.basis == "memory":
        draft.codes.append("grip-unverified")
    return range_block(held, ladder.counts_most)


def _length(draft: Draft, held: BoltGrip | GripRange | None) -> Block | None:
    """Return the length under the head where a document prints it or its thread's; None elsewhere."""
    if held is None:
        return None
    if isinstance(held, BoltGrip):
        dash, length = held.dash, held.length
        row = held.row or draft.edition["bolt_series"].find(draft.choice.name)
        if length is None:
            draft.missing.append("length.length")
    else:
        dash, row = str(held.number), held.row
        length = row.maybe("length_in") if row.table == "grip_ranges" else None
    if length is None or row is None:
        return None
    draft.ledger.cite(row, "length.length", "length.shank")
    block: Block = {"dash": dash, "counts": "under-head"}
    put(block, "length", length)
    put(block, "shank", length)
    return block


def _strength(draft: Draft) -> Block:
    """Return the strength block, as a pick fills it for a stack whose layers are not named."""
    family = draft.choice.standard.text("family")
    if family == "blind":
        return blind_strength(draft, find_grip_holes(draft.choice, draft.edition))
    if family == "pin":
        return pin_strength(draft)
    strength = find_strength(draft)
    cite_strength(draft, strength)
    if strength is None:
        return strength_block(None)
    return strength_block(strength.single_shear, strength.tension, strength.basis)


def _caution(draft: Draft, held: BoltGrip | GripRange | None) -> None:
    """Write down the cautions of the fastener itself."""
    family = draft.choice.standard.text("family")
    if family == "blind":
        _caution_blind(draft, held)
    elif family == "bolt":
        _caution_bolt(draft)
    else:
        _caution_pin(draft, held)


def _caution_blind(draft: Draft, held: BoltGrip | GripRange | None) -> None:
    choice = draft.choice
    draft.codes += ["blind-limits", "blind-clearance"]
    if choice.standard.text("use") == "not-for-aircraft":
        draft.codes.append("not-for-aircraft")
    if choice.is_flush and held is not None:
        draft.codes.append("preparation-unsaid")
    oversize = draft.edition["grip_holes"].find("locked-oversize", choice.fraction)
    if choice.standard.text("holes") == "locked-oversize" and oversize is not None:
        draft.codes.append("oversize-shank")
        draft.told["oversize-shank"] = f"{say(oversize.number('shank_in'))} against {say(choice.nominal)} in"


def _caution_bolt(draft: Draft) -> None:
    choice = draft.choice
    draft.codes.append("bolt-step")
    floor = "bolt_floor_aluminium" if choice.offered.text("material") == "2024" else "bolt_floor_steel"
    if choice.nominal < rule_row(draft.edition, "rules", floor).number("value"):
        draft.codes.append("bolt-too-small")
    if choice.standard.text("holes") == "close-tolerance":
        draft.codes.append("close-tolerance")


def _caution_pin(draft: Draft, held: BoltGrip | GripRange | None) -> None:
    """Write down what a swaged pin carries, and a grip that is short for its shank."""
    choice = draft.choice
    if choice.standard.text("ladder") != "swaged-pin":
        return
    draft.codes.append("pin-shear-only")
    least = rule_row(draft.edition, "rules", "pin_grip_least").number("value") * choice.nominal
    if isinstance(held, GripRange) and held.maximum < least:
        draft.codes.append("pin-grip-short")
        draft.told["pin-grip-short"] = f"at most {say(held.maximum)} against {say(least)} in"


def _finish(found: GripDesignation, draft: Draft, blocks: Block, fields: list[Block], notes: list[str]) -> Block:
    """Return the whole answer."""
    edition, name = draft.edition, found.choice.name
    current = edition["rules"].find(_SUPERSEDED + name)
    earlier = [row for row in edition["rules"] if row.text("rule").startswith(_SUPERSEDED) and _by(row) == name]
    if current is not None:
        draft.codes.append("superseded-number")
        draft.told["superseded-number"] = current.text("text")
        draft.ledger.cite(current, "replaced_by", "same_as")
    for row in earlier:
        draft.ledger.cite(row, "supersedes", "same_as")
    codes = [*draft.codes, *ALWAYS]
    codes += ["edition-draft"] if edition.is_draft else []
    codes += ["no-figure"] if draft.missing else []
    codes += ["not-published"] if draft.ledger.rests_on_doubt() else []
    return {
        "part_number": found.written_as,
        "written_as": found.written_as,
        "family": found.standard.text("family"),
        "standard": name,
        "supersedes": [_superseded(row) for row in earlier],
        "replaced_by": None if current is None else _by(current),
        "same_as": _same_as(found, current, earlier),
        "fields": fields,
        **blocks,
        "notes": notes,
        "cautions": caution_list(codes, edition, dict.fromkeys(draft.missing), draft.told),
        "sources": draft.ledger.as_list(),
        "edition": edition_block(edition),
        "link": f"/v1/parts/{quote(found.written_as)}?edition={edition.name}",
    }


def _superseded(rule: Row) -> str:
    return rule.text("rule").removeprefix(_SUPERSEDED)


def _by(rule: Row) -> str:
    """Return the standard that a rule says supersedes another: `NAS178 is superseded by NAS1054`."""
    return rule.text("text").rpartition(" ")[2]


def _same_as(found: GripDesignation, current: Row | None, earlier: list[Row]) -> list[Block]:
    """Return the other numbers of the same part, whose dashes are the same, the current standard first."""
    others = [] if current is None else [(_by(current), "current standard")]
    others += [(_superseded(row), "superseded") for row in earlier]
    fields = found.written_as.removeprefix(found.choice.name)
    return [{"number": name + fields, "relation": relation} for name, relation in others]
