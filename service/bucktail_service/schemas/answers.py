"""The answers as they are given: for the document and for tests, which hold every answer to them."""

from __future__ import annotations

from typing import Any

from marshmallow import RAISE, Schema, fields

from bucktail_tables.load import BASES


def lengths(*names: str) -> dict[str, Any]:
    """Return the twin fields of lengths: inches and millimetres, null where the tables have none."""
    return {
        f"{name}_{unit}": fields.Float(required=True, allow_none=True, metadata={"description": f"[{unit}]"})
        for name in names
        for unit in ("in", "mm")
    }


def block(name: str, members: dict[str, Any]) -> type[Schema]:
    """Return the schema of an object with exactly these members."""
    meta = type("Meta", (), {"unknown": RAISE})
    return type(name, (Schema,), {"Meta": meta, **members})


def text(*, null: bool = False, **metadata: Any) -> fields.String:
    """Return the field of a text; *null* where it may be none."""
    return fields.String(required=True, allow_none=null, metadata=metadata)


def texts() -> fields.List[Any]:
    """Return the field of a list of texts."""
    return fields.List(fields.String(), required=True)


def nested(schema: type[Schema], *, many: bool = False, null: bool = False) -> fields.Nested:
    """Return the field of an object, or of a list of them when *many*."""
    return fields.Nested(schema, required=True, many=many, allow_none=null)


basis = text(enum=list(BASES), description="How well the figure is known.")

