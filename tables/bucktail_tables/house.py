"""House tables: a shop's own folders of approved rows, each making an edition of its own out of an installed one.

A folder holds `datapackage.json` and CSV files. The descriptor names the house edition, the edition it extends, and
the tables it has rows for. A row adds to its table or stands in place of the row with the same primary key; one whose
column `withdrawn` is true takes that row out. What comes of it is checked like any edition, or refused.

`BUCKTAIL_TABLES` lists the folders, parted as in PATH. They are read once per process, and again by `reload`.
`python -m bucktail_tables.house FOLDER...` tells whether folders are whole before a service reads them; with `--seal`
it first writes the size and digest of every file into the descriptor, so that nothing but these files is taken.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from threading import Lock
from typing import Any

from bucktail_tables.errors import BrokenEdition, BrokenHouse, EditionNotFound, TablesError
from bucktail_tables.load import (
    DESCRIPTOR,
    SOURCE_COLUMNS,
    check_references,
    chosen_name,
    csv_lines,
    fault_of,
    load_packaged,
    packaged_names,
    read_descriptor,
    read_name,
    read_path,
    read_plain,
    read_title,
    take,
)
from bucktail_tables.model import Edition, Field, HouseRow, Row, Table

STATUS = "house"
VARIABLE = "BUCKTAIL_TABLES"
MOST_ROWS = 10_000  # the largest table of an edition has a tenth; the relations must stay quick to check
WITHDRAWN = Field("withdrawn", "boolean", None, required=False, enum=None)
# what an answer may not leave out is not a house's to change
# what answers must carry whole, what the engine counts by, and what fasteners and sheets carry: a shop's word does not
# change these
NOT_A_HOUSES = (
    "cautions",
    "rules",
    "shear",
    "material_strength",
    "bearing_allowables",
    "unit_bearing",
    "thin_sheet_factors",
    "flush_joints",
    "handbook_shear",
    "handbook_bearing",
    "grip_strength",
    "torques",
)
# columns whose cells are the names that questions take: those are the program's own, a house cannot add to them
NAMES = {
    "standards": ("standard", "head"),
    "aliases": ("alias",),
    "materials": ("alloy", "number", "name"),
    "practices": ("practice",),
    "grip_standards": ("standard", "head"),
    "grip_offered": ("alloy", "name", "material"),
    "nuts": ("nut",),
    "splice_tables": ("table",),
    "splice_members": ("member",),
}
_EDITION_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,31}", re.ASCII)
_RESOURCE_KEYS = frozenset(
    {"name", "path", "title", "description", "format", "mediatype", "encoding", "profile", "bytes", "hash", "schema"}
)

Houses = Mapping[str, Edition]


@dataclass(frozen=True, slots=True)
class _House:
    """A folder as it was read: nothing of it is read a second time."""

    folder: str
    name: str
    title: str | None
    base: str
    base_sha256: str | None
    raw: bytes
    resources: tuple[dict[str, Any], ...]
    texts: dict[str, bytes]


_lock = Lock()
_kept: dict[str, Houses] = {}


def folders() -> tuple[Path, ...]:
    """Return the folders that `BUCKTAIL_TABLES` lists."""
    return tuple(Path(part) for part in os.environ.get(VARIABLE, "").split(os.pathsep) if part)


def installed() -> Houses:
    """Return the house editions of this process by name, read when they are first asked for.

    Raises:
        BrokenHouse: A folder is not whole.
    """
    houses = _kept.get(VARIABLE)
    if houses is None:
        with _lock:
            houses = _kept.get(VARIABLE)
            if houses is None:
                houses = _kept[VARIABLE] = load_houses(folders())
    return houses


def reload() -> Houses:
    """Read the folders anew and return what they give; the editions there were stay when anything is wrong.

    Raises:
        BrokenHouse: A folder is not whole.
        EditionNotFound: The edition that answers by default is no longer there.
    """
    houses = load_houses(folders())
    chosen = chosen_name()
    if chosen is not None and chosen not in houses and chosen not in packaged_names():
        raise EditionNotFound(chosen, (*packaged_names(), *houses))
    with _lock:
        _kept[VARIABLE] = houses
    return houses


def load_houses(places: Sequence[Path]) -> dict[str, Edition]:
    """Return the house editions of folders by name, in the order of the folders.

    Raises:
        BrokenHouse: A folder is not whole, two have one name, or what they extend is not there or is another.
    """
    houses: dict[str, _House] = {}
    for place in places:
        with _in_folder(place):
            house = _read_house(place)
            if house.name in houses:
                raise _wrong(f"{houses[house.name].folder} is named {house.name!r} too")
            houses[house.name] = house
    made: dict[str, Edition] = {}
    for house in houses.values():
        _make(house, houses, made, ())
    return {name: made[name] for name in houses}


@contextmanager
def _in_folder(folder: Path | str) -> Iterator[None]:
    try:
        yield
    except BrokenHouse:
        raise
    except BrokenEdition as flaw:
        raise BrokenHouse(str(folder), flaw) from None


def _wrong(message: str) -> BrokenEdition:
    return BrokenEdition(DESCRIPTOR, None, None, message)


def _read_house(folder: Path) -> _House:
    """Return what a folder holds, every file read once and none of them changed meanwhile."""
    before = _looks(folder, [DESCRIPTOR])
    raw, descriptor = read_descriptor(folder)
    name = take(descriptor, "name", str, DESCRIPTOR)
    if _EDITION_NAME.fullmatch(name) is None:
        raise _wrong(f"{name[:80]!r} is not the name of an edition: up to 32 letters, digits, dots and dashes")
    if name in (*packaged_names(), "default"):
        raise _wrong(f"{name!r} is taken by the program: a house edition has a name of its own")
    extends = take(descriptor, "extends", dict, DESCRIPTOR)
    if not extends.keys() <= {"edition", "sha256"}:
        raise _wrong(f"of 'extends' only edition and sha256 are known, not {', '.join(map(repr, sorted(extends)))}")
    resources = _resources(descriptor)
    files = [read_path(resource, resource["name"]) for resource in resources]
    before |= _looks(folder, files)
    texts = {resource["name"]: _read_table(folder, resource) for resource in resources}
    if _looks(folder, [DESCRIPTOR, *files]) != before:
        raise _wrong("the folder changed while it was read")
    return _House(
        str(folder),
        name,
        read_title(descriptor, DESCRIPTOR) if "title" in descriptor else None,
        take(extends, "edition", str, DESCRIPTOR),
        take(extends, "sha256", str, DESCRIPTOR) if "sha256" in extends else None,
        raw,
        resources,
        texts,
    )


def _looks(folder: Path, files: Sequence[str]) -> dict[str, tuple[int, ...]]:
    """Return what tells a file that changes: where it lies, its size and when it was written."""
    looks: dict[str, tuple[int, ...]] = {}
    for file in files:
        try:
            found = (folder / file).lstat()
        except OSError:
            continue  # its reader says so
        looks[file] = (found.st_ino, found.st_size, found.st_mtime_ns)
    return looks


def _resources(descriptor: dict[str, Any]) -> tuple[dict[str, Any], ...]:
    listed = take(descriptor, "resources", list, DESCRIPTOR)
    if not listed:
        raise _wrong("it lists no table")
    names: set[str] = set()
    for resource in listed:
        name = read_name(resource, DESCRIPTOR)
        if name in names:
            raise BrokenEdition(name, None, None, "the descriptor lists the table twice")
        if name in NOT_A_HOUSES:
            told = "a house cannot change this table: cautions, rules and strengths stay the edition's"
            raise BrokenEdition(name, None, None, told)
        unknown = sorted(resource.keys() - _RESOURCE_KEYS)
        if unknown:
            raise BrokenEdition(name, None, None, f"the descriptor says {unknown[0]!r} of it, which nothing reads")
        names.add(name)
    return tuple(listed)


def _read_table(folder: Path, resource: dict[str, Any]) -> bytes:
    name = resource["name"]
    raw = read_plain(folder / read_path(resource, name), name)
    if not raw.endswith(b"\n"):
        raise BrokenEdition(name, None, None, "the file does not end with the end of a line: is it half copied?")
    if "bytes" in resource and resource["bytes"] != len(raw):
        raise BrokenEdition(name, None, None, f"{len(raw)} bytes where the descriptor says {resource['bytes']!r}")
    digest = hashlib.sha256(raw).hexdigest()
    if "hash" in resource and resource["hash"] != f"sha256:{digest}":
        raise BrokenEdition(name, None, None, f"its sha256 is {digest}, the descriptor says {resource['hash']!r}")
    return raw


def _make(house: _House, houses: Mapping[str, _House], made: dict[str, Edition], under: tuple[str, ...]) -> Edition:
    """Return the edition a house makes of the one it extends, which is made first; *under* are those waiting for it."""
    if house.name not in made:
        with _in_folder(house.folder):
            if house.name in under:
                raise _wrong(f"the edition extends itself: {' -> '.join([*under, house.name])}")
            if house.base in houses:
                base = _make(houses[house.base], houses, made, (*under, house.name))
            elif house.base in packaged_names():
                base = load_packaged(house.base)
            else:
                known = ", ".join([*packaged_names(), *(name for name in houses if name != house.name)])
                raise _wrong(f"it extends {house.base[:80]!r}, which is not installed; there are {known}")
            made[house.name] = _extended(base, house)
    return made[house.name]


def _extended(base: Edition, house: _House) -> Edition:
    if house.base_sha256 is not None and house.base_sha256 != base.sha256:
        raise _wrong(f"it extends {base.name} with sha256 {house.base_sha256[:80]!r}; that installed has {base.sha256}")
    digest = hashlib.sha256(f"{base.sha256}\n{hashlib.sha256(house.raw).hexdigest()}\n".encode())
    tables = dict(base.tables.items())
    for resource in house.resources:
        name, raw = resource["name"], house.texts[resource["name"]]
        if name not in tables:
            raise BrokenEdition(name, None, None, f"edition {base.name} has no such table")
        _check_schema(resource, base)
        tables[name] = _merged(tables[name], raw, house)
        digest.update(f"{name}\n{hashlib.sha256(raw).hexdigest()}\n".encode())
    changed = {*base.house_tables, *house.texts}
    title = house.title or f"{base.title}; with the house tables of {house.name}"
    descriptor = {**base.descriptor, "name": house.name, "title": title, "version": house.name}
    descriptor["extends"] = {"edition": base.name, "sha256": base.sha256}
    edition = Edition(
        house.name,
        STATUS,
        digest.hexdigest(),
        title,
        descriptor,
        tables,
        extends=base,
        house_tables=tuple(name for name in tables if name in changed),
    )
    _check(edition)
    return edition


def _check(edition: Edition) -> None:
    """Raise the first flaw of an edition, told whose row it names: its line is that of one file or another."""
    from bucktail_tables.check import check_edition  # noqa: PLC0415  it stands on half of this package

    for table in edition.tables.values():
        try:
            check_references(table, edition.tables)
        except BrokenEdition as flaw:
            raise _told(flaw, edition, 0) from None
    flaws = check_edition(edition)
    if flaws:
        raise _told(flaws[0], edition, len(flaws) - 1)


def _told(flaw: BrokenEdition, edition: Edition, others: int) -> BrokenEdition:
    table = edition.tables.get(flaw.table)
    rows = [row for row in table or () if row.line == flaw.row]
    # more than one file may have such a line: the house's own is the likelier to be wrong
    named = sorted(rows, key=lambda row: row.house != edition.name)
    owners = " or ".join(dict.fromkeys(row.house or _packaged_under(edition).name for row in named))
    more = f" (and {others} flaws more)" if others else ""
    message = f"{flaw.message} [row of {owners}]{more}" if owners else f"{flaw.message}{more}"
    return BrokenEdition(flaw.table, flaw.row, flaw.column, message)


def _packaged_under(edition: Edition) -> Edition:
    while edition.extends is not None:
        edition = edition.extends
    return edition


def _check_schema(resource: dict[str, Any], base: Edition) -> None:
    """Refuse a schema of the house's own that is not that of the table it adds to."""
    if "schema" not in resource:
        return
    own = resource["schema"]
    schema = next(entry["schema"] for entry in base.descriptor["resources"] if entry["name"] == resource["name"])
    fields = [*schema["fields"], {"name": WITHDRAWN.name, "type": WITHDRAWN.type}]
    if own not in (schema, {**schema, "fields": fields}):
        raise BrokenEdition(resource["name"], None, None, f"its schema is not that of edition {base.name}")


