"""`bucktail inspect`."""

from __future__ import annotations

from typing import Annotated

import typer

from bucktail.cli.options import AnswerFormat, Edition, Format, Hole, Stack, Url, Why
from bucktail.cli.session import connect, ending, show


def inspect(
    fastener: Annotated[str, typer.Argument(help="What was installed: MS20470AD4-4, '1/8 AD universal', NAS1398B4-3.")],
    formed_diameter: Annotated[
        str | None, typer.Option("--formed-diameter", help="Formed heads across: '0.188; 0.190; 0.204'.")
    ] = None,
    formed_height: Annotated[
        str | None, typer.Option("--formed-height", help="Formed heads high: '0.060; 0.062; 0.048'.")
    ] = None,
    hole: Hole = None,
    stack: Stack = None,
    length: Annotated[
        str | None, typer.Option("--length", help="Length of the rivet, if not the part number's: 1/4.")
    ] = None,
    gap: Annotated[str | None, typer.Option("--gap", help="Thickest feeler that enters under the head: 0.002.")] = None,
    gap_around: Annotated[
        str | None, typer.Option("--gap-around", help="Percent of the circumference it enters over: 25.")
    ] = None,
    flushness: Annotated[
        str | None, typer.Option("--flushness", help="A flush head off the skin: '0.003 above', '0.010 below'.")
    ] = None,
    edge_distance: Annotated[str | None, typer.Option("--edge-distance", help="Centre to edge: 0.31.")] = None,
    pitch: Annotated[str | None, typer.Option("--pitch", help="Centre to centre along the row: 0.75.")] = None,
    collar: Annotated[
        str | None, typer.Option("--collar", help="A blind rivet's lock collar off its head: '0.010 above'.")
    ] = None,
    stem: Annotated[
        str | None, typer.Option("--stem", help="A blind rivet's broken stem off its head: 'flush'.")
    ] = None,
    protrusion: Annotated[
        str | None, typer.Option("--protrusion", help="How far a pin or a bolt stands out: 0.06.")
    ] = None,
    practice: Annotated[
        str | None, typer.Option("--practice", help="Which practice rules: civil, military or both.")
    ] = None,
    edition: Edition = None,
    form: AnswerFormat = Format.TEXT,
    why: Why = False,
    url: Url = None,
) -> None:
    """Hold what was measured of installed fasteners to the limits of each practice."""
    given = {
        "fastener": fastener,
        "formed_diameter": formed_diameter,
        "formed_height": formed_height,
        "hole": hole,
        "stack": stack,
        "length": length,
        "gap": gap,
        "gap_around": gap_around,
        "flushness": flushness,
        "edge_distance": edge_distance,
        "pitch": pitch,
        "collar": collar,
        "stem": stem,
        "protrusion": protrusion,
        "practice": practice,
        "edition": edition,
    }
    question = {name: text for name, text in given.items() if text is not None}
    with ending(as_json=form is Format.JSON), connect(url) as client:
        show("inspect", client.inspect(**question), form, why=why)
