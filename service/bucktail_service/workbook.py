"""Rows of cells as a spreadsheet file. A text is written as text, whatever it begins with: never as a formula."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

MEDIA_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_LONGEST_TEXT = 32_767  # what a cell of the format holds
_WIDEST = 60
_MOST = 10**15  # numbers keep fifteen digits
# the same answer is the same file, byte for byte: no clock goes in
_MADE = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)


def workbook(sheets: Mapping[str, Sequence[Sequence[Any]]]) -> bytes:
    """Return a workbook of sheets by their names, the first row of each its header."""
    import xlsxwriter  # noqa: PLC0415  only who asks for this format pays for it

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    book.set_properties({"created": _MADE})
    heading = book.add_format({"bold": True})
    money = book.add_format({"num_format": "0.00"})
    for name, rows in sheets.items():
        sheet = book.add_worksheet(name)
        sheet.freeze_panes(1, 0)
        for at_row, row in enumerate(rows):
            for at_column, value in enumerate(row):
                form = heading if at_row == 0 else money if isinstance(value, Decimal) else None
                _write(sheet, at_row, at_column, value, form)
        for at_column, width in enumerate(_widths(rows)):
            sheet.set_column(at_column, at_column, width)
    book.close()
    return out.getvalue()


def _write(sheet: Any, row: int, column: int, value: Any, form: Any) -> None:
    if isinstance(value, bool):
        sheet.write_boolean(row, column, value, form)
    elif isinstance(value, int | float | Decimal) and -_MOST < value < _MOST:
        sheet.write_number(row, column, value, form)
    elif value is not None:
        sheet.write_string(row, column, _text(str(value)), form)


def _text(text: str) -> str:
    """Return a text as the format can hold it: no longer than a cell, no character that XML has not."""
    shown = "".join(letter if letter.isprintable() or letter in "\n\t\xa0" else "\ufffd" for letter in text)
    return shown if len(shown) <= _LONGEST_TEXT else shown[: _LONGEST_TEXT - 1] + "…"


def _widths(rows: Sequence[Sequence[Any]]) -> list[int]:
    columns: list[int] = []
    for row in rows:
        columns += [0] * (len(row) - len(columns))
        for at_column, value in enumerate(row):
            columns[at_column] = max(columns[at_column], len(str(value)) + 2 if value is not None else 0)
    return [min(width, _WIDEST) for width in columns]
