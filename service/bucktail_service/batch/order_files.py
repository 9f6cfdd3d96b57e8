"""The files of an order: its lines, the shop's price list, the stock on hand, each as the order question takes it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, BinaryIO, NamedTuple

from bucktail_service.asking.order_lines import LINE_FIELDS
from bucktail_service.batch.columns import check_header
from bucktail_service.batch.lines import lines, readable
from bucktail_service.batch.records import Record, records
from bucktail_service.problems import BadFields, FieldError
from bucktail_service.strict_json import read_json


class _Columns(NamedTuple):
    """The columns that count in a file, and those that must be there."""

    fields: tuple[str, ...]
    required: tuple[str, ...]


LINES = _Columns(LINE_FIELDS, ("quantity",))
LISTS = {
    "prices": _Columns(("part_number", "per_piece", "per_pack", "per_lb", "currency"), ("part_number", "currency")),
    "stock": _Columns(("part_number", "pieces"), ("part_number", "pieces")),
}


def lines_of_csv(source: BinaryIO) -> list[Any]:
    """Return the lines of an order from CSV; a row that has a fault becomes a text that tells it.

    Raises:
        BadFields: The file as a whole cannot be read: empty, no header, no column of quantities.
    """
    names, found = _opened(source, LINES)
    return [fault or row for row, fault in _rows(names, found)]


def lines_of_json(source: BinaryIO) -> list[Any]:
    """Return the lines of an order from a JSON array; BadFields when it is none."""
    try:
        array = read_json(source.read().decode("utf-8-sig"), to_carry=True)
    except ValueError as error:
        raise BadFields([FieldError("lines", f"is not JSON: {error}", "an array of lines")]) from None
    if not isinstance(array, list):
        raise BadFields([FieldError("lines", "is not a JSON array", "an array of lines")])
    return array


def list_of_csv(kind: str, source: BinaryIO) -> list[dict[str, str]]:
    """Return the rows of a shop's list, `prices` or `stock`, with the columns that count; others are left aside.

    Raises:
        BadFields: The file or a row of it cannot be read; a list is taken whole or not at all.
    """
    columns = LISTS[kind]
    try:
        names, found = _opened(source, columns)
    except BadFields as error:
        raise BadFields([FieldError(kind, f"{field}: {told}", good) for field, told, good in error.errors]) from None
    rows = []
    for place, (row, fault) in enumerate(_rows(names, found), start=1):
        if fault is not None:
            raise BadFields([FieldError(kind, f"row {place}: {fault}", ",".join(columns.fields))])
        rows.append({name: text.strip() for name, text in row.items() if name in columns.fields and text.strip()})
    return rows


def _opened(source: BinaryIO, columns: _Columns) -> tuple[list[str], Iterator[Record]]:
    found = records(lines(source))
    return check_header(next(found, None), columns), found


def _rows(names: list[str], found: Iterator[Record]) -> Iterator[tuple[dict[str, str], str | None]]:
    """Yield each row by its columns, short ones filled up; or what is wrong with it."""
    for cells, raw, fault in found:
        told = fault
        if told is None and len(cells) > len(names):
            told = f"{len(cells)} cells where the header has {len(names)}"
        if told is not None:
            yield {}, f"{told}: {readable(raw)[:80]!r}"
            continue
        filled = [*map(readable, cells), *[""] * (len(names) - len(cells))]
        yield dict(zip(names, filled, strict=True)), None
