"""TablesError             never raised itself
BrokenEdition       a folder of tables cannot be trusted (names table, row and column)
    BrokenHouse     a folder of house tables cannot (names the folder too)
EditionNotFound     no edition of that name is installed
"""

from __future__ import annotations


class TablesError(Exception):
    """Base of everything this package raises."""


class BrokenEdition(TablesError):
    """An edition's files are wrong; carries where, so that a person can open the file and look."""

    def __init__(self, table: str, row: int | None, column: str | None, message: str) -> None:
        self.table = table
        self.row = row
        self.column = column
        self.message = message
        where = f"table {table}"
        if row is not None:
            where += f", row {row}"
        if column is not None:
            where += f", column {column}"
        super().__init__(f"{where}: {message}")


class BrokenHouse(BrokenEdition):
    """A folder of house tables is wrong; carries which."""

    def __init__(self, folder: str, flaw: BrokenEdition) -> None:
        super().__init__(flaw.table, flaw.row, flaw.column, flaw.message)
        self.folder = folder
        self.args = (f"house tables in {folder}: {flaw}",)


class EditionNotFound(TablesError):
    """No edition of that name is installed; carries the names there are."""

    def __init__(self, name: str, known: tuple[str, ...]) -> None:
        self.name = name
        self.known = known
        super().__init__(f"no edition {name!r}; there are {', '.join(known)}")