def _merged(table: Table, raw: bytes, house: _House) -> Table:
    """Return a table with a house's rows: in place where the key stands already, at the end otherwise."""
    rows: dict[tuple[str, ...], Row] = {row.key: row for row in table.rows}
    seen: set[tuple[str, ...]] = set()
    for row, withdrawn in _house_rows(table, raw, house.name):
        if row.key in seen:
            raise _flaw(row, table.primary_key[0], f"the key {'/'.join(row.key)} stands twice")
        seen.add(row.key)
        _check_no_looser(row, table.by_key.get(row.key), withdrawn=withdrawn)
        if not withdrawn:
            _check_names(row, table)
            rows[row.key] = row
        elif rows.pop(row.key, None) is None:
            raise _flaw(row, table.primary_key[0], f"withdraws {'/'.join(row.key)}, which is not there")
    if not rows:
        raise BrokenEdition(table.name, None, None, "no row is left")
    return replace(table, rows=tuple(rows.values()), by_key=rows)


def _check_no_looser(row: HouseRow, base: Row | None, *, withdrawn: bool) -> None:
    """Refuse a distance looser than the edition's: a house may ask for more, never let less do."""
    if row.table != "spacing" or base is None:
        return
    figure = base.text("figure")
    sign = 1 if figure.endswith("_minimum") else -1 if figure.endswith("_maximum") else 0
    if not sign:
        return
    if withdrawn:
        raise _flaw(row, "withdrawn", f"takes out {figure}, a limit of the edition it extends")
    for column in ("times_d", "plus_in"):
        mine, theirs = row.maybe(column) or Fraction(0), base.maybe(column) or Fraction(0)
        if sign * (mine - theirs) < 0:
            raise _flaw(row, column, f"is looser than {float(theirs):g}, the {figure} of the edition it extends")


