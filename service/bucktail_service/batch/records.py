"""CSV lines -> records, exactly as the csv module reads them, but without letting one bad line swallow the file.

A quote that is never closed would make an ordinary reader take the rest of the file for one cell. Here a record
may span a bounded number of lines; beyond that its first line alone is bad, and reading goes on with the next.
"""

from __future__ import annotations

import csv
from collections import deque
from collections.abc import Iterator
from typing import NamedTuple

from bucktail_service.batch.lines import MAX_LINE, Line

MAX_LINES_IN_RECORD = 100


class Record(NamedTuple):
    """The cells of one record and its text as given; *fault* says why there are no cells."""

    cells: list[str]
    raw: str
    fault: str | None


def records(source: Iterator[Line]) -> Iterator[Record]:
    """Yield the records of a CSV file; blank lines are none."""
    waiting: deque[Line] = deque()
    while True:
        line = waiting.popleft() if waiting else next(source, None)
        if line is None:
            return
        text, whole, _ = line
        if not whole:
            yield Record([], text[:80], f"the line is longer than {MAX_LINE} characters")
        elif '"' not in text:
            if text:
                yield Record(text.split(","), text, None)
        else:
            yield _quoted(line, source, waiting)


def _quoted(first: Line, source: Iterator[Line], waiting: deque[Line]) -> Record:
    taken = [first]
    raw = first.text
    while True:
        try:
            return Record(next(csv.reader([raw], strict=True)), raw, None)
        except csv.Error as error:
            if "unexpected end of data" not in str(error):
                return _give_back(taken, waiting, f"a quote is out of place: {error}")
        line = waiting.popleft() if waiting else next(source, None)
        if line is None or not line.whole or len(taken) >= MAX_LINES_IN_RECORD or len(raw) > MAX_LINE:
            if line is not None:
                taken.append(line)
            return _give_back(taken, waiting, "a quote is opened and never closed")
        raw += taken[-1].ending + line.text
        taken.append(line)


def _give_back(taken: list[Line], waiting: deque[Line], fault: str) -> Record:
    waiting.extendleft(reversed(taken[1:]))
    return Record([], taken[0].text, fault)
