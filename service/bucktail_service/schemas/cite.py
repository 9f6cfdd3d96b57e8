"""The answer of a citation."""

from __future__ import annotations

from marshmallow import fields

from bucktail_service.schemas.answers import Caution, EditionName, basis, block, nested, text, texts

FigureValue = block(
    "FigureValue",
    {
        "name": text(description="As in the answer, its unit included: minimum_in."),
        "value": fields.Raw(
            required=True,
            allow_none=True,
            metadata={
                "description": "A number, a text, true or false; null where the tables hold none.",
                "type": ["number", "string", "boolean", "null"],
            },
        ),
    },
)
CitedFigure = block(
    "CitedFigure",
    {
        "figure": text(),
        "values": nested(FigureValue, many=True),
        "document": text(),
        "place": text(),
        "basis": basis,
        "table": text(),
        "row": texts(),
        "house": fields.String(metadata={"description": "The house edition whose own row it is; absent for others."}),
    },
)
CiteAnswer = block(
    "CiteAnswer",
    {
        "title": text(description="The part number; the standard where there is no whole number."),
        "cited": text(description="The link of the answer, its edition pinned."),
        "figures": nested(CitedFigure, many=True),
        "basis": fields.Dict(keys=fields.String(), values=fields.Integer(), required=True),
        "cautions": nested(Caution, many=True),
        "edition": nested(EditionName),
        "link": text(),
    },
)
