"""`bucktail joint`."""

from __future__ import annotations

from typing import Annotated

import typer

from bucktail.cli.options import Alloy, AnswerFormat, Diameter, Edition, Format, Head, Practice, Stem, Url, Why
from bucktail.cli.session import ask_for_missing, connect, ending, show
from bucktail.cli.stem import add_stem

_ASKED = {
    "diameter": "Diameter (1/8)",
    "alloy": "Alloy (AD)",
    "head": "Head (universal, flush-100)",
    "stack": "Sheets with material, outer first (0.032 2024-T3 + 0.04 7075-T6)",
}


def joint(
    stem: Stem = None,
    diameter: Diameter = None,
    alloy: Alloy = None,
    head: Head = None,
    stack: Annotated[
        str | None,
        typer.Option("--stack", "-s", help="Sheets with material, outer first: '0.032 2024-T3 + 0.04 7075-T6'."),
    ] = None,
    shear: Annotated[str | None, typer.Option("--shear", help="single or double.")] = None,
    edge_distance: Annotated[str | None, typer.Option("--edge-distance", help="Hole centre to edge: 1/4.")] = None,
    pitch: Annotated[str | None, typer.Option("--pitch", help="Hole centre to hole centre: 1/2.")] = None,
    rows: Annotated[str | None, typer.Option("--rows", help="Rows of rivets: 2.")] = None,
    row_spacing: Annotated[str | None, typer.Option("--row-spacing", help="From row to row: 5/16.")] = None,
    load: Annotated[str | None, typer.Option("--load", help="'1200 lbf' in all, or '350 lbf/in'.")] = None,
    width: Annotated[str | None, typer.Option("--width", help="Across the load, for counts and layout: 10.")] = None,
    thickness: Annotated[str | None, typer.Option("--thickness", help="Sheet for the counts: 0.032.")] = None,
    table: Annotated[str | None, typer.Option("--table", help="Count table: 4-9, 4-10 or 4-11.")] = None,
    member: Annotated[str | None, typer.Option("--member", help="splice, stringer, frame or lap.")] = None,
    preparation: Annotated[str | None, typer.Option("--preparation", help="Flush: countersunk or dimpled.")] = None,
    practice: Practice = None,
    edition: Edition = None,
    form: AnswerFormat = Format.TEXT,
    why: Why = False,
    url: Url = None,
) -> None:
    """Tell what a joint carries, what governs it, how many pieces a splice takes and where they go."""
    given = {
        "diameter": diameter,
        "alloy": alloy,
        "head": head,
        "stack": stack,
        "shear": shear,
        "edge_distance": edge_distance,
        "pitch": pitch,
        "rows": rows,
        "row_spacing": row_spacing,
        "load": load,
        "width": width,
        "thickness": thickness,
        "table": table,
        "member": member,
        "preparation": preparation,
        "practice": practice,
        "edition": edition,
    }
    question = {name: text for name, text in given.items() if text is not None}
    with ending(as_json=form is Format.JSON), connect(url) as client:
        if stem is not None:
            add_stem(question, stem, client.part(stem, edition=edition))
            question.pop("family", None)  # the head says it: the joint question knows rivets that are driven
        ask_for_missing(question, _ASKED)
        show("joint", client.joint(**question), form, why=why)
