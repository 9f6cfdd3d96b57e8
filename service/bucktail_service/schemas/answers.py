"""The answers as they are given: for the document and for tests, which hold every answer to them."""

from __future__ import annotations

from typing import Any

from marshmallow import RAISE, Schema, fields

from bucktail_tables.load import BASES


def _lengths(*names: str) -> dict[str, Any]:
    """Return the twin fields of lengths: inches and millimetres, null where the tables have none."""
    return {
        f"{name}_{unit}": fields.Float(required=True, allow_none=True, metadata={"description": f"[{unit}]"})
        for name in names
        for unit in ("in", "mm")
    }


def _block(name: str, members: dict[str, Any]) -> type[Schema]:
    meta = type("Meta", (), {"unknown": RAISE})
    return type(name, (Schema,), {"Meta": meta, **members})


def _text(*, null: bool = False, **metadata: Any) -> fields.String:
    return fields.String(required=True, allow_none=null, metadata=metadata)


def _texts() -> fields.List[Any]:
    return fields.List(fields.String(), required=True)


def _nested(schema: type[Schema], *, many: bool = False, null: bool = False) -> fields.Nested:
    return fields.Nested(schema, required=True, many=many, allow_none=null)


_basis = _text(enum=list(BASES), description="How well the figure is known.")

Source = _block(
    "Source",
    {
        "figures": _texts(),
        "document": _text(),
        "place": _text(),
        "basis": _basis,
        "table": _text(),
        "row": _texts(),
    },
)
Caution = _block(
    "Caution",
    {
        "code": _text(),
        "text": _text(),
        "document": _text(),
        "place": _text(),
        "basis": _basis,
        "figures": fields.List(fields.String()),
    },
)
EditionName = _block("EditionName", {"name": _text(), "sha256": _text(), "status": _text(enum=["draft", "released"])})
Diameter = _block("Diameter", {"dash": fields.Integer(required=True), "fraction": _text(), **_lengths("nominal")})
Alloy = _block("Alloy", {"code": _text(), "name": _text(), "head_mark": _text(), "heat_treat": _text()})
Head = _block(
    "Head",
    {
        "name": _text(),
        "style": _text(),
        **_lengths("diameter", "height"),
        "cone_angle_deg": fields.Integer(required=True, allow_none=True),
    },
)
Layer = _block("Layer", {"material": _text(null=True), **_lengths("thickness")})
StackBlock = _block("StackBlock", {**_lengths("total", "minimum", "maximum"), "layers": _nested(Layer, many=True)})
Length = _block(
    "Length",
    {
        "dash": _text(description="Length number of the part number, in sixteenths of an inch."),
        **_lengths("length", "ideal", "protrusion", "protrusion_minimum", "protrusion_maximum", "trim_to"),
        "alternatives": _texts(),
        "counts": _text(enum=["shank", "overall"]),
    },
)
Drill = _block("Drill", {"drill": _text(), **_lengths("diameter")})
GivenHole = _block("GivenHole", {"text": _text(), **_lengths("diameter")})
Hole = _block(
    "Hole",
    {
        "pilot": _nested(Drill, null=True),
        "final": _nested(Drill),
        **_lengths("minimum", "maximum"),
        "given": fields.Nested(GivenHole),
    },
)
Spacing = _block(
    "Spacing",
    _lengths(
        "edge_minimum",
        "edge_layout",
        "edge_maximum",
        "pitch_minimum",
        "pitch_usual_low",
        "pitch_usual_high",
        "pitch_maximum",
        "row_minimum",
        "staggered_pitch_minimum",
    ),
)
FormedHead = _block(
    "FormedHead",
    _lengths(
        "diameter_minimum",
        "diameter_nominal",
        "diameter_maximum",
        "height_minimum",
        "height_nominal",
        "height_maximum",
        "predicted_diameter",
        "predicted_height",
        "predicted_diameter_minimum",
        "predicted_diameter_maximum",
    ),
)
Strength = _block(
    "Strength",
    {
        "single_shear_lbf": fields.Float(required=True, allow_none=True),
        "single_shear_n": fields.Float(required=True, allow_none=True),
        "temper": _text(null=True),
        "basis": _text(null=True),
    },
)
Mass = _block(
    "Mass",
    {
        "each_g": fields.Float(required=True, allow_none=True),
        "pieces_per_lb": fields.Integer(required=True, allow_none=True),
    },
)
_grip = fields.Raw(required=True, allow_none=True, metadata={"description": "Null for solid rivets."})

PickAnswer = _block(
    "PickAnswer",
    {
        "part_number": _text(),
        "family": _text(),
        "standard": _text(),
        "diameter": _nested(Diameter),
        "alloy": _nested(Alloy),
        "head": _nested(Head),
        "stack": _nested(StackBlock),
        "length": _nested(Length),
        "grip": _grip,
        "hole": _nested(Hole),
        "spacing": _nested(Spacing),
        "formed_head": _nested(FormedHead),
        "strength": _nested(Strength),
        "mass": _nested(Mass),
        "reasoning": _texts(),
        "cautions": _nested(Caution, many=True),
        "sources": _nested(Source, many=True),
        "practice": _text(),
        "edition": _nested(EditionName),
        "link": _text(),
    },
)

PartField = _block("PartField", {"text": _text(), "meaning": _text()})
SameAs = _block("SameAs", {"number": _text(), "relation": _text()})
PartLength = _block(
    "PartLength",
    {"dash": _text(), "counts": _text(enum=["shank", "overall"]), **_lengths("length", "shank")},
)
PartAnswer = _block(
    "PartAnswer",
    {
        "part_number": _text(),
        "written_as": _text(),
        "family": _text(),
        "standard": _text(),
        "supersedes": _texts(),
        "replaced_by": _text(null=True),
        "same_as": _nested(SameAs, many=True),
        "fields": _nested(PartField, many=True),
        "diameter": _nested(Diameter),
        "alloy": _nested(Alloy),
        "head": _nested(Head),
        "length": _nested(PartLength, null=True),
        "grip": _grip,
        "strength": _nested(Strength),
        "mass": _nested(Mass),
        "notes": _texts(),
        "cautions": _nested(Caution, many=True),
        "sources": _nested(Source, many=True),
        "edition": _nested(EditionName),
        "link": _text(),
    },
)

TableSummary = _block("TableSummary", {"name": _text(), "title": _text(), "rows": fields.Integer(required=True)})
EditionSummary = _block(
    "EditionSummary",
    {
        "name": _text(),
        "status": _text(enum=["draft", "released"]),
        "default": fields.Boolean(required=True),
        "sha256": _text(),
        "title": _text(),
        "practices": _texts(),
        "tables": _nested(TableSummary, many=True),
        "basis": fields.Dict(keys=fields.String(), values=fields.Integer(), required=True),
    },
)
EditionsAnswer = _block("EditionsAnswer", {"default": _text(), "editions": _nested(EditionSummary, many=True)})

ErrorEntry = _block("ErrorEntry", {"field": _text(), "detail": _text(), "example": _text()})
Problem = _block(
    "Problem",
    {
        "type": _text(description="A URN that names the kind of problem."),
        "title": _text(),
        "status": fields.Integer(required=True),
        "detail": _text(),
        "errors": _nested(ErrorEntry, many=True),
    },
)
