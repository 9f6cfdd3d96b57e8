"""What an edition is made of: tables of rows, each cell kept as printed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any


@lru_cache(maxsize=4096)
def exact(text: str) -> Fraction:
    """Return the exact value of a printed number or size, such as `0.1285` or `5/32`."""
    return Fraction(text)


@dataclass(frozen=True, slots=True)
class Field:
    """One column as the descriptor declares it."""

    name: str
    type: str
    unit: str | None
    required: bool
    enum: frozenset[str] | None


class Row:
    """One row of a table; cells stay text as printed, numbers are read exactly when asked for.

    Attributes:
        house: The house edition that gave the row; None for rows of the program's own editions.
    """

    __slots__ = ("cells", "key", "line", "table")
    house: str | None = None

    def __init__(self, table: str, line: int, key: tuple[str, ...], cells: dict[str, str]) -> None:
        self.table = table
        self.line = line
        self.key = key
        self.cells = cells

    def text(self, column: str) -> str:
        """Return the cell as printed; empty when there is none."""
        return self.cells[column]

    def number(self, column: str) -> Fraction:
        """Return the cell's exact value, in the unit of its column; ValueError when it is empty."""
        return exact(self.cells[column])

    def maybe(self, column: str) -> Fraction | None:
        """Return the cell's exact value, or None when the document gives none."""
        cell = self.cells[column]
        return exact(cell) if cell else None

    def flag(self, column: str) -> bool:
        """Return a boolean cell."""
        return self.cells[column] == "true"

    def words(self, column: str) -> list[str]:
        """Return the blank-separated words of a cell."""
        return self.cells[column].split()

    @property
    def document(self) -> str:
        """The document this row was read in."""
        return self.cells["document"]

    @property
    def place(self) -> str:
        """Where in the document."""
        return self.cells["place"]

    @property
    def basis(self) -> str:
        """How well the row is known: published, second-hand, derived, memory or estimated."""
        return self.cells["basis"]

    def __repr__(self) -> str:
        return f"<Row {self.table} {'/'.join(self.key)}>"


class HouseRow(Row):
    """A row of a house's own tables; its line is that of the house's file."""

    __slots__ = ("house",)

    def __init__(self, table: str, line: int, key: tuple[str, ...], cells: dict[str, str], house: str) -> None:
        super().__init__(table, line, key, cells)
        self.house = house


@dataclass(frozen=True, eq=False, slots=True)
class Table:
    """One table, its rows in file order and indexed by primary key."""

    name: str
    title: str
    primary_key: tuple[str, ...]
    fields: tuple[Field, ...]
    foreign_keys: tuple[tuple[str, str, str], ...]
    rows: tuple[Row, ...]
    by_key: Mapping[tuple[str, ...], Row]

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    def find(self, *key: str) -> Row | None:
        """Return the row with that primary key, or None."""
        return self.by_key.get(key)


@dataclass(frozen=True, eq=False, slots=True)
class Edition:
    """An immutable set of tables. Compared and hashed by identity, so that answers may be kept per edition.

    Attributes:
        extends: The edition whose tables a house edition stands on; None for the program's own editions.
        house_tables: Names of the tables in which house rows stand, or from which house tables took rows.
    """

    name: str
    status: str
    sha256: str
    title: str
    descriptor: Mapping[str, Any]
    tables: Mapping[str, Table]
    extends: Edition | None = None
    house_tables: tuple[str, ...] = ()

    def __getitem__(self, table: str) -> Table:
        return self.tables[table]

    @property
    def is_draft(self) -> bool:
        """True while the edition may still change."""
        return self.status == "draft" or (self.extends is not None and self.extends.is_draft)

    @property
    def is_house(self) -> bool:
        """True for an edition that house tables make of another."""
        return self.extends is not None
