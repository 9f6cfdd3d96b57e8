"""Why a number of a blind rivet, bolt or pin cannot be read, and which number was likely meant."""

from __future__ import annotations

import re

from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.grip.choice import GripChoice, sizes
from bucktail_service.engine.grip.ladder import counts_grip
from bucktail_service.engine.grip.written import AN_BOLT, format_number_of, good_number, good_number_of, grips
from bucktail_service.engine.lengths import shown
from bucktail_tables.model import Edition, Row

_EIGHTHS = "01234567"


def no_such_grip(
    text: str, choice: GripChoice, grip: str, *, drilled_shank: bool, edition: Edition
) -> NotTabulated | None:
    """Return why a number's grip, or of AN bolts its dash, is none of its standard's; None where it is one.

    Args:
        text: The number as it was given.
        choice: Standard, material and size.
        grip: What the number counts last, without leading zero.
        drilled_shank: Whether the shank is drilled for a cotter pin; the example then is so too.
        edition: The tables to read.
    """
    known = grips(choice, edition)
    if grip in known:
        return None
    lower, upper = _neighbours(int(grip), known)
    example = format_number_of(choice, upper or known[-1], drilled_shank=drilled_shank)
    return NotTabulated("number", f"{shown(text)}: {_why(choice, grip, known, lower, upper)}", example)


def _neighbours(grip: int, known: list[str]) -> tuple[str | None, str | None]:
    lower = [dash for dash in known if int(dash) < grip]
    upper = [dash for dash in known if int(dash) > grip]
    return (lower[-1] if lower else None), (upper[0] if upper else None)


def _why(choice: GripChoice, grip: str, known: list[str], lower: str | None, upper: str | None) -> str:
    name, form = choice.standard.text("standard"), choice.standard.text("number_format")
    if form == AN_BOLT and grip[-1] not in _EIGHTHS:
        tens = int(grip) // 10
        return (
            f"no AN bolt has a dash {grip}: the dash counts inches and eighths, so that 8 and 9 never end it and "
            f"-{10 * tens + 7} is followed by -{10 * tens + 10}"
        )
    if form == "two-digit":
        near = " and ".join(f"{choice.dash}{dash}" for dash in (lower, upper) if dash is not None)
        return f"the chart does not print it; next to it, of this diameter, it prints {near}"
    if choice.standard.text("family") == "bolt" and counts_grip(choice.standard) and lower and upper:
        return f"{name} has no grip {grip}: over 32 its numbers are even, -{lower} and -{upper} are next to it"
    return f"-{grip} is not among the numbers of this edition for {name}, -{known[0]} to -{known[-1]}"


def lacking(text: str, standard: Row, detail: str, edition: Edition) -> NotTabulated:
    """Return the problem of a number whose standard lacks data; *detail* says which."""
    return NotTabulated("number", f"{shown(text)}: {detail}", good_number(standard.text("family"), edition))


def no_such_size(text: str, dash: str, standard: Row, edition: Edition) -> NotTabulated:
    """Return the problem of a diameter the standard does not come in."""
    known = ", ".join(str(size.dash) for size in sizes(standard, edition))
    told = f"diameter {dash} in {shown(text)} is not a size of {standard.text('standard')} in this edition: {known}"
    return NotTabulated("number", told, good_number_of(standard, edition))


def dashes_alone(text: str, edition: Edition) -> NotTabulated:
    """Return the problem of a number that is nothing but dashes."""
    kinds = [row.text("kind") for row in edition["grip_standards"] if row.text("number_format") == "dashes"]
    told = f"{shown(text)}: dashes alone do not tell the standard, nor whether it is a {' or a '.join(kinds)}"
    return NotTabulated("number", told, good_number("pin", edition))


def cannot_be_read(text: str, standard: Row, edition: Edition) -> NotTabulated:
    """Return the problem of a number that is none of its standard's, and no likely misreading of one."""
    name = standard.text("standard")
    letters = [row.text("letters") for row in edition["grip_offered"] if row.text("offers") == standard.text("offers")]
    told = f"; its material letters are {', '.join(letter or 'none' for letter in letters)}" if any(letters) else ""
    good = good_number_of(standard, edition)
    return NotTabulated("number", f"{shown(text)} is no {name} number that can be read{told}", good)


