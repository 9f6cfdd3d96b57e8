"""The joint question as it may be asked, and its answer."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, ClassVar

from marshmallow import RAISE, Schema, ValidationError, fields

from bucktail_service.engine.joint import STACK_EXAMPLE, JointQuestion, Load
from bucktail_service.engine.layout import MAX_ROWS
from bucktail_service.engine.lengths import shown
from bucktail_service.engine.standards import alloy_names, head_names
from bucktail_service.schemas.answers import (
    Alloy,
    Caution,
    Diameter,
    EditionName,
    Head,
    Layer,
    Source,
    block,
    lengths,
    nested,
    text,
    texts,
)
from bucktail_service.schemas.fields import (
    EditionField,
    LengthField,
    NameField,
    QuestionField,
    StackField,
    WholeField,
    told,
)
from bucktail_service.schemas.plain import Asked
from bucktail_service.schemas.questions import load_asked
from bucktail_tables.load import load_edition

MAX_LOAD = 1_000_000
LOAD_EXAMPLE = "1200 lbf or 350 lbf/in"
_LOAD = r"([0-9]{1,6}(?:\.[0-9]{1,3})?)(?: ?lbf)?(/in)?"


class LoadField(QuestionField):
    """A load in pounds: on the joint, or `/in` on each inch of its width; a JSON number is on the joint."""

    example = LOAD_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {"type": "string", "pattern": f"^(?:{_LOAD})$", "maxLength": 40},
            {"type": "number", "minimum": 0, "maximum": MAX_LOAD},
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Load:
        if isinstance(value, str):
            match = re.fullmatch(_LOAD, value.strip(" "), re.ASCII)
            if match is None:
                raise ValidationError(f"{shown(value)} is not a load in pounds")
            return Load(Fraction(match[1]), match[2] is not None)
        if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= MAX_LOAD:
            return Load(round(Fraction(Decimal(repr(value))), 6), per_inch=False)
        raise ValidationError(f"a load is a text or a number of pounds from 0 to {MAX_LOAD}")


def _names(table: str, column: str) -> list[str]:
    return [row.text(column) for row in load_edition()[table]]


class JointSchema(Schema):
    """What does this joint carry, and how many pieces does it take?"""

    class Meta:
        unknown = RAISE
        ordered = True

    diameter = LengthField(required=True, metadata=told("Nominal shank diameter.", "1/8"))
    alloy = NameField(
        alloy_names(load_edition()),
        required=True,
        metadata=told("Letters of the part numbers, or the alloy.", "AD"),
    )
    head = NameField(
        head_names(load_edition()),
        required=True,
        metadata=told("Head, or head standard, current or superseded.", "universal"),
    )
    stack = StackField(
        required=True,
        metadata=told("Two sheets or more with their materials, outer one first.", STACK_EXAMPLE),
    )
    shear = NameField(["single", "double"], metadata=told("Planes the fastener is sheared in.", "single"))
    edge_distance = LengthField(metadata=told("Hole centre to edge; the practice's least when left out.", "1/4"))
    pitch = LengthField(metadata=told("Hole centre to hole centre along a row.", "1/2"))
    rows = WholeField("number of rows", MAX_ROWS, "[1-9]|10", metadata=told("Rows of rivets.", "2"))
    row_spacing = LengthField(metadata=told("From row to row.", "5/16"))
    # marshmallow takes declared fields off the class, so the method of that name stays
    load = LoadField(  # type: ignore[assignment]
        metadata=told("What the joint must carry, in all or on each inch of width.", "1200 lbf")
    )
    width = LengthField(metadata=told("Width across the load, for counts and the layout.", "10"))
    thickness = LengthField(metadata=told("Sheet for the counts; the thickest layer when left out.", "0.032"))
    table = NameField(
        _names("splice_tables", "table"),
        metadata=told("Count table; found by the sheet's material when left out.", "4-10"),
    )
    member = NameField(
        _names("splice_members", "member"), metadata=told("What is spliced: its share of the count table.", "lap")
    )
    preparation = NameField(
        ["countersunk", "dimpled"], metadata=told("How the hole of a flush head is made.", "countersunk")
    )
    practice = NameField(_names("practices", "practice"), metadata=told("Named set of rules.", "civil"))
    edition = EditionField(metadata=told("Edition of the tables; pins the answer.", "2026.1"))


JOINT = JointSchema()


def load_joint(payload: Mapping[str, Any]) -> Asked[JointQuestion]:
    """Return the joint question a payload asks; BadFields names every field that is wrong."""
    return load_asked(JOINT, JointQuestion, payload)


def _number() -> fields.Float:
    return fields.Float(required=True, allow_none=True)


def _count() -> fields.Integer:
    return fields.Integer(required=True, allow_none=True)


def _forces(*names: str) -> dict[str, Any]:
    """Return the twin fields of forces: pounds and newtons, null where they are not known."""
    return {f"{name}_{unit}": _number() for name in names for unit in ("lbf", "n")}


JointStack = block("JointStack", {**lengths("total"), "layers": nested(Layer, many=True)})
JointShear = block(
    "JointShear",
    {
        "kind": text(enum=["single", "double"]),
        "planes": fields.Integer(required=True),
        **_forces("single", "allowed"),
        "temper": text(null=True),
        "basis": text(null=True),
        **lengths("sheet"),
        "factor": _number(),
        "factor_from": text(enum=["table", "formula"]),
    },
)
JointLayer = block(
    "JointLayer",
    {
        "layer": fields.Integer(required=True),
        "material": text(null=True),
        **lengths("thickness", "hole"),
        "edge_in_d": _number(),
        "stress_ksi": _number(),
        "unit_lbf": _number(),
        **_forces("bearing", "joint"),
        "note": text(),
    },
)
JointFlush = block(
    "JointFlush",
    {"preparation": text(enum=["countersunk", "dimpled"]), **lengths("sheet"), **_forces("ultimate", "yield")},
)
JointCritical = block("JointCritical", {"mode": text(null=True), "layer": _count()})
JointAllowed = block("JointAllowed", _forces("load", "at_most"))
JointNeed = block(
    "JointNeed",
    {
        **_forces("load"),
        "per_inch": fields.Boolean(required=True),
        "pieces": _count(),
        "pieces_at_least": _count(),
        "pieces_per_inch": _number(),
    },
)
JointPattern = block(
    "JointPattern",
    {
        "rows": fields.Integer(required=True),
        **lengths("pitch"),
        "pieces_per_inch": _number(),
        "carried_lbf_per_in": _number(),
        "carried_n_per_mm": _number(),
    },
)
SpliceBolt = block("SpliceBolt", {"fastener": text(), "per_inch": _number(), "pieces": _count()})
Splice = block(
    "Splice",
    {
        "table": text(),
        "material": text(),
        **lengths("thickness", "row_thickness"),
        "fastener": text(),
        "per_inch": _number(),
        "member": text(),
        "percent": fields.Integer(required=True),
        **lengths("width"),
        "pieces": _count(),
        "steps": texts(),
        "bolt": nested(SpliceBolt, null=True),
    },
)
StrengthMethod = block(
    "StrengthMethod",
    {
        **lengths("thickness", "width"),
        "shear_lbf": _number(),
        "bearing_lbf": _number(),
        "shear_from": text(enum=["table", "stress"]),
        "bearing_from": text(enum=["table", "stress"]),
        "per_inch": _number(),
        "pieces": _count(),
        "steps": texts(),
    },
)
PatternCheck = block(
    "PatternCheck",
    {
        "figure": text(enum=["edge_distance", "pitch", "row_spacing"]),
        **lengths("given", "minimum", "maximum"),
        "passes": fields.Boolean(required=True),
        "too": text(null=True),
        "text": text(),
    },
)
RivetPosition = block("RivetPosition", {"row": fields.Integer(required=True), **lengths("x", "y")})
RivetLayout = block(
    "RivetLayout",
    {
        "fits": fields.Boolean(required=True),
        "reason": text(null=True),
        "pieces_needed": _count(),
        "rows": _count(),
        "per_row": _count(),
        "pieces": _count(),
        **lengths("width", "pitch", "edge", "side", "row_spacing"),
        "positions": nested(RivetPosition, many=True),
    },
)
JointAnswer = block(
    "JointAnswer",
    {
        "family": text(),
        "standard": text(),
        "diameter": nested(Diameter),
        "alloy": nested(Alloy),
        "head": nested(Head),
        "stack": nested(JointStack),
        "shear": nested(JointShear),
        "layers": nested(JointLayer, many=True),
        "flush": nested(JointFlush, null=True),
        "critical": nested(JointCritical),
        "allowed": nested(JointAllowed),
        "need": nested(JointNeed, null=True),
        "pattern": nested(JointPattern, null=True),
        "splice": nested(Splice, null=True),
        "strength_method": nested(StrengthMethod, null=True),
        "checks": nested(PatternCheck, many=True),
        "layout": nested(RivetLayout, null=True),
        "reasoning": texts(),
        "cautions": nested(Caution, many=True),
        "sources": nested(Source, many=True),
        "practice": text(),
        "edition": nested(EditionName),
        "link": text(null=True),
    },
)
