"""The one strict reader of lengths, stacks and tolerances.

General unit parsers read `1 1/8 in` as an eighth and `1,5` as fifteen; this one takes what mechanics write and
refuses the rest. Values are exact fractions of an inch inside (1 in = 25.4 mm exactly). The patterns are public
because the OpenAPI document shows them: what matches is read, what does not match is refused.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property, lru_cache

from bucktail_service.engine.errors import BadLength

MM_PER_INCH = Fraction(254, 10)
MAX_LAYERS = 20
MAX_TEXT = 3000
MAX_INCHES = 9999
_SHOWN = 40
_SHORT = 24

_IN, _MM = "[iI][nN]", "[mM][mM]"
_INCH = rf"(?: ?(?:{_IN}|\"))?"
FRACTION = rf"(?:[0-9]{{1,3}}[ -])?[0-9]{{1,3}}/[1-9][0-9]{{0,2}}{_INCH}"
DECIMAL = rf"(?:[0-9]{{1,4}}(?:\.[0-9]{{0,9}})?|\.[0-9]{{1,9}})(?: ?(?:{_IN}|{_MM}|\"))?"
LENGTH = rf"(?:{FRACTION}|{DECIMAL})"
# four digits are an alloy number; any other word starts with a letter and is no unit, so that neither the next
# layer's thickness nor a unit said twice can pass as a material
_UNITS = r"[iI][nN](?:[cC][hH](?:[eE][sS])?)?|[mMcC]?[mM]|[fF][tT]|[mM][iI][lL][sS]?|[tT][hH][oO][uU]"
_NO_UNIT = rf"(?!(?:{_UNITS})(?![A-Za-z0-9.-]))"
_WORD = rf"(?:[0-9]{{4}}(?:-[A-Za-z0-9]{{1,8}})?|{_NO_UNIT}[A-Za-z][A-Za-z0-9.-]{{0,20}})"
MATERIAL = rf"(?:{_WORD}(?: {_WORD}){{0,3}})"
LAYER = rf"{LENGTH}(?: {MATERIAL})?"
STACK = rf"{LAYER}(?: ?\+ ?{LAYER}){{0,{MAX_LAYERS - 1}}}"
GAUGE = r"[gG][aA][uU][gG][eE] ?(?:[1-9]|[1-2][0-9]|3[0-2])(?:\.[0-9]{1,2})?"
TOLERANCE = rf"(?:(?:\+/-)?{LENGTH}|\+{LENGTH} ?/ ?-{LENGTH})"

LENGTH_EXAMPLE = "5/32, 1 1/8, 0.040, .040 in or 3.2 mm"
STACK_EXAMPLE = "0.032+0.040 or 0.032 2024-T3 + 2.5mm lead"
TOLERANCE_EXAMPLE = "0.005 or +0.010/-0.005"

_LENGTH = re.compile(
    r"(?:(?:(?P<whole>[0-9]{1,3})[ -])?(?P<over>[0-9]{1,3})/(?P<under>[1-9][0-9]{0,2})"
    r"|(?P<decimal>[0-9]{1,4}(?:\.[0-9]{0,9})?|\.[0-9]{1,9}))(?: ?(?P<unit>[iI][nN]|[mM][mM]|\"))?",
    re.ASCII,
)
_FULL_LENGTH = re.compile(LENGTH, re.ASCII)
_FULL_STACK = re.compile(STACK, re.ASCII)
_FULL_GAUGE = re.compile(GAUGE, re.ASCII)
_FULL_LAYER = re.compile(rf"({LENGTH})(?: ({MATERIAL}))?", re.ASCII)
_TWO_SIDED = re.compile(rf"\+({LENGTH}) ?/ ?-({LENGTH})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Length:
    """A length as given: its exact value and its shortest spelling in the unit it was given in.

    Attributes:
        inches: Exact value. [in]
        text: Canonical spelling; `parse_length(length.text) == length`.
    """

    inches: Fraction
    text: str

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True)
class Layer:
    """One sheet of a stack, head side first; the material is None when it was not said."""

    thickness: Length
    material: str | None

    def __str__(self) -> str:
        return f"{self.thickness} {self.material}" if self.material else self.thickness.text


@dataclass(frozen=True)
class Stack:
    """All layers the shank passes through; one layer without material may be a measured total.

    Attributes:
        layers: Head side first.
        gauge: What a hook gauge read in the hole, when nothing else is known; the layer is then the most it may be.
            [1/16 in]
    """

    layers: tuple[Layer, ...]
    gauge: Fraction | None = None

    @cached_property
    def total(self) -> Fraction:
        """Clamped thickness of all layers. [in]"""
        return sum((layer.thickness.inches for layer in self.layers), Fraction(0))

    def __str__(self) -> str:
        if self.gauge is not None:
            return f"gauge {format_decimal(self.gauge)}"
        return "+".join(map(str, self.layers))


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How much thicker and how much thinner the stack may be. [in]"""

    plus: Length
    minus: Length

    def __str__(self) -> str:
        return self.plus.text if self.plus == self.minus else f"+{self.plus}/-{self.minus}"


ZERO = Length(Fraction(0), "0")
NO_TOLERANCE = Tolerance(ZERO, ZERO)


