"""The questions as they may be asked. Built once; unknown fields are refused."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from marshmallow import RAISE, Schema, ValidationError, fields

from bucktail_service.engine.grip.choice import grip_alloy_names, grip_head_names
from bucktail_service.engine.grip.names import nut_names
from bucktail_service.engine.model import PREPARATIONS, PickQuestion
from bucktail_service.engine.pick import FAMILIES
from bucktail_service.engine.standards import alloy_names, head_names
from bucktail_service.problems import BadFields, BadLengths, FieldError
from bucktail_service.schemas.fields import (
    EditionField,
    HoleField,
    LengthField,
    NameField,
    StackField,
    StackOrGaugeField,
    ToleranceField,
    TorqueField,
)
from bucktail_service.schemas.plain import Asked, Question
from bucktail_tables.load import load_edition


class PickSchema(Schema):
    """Which fastener goes through this stack?"""

    class Meta:
        unknown = RAISE
        ordered = True

    diameter = LengthField(required=True, metadata={"description": "Nominal shank diameter.", "example": "1/8"})
    alloy = NameField(
        [*alloy_names(load_edition()), *grip_alloy_names(load_edition())],
        shown=alloy_names(load_edition()),
        required=True,
        metadata={"description": "Letters of the part numbers, or the alloy; steel for plain bolts.", "example": "AD"},
    )
    head = NameField(
        [*head_names(load_edition()), *grip_head_names(load_edition())],
        shown=[*head_names(load_edition()), "protruding", "hex", "lockbolt", "a standard such as NAS1398 or AN4"],
        required=True,
        metadata={"description": "Head, or standard, current or superseded.", "example": "universal"},
    )
    stack = StackOrGaugeField(
        required=True,
        metadata={
            "description": "Layers, head side first; no unit means inches. For blind rivets and pins also the "
            "reading of a hook gauge, gauge 3.",
            "example": "0.040+0.040",
        },
    )
    stack_tolerance = ToleranceField(metadata={"description": "How far the stack may be off.", "example": "0.005"})
    family = NameField(
        list(FAMILIES),
        metadata={"description": "Kind of fastener; a standard named as head tells it too.", "example": "solid"},
    )
    practice = NameField(
        [row.text("practice") for row in load_edition()["practices"]],
        metadata={"description": "Named set of rules.", "example": "civil"},
    )
    hole = HoleField(metadata={"description": "The hole as it is, when it is not the final drill's.", "example": "#30"})
    preparation = NameField(
        list(PREPARATIONS),
        metadata={"description": "How the sheets take a flush blind rivet.", "example": "countersunk"},
    )
    nut = NameField(
        nut_names(load_edition()),
        metadata={"description": "Nut of a bolt; a castellated one needs a drilled shank.", "example": "AN310"},
    )
    nut_height = LengthField(
        metadata={"description": "Height of the nut as measured, in place of the tables'.", "example": "0.250"}
    )
    drag = TorqueField(
        metadata={"description": "Torque measured while running the nut down; no unit means in-lb.", "example": "12"}
    )
    edition = EditionField(metadata={"description": "Edition of the tables; pins the answer.", "example": "2026.1"})


class _NamedEdition(Schema):
    edition = EditionField()


_NAMED_EDITION = _NamedEdition()
MISSING = "is missing"
PICK = PickSchema()


def load_pick(payload: Mapping[str, Any]) -> Asked[PickQuestion]:
    """Return the pick question a payload asks; BadFields names every field that is wrong."""
    return load_asked(PICK, PickQuestion, payload)


def load_asked(schema: Schema, kind: Callable[..., Question], payload: Mapping[str, Any]) -> Asked[Question]:
    """Return the question of a *kind* a payload asks, and the edition asked for.

    Raises:
        BadFields: A field is missing, unknown or cannot be read; every one of them is named.
    """
    loaded = load(schema, payload)
    edition = loaded.pop("edition", None)
    return Asked(kind(**loaded), edition)


def load_edition_name(name: str | None) -> str | None:
    """Return the name of an edition as a query gives it; BadFields when it cannot be one."""
    return name if name is None else load(_NAMED_EDITION, {"edition": name})["edition"]


def load(schema: Schema, payload: Mapping[str, Any]) -> dict[str, Any]:
    """Return a payload read by *schema*; BadFields names every field that is wrong."""
    try:
        loaded: dict[str, Any] = schema.load(payload)
    except ValidationError as error:
        messages = error.messages_dict
        errors = [_field_error(schema, name, messages[name]) for name in messages]
        unreadable = all(_is_unreadable_length(schema, entry) for entry in errors)
        raise (BadLengths if unreadable else BadFields)(errors) from None
    return loaded


def _is_unreadable_length(schema: Schema, error: FieldError) -> bool:
    field = schema.fields.get(error.field)
    return isinstance(field, LengthField | StackField | ToleranceField) and error.detail != MISSING


def _field_error(schema: Schema, name: str, messages: Any) -> FieldError:
    field: fields.Field[Any] | None = schema.fields.get(name)
    if field is None:
        known = ", ".join(schema.fields)
        return FieldError(str(name)[:80], "is not a field of this question", f"one of {known}")
    detail = "; ".join(map(str, messages)) if isinstance(messages, list) else str(messages)
    if detail == "Missing data for required field.":
        detail = MISSING
    elif detail == "Field may not be null.":
        detail = "may not be null: leave it out instead"
    return FieldError(name, detail, str(field.metadata["example"]))