_UNTOLD = "further letters are not told by the tables of this edition; without them"
# number formats, what stands behind the standard, what it likely means, why it is not read so
_LIKELY = [
    (
        ("letters-diameter",),
        r"([A-Z]{1,2})0?([1-9])-0?([1-9][0-9]?)",
        r"\1\2-\3",
        "its numbers carry no leading zero",
    ),
    (
        ("letters-diameter", "letters-diameter-padded"),
        r"[ -]*([A-Z]{1,2})[ -]*0?([1-9])[ -]+0?([1-9][0-9]?)",
        r"\1\2-\3",
        "nothing stands between the standard, the letters and the diameter, and one hyphen before the grip",
    ),
    (
        ("letters-diameter", "letters-diameter-padded"),
        r"([A-Z]{1,2})0?([1-9])-?[A-Z]-?0?([1-9][0-9]?)",
        r"\1\2-\3",
        "a letter between diameter and grip is not told by the tables of this edition; without it",
    ),
    (
        ("dash-diameter-grip",),
        r"[ -]*0?([1-9][0-9]?)[ -]+0?([1-9][0-9]?)",
        r"-\1-\2",
        "one hyphen stands before the diameter and one before the grip, and no leading zero before the diameter",
    ),
    (
        (AN_BOLT,),
        r"(DD|C)?(H?)-?0([1-9])(A?)",
        r"\1\2-\3\4",
        "the dash carries no leading zero",
    ),
    (
        (AN_BOLT,),
        r"[ -]*(DD|C)?[ -]*(H?)[ -]*([1-9][0-9]?)[ -]*(A?)",
        r"\1\2-\3\4",
        "a hyphen stands before the dash where no letter does, and nothing else between the fields",
    ),
    ((AN_BOLT,), r"H(DD|C)-?([1-9][0-9]?)(A?)", r"\1H-\2\3", "the letters of the material stand before the H"),
    (
        (AN_BOLT,),
        r"(DD|C)?A-?([1-9][0-9]?)",
        r"\1-\2A",
        "the A of a shank not drilled for a cotter pin stands behind the dash",
    ),
    (
        (AN_BOLT,),
        r"(DD|C)?-?([1-9][0-9]?)(?:(A)H|H(A?))",
        r"\1H-\2\3\4",
        "the H of a head drilled for lockwire stands before the dash",
    ),
    (("nas-bolt",), r"[ -]*0?([1-9][0-9]{0,2})", r"-\1", "one hyphen and no leading zero stands before the grip"),
    (("nas-bolt",), r"[ -]*0?([1-9][0-9]{0,2})[ -]*[A-Z]{1,2}", r"-\1", _UNTOLD),
    (
        ("nas464",),
        r"[ P-]*0?([1-9][0-9]?)[ -]*[A-Z]{0,2}[ -]*0?([1-9][0-9]?)[A-Z]?",
        r"-\1-\2",
        f"one hyphen stands before the diameter and one before the grip; {_UNTOLD}",
    ),
    (("nas464",), r"[ P-]*0?([1-9][0-9]?)", r"-\1", f"one hyphen stands before the diameter; {_UNTOLD}"),
]
# their runs of blanks and hyphens would try a long text in every way there is
_MAX_LIKELY = 20
_PATTERNS = [(forms, re.compile(pattern), meant, why) for forms, pattern, meant, why in _LIKELY]


def likely(rest: str, form: str) -> tuple[str, str] | None:
    """Return what stands behind the standard in the number likely meant, and why it is not read so; None if unlikely.

    Args:
        rest: What stands behind the standard.
        form: The standard's number format.
    """
    if len(rest) > _MAX_LIKELY:
        return None
    for forms, pattern, meant, why in _PATTERNS:
        match = pattern.fullmatch(rest) if form in forms else None
        if match is not None and match.expand(meant) != rest:
            return match.expand(meant), why
    return None
