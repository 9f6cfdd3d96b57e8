"""`bucktail editions diff`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bucktail.cli.files import opened
from bucktail.cli.options import AnswerFormat, Format, Url
from bucktail.cli.session import connect, ending, show

_SUFFIXES = {".ndjson": "application/x-ndjson", ".jsonl": "application/x-ndjson"}


def diff(
    name: Annotated[str, typer.Argument(metavar="EDITION", help="The edition before: 2026.1.")],
    other: Annotated[str, typer.Argument(metavar="OTHER", help="The edition after.")],
    questions: Annotated[
        str | None,
        typer.Argument(
            metavar="[QUESTIONS]",
            help="Past questions, as batch pick reads them: whose answers move. - for standard input.",
            show_default=False,
        ),
    ] = None,
    form: AnswerFormat = Format.TEXT,
    url: Url = None,
) -> None:
    """Tell what differs between two editions, or whose answers move and why."""
    with ending(as_json=form is Format.JSON), connect(url) as client:
        if questions is None:
            show("changes", client.changes(name, other), form)
            return
        content_type = _SUFFIXES.get(Path(questions).suffix.lower(), "text/csv")
        with opened(questions, "QUESTIONS") as source:
            show("moves", client.changes(name, other, source, content_type=content_type), form)
