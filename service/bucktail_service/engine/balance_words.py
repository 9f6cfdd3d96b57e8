"""The strict readers of what only the balance question asks: pieces, arms, masses, moments, holes.

As with lengths, the patterns are public because the OpenAPI document shows them: what matches is read, what does
not match is refused. Signs are words, never + and -, since makers differ in what they take them to mean.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.errors import BadQuestion
from bucktail_service.engine.lengths import LENGTH, STACK, Length, Stack, parse_length, parse_stack, shown

MAX_ENTRIES = 40
MAX_PIECES = 99_999
MAX_TEXT = 3000


def _any_case(word: str) -> str:
    return "".join(f"[{letter}{letter.upper()}]" if letter.isalpha() else letter for letter in word)


_X = "(?: ?[xX] ?)"
_PIECES = "[1-9][0-9]{0,4}"
_DECIMAL = r"(?:[0-9]{1,6}(?:\.[0-9]{0,6})?|\.[0-9]{1,6})"
_SIDE = "(?:" + "|".join(map(_any_case, ("aft", "forward", "fwd"))) + ")"
_HEAVY = "(?:" + "|".join(map(_any_case, ("tail heavy", "nose heavy"))) + ")"
_MOMENT_UNIT = f"(?: ?{_any_case('in-lb')})?"
_ZERO = r"0(?:\.0{0,6})?"
_AND = " ?; ?"
_HOLE = rf"(?:{LENGTH}|#(?:[1-9][0-9]?|[A-Za-z]))"
NAME = "[A-Za-z][A-Za-z ]{0,30}"

NUMBER = r"[A-Za-z][A-Za-z0-9.-]{2,29}"
PIECE = rf"(?:{_PIECES}{_X})?{NUMBER}"
PIECES = rf"{PIECE}(?: ?\+ ?{PIECE}){{0,{MAX_ENTRIES - 1}}}"
ARM = rf"{LENGTH} {_SIDE}"
MASS = rf"-?{_DECIMAL} ?(?:[gG]|[lL][bB])"
MOMENT = rf"(?:{_ZERO}{_MOMENT_UNIT}|{_DECIMAL}{_MOMENT_UNIT} {_HEAVY})"
RANGE = (
    rf"(?:{_DECIMAL}{_MOMENT_UNIT} {_HEAVY} to {MOMENT}|{_DECIMAL}{_MOMENT_UNIT} to {_DECIMAL}{_MOMENT_UNIT} {_HEAVY})"
)
EXTRA = rf"{NAME} {MASS}(?: at {ARM})?"
EXTRAS = rf"{EXTRA}(?:{_AND}{EXTRA}){{0,{MAX_ENTRIES - 1}}}"
HOLES = rf"{_PIECES}{_X}{_HOLE} to {_HOLE}(?: through {STACK})?"
HOLE_METAL = rf"{HOLES}(?:{_AND}{HOLES}){{0,{MAX_ENTRIES - 1}}}"

PIECES_EXAMPLE = "24 x MS20470AD4-4 + 6 x MS20426AD4-5"
ARM_EXAMPLE = "12.5 aft, 3 1/4 in forward or 310 mm aft"
RANGE_EXAMPLE = "0 to 24.5 tail heavy or 2 nose heavy to 2 tail heavy"
MOMENT_EXAMPLE = "4.2 in-lb tail heavy, 1.5 nose heavy or 0"
EXTRA_EXAMPLE = "paint 12 g at 14.5 aft; patch 0.05 lb"
HOLES_EXAMPLE = "24 x #40 to #30 through 0.032 2024-T3+0.040 2024-T3"

_FULL_PIECE = re.compile(rf"(?:({_PIECES}){_X})?({NUMBER})", re.ASCII)
_FULL_ARM = re.compile(rf"({LENGTH}) ({_SIDE})", re.ASCII)
_FULL_MASS = re.compile(rf"(-?)({_DECIMAL}) ?([gG]|[lL][bB])", re.ASCII)
_FULL_MOMENT = re.compile(rf"({_DECIMAL}){_MOMENT_UNIT}(?: ({_HEAVY}))?", re.ASCII)
_FULL_RANGE = re.compile(RANGE, re.ASCII)
_FULL_EXTRA = re.compile(rf"({NAME}) ({MASS})(?: at ({ARM}))?", re.ASCII)
_FULL_NAME = re.compile(NAME, re.ASCII)
_FULL_HOLES = re.compile(rf"({_PIECES}){_X}({_HOLE}) to ({_HOLE})(?: through ({STACK}))?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Piece:
    """Pieces of one fastener: by its part number, or by diameter, alloy, head and length."""

    pieces: int
    number: str | None = None
    diameter: Length | None = None
    alloy: str = ""
    head: str = ""
    length: Length | None = None


@dataclass(frozen=True, slots=True)
class Arm:
    """Distance of a centre of gravity from the hinge line; `aft` or `forward` of it."""

    distance: Length
    side: str

    @property
    def inches(self) -> Fraction:
        """Signed distance, positive aft of the hinge line. [in]"""
        return self.distance.inches if self.side == "aft" else -self.distance.inches

    def __str__(self) -> str:
        return f"{self.distance} {self.side}"


@dataclass(frozen=True, slots=True)
class Weighed:
    """A mass as weighed, negative when it was taken off, and its spelling."""

    amount: Fraction
    unit: str

    def __str__(self) -> str:
        return f"{'-' if self.amount < 0 else ''}{_plain(abs(self.amount))} {self.unit}"


@dataclass(frozen=True, slots=True)
class Extra:
    """Something else that was added or, with a negative mass, taken off; the repair's arm when it has none."""

    name: str
    mass: Weighed
    arm: Arm | None = None


