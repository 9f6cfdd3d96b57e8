"""The files of an installed edition as their bytes, held to its digest: what a reader may check for himself."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from bucktail_tables.errors import BrokenEdition
from bucktail_tables.load import DESCRIPTOR, HERE
from bucktail_tables.model import Edition, Table

CHANGES = "CHANGES.md"


@dataclass(frozen=True, eq=False, slots=True)
class EditionFiles:
    """What an edition was read from."""

    descriptor: bytes
    tables: Mapping[str, bytes]
    changes: str

    def digest_of(self, table: str) -> str:
        """Return the SHA-256 of a table's file."""
        return hashlib.sha256(self.tables[table]).hexdigest()


@lru_cache(maxsize=8)
def files_of(edition: Edition) -> EditionFiles:
    """Return the files of an edition; they are read once, when they are first asked for.

    A table that house tables add to has no file of its own: it is written from its rows, as is the descriptor.

    Raises:
        BrokenEdition: They are no longer the files the edition was loaded from.
    """
    if edition.extends is None:
        return _packaged_files(edition, HERE / edition.name)
    base = files_of(edition.extends)
    own = {name: _written(edition[name]) for name in edition.house_tables}
    descriptor = json.dumps(edition.descriptor, indent=1, ensure_ascii=False).encode() + b"\n"
    return EditionFiles(descriptor, {name: own.get(name, base.tables.get(name, b"")) for name in edition.tables}, "")


def _packaged_files(edition: Edition, folder: Path) -> EditionFiles:
    try:
        descriptor = (folder / DESCRIPTOR).read_bytes()
        tables = {entry["name"]: (folder / entry["path"]).read_bytes() for entry in edition.descriptor["resources"]}
        notes = folder / CHANGES
        changes = notes.read_text(encoding="utf-8") if notes.is_file() else ""
    except (OSError, ValueError) as error:
        raise BrokenEdition(edition.name, None, None, str(error)) from None
    digest = hashlib.sha256(descriptor)
    for name, raw in tables.items():
        digest.update(name.encode() + b"\0" + raw)
    if digest.hexdigest() != edition.sha256:
        raise BrokenEdition(edition.name, None, None, "its files have changed since it was loaded")
    return EditionFiles(descriptor, tables, changes)


def _written(table: Table) -> bytes:
    """Return a table as CSV."""
    columns = [field.name for field in table.fields]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([columns, *([row.text(column) for column in columns] for row in table)])
    return out.getvalue().encode()
