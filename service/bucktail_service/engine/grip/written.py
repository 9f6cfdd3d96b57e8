"""Numbers and stems of fasteners chosen by grip, written from what was chosen, and a good one of each standard."""

from __future__ import annotations

from bucktail_service.engine.grip.bolt_numbers import HEAD_DRILLED, HYPHEN, format_bolt_number
from bucktail_service.engine.grip.choice import GripChoice, sizes
from bucktail_service.engine.grip.ladder import bolt_ladder
from bucktail_service.engine.grip.numbers import format_grip_number
from bucktail_service.engine.grip.ranges import find_ladder
from bucktail_tables.model import Edition, Row

AN_BOLT = "an-bolt"
# a usual grip, of AN bolts a usual dash
_GOOD_GRIP = {"blind": "4", "bolt": "10", "pin": "8"}


def format_number_of(choice: GripChoice, grip: str, *, drilled_shank: bool = False) -> str:
    """Return the number of a choice with a grip, of AN bolts with a dash; they alone tell a drilled shank."""
    standard, letters = choice.standard, choice.offered.text("letters")
    if standard.text("family") != "bolt":
        return format_grip_number(standard, letters, choice.dash, grip)
    return format_bolt_number(
        standard,
        letters,
        grip,
        drilled_head=choice.drilled_head,
        drilled_shank=drilled_shank,
        diameter=choice.dash,
    )


def format_stem(choice: GripChoice) -> str:
    """Return the number of a choice without its grip."""
    standard, letters = choice.standard, choice.offered.text("letters")
    if standard.text("family") != "bolt":
        return format_grip_number(standard, letters, choice.dash, None)
    if standard.text("number_format") == "nas464":
        return f"{standard.text('standard')}{HYPHEN}{choice.dash}"
    return f"{standard.text('standard')}{letters}{HEAD_DRILLED if choice.drilled_head else ''}"


def good_number_of(standard: Row, edition: Edition) -> str:
    """Return a number of a standard that can be read, of its second size where it has one."""
    offered = next(row for row in edition["grip_offered"] if row.text("offers") == standard.text("offers"))
    found = sizes(standard, edition)
    size = found[min(1, len(found) - 1)]
    choice = GripChoice(standard, offered, size.dash, size.fraction, size.nominal)
    return format_number_of(choice, good_grip(choice, edition))


def good_grip(choice: GripChoice, edition: Edition) -> str:
    """Return a usual grip of a choice, or of AN bolts a dash; where a chart does not print it, its second one."""
    usual, known = _GOOD_GRIP[choice.standard.text("family")], grips(choice, edition)
    return usual if usual in known else known[1]


def good_number(family: str, edition: Edition) -> str:
    """Return a number of a family that can be read."""
    rows = (row for row in edition["grip_standards"] if row.text("family") == family and not row.text("missing"))
    return good_number_of(next(rows), edition)


def grips(choice: GripChoice, edition: Edition) -> list[str]:
    """Return every grip number of a standard in a size, or of AN bolts every dash, smallest first."""
    standard = choice.standard
    if standard.text("family") == "bolt":
        dashes = [dash for bolt in bolt_ladder(standard, edition) for dash in (*bolt.same, bolt.dash)]
        return sorted(dashes, key=int)
    return [str(entry.number) for entry in find_ladder(standard.text("ladder"), choice.dash, edition).ranges]
