"""The inspect question as it may be asked, and its answer."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Any, ClassVar

from marshmallow import RAISE, Schema, ValidationError, fields

from bucktail_service.engine.inspect import BOTH, FASTENER_EXAMPLE, InspectQuestion
from bucktail_service.engine.lengths import LENGTH, Length, parse_length, shown
from bucktail_service.schemas.answers import (
    Alloy,
    Caution,
    Diameter,
    EditionName,
    Head,
    Source,
    block,
    lengths,
    nested,
    text,
    texts,
)
from bucktail_service.schemas.fields import (
    EditionField,
    HoleField,
    LengthField,
    NameField,
    QuestionField,
    StackField,
    told,
)
from bucktail_service.schemas.plain import Asked
from bucktail_service.schemas.questions import load_asked
from bucktail_service.schemas.rework import PlainTextField
from bucktail_tables.load import load_edition

MOST_PIECES = 200
_LONGEST = 8000
_MEASURES = rf"{LENGTH}(?: ?; ?{LENGTH}){{0,{MOST_PIECES - 1}}}"
_FLUSH = r"[fF][lL][uU][sS][hH]"
_STEP = rf"(?:{_FLUSH}|0(?:\.0{{0,6}})?|{LENGTH} (?:[aA][bB][oO][vV][eE]|[bB][eE][lL][oO][wW]))"
_PERCENT = r"(?:100(?:\.0{0,3})?|[0-9]{1,2}(?:\.[0-9]{0,3})?) ?%?"


class MeasuresField(QuestionField):
    """One length, or one for each piece: a text with `;` between them, or a list."""

    example = "0.190 or 0.188; 0.190; 0.204"
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {"type": "string", "pattern": f"^(?:{_MEASURES})$", "maxLength": _LONGEST},
            LengthField.json_schema["oneOf"][1],
            {"type": "array", "minItems": 1, "maxItems": MOST_PIECES, "items": LengthField.json_schema},
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> tuple[Length, ...]:
        measured: list[Any] = [value]
        if isinstance(value, str) and len(value) <= _LONGEST:
            measured = value.split(";")
        elif isinstance(value, list):
            measured = value
        if not 0 < len(measured) <= MOST_PIECES:
            raise ValidationError(f"1 to {MOST_PIECES} pieces are measured at once, not {len(measured)}")
        return tuple(_LENGTH_FIELD.deserialize(entry, attr) for entry in measured)


_LENGTH_FIELD = LengthField()


class StepField(QuestionField):
    """How far one thing stands above or below another, and which way: a flush head off the skin."""

    example = "flush, 0.003 above or 0.010 below"
    json_schema: ClassVar[Mapping[str, Any]] = {"type": "string", "pattern": f"^(?:{_STEP})$", "maxLength": 60}

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Fraction:
        words = value.strip(" ") if isinstance(value, str) else ""
        if re.fullmatch(_STEP, words, re.ASCII) is None:
            raise ValidationError(f"{shown(str(value))} does not say how far above or below")
        distance, _, side = words.rpartition(" ")
        if not distance:
            return Fraction(0)
        inches = parse_length(distance, attr or "flushness").inches
        return -inches if side.casefold() == "below" else inches


class PercentField(QuestionField):
    """A share, 0 to 100 percent."""

    example = "25 or 25 %"
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {"type": "string", "pattern": f"^(?:{_PERCENT})$"},
            {"type": "number", "minimum": 0, "maximum": 100},
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Fraction:
        if isinstance(value, str) and re.fullmatch(_PERCENT, value.strip(" "), re.ASCII):
            return Fraction(value.strip(" ").removesuffix("%").strip(" ").rstrip("."))
        if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= 100:  # noqa: PLR2004
            return Fraction(value)
        raise ValidationError(f"{shown(str(value))} is not a share from 0 to 100 percent")


class InspectSchema(Schema):
    """Do these fasteners, as they were installed, lie inside the limits?"""

    class Meta:
        unknown = RAISE

    fastener = PlainTextField(
        required=True,
        metadata=told("The fastener that was installed: its number, or diameter, alloy and head.", FASTENER_EXAMPLE),
    )
    formed_diameter = MeasuresField(metadata=told("Diameter of each formed head.", "0.188; 0.190; 0.204"))
    formed_height = MeasuresField(metadata=told("Height of each formed head.", "0.060; 0.062; 0.055"))
    hole = HoleField(metadata=told("The hole as measured.", "#30"))
    stack = StackField(metadata=told("What the fastener clamps.", "0.040+0.040"))
    length = LengthField(metadata=told("Length of the rivet; the part number's when left out.", "1/4"))
    gap = LengthField(metadata=told("Thickest feeler that enters under the head.", "0.002"))
    gap_around = PercentField(metadata=told("Share of the circumference over which it enters.", "25"))
    flushness = StepField(metadata=told("How far a flush head stands above or below the skin.", "0.003 above"))
    edge_distance = LengthField(metadata=told("Centre to the nearest edge.", "0.31"))
    pitch = LengthField(metadata=told("Centre to centre along the row.", "0.75"))
    collar = StepField(
        metadata=told("How far a blind rivet's lock collar stands above or below the top of its head.", "0.010 above")
    )
    stem = StepField(metadata=told("How far a blind rivet's broken-off stem stands above or below its head.", "flush"))
    protrusion = LengthField(
        metadata=told("How far a pin stands out of the sheet before its collar, or a bolt out of its nut.", "0.06")
    )
    practice = NameField(
        [*(row.text("practice") for row in load_edition()["practices"]), BOTH],
        metadata=told("Which practice rules; the others stand beside it.", "civil"),
    )
    edition = EditionField(metadata=told("Edition of the tables; pins the answer.", "2026.1"))


INSPECT = InspectSchema()


def load_inspect(payload: Mapping[str, Any]) -> Asked[InspectQuestion]:
    """Return the inspect question a payload asks; BadFields names every field that is wrong."""
    return load_asked(INSPECT, InspectQuestion, payload)


_OVERALL = (
    "inside limits",
    "inside limits, some not judged",
    "not judged",
    "outside limits: replace",
    "outside limits: not mended by replacing",
)
_NUMBERS = fields.List(fields.Integer(), required=True)

Verdict = block(
    "Verdict",
    {
        "practice": text(),
        "verdict": text(enum=["inside limits", "outside limits", "no limit"]),
        "limit": text(),
        **lengths("minimum", "maximum"),
    },
)
Figure = block(
    "Figure",
    {
        "name": text(
            enum=[
                *("formed_diameter", "formed_height", "hole", "gap", "flushness", "edge_distance", "pitch"),
                *("collar", "stem", "protrusion", "stack"),
            ],
        ),
        "piece": fields.Integer(
            required=True, allow_none=True, metadata={"description": "From 1; null where it holds for every piece."}
        ),
        **lengths("measured"),
        "by": nested(Verdict, many=True),
    },
)
Cause = block(
    "Cause",
    {
        "code": text(
            enum=[
                *("too_long", "too_short", "hole_too_big", "over_driven", "under_driven", "undecided", "not_as_said"),
                *("grip_too_long", "grip_too_short"),
            ],
        ),
        "text": text(),
    },
)
InspectedPiece = block(
    "InspectedPiece",
    {
        "piece": fields.Integer(required=True),
        **lengths("diameter", "height", "shank_held"),
        "verdict": text(enum=["inside limits", "inside limits, some not judged", "not judged", "outside limits"]),
        "outside": texts(),
        "causes": nested(Cause, many=True),
    },
)
InspectPractice = block(
    "InspectPractice",
    {
        "practice": text(),
        "rules": fields.Boolean(required=True),
        "verdict": text(enum=list(_OVERALL)),
        "rejects": fields.Integer(required=True),
        "rejected": _NUMBERS,
    },
)
LookFor = block("LookFor", {"text": text(), "rejects": fields.Boolean(required=True)})
ByVolume = block(
    "ByVolume",
    lengths(
        "length",
        "protrusion",
        "protrusion_minimum",
        "protrusion_maximum",
        "swelled",
        "shank_left",
        "height_at_nominal_diameter",
    ),
)
InspectAnswer = block(
    "InspectAnswer",
    {
        "verdict": text(enum=list(_OVERALL)),
        "fastener": text(),
        "diameter": nested(Diameter),
        "alloy": nested(Alloy),
        "head": nested(Head),
        "count": fields.Integer(required=True),
        "rejects": fields.Integer(required=True),
        "rejected": _NUMBERS,
        "practices": nested(InspectPractice, many=True),
        "figures": nested(Figure, many=True),
        "pieces": nested(InspectedPiece, many=True),
        "by_volume": nested(ByVolume),
        "look_for": nested(LookFor, many=True),
        "reasoning": texts(),
        "cautions": nested(Caution, many=True),
        "sources": nested(Source, many=True),
        "practice": text(),
        "edition": nested(EditionName),
        "link": text(null=True, description="Null: this question is asked in a body alone."),
        "asked": fields.Dict(
            required=True, metadata={"description": "The same question, practice and edition pinned."}
        ),
    },
)
