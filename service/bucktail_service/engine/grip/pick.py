"""The pick answer for blind rivets, bolts and pins: which family a question means, and its answer."""

from __future__ import annotations

from bucktail_service.engine.blocks import Block
from bucktail_service.engine.errors import BadQuestion, NotTabulated
from bucktail_service.engine.facts import default_practice
from bucktail_service.engine.grip.blind import pick_blind
from bucktail_service.engine.grip.bolt import pick_bolt
from bucktail_service.engine.grip.choice import families_of_head, named_standard
from bucktail_service.engine.grip.pin import pick_pin
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.standards import is_solid_head
from bucktail_tables.model import Edition

_BY_FAMILY = {"blind": pick_blind, "bolt": pick_bolt, "pin": pick_pin}
# fields that only one family has a use for
_ONLY = {"preparation": "blind", "nut": "bolt", "nut_height": "bolt", "drag": "bolt"}


def family_of(question: PickQuestion, edition: Edition) -> str:
    """Return the family a question means: the one it says, or that of the head or the standard it names.

    Raises:
        NotTabulated: It says one family and names a standard of another, names a head that several have, or gives a
            field its family has no use for.
    """
    family = question.family or _family_by_head(question.head, edition)
    named = named_standard(question.head, edition)
    if named is not None and named[0].text("family") != family:
        by_head = named[0].text("family")
        told = f"{question.head} is a {by_head} fastener, the question says {family}"
        raise NotTabulated("family", told, by_head)
    for name, owner in _ONLY.items():
        if getattr(question, name) is not None and family != owner:
            told = f"has no meaning for a {family} fastener: it is asked of {owner} ones"
            raise NotTabulated(name, told, "leave it out")
    if question.stack.gauge is not None and family not in ("blind", "pin"):
        told = f"a hook gauge reads grip numbers, which {family} fasteners do not have: give the thickness"
        raise NotTabulated("stack", told, "0.040+0.040")
    return family


def _family_by_head(head: str, edition: Edition) -> str:
    if is_solid_head(head, edition):
        return "solid"
    families = families_of_head(head, edition)
    if len(families) != 1:
        told = f"a {head} head is one of {' and '.join(families)} fasteners: say which" if families else "is not told"
        raise NotTabulated("family", told, families[0] if families else "solid")
    return families[0]


def pick_by_grip(family: str, question: PickQuestion, edition: Edition) -> Block:
    """Return the pick answer of a blind rivet, a bolt or a pin, in the shape of a solid rivet's.

    Raises:
        BadQuestion: The head, the practice or the nut is not one the edition knows.
        NotTabulated: The standard lacks data, or does not come in the material or the size.
        OutsideTable: No grip holds the stack.
    """
    practice = question.practice or default_practice(edition)
    if edition["practices"].find(practice) is None:
        known = ", ".join(row.text("practice") for row in edition["practices"])
        raise BadQuestion("practice", f"{practice!r} is not a practice of this edition", f"one of {known}")
    if question.stack_tolerance.minus.inches >= question.stack.total:
        raise NotTabulated("stack_tolerance", "the stack would be nothing at its thinnest", "0.005")
    return _BY_FAMILY[family](question, edition)