Source = block(
    "Source",
    {
        "figures": texts(),
        "document": text(),
        "place": text(),
        "basis": basis,
        "table": text(),
        "row": texts(),
        "house": fields.String(metadata={"description": "The house edition whose own row it is; absent for others."}),
    },
)
Caution = block(
    "Caution",
    {
        "code": text(),
        "text": text(),
        "document": text(),
        "place": text(),
        "basis": basis,
        "figures": fields.List(fields.String()),
    },
)
STATUSES = ["draft", "released", "house"]
BaseEdition = block("BaseEdition", {"name": text(), "sha256": text()})
HOUSE = {  # only of editions that house tables make
    "extends": fields.Nested(BaseEdition, metadata={"description": "The edition that house tables extend."}),
    "house_tables": fields.List(fields.String(), metadata={"description": "Tables with rows of the house's own."}),
}
EditionName = block("EditionName", {"name": text(), "sha256": text(), "status": text(enum=STATUSES), **HOUSE})
Diameter = block("Diameter", {"dash": fields.Integer(required=True), "fraction": text(), **lengths("nominal")})
Alloy = block(
    "Alloy",
    {"code": text(), "name": text(), "head_mark": text(null=True), "heat_treat": text(null=True)},
)
Head = block(
    "Head",
    {
        "name": text(),
        "style": text(),
        **lengths("diameter", "height"),
        "cone_angle_deg": fields.Integer(required=True, allow_none=True),
    },
)
Layer = block("Layer", {"material": text(null=True), **lengths("thickness")})
StackBlock = block("StackBlock", {**lengths("total", "minimum", "maximum"), "layers": nested(Layer, many=True)})
Length = block(
    "Length",
    {
        "dash": text(description="Length number of the part number, in sixteenths of an inch."),
        **lengths("length", "ideal", "protrusion", "protrusion_minimum", "protrusion_maximum", "trim_to"),
        "alternatives": texts(),
        "counts": text(enum=["shank", "overall", "under-head"]),
    },
)
Drill = block("Drill", {"drill": text(), **lengths("diameter")})
GivenHole = block("GivenHole", {"text": text(), **lengths("diameter")})
Hole = block(
    "Hole",
    {
        "pilot": nested(Drill, null=True),
        "final": nested(Drill, null=True),
        **lengths("minimum", "maximum"),
        "given": fields.Nested(GivenHole),
        "fit": fields.String(allow_none=True, metadata={"description": "The fit in words; not for solid rivets."}),
    },
)
Spacing = block(
    "Spacing",
    lengths(
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
FormedHead = block(
    "FormedHead",
    lengths(
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
LayerBearing = block(
    "LayerBearing",
    {
        "material": text(null=True),
        **lengths("thickness"),
        "bearing_lbf": fields.Float(required=True, allow_none=True),
        "bearing_n": fields.Float(required=True, allow_none=True),
        "note": text(),
    },
)
Strength = block(
    "Strength",
    {
        "single_shear_lbf": fields.Float(required=True, allow_none=True),
        "single_shear_n": fields.Float(required=True, allow_none=True),
        "double_shear_lbf": fields.Float(allow_none=True),
        "double_shear_n": fields.Float(allow_none=True),
        "tension_lbf": fields.Float(allow_none=True),
        "tension_n": fields.Float(allow_none=True),
        "temper": text(null=True),
        "basis": text(null=True),
        "bearing": fields.Nested(LayerBearing, many=True),
    },
)
Mass = block(
    "Mass",
    {
        "each_g": fields.Float(required=True, allow_none=True),
        "pieces_per_lb": fields.Integer(required=True, allow_none=True),
    },
)
Grip = block(
    "Grip",
    {
        "dash": text(description="Grip number of the part number; for AN bolts the dash, which counts length."),
        "counts": text(description="What the number counts."),
        **lengths("length", "minimum", "maximum"),
        "minimum_included": fields.Boolean(
            required=True, metadata={"description": "Whether a stack of just the minimum belongs to this grip."}
        ),
        "alternatives": texts(),
    },
)
Shank = block("Shank", lengths("minimum", "maximum", "oversize"))
Washer = block("Washer", {"washer": text(), "variant": text(), **lengths("thickness"), "replaced_by": text(null=True)})
Washers = block(
    "Washers",
    {"under_head": nested(Washer, many=True), "under_nut": nested(Washer, many=True), **lengths("total")},
)
Nut = block(
    "Nut",
    {
        "nut": text(),
        "number": text(null=True),
        "kind": text(),
        "load": text(enum=["tension", "shear"]),
        "castellated": fields.Boolean(required=True),
        "text": text(),
        **lengths("height"),
    },
)
Thread = block(
    "Thread",
    {
        "thread": text(null=True),
        "form": text(null=True, description="Form of the thread where the document names it."),
        "per_inch": fields.Integer(required=True, allow_none=True),
        **lengths("length", "in_hole", "past_nut", "nut_height_maximum"),
        "in_hole_threads": fields.Float(required=True, allow_none=True),
        "in_hole_threads_maximum": fields.Float(required=True, allow_none=True),
        "past_nut_threads": fields.Float(required=True, allow_none=True),
        "past_nut_threads_minimum": fields.Float(required=True, allow_none=True),
    },
)
_TORQUES = ("minimum", "maximum", "drag", "final_minimum", "final_maximum", "allowable")
TorqueRange = block(
    "TorqueRange",
    {
        "thread": text(),
        "load": text(enum=["tension", "shear"]),
        **{
            f"{name}_{unit}": fields.Float(required=True, allow_none=True)
            for name in _TORQUES
            for unit in ("in_lb", "n_m")
        },
    },
)
Cotter = block(
    "Cotter", {"number": text(null=True), "size": text(null=True), **lengths("hole_minimum", "hole_maximum")}
)
Collar = block(
    "Collar",
    {
        "number": text(null=True),
        "or_number": text(null=True),
        "text": text(null=True),
        **lengths("protrusion_minimum", "protrusion_maximum", "interference_minimum", "interference_maximum"),
    },
)
InspectionLimit = block(
    "InspectionLimit",
    {
        "limit": text(),
        "kind": text(enum=["measured", "look", "reject"]),
        "value": fields.Float(required=True, allow_none=True),
        "unit": text(null=True),
        "text": text(),
    },
)
own_blocks = {
    "shank": nested(Shank, null=True),
    "washers": nested(Washers, null=True),
    "nut": nested(Nut, null=True),
    "thread": nested(Thread, null=True),
    "torque": nested(TorqueRange, null=True),
    "cotter": nested(Cotter, null=True),
    "collar": nested(Collar, null=True),
    "inspection": nested(InspectionLimit, many=True, null=True),
}

PickAnswer = block(
    "PickAnswer",
    {
        "part_number": text(null=True, description="Null where the documents give the dashes of a number alone."),
        "family": text(),
        "standard": text(),
        "diameter": nested(Diameter),
        "alloy": nested(Alloy),
        "head": nested(Head),
        "stack": nested(StackBlock),
        "length": nested(Length, null=True),
        "grip": nested(Grip, null=True),
        "hole": nested(Hole),
        "spacing": nested(Spacing),
        "formed_head": nested(FormedHead, null=True),
        "strength": nested(Strength),
        "mass": nested(Mass),
        **own_blocks,
        "reasoning": texts(),
        "cautions": nested(Caution, many=True),
        "sources": nested(Source, many=True),
        "practice": text(),
        "edition": nested(EditionName),
        "link": text(),
    },
)

PartField = block("PartField", {"text": text(), "meaning": text()})
SameAs = block("SameAs", {"number": text(), "relation": text()})
PartLength = block(
    "PartLength",
    {"dash": text(), "counts": text(enum=["shank", "overall", "under-head"]), **lengths("length", "shank")},
)
PartAnswer = block(
    "PartAnswer",
    {
        "part_number": text(),
        "written_as": text(),
        "family": text(),
        "standard": text(),
        "supersedes": texts(),
        "replaced_by": text(null=True),
        "same_as": nested(SameAs, many=True),
        "fields": nested(PartField, many=True),
        "diameter": nested(Diameter),
        "alloy": nested(Alloy),
        "head": nested(Head),
        "length": nested(PartLength, null=True),
        "grip": nested(Grip, null=True),
        "strength": nested(Strength),
        "mass": nested(Mass),
        "notes": texts(),
        "cautions": nested(Caution, many=True),
        "sources": nested(Source, many=True),
        "edition": nested(EditionName),
        "link": text(),
    },
)

TableSummary = block("TableSummary", {"name": text(), "title": text(), "rows": fields.Integer(required=True)})
EditionSummary = block(
    "EditionSummary",
    {
        "name": text(),
        "status": text(enum=STATUSES),
        **HOUSE,
        "default": fields.Boolean(required=True),
        "superseded": text(null=True, description="Since when another edition is the default."),
        "sha256": text(),
        "title": text(),
        "practices": texts(),
        "tables": nested(TableSummary, many=True),
        "basis": fields.Dict(keys=fields.String(), values=fields.Integer(), required=True),
    },
)
EditionsAnswer = block("EditionsAnswer", {"default": text(), "editions": nested(EditionSummary, many=True)})

ErrorEntry = block("ErrorEntry", {"field": text(), "detail": text(), "example": text()})
Problem = block(
    "Problem",
    {
        "type": text(description="A URN that names the kind of problem."),
        "title": text(),
        "status": fields.Integer(required=True),
        "detail": text(),
        "errors": nested(ErrorEntry, many=True),
    },
)
