"""CSV lines -> records, exactly as the csv module reads them, but without letting one bad line swallow the file.

A quote that is never closed would make an ordinary reader take the rest of the file for one cell. Here a record
may span a bounded number of lines; beyond that its first line alone is bad, and reading goes on with the next.
"""

from __future__ import annotations

import csv
from collections import deque
from collections.abc import Iterator

from bucktail_service.batch.lines import MAX_LINE, CutLine, bare

MAX_LINES_IN_RECORD = 100

# the cells of a record, its text as given, and why there are no cells; a plain tuple, for a file has many
Record = tuple[list[str], str, str | None]


def records(source: Iterator[str]) -> Iterator[Record]:
    """Yield the records of the lines of a CSV file; blank lines are none."""
    waiting: deque[str] = deque()
    while True:
        line = waiting.popleft() if waiting else next(source, None)
        if line is None:
            return
        if '"' in line or line.__class__ is CutLine:
            yield _unusual(line, source, waiting)
        elif text := line.rstrip("\r\n"):
            yield text.split(","), text, None


def _unusual(first: str, source: Iterator[str], waiting: deque[str]) -> Record:
    """Return the record that begins with a line that has a quote or was cut."""
    if isinstance(first, CutLine):
        return [], first[:80], f"the line is longer than {MAX_LINE} characters"
    taken = [first]
    size = len(first)
    while True:
        raw = bare("".join(taken))
        try:
            return next(csv.reader([raw], strict=True)), raw, None
        except csv.Error as error:
            if "unexpected end of data" not in str(error):
                return _give_back(taken, waiting, f"a quote is out of place: {error}")
        line = waiting.popleft() if waiting else next(source, None)
        if line is None or isinstance(line, CutLine) or len(taken) >= MAX_LINES_IN_RECORD or size > MAX_LINE:
            if line is not None:
                taken.append(line)
            return _give_back(taken, waiting, "a quote is opened and never closed")
        size += len(line)
        taken.append(line)


def _give_back(taken: list[str], waiting: deque[str], fault: str) -> Record:
    waiting.extendleft(reversed(taken[1:]))
    return [], bare(taken[0]), fault