def _house_rows(table: Table, raw: bytes, name: str) -> Iterator[tuple[HouseRow, bool]]:
    """Yield the rows of a house's file and whether each withdraws; every cell is checked."""
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise BrokenEdition(table.name, None, None, str(error)) from None
    columns = [field.name for field in table.fields]
    fields = table.fields
    if text.partition("\n")[0].rstrip("\r").endswith(f",{WITHDRAWN.name}"):
        columns, fields = [*columns, WITHDRAWN.name], (*fields, WITHDRAWN)
    lines = csv_lines(table.name, columns, text)
    if len(lines) > MOST_ROWS:
        raise BrokenEdition(table.name, MOST_ROWS + 2, None, f"a table of a house has at most {MOST_ROWS} rows")
    # of a row that goes, only which it is and who says so must be there
    needed = {*table.primary_key, *SOURCE_COLUMNS}
    for line, line_cells in enumerate(lines, start=2):
        cells = dict(zip(columns, line_cells, strict=True))
        withdrawn = cells.get(WITHDRAWN.name) == "true"
        for field in reversed(fields):  # whether the row goes is read first: the rest may be empty then
            may_be_empty = withdrawn and field.name not in needed
            fault = None if may_be_empty and not cells[field.name] else fault_of(field, cells[field.name])
            if fault is not None:
                raise BrokenEdition(table.name, line, field.name, fault)
        cells.pop(WITHDRAWN.name, None)
        yield HouseRow(table.name, line, tuple(cells[column] for column in table.primary_key), cells, name), withdrawn


