"""What differs between two editions as text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from bucktail_service.asking.changes import kind_words
from bucktail_service.text.common import PLAIN, Answer, Style, caution_lines, hanging

_SAID = frozenset({"document", "basis"})  # on the line of the row
_SIGNS = {"added": "+", "removed": "-", "changed": "~"}


def changes_text(answer: Answer, *, style: Style = PLAIN) -> str:
    """Return what differs between two editions: table by table, row by row, cell by cell."""
    lines = [*heading("CHANGES", answer, style), counts_line(answer["counts"])]
    for table in answer["tables"]:
        lines += ["", *_table(table, style)]
    lines += [*caution_lines(answer["cautions"], style), "", style.dim(answer["link"])]
    return "\n".join(lines) + "\n"


def heading(word: str, answer: Answer, style: Style) -> list[str]:
    """Return from which edition to which."""
    named = [f"{edition['name']}{' (draft)' * (edition['status'] == 'draft')}" for edition in editions_of(answer)]
    return [style.bold(f"{word} from edition {named[0]} to {named[1]}")]


def editions_of(answer: Answer) -> tuple[Mapping[str, Any], Mapping[str, Any]]:
    """Return the two editions an answer compares."""
    return answer["from"], answer["to"]


def counts_line(counts: Mapping[str, int]) -> str:
    """Return how much differs, in words."""
    if not counts["tables"]:
        return "no row differs"
    rows = f"{counts['added']} rows added, {counts['removed']} removed, {counts['changed']} changed"
    return hanging("", f"{rows} ({counts['cells']} cells) in {counts['tables']} tables")


def _table(table: Mapping[str, Any], style: Style) -> Iterator[str]:
    state = "" if table["state"] == "changed" else f", table {table['state']}"
    counts = f"{table['added']} added, {table['removed']} removed, {table['changed']} changed{state}"
    yield hanging("", f"{style.bold(table['table'])}: {counts}")
    for column in table["columns"]:
        kinds = [kind_words(column[side]) or "none" for side in ("before", "after")]
        yield hanging(f"  {_SIGNS[column['state']]} ", f"column {column['column']}: {kinds[0]} -> {kinds[1]}")
    for row in table["rows"]:
        yield from row_lines(row)


def row_lines(row: Mapping[str, Any], lead: str = "  ") -> list[str]:
    """Return a row that differs and its cells; a *table* the row names stands before its key."""
    name = " ".join(filter(None, (row.get("table"), "/".join(row["row"]))))
    was, now = row["before"], row["after"]
    bases = dict.fromkeys(source["basis"] for source in (was, now) if source is not None)
    source = was if now is None else now
    document = source["document"] + (f"; house tables {source['house']}" if "house" in source else "")
    lines = [hanging(f"{lead}{_SIGNS[row['state']]} ", f"{name}  ({' -> '.join(bases)}; {document})")]
    if row["state"] != "changed":
        side = "after" if now is not None else "before"
        cells = ", ".join(f"{cell['column']} {cell[side]}" for cell in row["cells"] if cell["column"] not in _SAID)
        return [*lines, hanging(f"{lead}    ", cells)]
    return lines + [
        hanging(f"{lead}    ", f"{cell['column']}: {shown_cell(cell['before'])} -> {shown_cell(cell['after'])}")
        for cell in row["cells"]
    ]


def shown_cell(cell: object) -> str:
    """Return a cell or figure as text; a dash where there is nothing."""
    return "-" if cell is None or cell == "" else str(cell)
