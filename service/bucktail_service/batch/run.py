"""A batch from file to file, streamed: CSV, NDJSON or a JSON array in, any of them out.

A shop's order repeats its questions, so results are kept per question (exactly, and bounded): a repeated line
costs its reading and writing. A row that fails is a problem in its place and the others go on.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from itertools import chain
from operator import itemgetter
from typing import Any, BinaryIO, NamedTuple

from bucktail_service.answering import question as find_question
from bucktail_service.asking.question import Likeness, Question
from bucktail_service.asking.spelling import misspelled
from bucktail_service.batch.columns import added_names, check_header, csv_line
from bucktail_service.batch.lines import MAX_LINE, CutLine, bare, lines, readable
from bucktail_service.batch.records import Record, records
from bucktail_service.engine.errors import QuestionError
from bucktail_service.flat import flat
from bucktail_service.problems import BadFields, FieldError, problem, problem_of
from bucktail_service.strict_json import read_json

FORMATS = ("csv", "ndjson", "json")
MAX_JSON = 16 * 1024 * 1024
MAX_KEPT = 10_000
MAX_ALIKE = 20_000
MAX_KEPT_KEY = 300
_CHUNK = 65_536
_TOGETHER = 40  # rows written at once: as long as a line may be, they stay small

log = logging.getLogger(__name__)


class Row(NamedTuple):
    """One row as read: its number from 1, the question's part, what is carried, or why it cannot be asked."""

    number: int
    question: Mapping[str, Any]
    carried: Mapping[str, Any]
    problem: dict[str, Any] | None


