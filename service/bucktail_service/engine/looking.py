"""The tables themselves: an edition, a table, a row, and the rows that words are found in."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Mapping
from difflib import SequenceMatcher
from typing import Any
from urllib.parse import quote

from bucktail_service.engine.blocks import edition_block
from bucktail_service.engine.cautions import caution_list
from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.lengths import shown
from bucktail_service.engine.searching import index_of, words_of
from bucktail_service.engine.sources import UNCERTAIN
from bucktail_tables.load import SOURCE_COLUMNS
from bucktail_tables.model import Edition, Field, Row, Table

_NEAR = 5
_MANY = 400  # keys compared by their letters; a longer table is first cut to those that share a part


def edition_page(
    described: Mapping[str, Any], digests: Mapping[str, str], changes: str, edition: Edition
) -> dict[str, Any]:
    """Return one edition: *described* as in the list, each table with its file's digest, and what it changed."""
    tables = [{**table, "sha256": digests[table["name"]]} for table in described["tables"]]
    # which edition is the default changes, and this page may be kept for a year
    lasting = {name: value for name, value in described.items() if name != "default"}
    return {**lasting, "tables": tables, "changes": changes, "link": _link(edition)}


def table_page(name: str, digest: str, edition: Edition) -> dict[str, Any]:
    """Return one table: its columns, its primary key, and its rows, cells as printed.

    Args:
        name: The table, as the edition names it.
        digest: SHA-256 of the table's file.
        edition: The tables to read.
    """
    table = find_table(name, edition)
    told = _descriptions(table, edition)
    return {
        "table": table.name,
        "title": table.title,
        "sha256": digest,
        "fields": [_field(field, told) for field in table.fields],
        "primary_key": list(table.primary_key),
        "rows": [dict(row.cells) for row in table],
        **_house_rows(table, edition),
        "cautions": _cautions(table, edition),
        "edition": edition_block(edition),
        "link": _link(edition, "tables", table.name),
    }


def row_page(name: str, key: tuple[str, ...], edition: Edition) -> dict[str, Any]:
    """Return one row: cells as printed, their units, and where they were read.

    Raises:
        NotTabulated: There is no such table, or no row with that key; the example names those near it.
    """
    table = find_table(name, edition)
    row = table.find(*key)
    if row is None:
        columns = ", ".join(table.primary_key)
        asked = shown(written_key(key))
        raise NotTabulated("key", f"{table.name} has no row {asked}; its key is {columns}", _near(key, table))
    return {
        **_row(table, row, edition),
        "units": {field.name: field.unit for field in table.fields if field.unit is not None},
        "cautions": _cautions([row], edition),
        "edition": edition_block(edition),
    }


def found_rows(text: str, limit: int, edition: Edition) -> dict[str, Any]:
    """Return the rows that hold every word of *text*, the best *limit* of them, and how many more there are."""
    words = tuple(dict.fromkeys(words_of(text)))
    index = index_of(edition)
    places = index.find(words)
    best = [index.rows[at] for at in places[:limit]]
    return {
        "text": text,
        "words": list(words),
        "found": len(places),
        "more": len(places) - len(best),
        "rows": [_row(table, row, edition) for table, row in best],
        "cautions": _cautions([row for _, row in best], edition),
        "edition": edition_block(edition),
        "link": f"{_link(edition, 'find')}?text={quote(text, safe='/')}&limit={limit}",
    }


def find_table(name: str, edition: Edition) -> Table:
    """Return a table of an edition.

    Raises:
        NotTabulated: It has none of that name; the example names those most like it.
    """
    if name in edition.tables:
        return edition[name]
    near = sorted(edition.tables, key=lambda known: -_likeness(known, name))[:_NEAR]
    raise NotTabulated("table", f"edition {edition.name} has no table {shown(name)}", ", ".join(near))


def written_key(key: Iterable[str]) -> str:
    """Return a key as it is written after `bucktail editions row TABLE`."""
    return " ".join(map(shlex.quote, key))


def _row(table: Table, row: Row, edition: Edition) -> dict[str, Any]:
    query = "&".join(f"key={quote(part, safe='/')}" for part in row.key)
    return {
        "table": table.name,
        "title": table.title,
        "primary_key": list(table.primary_key),
        "key": list(row.key),
        "cells": {column: cell for column, cell in row.cells.items() if column not in SOURCE_COLUMNS},
        "document": row.document,
        "place": row.place,
        "basis": row.basis,
        "note": row.text("note"),
        **({"house": row.house} if row.house else {}),
        "link": f"{_link(edition, 'tables', table.name, 'row')}?{query}",
    }


def _house_rows(table: Table, edition: Edition) -> dict[str, Any]:
    """Return the keys of a table's rows that are a house's own; nothing where no house adds to the edition."""
    return {"house_rows": [list(row.key) for row in table if row.house]} if edition.is_house else {}


def _field(field: Field, told: Mapping[str, str]) -> dict[str, Any]:
    return {
        "name": field.name,
        "type": field.type,
        "unit": field.unit,
        "description": told.get(field.name, ""),
        "required": field.required,
    }


def _descriptions(table: Table, edition: Edition) -> dict[str, str]:
    """Return what the descriptor tells of a table's columns."""
    for resource in edition.descriptor.get("resources", ()):
        if resource["name"] == table.name:
            told = {entry["name"]: entry.get("description", "") for entry in resource["schema"]["fields"]}
            return {name: text for name, text in told.items() if isinstance(text, str)}
    return {}


def _cautions(rows: Iterable[Row], edition: Edition) -> list[dict[str, Any]]:
    """Return what holds for figures that are read without the question they answer."""
    doubtful = any(row.basis in UNCERTAIN for row in rows)
    draft = ["edition-draft"] if edition.is_draft else []
    return caution_list(["approved-data", *(["not-published"] if doubtful else []), *draft], edition)


def _near(key: tuple[str, ...], table: Table) -> str:
    """Return the keys most like one that is not there: those that share the most parts, then letters."""
    shared = {row.key: sum(part == asked for part, asked in zip(row.key, key, strict=False)) for row in table}
    candidates = sorted(shared, key=lambda known: -shared[known])[:_MANY]
    asked = " ".join(key)
    likeness = {known: (shared[known], _likeness(" ".join(known), asked)) for known in candidates}
    near = sorted(candidates, key=lambda known: likeness[known], reverse=True)[:_NEAR]
    return ", ".join(map(written_key, near))


def _likeness(known: str, asked: str) -> float:
    return SequenceMatcher(None, known, asked[:80].casefold() if known.islower() else asked[:80]).ratio()


def _link(edition: Edition, *path: str) -> str:
    return "/".join(("/v1/editions", edition.name, *path))
