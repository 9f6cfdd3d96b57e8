"""What differs between two editions, and whose answers move."""

from __future__ import annotations

from marshmallow import fields

from bucktail_service.engine.moves import OUTCOMES
from bucktail_service.schemas.answers import Caution, EditionName, Problem, basis, block, nested, text, texts

_STATES = ["added", "removed", "changed"]


def _count(description: str = "") -> fields.Integer:
    return fields.Integer(required=True, metadata={"description": description} if description else {})


def _figure(description: str) -> fields.Raw:
    types = ["number", "string", "boolean", "null"]
    return fields.Raw(required=True, allow_none=True, metadata={"description": description, "type": types})


_cells = {
    "column": text(),
    "before": text(null=True, description="As printed; null where there is nothing."),
    "after": text(null=True),
}
ChangedCell = block("ChangedCell", _cells)
RowSource = block("RowSource", {"document": text(), "place": text(), "basis": basis, "house": fields.String()})
_row = {
    "row": texts(),
    "state": text(enum=_STATES),
    "before": nested(RowSource, null=True),
    "after": nested(RowSource, null=True),
    "cells": nested(ChangedCell, many=True),
}
ChangedRow = block("ChangedRow", _row)
ColumnKind = block("ColumnKind", {"type": text(), "unit": text(null=True), "key": fields.Boolean(required=True)})
ChangedColumn = block(
    "ChangedColumn",
    {
        "column": text(),
        "state": text(enum=_STATES),
        "before": nested(ColumnKind, null=True),
        "after": nested(ColumnKind, null=True),
    },
)
ChangedTable = block(
    "ChangedTable",
    {
        "table": text(),
        "title": text(),
        "state": text(enum=_STATES),
        "key_before": texts(),
        "key_after": texts(),
        "columns": nested(ChangedColumn, many=True),
        "added": _count(),
        "removed": _count(),
        "changed": _count(),
        "rows": nested(ChangedRow, many=True),
    },
)
ChangeCounts = block(
    "ChangeCounts",
    {
        "tables": _count("Tables in which anything differs."),
        "added": _count("Rows."),
        "removed": _count("Rows."),
        "changed": _count("Rows."),
        "cells": _count("Cells of changed rows."),
    },
)
_editions = {"from": nested(EditionName), "to": nested(EditionName)}
ChangesAnswer = block(
    "ChangesAnswer",
    {
        **_editions,
        "counts": nested(ChangeCounts),
        "tables": nested(ChangedTable, many=True),
        "cautions": nested(Caution, many=True),
        "link": text(),
    },
)

CitedChange = block("CitedChange", {"table": text(), **_row})
MovedFigure = block(
    "MovedFigure",
    {
        "column": text(description="As in the CSV of a pick answer."),
        "before": _figure("In the one edition."),
        "after": _figure("In the other."),
        "by": fields.Float(required=True, allow_none=True, metadata={"description": "By how much a number moves."}),
    },
)
Move = block(
    "Move",
    {
        "row": _count("Of the file, from 1."),
        "question": fields.Dict(keys=fields.String(), required=True),
        "carried": fields.Dict(keys=fields.String(), required=True),
        "outcome": text(enum=list(OUTCOMES)),
        "part_number_before": text(null=True),
        "part_number_after": text(null=True),
        "figures": nested(MovedFigure, many=True),
        "problem_before": nested(Problem, null=True),
        "problem_after": nested(Problem, null=True),
        "why": nested(CitedChange, many=True),
    },
)
MovedColumn = block(
    "MovedColumn",
    {
        "column": text(),
        "questions": _count(),
        "largest": fields.Float(
            required=True, allow_none=True, metadata={"description": "The farthest a number moves."}
        ),
    },
)
TableBehind = block("TableBehind", {"table": text(), "questions": _count("Moved answers that name a changed row.")})
MovesSummary = block(
    "MovesSummary",
    {
        "questions": _count(),
        "moved": _count("Of another part number or other figures, or answered in one edition only."),
        "outcomes": fields.Dict(keys=fields.String(), values=fields.Integer(), required=True),
        "same_on_changed_rows": _count("Their figures stay, but a row they name has changed."),
        "unexplained": _count("Moved, but no row they name has changed: a row that no answer names is behind it."),
        "columns": nested(MovedColumn, many=True),
        "tables": nested(TableBehind, many=True),
    },
)
MovesAnswer = block(
    "MovesAnswer",
    {
        **_editions,
        "summary": nested(MovesSummary),
        "changes": nested(ChangeCounts),
        "moves": nested(Move, many=True),
        "cautions": nested(Caution, many=True),
        "link": text(description="What differs between the two editions."),
    },
)
