"""Edition folder -> frozen Edition. Anything the descriptor does not allow is refused, with table, row and column."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import re
import stat
from collections.abc import Iterator, Mapping
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

from bucktail_tables.errors import BrokenEdition, EditionNotFound
from bucktail_tables.model import Edition, Field, Row, Table

HERE = Path(__file__).parent
DESCRIPTOR = "datapackage.json"
_SHOWN = 60
LARGEST_FILE = 16 * 2**20  # bytes; the largest table of an edition is a thousandth of it
SOURCE_COLUMNS = ("document", "place", "basis", "note")
BASES = ("published", "second-hand", "derived", "memory", "estimated")
# the tables that answers are made from; a test holds this list to the engine's source
NEEDED = (
    "practices",
    "diameters",
    "lengths",
    "standards",
    "aliases",
    "offered",
    "materials",
    "drills",
    "holes",
    "spacing",
    "length_rules",
    "formed_heads",
    "manufactured_heads",
    "shear",
    "material_strength",
    "densities",
    "countersinks",
    "rules",
    "layer_materials",
    "cautions",
    "removal",
    "thin_sheet_factors",
    "unit_bearing",
    "bearing_allowables",
    "splice_tables",
    "splice_counts",
    "splice_members",
    "handbook_shear",
    "handbook_bearing",
    "flush_joints",
    "galvanic_groups",
    "galvanic_members",
    "galvanic_compatibility",
    "galvanic_protection",
    "galvanic_potentials",
    "galvanic_series",
    "inspection_limits",
    "bolt_grips",
    "bolt_series",
    "bolt_shanks",
    "collars",
    "cotters",
    "grip_heads",
    "grip_holes",
    "grip_inspection",
    "grip_ladders",
    "grip_offered",
    "grip_ranges",
    "grip_standards",
    "grip_strength",
    "nut_sizes",
    "nuts",
    "pin_protrusions",
    "torques",
    "washers",
)
_TYPES = {
    # one line wherever it is shown, so no control characters or line ends; no blanks that nobody can see
    "string": re.compile(r"(?! )[^\x00-\x1f\x7f-\x9f\u2028\u2029]*(?<! )"),
    "integer": re.compile(r"0|-?[1-9][0-9]{0,8}", re.ASCII),  # the dash 04 would be another key than 4
    "number": re.compile(r"-?(0|[1-9][0-9]{0,8})(\.[0-9]{1,12})?", re.ASCII),
    "boolean": re.compile(r"true|false"),
    "size": re.compile(r"[1-9][0-9]{0,2}/[1-9][0-9]{0,2}", re.ASCII),
}
_NAME = re.compile(r"[a-z][a-z0-9_]*", re.ASCII)
_FILE_NAME = re.compile(r"[a-z][a-z0-9_]*\.csv", re.ASCII)

_T = TypeVar("_T")


def _index() -> dict[str, Any]:
    index: dict[str, Any] = json.loads((HERE / "editions.json").read_text(encoding="utf-8"))
    return index


def packaged_names() -> tuple[str, ...]:
    """Return the names of the editions that come with the program, oldest first."""
    return tuple(entry["name"] for entry in _index()["editions"])


def edition_names() -> tuple[str, ...]:
    """Return the names of the installed editions: the program's own, oldest first, then those of house tables.

    Raises:
        BrokenEdition: A folder of house tables is not whole.
    """
    from bucktail_tables.house import installed  # noqa: PLC0415  it stands on this module

    return (*packaged_names(), *installed())


def chosen_name() -> str | None:
    """Return the edition that `BUCKTAIL_EDITION` makes the default; None when it names none."""
    return os.environ.get("BUCKTAIL_EDITION") or None


def default_name() -> str:
    """Return the name of the edition that answers when none is asked for."""
    return chosen_name() or str(_index()["default"])


@lru_cache(maxsize=32)
def superseded(name: str) -> tuple[date, date | None] | None:
    """Return since when another edition has been the default, and until when this one is promised, if that is said.

    None for an edition that nothing has superseded, and for one that does not come with the program.
    """
    entry: dict[str, Any] = next((entry for entry in _index()["editions"] if entry["name"] == name), {})
    since, until = (entry.get(key) and date.fromisoformat(entry[key]) for key in ("superseded", "sunset"))
    return (since, until or None) if since else None


def load_edition(name: str | None = None) -> Edition:
    """Return an installed edition, read once per process.

    Args:
        name: The edition's name; the program's own default edition when None, whatever `BUCKTAIL_EDITION` says:
            questions take the names it knows.

    Raises:
        EditionNotFound: There is no such edition.
        BrokenEdition: Its files are not whole, or a released edition's digest has changed.
    """
    try:
        return load_packaged(name)
    except EditionNotFound:
        from bucktail_tables.house import installed  # noqa: PLC0415  only who asks for house tables pays for them

        houses = installed()
        if name is None or name not in houses:
            raise EditionNotFound(str(name), edition_names()) from None
        return houses[name]


@lru_cache(maxsize=32)
def load_packaged(name: str | None = None) -> Edition:
    """Return an edition that comes with the program, the default one when None; raises as `load_edition`."""
    index = _index()
    wanted = index["default"] if name is None else name
    for entry in index["editions"]:
        if entry["name"] == wanted:
            known = entry["sha256"] or entry.get("checked")
            edition = load_folder(HERE / wanted, name=wanted, status=entry["status"], known=known)
            if entry["sha256"] is not None and entry["sha256"] != edition.sha256:
                raise BrokenEdition(wanted, None, None, "the released edition's digest has changed")
            return edition
    raise EditionNotFound(wanted, packaged_names())


def load_folder(folder: Path, *, name: str, status: str, known: str | None = None) -> Edition:
    """Return the edition in *folder*, every cell checked against the descriptor.

    Args:
        folder: Where its files are.
        name: The edition's name.
        status: Its status.
        known: Digest of files that were checked before. Files with that digest are not checked again, and each
            table is read when it is first asked for: a terminal reads the ones its answer needs.

    Raises:
        BrokenEdition: A file or a table is missing, the descriptor is not whole, or it does not allow a cell.
    """
    raw, descriptor = read_descriptor(folder)
    if known is not None:
        lazy = _known_tables(folder, raw, descriptor, known)
        if lazy is not None:
            return Edition(name, status, known, read_title(descriptor, DESCRIPTOR), descriptor, lazy)
    digest = hashlib.sha256(raw)
    tables: dict[str, Table] = {}
    for resource in take(descriptor, "resources", list, DESCRIPTOR):
        table, raw = _load_table(folder, resource)
        if table.name in tables:
            raise BrokenEdition(table.name, None, None, "the descriptor lists the table twice")
        digest.update(table.name.encode() + b"\0" + raw)
        tables[table.name] = table
    for needed in NEEDED:
        if needed not in tables:
            raise BrokenEdition(needed, None, None, "answers need this table, and the descriptor does not list it")
    for table in tables.values():
        check_references(table, tables)
    return Edition(name, status, digest.hexdigest(), read_title(descriptor, DESCRIPTOR), descriptor, tables)


class _LazyTables(Mapping[str, Table]):
    """Tables read when they are first asked for."""

    def __init__(self, resources: dict[str, Any], texts: dict[str, bytes]) -> None:
        self._resources = resources
        self._texts = texts
        self._tables: dict[str, Table] = {}

    def __getitem__(self, name: str) -> Table:
        table = self._tables.get(name)
        if table is None:
            table = self._tables[name] = _table(self._resources[name], self._texts[name])
        return table

    def __iter__(self) -> Iterator[str]:
        return iter(self._resources)

    def __len__(self) -> int:
        return len(self._resources)


def _known_tables(folder: Path, raw: bytes, descriptor: dict[str, Any], known: str) -> _LazyTables | None:
    """Return the tables of a folder whose digest is *known*, unread; None when it is another."""
    digest = hashlib.sha256(raw)
    resources, texts = {}, {}
    for resource in take(descriptor, "resources", list, DESCRIPTOR):
        name = read_name(resource, DESCRIPTOR)
        texts[name] = read_plain(folder / read_path(resource, name), name)
        resources[name] = resource
        digest.update(name.encode() + b"\0" + texts[name])
    return _LazyTables(resources, texts) if digest.hexdigest() == known else None


def read_plain(file: Path, table: str) -> bytes:
    """Return what a plain file holds; a link is refused, as the file it leads to may be another tomorrow."""
    try:
        found = file.lstat()
        plain = stat.S_ISREG(found.st_mode) and found.st_size <= LARGEST_FILE
        raw = _read_at_most(file, LARGEST_FILE) if plain else None
    except OSError as error:
        raise BrokenEdition(table, None, None, str(error)) from None
    if raw is None:
        raise BrokenEdition(table, None, None, f"{file.name} is not a plain file of at most {LARGEST_FILE} bytes")
    return raw


def _read_at_most(file: Path, most: int) -> bytes | None:
    """Return what a file holds, or None when it has become larger than it was, or a link, since it was looked at."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    with os.fdopen(os.open(file, flags), "rb") as opened:
        raw = opened.read(most + 1)
    return raw if len(raw) <= most else None


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return an object, each of whose names stands once."""
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a name stands twice in one object")
    return found


def _no_number(text: str) -> Any:
    raise ValueError(f"{text} is not JSON")


def read_descriptor(folder: Path) -> tuple[bytes, dict[str, Any]]:
    """Return the descriptor of a folder, as its bytes and as what they say."""
    raw = read_plain(folder / DESCRIPTOR, DESCRIPTOR)
    try:
        descriptor = json.loads(raw, object_pairs_hook=_once, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise BrokenEdition(DESCRIPTOR, None, None, str(error)) from None
    if not isinstance(descriptor, dict):
        raise BrokenEdition(DESCRIPTOR, None, None, "it is not an object")
    return raw, descriptor


def take(entry: Any, key: str, kind: type[_T], table: str) -> _T:
    """Return what stands under *key* in a part of the descriptor, refused unless it is there and of that kind."""
    value = entry.get(key) if isinstance(entry, dict) else None
    if not isinstance(value, kind):
        raise BrokenEdition(table, None, None, f"the descriptor has no {key!r} that is a {kind.__name__}")
    return value


def read_title(entry: Any, table: str) -> str:
    """Return the title of an edition or a table."""
    title = take(entry, "title", str, table)
    if not title.isprintable():  # half a surrogate pair could not be written in any answer
        raise BrokenEdition(table, None, None, "the title is not plain text")
    return title


def read_name(entry: Any, table: str) -> str:
    """Return the name of a table or a column."""
    name = take(entry, "name", str, table)
    if _NAME.fullmatch(name) is None:
        raise BrokenEdition(table, None, None, f"{name!r} is not a name")
    return name


def read_path(resource: Any, name: str) -> str:
    """Return the file name of a table, refused unless it lies in the edition's own folder."""
    path = take(resource, "path", str, name)
    if _FILE_NAME.fullmatch(path) is None:
        raise BrokenEdition(name, None, None, f"the path {path!r} is not a CSV file of the edition's own folder")
    return path