@dataclass(frozen=True, slots=True)
class Holes:
    """Holes that were enlarged through a stack; the question's stack when they name none."""

    pieces: int
    smaller: str
    larger: str
    stack: Stack | None = None


@dataclass(frozen=True, slots=True)
class Moments:
    """A range of static moments, positive tail heavy. [in-lb]"""

    lowest: Fraction
    highest: Fraction


def parse_pieces(text: str, field: str) -> tuple[Piece, ...]:
    """Return the fasteners written in *text*, joined by `+`: `24 x MS20470AD4-4 + 6 x MS20426AD4-5`.

    Raises:
        BadQuestion: Anything else; whether there is such a number is for the tables to say.
    """
    return tuple(parse_piece(part, field) for part in _parts(text, "+", field, PIECES_EXAMPLE))


def parse_piece(text: str, field: str) -> Piece:
    """Return one entry of a list of fasteners; BadQuestion when it is none."""
    match = _FULL_PIECE.fullmatch(text.strip(" "))
    if match is None:
        raise BadQuestion(field, f"{shown(text)} is not a number of pieces and a part number", PIECES_EXAMPLE)
    return Piece(int(match[1] or 1), match[2].upper())


def parse_arm(text: str, field: str) -> Arm:
    """Return the arm written in *text*: a length and its side of the hinge line.

    Raises:
        BadQuestion: Anything else; an arm without its side most of all.
    """
    match = _FULL_ARM.fullmatch(text.strip(" "))
    if match is None:
        raise BadQuestion(
            field, f"{shown(text)} is not a distance and its side of the hinge line, aft or forward", ARM_EXAMPLE
        )
    return Arm(parse_length(match[1], field), "aft" if match[2].casefold() == "aft" else "forward")


def parse_mass(text: str, field: str) -> Weighed:
    """Return the mass written in *text*, in grams or pounds; BadQuestion for anything else."""
    match = _FULL_MASS.fullmatch(text.strip(" "))
    if match is None:
        raise BadQuestion(field, f"{shown(text)} is not a mass in g or lb", "12 g or 0.05 lb")
    amount = Fraction(match[2].rstrip(".") or "0")
    return Weighed(-amount if match[1] else amount, match[3].lower())


