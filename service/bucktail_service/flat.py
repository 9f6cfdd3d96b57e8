"""An answer as flat rows, for CSV: the main figures, under names of their own."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping
from typing import Any

Answer = Mapping[str, Any]
Columns = Mapping[str, Callable[[Answer], Any]]


def at(*path: str) -> Callable[[Answer], Any]:
    """Return a getter of the figure at *path* of an answer; None where a block on the way is null."""

    def get(answer: Answer) -> Any:
        value: Any = answer
        for name in path:
            if value is None:
                return None
            value = value[name]
        return value

    return get


def codes(answer: Answer) -> str:
    """Return the codes of an answer's cautions, parted by blanks."""
    return " ".join(caution["code"] for caution in answer["cautions"])


def flat(columns: Columns, answer: Answer) -> list[str]:
    """Return the cells of an answer: numbers as in JSON, nothing for null."""
    return [cell(get(answer)) for get in columns.values()]


def cell(value: Any) -> str:
    """Return a value as a CSV cell shows it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    return "" if value is None else str(value)


def answer_csv(columns: Columns, answer: Answer) -> str:
    """Return an answer as CSV: a header and one line."""
    return rows_csv([list(columns), flat(columns, answer)])


def rows_csv(rows: list[list[str]]) -> str:
    """Return rows of cells as CSV."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()
