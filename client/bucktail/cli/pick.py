"""`bucktail pick`."""

from __future__ import annotations

from bucktail.cli.options import (
    Alloy,
    AnswerFormat,
    Diameter,
    Drag,
    Edition,
    Family,
    Format,
    Head,
    Hole,
    Nut,
    NutHeight,
    Practice,
    Preparation,
    Stack,
    Stem,
    Tolerance,
    Url,
    Why,
)
from bucktail.cli.session import ask_for_missing, connect, ending, show
from bucktail.cli.stem import add_stem

_ASKED = {
    "diameter": "Diameter (1/8)",
    "alloy": "Alloy (AD)",
    "head": "Head (universal, flush-100)",
    "stack": "Stack, head side first (0.032+0.040)",
}


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
    preparation: Preparation = None,
    nut: Nut = None,
    nut_height: NutHeight = None,
    drag: Drag = None,
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
        "preparation": preparation,
        "nut": nut,
        "nut_height": nut_height,
        "drag": drag,
        "edition": edition,
    }
    question = {name: text for name, text in given.items() if text is not None}
    with ending(as_json=form is Format.JSON), connect(url) as client:
        if stem is not None:
            add_stem(question, stem, client.part(stem, edition=edition))
        ask_for_missing(question, _ASKED)
        show("pick", client.pick(**question), form, why=why)
