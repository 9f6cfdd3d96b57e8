"""The client's methods answered in-process, without a server: `Embedded().pick(...)` is `Client(url).pick(...)`.

This module is the client's one door to the service's code; nothing else of the client passes it. What it needs is
imported when it is needed, so that importing it costs nothing.
"""

from __future__ import annotations

import io
import json
import os
from collections.abc import Iterable, Iterator, Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Any, BinaryIO, TypeVar, cast
from urllib.parse import parse_qsl, unquote, urlsplit

from bucktail.errors import (
    BucktailError,
    RequestRefused,
    ServiceFault,
    bad_question,
    check_number,
    check_piece,
    encode,
    from_problem,
)
from bucktail.questions import Answer, Questions

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")

_NDJSON = "application/x-ndjson"
_FORMATS = {"text/csv": "csv", "application/x-ndjson": "ndjson", "application/json": "json"}


class Embedded(Questions):
    """Ask the installed tables directly; the same methods, answers and exceptions as `bucktail.api.Client`.

    Attributes:
        refused: Rows of the last `batch_file` that were problems; known when it has been read to its end.
        rows: All its rows.
    """

    def __init__(self) -> None:
        self.rows = 0
        self.refused = 0
        if any(os.environ.get(name) for name in ("BUCKTAIL_TABLES", "BUCKTAIL_EDITION")):
            _load_house_tables()

    def close(self) -> None:
        """Do nothing: there is no connection."""

    def _ask(self, name: str, question: Mapping[str, object]) -> Answer:
        from bucktail_service.answering import QUESTIONS, answer  # noqa: PLC0415

        if name not in QUESTIONS:
            raise from_problem(_no_page(f"/v1/{name}"))
        asked = json.loads(encode(question))  # as it would arrive over HTTP
        return _asked(lambda: answer(name, asked))

    def part(self, number: str, *, edition: str | None = None) -> Answer:
        """Return what a part number means."""
        from bucktail_service.asking.part import answer_part  # noqa: PLC0415

        check_number(number)
        return _asked(lambda: answer_part(number, edition))

    def editions(self) -> Answer:
        """Return the installed editions."""
        from bucktail_service.asking.editions import answer_editions  # noqa: PLC0415

        return _asked(answer_editions)

    def edition(self, name: str | None = None) -> Answer:
        """Return one edition, the default one when None: its tables with their digests, and what it changed."""
        from bucktail_service.asking.editions import answer_edition  # noqa: PLC0415

        _check_names(name)
        return _asked(lambda: answer_edition(name))

    def table(self, edition: str | None, table: str) -> Answer:
        """Return one table of an edition, the default one when None: columns with units, rows as printed."""
        from bucktail_service.asking.editions import answer_table  # noqa: PLC0415

        _check_names(edition, table)
        return _asked(lambda: answer_table(edition, table))

    def table_file(self, edition: str | None, table: str) -> bytes:
        """Return the file of a table, CSV, byte for byte."""
        from bucktail_service.asking.editions import table_file  # noqa: PLC0415

        _check_names(edition, table)
        return _told(lambda: table_file(edition, table))

    def row(self, edition: str | None, table: str, *key: str) -> Answer:
        """Return one row of a table by its key, and where it was read."""
        from bucktail_service.asking.editions import answer_row  # noqa: PLC0415

        _check_names(edition, table)
        return _asked(lambda: answer_row(edition, table, [_sendable(part) for part in key]))

    def find(self, text: str, edition: str | None = None, *, limit: int = 50) -> Answer:
        """Return the rows of an edition that hold every word of *text*, the best *limit* of them."""
        from bucktail_service.asking.editions import answer_find  # noqa: PLC0415

        _check_names(edition)
        return _asked(lambda: answer_find(edition, _sendable(text), str(limit)))

    def cite(self, link: str) -> Answer:
        """Return every figure of the answer a link leads to, with its value, document, place and basis."""
        from bucktail_service.asking.cite import answer_cite  # noqa: PLC0415

        return _asked(lambda: answer_cite(_sendable(link)))

    def changes(
        self, name: str, other: str, questions: BinaryIO | None = None, *, content_type: str = "text/csv"
    ) -> Answer:
        """Return what differs from edition *name* to *other*; of past *questions*, whose answers move."""
        _check_names(name)
        _check_names(other)
        if questions is None:
            from bucktail_service.asking.changes import answer_changes  # noqa: PLC0415

            return _asked(lambda: answer_changes(name, other))
        from bucktail_service.asking.moves import answer_moves  # noqa: PLC0415
        from bucktail_service.batch.past import FORMATS, TooManyRows, read_past  # noqa: PLC0415

        if content_type not in FORMATS:
            raise RequestRefused(f"Content-Type: {content_type!r} is not one of {', '.join(FORMATS)}")
        try:
            return _asked(lambda: answer_moves(name, other, read_past(questions, FORMATS[content_type])))
        except TooManyRows as error:
            raise from_problem(error.problem) from None

    def follow(self, link: str) -> Answer:
        """Return what an answer's `link` answers."""
        parts = urlsplit(link)
        if parts.scheme or parts.netloc or not parts.path.startswith("/v1/"):
            raise bad_question("link", f"{link!r} is not a path under /v1/", "/v1/parts/MS20470AD4-4")
        query = dict(parse_qsl(parts.query, keep_blank_values=True))
        if parts.path == "/v1/pick":
            from bucktail_service.engine.lengths import stack_of_query  # noqa: PLC0415

            return self.pick(**{**query, **({"stack": stack_of_query(query["stack"])} if "stack" in query else {})})
        if parts.path == "/v1/editions" and not query:
            return self.editions()
        if parts.path.startswith("/v1/parts/"):
            return self.part(unquote(parts.path.removeprefix("/v1/parts/")), edition=query.get("edition"))
        if parts.path == "/v1/cite" and set(query) == {"link"}:
            return self.cite(query["link"])
        if parts.path.startswith("/v1/editions/"):
            return self._follow_page(parts.path, parse_qsl(parts.query, keep_blank_values=True))
        raise from_problem(_no_page(parts.path))

    def _follow_page(self, path: str, query: list[tuple[str, str]]) -> Answer:
        """Return what a link to a page of the tables answers."""
        name, *rest = [unquote(piece) for piece in path.removeprefix("/v1/editions/").split("/")]
        if any(not piece or "/" in piece for piece in (name, *rest)):
            raise from_problem(_no_page(unquote(path)))
        match rest:
            case []:
                return self.edition(name)
            case ["datapackage.json"]:
                return self._descriptor(name)
            case ["changes", other]:
                return self.changes(name, other)
            case ["find"]:
                asked = dict(query)
                return self.find(asked.get("text", ""), name, limit=cast("int", asked.get("limit", 50)))
            case ["tables", table]:
                return self.table(name, table)
            case ["tables", table, "row"]:
                return self.row(name, table, *(value for field, value in query if field == "key"))
        raise from_problem(_no_page(unquote(path)))

    def _descriptor(self, name: str) -> Answer:
        from bucktail_service.asking.editions import edition_files  # noqa: PLC0415

        return _asked(lambda: cast("Answer", json.loads(edition_files(name).descriptor)))

    def batch_pick(self, rows: Iterable[Mapping[str, object]]) -> Iterator[Answer]:
        """Yield one result for each row, in order: `row`, and `answer` or `problem`."""
        lines = cast("BinaryIO", _Lines(encode(row) + b"\n" for row in rows))
        pending = b""
        for piece in self.batch_file("pick", lines, content_type=_NDJSON, accept=_NDJSON):
            *whole, pending = (pending + piece).split(b"\n")
            yield from map(json.loads, whole)

    def batch_file(self, question: str, body: BinaryIO, *, content_type: str, accept: str) -> Iterator[bytes]:
        """Yield the results of a file, in pieces, in the format *accept* names."""
        from bucktail_service.answering import QUESTIONS  # noqa: PLC0415
        from bucktail_service.answering import question as find_question  # noqa: PLC0415
        from bucktail_service.batch.run import Batch  # noqa: PLC0415
        from bucktail_service.engine.errors import QuestionError  # noqa: PLC0415
        from bucktail_service.problems import problem_of  # noqa: PLC0415

        for name, media_type in (("Content-Type", content_type), ("Accept", accept)):
            if media_type not in _FORMATS:
                raise RequestRefused(f"{name}: {media_type!r} is not one of {', '.join(_FORMATS)}")
        if question not in QUESTIONS or not find_question(question).in_batch:
            raise RequestRefused(f"there is no batch of {question!r}")
        try:
            batch = Batch(question, body, _FORMATS[content_type], _FORMATS[accept])
        except QuestionError as error:
            raise from_problem(problem_of(error)) from None
        return self._counted(batch)

    def _counted(self, batch: Any) -> Iterator[bytes]:
        yield from batch
        self.rows, self.refused = batch.rows, batch.refused


