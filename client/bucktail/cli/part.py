"""`bucktail part`."""

from __future__ import annotations

from typing import Annotated

import typer

from bucktail.cli.options import AnswerFormat, Edition, Format, Url, Why
from bucktail.cli.session import connect, ending, show


def part(
    number: Annotated[str, typer.Argument(help="A part number or its stem: MS20470AD4-4.")],
    edition: Edition = None,
    form: AnswerFormat = Format.TEXT,
    why: Why = False,
    url: Url = None,
) -> None:
    """Tell what a part number means, field by field."""
    with ending(as_json=form is Format.JSON), connect(url) as client:
        show("part", client.part(number, edition=edition), form, why=why)
