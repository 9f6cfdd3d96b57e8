"""The couple question as it may be asked, and its answer."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Any, ClassVar

from marshmallow import RAISE, Schema, ValidationError, fields

from bucktail_service.engine.contact import AREAS_EXAMPLE, MATERIALS_EXAMPLE, Areas, CoupleQuestion
from bucktail_service.engine.galvanic import ENVIRONMENTS
from bucktail_service.engine.lengths import shown
from bucktail_service.schemas.answers import Caution, EditionName, Source, basis, block, nested, text, texts
from bucktail_service.schemas.fields import EditionField, NameField, QuestionField
from bucktail_service.schemas.plain import Asked
from bucktail_service.schemas.questions import load_asked

MOST_MATERIALS = 8
MAX_AREA = 10**6
_MORE = rf"{{1,{MOST_MATERIALS - 1}}}"
_NAME = r"[A-Za-z0-9](?:[A-Za-z0-9 .,()/-]{0,38}[A-Za-z0-9)])?"
_NAMES = rf"{_NAME}(?: ?\+ ?{_NAME}){_MORE}"
_WORDS = {"small": Fraction(1), "large": Fraction(2)}
_WORD = "(?:small|large)"
_NUMBER = r"(?:[1-9][0-9]{0,5}(?:\.[0-9]{1,6})?|0?\.[0-9]{0,5}[1-9])"  # an area of nothing is no area
_AREAS = rf"{_WORD}(?: ?\+ ?{_WORD}){_MORE}|{_NUMBER}(?: ?\+ ?{_NUMBER}){_MORE}"


def _anchored(pattern: str) -> str:
    return f"^(?:{pattern})$"


def _list_of(item: Mapping[str, Any]) -> dict[str, Any]:
    return {"type": "array", "minItems": 2, "maxItems": MOST_MATERIALS, "items": dict(item)}


def _is_list(value: object) -> bool:
    return isinstance(value, list | tuple) and 2 <= len(value) <= MOST_MATERIALS  # noqa: PLR2004


class MaterialsField(QuestionField):
    """Two metals or more: a text joined by +, or a list. Which metals there are is for the tables to say."""

    example = MATERIALS_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {"type": "string", "pattern": _anchored(_NAMES), "maxLength": 400},
            _list_of({"type": "string", "pattern": _anchored(_NAME)}),
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> tuple[str, ...]:
        if isinstance(value, str) and len(value) <= 400 and re.fullmatch(_NAMES, value, re.ASCII):  # noqa: PLR2004
            return tuple(name.strip(" ") for name in value.split("+"))
        if _is_list(value) and all(isinstance(name, str) and re.fullmatch(_NAME, name, re.ASCII) for name in value):
            return tuple(value)
        given = shown(value) if isinstance(value, str) else "this"
        raise ValidationError(f"{given} is not 2 to {MOST_MATERIALS} materials joined by +, nor a list of them")


class AreasField(QuestionField):
    """One area for each material, in the same order: figures of one unit, or the words small and large."""

    example = AREAS_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {"type": "string", "pattern": _anchored(_AREAS), "maxLength": 200},
            _list_of({"type": "string", "enum": list(_WORDS)}),
            _list_of({"type": "number", "minimum": 1e-6, "maximum": MAX_AREA}),
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Areas:
        if isinstance(value, str) and len(value) <= 200 and re.fullmatch(_AREAS, value, re.ASCII):  # noqa: PLR2004
            value = [part.strip(" ") for part in value.split("+")]
            if value[0] not in _WORDS:
                return Areas(tuple(Fraction(part) for part in value), measured=True)
        if _is_list(value) and all(isinstance(part, str) and part in _WORDS for part in value):
            return Areas(tuple(_WORDS[part] for part in value), measured=False)
        if _is_list(value) and all(map(_is_area, value)):
            return Areas(tuple(Fraction(str(part)) for part in value), measured=True)
        given = shown(value) if isinstance(value, str) else "this"
        raise ValidationError(f"{given} is not one area for each material, all figures above 0 or all small and large")


def _is_area(value: object) -> bool:
    # nan compares as false
    return isinstance(value, int | float) and not isinstance(value, bool) and 1e-6 <= value <= MAX_AREA  # noqa: PLR2004


class CoupleSchema(Schema):
    """May these metals touch?"""

    class Meta:
        unknown = RAISE
        ordered = True

    materials = MaterialsField(
        required=True,
        metadata={
            "description": "Two metals or more: alloys, their tempers set aside, or letters of rivet alloys.",
            "example": "2117 + lead",
        },
    )
    environment = NameField(
        list(ENVIRONMENTS),
        metadata={"description": "What the metals get wet from; marine air when left out.", "example": "marine"},
    )
    areas = AreasField(
        metadata={
            "description": "One area for each material, in the same order: figures of one unit, or small and large.",
            "example": "small+large",
        }
    )
    edition = EditionField(metadata={"description": "Edition of the tables; pins the answer.", "example": "2026.1"})


COUPLE = CoupleSchema()


def load_couple(payload: Mapping[str, Any]) -> Asked[CoupleQuestion]:
    """Return the couple question a payload asks; BadFields names every field that is wrong."""
    return load_asked(COUPLE, CoupleQuestion, payload)


def _flag(description: str) -> fields.Boolean:
    return fields.Boolean(required=True, metadata={"description": description})


def _figure(description: str) -> fields.Float:
    return fields.Float(required=True, allow_none=True, metadata={"description": description})


Metal = block(
    "Metal",
    {
        "name": text(description="As it was named."),
        "material": text(description="As the tables name it."),
        "group": text(),
        "metals": text(),
        "treatment": text(description="Where the standard says how these metals are finished."),
        "potential_v": _figure("[V] against the saturated calomel electrode, in sea water"),
        "potential_of": text(null=True),
        "series_rank": fields.Integer(
            required=True, allow_none=True, metadata={"description": "Place in the sea-water series; 1 is most anodic."}
        ),
        "series_of": text(null=True),
    },
)
Rule = block("Rule", {"rule": text(), "text": text(), "document": text(), "place": text(), "basis": basis})
Finish = block("Finish", {"material": text(), "rules": nested(Rule, many=True)})
MetalPair = block(
    "MetalPair",
    {
        "first": text(),
        "second": text(),
        "compatible": _flag("In the environment asked about."),
        **{name: _flag("Whether they may touch in this environment.") for name in ENVIRONMENTS},
        "corrodes": text(null=True, description="The more anodic one; null where both are of one group."),
        "difference_v": _figure("[V] between the two in sea water"),
        "ordered_otherwise": texts(),
        "small": text(
            null=True, enum=["anode", "cathode", "neither", None], description="Which one is the smaller part."
        ),
        "cathode_per_anode": _figure("Area of the cathode over that of the anode, where figures were given."),
        "separation": nested(Rule, many=True),
        "fasteners": nested(Rule, many=True),
        "finish": nested(Finish, many=True),
    },
)
CoupleAnswer = block(
    "CoupleAnswer",
    {
        "environment": text(enum=list(ENVIRONMENTS)),
        "compatible": _flag("Whether all of them may touch in the environment asked about."),
        "materials": nested(Metal, many=True),
        "pairs": nested(MetalPair, many=True),
        "guide": nested(Rule, many=True),
        "reasoning": texts(),
        "cautions": nested(Caution, many=True),
        "sources": nested(Source, many=True),
        "edition": nested(EditionName),
        "link": text(null=True),
    },
)