def _asked(ask: Callable[[], Answer]) -> Answer:
    """Return a private copy of the answer, made of what JSON has, or raise the client's exception."""
    copy: Answer = json.loads(json.dumps(_told(ask)))
    return copy


def _told(ask: Callable[[], T]) -> T:
    """Return what *ask* does, or raise the client's exception."""
    from bucktail_service.engine.errors import QuestionError  # noqa: PLC0415
    from bucktail_service.problems import problem_of  # noqa: PLC0415

    try:
        return ask()
    except QuestionError as error:
        raise from_problem(problem_of(error)) from None


def _check_names(edition: str | None, table: str | None = None) -> None:
    """Raise BadQuestion for names that could not be pieces of a path."""
    for field, name, example in (("edition", edition, "2026.1"), ("table", table, "holes")):
        if name is not None:
            check_piece(field, name, example)


def _sendable(text: str) -> str:
    """Return a text as it would arrive over HTTP: half a character, which UTF-8 cannot hold, is a question mark."""
    return text.encode(errors="replace").decode()


def _load_house_tables() -> None:
    """Raise ServiceFault, as a service would refuse to start, unless the house tables are whole."""
    from bucktail_tables.errors import TablesError  # noqa: PLC0415
    from bucktail_tables.house import installed  # noqa: PLC0415
    from bucktail_tables.load import default_name, load_edition  # noqa: PLC0415

    try:
        installed()
        load_edition(default_name())
    except TablesError as error:
        raise ServiceFault(str(error)) from None


