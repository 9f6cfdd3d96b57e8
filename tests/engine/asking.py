"""Short ways to put a question, shared by the tests of the engine."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from typing import Any

from bucktail_service.engine.lengths import parse_length, parse_stack, parse_tolerance
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.pick import pick
from bucktail_tables.model import Edition, Row


def ask(
    edition: Edition,
    diameter: str = "1/8",
    alloy: str = "AD",
    head: str = "universal",
    stack: str = "0.040+0.040",
    tolerance: str = "0",
    practice: str = "civil",
    hole: str | None = None,
) -> dict[str, Any]:
    """Return the pick answer to a question in words."""
    return pick(
        PickQuestion(
            parse_length(diameter),
            alloy,
            head,
            parse_stack(stack),
            parse_tolerance(tolerance),
            practice=practice,
            hole=hole,
        ),
        edition,
    )


def a_head_for(alloy: str, edition: Edition) -> str:
    """Return the first head standard that offers *alloy* for first-time use."""
    return next(
        row.text("standard")
        for row in edition["offered"]
        if row.text("alloy") == alloy and not standard(row.text("standard"), edition).flag("repair_only")
    )


def standard(name: str, edition: Edition) -> Row:
    """Return a row of the head standards, which must be there."""
    row = edition["standards"].find(name)
    assert row is not None, name
    return row


def a_stack_for(diameter: str) -> str:
    """Return a stack of two sheets as thick as the rivet is wide together, which every ladder of lengths spans."""
    half = float(Fraction(diameter)) / 2
    return f"{half:.4f}+{half:.4f}"


def figure_at(answer: dict[str, Any], path: str) -> Any:
    """Return what stands at a dotted path of an answer."""
    found: Any = answer
    for name in path.split("."):
        found = found[name]
    return found


def exactly(number: Any) -> Fraction:
    """Return a JSON number as the fraction its digits say."""
    return Fraction(Decimal(repr(number)))


def half_a_digit(printed: str) -> Fraction:
    """Return half a unit of the last printed place; documents print inches with three decimals or more. [in]"""
    places = len(printed.partition(".")[2])
    return min(Fraction(1, 2 * 10**places), Fraction(1, 2000))


def agrees(number: Any, printed: str, within: Fraction | None = None) -> bool:
    """True when *number* rounds to what the document prints."""
    return abs(exactly(number) - Fraction(printed)) <= (half_a_digit(printed) if within is None else within)


def leaves(node: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield every leaf of an answer with its dotted path; list items carry no number."""
    if isinstance(node, dict):
        for name, below in node.items():
            yield from leaves(below, f"{path}.{name}" if path else name)
    elif isinstance(node, list):
        for below in node:
            yield from leaves(below, path)
    else:
        yield path, node
