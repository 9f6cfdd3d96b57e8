"""The command `bucktail`.

Building a command costs a terminal about as much as answering, so only the one that was named is built; help and
completion see them all.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from importlib import import_module
from typing import Any

import typer

from bucktail.cli.exits import EXITS_HELP

HELP = "The fastener desk: what goes back into the hole, from tables with sources."
COMMANDS = ("pick", "rework", "inspect", "joint", "couple", "balance", "order", "part", "batch", "editions", "serve")


def make_app(names: Iterable[str] = COMMANDS) -> typer.Typer:
    """Return the command with the sub-commands named, each from the module of its name."""
    app = typer.Typer(
        help=HELP,
        epilog=EXITS_HELP,
        rich_markup_mode=None,
        no_args_is_help=True,
        pretty_exceptions_enable=False,
    )
    # without a callback a single command would lose its name
    app.callback()(_desk)
    for name in names:
        module = import_module(f"bucktail.cli.{name}")
        if name in ("batch", "editions"):
            app.add_typer(module.app, name=name)
        else:
            epilog = None if name == "serve" else EXITS_HELP
            app.command(name=name, epilog=epilog)(getattr(module, name))
    return app


def _desk() -> None:
    pass


def __getattr__(name: str) -> Any:
    if name == "app":
        return make_app()
    raise AttributeError(name)


def run() -> None:
    """Run the command."""
    named = next((word for word in sys.argv[1:] if not word.startswith("-")), "")
    completing = "_BUCKTAIL_COMPLETE" in os.environ
    names = COMMANDS if completing or named not in COMMANDS or sys.argv[1] != named else (named,)
    make_app(names)()
