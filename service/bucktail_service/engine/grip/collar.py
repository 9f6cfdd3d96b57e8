"""What goes on a pin: its collar, how far the pin stands out before, and how tight its hole is.

Tables: collars, pin_protrusions, rules.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import Block, rule_row
from bucktail_service.engine.grip.blocks import Draft
from bucktail_service.engine.grip.choice import GripChoice
from bucktail_service.engine.rounding import put, say
from bucktail_tables.model import Edition, Row

# the rules that say least and most interference, by the ladder of the pin
_RULES: dict[str, tuple[str | None, str | None]] = {
    "swaged-pin": (None, None),
    "lockbolt": ("lockbolt_hole_least", "lockbolt_hole_most"),
    "threaded-pin": (None, "threaded_hole_most"),
}
# what the documents say of a collar beyond its number
_SAID = {"lockbolt": "lockbolt_collar", "threaded-pin": "threaded_counterbore", "swaged-pin": "pin_hole_swaged"}
SWAGED = "swaged-pin"


@dataclass(frozen=True, slots=True)
class Interference:
    """By how much a shank is larger than its hole, and the rows that say so. [in]"""

    least: Fraction | None
    most: Fraction | None
    rows: dict[str, Row]


def interference(standard: Row, edition: Edition) -> Interference:
    """Return the interference limits of a pin; None where no document prints one. [in]"""
    named = zip(("minimum", "maximum"), _RULES[standard.text("ladder")], strict=True)
    rows = {end: rule_row(edition, "rules", rule) for end, rule in named if rule is not None}
    least, most = (rows[end].number("value") if end in rows else None for end in ("minimum", "maximum"))
    return Interference(least, most, rows)


def collar_block(draft: Draft, tight: Interference) -> Block:
    """Return the collar block: collars of the same dash as the pin, the pin's protrusion, the fit of its hole."""
    row = find_collar(draft.choice, draft.edition)
    block: Block = {"number": None, "or_number": None, "text": None}
    if row is None:
        draft.missing.append("collar.number")
    else:
        _put_numbers(block, row, draft)
    _put_text(block, draft)
    _put_protrusion(block, draft)
    for end, value in (("minimum", tight.least), ("maximum", tight.most)):
        put(block, f"interference_{end}", value)
        if value is None:
            draft.missing.append(f"collar.interference_{end}")
        else:
            draft.ledger.cite(tight.rows[end], f"collar.interference_{end}")
    if tight.rows:
        said = dict.fromkeys(row.text(column) for column in ("text", "note") for row in tight.rows.values())
        draft.reasoning.append(f"interference {_span(tight)}: {'; '.join(filter(None, said))}")
    return block


def find_collar(choice: GripChoice, edition: Edition) -> Row | None:
    """Return the row of collars for a pin in its size; None where no document names one with its dashes."""
    pin = choice.standard.text("collar")
    for row in edition["collars"]:
        # a document may name a collar and no dashes: that tells no number
        if row.text("pin") != pin or not row.text("first_dash"):
            continue
        if int(row.text("first_dash")) <= choice.dash <= int(row.text("last_dash")):
            return row
    return None


def _put_numbers(block: Block, row: Row, draft: Draft) -> None:
    dash = draft.choice.dash
    block["number"] = f"{row.text('collar')}-{dash}"
    block["or_number"] = f"{row.text('or_collar')}-{dash}" if row.text("or_collar") else None
    block["text"] = row.text("text") or None
    named = " or ".join(number for number in (block["number"], block["or_number"]) if number)
    draft.reasoning.append(f"collar {named}: the dash of the pin")
    draft.ledger.cite(row, "collar.number", "collar.or_number")


def _put_text(block: Block, draft: Draft) -> None:
    said = _SAID.get(draft.choice.standard.text("ladder"))
    if said is None:
        return
    rule = rule_row(draft.edition, "rules", said)
    value = rule.maybe("value")
    block["text"] = rule.text("text") if value is None else f"{rule.text('text')}: {say(value)} in"
    draft.ledger.cite(rule, "collar.text")


def _put_protrusion(block: Block, draft: Draft) -> None:
    """Put down how far the pin stands out of the sheet before its collar goes on, as far as a document says it."""
    choice, edition = draft.choice, draft.edition
    row = edition["pin_protrusions"].find(choice.name, choice.fraction)
    limits: dict[str, Fraction | None] = dict.fromkeys(("minimum", "maximum"))
    if row is not None:
        limits = {end: row.number(f"{end}_in") for end in limits}
    elif choice.standard.text("ladder") == SWAGED:
        # a number counts the most stack: the straight shank stands out by what the stack is under it
        row = rule_row(edition, "grip_ladders", SWAGED)
        limits = {"minimum": Fraction(0), "maximum": row.number("below_in")}
    for end, value in limits.items():
        put(block, f"protrusion_{end}", value)
        if row is None:
            draft.missing.append(f"collar.protrusion_{end}")
        else:
            draft.ledger.cite(row, f"collar.protrusion_{end}")
    low, high = limits["minimum"], limits["maximum"]
    if row is not None and low is not None and high is not None:
        span = f"{say(low)} to {say(high)} in"
        draft.reasoning.append(f"before its collar goes on, the pin stands out of the sheet {span} ({row.basis})")


def _span(tight: Interference) -> str:
    if tight.least is None or tight.most is None:
        return f"up to {say(tight.least or tight.most or Fraction(0))} in"
    if tight.least == tight.most:
        return f"{say(tight.most)} in"
    return f"{say(tight.least)} to {say(tight.most)} in"
