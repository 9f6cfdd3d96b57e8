"""Editions by their names, and all of them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bucktail_service.asking.question import Answer, Payload
from bucktail_service.engine.editions import describe, describe_all
from bucktail_service.engine.errors import BadQuestion, UnknownEdition
from bucktail_service.engine.lengths import shown
from bucktail_service.engine.looking import edition_page, find_table, found_rows, row_page, table_page
from bucktail_service.flat import cell, rows_csv
from bucktail_tables.errors import EditionNotFound
from bucktail_tables.files import EditionFiles, files_of
from bucktail_tables.load import chosen_name, default_name, load_edition
from bucktail_tables.model import Edition

DEFAULT = "default"  # stands for the edition that answers when none is named; no edition has this name
SHOWN_ROWS = 50
MOST_ROWS = 500
LIMIT_PATTERN = r"[1-9][0-9]{0,2}"
LONGEST_TEXT = 200
TEXT_PATTERN = r"[0-9A-Za-z]"


def find_edition(name: str | None) -> Edition:
    """Return the edition of that name, or the default one.

    Raises:
        UnknownEdition: There is none; the example names those there are.
    """
    try:
        return load_edition(chosen_name() if name is None else name)
    except EditionNotFound as error:
        known = ", ".join(error.known)
        raise UnknownEdition("edition", f"{shown(error.name)} is not an installed edition", known) from None


def named_edition(name: str | None) -> Edition:
    """Return the edition a path names; `default` and None are the one that answers when none is named."""
    return find_edition(None if name == DEFAULT else name)


def answer_editions() -> Answer:
    """Return the installed editions."""
    return describe_all()


def answer_edition(name: str | None) -> Answer:
    """Return one edition: its tables with their digests, and what it changed; UnknownEdition when there is none."""
    edition = named_edition(name)
    files = files_of(edition)
    digests = {table: files.digest_of(table) for table in files.tables}
    return edition_page(describe(edition, default_name()), digests, files.changes, edition)


def answer_table(name: str | None, table: str) -> Answer:
    """Return one table of an edition; UnknownEdition or NotTabulated when there is none."""
    edition = named_edition(name)
    found = find_table(table, edition)
    return table_page(found.name, files_of(edition).digest_of(found.name), edition)


def answer_row(name: str | None, table: str, key: Sequence[str]) -> Answer:
    """Return one row of a table; UnknownEdition or NotTabulated when there is none, BadQuestion without a key."""
    if not key:
        raise BadQuestion("key", "is missing", "key=1/8&key=final&key=1")
    return row_page(table, tuple(key), named_edition(name))


def answer_find(name: str | None, text: str, limit: str | None = None) -> Answer:
    """Return the rows of an edition that hold every word of *text*.

    Raises:
        BadQuestion: There is no word in *text*, it is too long, or *limit* is not 1 to 500.
        UnknownEdition: There is no such edition.
    """
    if len(text) > LONGEST_TEXT or not re.search(TEXT_PATTERN, text):
        told = f"{shown(text)} has no letter and no digit, or more than {LONGEST_TEXT} characters"
        raise BadQuestion("text", told, "5/32 shear")
    if limit is not None and (re.fullmatch(LIMIT_PATTERN, limit, re.ASCII) is None or int(limit) > MOST_ROWS):
        raise BadQuestion("limit", f"{shown(limit)} is not a whole number from 1 to {MOST_ROWS}", str(SHOWN_ROWS))
    return found_rows(text, int(limit or SHOWN_ROWS), named_edition(name))


def edition_files(name: str | None) -> EditionFiles:
    """Return the files of an edition as their bytes; UnknownEdition when there is none."""
    return files_of(named_edition(name))


def table_file(name: str | None, table: str) -> bytes:
    """Return the file of a table as its bytes; UnknownEdition or NotTabulated when there is none."""
    edition = named_edition(name)
    return files_of(edition).tables[find_table(table, edition).name]


def editions_csv(answer: Payload) -> str:
    """Return the editions as CSV: a header and one line for each table of each edition."""
    rows = [["edition", "status", "default", "sha256", "table", "title", "rows"]]
    for edition in answer["editions"]:
        head = [edition["name"], edition["status"], cell(edition["default"]), edition["sha256"]]
        rows += [[*head, table["name"], table["title"], cell(table["rows"])] for table in edition["tables"]]
    return rows_csv(rows)


def edition_csv(answer: Payload) -> str:
    """Return an edition as CSV: a header and one line for each table."""
    rows = [["edition", "status", "table", "title", "rows", "sha256"]]
    head = [answer["name"], answer["status"]]
    rows += [[*head, table["name"], table["title"], cell(table["rows"]), table["sha256"]] for table in answer["tables"]]
    return rows_csv(rows)


def edition_table_csv(answer: Payload) -> str:
    """Return a table as CSV: its own columns; over HTTP its own file is sent instead."""
    columns = [field["name"] for field in answer["fields"]]
    return rows_csv([columns, *([row[column] for column in columns] for row in answer["rows"])])


def edition_row_csv(answer: Payload) -> str:
    """Return a row as CSV: the header of its table, and itself."""
    row = {**answer["cells"], **{column: answer[column] for column in ("document", "place", "basis", "note")}}
    return rows_csv([list(row), list(row.values())])


def edition_find_csv(answer: Payload) -> str:
    """Return the rows found as CSV: where each stands, its cells as a text, and its source."""
    rows = [["edition", "table", "key", "row", "document", "place", "basis", "note", "link"]]
    for found in answer["rows"]:
        cells = ", ".join(f"{column} {text}" for column, text in found["cells"].items() if text)
        source = [found[column] for column in ("document", "place", "basis", "note", "link")]
        rows.append([answer["edition"]["name"], found["table"], " ".join(found["key"]), cells, *source])
    return rows_csv(rows)
