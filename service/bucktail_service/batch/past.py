"""A file of past questions, read whole: each row asked again, whatever edition it was asked of."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import islice
from typing import Any, BinaryIO

from bucktail_service.answering import question as find_question
from bucktail_service.asking.moves import Past
from bucktail_service.batch.columns import check_header
from bucktail_service.batch.lines import lines
from bucktail_service.batch.records import records
from bucktail_service.batch.run import Row, rows_of_csv, rows_of_lines
from bucktail_service.problems import FieldError, problem

FORMATS = {"text/csv": "csv", "application/x-ndjson": "ndjson"}
MOST_ROWS = 10_000
MOST_BYTES = 16 * 1024 * 1024  # the answer is made whole, what the rows carry with it


class TooManyRows(Exception):
    """A file has more rows than are asked in one go; carries its problem."""

    def __init__(self) -> None:
        detail = f"has more than {MOST_ROWS} rows"
        example = "the file in parts"
        told = [FieldError("file", detail, example)]
        self.problem = problem("too-large", "Too many rows", 413, f"file: {detail} (good: {example})", told)
        super().__init__(detail)


def read_past(source: BinaryIO, reads: str) -> list[Past]:
    """Return the pick questions of a file, `csv` or `ndjson`; a row that is none carries its problem.

    Raises:
        BadFields: The file as a whole cannot be read.
        TooManyRows: It has more than `MOST_ROWS` rows.
    """
    past = [_past(row) for row in islice(_rows(source, reads), MOST_ROWS + 1)]
    if len(past) > MOST_ROWS:
        raise TooManyRows
    return past


def _rows(source: BinaryIO, reads: str) -> Iterator[Row]:
    question = find_question("pick")
    if reads == "ndjson":
        return rows_of_lines(source, question)
    found = records(lines(source))
    return rows_of_csv(check_header(next(found, None), question), found, question)


def _past(row: Row) -> Past:
    question, carried, told = _sendable([row.question, row.carried, row.problem])
    return Past(row.number, {name: value for name, value in question.items() if name != "edition"}, carried, told)


def _sendable(value: Any) -> Any:
    """Return what a row says with question marks for halves of characters, which JSON can name and UTF-8 not hold."""
    return json.loads(json.dumps(value, ensure_ascii=False).encode("utf-8", "replace"))
