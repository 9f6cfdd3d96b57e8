"""What the stem of a part number says of a question."""

from __future__ import annotations

from typing import Any

import typer

from bucktail.errors import bad_question


def add_stem(question: dict[str, str], stem: str, part: dict[str, Any]) -> None:
    """Add the fields a part number says to the question; one said twice is a usage error."""
    said = {
        "head": part["fields"][0]["text"],
        "alloy": part["alloy"]["code"],
        "diameter": part["diameter"]["fraction"],
    }
    for name in said:
        if name in question:
            raise bad_question(name, f"is said by {stem} already", f"{stem} without --{name}")
    if part["length"] is not None:
        typer.echo(f"the length -{part['length']['dash']} of {stem} is not used: the stack decides", err=True)
    question.update(said)
