"""The options every command shares; each field of a question is an option of the same name."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from typing import Annotated

import typer


class Format(StrEnum):
    """Formats of an answer."""

    TEXT = "text"
    JSON = "json"
    CSV = "csv"


def _completion(kind: str) -> Callable[[str], list[str]]:
    def complete(incomplete: str) -> list[str]:
        from bucktail.embedded import known  # noqa: PLC0415

        # the shell keeps only what begins as typed, and questions take any case: go on in the reader's own
        begun = incomplete.casefold()
        return [incomplete + name[len(incomplete) :] for name in known(kind) if name.casefold().startswith(begun)]

    return complete


Stem = Annotated[
    str | None,
    typer.Argument(
        metavar="[STEM]", help="Part number without length or grip: MS20470AD4, NAS1398B4, AN4.", show_default=False
    ),
]
Diameter = Annotated[
    str | None,
    typer.Option("--diameter", "-d", help="Shank diameter: 1/8, 0.125, 3.2mm.", autocompletion=_completion("diameter")),
]
Alloy = Annotated[
    str | None,
    typer.Option(
        "--alloy", "-a", help="Letters or alloy: AD, 2117; steel for plain bolts.", autocompletion=_completion("alloy")
    ),
]
Head = Annotated[
    str | None,
    typer.Option("--head", help="Head or standard: universal, NAS1398, hex.", autocompletion=_completion("head")),
]
Stack = Annotated[str | None, typer.Option("--stack", "-s", help="Layers, head side first: '0.032 2024-T3 + 0.040'.")]
Tolerance = Annotated[str | None, typer.Option("--stack-tolerance", help="How far the stack may be off: 0.005.")]
Family = Annotated[str | None, typer.Option("--family", help="Kind of fastener: solid, blind, bolt, pin.")]
Practice = Annotated[
    str | None,
    typer.Option("--practice", help="Named set of rules: civil, military.", autocompletion=_completion("practice")),
]
Hole = Annotated[
    str | None,
    typer.Option("--hole", help="The hole as it is: 0.130 or a drill, '#30'.", autocompletion=_completion("drill")),
]
Preparation = Annotated[
    str | None, typer.Option("--preparation", help="Flush blind rivets: countersunk or dimpled sheets.")
]
Nut = Annotated[
    str | None, typer.Option("--nut", help="Bolts: the nut, AN365 or AN310.", autocompletion=_completion("nut"))
]
NutHeight = Annotated[str | None, typer.Option("--nut-height", help="Bolts: height of the nut as measured: 0.250.")]
Drag = Annotated[str | None, typer.Option("--drag", help="Bolts: torque of running the nut down: 12 in-lb.")]
Edition = Annotated[
    str | None, typer.Option("--edition", help="Edition of the tables.", autocompletion=_completion("edition"))
]
Table = Annotated[
    str,
    typer.Argument(
        metavar="TABLE", help="A table, as 'editions show' names it: holes.", autocompletion=_completion("table")
    ),
]
AnswerFormat = Annotated[Format, typer.Option("--format", "-f", help="How to show the answer.")]
Why = Annotated[bool, typer.Option("--why", "-w", help="Show the reasoning and every figure's source.")]
Url = Annotated[
    str | None,
    typer.Option("--url", envvar="BUCKTAIL_URL", help="A running service; without it the installed tables answer."),
]
