"""What a part number means, of whatever family it is."""

from __future__ import annotations

from bucktail_service.engine.blocks import Block
from bucktail_service.engine.designation import parse_number
from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.part import part
from bucktail_tables.model import Edition


def any_part(number: str, edition: Edition) -> Block:
    """Return what a part number means; solid rivets are tried first and pay for nothing else.

    Raises:
        NotTabulated: The edition cannot read the number; the detail explains the likely misreading.
    """
    try:
        return part(number, edition)
    except NotTabulated:
        from bucktail_service.engine.grip.reading import is_grip_number  # noqa: PLC0415  solid rivets do not pay for it

        if not is_grip_number(number, edition):
            raise
    from bucktail_service.engine.grip.part import part_by_grip  # noqa: PLC0415

    return part_by_grip(number, edition)


def current_number(text: str, edition: Edition) -> str:
    """Return a part number in the current standard and its usual spelling, so that lists may use another.

    Raises:
        NotTabulated: The edition cannot read the number.
    """
    try:
        return parse_number(text, edition).part_number
    except NotTabulated:
        number: str = any_part(text, edition)["part_number"]
        return number
