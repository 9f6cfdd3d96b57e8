"""The pick question read without marshmallow, for the common case: known fields, all of them plain texts.

Importing marshmallow costs more than answering. What is not read here for whatever reason is left to the schema,
which reads everything and says what is wrong; a test holds the two readers to each other.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any, Generic, NamedTuple, TypeVar

from bucktail_service.engine.errors import QuestionError
from bucktail_service.engine.lengths import parse_length, parse_stack, parse_tolerance
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.standards import alloy_names, head_names
from bucktail_tables.load import load_edition

PICK_FIELDS = (
    "diameter",
    "alloy",
    "head",
    "stack",
    "stack_tolerance",
    "family",
    "practice",
    "hole",
    "preparation",
    "nut",
    "nut_height",
    "drag",
    "edition",
)
REQUIRED = PICK_FIELDS[:4]
EDITION_PATTERN = r"[A-Za-z0-9][A-Za-z0-9._-]{0,31}"

# the others are read by the schema
_PLAIN = {*REQUIRED, "stack_tolerance", "practice", "edition"}
_EDITION = re.compile(EDITION_PATTERN, re.ASCII)


Question = TypeVar("Question")


class Asked(NamedTuple, Generic[Question]):
    """A question read from its payload, and the edition asked for, if one was."""

    question: Question
    edition: str | None


@lru_cache(maxsize=1)
def _names() -> dict[str, dict[str, str]]:
    edition = load_edition()
    practices = [row.text("practice") for row in edition["practices"]]
    names = {"alloy": alloy_names(edition), "head": head_names(edition), "practice": practices}
    return {field: {name.lower(): name for name in known} for field, known in names.items()}


def read_plain_pick(payload: Mapping[str, Any]) -> Asked[PickQuestion] | None:
    """Return a plainly written pick question read, or None for the schema to judge."""
    if not set(REQUIRED) <= set(payload) <= _PLAIN:
        return None
    if not all(isinstance(value, str) and value.isascii() for value in payload.values()):
        return None
    named = {
        field: known.get(payload[field].strip(" ").lower()) for field, known in _names().items() if field in payload
    }
    edition = payload.get("edition")
    if None in named.values() or (edition is not None and _EDITION.fullmatch(edition) is None):
        return None
    try:
        fields: dict[str, Any] = {
            **named,
            "diameter": parse_length(payload["diameter"]),
            "stack": parse_stack(payload["stack"]),
        }
        if "stack_tolerance" in payload:
            fields["stack_tolerance"] = parse_tolerance(payload["stack_tolerance"])
    except QuestionError:
        return None
    return Asked(PickQuestion(**fields), edition)


def read_plain_edition(name: str | None) -> bool:
    """Return whether the name of an edition needs no schema to be read."""
    return name is None or _EDITION.fullmatch(name) is not None
