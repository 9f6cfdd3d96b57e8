"""The tables themselves: `GET /v1/editions`, one edition, its descriptor, a table, a row, and the search for rows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from flask import Response, request

from bucktail_service.asking import editions as asking
from bucktail_service.http.answers import Writer, answer_response, chosen_format, json_writer, text_writer
from bucktail_service.http.operation import operation
from bucktail_service.http.parts import EXAMPLE, NOT_MODIFIED, OFFERS
from bucktail_service.http.problems import refuse
from bucktail_service.http.requests import FORMAT_PARAMETER, query_fields
from bucktail_service.schemas.answers import EditionsAnswer
from bucktail_service.schemas.editions import EditionPage, FoundRows, RowPage, TablePage
from bucktail_service.text.edition_find import edition_find_text
from bucktail_service.text.edition_row import edition_row_text
from bucktail_service.text.edition_table import edition_table_text
from bucktail_service.text.editions import edition_text, editions_text

_TEXTS = {"text/csv": {"schema": {"type": "string"}}, "text/plain": {"schema": {"type": "string"}}}
NAME_PARAMETER: dict[str, Any] = {
    "name": "name",
    "in": "path",
    "required": True,
    "description": "An edition, or `default`: the one that answers when none is named.",
    "schema": {"type": "string", "minLength": 1},
    "example": "2026.1",
}
TABLE_PARAMETER: dict[str, Any] = {
    "name": "table",
    "in": "path",
    "required": True,
    "description": "A table of the edition.",
    "schema": {"type": "string", "minLength": 1},
    "example": "holes",
}
KEY_PARAMETER: dict[str, Any] = {
    "name": "key",
    "in": "query",
    "required": True,
    "description": "The row's key, once for each column of the primary key, in its order.",
    "schema": {"type": "array", "items": {"type": "string"}, "minItems": 1},
    "style": "form",
    "explode": True,
    "example": ["1/8", "final", "1"],
}
WORDS_PARAMETER: dict[str, Any] = {
    "name": "text",
    "in": "query",
    "required": True,
    "description": "Words that must all stand in a row: in its cells, its document, its note, or its table's title.",
    "schema": {"type": "string", "pattern": asking.TEXT_PATTERN, "maxLength": asking.LONGEST_TEXT},
    "example": "5/32 shear",
}
LIMIT_PARAMETER: dict[str, Any] = {
    "name": "limit",
    "in": "query",
    "required": False,
    "description": "Rows to show at most.",
    "schema": {"type": "integer", "minimum": 1, "maximum": asking.MOST_ROWS, "default": asking.SHOWN_ROWS},
}


def _page(described: str, schema: type[Any]) -> dict[int, dict[str, Any]]:
    content = {"application/json": {"schema": schema}, **_TEXTS}
    return {200: {"description": described, "content": content}, **NOT_MODIFIED}


def _answered(
    ask: Callable[[Mapping[str, str]], Mapping[str, Any]],
    writers: Mapping[str, Writer],
    edition: str | None,
    allowed: tuple[str, ...] = (),
    repeated: tuple[str, ...] = (),
) -> Response:
    """Return what *ask* answers to the query, in the format asked for; kept for long when *edition* is named."""
    asked = query_fields(allowed=(*allowed, "format"), repeated=repeated)
    chosen = chosen_format(asked.get("format"), writers)
    if chosen is None:
        return refuse(406, "Not acceptable", OFFERS, "Accept", EXAMPLE)
    return answer_response(ask(asked), writers, chosen, None if edition == asking.DEFAULT else edition)


def _writers(csv: Callable[[Mapping[str, Any]], str], text: Callable[[Mapping[str, Any]], str]) -> Mapping[str, Writer]:
    return {"json": json_writer, "csv": text_writer(csv), "text": text_writer(text)}


LIST_WRITERS = _writers(asking.editions_csv, editions_text)
EDITION_WRITERS = _writers(asking.edition_csv, edition_text)
TABLE_WRITERS = _writers(asking.edition_table_csv, edition_table_text)
ROW_WRITERS = _writers(asking.edition_row_csv, edition_row_text)
FOUND_WRITERS = _writers(asking.edition_find_csv, edition_find_text)


@operation(
    "get",
    "/v1/editions",
    operation_id="editions",
    parameters=(FORMAT_PARAMETER,),
    responses=_page("The installed editions of the tables.", EditionsAnswer),
    problems=(406, 422, 500),
)
def get_editions() -> Response:
    """List the installed editions, their digests and tables."""
    return _answered(lambda _: asking.answer_editions(), LIST_WRITERS, None)


@operation(
    "get",
    "/v1/editions/<name>",
    operation_id="edition",
    parameters=(NAME_PARAMETER, FORMAT_PARAMETER),
    responses=_page("The edition.", EditionPage),
    problems=(404, 406, 422, 500),
)
def get_edition(name: str) -> Response:
    """Tell one edition: its tables with their digests, how well its rows are known, and what it changed."""
    return _answered(lambda _: asking.answer_edition(name), EDITION_WRITERS, name)


@operation(
    "get",
    "/v1/editions/<name>/datapackage.json",
    operation_id="descriptor",
    parameters=(NAME_PARAMETER,),
    responses={
        200: {
            "description": "The descriptor, byte for byte as it is installed.",
            "content": {"application/json": {"schema": {"type": "object", "required": ["name", "resources"]}}},
        },
        **NOT_MODIFIED,
    },
    problems=(404, 406, 422, 500),
)
def get_descriptor(name: str) -> Response:
    """Give the descriptor of an edition, a tabular Data Package.

    The files it names are given as CSV by the tables' own pages.
    """
    query_fields(allowed=())
    writers = {"json": lambda _: asking.edition_files(name).descriptor}
    if chosen_format(None, writers) is None:
        return refuse(406, "Not acceptable", "offers application/json", "Accept", "application/json")
    return answer_response({}, writers, "json", None if name == asking.DEFAULT else name)


@operation(
    "get",
    "/v1/editions/<name>/tables/<table>",
    operation_id="table",
    parameters=(NAME_PARAMETER, TABLE_PARAMETER, FORMAT_PARAMETER),
    responses=_page("The table; as CSV its own file, byte for byte.", TablePage),
    problems=(404, 406, 422, 500),
)
def get_table(name: str, table: str) -> Response:
    """Show one table: columns with units, and every row as printed."""
    # a file whose line ends or quotes are its own keeps them, and with them its digest
    writers = {**TABLE_WRITERS, "csv": lambda _: asking.table_file(name, table)}
    return _answered(lambda _: asking.answer_table(name, table), writers, name)


@operation(
    "get",
    "/v1/editions/<name>/tables/<table>/row",
    operation_id="row",
    parameters=(NAME_PARAMETER, TABLE_PARAMETER, KEY_PARAMETER, FORMAT_PARAMETER),
    responses=_page("The row with its document, place, basis and note.", RowPage),
    problems=(404, 406, 422, 500),
)
def get_row(name: str, table: str) -> Response:
    """Show one row of a table with its source."""

    def ask(_: Mapping[str, str]) -> Mapping[str, Any]:
        return asking.answer_row(name, table, request.args.getlist("key"))

    return _answered(ask, ROW_WRITERS, name, ("key",), repeated=("key",))


@operation(
    "get",
    "/v1/editions/<name>/find",
    operation_id="find",
    parameters=(NAME_PARAMETER, WORDS_PARAMETER, LIMIT_PARAMETER, FORMAT_PARAMETER),
    responses=_page("The rows that hold every word, the best first.", FoundRows),
    problems=(404, 406, 422, 500),
)
def get_found(name: str) -> Response:
    """Find rows by words.

    Whole cells count more than words in them, words more than parts of words. A number is never found in another one.
    """

    def ask(asked: Mapping[str, str]) -> Mapping[str, Any]:
        return asking.answer_find(name, asked.get("text", ""), asked.get("limit"))

    return _answered(ask, FOUND_WRITERS, name, ("text", "limit"))
