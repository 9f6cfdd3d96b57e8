"""What the stem of a part number says of a question."""

from __future__ import annotations

from typing import Any

import typer

from bucktail.errors import bad_question

_SOLID = "solid"
# behind an AN bolt's standard: its head is drilled for lockwire
_DRILLED_HEAD = "H"


def add_stem(question: dict[str, str], stem: str, part: dict[str, Any]) -> None:
    """Add the fields a part number says to the question; one said twice is a usage error."""
    said = {
        "head": _head(part),
        "alloy": part["alloy"]["code"],
        "diameter": part["diameter"]["fraction"],
    }
    if part["family"] != _SOLID:
        said["family"] = part["family"]
    for name in said:
        if name in question:
            raise bad_question(name, f"is said by {stem} already", f"{stem} without --{name}")
    unused = _unused(part)
    if unused is not None:
        typer.echo(f"the {unused} of {stem} is not used: the stack decides", err=True)
    question.update(said)


def _head(part: dict[str, Any]) -> str:
    """Return the head of a part: the standard as it was written, of other families the standard."""
    texts = [field["text"] for field in part["fields"]]
    if part["family"] == _SOLID:
        return str(texts[0])
    drilled = part["family"] == "bolt" and _DRILLED_HEAD in texts[1:]
    return f"{part['standard']}{_DRILLED_HEAD if drilled else ''}"


def _unused(part: dict[str, Any]) -> str | None:
    """Return which number of a part the stack decides; None for a stem."""
    if part["grip"] is not None:
        # the dash of an AN bolt counts length, the grip is told by a table
        return f"{'dash' if part['family'] == 'bolt' else 'grip'} -{part['grip']['dash']}"
    return None if part["length"] is None else f"length -{part['length']['dash']}"
