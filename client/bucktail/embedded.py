"""The client's methods answered in-process, without a server: `Embedded().pick(...)` is `Client(url).pick(...)`.

This module is the client's one door to the service's code; nothing else of the client passes it. What it needs is
imported when it is needed, so that importing it costs nothing.
"""

from __future__ import annotations

import io
import json
from collections.abc import Iterable, Iterator, Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Any, BinaryIO, cast
from urllib.parse import parse_qsl, unquote, urlsplit

from bucktail.errors import BucktailError, RequestRefused, bad_question, check_number, encode, from_problem
from bucktail.questions import Answer, Questions

if TYPE_CHECKING:
    from collections.abc import Callable

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
        raise from_problem(_no_page(parts.path))

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
    from bucktail_service.engine.errors import QuestionError  # noqa: PLC0415
    from bucktail_service.problems import problem_of  # noqa: PLC0415

    try:
        answer = ask()
    except QuestionError as error:
        raise from_problem(problem_of(error)) from None
    copy: Answer = json.loads(json.dumps(answer))
    return copy


def _no_page(path: str) -> Answer:
    detail = f"there is no page {path[:80]!r}"
    error = {"field": "path", "detail": detail, "example": "/v1/pick"}
    return {
        "type": "urn:bucktail:problem:not-found",
        "title": "Not Found",
        "status": 404,
        "detail": f"path: {detail} (good: /v1/pick)",
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
    """Return an answer as text; *kind* is a question, `part` or `editions`."""
    from bucktail_service.text.common import Style  # noqa: PLC0415

    module = import_module(f"bucktail_service.text.{kind}")
    options = {} if kind == "editions" else {"why": why}
    text: str = getattr(module, f"{kind}_text")(answer, style=Style(colour=colour), **options)
    return text


def as_csv(kind: str, answer: Mapping[str, Any]) -> str:
    """Return an answer as CSV; *kind* is a question, `part` or `editions`."""
    module = import_module(f"bucktail_service.asking.{kind}")
    if kind in ("part", "editions", "order"):
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
    from bucktail_tables.load import edition_names, load_edition  # noqa: PLC0415

    if kind == "edition":
        return list(edition_names())
    edition = load_edition()
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
