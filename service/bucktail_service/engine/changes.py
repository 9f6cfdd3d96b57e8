"""What differs between two editions: tables and columns that came or went, rows added, removed and changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from bucktail_service.engine.cautions import caution_list
from bucktail_service.engine.sources import UNCERTAIN
from bucktail_tables.load import SOURCE_COLUMNS
from bucktail_tables.model import Edition, Field, Row, Table

RowKey = tuple[str, tuple[str, ...]]


def changes(before: Edition, after: Edition) -> dict[str, Any]:
    """Return what differs from one edition to another; mirrored, it is what differs the other way round.

    Rows are told apart by table and primary key, cells by column. An empty cell and a column that is not there are
    both null: neither holds a figure. A row whose cells are alike has not changed, wherever it stands in its file.
    """
    names = sorted({*before.tables, *after.tables})
    told = [_table(name, before.tables.get(name), after.tables.get(name)) for name in names]
    tables = [entry for entry in told if entry["state"] != "changed" or entry["columns"] or entry["rows"]]
    return {
        "from": _named(before),
        "to": _named(after),
        "counts": _counts(tables),
        "tables": tables,
    }


def changed_rows(told: Mapping[str, Any]) -> dict[RowKey, dict[str, Any]]:
    """Return the rows that `changes` told, by table and key, each with the name of its table."""
    return {
        (table["table"], tuple(row["row"])): {"table": table["table"], **row}
        for table in told["tables"]
        for row in table["rows"]
    }


def change_cautions(told: Mapping[str, Any], before: Edition, after: Edition) -> list[dict[str, Any]]:
    """Return what holds for figures of two editions that are read side by side, in the words of the second."""
    rows = [row for table in told["tables"] for row in table["rows"]]
    sources = [row[side] for row in rows for side in ("before", "after") if row[side] is not None]
    codes = ["approved-data"]
    codes += ["not-published"] if any(source["basis"] in UNCERTAIN for source in sources) else []
    codes += ["edition-draft"] if before.is_draft or after.is_draft else []
    return caution_list(codes, after)


def _named(edition: Edition) -> dict[str, str]:
    return {"name": edition.name, "sha256": edition.sha256, "status": edition.status}


def _counts(tables: Sequence[Mapping[str, Any]]) -> dict[str, int]:
    rows = [row for table in tables for row in table["rows"]]
    states = [row["state"] for row in rows]
    return {
        "tables": len(tables),
        "added": states.count("added"),
        "removed": states.count("removed"),
        "changed": states.count("changed"),
        "cells": sum(len(row["cells"]) for row in rows if row["state"] == "changed"),
    }


def _state(before: object, after: object) -> str:
    return "added" if before is None else "removed" if after is None else "changed"


def _table(name: str, before: Table | None, after: Table | None) -> dict[str, Any]:
    shown = after or before
    rows = _rows(before, after)
    states = [row["state"] for row in rows]
    return {
        "table": name,
        "title": "" if shown is None else shown.title,
        "state": _state(before, after),
        "key_before": [] if before is None else list(before.primary_key),
        "key_after": [] if after is None else list(after.primary_key),
        "columns": _columns(before, after),
        "added": states.count("added"),
        "removed": states.count("removed"),
        "changed": states.count("changed"),
        "rows": rows,
    }


def _columns(before: Table | None, after: Table | None) -> list[dict[str, Any]]:
    """Return the columns that came, went, or hold figures of another kind or unit."""
    old, new = (
        {} if table is None else {field.name: _kind(field, table) for field in table.fields}
        for table in (before, after)
    )
    if before is None or after is None:
        return []  # the table as a whole says it
    return [
        {
            "column": name,
            "state": _state(old.get(name), new.get(name)),
            "before": old.get(name),
            "after": new.get(name),
        }
        for name in _ordered({*old, *new})
        if old.get(name) != new.get(name)
    ]


def _kind(field: Field, table: Table) -> dict[str, Any]:
    return {"type": field.type, "unit": field.unit, "key": field.name in table.primary_key}


def _ordered(columns: Iterable[str]) -> list[str]:
    """Return columns by name, those that say where a row was read last: the same order whichever edition is first."""
    last = {name: at for at, name in enumerate(SOURCE_COLUMNS, 1)}
    return sorted(columns, key=lambda name: (last.get(name, 0), name))


def _rows(before: Table | None, after: Table | None) -> list[dict[str, Any]]:
    old: Mapping[tuple[str, ...], Row] = {} if before is None else before.by_key
    new: Mapping[tuple[str, ...], Row] = {} if after is None else after.by_key
    if before is not None and after is not None and before.primary_key != after.primary_key:
        # the same words may now name another row: none of the old rows is one of the new
        apart = [*(_row(row, None) for row in old.values()), *(_row(None, row) for row in new.values())]
    else:
        keys = {*old, *new}
        apart = [_row(old.get(key), new.get(key)) for key in keys if _differ(old.get(key), new.get(key))]
    return sorted(apart, key=lambda row: (row["row"], row["state"]))


def _differ(before: Row | None, after: Row | None) -> bool:
    return before is None or after is None or (before.cells != after.cells and bool(_cells(before, after)))


def _row(before: Row | None, after: Row | None) -> dict[str, Any]:
    known = after if before is None else before
    return {
        "row": [] if known is None else list(known.key),
        "state": _state(before, after),
        "before": _source(before),
        "after": _source(after),
        "cells": _cells(before, after),
    }


def _source(row: Row | None) -> dict[str, str] | None:
    if row is None:
        return None
    house = {"house": row.house} if row.house else {}
    return {"document": row.document, "place": row.place, "basis": row.basis, **house}


def _cells(before: Row | None, after: Row | None) -> list[dict[str, Any]]:
    """Return the cells that differ; of a row that came or went, all that hold something."""
    old, new = ({} if row is None else row.cells for row in (before, after))
    found = ((name, old.get(name) or None, new.get(name) or None) for name in _ordered({*old, *new}))
    return [{"column": name, "before": was, "after": now} for name, was, now in found if was != now]
