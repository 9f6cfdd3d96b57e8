"""`bucktail balance`."""

from __future__ import annotations

from typing import Annotated

import typer

from bucktail.cli.options import AnswerFormat, Edition, Format, Url, Why
from bucktail.cli.session import ask_for_missing, connect, ending, show

_ASKED = {"arm": "Centre of the repair from the hinge line, and its side (12.5 aft)"}


def balance(
    removed: Annotated[
        str | None, typer.Option("--removed", help="Taken out: '24 x MS20470AD4-4 + 6 x MS20426AD4-5'.")
    ] = None,
    installed: Annotated[str | None, typer.Option("--installed", help="Put in: '24 x MS20470AD5-5'.")] = None,
    arm: Annotated[
        str | None, typer.Option("--arm", help="Centre of the repair from the hinge line, and its side: '12.5 aft'.")
    ] = None,
    stack: Annotated[
        str | None, typer.Option("--stack", "-s", help="Layers the holes go through: '0.032 2024-T3 + 0.040 2024-T3'.")
    ] = None,
    hole_metal: Annotated[
        str | None, typer.Option("--hole-metal", help="Holes enlarged, if measured: '24 x #40 to #30'.")
    ] = None,
    extra: Annotated[
        str | None, typer.Option("--extra", help="Other masses: 'paint 12 g at 14.5 aft; patch 0.05 lb'.")
    ] = None,
    weight_arm: Annotated[
        str | None, typer.Option("--weight-arm", help="Where a balance weight could go: '6 forward'.")
    ] = None,
    limit: Annotated[
        str | None, typer.Option("--limit", help="Lowest to highest, in-lb: '2 nose heavy to 2 tail heavy'.")
    ] = None,
    current: Annotated[
        str | None, typer.Option("--current", help="Static moment before, in-lb: '4.2 tail heavy'.")
    ] = None,
    edition: Edition = None,
    form: AnswerFormat = Format.TEXT,
    why: Why = False,
    url: Url = None,
) -> None:
    """Tell how a repair changes mass and static moment about a hinge line."""
    given = {
        "arm": arm,
        "removed": removed,
        "installed": installed,
        "stack": stack,
        "hole_metal": hole_metal,
        "extra": extra,
        "weight_arm": weight_arm,
        "limit": limit,
        "current": current,
        "edition": edition,
    }
    question = {name: text for name, text in given.items() if text is not None}
    with ending(as_json=form is Format.JSON), connect(url) as client:
        ask_for_missing(question, _ASKED)
        show("balance", client.balance(**question), form, why=why)
