"""The order answer as it is given."""

from __future__ import annotations

from marshmallow import fields

from bucktail_service.schemas.answers import Caution, EditionName, Problem, Source, block, nested, text, texts


def _count(*, null: bool = False) -> fields.Integer:
    return fields.Integer(required=True, allow_none=null, strict=True)


def _figure(*, null: bool = True) -> fields.Float:
    return fields.Float(required=True, allow_none=null)


def _money(*, null: bool = False) -> fields.String:
    return text(null=null, description="Exact decimal with two places.", pattern=r"^[0-9]+\.[0-9]{2}$")


_carried = fields.Dict(keys=fields.String(), required=True)
OrderedRow = block(
    "OrderedRow",
    {"row": _count(), "quantity": _count(), "carried": _carried, "cautions": texts(), "link": text()},
)
RejectedRow = block(
    "RejectedRow",
    {"row": _count(), "quantity": _count(null=True), "carried": _carried, "problem": nested(Problem)},
)
_order_mass = {"to_order_g": _figure(), "to_order_lb": _figure()}
OrderMass = block("OrderMass", {"each_g": _figure(), "pieces_per_lb": _count(null=True), **_order_mass})
OrderPacks = block(
    "OrderPacks",
    {"packs": _count(null=True), "pieces_per_pack": _count(null=True), "pieces": _count()},
)
OrderCost = block(
    "OrderCost",
    {
        "amount": _money(null=True),
        "currency": text(null=True),
        "reckoned": text(description="How it was reckoned, or why it could not be."),
    },
)
OrderedLine = block(
    "OrderedLine",
    {
        "part_number": text(),
        "wanted": _count(),
        "spares": _count(),
        "on_hand": _count(null=True),
        "to_order": _count(),
        "shortage": _count(null=True),
        "mass": nested(OrderMass),
        "packs": nested(OrderPacks, null=True),
        "cost": nested(OrderCost, null=True),
        "rows": nested(OrderedRow, many=True),
    },
)
TotalMass = block("TotalMass", _order_mass)
TotalCost = block("TotalCost", {"amount": _money(), "currency": text()})
OrderTotals = block(
    "OrderTotals",
    {
        **{name: _count() for name in ("lines_in", "lines_accepted", "lines_rejected", "lines_without_quantity")},
        **{name: _count() for name in ("pieces_in", "pieces_accepted", "pieces_rejected")},
        **{name: _count() for name in ("part_numbers", "spares", "to_order")},
        "shortage": _count(null=True),
        "packs": _count(null=True),
        "mass": nested(TotalMass),
        "without_mass": texts(),
        "cost": nested(TotalCost, many=True),
        "unpriced": texts(),
    },
)
OrderSpares = block(
    "OrderSpares",
    {"rate_percent": _figure(), "pieces": _count(), "asked_for": fields.Boolean(required=True), "text": text()},
)
OrderCaution = block(
    "OrderCaution",
    {**Caution._declared_fields, "rows": fields.List(fields.Integer())},
)
OrderAnswer = block(
    "OrderAnswer",
    {
        "lines": nested(OrderedLine, many=True),
        "rejected": nested(RejectedRow, many=True),
        "totals": nested(OrderTotals),
        "spares": nested(OrderSpares),
        "pack": text(null=True),
        "reasoning": texts(),
        "cautions": nested(OrderCaution, many=True),
        "sources": nested(Source, many=True),
        "practice": text(),
        "edition": nested(EditionName),
        "link": text(null=True, description="Null: this question is asked in a body alone. Each row has its own."),
    },
)
