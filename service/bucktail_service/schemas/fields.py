"""Fields of the questions: strict, each with the pattern the OpenAPI document shows and a good example."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Any, ClassVar

from marshmallow import ValidationError, fields

from bucktail_service.engine import lengths, torque
from bucktail_service.engine.errors import BadQuestion
from bucktail_service.engine.holes import HOLE_EXAMPLE
from bucktail_service.engine.lengths import Layer, Length, Stack, Tolerance
from bucktail_service.schemas.plain import EDITION_PATTERN

_NUMBER = {"type": "number", "minimum": 0, "maximum": lengths.MAX_INCHES}


def told(description: str, example: str) -> dict[str, str]:
    """Return what a field's metadata tell of it."""
    return {"description": description, "example": example}


def _anchored(pattern: str) -> str:
    return f"^(?:{pattern})$"


class QuestionField(fields.Field[Any]):
    """A field that shows its own JSON schema and an example."""

    json_schema: ClassVar[Mapping[str, Any]] = {}
    example: ClassVar[str] = ""

    def __init__(self, **options: Any) -> None:
        metadata = {"example": self.example, **options.pop("metadata", {})}
        super().__init__(metadata=metadata, **options)


class LengthField(QuestionField):
    """One length: a text with its unit, or a JSON number of inches."""

    example = lengths.LENGTH_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [{"type": "string", "pattern": _anchored(lengths.LENGTH), "maxLength": 40}, _NUMBER]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Length:
        return _length(value, attr or "length")


def _length(value: object, field: str) -> Length:
    try:
        if isinstance(value, str):
            return lengths.parse_length(value, field)
        if isinstance(value, int | float) and not isinstance(value, bool):
            return lengths.length_from_number(value, field)
    except BadQuestion as error:
        raise ValidationError(error.detail) from None
    except OverflowError:
        raise ValidationError("the number is too large for a length") from None
    raise ValidationError(f"a length is a text or a number, not {_kind(value)}")


def _kind(value: object) -> str:
    names = {"NoneType": "null", "bool": "true or false", "list": "a list", "dict": "an object"}
    return names.get(type(value).__name__, type(value).__name__)


class StackField(QuestionField):
    """A stack: a text, a number of inches, or a list of layers, head side first."""

    example = lengths.STACK_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {"type": "string", "pattern": _anchored(lengths.STACK), "maxLength": lengths.MAX_TEXT},
            _NUMBER,
            {
                "type": "array",
                "minItems": 1,
                "maxItems": lengths.MAX_LAYERS,
                "items": {
                    "oneOf": [
                        {"type": "string", "pattern": _anchored(lengths.LAYER), "maxLength": 200},
                        _NUMBER,
                        {
                            "type": "object",
                            "required": ["thickness"],
                            "additionalProperties": False,
                            "properties": {
                                "thickness": LengthField.json_schema,
                                "material": {"type": "string", "pattern": _anchored(lengths.MATERIAL)},
                            },
                        },
                    ]
                },
            },
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Stack:
        field = attr or "stack"
        if isinstance(value, str):
            return _parsed_stack(value, field)
        if isinstance(value, list | tuple):
            if not 0 < len(value) <= lengths.MAX_LAYERS:
                raise ValidationError(f"a stack has 1 to {lengths.MAX_LAYERS} layers, not {len(value)}")
            return Stack(tuple(_layer(entry, field) for entry in value))
        return Stack((Layer(_length(value, field), None),))


def _parsed_stack(text: str, field: str) -> Stack:
    try:
        return lengths.parse_stack(text, field)
    except BadQuestion as error:
        raise ValidationError(error.detail) from None


def _layer(value: object, field: str) -> Layer:
    if isinstance(value, str):
        stack = _parsed_stack(value, field)
        if len(stack.layers) != 1:
            raise ValidationError(f"{value!r} is more than one layer")
        return stack.layers[0]
    if isinstance(value, dict):
        unknown = set(value) - {"thickness", "material"}
        if unknown or "thickness" not in value:
            raise ValidationError("a layer is {thickness, material}" + (f", without {min(unknown)}" if unknown else ""))
        material = value.get("material")
        if material is not None and not (isinstance(material, str) and _MATERIAL.fullmatch(material)):
            raise ValidationError(f"{material!r} is not the name of a material, such as 2024-T3")
        return Layer(_length(value["thickness"], field), material)
    return Layer(_length(value, field), None)


_MATERIAL = re.compile(lengths.MATERIAL, re.ASCII)