class Batch:
    """A batch ready to run; reading the header or the array has already shown that the file is one.

    Attributes:
        rows: Rows written so far.
        refused: Those of them that are problems.
    """

    def __init__(self, question: str, source: BinaryIO, reads: str, writes: str) -> None:
        """Open the batch.

        Args:
            question: Name of the question every row asks.
            source: The file, read once from front to back.
            reads: Format of the file, one of `FORMATS`.
            writes: Format of the results.

        Raises:
            BadFields: The file as a whole cannot be read: empty, no header, not JSON.
        """
        self.rows = 0
        self.refused = 0
        self._question = find_question(question)
        self._brief = self._question.brief()
        self._kept: dict[Any, Any] = {}
        self._halves: dict[Hashable, tuple[str, str]] = {}
        self._parts = self._open(source, reads, writes)

    def __iter__(self) -> Iterator[bytes]:
        """Yield the results as they are made, in pieces of about 64 KiB."""
        waiting: list[str] = []
        size = 0
        for part in self._parts:
            waiting.append(part)
            size += len(part)
            if size >= _CHUNK:
                yield _encoded("".join(waiting))
                waiting.clear()
                size = 0
        yield _encoded("".join(waiting))

    def _open(self, source: BinaryIO, reads: str, writes: str) -> Iterator[str]:
        if reads == "csv":
            found = records(lines(source))
            header = next(found, None)
            names = check_header(header, self._question)
            if writes == "csv" and header is not None:
                return self._csv_to_csv(header[1], names, found)
            return self._written(rows_of_csv(names, found, self._question), writes)
        read = _rows_of_array if reads == "json" else rows_of_lines
        rows = read(source, self._question)
        return self._written(rows, writes)

    def _csv_to_csv(self, header: str, names: list[str], found: Iterator[Record]) -> Iterator[str]:
        yield f"{header},{csv_line(added_names(names, self._question))}\n"
        asked = [name for name in names if name in self._question.fields]
        # the first column stands in front so that there are always two: one alone would not come as a tuple
        asked_cells: Callable[[list[str]], tuple[str, ...]] = itemgetter(
            names.index(asked[0]), *(names.index(name) for name in asked)
        )
        alike = self._question.alike(asked) if self._question.alike is not None else lambda _: None
        width = len(names)
        kept = self._kept
        refused = 0
        waiting: list[str] = []
        for number, (cells, given, fault) in enumerate(found, start=self.rows + 1):
            raw = given
            if fault is None and len(cells) == width:
                key = asked_cells(cells)
                tail = kept.get(key)
                if tail is None:
                    tail = self._keep(key, self._alike_tail(asked, key[1:], alike))
            else:
                raw, tail = self._uneven((cells, given, fault), names, asked)
            refused += tail[1]
            waiting.append(f"{raw},{number},{tail[0]}\n")
            if not number % _TOGETHER:
                self.rows, self.refused = number, self.refused + refused
                yield "".join(waiting)
                waiting.clear()
                refused = 0
        self.rows, self.refused = self.rows + len(waiting), self.refused + refused
        yield "".join(waiting)

    def _uneven(self, record: Record, names: list[str], asked: list[str]) -> tuple[str, tuple[str, bool]]:
        """Return the input columns and the tail of a record that has a fault, or too few or too many cells."""
        cells, raw, fault = record
        width = len(names)
        if fault is None and len(cells) < width:
            filled = cells + [""] * (width - len(cells))
            row = dict(zip(names, filled, strict=True))
            return csv_line(filled), self._tail({name: row[name] for name in asked if row[name].strip()})
        told = _row_problem(record, width)
        return csv_line(cells[:width] if fault is None else [raw] + [""] * (width - 1)), (
            self._problem_tail(told),
            True,
        )

    def _alike_tail(self, asked: list[str], cells: Sequence[str], alike: Likeness) -> tuple[str, bool]:
        """Return the added cells of a row, out of those of a row that is like it where there was one."""
        told = alike(cells)
        if told is not None:
            likeness, own = told
            halves = self._halves.get(likeness)
            if halves is not None:
                return f"{halves[0]}{own}{halves[1]}", False
        tail = self._tail({name: text for name, text in zip(asked, cells, strict=True) if text.strip()})
        if told is not None and not tail[1]:
            before, found, after = tail[0].rpartition(f"&stack={own}&")
            if found:
                if len(self._halves) >= MAX_ALIKE:
                    self._halves.clear()
                self._halves[likeness] = f"{before}&stack=", f"&{after}"
        return tail

    def _tail(self, question: Mapping[str, Any]) -> tuple[str, bool]:
        """Return the added cells of a row as CSV, and whether it was refused."""
        answer, told = _attempt(lambda: self._brief(question))
        if told is not None:
            return self._problem_tail(told), True
        return csv_line([*flat(self._question.columns, answer), ""]), False

    def _problem_tail(self, told: Mapping[str, Any]) -> str:
        code = told["type"].rpartition(":")[2]
        return csv_line([""] * len(self._question.columns) + [f"{code}: {told['detail']}"])

    def _result(self, question: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any] | None]:
        return _attempt(lambda: self._question.answer(question))

    def _keep(self, key: Any, value: Any) -> Any:
        if sum(map(len, key)) > MAX_KEPT_KEY:  # nobody repeats a question as long as that
            return value
        if len(self._kept) >= MAX_KEPT:
            self._kept.clear()
        self._kept[key] = value
        return value

    def _written(self, rows: Iterator[Row], writes: str) -> Iterator[str]:
        writer = {"csv": self._write_csv, "ndjson": self._write_lines, "json": self._write_array}[writes]
        return writer(rows)

    def _write_csv(self, rows: Iterator[Row]) -> Iterator[str]:
        fields = self._question.fields
        names = [*fields, "carried"]
        yield csv_line([*names, *added_names(names, self._question)]) + "\n"
        for row in rows:
            given = [_plain(row.question.get(name)) for name in fields]
            tail = (self._problem_tail(row.problem), True) if row.problem is not None else self._tail(row.question)
            self._count(row.number, refused=tail[1])
            carried = json.dumps(row.carried) if row.carried else ""
            yield f"{csv_line([*given, carried])},{row.number},{tail[0]}\n"

    def _write_lines(self, rows: Iterator[Row]) -> Iterator[str]:
        for row in rows:
            yield self._object(row) + "\n"

    def _write_array(self, rows: Iterator[Row]) -> Iterator[str]:
        before = "["
        for row in rows:
            yield f"{before}\n{self._object(row)}"
            before = ","
        yield "[]\n" if before == "[" else "\n]\n"

    def _object(self, row: Row) -> str:
        """Return a result as JSON: row, what was carried, and the answer or the problem."""
        # what a caller sent goes back in ASCII: JSON can name half a character, UTF-8 cannot hold one
        head = json.dumps({"row": row.number, **({"carried": row.carried} if row.carried else {})})
        if row.problem is not None:
            name, body = "problem", json.dumps(row.problem)
        else:
            key = json.dumps(row.question, sort_keys=True)
            kept = self._kept.get(key)
            if kept is None:
                answer, told = self._result(row.question)
                kept = self._keep(
                    key,
                    ("answer" if told is None else "problem", json.dumps(told or answer)),
                )
            name, body = kept
        self._count(row.number, refused=name == "problem")
        return f'{head[:-1]}, "{name}": {body}}}'

    def _count(self, number: int, *, refused: bool) -> None:
        self.rows = number
        self.refused += refused


