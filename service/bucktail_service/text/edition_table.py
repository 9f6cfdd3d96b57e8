"""A table as text: in columns where they fit the page, else row by row."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bucktail_service.text.common import MARKS, PLAIN, WIDTH, Answer, Style, caution_lines, hanging
from bucktail_service.text.edition_row import document_of, foot_lines

_SOURCE_COLUMNS = ("document", "place", "basis", "note")
_TAIL = 9  # the mark, the number of the source, the sign of a note and that of a house's row


def edition_table_text(answer: Answer, *, style: Style = PLAIN) -> str:
    """Return a table as text; each row ends in the mark and the number of its source, `*` where it has a note."""
    rows = answer["rows"]
    lines = [style.bold(hanging(f"{answer['table']}  ", answer["title"])), ""]
    shown = [field for field in answer["fields"] if field["name"] not in _SOURCE_COLUMNS]
    lines += [_field_line(field, answer["primary_key"]) for field in shown]
    numbers: dict[tuple[str, str], int] = {}
    tails = [_tail(row, numbers) for row in rows]
    own = {tuple(key) for key in answer.get("house_rows", ())}
    of_house = [tuple(row[column] for column in answer["primary_key"]) in own for row in rows]
    tails = [f"{tail}h" if is_own else tail for tail, is_own in zip(tails, of_house, strict=True)]
    lines += ["", *_body([field["name"] for field in shown], rows, tails)]
    lines += ["", "SOURCES", *_source_lines(numbers)]
    if any(row["note"] for row in rows):
        lines += ["", hanging("", f"*: the row has a note; bucktail editions row {answer['table']} KEY shows it")]
    if own:
        lines += ["", f"h: the row is of the house tables of {answer['edition']['name']}, or of one it extends"]
    lines += caution_lines(answer["cautions"], style)
    return "\n".join([*lines, *foot_lines(answer, style)]) + "\n"


def _field_line(field: Answer, key: Sequence[str]) -> str:
    """Return what a column holds: its unit, whether it is of the key, and what the descriptor tells."""
    told = f"[{field['unit']}]" if field["unit"] else ""
    told += (", key" if told else "key") if field["name"] in key else ""
    told += (f"  {field['description']}" if told else field["description"]) if field["description"] else ""
    return hanging(f"  {field['name']:<16}  ", told) if told else f"  {field['name']}"


def _tail(row: Mapping[str, str], numbers: dict[tuple[str, str], int]) -> str:
    """Return a row's mark, the number of its source, and the sign of its note."""
    number = numbers.setdefault((document_of(row), row["basis"]), len(numbers) + 1)
    return f"{MARKS[row['basis']]} {number}{'*' if row['note'] else ''}"


def _body(columns: list[str], rows: Sequence[Mapping[str, str]], tails: Sequence[str]) -> list[str]:
    """Return the rows in columns, or below one another where the page is too narrow."""
    filled = [column for column in columns if any(row[column] for row in rows)]
    widths = {column: max(len(column), *(len(row[column]) for row in rows)) for column in filled}
    if sum(widths.values()) + 2 * len(filled) + _TAIL > WIDTH:
        return _records(filled, rows, tails)
    lines = ["  ".join(f"{column:<{widths[column]}}" for column in filled).rstrip()]
    for row, tail in zip(rows, tails, strict=True):
        lines.append("  ".join(f"{row[column]:<{widths[column]}}" for column in filled) + f"  {tail}")
    return lines


def _records(columns: list[str], rows: Sequence[Mapping[str, str]], tails: Sequence[str]) -> list[str]:
    lines = []
    for row, tail in zip(rows, tails, strict=True):
        cells = ", ".join(f"{column} {row[column]}" for column in columns if row[column])
        lines.append(hanging(f"{tail:<7}", cells))
    return lines


def _source_lines(numbers: Mapping[tuple[str, str], int]) -> list[str]:
    return [
        hanging(f"  {MARKS[basis]} {number:<3} ", f"{basis}: {document}")
        for (document, basis), number in numbers.items()
    ]
