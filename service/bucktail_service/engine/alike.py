"""Which stacks have the same answer for one rivet, so that a batch works it out once.

A solid rivet's row depends on its stack by four things only: how thick it is in all, what its materials are, how
thick its thickest sheet is (does the diameter suit?) and, under a flush head, how thick the outer one is (can it be
countersunk?). The last three show in nothing but which cautions fire. Two stacks alike in total and cautions
have the same row, save for the stack in the link. Exact: thicknesses are whole numbers of a unit that every
decimal of an inch or a millimetre and every binary fraction has; what is no whole number of it is not told.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple, TypeVar
from urllib.parse import quote

from bucktail_service.engine.cautions import layer_codes, outer_codes, sheet_codes
from bucktail_service.engine.errors import BadLength
from bucktail_service.engine.facts import Facts
from bucktail_service.engine.lengths import MAX_LAYERS, parse_stack
from bucktail_tables.model import Edition

UNITS_PER_INCH = 254 * 10**9  # a nano-inch is 254 of them, a millionth of a millimetre 10
MAX_KEPT = 20_000
MAX_TEXT = 40

_Units = TypeVar("_Units")


class Sheet(NamedTuple):
    """A layer as written: its thickness, how a link writes it, whether its material is said, its cautions."""

    units: int
    quoted: str
    named: bool
    fires: int


class Sheets:
    """Layers read before, by their text; cautions as bits of a number."""

    def __init__(self, edition: Edition) -> None:
        self.edition = edition
        self.known: dict[str, Sheet] = {}
        self._bits: dict[str, int] = {}

    def fires(self, codes: Iterable[str]) -> int:
        """Return the number that stands for a set of cautions."""
        bits = 0
        for code in codes:
            bits |= self._bits.setdefault(code, 1 << len(self._bits))
        return bits

    def read(self, text: str) -> Sheet | None:
        """Return a layer; None when it cannot be read or is no whole number of units."""
        if len(text) > MAX_TEXT:
            return None
        try:
            (layer,) = parse_stack(text).layers
        except BadLength:
            return None
        units = layer.thickness.inches * UNITS_PER_INCH
        if units.denominator != 1:
            return None
        fires = self.fires(layer_codes(layer.material, self.edition))
        sheet = Sheet(units.numerator, quote(str(layer), safe="/"), layer.material is not None, fires)
        if len(self.known) >= MAX_KEPT:
            self.known.clear()
        self.known[text] = sheet
        return sheet


class Alike:
    """Tells what the answers for one rivet depend on."""

    def __init__(self, facts: Facts, sheets: Sheets) -> None:
        self._facts = facts
        self._sheets = sheets
        self._by_thickest: dict[int, int] = {}
        self._by_outer: dict[int | None, int] = {}
        self._is_flush = facts.choice.is_flush

    def __call__(self, stack: str) -> tuple[tuple[int, int], str] | None:
        """Return what two stacks must have in common to have the same row, and how the link writes this one.

        None when the stack cannot be read as layers; the ordinary way then says why, or answers.
        """
        known = self._sheets.known
        sheets = []
        total = fires = thickest = 0
        for part in stack.split("+"):
            sheet = known.get(part) or self._sheets.read(part)
            if sheet is None:
                return None
            sheets.append(sheet)
            units, _, _, fired = sheet
            total += units
            fires |= fired
            thickest = max(thickest, units)
        outer, several = sheets[0], len(sheets) > 1
        if several:
            if len(sheets) > MAX_LAYERS:
                return None
            by_thickest = self._by_thickest.get(thickest)
            fires |= self._thickest(thickest) if by_thickest is None else by_thickest
        if self._is_flush:
            fires |= self._outer(outer, several=several)
        return (total, fires), "%2B".join([sheet.quoted for sheet in sheets])

    def _thickest(self, units: int) -> int:
        facts = self._facts
        fires = self._sheets.fires(sheet_codes(Fraction(units, UNITS_PER_INCH), facts.size, facts.edition))
        return _keep(self._by_thickest, units, fires)

    def _outer(self, sheet: Sheet, *, several: bool) -> int:
        units = sheet.units if several or sheet.named else None
        before = self._by_outer.get(units)
        if before is not None:
            return before
        facts = self._facts
        thickness = None if units is None else Fraction(units, UNITS_PER_INCH)
        codes = outer_codes(thickness, facts.head_height, facts.sheet_minimum)
        return _keep(self._by_outer, units, self._sheets.fires(codes))


def _keep(kept: dict[_Units, int], units: _Units, fires: int) -> int:
    if len(kept) >= MAX_KEPT:
        kept.clear()
    kept[units] = fires
    return fires
