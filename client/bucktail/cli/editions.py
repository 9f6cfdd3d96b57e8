"""`bucktail editions`."""

from __future__ import annotations

from bucktail.cli.options import AnswerFormat, Format, Url
from bucktail.cli.session import connect, ending, show


def editions(form: AnswerFormat = Format.TEXT, url: Url = None) -> None:
    """List the installed editions of the tables."""
    with ending(as_json=form is Format.JSON), connect(url) as client:
        show("editions", client.editions(), form)
