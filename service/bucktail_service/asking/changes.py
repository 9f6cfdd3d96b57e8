"""What differs between two installed editions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from bucktail_service.asking.editions import named_edition
from bucktail_service.asking.question import Answer, Payload
from bucktail_service.engine.changes import change_cautions, changes
from bucktail_service.flat import cell, rows_csv
from bucktail_tables.model import Edition

HEADER = (
    *("table", "row", "state", "column", "before", "after"),
    *("basis_before", "basis_after", "document_before", "document_after"),
)


def two_editions(name: str, other: str) -> tuple[Edition, Edition]:
    """Return the two editions, `default` for the one that answers by default; UnknownEdition when one is none."""
    return named_edition(name), named_edition(other)


def changes_link(before: Edition, after: Edition) -> str:
    """Return the path of what differs between two editions."""
    return f"/v1/editions/{before.name}/changes/{after.name}"


def answer_changes(name: str, other: str) -> Answer:
    """Return what differs from edition *name* to edition *other*; UnknownEdition when one is not installed."""
    before, after = two_editions(name, other)
    told = changes(before, after)
    return {**told, "cautions": change_cautions(told, before, after), "link": changes_link(before, after)}


def changes_csv(answer: Payload) -> str:
    """Return what differs as CSV: a header, and a line for each cell, column or table that does."""
    lines = [list(HEADER)]
    for table in answer["tables"]:
        lines += [_column_line(table["table"], entry) for entry in table["columns"]]
        for row in table["rows"]:
            lines += _row_lines(table["table"], row)
    return rows_csv(lines)


def _column_line(table: str, entry: Mapping[str, Any]) -> list[str]:
    kinds = [kind_words(entry[side]) for side in ("before", "after")]
    return [table, "", f"column {entry['state']}", entry["column"], *kinds, "", "", "", ""]


def kind_words(kind: Mapping[str, Any] | None) -> str:
    """Return what a column holds in words: `number [in]`; nothing where there is none."""
    if kind is None:
        return ""
    unit = f" [{kind['unit']}]" if kind["unit"] is not None else ""
    return f"{kind['type']}{unit}{', key' if kind['key'] else ''}"


def _row_lines(table: str, row: Mapping[str, Any]) -> Iterator[list[str]]:
    sources = [row[side] or {} for side in ("before", "after")]
    tail = [source.get(name, "") for name in ("basis", "document") for source in sources]
    for entry in row["cells"]:
        head = [table, "/".join(row["row"]), row["state"], entry["column"]]
        yield [*head, cell(entry["before"]), cell(entry["after"]), *tail]