def parse_extras(text: str, field: str) -> tuple[Extra, ...]:
    """Return the other masses written in *text*, joined by `;`: `paint 12 g at 14.5 aft; patch 0.05 lb`."""
    return tuple(parse_extra(part, field) for part in _parts(text, ";", field, EXTRA_EXAMPLE))


def parse_extra(text: str, field: str) -> Extra:
    """Return one other mass; BadQuestion when it is none."""
    match = _FULL_EXTRA.fullmatch(text.strip(" "))
    if match is None:
        raise BadQuestion(field, f"{shown(text)} is not a name, a mass and its arm", EXTRA_EXAMPLE)
    return Extra(
        match[1].strip(), parse_mass(match[2], field), None if match[3] is None else parse_arm(match[3], field)
    )


def parse_name(text: str, field: str) -> str:
    """Return the name of an other mass; BadQuestion when it is none."""
    if _FULL_NAME.fullmatch(text) is None:
        raise BadQuestion(field, f"{shown(text)} is not a name of letters and blanks", "paint")
    return text.strip(" ")


def parse_hole_metal(text: str, field: str) -> tuple[Holes, ...]:
    """Return the enlarged holes written in *text*, joined by `;`: `24 x #40 to #30 through 0.032 2024-T3`."""
    return tuple(parse_holes(part, field) for part in _parts(text, ";", field, HOLES_EXAMPLE))


def parse_holes(text: str, field: str) -> Holes:
    """Return one entry of enlarged holes; BadQuestion when it is none."""
    match = _FULL_HOLES.fullmatch(text.strip(" "))
    if match is None:
        raise BadQuestion(field, f"{shown(text)} is not a number of holes, from, to and through", HOLES_EXAMPLE)
    return Holes(int(match[1]), match[2], match[3], None if match[4] is None else parse_stack(match[4], field))


def parse_moment(text: str, field: str) -> Fraction:
    """Return the static moment written in *text*, positive tail heavy; BadQuestion for anything else. [in-lb]"""
    match = _FULL_MOMENT.fullmatch(text.strip(" "))
    if match is None or (match[2] is None and Fraction(match[1].rstrip(".") or "0")):
        raise BadQuestion(field, f"{shown(text)} does not say how many in-lb tail heavy or nose heavy", MOMENT_EXAMPLE)
    return _signed(match[1], match[2])


def parse_moments(text: str, field: str) -> Moments:
    """Return the range of static moments written in *text*, from one to the other in any order. [in-lb]

    A first figure without a side has that of the second: `8.80 to 10.00 nose heavy`.
    """
    stripped = text.strip(" ")
    if _FULL_RANGE.fullmatch(stripped) is None:
        raise BadQuestion(field, f"{shown(text)} is not a range of static moments with their sides", RANGE_EXAMPLE)
    first, last = (_FULL_MOMENT.fullmatch(part) for part in stripped.split(" to "))
    assert first is not None, "the range's pattern is made of moments"  # noqa: S101
    assert last is not None, "the range's pattern is made of moments"  # noqa: S101
    lowest, highest = sorted((_signed(first[1], first[2] or last[2]), _signed(last[1], last[2])))
    return Moments(lowest, highest)


def _signed(number: str, heavy: str | None) -> Fraction:
    value = Fraction(number.rstrip(".") or "0")
    return -value if heavy is not None and heavy.casefold().startswith("nose") else value


def _parts(text: str, mark: str, field: str, example: str) -> list[str]:
    parts = text.split(mark) if len(text) <= MAX_TEXT else []
    if not 0 < len(parts) <= MAX_ENTRIES:
        raise BadQuestion(field, f"{shown(text)} is not a list of 1 to {MAX_ENTRIES} entries", example)
    return parts


def _plain(number: Fraction) -> str:
    return f"{float(number):.6f}".rstrip("0").rstrip(".")