def _attempt(ask: Callable[[], dict[str, Any]]) -> tuple[dict[str, Any], dict[str, Any] | None]:
    """Return the answer, or nothing and the problem."""
    try:
        return ask(), None
    except QuestionError as error:
        return {}, problem_of(error)
    except Exception:  # one row must not end the others; the log keeps what happened
        log.exception("a batch row failed")
        return {}, problem("internal", "The service failed", 500, "this row could not be answered: our fault")


def _encoded(text: str) -> bytes:
    """Return text as UTF-8; bytes that were not UTF-8 come out as they came in, half a character as `?`."""
    try:
        return text.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:
        return text.encode("utf-8", "replace")


def _plain(value: Any) -> str:
    return value if isinstance(value, str) else "" if value is None else json.dumps(value)


def _row_problem(record: Record, width: int) -> dict[str, Any]:
    cells, raw, fault = record
    detail = fault or f"{len(cells)} cells where the header has {width}"
    shown = readable(raw if len(raw) <= 80 else raw[:77] + "...")  # noqa: PLR2004
    return problem_of(BadFields([FieldError("row", f"{detail}: {shown!r}", "one cell for each column of the header")]))


def rows_of_csv(names: list[str], found: Iterator[Record], question: Question) -> Iterator[Row]:
    """Yield the rows of a CSV file whose header has been read."""
    for number, record in enumerate(found, start=1):
        texts, raw, fault = record
        if fault is not None or len(texts) > len(names):
            yield Row(number, {}, {"line": readable(raw)}, _row_problem(record, len(names)))
            continue
        cells = dict(zip(names, map(readable, texts), strict=False))
        asked = {name: text for name, text in cells.items() if name in question.fields and text.strip()}
        yield Row(number, asked, {name: text for name, text in cells.items() if name not in question.fields}, None)


def rows_of_lines(source: BinaryIO, question: Question) -> Iterator[Row]:
    """Yield the rows of an NDJSON file; BadFields when it is empty."""
    found = (line for line in lines(source) if line.strip(" \t\r\n"))
    first = next(found, None)
    if first is None:
        example = json.dumps(question.example)
        raise BadFields([FieldError("file", "is empty: one JSON object on each line is needed", example)])
    return _numbered_lines(first, found, question)


def _numbered_lines(first: str, found: Iterator[str], question: Question) -> Iterator[Row]:
    for number, line in enumerate(chain([first], found), start=1):
        text = readable(bare(line))
        whole = not isinstance(line, CutLine)
        try:
            yield _object_row(number, read_json(text if whole else "", to_carry=True), question)
        except ValueError as fault:
            error = fault if whole else f"the line is longer than {MAX_LINE} characters"
            shown = text if len(text) <= 80 else text[:77] + "..."  # noqa: PLR2004
            told = BadFields([FieldError("row", f"is not JSON: {error}", json.dumps(question.example))])
            yield Row(number, {}, {"line": shown}, problem_of(told))


def _rows_of_array(source: BinaryIO, question: Question) -> Iterator[Row]:
    example = f"[{json.dumps(question.example)}]"
    raw = source.read(MAX_JSON + 1)
    if len(raw) > MAX_JSON:
        detail = f"is longer than {MAX_JSON // 1024**2} MiB: send NDJSON or CSV, which have no such limit"
        raise BadFields([FieldError("file", detail, example)])
    if not raw.strip():
        raise BadFields([FieldError("file", "is empty: a JSON array is needed", example)])
    try:
        array = read_json(raw.decode("utf-8-sig"), to_carry=True)
    except ValueError as error:
        raise BadFields([FieldError("file", f"is not JSON: {error}", example)]) from None
    if not isinstance(array, list):
        raise BadFields([FieldError("file", "is not a JSON array", example)])
    return (_object_row(number, entry, question) for number, entry in enumerate(array, start=1))


def _object_row(number: int, entry: Any, question: Question) -> Row:
    if not isinstance(entry, dict):
        told = BadFields([FieldError("row", "is not a JSON object", json.dumps(question.example))])
        return Row(number, {}, {"value": entry}, problem_of(told))
    asked = {name: value for name, value in entry.items() if name in question.fields}
    carried = {name: value for name, value in entry.items() if name not in question.fields}
    near = misspelled(list(carried), question.fields)
    return Row(number, asked, carried, problem_of(BadFields(near)) if near else None)
