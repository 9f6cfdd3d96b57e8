"""What the commands share: which client asks, how an answer is shown, how an error ends."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, redirect_stdout
from typing import TYPE_CHECKING, Any, TextIO

import typer

from bucktail.cli.exits import Exit, exit_of
from bucktail.cli.options import Format
from bucktail.embedded import Embedded, as_csv, as_text, problem_as_text
from bucktail.errors import BucktailError

if TYPE_CHECKING:
    from bucktail.api import Client


def connect(url: str | None) -> Client | Embedded:
    """Return the client of a service, or the one that asks the installed tables."""
    if url is None:
        return Embedded()
    from bucktail.api import Client  # noqa: PLC0415  requests is only paid for when it is used

    return Client(url)


def has_colour(stream: TextIO) -> bool:
    """Return whether a stream is a terminal that may be written to in colour."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def show(kind: str, answer: Mapping[str, Any], chosen: Format, *, why: bool = False) -> None:
    """Write an answer to standard output."""
    if chosen is Format.JSON:
        typer.echo(json.dumps(answer, indent=2, ensure_ascii=False))
    elif chosen is Format.CSV:
        typer.echo(as_csv(kind, answer), nl=False)
    else:
        typer.echo(
            as_text(kind, answer, why=why, colour=has_colour(sys.stdout)), nl=False, color=has_colour(sys.stdout)
        )


@contextmanager
def ending(*, as_json: bool) -> Iterator[None]:
    """Turn a client's error into a problem on standard error and an exit code; JSON when JSON was asked for."""
    try:
        yield
    except BucktailError as error:
        if as_json:
            typer.echo(json.dumps(error.problem or _bare(error), indent=2, ensure_ascii=False), err=True)
        else:
            typer.echo(problem_as_text(error, colour=has_colour(sys.stderr)), err=True, nl=False)
        raise typer.Exit(exit_of(error)) from None


def _bare(error: BucktailError) -> dict[str, Any]:
    """Return a problem document for an error that the service did not write."""
    return {"type": "about:blank", "title": type(error).__name__, "detail": error.detail, "errors": error.errors}


def ask_for_missing(question: dict[str, str], asked: Mapping[str, str]) -> None:
    """Ask on the terminal for the fields that are needed and were not given; whoever leaves has asked nothing.

    Args:
        question: What was given; what is answered is added. In a pipe nothing is asked.
        asked: The fields that are needed, each with how it is asked for.
    """
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return
    try:
        with redirect_stdout(sys.stderr):  # the prompt writes a blank to standard output
            for name, text in asked.items():
                if name not in question:
                    question[name] = typer.prompt(text, err=True)
    except typer.Abort:
        typer.echo(err=True)
        raise typer.Exit(Exit.USAGE) from None
