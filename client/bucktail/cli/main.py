"""The command `bucktail`."""

from __future__ import annotations

from typing import Annotated

import typer

from bucktail.cli import balance, batch, couple, inspect, joint, order, rework
from bucktail.cli.exits import EXITS_HELP
from bucktail.cli.options import (
    Alloy,
    AnswerFormat,
    Diameter,
    Edition,
    Family,
    Format,
    Head,
    Hole,
    Practice,
    Stack,
    Stem,
    Tolerance,
    Url,
    Why,
)
from bucktail.cli.session import ask_for_missing, connect, ending, show
from bucktail.cli.stem import add_stem

app = typer.Typer(
    help="The fastener desk: what goes back into the hole, from tables with sources.",
    epilog=EXITS_HELP,
    rich_markup_mode=None,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)
app.add_typer(batch.app, name="batch")

_ASKED = {
    "diameter": "Diameter (1/8)",
    "alloy": "Alloy (AD)",
    "head": "Head (universal, flush-100)",
    "stack": "Stack, head side first (0.032+0.040)",
}


@app.command(epilog=EXITS_HELP)
def pick(
    stem: Stem = None,
    diameter: Diameter = None,
    alloy: Alloy = None,
    head: Head = None,
    stack: Stack = None,
    stack_tolerance: Tolerance = None,
    family: Family = None,
    practice: Practice = None,
    hole: Hole = None,
    edition: Edition = None,
    form: AnswerFormat = Format.TEXT,
    why: Why = False,
    url: Url = None,
) -> None:
    """Pick the fastener for a stack, with hole, spacing, formed head, strength, mass and cautions."""
    given = {
        "diameter": diameter,
        "alloy": alloy,
        "head": head,
        "stack": stack,
        "stack_tolerance": stack_tolerance,
        "family": family,
        "practice": practice,
        "hole": hole,
        "edition": edition,
    }
    question = {name: text for name, text in given.items() if text is not None}
    with ending(as_json=form is Format.JSON), connect(url) as client:
        if stem is not None:
            add_stem(question, stem, client.part(stem, edition=edition))
        ask_for_missing(question, _ASKED)
        show("pick", client.pick(**question), form, why=why)


@app.command(epilog=EXITS_HELP)
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


@app.command(epilog=EXITS_HELP)
def editions(form: AnswerFormat = Format.TEXT, url: Url = None) -> None:
    """List the installed editions of the tables."""
    with ending(as_json=form is Format.JSON), connect(url) as client:
        show("editions", client.editions(), form)


app.command(name="couple", epilog=EXITS_HELP)(couple.couple)
app.command(name="joint", epilog=EXITS_HELP)(joint.joint)
app.command(name="rework", epilog=EXITS_HELP)(rework.rework)
app.command(name="balance", epilog=EXITS_HELP)(balance.balance)
app.command(name="order", epilog=EXITS_HELP)(order.order)
app.command(name="inspect", epilog=EXITS_HELP)(inspect.inspect)


@app.command()
def serve(
    host: Annotated[str, typer.Option("--host", help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", "-p", min=0, max=65535, help="Port to listen on.")] = 8000,
    workers: Annotated[int, typer.Option("--workers", min=1, max=64, help="Worker processes.")] = 2,
    threads: Annotated[int, typer.Option("--threads", min=1, max=64, help="Threads of each worker.")] = 4,
) -> None:
    """Answer over HTTP; on this machine alone unless told otherwise."""
    from bucktail.cli.serve import run_server  # noqa: PLC0415

    run_server(host, port, workers, threads)


def run() -> None:
    """Run the command."""
    app()