def _no_page(path: str) -> Answer:
    detail = f"there is no page {path[:80]!r}"
    error = {"field": "path", "detail": detail, "example": "/v1/pick"}
    return {
        "type": "urn:bucktail:problem:not-found",
        "title": "Not Found",
        "status": 404,
        "detail": detail,
        "errors": [error],
    }


class _Lines(io.RawIOBase):
    """Lines made one by one, as a file that is read once."""

    def __init__(self, lines: Iterator[bytes]) -> None:
        super().__init__()
        self._lines = lines
        self._rest = b""

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: bytearray) -> int:  # type: ignore[override]
        if not self._rest:
            self._rest = next(self._lines, b"")
        part, self._rest = self._rest[: len(buffer)], self._rest[len(buffer) :]
        buffer[: len(part)] = part
        return len(part)


def as_text(kind: str, answer: Mapping[str, Any], *, why: bool, colour: bool) -> str:
    """Return an answer as text; *kind* is a question, `part`, `editions`, or a page of the tables: `edition_row`."""
    from bucktail_service.text.common import Style  # noqa: PLC0415

    module = import_module(f"bucktail_service.text.{'editions' if kind == 'edition' else kind}")
    options = {} if kind.startswith("edition") or kind in ("cite", "changes", "moves") else {"why": why}
    text: str = getattr(module, f"{kind}_text")(answer, style=Style(colour=colour), **options)
    return text


def as_csv(kind: str, answer: Mapping[str, Any]) -> str:
    """Return an answer as CSV; *kind* is as for `as_text`."""
    is_page = kind.startswith("edition")
    module = import_module(f"bucktail_service.asking.{'editions' if is_page else kind}")
    if is_page or kind in ("part", "order", "cite", "changes", "moves"):
        text: str = getattr(module, f"{kind}_csv")(answer)
        return text
    from bucktail_service.flat import answer_csv  # noqa: PLC0415

    return answer_csv(module.QUESTION.columns, answer)


def order_as_xlsx(answer: Mapping[str, Any]) -> bytes:
    """Return an order as a spreadsheet file."""
    from bucktail_service.asking.order_sheets import order_xlsx  # noqa: PLC0415

    return order_xlsx(answer)


def read_order_file(kind: str, source: BinaryIO) -> list[Any]:
    """Return a file of an order as its question takes it: `lines` or `json` (lines too), `prices` or `stock`."""
    from bucktail_service.batch import order_files  # noqa: PLC0415
    from bucktail_service.engine.errors import QuestionError  # noqa: PLC0415
    from bucktail_service.problems import problem_of  # noqa: PLC0415

    readers = {"lines": order_files.lines_of_csv, "json": order_files.lines_of_json}
    try:
        return readers[kind](source) if kind in readers else order_files.list_of_csv(kind, source)
    except QuestionError as error:
        raise from_problem(problem_of(error)) from None


def problem_as_text(error: BucktailError, *, colour: bool) -> str:
    """Return why there is no answer as text."""
    from bucktail_service.text.common import Style  # noqa: PLC0415
    from bucktail_service.text.problem import problem_text  # noqa: PLC0415

    return f"{error.detail}\n" if error.problem is None else problem_text(error.problem, style=Style(colour=colour))


def known(kind: str) -> list[str]:
    """Return the names the tables know of a kind, for completion: `alloy`, `head`, `drill`, `nut`, ..."""
    from bucktail_tables.errors import BrokenEdition  # noqa: PLC0415
    from bucktail_tables.load import edition_names, load_edition, packaged_names  # noqa: PLC0415

    if kind == "edition":
        try:
            return list(edition_names())
        except BrokenEdition:  # a command says what is wrong with house tables; a completion cannot
            return list(packaged_names())
    edition = load_edition()
    if kind == "table":
        return list(edition.tables)
    if kind == "head":
        rows = [row.text(column) for column in ("head", "standard") for row in edition["standards"]]
        chosen_by_grip = [row for row in edition["grip_standards"] if not row.text("missing")]
        rows += [row.text(column) for column in ("head", "standard") for row in chosen_by_grip]
        return list(dict.fromkeys(rows))
    if kind == "drill":
        names = (row.text("drill") for row in edition["drills"] if row.text("series") != "fraction")
        return [name if name.startswith("#") else f"#{name}" for name in names]
    table, column = {
        "alloy": ("materials", "alloy"),
        "nut": ("nuts", "nut"),
        "diameter": ("diameters", "fraction"),
        "practice": ("practices", "practice"),
    }[kind]
    return [row.text(column) for row in edition[table]]
