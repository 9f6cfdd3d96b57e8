"""Whose answers change between two editions, by how much, and which changed rows are behind it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from bucktail_service.engine.changes import RowKey
from bucktail_tables.load import SOURCE_COLUMNS

SAME, PART_NUMBER, FIGURES = "same", "part-number", "figures"
ONLY_BEFORE, ONLY_AFTER, UNANSWERED = "only-before", "only-after", "unanswered"
OUTCOMES = (SAME, PART_NUMBER, FIGURES, ONLY_BEFORE, ONLY_AFTER, UNANSWERED)
MOVED = (PART_NUMBER, FIGURES, ONLY_BEFORE, ONLY_AFTER)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a question got in one edition.

    Attributes:
        figures: The main figures of its answer, by column; None where it got none.
        cited: The rows its answer names, cautions among them.
        problem: Why it got no answer.
    """

    figures: Mapping[str, Any] | None
    cited: frozenset[RowKey] = frozenset()
    problem: Mapping[str, Any] | None = None


def outcome_of(answer: Mapping[str, Any], figures: Mapping[str, Any]) -> Outcome:
    """Return the outcome of an answered question."""
    sources = {(source["table"], tuple(source["row"])) for source in answer["sources"]}
    cautions = {("cautions", (caution["code"],)) for caution in answer["cautions"]}
    return Outcome(figures, frozenset(sources | cautions))


def move(before: Outcome, after: Outcome, changed: Mapping[RowKey, Mapping[str, Any]]) -> dict[str, Any]:
    """Return how the answer to one question moves.

    Args:
        before: What it gets in the one edition.
        after: What it gets in the other.
        changed: The rows that differ between them.

    Returns:
        The outcome, the figures that differ, the problems, and as *why* the changed rows that either answer names.
        A figure may move although none of them changed: a row that neither answer names was in its way.
    """
    cited = [changed[key] for key in sorted(before.cited | after.cited) if key in changed]
    figures = _figures(before.figures, after.figures)
    return {
        "outcome": _outcome(before, after, figures),
        "part_number_before": None if before.figures is None else before.figures["part_number"],
        "part_number_after": None if after.figures is None else after.figures["part_number"],
        "figures": figures,
        "problem_before": before.problem,
        "problem_after": after.problem,
        "why": [dict(row) for row in sorted(cited, key=_says_only_where)],
    }


def _says_only_where(row: Mapping[str, Any]) -> bool:
    """Return whether a row changed only in where it was read: it comes after those whose figures did."""
    return all(cell["column"] in SOURCE_COLUMNS for cell in row["cells"])


def _outcome(before: Outcome, after: Outcome, figures: Sequence[Mapping[str, Any]]) -> str:
    if before.figures is None or after.figures is None:
        if before.figures is after.figures:
            return UNANSWERED
        return ONLY_AFTER if before.figures is None else ONLY_BEFORE
    if any(figure["column"] == "part_number" for figure in figures):
        return PART_NUMBER
    return FIGURES if figures else SAME


def _figures(before: Mapping[str, Any] | None, after: Mapping[str, Any] | None) -> list[dict[str, Any]]:
    if before is None or after is None:
        return []
    return [
        {"column": name, "before": was, "after": after[name], "by": _by(was, after[name])}
        for name, was in before.items()
        if was != after[name]
    ]


def _by(before: object, after: object) -> float | None:
    """Return by how much a number moves, exact in the decimals that are shown; None for anything else."""
    numbers = [value for value in (before, after) if isinstance(value, int | float) and not isinstance(value, bool)]
    if len(numbers) < 2:  # noqa: PLR2004
        return None
    was, now = (Decimal(str(value)) for value in numbers)
    return float(now - was)


def summary(moves: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return how many questions there are of each outcome, which columns move and which tables are behind it."""
    outcomes = Counter(move["outcome"] for move in moves)
    moved = [move for move in moves if move["outcome"] in MOVED]
    behind = Counter(table for move in moved for table in {row["table"] for row in move["why"]})
    return {
        "questions": len(moves),
        "moved": len(moved),
        "outcomes": {name: outcomes[name] for name in OUTCOMES},
        "same_on_changed_rows": sum(move["outcome"] == SAME and bool(move["why"]) for move in moves),
        "unexplained": sum(not move["why"] for move in moved),
        "columns": _columns(moved),
        "tables": [{"table": name, "questions": count} for name, count in _most_first(behind)],
    }


def _columns(moved: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    counts: Counter[str] = Counter()
    largest: dict[str, float] = {}
    for figure in (figure for move in moved for figure in move["figures"]):
        name, by = figure["column"], figure["by"]
        counts[name] += 1
        if by is not None and abs(by) > abs(largest.get(name, 0.0)):
            largest[name] = by
    return [{"column": name, "questions": count, "largest": largest.get(name)} for name, count in _most_first(counts)]


def _most_first(counts: Counter[str]) -> list[tuple[str, int]]:
    return sorted(counts.items(), key=lambda entry: (-entry[1], entry[0]))
