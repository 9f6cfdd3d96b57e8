"""Copies of the invented shop's folder of house tables, each changed in one place."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path

from bucktail_tables.house import load_houses
from bucktail_tables.model import Edition

SHOP = Path(__file__).parents[1] / "scenario" / "house"
NAME = "shop-2026-11"


class Shop:
    """A copy of the shop's folder that may be changed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        shutil.copytree(SHOP, self.folder)

    def load(self) -> Edition:
        (edition,) = load_houses([self.folder]).values()
        return edition

    def path(self, table: str) -> Path:
        return self.folder / f"{table}.csv"

    def rows(self, table: str) -> list[list[str]]:
        return list(csv.reader(io.StringIO(self.path(table).read_text(encoding="utf-8"))))

    def write(self, table: str, rows: list[list[str]]) -> None:
        with self.path(table).open("w", encoding="utf-8", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows(rows)

    def put(self, table: str, line: int, column: str, cell: str) -> None:
        """Change one cell, and make sure that it changes."""
        rows = self.rows(table)
        at = rows[0].index(column)
        assert rows[line - 1][at] != cell
        rows[line - 1][at] = cell
        self.write(table, rows)

    def describe(self, change) -> None:
        """Change the descriptor."""
        path = self.folder / "datapackage.json"
        descriptor = json.loads(path.read_text(encoding="utf-8"))
        change(descriptor)
        path.write_text(json.dumps(descriptor), encoding="utf-8")
