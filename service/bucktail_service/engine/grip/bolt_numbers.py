"""How the numbers of bolts are written: `AN4-10A`, `AN4DD10A`, `AN4H10A`, `NAS6204-10`, `NAS464-4-10`."""

from __future__ import annotations

from bucktail_tables.model import Row

HEAD_DRILLED = "H"
SHANK_PLAIN = "A"
HYPHEN = "-"


def format_bolt_number(
    standard: Row, letters: str, dash: str, *, drilled_head: bool, drilled_shank: bool, diameter: int
) -> str:
    """Return the part number of a bolt.

    Args:
        standard: Row of grip_standards.
        letters: Material letters; empty for plain steel.
        dash: What follows: of AN bolts overall length in eighths, of NAS bolts grip in sixteenths.
        drilled_head: Head drilled for lockwire; only AN bolts tell it.
        drilled_shank: Shank drilled for a cotter pin; only AN bolts tell it, by leaving the `A` away.
        diameter: The diameter in sixteenths; only NAS464 writes it after its own number.

    In AN numbers the letters of material and head stand where the hyphen would.
    """
    name = standard.text("standard")
    number_format = standard.text("number_format")
    if number_format == "an-bolt":
        middle = letters + (HEAD_DRILLED if drilled_head else "")
        return f"{name}{middle or HYPHEN}{dash}{'' if drilled_shank else SHANK_PLAIN}"
    if number_format == "nas464":
        return f"{name}{HYPHEN}{diameter}{HYPHEN}{dash}"
    return f"{name}{letters}{HYPHEN}{dash}"
