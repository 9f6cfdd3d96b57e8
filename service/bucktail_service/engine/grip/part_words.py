"""A number of a blind rivet, a bolt or a pin in words: its fields, and what they are easily taken for."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.grip.blocks import Draft
from bucktail_service.engine.grip.bolt_numbers import HEAD_DRILLED, SHANK_PLAIN
from bucktail_service.engine.grip.collar import find_collar
from bucktail_service.engine.grip.ladder import BoltGrip, find_dash
from bucktail_service.engine.grip.ranges import SIXTEENTH, GripRange, begins
from bucktail_service.engine.grip.reading import GripDesignation
from bucktail_service.engine.grip.written import AN_BOLT, format_number_of, good_grip
from bucktail_service.engine.lengths import format_fraction
from bucktail_service.engine.rounding import say

_UNTOLD = "not in the tables"
# bolts of one diameter: the AN series by sixteenths, to hold its dashes against those of NAS bolts
_AN = "AN"
_NAS62 = "NAS62"
_THOUSANDTH = Fraction(1, 1000)

Held = BoltGrip | GripRange | None


def tell_fields(found: GripDesignation, held: Held) -> list[Block]:
    """Return the fields of a number from left to right with their meaning."""
    form = found.standard.text("number_format")
    if form == AN_BOLT:
        told = _an_fields(found, held)
    elif found.standard.text("family") == "bolt":
        told = _nas_fields(found, held)
    else:
        told = _grip_fields(found, held)
    return [{"text": text, "meaning": meaning} for text, meaning in told]


def _kind(found: GripDesignation) -> str:
    style = found.standard.text("head_style")
    kind = found.standard.text("kind")
    return kind if style == _UNTOLD else f"{kind}, {style} head"


def _size(found: GripDesignation) -> str:
    unit = 16 if found.standard.text("family") == "bolt" else 32
    fraction = found.choice.fraction
    said = f"{found.choice.dash}/{unit}"
    return f"diameter {fraction} in" if said == fraction else f"diameter {said} = {fraction} in"


def _material(found: GripDesignation) -> tuple[str, str]:
    offered = found.choice.offered
    letters, stem = offered.text("letters"), offered.text("stem")
    name = f"{offered.text('name')} sleeve, {stem} stem" if stem else offered.text("name")
    return letters, name if letters else f"no letters: {name}"


def _an_fields(found: GripDesignation, held: Held) -> Iterator[tuple[str, str]]:
    yield found.choice.name, f"{_kind(found)}, {_size(found)}"
    yield _material(found)
    if found.choice.drilled_head:
        yield HEAD_DRILLED, "head drilled for lockwire"
    if isinstance(held, BoltGrip):
        yield held.dash, f"length, counted {_inches_and_eighths(held.dash)}: {_by_the_table(held)}"
        if found.drilled_shank:
            yield "", f"no {SHANK_PLAIN}: shank drilled for a cotter pin"
        else:
            yield SHANK_PLAIN, "shank not drilled for a cotter pin"


def _inches_and_eighths(dash: str) -> str:
    inches, eighths = divmod(int(dash), 10)
    return f"{inches} in and {eighths}/8" if inches else f"{eighths}/8 in"


def _by_the_table(held: BoltGrip) -> str:
    long = "" if held.length is None else f"{say(held.length)} in under the head, "
    return f"by the dash table {long}grip {say(held.grip)} in"


def _nas_fields(found: GripDesignation, held: Held) -> Iterator[tuple[str, str]]:
    name = found.choice.name
    if found.standard.text("number_format") == "nas464":
        yield name, _kind(found)
        yield _material(found)
        yield str(found.choice.dash), _size(found)
    else:
        yield name, f"{_kind(found)}, {_size(found)}"
        yield _material(found)
    if isinstance(held, BoltGrip):
        yield held.dash, f"grip {_sixteenths(int(held.dash))}"


def _grip_fields(found: GripDesignation, held: Held) -> Iterator[tuple[str, str]]:
    form, dash = found.standard.text("number_format"), str(found.choice.dash)
    letters, material = _material(found)
    padded = form == "letters-diameter-padded"
    if form == "two-digit":
        yield "", f"{_kind(found)}; its material is {found.choice.offered.text('name')}"
    else:
        yield found.choice.name, _kind(found)
        yield letters, material
    yield dash.zfill(2) if padded else dash, _size(found)
    if isinstance(held, GripRange):
        number = str(held.number)
        holds = f"stacks {begins(held)} up to {say(held.maximum)} in"
        yield number.zfill(2) if padded else number, f"maximum grip {_sixteenths(held.number)}: {holds}"


def _sixteenths(number: int) -> str:
    inches = format_fraction(number * SIXTEENTH)
    return f"{inches} in" if inches == f"{number}/16" else f"{number}/16 = {inches} in"


def tell_notes(found: GripDesignation, held: Held, draft: Draft) -> list[str]:
    """Return what the number is easily taken for, and what goes with it; their sources go into the draft."""
    if held is None:
        return [_stem_note(found, draft)]
    form = found.standard.text("number_format")
    if isinstance(held, GripRange):
        notes = _two_digit_notes(found) if form == "two-digit" else _most_notes(found, held)
        return [*notes, *_pin_notes(draft)]
    return list(_an_notes(found, held, draft) if form == AN_BOLT else _nas_notes(found, held, draft))


def _stem_note(found: GripDesignation, draft: Draft) -> str:
    number = format_number_of(found.choice, good_grip(found.choice, draft.edition))
    what = "dash" if found.standard.text("number_format") == AN_BOLT else "grip"
    return f"no {what}: this is the stem of a number; {number} is one with its {what}"


def _two_digit_notes(found: GripDesignation) -> Iterator[str]:
    dash, grip = found.choice.dash, found.grip
    yield f"{found.written_as} is {dash} and {grip}: diameter {dash}/32 by maximum grip {grip}/16 in"
    yield "such a number names neither a standard nor a material"


def _most_notes(found: GripDesignation, held: GripRange) -> Iterator[str]:
    grip = found.written_as.rpartition("-")[2]
    yield (
        f"-{grip} is the most grip in sixteenths, not a length: a stack of just {say(held.maximum)} in belongs to it, "
        f"a thicker one to the next number"
    )


def _pin_notes(draft: Draft) -> Iterator[str]:
    choice, edition = draft.choice, draft.edition
    if choice.standard.text("family") != "pin":
        return
    row = find_collar(choice, edition)
    if row is not None:
        names = [f"{row.text(name)}-{choice.dash}" for name in ("collar", "or_collar") if row.text(name)]
        yield f"its collar is a part of its own: {' or '.join(names)}, the dash of the pin"
        draft.ledger.cite(row, "notes")
    for said, name in (("use", "pin_grip_least"), ("hole", "pin_chamfer")):
        rule = rule_row(edition, "rules", name)
        yield f"{said}: {rule.text('text')}"
        draft.ledger.cite(rule, "notes")


def _an_notes(found: GripDesignation, held: BoltGrip, draft: Draft) -> Iterator[str]:
    choice, dash = found.choice, held.dash
    yield f"-{dash} counts overall length, {_inches_and_eighths(dash)}; it is no grip in sixteenths: {_rival(held)}"
    if found.drilled_shank:
        plain = format_number_of(choice, dash, drilled_shank=False)
        yield f"without an A the shank is drilled for a cotter pin; {plain} is the one that is not"
    else:
        drilled = format_number_of(choice, dash, drilled_shank=True)
        yield f"the A says that the shank is not drilled for a cotter pin; {drilled} is the one that is"
    if held.same:
        alike = sorted((dash, *held.same), key=int)
        yield f"{' and '.join(f'{choice.name}-{other}' for other in alike)} share this grip and differ in length"
    if held.row is not None and held.row.text("note"):
        yield f"-{dash}: {held.row.text('note')}"
    yield from _other_series(found, _NAS62, draft)


def _rival(held: BoltGrip) -> str:
    """Return what the dash would be as a grip in sixteenths, as some pages take it, against the printed grip."""
    rival = int(held.dash) * SIXTEENTH
    printed = f"the dash table, whose grip is {say(held.grip)} in"
    # the table prints three decimals: 0.563 is 9/16
    if abs(rival - held.grip) < _THOUSANDTH:
        return f"only by chance does {_sixteenths(int(held.dash))} agree with {printed}"
    return f"{_sixteenths(int(held.dash))} contradicts {printed}"


def _nas_notes(found: GripDesignation, held: BoltGrip, draft: Draft) -> Iterator[str]:
    ladder = draft.edition["grip_ladders"].by_key[(found.standard.text("ladder"),)]
    even_over = ladder.text("even_over")
    beyond = f"; over {even_over} such numbers are even" if even_over else ""
    yield f"-{held.dash} counts grip in sixteenths, not length{beyond}"
    yield from _other_series(found, _AN, draft)


def _other_series(found: GripDesignation, series: str, draft: Draft) -> Iterator[str]:
    """Say what the same dash is in the other series of the same diameter, where that has it."""
    size = int(found.choice.nominal / Fraction(1, 16))
    other = f"AN{size}" if series == _AN else f"{series}{size:02d}"
    standard = draft.edition["grip_standards"].find(other)
    if standard is None or standard.text("missing") or found.grip is None:
        return
    bolt = find_dash(standard, found.grip, draft.edition)
    if bolt is None:
        return
    counts = "length" if series == _AN else "grip in sixteenths"
    yield f"{other}-{bolt.dash} is another bolt: its dash counts {counts}, its grip is {say(bolt.grip)} in"
    if bolt.row is not None:
        draft.ledger.cite(bolt.row, "notes")
