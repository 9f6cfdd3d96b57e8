"""Editions by their names, and all of them."""

from __future__ import annotations

from bucktail_service.asking.question import Answer, Payload
from bucktail_service.engine.editions import describe_all
from bucktail_service.engine.errors import UnknownEdition
from bucktail_service.flat import cell, rows_csv
from bucktail_tables.errors import EditionNotFound
from bucktail_tables.load import load_edition
from bucktail_tables.model import Edition


def find_edition(name: str | None) -> Edition:
    """Return the edition of that name, or the default one.

    Raises:
        UnknownEdition: There is none; the example names those there are.
    """
    try:
        return load_edition(name)
    except EditionNotFound as error:
        known = ", ".join(error.known)
        raise UnknownEdition("edition", f"{error.name!r} is not an installed edition", known) from None


def answer_editions() -> Answer:
    """Return the installed editions."""
    return describe_all()


def editions_csv(answer: Payload) -> str:
    """Return the editions as CSV: a header and one line for each table of each edition."""
    rows = [["edition", "status", "default", "sha256", "table", "title", "rows"]]
    for edition in answer["editions"]:
        head = [edition["name"], edition["status"], cell(edition["default"]), edition["sha256"]]
        rows += [[*head, table["name"], table["title"], cell(table["rows"])] for table in edition["tables"]]
    return rows_csv(rows)
