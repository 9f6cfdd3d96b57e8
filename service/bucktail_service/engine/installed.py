"""Which rivet is in the hole: a part number, its stem, or diameter, alloy and head in words."""

from __future__ import annotations

from dataclasses import dataclass

from bucktail_service.engine.designation import NUMBER_EXAMPLE, parse_number
from bucktail_service.engine.errors import BadQuestion, NotTabulated
from bucktail_service.engine.lengths import Length, parse_length, shown
from bucktail_service.engine.sizes import find_diameter
from bucktail_service.engine.standards import choose_standard
from bucktail_tables.model import Edition

INSTALLED_EXAMPLE = "MS20470AD4-4, MS20470AD4 or 1/8 AD universal"
_WORDS = 3


@dataclass(frozen=True, slots=True)
class Installed:
    """The rivet that is there: what a pick question would ask for, and its length number if it was said."""

    diameter: Length
    alloy: str
    head: str
    dash: str | None


def read_installed(text: str, edition: Edition) -> Installed:
    """Return the rivet a text names.

    Raises:
        NotTabulated: It is neither a part number the edition reads nor a diameter, an alloy and a head.
    """
    words = text.split()
    try:
        if len(words) == _WORDS:
            diameter = parse_length(words[0], "installed")
            choice = choose_standard(words[2], words[1], edition)
            find_diameter(diameter, edition)
            return Installed(diameter, choice.material.text("alloy"), words[2], None)
        found = parse_number(text, edition)
    except BadQuestion as error:
        raise NotTabulated("installed", f"{shown(text)}: {error.detail}", INSTALLED_EXAMPLE) from None
    except NotTabulated as error:
        by_grip = _by_grip(text, words, edition)
        if by_grip is not None:
            raise NotTabulated("installed", by_grip, INSTALLED_EXAMPLE) from None
        example = INSTALLED_EXAMPLE if error.example == NUMBER_EXAMPLE else error.example
        raise NotTabulated("installed", error.detail, example) from None
    head = found.standard.text("standard") if found.alias is None else found.alias.text("alias")
    size = parse_length(found.diameter.text("fraction"))
    return Installed(size, found.material.text("alloy"), head, found.dash)


def _by_grip(text: str, words: list[str], edition: Edition) -> str | None:
    """Return why a fastener chosen by grip is not read here; None where the text names none."""
    from bucktail_service.engine.grip.choice import families_of_head  # noqa: PLC0415  solid rivets do not pay for it
    from bucktail_service.engine.grip.reading import is_grip_number  # noqa: PLC0415

    if is_grip_number(text, edition) or (len(words) == _WORDS and families_of_head(words[2], edition)):
        return f"{shown(text)} is a fastener chosen by grip: this question is about solid rivets"
    return None
