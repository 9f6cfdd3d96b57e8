"""What is left of a row of rivets. Tables: rules, spacing."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.errors import OutsideTable
from bucktail_tables.model import Edition, Row


@dataclass(frozen=True, slots=True)
class RowCondition:
    """A row of which some rivets failed.

    Attributes:
        count: Rivets in the row.
        failed: Positions of those to replace, from 1, rising.
        longest_run: Most of them side by side.
        strength_left: Share of the rivets that is sound.
        unsupported: Longest distance without a sound rivet, from one to the next or to the row's end. [in]
        oversize_allowed: Most rivets of the pattern that may be made oversize in place.
        within_limits: Whether all failed ones may be.
        rows: The rules behind the limits.
    """

    count: int
    failed: tuple[int, ...]
    longest_run: int
    strength_left: Fraction
    unsupported: Fraction | None
    oversize_allowed: int
    within_limits: bool
    rows: tuple[Row, ...]


def row_condition(count: int, failed: tuple[int, ...], pitch: Fraction | None, edition: Edition) -> RowCondition:
    """Return the condition of a row.

    Raises:
        OutsideTable: A position is not in the row.
    """
    positions = tuple(sorted(set(failed)))
    if positions and positions[-1] > count:
        raise OutsideTable("failed", f"position {positions[-1]} is not in a row of {count}", f"positions 1 to {count}")
    runs = _runs(count, positions)
    run = max((length for length, _ in runs), default=0)
    gaps = max((gaps for _, gaps in runs), default=0)
    share, most, beside = (
        edition["rules"].by_key[(f"oversize_{name}_maximum",)] for name in ("share", "count", "adjacent")
    )
    allowed = min(int(count * share.number("value") / 100), int(most.number("value")))
    return RowCondition(
        count,
        positions,
        run,
        Fraction(count - len(positions), count),
        None if pitch is None or not run else gaps * pitch,
        allowed,
        len(positions) <= allowed and run <= beside.number("value"),
        (share, most, beside),
    )


def _runs(count: int, positions: tuple[int, ...]) -> list[tuple[int, int]]:
    """Return each run of failed rivets: how many, and how many pitches lie between the rivets or ends around it."""
    runs, start = [], 0
    for position in range(1, count + 2):
        if position in positions:
            start = start or position
        elif start:
            length = position - start
            ends = (start == 1) + (position == count + 1)
            runs.append((length, length + 1 - ends))
            start = 0
    return runs
