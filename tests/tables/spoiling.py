"""Copies of the shipped edition, each spoiled in one place."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path

from bucktail_tables.load import HERE, default_name, load_folder
from bucktail_tables.model import Edition


class Copy:
    """A copy of the default edition's folder that may be spoiled."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "copy"
        shutil.copytree(HERE / default_name(), self.folder)

    def load(self, status: str = "draft") -> Edition:
        return load_folder(self.folder, name="copy", status=status)

    def path(self, table: str) -> Path:
        return self.folder / f"{table}.csv"

    def rows(self, table: str) -> list[list[str]]:
        return list(csv.reader(io.StringIO(self.path(table).read_text(encoding="utf-8"))))

    def write(self, table: str, rows: list[list[str]]) -> None:
        with self.path(table).open("w", encoding="utf-8", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows(rows)

    def find(self, table: str, *key: str) -> int:
        """Return the line of the row that begins with *key*; the header is line 1."""
        lines = [at for at, row in enumerate(self.rows(table), 1) if row[: len(key)] == list(key)]
        assert len(lines) == 1, (table, key, lines)
        return lines[0]

    def put(self, table: str, line: int, column: str, cell: str) -> None:
        """Change one cell, and make sure that it changes."""
        rows = self.rows(table)
        at = rows[0].index(column)
        assert rows[line - 1][at] != cell
        rows[line - 1][at] = cell
        self.write(table, rows)

    def repeat(self, table: str, line: int) -> int:
        """Write a row a second time at the end; return its line."""
        rows = self.rows(table)
        self.write(table, [*rows, rows[line - 1]])
        return len(rows) + 1

    def drop(self, table: str, *lines: int) -> None:
        self.write(table, [row for at, row in enumerate(self.rows(table), 1) if at not in lines])

    def describe(self, change) -> None:
        """Change the descriptor."""
        path = self.folder / "datapackage.json"
        descriptor = json.loads(path.read_text(encoding="utf-8"))
        change(descriptor)
        path.write_text(json.dumps(descriptor), encoding="utf-8")
