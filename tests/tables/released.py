"""Hashes of the files of every released edition, line by line: a changed byte is named by its table, line and key.

`python -m tests.tables.released` adds the editions that were released since; those that are there are never written
again. The digest in editions.json says that something changed, these say what.
"""

from __future__ import annotations

import csv
import hashlib
import json
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

from bucktail_tables.load import DESCRIPTOR, HERE

FILE = Path(__file__).with_name("released.json")
HEADER = "(header)"
_DIGITS = 16  # of a line's sha256: enough to tell which line; the file's is whole

Files = dict[str, dict[str, Any]]


def released() -> dict[str, str]:
    """Return the digest of each released edition, by name."""
    index = json.loads((HERE / "editions.json").read_text(encoding="utf-8"))
    return {entry["name"]: entry["sha256"] for entry in index["editions"] if entry["status"] == "released"}


def kept() -> dict[str, dict[str, Any]]:
    """Return what is kept of each released edition: `sha256` and `files`."""
    found: dict[str, dict[str, Any]] = json.loads(FILE.read_text(encoding="utf-8"))
    return found


def fingerprint(folder: Path) -> Files:
    """Return the sha256 of each file of an edition's folder, and `hash key` of each of its lines."""
    schemas = _schemas(folder)
    return {
        path.name: {"sha256": _sha256(path), "lines": _lines(path, schemas.get(path.name))} for path in _files(folder)
    }


def _schemas(folder: Path) -> dict[str, Any]:
    descriptor = json.loads((folder / DESCRIPTOR).read_text(encoding="utf-8"))
    return {resource["path"]: resource["schema"] for resource in descriptor["resources"]}


def _files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.iterdir() if path.is_file())


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _lines(path: Path, schema: dict[str, Any] | None) -> list[str]:
    lines = path.read_bytes().splitlines(keepends=True)
    return [
        f"{hashlib.sha256(line).hexdigest()[:_DIGITS]} {key}"
        for line, key in zip(lines, _keys(lines, schema), strict=True)
    ]


def _keys(lines: list[bytes], schema: dict[str, Any] | None) -> list[str]:
    """Return the key of each line of a table, nothing for other files; no cell of a table has a line end in it."""
    if schema is None:
        return [""] * len(lines)
    columns = [field["name"] for field in schema["fields"]]
    primary = schema["primaryKey"]
    places = [columns.index(column) for column in ([primary] if isinstance(primary, str) else primary)]
    rows = csv.reader(line.decode("utf-8", "replace") for line in lines)
    cells = [[*row, *[""] * len(columns)] for row in rows]
    return [HEADER, *["/".join(row[at] for at in places) for row in cells[1:]]]


def differences(files: Files, folder: Path) -> list[str]:
    """Return what is different in *folder* from the *files* kept: table, line and key of each changed row."""
    now = {path.name: path for path in _files(folder)}
    missing = [f"{name}: the file is gone" for name in files if name not in now]
    added = [f"{name}: the file was not released" for name in now if name not in files]
    others = [name for name in files if name in now and _sha256(now[name]) != files[name]["sha256"]]
    # a descriptor that was changed may not tell the keys any more: those kept do
    schemas = _schemas(folder) if others and DESCRIPTOR not in others else {}
    changed = [
        text for name in others for text in _changes(name, files[name]["lines"], _lines(now[name], schemas.get(name)))
    ]
    return missing + added + changed


def _changes(name: str, before: list[str], after: list[str]) -> list[str]:
    changes = []
    hashes = [[line.partition(" ")[0] for line in lines] for lines in (before, after)]
    for kind, start, end, there, until in SequenceMatcher(None, *hashes, autojunk=False).get_opcodes():
        if kind == "insert":
            changes += [f"{name} line {at + 1}: row {_key(after[at])} was added" for at in range(there, until)]
        elif kind != "equal":
            word = "changed" if kind == "replace" else "is gone"
            changes += [f"{name} line {at + 1}: row {_key(before[at])} {word}" for at in range(start, end)]
    return changes


def _key(line: str) -> str:
    return line.partition(" ")[2] or "(no key)"


def write() -> None:
    """Add the released editions that are not kept yet."""
    found = kept() if FILE.exists() else {}
    for name, digest in released().items():
        if name not in found:
            found[name] = {"sha256": digest, "files": fingerprint(HERE / name)}
    FILE.write_text(json.dumps(found, indent=0, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write()
