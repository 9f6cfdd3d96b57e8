"""Part numbers: written from their fields and read back.

`MS20470AD4-4.5`: standard, alloy letters, diameter in thirty-seconds, length in sixteenths (NAVEDTRA 14315, text
beside Table 3-1; half sizes AC 43.13-1B par 4-57a(4)). Some standards put the letters after the diameter.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.lengths import shown
from bucktail_tables.model import Edition, Row

NUMBER_EXAMPLE = "MS20470AD4-4 or MS20426AD3-3.5"

_LENGTH = r"([1-9][0-9]{0,2}(?:\.5)?)"
_SHAPES = {
    "letters-diameter": re.compile(rf"([A-Z]{{0,2}})(-?)([1-9][0-9]?)(?:-{_LENGTH})?", re.ASCII),
    "diameter-letters": re.compile(rf"()(-)([1-9][0-9]?)([A-Z]{{1,2}}){_LENGTH}?", re.ASCII),
}


@dataclass(frozen=True, slots=True)
class Designation:
    """The fields of a solid rivet's part number; *dash* is None for a stem such as `MS20470AD4`."""

    written_as: str
    standard: Row
    offered: Row
    material: Row
    diameter: Row
    dash: str | None
    alias: Row | None

    @property
    def sixteenths(self) -> Fraction | None:
        """Length in sixteenths of an inch. [1/16 in]"""
        return None if self.dash is None else Fraction(self.dash)

    @property
    def part_number(self) -> str:
        """The number in the current standard."""
        return format_number(self.offered, self.diameter.text("dash"), self.dash)


def format_number(offered: Row, diameter_dash: str, length_dash: str | None, standard: str | None = None) -> str:
    """Return the part number, or its stem when there is no length.

    Args:
        offered: Row of `offered`: the standard, the letters, and how the number is put together.
        diameter_dash: Diameter in thirty-seconds.
        length_dash: Length in sixteenths, `4` or `4.5`, or None.
        standard: Another number of the same standard (`AN470`) to write instead.
    """
    name = standard or offered.text("standard")
    letters = offered.text("letters")
    if offered.text("number_format") == "diameter-letters":
        return f"{name}-{diameter_dash}{letters}{length_dash or ''}"
    stem = f"{name}{letters}{diameter_dash}" if letters else f"{name}-{diameter_dash}"
    return stem if length_dash is None else f"{stem}-{length_dash}"


def parse_number(text: str, edition: Edition) -> Designation:
    """Return the fields of a part number or of its stem; `parse_number(format_number(...))` gives them back.

    Raises:
        NotTabulated: It is not a number this edition can read; the detail explains the likely misreading.
    """
    # upper-casing turns some foreign letters into ours
    number = "".join(letter.upper() if letter.isascii() else letter for letter in text.strip())
    standard, alias, rest = _split_standard(number, text, edition)
    name = standard.text("standard")
    written_as = name if alias is None else alias.text("alias")
    offers = [row for row in edition["offered"] if row.text("standard") == name]
    for offered in offers:
        match = _SHAPES[offered.text("number_format")].fullmatch(rest)
        if match is None or (match[1] or match[4] or "" if _after(offered) else match[1]) != offered.text("letters"):
            continue
        if not _after(offered) and bool(match[2]) != (offered.text("letters") == ""):
            continue
        dash = match[5] if _after(offered) else match[4]
        return Designation(
            format_number(offered, match[3], dash, written_as),
            standard,
            offered,
            _material(offered, edition),
            _diameter(match[3], text, edition),
            dash,
            alias,
        )
    raise _unreadable(text, rest, written_as, offers)


def _after(offered: Row) -> bool:
    return offered.text("number_format") == "diameter-letters"


def _split_standard(number: str, text: str, edition: Edition) -> tuple[Row, Row | None, str]:
    names: dict[str, Row | None] = {row.text("standard"): None for row in edition["standards"]}
    names |= {row.text("alias"): row for row in edition["aliases"]}
    for name in sorted(names, key=len, reverse=True):
        rest = number.removeprefix(name)
        if rest != number and not rest[:1].isdigit():
            alias = names[name]
            standard = edition["standards"].find(name if alias is None else alias.text("standard"))
            assert standard is not None, "the check holds aliases to standards"  # noqa: S101
            return standard, alias, rest
    raise NotTabulated("number", f"{shown(text)} does not begin with a standard of this edition", NUMBER_EXAMPLE)


def _material(offered: Row, edition: Edition) -> Row:
    row = edition["materials"].find(offered.text("alloy"))
    assert row is not None, "the loader holds offered.alloy to materials"  # noqa: S101
    return row


def _diameter(dash: str, text: str, edition: Edition) -> Row:
    row = edition["diameters"].find(dash)
    if row is None:
        sizes = ", ".join(row.text("dash") for row in edition["diameters"])
        raise NotTabulated(
            "number", f"diameter {dash} in {shown(text)} is not a size of this edition", f"one of {sizes}"
        )
    return row


def _unreadable(text: str, rest: str, name: str, offers: list[Row]) -> NotTabulated:
    said = shown(text)
    after = bool(offers) and _after(offers[0])
    example = f"{name}-4{offers[0].text('letters')}4" if after else format_number(offers[0], "4", "4", name)
    half = re.fullmatch(r"([A-Z]{0,2}-?[0-9]{1,2})-([0-9]{1,2})(?:-5|,5| 1/2|-1/2|½)", rest)
    if half is not None:
        meant = f"{name}{half[1]}-{half[2]}.5"
        detail = (
            f"{said}: a half size is written with a point, {meant}, and is {half[2]} and a half sixteenths long; "
            "a second hyphen means nothing"
        )
        return NotTabulated("number", detail, meant)
    if re.fullmatch(r"[A-Z]{0,2}-?[0-9]{1,2}-[0-9]+\.[0-9]+", rest):
        return NotTabulated("number", f"{said}: lengths go in whole or half sixteenths, .5 only", f"{example}.5")
    spaced = re.fullmatch(r"[ -]*([A-Z]{1,2})[ -]*([0-9]{1,2})[ -]+([0-9]{1,2}(?:\.5)?)", rest)
    if spaced is not None and not after and (" " in rest or rest.startswith("-")):
        meant = f"{name}{spaced[1]}{spaced[2]}-{spaced[3]}"
        detail = f"{said}: nothing stands between the standard, the letters and the diameter"
        return NotTabulated("number", detail, meant)
    if re.fullmatch(r"[A-Z]{0,2}-?0[0-9]-?[0-9.]*|[A-Z]{0,2}-?[0-9]{1,2}-0[0-9.]*", rest):
        return NotTabulated("number", f"{said}: numbers carry no leading zero", example)
    letters = ", ".join(row.text("letters") or "none" for row in offers)
    detail = f"{said} cannot be read as a {name} number; its alloy letters are {letters}"
    return NotTabulated("number", detail, example)
