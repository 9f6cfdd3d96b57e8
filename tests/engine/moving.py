"""Editions that differ in chosen places, made in memory; and questions that are asked in them."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from bucktail_service.asking.moves import Past
from bucktail_tables.load import load_edition
from bucktail_tables.model import Edition, Row, Table

BEFORE = load_edition("2026.1")
QUESTIONS = [
    {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040+0.040"},
    {"diameter": "5/32", "alloy": "AD", "head": "flush-100", "stack": "0.064+0.040", "practice": "military"},
    {"diameter": "3/16", "alloy": "DD", "head": "MS20470", "stack": "0.125 2024-T3+0.040 lead", "hole": "#11"},
    {"family": "blind", "diameter": "1/8", "alloy": "B", "head": "NAS1398", "stack": "0.100"},
    {"diameter": "1/4", "alloy": "steel", "head": "AN4", "stack": "0.5"},
    {"diameter": "1/4", "alloy": "any", "head": "lockbolt", "stack": "0.5"},
]


def past(questions=QUESTIONS):
    return [Past(number, question, {}, None) for number, question in enumerate(questions, 1)]


def with_rows(table: Table, rows: list[Row]) -> Table:
    return replace(table, rows=tuple(rows), by_key={row.key: row for row in rows})


def edited(table: str, *, name: str = "other", drop=(), put=(), add=()) -> Edition:
    """Return the released edition with rows of one table dropped, cells put in others, and rows added.

    *drop* has keys, *put* (key, column, cell), *add* whole rows of cells.
    """
    found = BEFORE[table]
    cells = {row.key: dict(row.cells) for row in found if row.key not in set(drop)}
    for key, column, cell in put:
        cells[key][column] = cell
    for row in add:
        cells[tuple(row[column] for column in found.primary_key)] = dict(row)
    rows = [Row(table, line, key, kept) for line, (key, kept) in enumerate(cells.items(), 2)]
    return Edition(
        name, "released", "0" * 64, BEFORE.title, BEFORE.descriptor, {**BEFORE.tables, table: with_rows(found, rows)}
    )


def other_figure(row: Row, table: Table) -> tuple[str, str] | None:
    """Return a column of numbers of a row and another number for it, a tenth larger; None when it has none."""
    for field in table.fields:
        if field.type == "number" and field.name not in table.primary_key and row.text(field.name):
            return field.name, str(Decimal(row.text(field.name)) * Decimal("1.1"))
    return None
