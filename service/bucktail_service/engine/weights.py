"""What pieces of fasteners weigh together. Tables: those of `mass`, offered, standards."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.balance_words import PIECES_EXAMPLE, Piece
from bucktail_service.engine.designation import parse_number
from bucktail_service.engine.errors import BadQuestion, NoAnswer, NotTabulated, OutsideTable
from bucktail_service.engine.grip.reading import is_grip_number
from bucktail_service.engine.holes import find_holes
from bucktail_service.engine.length import SIXTEENTH
from bucktail_service.engine.lengths import Length, shown
from bucktail_service.engine.mass import mass_rule
from bucktail_service.engine.rounding import say
from bucktail_service.engine.sizes import find_diameter
from bucktail_service.engine.standards import Choice, choose_standard
from bucktail_tables.model import Edition, Row

LONGEST_IN = 10  # the longest length number, three digits of sixteenths, is far beyond any rivet


@dataclass(frozen=True, slots=True)
class PieceMass:
    """Pieces of one fastener, what each weighs [g], the hole each is driven into [in], and the rows behind both."""

    pieces: int
    name: str
    choice: Choice
    diameter: Row
    each_g: Fraction
    hole: Fraction
    rows: tuple[Row, ...]
    hole_row: Row

    @property
    def grams(self) -> Fraction:
        """Mass of all of them. [g]"""
        return self.pieces * self.each_g


def weigh(piece: Piece, field: str, edition: Edition) -> PieceMass:
    """Return what pieces of a fastener weigh, undriven and uncut; kept exact, so that equal pieces cancel exactly.

    Args:
        piece: The fastener and how many of it.
        field: The field of the question, for what is refused.
        edition: The tables to read.

    Raises:
        NotTabulated: The fastener, its head's dimensions or its density are not in the tables.
        OutsideTable: Its length is no length for it.
    """
    try:
        choice, diameter, length, name = _described(piece, edition)
    except (BadQuestion, NoAnswer) as error:
        raise NotTabulated(field, error.detail, error.example) from None
    size, fraction = diameter.number("nominal_in"), diameter.text("fraction")
    head = edition["manufactured_heads"].find(choice.standard.text("standard"), fraction)
    rule = mass_rule(choice.material, head, size, edition)
    if rule is None:
        raise _unweighed(field, name, choice, fraction, head, edition)
    shortest = head.number("height_in") if choice.is_flush and head is not None else Fraction(0)
    if not shortest < length <= LONGEST_IN:
        limits = f"over {say(shortest)} and up to {LONGEST_IN} in"
        raise OutsideTable(field, f"{name}: {say(length)} in is no length of it, which is {limits}", "1/4")
    final = find_holes(fraction, edition).final
    each = Fraction(rule.head_g) + Fraction(rule.per_inch_g) * length
    return PieceMass(piece.pieces, name, choice, diameter, each, final.diameter, rule.rows, final.row)


def _described(piece: Piece, edition: Edition) -> tuple[Choice, Row, Fraction, str]:
    """Return head and alloy, diameter, length [in] and name of a fastener."""
    if piece.number is None:
        assert piece.diameter is not None, "a reader gives the number or all of the rest"  # noqa: S101
        assert piece.length is not None, "a reader gives the number or all of the rest"  # noqa: S101
        choice = choose_standard(piece.head, piece.alloy, edition)
        return (
            choice,
            find_diameter(piece.diameter, edition),
            piece.length.inches,
            _in_words(piece, piece.diameter, piece.length),
        )
    if is_grip_number(piece.number, edition):
        told = f"the tables hold no mass of {shown(piece.number)}: weigh it, and give it as an extra mass, bolts 12 g"
        raise NotTabulated("number", told, PIECES_EXAMPLE)
    found = parse_number(piece.number, edition)
    if found.sixteenths is None:
        raise NotTabulated("number", f"{found.written_as} has no length, which its mass needs", PIECES_EXAMPLE)
    choice = Choice(found.standard, found.offered, found.material, found.alias)
    return choice, found.diameter, found.sixteenths * SIXTEENTH, found.written_as


def _in_words(piece: Piece, diameter: Length, length: Length) -> str:
    return f"{diameter} {piece.alloy} {piece.head} x {length}"


def _unweighed(
    field: str, name: str, choice: Choice, fraction: str, head: Row | None, edition: Edition
) -> NotTabulated:
    standard = choice.standard.text("standard")
    missing = [] if head is not None else [f"the diameter and height of the {standard} head in {fraction}"]
    if edition["densities"].find(choice.material.text("number")) is None:
        missing.append(f"the density of {choice.material.text('name')}")
    detail = f"{name} cannot be weighed: the tables have no row for {' or '.join(missing)}"
    return NotTabulated(field, f"{detail}; weigh these pieces and give them as an extra mass", PIECES_EXAMPLE)
