"""Edition folder -> frozen Edition. Anything the descriptor does not allow is refused, with table, row and column."""

from __future__ import annotations

import csv
import hashlib
import json
import re
from functools import lru_cache
from pathlib import Path
from typing import Any

from bucktail_tables.errors import BrokenEdition, EditionNotFound
from bucktail_tables.model import Edition, Field, Row, Table

HERE = Path(__file__).parent
SOURCE_COLUMNS = ("document", "place", "basis", "note")
BASES = ("published", "second-hand", "derived", "memory", "estimated")
_TYPES = {
    "string": re.compile(r"[^\x00-\x1f]*"),
    "integer": re.compile(r"-?[0-9]{1,9}", re.ASCII),
    "number": re.compile(r"-?[0-9]{1,9}(\.[0-9]{1,12})?", re.ASCII),
    "boolean": re.compile(r"true|false"),
    "size": re.compile(r"[1-9][0-9]{0,2}/[1-9][0-9]{0,2}", re.ASCII),
}


def _index() -> dict[str, Any]:
    index: dict[str, Any] = json.loads((HERE / "editions.json").read_text(encoding="utf-8"))
    return index


def edition_names() -> tuple[str, ...]:
    """Return the names of the installed editions, oldest first."""
    return tuple(entry["name"] for entry in _index()["editions"])


def default_name() -> str:
    """Return the name of the edition that answers when none is asked for."""
    return str(_index()["default"])


@lru_cache(maxsize=32)
def load_edition(name: str | None = None) -> Edition:
    """Return an installed edition, read once per process.

    Args:
        name: The edition's name; the default edition when None.

    Raises:
        EditionNotFound: There is no such edition.
        BrokenEdition: Its files are not whole, or a released edition's digest has changed.
    """
    index = _index()
    wanted = index["default"] if name is None else name
    for entry in index["editions"]:
        if entry["name"] == wanted:
            edition = load_folder(HERE / wanted, name=wanted, status=entry["status"])
            if entry["sha256"] is not None and entry["sha256"] != edition.sha256:
                raise BrokenEdition(wanted, None, None, "the released edition's digest has changed")
            return edition
    raise EditionNotFound(wanted, edition_names())


def load_folder(folder: Path, *, name: str, status: str) -> Edition:
    """Return the edition in *folder*, every cell checked against the descriptor.

    Raises:
        BrokenEdition: A file is missing or a cell is not what the descriptor allows.
    """
    digest = hashlib.sha256()
    try:
        raw = (folder / "datapackage.json").read_bytes()
        descriptor = json.loads(raw)
    except (OSError, ValueError) as error:
        raise BrokenEdition("datapackage.json", None, None, str(error)) from None
    digest.update(raw)
    tables = {}
    for resource in descriptor["resources"]:
        table, raw = _load_table(folder, resource)
        digest.update(table.name.encode() + b"\0" + raw)
        tables[table.name] = table
    for table in tables.values():
        _check_references(table, tables)
    return Edition(name, status, digest.hexdigest(), descriptor["title"], descriptor, tables)


def _load_table(folder: Path, resource: dict[str, Any]) -> tuple[Table, bytes]:
    name = resource["name"]
    path = Path(resource["path"])
    if path.name != resource["path"]:
        raise BrokenEdition(name, None, None, f"the path {resource['path']!r} leaves the edition's folder")
    try:
        raw = (folder / path).read_bytes()
        text = raw.decode("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise BrokenEdition(name, None, None, str(error)) from None
    schema = resource["schema"]
    fields = tuple(_field(entry) for entry in schema["fields"])
    key = tuple([schema["primaryKey"]] if isinstance(schema["primaryKey"], str) else schema["primaryKey"])
    rows = _rows(name, fields, key, text)
    by_key: dict[tuple[str, ...], Row] = {}
    for row in rows:
        if row.key in by_key:
            raise BrokenEdition(name, row.line, key[0], f"the key {'/'.join(row.key)} stands twice")
        by_key[row.key] = row
    foreign = tuple(
        (entry["fields"][0], entry["reference"]["resource"], entry["reference"]["fields"][0])
        for entry in schema.get("foreignKeys", ())
    )
    return Table(name, resource["title"], key, fields, foreign, tuple(rows), by_key), raw


def _field(entry: dict[str, Any]) -> Field:
    limits = entry.get("constraints", {})
    enum = frozenset(limits["enum"]) if "enum" in limits else None
    return Field(entry["name"], entry["type"], entry.get("unit"), bool(limits.get("required")), enum)


def _rows(name: str, fields: tuple[Field, ...], key: tuple[str, ...], text: str) -> list[Row]:
    reader = csv.reader(text.splitlines(), strict=True)
    names = [field.name for field in fields]
    rows = []
    try:
        if next(reader, None) != names:
            raise BrokenEdition(name, 1, None, f"the header must read {','.join(names)}")
        for line, cells in enumerate(reader, start=2):
            if len(cells) != len(names):
                raise BrokenEdition(name, line, None, f"{len(cells)} cells where the header has {len(names)}")
            for field, cell in zip(fields, cells, strict=True):
                _check_cell(name, line, field, cell)
            row = dict(zip(names, cells, strict=True))
            rows.append(Row(name, line, tuple(row[column] for column in key), row))
    except csv.Error as error:
        raise BrokenEdition(name, reader.line_num, None, str(error)) from None
    if not rows:
        raise BrokenEdition(name, None, None, "the table is empty")
    return rows


def _check_cell(table: str, line: int, field: Field, cell: str) -> None:
    if not cell:
        if field.required:
            raise BrokenEdition(table, line, field.name, "the cell is empty")
        return
    if _TYPES[field.type].fullmatch(cell) is None:
        raise BrokenEdition(table, line, field.name, f"{cell!r} is not a {field.type}")
    if field.enum is not None and cell not in field.enum:
        raise BrokenEdition(table, line, field.name, f"{cell!r} is not one of {', '.join(sorted(field.enum))}")


def _check_references(table: Table, tables: dict[str, Table]) -> None:
    for column, other, target in table.foreign_keys:
        known = {row.text(target) for row in tables[other]}
        for row in table:
            if row.text(column) not in known:
                raise BrokenEdition(table.name, row.line, column, f"{row.text(column)!r} is not in {other}")