def _load_table(folder: Path, resource: Any) -> tuple[Table, bytes]:
    name = read_name(resource, DESCRIPTOR)
    raw = read_plain(folder / read_path(resource, name), name)
    return _table(resource, raw), raw


def _table(resource: Any, raw: bytes) -> Table:
    name = read_name(resource, DESCRIPTOR)
    schema = take(resource, "schema", dict, name)
    fields = _fields(schema, name)
    key = _key(schema, fields, name)
    foreign = tuple(_foreign(entry, fields, name) for entry in _listed(schema, "foreignKeys", name))
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise BrokenEdition(name, None, None, str(error)) from None
    rows = _rows(name, fields, key, text)
    by_key: dict[tuple[str, ...], Row] = {}
    for row in rows:
        if row.key in by_key:
            raise BrokenEdition(name, row.line, key[0], f"the key {'/'.join(row.key)} stands twice")
        by_key[row.key] = row
    return Table(name, read_title(resource, name), key, fields, foreign, tuple(rows), by_key)


def _listed(schema: dict[str, Any], key: str, table: str) -> list[Any]:
    return take(schema, key, list, table) if key in schema else []


def _fields(schema: dict[str, Any], table: str) -> tuple[Field, ...]:
    fields = tuple(_field(entry, table) for entry in take(schema, "fields", list, table))
    names = [field.name for field in fields]
    if len(set(names)) != len(names):
        raise BrokenEdition(table, None, None, "the descriptor names a column twice")
    _check_sources(fields[-len(SOURCE_COLUMNS) :], table)
    return fields


