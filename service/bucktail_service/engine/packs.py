"""Packs of an order: by count, or by weight, whose count is worked out from the mass of a piece."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.errors import BadQuestion
from bucktail_service.engine.lengths import shown

GRAMS_PER_POUND = Fraction("453.59237")
MAX_IN_PACK = 999_999
_NUMBER = r"(?:[0-9]{1,3}(?:\.[0-9]{1,4})?|\.[0-9]{1,4}|[1-9][0-9]{0,2}/[1-9][0-9]{0,2})"
# nothing weighs nothing: a zero however it is written is no weight
_WEIGHT = rf"(?!0*(?:\.0*)? ?[lL]){_NUMBER} ?[lL][bB][sS]?"
PACK = rf"(?:[1-9][0-9]{{0,5}}|{_WEIGHT})"
PACK_EXAMPLE = "100 (pieces), 1/4 lb or 0.25lb"

_PACK = re.compile(PACK, re.ASCII)


@dataclass(frozen=True, slots=True)
class Pack:
    """What one pack holds: pieces by count, or a weight. [pieces, lb]"""

    text: str
    count: int | None
    pounds: Fraction | None

    @property
    def by_weight(self) -> bool:
        """True when the pack is sold by weight."""
        return self.pounds is not None

    def holds(self, each_g: Fraction | None) -> int | None:
        """Return the whole pieces in a pack; None when that needs a mass nobody has, or a piece outweighs the pack.

        Args:
            each_g: Mass of one piece. [g]
        """
        if self.pounds is None:
            return self.count
        if not each_g:
            return None
        return int(self.pounds * GRAMS_PER_POUND / each_g) or None


def parse_pack(text: str) -> Pack:
    """Return the pack written in *text*: `100` pieces, or `0.25lb`, `1/4 lb`.

    Raises:
        BadQuestion: Anything else.
    """
    if _PACK.fullmatch(text) is None:
        raise BadQuestion("pack", f"{shown(text)} is neither whole pieces nor pounds", PACK_EXAMPLE)
    number = text.rstrip(" lLbBsS")
    if number == text:
        return Pack(text, int(text), None)
    return Pack(f"{number} lb", None, Fraction(number))
