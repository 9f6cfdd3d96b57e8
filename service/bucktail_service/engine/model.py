"""Questions as the engine takes them: already read, nothing looked up yet."""

from __future__ import annotations

from dataclasses import dataclass

from bucktail_service.engine.lengths import NO_TOLERANCE, Length, Stack, Tolerance
from bucktail_service.engine.torque import Torque

PREPARATIONS = ("countersunk", "dimpled")


@dataclass(frozen=True, slots=True)
class PickQuestion:
    """Which fastener goes through this stack?

    Attributes:
        diameter: Nominal shank diameter. [in]
        alloy: Letters or alloy number.
        head: Head name or head standard.
        stack: Layers, head side first.
        stack_tolerance: How far the stack may be off.
        family: `solid`, `blind`, `bolt` or `pin`; told by the head when None, `solid` where it does not tell.
        practice: Named set of rules; the edition's default when None.
        hole: The hole as it is, a length or a drill name; the final drill's when None.
        preparation: How the sheets take a flush blind rivet, `countersunk` or `dimpled`; None when not said.
        nut: Of a bolt: a nut's number, such as `AN310`; a full-height self-locking one when None.
        nut_height: Of a bolt: height of the nut as measured, in place of the tables'. [in]
        drag: Of a bolt: torque measured while running the nut down. [in lbf]
    """

    diameter: Length
    alloy: str
    head: str
    stack: Stack
    stack_tolerance: Tolerance = NO_TOLERANCE
    family: str | None = None
    practice: str | None = None
    hole: str | None = None
    preparation: str | None = None
    nut: str | None = None
    nut_height: Length | None = None
    drag: Torque | None = None