def _check_sources(last: tuple[Field, ...], table: str) -> None:
    """Refuse a table whose rows might not say where they were read and how well they are known."""
    if tuple(field.name for field in last) != SOURCE_COLUMNS:
        raise BrokenEdition(table, None, None, f"the last columns must be {', '.join(SOURCE_COLUMNS)}")
    document, _, basis, _ = last
    if not document.required:
        raise BrokenEdition(table, None, document.name, "the descriptor does not require it")
    if not basis.required or basis.enum is None or not basis.enum <= set(BASES):
        raise BrokenEdition(table, None, basis.name, f"the descriptor does not hold it to {', '.join(BASES)}")


def _field(entry: Any, table: str) -> Field:
    name = read_name(entry, table)
    kind = take(entry, "type", str, table)
    if kind not in _TYPES:
        raise BrokenEdition(table, None, name, f"{kind!r} is not one of the types {', '.join(_TYPES)}")
    unit = take(entry, "unit", str, table) if "unit" in entry else None
    limits = take(entry, "constraints", dict, table) if "constraints" in entry else {}
    if not limits.keys() <= {"required", "enum"}:  # a constraint that nothing holds would only look like one
        raise BrokenEdition(table, None, name, f"of the constraints {sorted(limits)} only required and enum are known")
    required = take(limits, "required", bool, table) if "required" in limits else False
    enum = take(limits, "enum", list, table) if "enum" in limits else None
    if enum is not None and not all(isinstance(word, str) and word.isprintable() for word in enum):
        raise BrokenEdition(table, None, name, "the enum is not made of words")
    return Field(name, kind, unit, required, None if enum is None else frozenset(enum))


