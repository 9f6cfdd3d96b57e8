"""`bucktail couple`."""

from __future__ import annotations

from typing import Annotated

import typer

from bucktail.cli.options import AnswerFormat, Edition, Format, Url, Why
from bucktail.cli.session import ask_for_missing, connect, ending, show


def couple(
    metals: Annotated[
        list[str] | None,
        typer.Argument(metavar="[METAL]...", help="Two metals or more: 2117 lead.", show_default=False),
    ] = None,
    materials: Annotated[
        str | None, typer.Option("--materials", "-m", help="The same, joined by +: '2117 + lead'.")
    ] = None,
    environment: Annotated[
        str | None, typer.Option("--environment", "-e", help="marine (when left out), seawater or industrial.")
    ] = None,
    areas: Annotated[
        str | None, typer.Option("--areas", help="One for each metal: small+large, or figures of one unit.")
    ] = None,
    edition: Edition = None,
    form: AnswerFormat = Format.TEXT,
    why: Why = False,
    url: Url = None,
) -> None:
    """Tell whether metals may touch, which one corrodes, and how to part them."""
    given = {
        "materials": " + ".join([*(metals or []), *([materials] if materials else [])]) or None,
        "environment": environment,
        "areas": areas,
        "edition": edition,
    }
    question = {name: text for name, text in given.items() if text is not None}
    with ending(as_json=form is Format.JSON), connect(url) as client:
        ask_for_missing(question, {"materials": "Metals (2117 + lead)"})
        show("couple", client.couple(**question), form, why=why)
