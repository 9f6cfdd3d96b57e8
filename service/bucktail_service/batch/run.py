"""A batch from file to file, streamed: CSV, NDJSON or a JSON array in, any of them out.

A shop's order repeats its questions, so results are kept per question (exactly, and bounded): a repeated line
costs its reading and writing. A row that fails is a problem in its place and the others go on.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from operator import itemgetter
from typing import Any, BinaryIO, NamedTuple

from bucktail_service.answering import QUESTIONS, brief_pick, read_pick
from bucktail_service.batch.columns import added_names, check_header, csv_line, misspelled
from bucktail_service.batch.lines import MAX_LINE, as_text, lines, readable
from bucktail_service.batch.records import Record, records
from bucktail_service.engine.errors import BadLength, QuestionError
from bucktail_service.engine.lengths import parse_stack
from bucktail_service.flat import cell, flat
from bucktail_service.problems import BadFields, FieldError, problem, problem_of
from bucktail_service.schemas.plain import PICK_FIELDS, Asked
from bucktail_service.strict_json import read_json

FORMATS = ("csv", "ndjson", "json")
MAX_JSON = 16 * 1024 * 1024
MAX_KEPT = 20_000
MAX_KEPT_KEY = 300
_CHUNK = 65_536

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
        self._ask = QUESTIONS[question]
        self._kept: dict[Any, Any] = {}
        self._read_before: dict[tuple[tuple[str, str], ...], Asked] = {}
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
            found = records(lines(as_text(source)))
            header = next(found, None)
            names = check_header(header)
            if writes == "csv" and header is not None:
                return self._csv_to_csv(header.raw, names, found)
            return self._written(_rows_of_csv(names, found), writes)
        rows = _rows_of_array(source) if reads == "json" else _rows_of_lines(source)
        return self._written(rows, writes)

    def _csv_to_csv(self, header: str, names: list[str], found: Iterator[Record]) -> Iterator[str]:
        yield f"{header},{csv_line(added_names(names))}\n"
        asked = [name for name in names if name in PICK_FIELDS]
        pick_cells: Callable[[list[str]], tuple[str, ...]] = itemgetter(*(names.index(name) for name in asked))
        width = len(names)
        kept = self._kept
        for number, record in enumerate(found, start=1):
            cells, raw, fault = record
            if fault is None and len(cells) == width:
                key = pick_cells(cells)
                tail = kept.get(key)
                if tail is None:
                    tail = self._keep(key, self._tail({n: c for n, c in zip(asked, key, strict=True) if c.strip()}))
            else:
                raw, tail = self._uneven(record, names, asked)
            if tail[1]:
                self.refused += 1
            self.rows = number
            yield f"{raw},{number},{tail[0]}\n"

    def _uneven(self, record: Record, names: list[str], asked: list[str]) -> tuple[str, tuple[str, bool]]:
        """Return the input columns and the tail of a record that has a fault, or too few or too many cells."""
        width = len(names)
        if record.fault is None and len(record.cells) < width:
            cells = record.cells + [""] * (width - len(record.cells))
            row = dict(zip(names, cells, strict=True))
            return csv_line(cells), self._tail({name: row[name] for name in asked if row[name].strip()})
        told = _row_problem(record, width)
        cells = record.cells[:width] if record.fault is None else [record.raw] + [""] * (width - 1)
        return csv_line(cells), (_problem_tail(told), True)

    def _tail(self, question: Mapping[str, Any]) -> tuple[str, bool]:
        """Return the added cells of a row as CSV, and whether it was refused."""
        answer, told = _attempt(lambda: brief_pick(self._read(question)))
        if told is not None:
            return _problem_tail(told), True
        return csv_line([*map(cell, flat(answer).values()), ""]), False

    def _read(self, question: Mapping[str, Any]) -> Asked:
        """Return the question read; rows that differ in their stack alone have the rest read once."""
        stack = question.get("stack")
        if not isinstance(stack, str) or not all(isinstance(value, str) for value in question.values()):
            return read_pick(question)
        rest = tuple((name, value) for name, value in question.items() if name != "stack")
        read = self._read_before.get(rest)
        if read is None:
            read = read_pick(question)
            if sum(len(value) for _, value in rest) > MAX_KEPT_KEY:
                return read
            if len(self._read_before) >= MAX_KEPT:
                self._read_before.clear()
            self._read_before[rest] = read
        try:
            return Asked(replace(read.question, stack=parse_stack(stack)), read.edition)
        except BadLength:
            return read_pick(question)  # which says what is wrong with every field

    def _result(self, question: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any] | None]:
        return _attempt(lambda: self._ask(question))

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
        names = [*PICK_FIELDS, "carried"]
        yield csv_line([*names, *added_names(names)]) + "\n"
        for row in rows:
            given = [_plain(row.question.get(name)) for name in PICK_FIELDS]
            tail = (_problem_tail(row.problem), True) if row.problem is not None else self._tail(row.question)
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


def _problem_tail(told: Mapping[str, Any]) -> str:
    code = told["type"].rpartition(":")[2]
    return csv_line([""] * (len(added_names(())) - 2) + [f"{code}: {told['detail']}"])


def _row_problem(record: Record, width: int) -> dict[str, Any]:
    detail = record.fault or f"{len(record.cells)} cells where the header has {width}"
    shown = readable(record.raw if len(record.raw) <= 80 else record.raw[:77] + "...")  # noqa: PLR2004
    return problem_of(BadFields([FieldError("row", f"{detail}: {shown!r}", "one cell for each column of the header")]))


def _rows_of_csv(names: list[str], found: Iterator[Record]) -> Iterator[Row]:
    for number, record in enumerate(found, start=1):
        if record.fault is not None or len(record.cells) > len(names):
            yield Row(number, {}, {"line": readable(record.raw)}, _row_problem(record, len(names)))
            continue
        cells = dict(zip(names, map(readable, record.cells), strict=False))
        question = {name: text for name, text in cells.items() if name in PICK_FIELDS and text.strip()}
        yield Row(number, question, {name: text for name, text in cells.items() if name not in PICK_FIELDS}, None)


_OBJECT_EXAMPLE = '{"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040+0.040"}'


def _rows_of_lines(source: BinaryIO) -> Iterator[Row]:
    found = (line for line in lines(as_text(source)) if line.text.strip(" \t"))
    first = next(found, None)
    if first is None:
        raise BadFields([FieldError("file", "is empty: one JSON object on each line is needed", _OBJECT_EXAMPLE)])
    return _numbered_lines(first, found)


def _numbered_lines(first: Any, found: Iterator[Any]) -> Iterator[Row]:
    number = 0
    line = first
    while line is not None:
        number += 1
        text = readable(line.text)
        try:
            yield _object_row(number, read_json(text if line.whole else "", to_carry=True))
        except ValueError as fault:
            error = fault if line.whole else f"the line is longer than {MAX_LINE} characters"
            shown = text if len(text) <= 80 else text[:77] + "..."  # noqa: PLR2004
            told = BadFields([FieldError("row", f"is not JSON: {error}", _OBJECT_EXAMPLE)])
            yield Row(number, {}, {"line": shown}, problem_of(told))
        line = next(found, None)


def _rows_of_array(source: BinaryIO) -> Iterator[Row]:
    raw = source.read(MAX_JSON + 1)
    if len(raw) > MAX_JSON:
        detail = f"is longer than {MAX_JSON // 1024**2} MiB: send NDJSON or CSV, which have no such limit"
        raise BadFields([FieldError("file", detail, _OBJECT_EXAMPLE)])
    if not raw.strip():
        raise BadFields([FieldError("file", "is empty: a JSON array is needed", f"[{_OBJECT_EXAMPLE}]")])
    try:
        array = read_json(raw.decode("utf-8-sig"), to_carry=True)
    except ValueError as error:
        raise BadFields([FieldError("file", f"is not JSON: {error}", f"[{_OBJECT_EXAMPLE}]")]) from None
    if not isinstance(array, list):
        raise BadFields([FieldError("file", "is not a JSON array", f"[{_OBJECT_EXAMPLE}]")])
    return (_object_row(number, entry) for number, entry in enumerate(array, start=1))


def _object_row(number: int, entry: Any) -> Row:
    if not isinstance(entry, dict):
        told = BadFields([FieldError("row", "is not a JSON object", _OBJECT_EXAMPLE)])
        return Row(number, {}, {"value": entry}, problem_of(told))
    question = {name: value for name, value in entry.items() if name in PICK_FIELDS}
    carried = {name: value for name, value in entry.items() if name not in PICK_FIELDS}
    near = misspelled(list(carried))
    return Row(number, question, carried, problem_of(BadFields(near)) if near else None)