def _check_names(row: HouseRow, table: Table) -> None:
    for column in NAMES.get(table.name, ()):
        if all(row.text(column) != known.text(column) for known in table):
            raise _flaw(row, column, f"{row.text(column)!r} is a new name, which no question could say")


def _flaw(row: Row, column: str, message: str) -> BrokenEdition:
    return BrokenEdition(row.table, row.line, column, message)


def seal(folder: Path) -> None:
    """Write the size and digest of each file of a folder into its descriptor; BrokenHouse when one cannot be read."""
    with _in_folder(folder):
        _, descriptor = read_descriptor(folder)
        for resource in _resources(descriptor):
            raw = read_plain(folder / read_path(resource, resource["name"]), resource["name"])
            resource |= {"bytes": len(raw), "hash": f"sha256:{hashlib.sha256(raw).hexdigest()}"}
        # a service that reads meanwhile finds the old descriptor or the new one, never half of it
        written = folder / f".{DESCRIPTOR}"
        written.write_text(json.dumps(descriptor, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
        written.replace(folder / DESCRIPTOR)


def main(arguments: list[str]) -> int:
    """Print what folders of house tables give, those of `BUCKTAIL_TABLES` when none is named; return the exit code."""
    places = [Path(word) for word in arguments if word != "--seal"] or folders()
    try:
        if "--seal" in arguments:
            for place in places:
                seal(place)
        houses = load_houses(places)
    except TablesError as error:
        sys.stderr.write(f"{error}\n")
        return 1
    for edition in houses.values():
        rows = [row for table in edition.tables.values() for row in table if row.house == edition.name]
        base = "" if edition.extends is None else f" on {edition.extends.name}"
        sys.stdout.write(f"{edition.name}{base} {edition.sha256}: {len(rows)} rows of its own, 0 flaws\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
