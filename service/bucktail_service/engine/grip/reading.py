"""Part numbers of blind rivets, bolts and pins read back into their fields; the writers are `numbers`, `bolt_numbers`.

What each number counts: NAS1054 (2013), CODE, for pins; the dash table of AN3-AN20 for bolts; Table 4-3 of
TM 10-5410-221-14/1 for two-digit numbers. Tables: grip_standards, grip_offered, and those that hold the grips.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.grip.bolt_numbers import HYPHEN
from bucktail_service.engine.grip.choice import GripChoice, Size, refuse_missing, sizes
from bucktail_service.engine.grip.misreading import (
    cannot_be_read,
    dashes_alone,
    lacking,
    likely,
    no_such_grip,
    no_such_size,
)
from bucktail_service.engine.grip.written import AN_BOLT, format_number_of, format_stem, good_number
from bucktail_service.engine.lengths import shown
from bucktail_tables.model import Edition, Row

# a grip number has two digits at most, three where the dash counts sixteenths of a long bolt
_GRIP = r"([1-9][0-9]{0,2})"
_PADDED = r"(?:0([1-9])|([1-9][0-9]?))"
_SHAPES = {
    "letters-diameter": re.compile(rf"(?P<letters>[A-Z]{{1,2}})(?P<dash>[1-9][0-9]?)(?:-(?P<grip>{_GRIP}))?"),
    "letters-diameter-padded": re.compile(rf"(?P<letters>[A-Z]{{1,2}})(?P<dash>{_PADDED})(?:-(?P<grip>{_PADDED}))?"),
    "dash-diameter-grip": re.compile(rf"(?P<letters>)-(?P<dash>[1-9][0-9]?)(?:-(?P<grip>{_PADDED}))?"),
    "two-digit": re.compile(r"(?P<letters>)(?P<dash>[1-9])(?P<grip>[1-9][0-9]?)"),
    "an-bolt": re.compile(rf"(?P<letters>DD|[A-GI-Z]?)(?P<head>H?)(?:(?P<hyphen>-?)(?P<grip>{_GRIP})(?P<plain>A?))?"),
    "nas-bolt": re.compile(rf"(?P<letters>)(?:-(?P<grip>{_GRIP}))?"),
    "nas464": re.compile(rf"(?P<letters>)-(?P<dash>[1-9][0-9]?)(?:-(?P<grip>{_GRIP}))?"),
}
_TWO_DIGIT = re.compile(r"[0-9]{2,3}")
_DASHES = re.compile(r"-?[0-9]{1,2}-[0-9]{1,2}")


@dataclass(frozen=True, slots=True)
class GripDesignation:
    """The fields of a number; *grip* is None for a stem such as `NAS1398B4`.

    Attributes:
        written_as: The number as its standard writes it.
        choice: Standard, material and size.
        grip: What the number counts last: grip in sixteenths, or of AN bolts the dash, which counts length.
        drilled_shank: Of an AN bolt: drilled for a cotter pin; None where the number does not tell.
    """

    written_as: str
    choice: GripChoice
    grip: str | None
    drilled_shank: bool | None

    @property
    def standard(self) -> Row:
        """The row of grip_standards."""
        return self.choice.standard

    @property
    def stem(self) -> str:
        """The number without grip: what a question takes in place of family, head, material and diameter."""
        return format_stem(self.choice)


def is_grip_number(text: str, edition: Edition) -> bool:
    """Return whether a text begins as the number of a blind rivet, bolt or pin, whether or not it can be read."""
    number = _plain(text)
    if _TWO_DIGIT.fullmatch(number) or _DASHES.fullmatch(number):
        return True
    return _split(number, edition) is not None


def parse_grip_number(text: str, edition: Edition) -> GripDesignation:
    """Return the fields of a number or of its stem; what the writers wrote comes back as it was.

    Case does not matter, the form does: a leading zero is read where a standard's numbers have two digits.

    Raises:
        NotTabulated: The edition cannot read the number, or lacks the data of its standard.
    """
    number = _plain(text)
    if _DASHES.fullmatch(number):
        raise dashes_alone(text, edition)
    found = _split(number, edition)
    if found is None:
        told = f"{shown(text)} does not begin with a standard of blind rivets, bolts or pins of this edition"
        raise NotTabulated("number", told, good_number("blind", edition))
    standard, rest = found
    if standard.text("missing"):
        raise lacking(text, standard, refuse_missing(standard, "number", edition).detail, edition)
    match = _SHAPES[standard.text("number_format")].fullmatch(rest)
    offered = None if match is None else _offered(standard, match["letters"], edition)
    if match is None or offered is None or not _hyphen_stands(match):
        raise _unreadable(text, rest, standard, edition)
    return _designation(text, match.groupdict(), standard, offered, edition)


def _unreadable(text: str, rest: str, standard: Row, edition: Edition) -> NotTabulated:
    """Return why a number cannot be read; what it likely means is told where that can be read."""
    meant = likely(rest, standard.text("number_format"))
    if meant is not None:
        try:
            good = parse_grip_number(standard.text("standard") + meant[0], edition).written_as
        except NotTabulated:
            return cannot_be_read(text, standard, edition)
        return NotTabulated("number", f"{shown(text)}: {meant[1]}: {good}", good)
    return cannot_be_read(text, standard, edition)


def _designation(
    text: str, said: dict[str, str | None], standard: Row, offered: Row, edition: Edition
) -> GripDesignation:
    size = _size(text, said.get("dash"), standard, edition)
    head = bool(said.get("head"))
    choice = GripChoice(standard, offered, size.dash, size.fraction, size.nominal, (), head, size.row)
    if said["grip"] is None:
        return GripDesignation(format_stem(choice), choice, None, None)
    grip = said["grip"].lstrip("0")
    shank = said["plain"] == "" if standard.text("number_format") == AN_BOLT else None
    refused = no_such_grip(text, choice, grip, drilled_shank=bool(shank), edition=edition)
    if refused is not None:
        raise refused
    return GripDesignation(format_number_of(choice, grip, drilled_shank=bool(shank)), choice, grip, shank)


def _plain(text: str) -> str:
    # upper-casing turns some foreign letters into ours
    return "".join(letter.upper() if letter.isascii() else letter for letter in text.strip())


def _split(number: str, edition: Edition) -> tuple[Row, str] | None:
    """Return the standard a number begins with, and what follows it."""
    if _TWO_DIGIT.fullmatch(number):
        bare = next((row for row in edition["grip_standards"] if row.text("number_format") == "two-digit"), None)
        return None if bare is None else (bare, number)
    for name, row in _named(edition):
        rest = number.removeprefix(name)
        if rest != number and not rest[:1].isdigit():
            return row, rest
    return None


@lru_cache(maxsize=32)
def _named(edition: Edition) -> tuple[tuple[str, Row], ...]:
    """Return the standards whose numbers begin with their own name, the longest name first."""
    rows = (row for row in edition["grip_standards"] if row.text("number_format") not in ("two-digit", "dashes"))
    return tuple(sorted(((row.text("standard"), row) for row in rows), key=lambda pair: -len(pair[0])))


def _offered(standard: Row, letters: str, edition: Edition) -> Row | None:
    for row in edition["grip_offered"]:
        if row.text("offers") == standard.text("offers") and row.text("letters") == letters:
            return row
    return None


def _hyphen_stands(match: re.Match[str]) -> bool:
    """Return whether a hyphen stands before an AN bolt's dash where no letter does; others are held by their shape."""
    said = match.groupdict()
    if "hyphen" not in said or said["grip"] is None:
        return True
    return bool(said["letters"] or said["head"] or said["hyphen"] == HYPHEN)


def _size(text: str, dash: str | None, standard: Row, edition: Edition) -> Size:
    found = sizes(standard, edition)
    if dash is None:
        return found[0]
    for size in found:
        if size.dash == int(dash):
            return size
    raise no_such_size(text, dash, standard, edition)
