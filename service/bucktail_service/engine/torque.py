"""Torques as mechanics write them, read strictly; exact inside, in inch-pounds."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.errors import BadLength
from bucktail_service.engine.lengths import format_decimal, shown

# 1 in lbf = 0.0254 m x 4.4482216152605 N exactly
NEWTON_METRES = Fraction("0.0254") * Fraction("4.4482216152605")
_NUMBER = r"(?:[0-9]{1,4}(?:\.[0-9]{0,4})?|\.[0-9]{1,4})"
_INCH_POUNDS = r"[iI][nN][ -]?[lL][bB][fFsS]?"
_NEWTON = r"[nN][ -]?[mM]"
TORQUE = rf"{_NUMBER}(?: ?(?:{_INCH_POUNDS}|{_NEWTON}))?"
TORQUE_EXAMPLE = "12, 12 in-lb or 1.4 N m"
_TORQUE = re.compile(rf"({_NUMBER})(?: ?(?:({_INCH_POUNDS})|({_NEWTON})))?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Torque:
    """A torque as given: its exact value and its shortest spelling in the unit it was given in.

    Attributes:
        inch_pounds: Exact value. [in lbf]
        text: Canonical spelling; `parse_torque(torque.text) == torque`.
    """

    inch_pounds: Fraction
    text: str

    def __str__(self) -> str:
        return self.text


def parse_torque(text: str, field: str = "drag") -> Torque:
    """Return the torque written in *text*; no unit means inch-pounds.

    Raises:
        BadLength: Anything else; names *field* and shows good examples.
    """
    match = _TORQUE.fullmatch(text.strip(" ")) if len(text) <= 40 else None  # noqa: PLR2004
    if match is None:
        raise BadLength(field, f"{shown(text)} is not a torque", TORQUE_EXAMPLE)
    number = Fraction(match[1].rstrip(".") or "0")
    if match[3]:
        return Torque(number / NEWTON_METRES, format_decimal(number) + " N m")
    return Torque(number, format_decimal(number))
