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
        unsupported: Distance between the sound rivets around the longest run, or to the row's end. [in]
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
    run, at_end = _longest_run(count, positions)
    gaps = run if at_end else run + 1
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


def _longest_run(count: int, positions: tuple[int, ...]) -> tuple[int, bool]:
    """Return the most failed rivets side by side, and whether that run reaches an end of the row."""
    longest, at_end, run = 0, False, 0
    for position in range(1, count + 1):
        run = run + 1 if position in positions else 0
        if run > longest:
            longest, at_end = run, position in (run, count)
    return longest, at_end
