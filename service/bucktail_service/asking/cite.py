"""An answer's link followed in-process: every figure of the answer with its value and where it was read."""

from __future__ import annotations

import re
from collections import Counter
from urllib.parse import parse_qsl, quote, unquote

from bucktail_service.asking.part import answer_part
from bucktail_service.asking.pick import answer_pick
from bucktail_service.asking.question import Answer, Payload
from bucktail_service.engine.citing import cite
from bucktail_service.engine.errors import BadQuestion, NotTabulated
from bucktail_service.engine.lengths import shown, stack_of_query
from bucktail_service.flat import cell, rows_csv

LINK_EXAMPLE = "/v1/parts/MS20470AD4-4?edition=2026.1"
LINK_PATTERN = r"/v1/(?:pick\?|parts/)[ -~]+"
LONGEST_LINK = 2000
HEADER = ("figure", "name", "value", "document", "place", "basis", "table", "row", "house")


def answer_cite(link: str) -> Answer:
    """Return every figure of the answer a link leads to, with its value and its source.

    Args:
        link: As in an answer: a path of this service, never fetched, only read.

    Raises:
        BadQuestion: It is not the link of a pick or a part answer.
        NotTabulated: It is one, but what it asks cannot be understood.
        QuestionError: What the question it asks raises.
    """
    try:
        told = cite(_follow(link))
    except _Unreadable as error:
        raise NotTabulated("link", f"leads to no answer: {error}", LINK_EXAMPLE) from None
    return {**told, "link": f"/v1/cite?link={quote(told['cited'], safe='/')}"}


def edition_of(link: str) -> str | None:
    """Return the edition a link pins, if it does."""
    return dict(parse_qsl(link.partition("?")[2])).get("edition")


class _Unreadable(Exception):
    """What a link asks cannot be understood."""


def _follow(link: str) -> Answer:
    if len(link) > LONGEST_LINK or re.fullmatch(LINK_PATTERN, link) is None:
        raise BadQuestion("link", f"{shown(link)} is not the link of a pick or a part answer", LINK_EXAMPLE)
    path, _, query = link.partition("?")
    fields = _fields(query)
    try:
        if path == "/v1/pick":
            stack = {"stack": stack_of_query(fields["stack"])} if "stack" in fields else {}
            return answer_pick({**fields, **stack})
        if set(fields) - {"edition"}:
            raise _Unreadable(f"{shown(min(set(fields) - {'edition'}))} is not a parameter of a part")
        return answer_part(unquote(path.removeprefix("/v1/parts/")), fields.get("edition"))
    except BadQuestion as error:
        raise _Unreadable(str(error)) from None


def _fields(query: str) -> dict[str, str]:
    pairs = parse_qsl(query, keep_blank_values=True)
    twice = [name for name, count in Counter(name for name, _ in pairs).items() if count > 1]
    if twice:
        raise _Unreadable(f"{shown(twice[0])} stands more than once")
    return {name: value for name, value in pairs if name != "format"}  # the format of another asking, not a question


def cite_csv(answer: Payload) -> str:
    """Return the figures as CSV: a header, and a line for each value of a figure; one for a figure without any."""
    lines = [list(HEADER)]
    for figure in answer["figures"]:
        tail = [figure[name] for name in ("document", "place", "basis", "table")]
        for entry in figure["values"] or [{"name": None, "value": None}]:
            head = [figure["figure"], cell(entry["name"]), cell(entry["value"])]
            lines.append([*head, *tail, "/".join(figure["row"]), figure.get("house", "")])
    return rows_csv(lines)
