"""`bucktail editions cite`."""

from __future__ import annotations

from typing import Annotated

import typer

from bucktail.cli.options import AnswerFormat, Format, Url
from bucktail.cli.session import connect, ending, show


def cite(
    link: Annotated[str, typer.Argument(metavar="LINK", help="The last line of a pick or part answer: /v1/pick?...")],
    form: AnswerFormat = Format.TEXT,
    url: Url = None,
) -> None:
    """Cite every figure of an answer: its value, document, place and basis."""
    with ending(as_json=form is Format.JSON), connect(url) as client:
        show("cite", client.cite(link), form)
