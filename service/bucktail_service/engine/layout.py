"""Where to put the rivets: a staggered pattern over a width that keeps edge and pitch. Table: spacing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import rule_row
from bucktail_service.engine.rounding import say
from bucktail_service.engine.spacing import Distance
from bucktail_tables.model import Edition, Row

MAX_ROWS = 10
MAX_POSITIONS = 1000
_HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Limits:
    """What the practice asks of a pattern with so many rows. [in]"""

    pitch_least: Fraction
    pitch_most: Fraction | None
    row_least: Fraction | None
    rows_behind: dict[str, Row]


@dataclass(frozen=True, slots=True)
class Pattern:
    """Rows across the width, every second one shifted by half a pitch. [in]"""

    rows: int
    per_row: int
    pitch: Fraction | None
    first: Fraction
    edge: Fraction
    row_spacing: Fraction | None

    @property
    def pieces(self) -> int:
        """All rivets of the pattern."""
        return self.rows * self.per_row

    def positions(self) -> list[tuple[int, Fraction, Fraction]]:
        """Return row, x from one side and y from the sheet's end of every rivet. [in]"""
        pitch, apart = self.pitch or Fraction(0), self.row_spacing or Fraction(0)
        return [
            (row + 1, self.first + pitch * (at + _HALF * (row % 2)), self.edge + apart * row)
            for row in range(self.rows)
            for at in range(self.per_row)
        ]


@dataclass(frozen=True, slots=True)
class Misfit:
    """Why no pattern fits: the figure that fails and what would pass."""

    reason: str


def find_limits(rows: int, size: Fraction, spacing: dict[str, Distance | None], edition: Edition) -> Limits:
    """Return what a practice asks of a pattern.

    Args:
        rows: Rows of rivets.
        size: Nominal shank diameter. [in]
        spacing: The practice's figures for it.
        edition: The tables to read.
    """
    single, most = spacing["pitch_minimum"], spacing["pitch_maximum"]
    assert single is not None, "the check holds a pitch minimum for every practice"  # noqa: S101
    pitch = single if rows == 1 else spacing["staggered_pitch_minimum"] or single
    behind = {"pitch_minimum": pitch.row}
    if most is not None:
        behind["pitch_maximum"] = most.row
    row_least = None
    if rows > 1:
        two = spacing["row_minimum"]
        three = rule_row(edition, "rules", "row_minimum_three")
        least = [] if two is None else [(two.inches, two.row)]
        if rows > 2:  # noqa: PLR2004  the figure is for three rows or more
            least.append((three.number("value") * size, three))
        if least:
            row_least, behind["row_minimum"] = max(least, key=lambda entry: entry[0])
    return Limits(pitch.inches, None if most is None else most.inches, row_least, behind)


def lay_out(
    width: Fraction,
    edge: Fraction,
    rows: int,
    limits: Limits,
    *,
    pieces: int = 0,
    pitch: Fraction | None = None,
    usual: Fraction | None = None,
    row_spacing: Fraction | None = None,
) -> Pattern | Misfit:
    """Return a pattern over a width, or which figure keeps it from fitting.

    Args:
        width: Width across the load. [in]
        edge: Distance of the outer rivets from the sides, and of the first row from the sheet's end. [in]
        rows: Rows of rivets.
        limits: What the practice asks.
        pieces: Rivets needed in all; 0 when that is not known.
        pitch: Pitch along a row; when None the rows are spaced out evenly. [in]
        usual: Pitch to aim at when neither *pieces* nor *pitch* says it. [in]
        row_spacing: Distance between rows; the least when None. [in]
    """
    fault = _fault(width, edge, limits, pitch, row_spacing)
    if fault is not None:
        return Misfit(fault)
    span, shift = width - 2 * edge, (_HALF if rows > 1 else Fraction(0))
    tightest = pitch or limits.pitch_least
    least, room = math.ceil(Fraction(pieces, rows)), _most(span, tightest, shift)
    per_row = room
    if pitch is None:
        most = limits.pitch_most
        needed = 0 if most is None else min(room, math.ceil(span / most - shift) + 1)
        aimed = 0 if pieces else _most(span, usual or limits.pitch_least, shift)
        per_row = max(least, needed, aimed, 2 if rows > 1 else 1)
    wanted = max(per_row, least, 1)
    if wanted > room:
        wide = 2 * edge + tightest * (wanted - 1 + shift)
        return Misfit(
            f"{wanted} rivets a row at {say(tightest)} in do not fit {say(width)} in of width, which takes "
            f"{max(room, 0)}; {say(wide)} in would pass, or more rows for the same pieces"
        )
    if per_row * rows > MAX_POSITIONS:
        return Misfit(
            f"{per_row * rows} positions: more than {MAX_POSITIONS} are not listed; ask for a part of the width"
        )
    gaps = per_row - 1 + shift
    even = span / gaps if gaps else None
    step = (pitch if pitch is not None else even) if gaps else None
    first = (width - gaps * (step or 0)) / 2
    apart = row_spacing if row_spacing is not None else limits.row_least
    return Pattern(rows, per_row, step, first, edge, apart if rows > 1 else None)


def _fault(
    width: Fraction, edge: Fraction, limits: Limits, pitch: Fraction | None, row_spacing: Fraction | None
) -> str | None:
    if width < 2 * edge:
        return f"a width of {say(width)} in has no room for two edges; {say(2 * edge)} in would pass"
    if pitch is not None and pitch < limits.pitch_least:
        return f"a pitch of {say(pitch)} in is too close; {say(limits.pitch_least)} in would pass"
    if row_spacing is not None and limits.row_least is not None and row_spacing < limits.row_least:
        return f"rows {say(row_spacing)} in apart are too close; {say(limits.row_least)} in would pass"
    return None


def _most(span: Fraction, pitch: Fraction, shift: Fraction) -> int:
    """Return how many rivets of one row a span takes. [in]"""
    return math.floor(span / pitch - shift) + 1