def parse_length(text: str, field: str = "length") -> Length:
    """Return the length written in *text*; no unit means inches.

    Reads `5/32`, `1 1/8`, `1-1/8 in`, `.040`, `0.040 in`, `3.2 mm`, `5/32"`.

    Raises:
        BadLength: Anything else; names *field* and shows good examples.
    """
    length = _known_length(text) if len(text) <= _SHORT else _read_length(text)
    if length is None:
        raise BadLength(field, f"{shown(text)} is not a length", LENGTH_EXAMPLE)
    return length


def _read_length(text: str) -> Length | None:
    match = _LENGTH.fullmatch(text.strip(" "))
    unit = "" if match is None else (match["unit"] or "").casefold()
    if match is None or (match["over"] and unit == "mm"):
        return None
    whole, over, under, decimal = match.group("whole", "over", "under", "decimal")
    if over:
        inches = int(whole or 0) + Fraction(int(over), int(under))
        return Length(inches, f"{whole} {over}/{under}" if whole else f"{over}/{under}")
    number = Fraction(decimal.rstrip(".") or "0")
    if unit == "mm":
        return Length(number / MM_PER_INCH, format_decimal(number) + "mm")
    return Length(number, format_decimal(number))


# a shop's sheets come in a few thicknesses
_known_length = lru_cache(maxsize=4096)(_read_length)


def length_from_number(number: float, field: str = "length") -> Length:
    """Return a JSON number as a length in inches, to the nearest nano-inch.

    Raises:
        BadLength: The number is not finite, is negative, or has more than four digits before the point.
    """
    if not 0 <= number <= MAX_INCHES:  # nan is in no range
        raise BadLength(field, f"{shown(str(number))} is not a length", LENGTH_EXAMPLE)
    inches = round(Fraction(Decimal(repr(number))), 9)
    return Length(inches, format_decimal(inches))


def parse_stack(text: str, field: str = "stack") -> Stack:
    """Return the stack written in *text*: a total, or layers joined by `+`, each with its material or none.

    Raises:
        BadLength: A layer cannot be read, or there are more than twenty.
    """
    parts = text.split("+") if len(text) <= MAX_TEXT else []
    if not 0 < len(parts) <= MAX_LAYERS:
        raise BadLength(field, f"{shown(text)} is not a stack of 1 to {MAX_LAYERS} layers", STACK_EXAMPLE)
    return Stack(tuple(_parse_layer(part, field) for part in parts))


def parse_gauge(text: str) -> Stack | None:
    """Return the stack that a hook gauge read, `gauge 3`; None when the text is no reading.

    The number counts sixteenths of an inch of grip. Between two numbers the higher holds: `gauge 3.5` is 4.
    """
    stripped = text.strip(" ")
    if len(stripped) > _SHORT or _FULL_GAUGE.fullmatch(stripped) is None:
        return None
    reading = Fraction(stripped[5:].strip(" "))
    most = Fraction(math.ceil(reading), 16)
    return Stack((Layer(Length(most, format_decimal(most)), None),), reading)


def _parse_layer(text: str, field: str) -> Layer:
    stripped = text.strip(" ")
    bare = _known_length(stripped) if len(stripped) <= _SHORT else None
    if bare is not None:
        return Layer(bare, None)
    match = _FULL_LAYER.fullmatch(stripped)
    if match is None:
        raise BadLength(field, f"{shown(stripped)} is not a layer", STACK_EXAMPLE)
    return Layer(parse_length(match[1], field), match[2])


def stack_of_query(text: str) -> str:
    """Return a stack as a query gives it with its plus signs restored.

    A `+` that was not written as `%2B` arrives as a blank. Plain lengths parted by blanks are layers; a text that
    can be read as it stands, `1 1/8`, is left alone.
    """
    parts = text.split(" ")
    if _FULL_STACK.fullmatch(text) is None and all(map(_FULL_LENGTH.fullmatch, parts)):
        return "+".join(parts)
    return text


def parse_tolerance(text: str, field: str = "stack_tolerance") -> Tolerance:
    """Return the stack tolerance written in *text*: one figure for both sides, or `+a/-b`.

    Raises:
        BadLength: Anything else.
    """
    stripped = text.strip(" ")
    two_sided = _TWO_SIDED.fullmatch(stripped)
    if two_sided is not None:
        return Tolerance(parse_length(two_sided[1], field), parse_length(two_sided[2], field))
    one = stripped.removeprefix("+/-")
    if _FULL_LENGTH.fullmatch(one) is None:
        raise BadLength(field, f"{shown(text)} is not a tolerance", TOLERANCE_EXAMPLE)
    both = parse_length(one, field)
    return Tolerance(both, both)


def format_fraction(inches: Fraction) -> str:
    """Return an exact fraction of an inch as mechanics write it: `5/32`, `1 1/8`, `2`."""
    whole, rest = divmod(inches, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def format_decimal(number: Fraction) -> str:
    """Return a decimal of at most nine places without trailing zeros."""
    nano = number.numerator * 10**9 // number.denominator
    whole, rest = divmod(nano, 10**9)
    return f"{whole}.{rest:09d}".rstrip("0").rstrip(".")


def shown(text: str) -> str:
    """Return a text as a problem may show it: quoted, and cut when it is long."""
    return repr(text if len(text) <= _SHOWN else text[: _SHOWN - 3] + "...")
