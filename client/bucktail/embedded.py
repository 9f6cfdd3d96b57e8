"""The client's methods answered in-process, without a server: `Embedded().pick(...)` is `Client(url).pick(...)`.

This module is the client's one door to the service's code; nothing else of the client passes it. What it needs is
imported when it is needed, so that importing it costs nothing.
"""

from __future__ import annotations

import io
import json
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, BinaryIO
from urllib.parse import parse_qsl, unquote, urlsplit

from bucktail.errors import BucktailError, from_problem

if TYPE_CHECKING:
    from collections.abc import Callable
    from types import TracebackType
    from typing import Self

Answer = dict[str, Any]

_FORMATS = {"text/csv": "csv", "application/x-ndjson": "ndjson", "application/json": "json"}


class Embedded:
    """Ask the installed tables directly; the same methods, answers and exceptions as `bucktail.api.Client`.

    Attributes:
        refused: Rows of the last `batch_file` that were problems; known when it has been read to its end.
        rows: All its rows.
    """

    def __init__(self) -> None:
        self.rows = 0
        self.refused = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Do nothing: there is no connection."""

    def pick(self, **question: object) -> Answer:
        """Return the answer to a pick question."""
        from bucktail_service.answering import answer_pick  # noqa: PLC0415

        return _asked(lambda: answer_pick(question))

    def part(self, number: str, *, edition: str | None = None) -> Answer:
        """Return what a part number means."""
        from bucktail_service.answering import answer_part  # noqa: PLC0415

        return _asked(lambda: answer_part(number, edition))

    def editions(self) -> Answer:
        """Return the installed editions."""
        from bucktail_service.answering import answer_editions  # noqa: PLC0415

        return _asked(answer_editions)

    def follow(self, link: str) -> Answer:
        """Return what an answer's `link` answers."""
        parts = urlsplit(link)
        query = dict(parse_qsl(parts.query, keep_blank_values=True))
        if parts.path == "/v1/pick":
            return self.pick(**query)
        if parts.path.startswith("/v1/parts/"):
            return self.part(unquote(parts.path.removeprefix("/v1/parts/")), edition=query.get("edition"))
        raise from_problem(_no_link(link))

    def batch_pick(self, rows: Iterable[Mapping[str, object]]) -> Iterator[Answer]:
        """Yield one result for each row, in order: `row`, and `answer` or `problem`."""
        lines = b"".join(json.dumps(dict(row)).encode() + b"\n" for row in rows)
        if not lines:
            return
        pending = b""
        for piece in self.batch_file(
            "pick", io.BytesIO(lines), content_type="application/x-ndjson", accept="application/x-ndjson"
        ):
            *whole, pending = (pending + piece).split(b"\n")
            yield from map(json.loads, whole)

    def batch_file(self, question: str, body: BinaryIO, *, content_type: str, accept: str) -> Iterator[bytes]:
        """Yield the results of a file, in pieces, in the format *accept* names."""
        from bucktail_service.batch.run import Batch  # noqa: PLC0415
        from bucktail_service.engine.errors import QuestionError  # noqa: PLC0415
        from bucktail_service.problems import problem_of  # noqa: PLC0415

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


def _no_link(link: str) -> Answer:
    return {
        "type": "urn:bucktail:problem:not-found",
        "title": "Not Found",
        "status": 404,
        "detail": f"{link[:80]!r} is not the link of an answer",
        "errors": [],
    }


def as_text(kind: str, answer: Mapping[str, Any], *, why: bool, colour: bool) -> str:
    """Return an answer as text; *kind* is `pick`, `part` or `editions`."""
    from bucktail_service import text  # noqa: PLC0415

    style = text.Style(colour=colour)
    if kind == "pick":
        return text.pick_text(answer, why=why, style=style)
    if kind == "part":
        return text.part_text(answer, why=why, style=style)
    return text.editions_text(answer, style=style)


def as_csv(kind: str, answer: Mapping[str, Any]) -> str:
    """Return an answer as CSV; *kind* is `pick`, `part` or `editions`."""
    from bucktail_service import flat  # noqa: PLC0415

    writers = {"pick": flat.pick_csv, "part": flat.part_csv, "editions": flat.editions_csv}
    return writers[kind](answer)


def problem_as_text(error: BucktailError, *, colour: bool) -> str:
    """Return why there is no answer as text."""
    from bucktail_service import text  # noqa: PLC0415

    if error.problem is None:
        return f"{error.detail}\n"
    return text.problem_text(error.problem, style=text.Style(colour=colour))


def known(kind: str) -> list[str]:
    """Return the names the tables know, for completion: `alloy`, `head`, `drill`, `diameter`, `practice`, `edition`."""
    from bucktail_tables.load import edition_names, load_edition  # noqa: PLC0415

    if kind == "edition":
        return list(edition_names())
    edition = load_edition()
    if kind == "head":
        rows = [row.text("head") for row in edition["standards"]] + [
            row.text("standard") for row in edition["standards"]
        ]
        return list(dict.fromkeys(rows))
    if kind == "drill":
        names = (row.text("drill") for row in edition["drills"] if row.text("series") != "fraction")
        return [name if name.startswith("#") else f"#{name}" for name in names]
    table, column = {
        "alloy": ("materials", "alloy"),
        "diameter": ("diameters", "fraction"),
        "practice": ("practices", "practice"),
    }[kind]
    return [row.text(column) for row in edition[table]]
