"""Questions as the engine takes them: already read, nothing looked up yet."""

from __future__ import annotations

from dataclasses import dataclass

from bucktail_service.engine.lengths import NO_TOLERANCE, Length, Stack, Tolerance


@dataclass(frozen=True, slots=True)
class PickQuestion:
    """Which fastener goes through this stack?

    Attributes:
        diameter: Nominal shank diameter. [in]
        alloy: Letters or alloy number.
        head: Head name or head standard.
        stack: Layers, head side first.
        stack_tolerance: How far the stack may be off.
        family: `solid`; the other families are not in the edition.
        practice: Named set of rules; the edition's default when None.
        hole: The hole as it is, a length or a drill name; the final drill's when None.
    """

    diameter: Length
    alloy: str
    head: str
    stack: Stack
    stack_tolerance: Tolerance = NO_TOLERANCE
    family: str = "solid"
    practice: str | None = None
    hole: str | None = None