class StackOrGaugeField(StackField):
    """A stack, or the reading of a hook gauge."""

    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {
                "type": "string",
                "pattern": _anchored(f"(?:{lengths.STACK}|{lengths.GAUGE})"),
                "maxLength": lengths.MAX_TEXT,
            },
            *StackField.json_schema["oneOf"][1:],
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Stack:
        read = lengths.parse_gauge(value) if isinstance(value, str) else None
        return super()._deserialize(value, attr, data, **options) if read is None else read


class TorqueField(QuestionField):
    """A torque; without a unit it is in inch-pounds."""

    example = torque.TORQUE_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {"type": "string", "pattern": _anchored(torque.TORQUE), "maxLength": 40},
            {"type": "number", "minimum": 0, "maximum": lengths.MAX_INCHES},
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> torque.Torque:
        if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= lengths.MAX_INCHES:
            value = lengths.format_decimal(round(Fraction(repr(value)), 4))
        if not isinstance(value, str):
            raise ValidationError(f"{lengths.shown(str(value))} is not a torque")
        try:
            return torque.parse_torque(value, attr or "drag")
        except BadQuestion as error:
            raise ValidationError(error.detail) from None


class ToleranceField(QuestionField):
    """How far the stack may be off: one figure for both sides, or `+a/-b`."""

    example = lengths.TOLERANCE_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [{"type": "string", "pattern": _anchored(lengths.TOLERANCE), "maxLength": 80}, _NUMBER]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Tolerance:
        field = attr or "stack_tolerance"
        if isinstance(value, str):
            try:
                return lengths.parse_tolerance(value, field)
            except BadQuestion as error:
                raise ValidationError(error.detail) from None
        both = _length(value, field)
        return Tolerance(both, both)


class HoleField(QuestionField):
    """A hole: a length, or a drill by its name marked with `#`. The engine looks the name up."""

    example = HOLE_EXAMPLE
    pattern: ClassVar[str] = rf"(?:{lengths.LENGTH}|#(?:[1-9][0-9]?|[A-Za-z]))"
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [{"type": "string", "pattern": _anchored(pattern), "maxLength": 40}, _NUMBER]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> str:
        if isinstance(value, str):
            if re.fullmatch(self.pattern, value.strip(" "), re.ASCII) is None:
                raise ValidationError(f"{lengths.shown(value)} is neither a length nor a drill")
            return value.strip(" ")
        return _length(value, attr or "hole").text


class NameField(QuestionField):
    """One of the names the tables know; upper and lower case alike.

    Args:
        names: All of them.
        shown: Those a refusal shows, where all would be too many.
    """

    def __init__(self, names: list[str], *, shown: list[str] | None = None, **options: Any) -> None:
        first: dict[str, str] = {}
        for name in names:
            first.setdefault(name.lower(), name)
        self.names = list(first.values())
        self._shown = names if shown is None else shown
        self._known = {name.lower(): name for name in self.names}
        super().__init__(**options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> str:
        if not isinstance(value, str):
            raise ValidationError(f"a name is a text, not {_kind(value)}")
        known = self._known.get(value.strip(" ").lower()) if value.isascii() else None
        if known is None:
            raise ValidationError(f"{lengths.shown(value)} is not one of {', '.join(self._shown)}")
        return known


class WholeField(QuestionField):
    """A whole number from 1 to *most*, as a number or a text; *digits* is the pattern of just these numbers."""

    def __init__(self, what: str, most: int, digits: str, **options: Any) -> None:
        self._what, self._most = what, most
        self._digits = re.compile(digits, re.ASCII)
        super().__init__(**options)

    @property
    def json_schema(self) -> Mapping[str, Any]:  # type: ignore[override]
        """The JSON schema: the bound is this field's own."""
        text = {"type": "string", "pattern": _anchored(self._digits.pattern)}
        return {"oneOf": [{"type": "integer", "minimum": 1, "maximum": self._most}, text]}

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> int:
        if isinstance(value, str) and self._digits.fullmatch(value.strip(" ")):
            value = int(value)
        if isinstance(value, float) and value.is_integer():
            value = int(value)
        if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= self._most:
            return value
        raise ValidationError(f"{lengths.shown(str(value))} is not a {self._what} from 1 to {self._most}")


class EditionField(QuestionField):
    """The name of an edition; whether there is one is for the tables to say."""

    example = "2026.1"
    json_schema: ClassVar[Mapping[str, Any]] = {"type": "string", "pattern": f"^{EDITION_PATTERN}$"}

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> str:
        if not isinstance(value, str):
            raise ValidationError(f"an edition is a text, not {_kind(value)}")
        if re.fullmatch(EDITION_PATTERN, value, re.ASCII) is None:
            raise ValidationError(f"{lengths.shown(value)} is not the name of an edition")
        return value
