"""`bucktail rework`."""

from __future__ import annotations

from typing import Annotated

import typer

from bucktail.cli.options import AnswerFormat, Edition, Format, Hole, Practice, Tolerance, Url, Why
from bucktail.cli.session import connect, ending, show


def rework(
    installed: Annotated[str, typer.Argument(help="The rivet that is there: MS20470AD4-4 or '1/8 AD universal'.")],
    stack: Annotated[
        str | None, typer.Option("--stack", "-s", help="Layers, head side first: '0.032 2024-T3 + 0.125 lead'.")
    ] = None,
    stack_tolerance: Tolerance = None,
    hole: Hole = None,
    edge_distance: Annotated[str | None, typer.Option("--edge-distance", help="Hole centre to edge: 0.31.")] = None,
    pitch: Annotated[str | None, typer.Option("--pitch", help="Hole centre to hole centre: 0.75.")] = None,
    row_spacing: Annotated[str | None, typer.Option("--row-spacing", help="From row to row: 0.40.")] = None,
    count: Annotated[str | None, typer.Option("--count", help="Rivets in the row: 12.")] = None,
    failed: Annotated[str | None, typer.Option("--failed", help="Positions to replace: '3, 4'.")] = None,
    corroded: Annotated[str | None, typer.Option("--corroded", help="Metals eating each other: '2117 + lead'.")] = None,
    access: Annotated[str | None, typer.Option("--access", help="Sides that can be reached: both or one.")] = None,
    preparation: Annotated[
        str | None, typer.Option("--preparation", help="Sheet under a flush head: countersunk or dimpled.")
    ] = None,
    environment: Annotated[str | None, typer.Option("--environment", help="marine, seawater or industrial.")] = None,
    arm: Annotated[str | None, typer.Option("--arm", help="Distance from a hinge line: 6.5.")] = None,
    arm_side: Annotated[str | None, typer.Option("--arm-side", help="Side of the hinge line: aft or forward.")] = None,
    practice: Practice = None,
    edition: Edition = None,
    record: Annotated[bool, typer.Option("--record", help="Add a work note with its blanks.")] = False,
    form: AnswerFormat = Format.TEXT,
    why: Why = False,
    url: Url = None,
) -> None:
    """Judge every way to replace a rivet that failed, and plan the work."""
    given = {
        "installed": installed,
        "stack": stack,
        "stack_tolerance": stack_tolerance,
        "hole": hole,
        "edge_distance": edge_distance,
        "pitch": pitch,
        "row_spacing": row_spacing,
        "count": count,
        "failed": failed,
        "corroded": corroded,
        "access": access,
        "preparation": preparation,
        "environment": environment,
        "arm": arm,
        "arm_side": arm_side,
        "practice": practice,
        "edition": edition,
        "record": "true" if record else None,
    }
    question = {name: text for name, text in given.items() if text is not None}
    with ending(as_json=form is Format.JSON), connect(url) as client:
        show("rework", client.rework(**question), form, why=why)