def _key(schema: dict[str, Any], fields: tuple[Field, ...], table: str) -> tuple[str, ...]:
    listed = schema.get("primaryKey")
    key = [listed] if isinstance(listed, str) else take(schema, "primaryKey", list, table)
    names = [field.name for field in fields]
    if not key or not all(column in names for column in key):
        raise BrokenEdition(table, None, None, "the primary key is not made of the table's columns")
    return tuple(key)


def _foreign(entry: Any, fields: tuple[Field, ...], table: str) -> tuple[str, str, str]:
    """Return a foreign key as column, other table, column there; keys of several columns are not known."""
    columns = take(entry, "fields", list, table)
    reference = take(entry, "reference", dict, table)
    other = take(reference, "resource", str, table)
    targets = take(reference, "fields", list, table)
    if len(columns) != 1 or len(targets) != 1 or columns[0] not in [field.name for field in fields]:
        raise BrokenEdition(table, None, None, f"the foreign key to {other!r} is not one column of the table")
    return columns[0], other, targets[0]


def _rows(name: str, fields: tuple[Field, ...], key: tuple[str, ...], text: str) -> list[Row]:
    names = [field.name for field in fields]
    lines = csv_lines(name, names, text)
    for field, column in zip(fields, zip(*lines, strict=True), strict=True):
        _check_column(name, field, column)
    places = [names.index(column) for column in key]
    return [
        Row(name, line, tuple([cells[at] for at in places]), dict(zip(names, cells, strict=True)))
        for line, cells in enumerate(lines, start=2)
    ]


def csv_lines(name: str, header: list[str], text: str) -> list[list[str]]:
    """Return the cells of each line under the header, as many as the header has; at least one line."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        lines = list(reader)
    except csv.Error as error:
        raise BrokenEdition(name, reader.line_num, None, str(error)) from None
    if lines[:1] != [header]:
        raise BrokenEdition(name, 1, None, f"the header must read {','.join(header)}")
    del lines[0]
    if not lines:
        raise BrokenEdition(name, None, None, "the table is empty")
    for line, cells in enumerate(lines, start=2):
        if len(cells) != len(header):
            raise BrokenEdition(name, line, None, f"{len(cells)} cells where the header has {len(header)}")
    return lines


def _check_column(table: str, field: Field, column: tuple[str, ...]) -> None:
    for cell in dict.fromkeys(column):  # most cells of a column are alike: each is looked at once
        fault = fault_of(field, cell)
        if fault is not None:
            raise BrokenEdition(table, column.index(cell) + 2, field.name, fault)


def _short(cell: str) -> str:
    return repr(cell if len(cell) <= _SHOWN else cell[: _SHOWN - 3] + "...")


def fault_of(field: Field, cell: str) -> str | None:
    """Return what is wrong with a cell, or None."""
    if not cell:
        return "the cell is empty" if field.required else None
    if _TYPES[field.type].fullmatch(cell) is None:
        return f"{_short(cell)} is not a {field.type}"
    if field.enum is not None and cell not in field.enum:
        return f"{_short(cell)} is not one of {', '.join(sorted(field.enum))}"
    return None


def check_references(table: Table, tables: Mapping[str, Table]) -> None:
    """Raise BrokenEdition for a cell that refers to a row that is not there."""
    for column, other, target in table.foreign_keys:
        if other not in tables or target not in [field.name for field in tables[other].fields]:
            raise BrokenEdition(table.name, None, column, f"it refers to a column of {other!r} that is not there")
        known = {row.text(target) for row in tables[other]}
        for row in table:
            if row.text(column) not in known:
                raise BrokenEdition(table.name, row.line, column, f"{row.text(column)!r} is not in {other}")


def stamp(edition: Edition) -> None:
    """Note the digest of a draft that was found whole, so that its unchanged files need no checking when loaded."""
    index = _index()
    for entry in index["editions"]:
        if entry["name"] == edition.name and edition.is_draft:
            entry["checked"] = edition.sha256
    (HERE / "editions.json").write_text(json.dumps(index, indent=2) + "\n", encoding="utf-8")
