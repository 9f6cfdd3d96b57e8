"""Answers about the tables themselves: an edition, a table, a row, rows found."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from bucktail_service.schemas.answers import HOUSE, STATUSES, Caution, EditionName, basis, block, nested, text, texts


def _texts_by_name(description: str) -> fields.Dict:
    return fields.Dict(
        keys=fields.String(), values=fields.String(), required=True, metadata={"description": description}
    )


_digest = text(description="SHA-256 of the table's file.")
_link = text(description="Replays this answer, its edition pinned.")
_counted = fields.Integer(required=True)
_cautions = nested(Caution, many=True)

TableOfEdition = block("TableOfEdition", {"name": text(), "title": text(), "rows": _counted, "sha256": _digest})
EditionPage = block(
    "EditionPage",
    {
        "name": text(),
        "status": text(enum=STATUSES),
        "sha256": text(description="Digest of the descriptor and every table."),
        "title": text(),
        "practices": texts(),
        "tables": nested(TableOfEdition, many=True),
        "basis": fields.Dict(keys=fields.String(), values=fields.Integer(), required=True),
        **HOUSE,
        "changes": text(description="The edition's CHANGES.md; empty when it has none."),
        "link": _link,
    },
)

TableField = block(
    "TableField",
    {
        "name": text(),
        "type": text(description="string, integer, number, boolean, or size: an exact fraction of an inch."),
        "unit": text(null=True),
        "description": text(),
        "required": fields.Boolean(required=True),
    },
)
TablePage = block(
    "TablePage",
    {
        "table": text(),
        "title": text(),
        "sha256": _digest,
        "fields": nested(TableField, many=True),
        "primary_key": texts(),
        "rows": fields.List(_texts_by_name("Cells as printed, by column."), required=True),
        "house_rows": fields.List(
            fields.List(fields.String()),
            metadata={"description": "Keys of the rows that are a house's own; absent for editions without one."},
        ),
        "cautions": _cautions,
        "edition": nested(EditionName),
        "link": _link,
    },
)

_row: dict[str, Any] = {
    "table": text(),
    "title": text(),
    "primary_key": texts(),
    "key": texts(),
    "cells": _texts_by_name("Cells as printed, by column; empty where the document gives none."),
    "document": text(),
    "place": text(),
    "basis": basis,
    "note": text(),
    "house": fields.String(metadata={"description": "The house edition whose own row it is; absent for others."}),
    "link": _link,
}
FoundRow = block("FoundRow", _row)
RowPage = block(
    "RowPage",
    {
        **_row,
        "units": _texts_by_name("Unit of each column that has one."),
        "cautions": _cautions,
        "edition": nested(EditionName),
    },
)
FoundRows = block(
    "FoundRows",
    {
        "text": text(),
        "words": texts(),
        "found": fields.Integer(required=True, metadata={"description": "How many rows hold every word."}),
        "more": fields.Integer(required=True, metadata={"description": "How many of them are not shown."}),
        "rows": nested(FoundRow, many=True),
        "cautions": _cautions,
        "edition": nested(EditionName),
        "link": _link,
    },
)
