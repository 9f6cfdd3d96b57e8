"""The order question as it may be asked, and its answer as it is given."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any, ClassVar, NamedTuple

from marshmallow import RAISE, Schema, ValidationError, fields

from bucktail_service.engine.errors import BadQuestion
from bucktail_service.engine.lengths import shown
from bucktail_service.engine.money import PER, Price
from bucktail_service.engine.packs import MAX_IN_PACK, PACK, PACK_EXAMPLE, Pack, parse_pack
from bucktail_service.engine.spares import MAX_PIECES, SPARES, SPARES_EXAMPLE, Spares, parse_spares
from bucktail_service.schemas.answers import Caution, EditionName, Problem, Source, block, nested, text, texts
from bucktail_service.schemas.fields import EditionField, NameField, QuestionField
from bucktail_service.schemas.questions import load
from bucktail_tables.load import load_edition

ORDER_FIELDS = ("lines", "spares", "pack", "prices", "stock", "practice", "edition")
MAX_LINES = 10_000
MAX_LISTED = 100_000
_MAX_STOCK = 999_999_999
_MAX_PRICE = 9_999_999
_AMOUNT = r"(?:[0-9]{1,7}(?:\.[0-9]{1,6})?|\.[0-9]{1,6})"
_STOCK = r"[0-9]{1,9}"
_CURRENCY = r"[A-Z]{3}"
_PRINTED = "[!-~]"
_NUMBER: Mapping[str, Any] = {"type": "string", "pattern": _PRINTED, "maxLength": 60}


def _is_whole(value: Any, low: int, high: int) -> bool:
    """Return whether a JSON number is whole and within bounds; 24.0 is whole to JSON."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        return False
    return isinstance(value, int) or value.is_integer()


class LinesField(QuestionField):
    """Lines of an order: anything may stand in the list, since a line that is none is rejected in its place."""

    example = '[{"part_number": "MS20470AD4-4", "quantity": 24}]'
    json_schema: ClassVar[Mapping[str, Any]] = {"type": "array", "maxItems": MAX_LINES}

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> list[Any]:
        if not isinstance(value, list | tuple):
            raise ValidationError("is a list of lines")
        if len(value) > MAX_LINES:
            raise ValidationError(f"has {len(value)} lines; an order takes {MAX_LINES}")
        return list(value)


class SparesField(QuestionField):
    """Spares of each part number: a rate in percent, or whole pieces."""

    example = SPARES_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {"type": "string", "pattern": f"^(?:{SPARES})$"},
            {"type": "integer", "minimum": 0, "maximum": MAX_PIECES},
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Spares:
        if _is_whole(value, 0, MAX_PIECES):
            return Spares(None, int(value))
        parsed: Spares = _parsed(parse_spares, value, SPARES_EXAMPLE)
        return parsed


class PackField(QuestionField):
    """What a pack holds: whole pieces, or a weight in pounds."""

    example = PACK_EXAMPLE
    json_schema: ClassVar[Mapping[str, Any]] = {
        "oneOf": [
            {"type": "string", "pattern": f"^(?:{PACK})$"},
            {"type": "integer", "minimum": 1, "maximum": MAX_IN_PACK},
        ]
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> Pack:
        if _is_whole(value, 1, MAX_IN_PACK):
            return parse_pack(str(int(value)))
        parsed: Pack = _parsed(parse_pack, value, PACK_EXAMPLE)
        return parsed


def _parsed(parse: Callable[[str], Any], value: Any, example: str) -> Any:
    if not isinstance(value, str):
        raise ValidationError(f"is a text or whole pieces, such as {example}")
    try:
        return parse(value)
    except BadQuestion as error:
        raise ValidationError(error.detail) from None


class _RowsField(QuestionField):
    """A list of rows, each read by itself; the first that cannot be read is named by its place."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> list[Any]:
        if not isinstance(value, list | tuple):
            raise ValidationError("is a list of rows")
        if len(value) > MAX_LISTED:
            raise ValidationError(f"has {len(value)} rows; a list takes {MAX_LISTED}")
        return [self._numbered(place, row) for place, row in enumerate(value, start=1)]

    def _numbered(self, place: int, row: Any) -> Any:
        try:
            return self._read(row)
        except ValidationError as error:
            raise ValidationError(f"row {place}: {error.messages[0]}") from None

    def _read(self, row: Any) -> Any:
        raise NotImplementedError


def _members(row: Any, needed: set[str], known: set[str]) -> None:
    if not isinstance(row, Mapping):
        raise ValidationError("is not an object")
    unknown, missing = sorted(set(row) - known), sorted(needed - set(row))
    if unknown:
        raise ValidationError(f"{shown(str(unknown[0]))} is not one of {', '.join(sorted(known))}")
    if missing:
        raise ValidationError(f"{missing[0]} is missing")


def _part_number(value: Any) -> str:
    if not isinstance(value, str) or re.search(_PRINTED, value) is None or len(value) > _NUMBER["maxLength"]:
        raise ValidationError(f"part_number is a text of at most {_NUMBER['maxLength']} characters")
    return value


def _rows_schema(members: Mapping[str, Any], **more: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": {"part_number": _NUMBER, **members},
        "additionalProperties": False,
        **more,
    }


_AMOUNT_SCHEMA = {
    "oneOf": [
        {"type": "string", "pattern": f"^{_AMOUNT}$"},
        {"type": "number", "minimum": 0, "maximum": _MAX_PRICE},
    ]
}


class PricesField(_RowsField):
    """The shop's price list: each row one price, of a piece, a pack or a pound."""

    example = '[{"part_number": "MS20470AD4-4", "per_piece": "0.02", "currency": "USD"}]'
    json_schema: ClassVar[Mapping[str, Any]] = {
        "type": "array",
        "maxItems": MAX_LISTED,
        "items": {
            "oneOf": [
                _rows_schema(
                    {f"per_{unit}": _AMOUNT_SCHEMA, "currency": {"type": "string", "pattern": f"^{_CURRENCY}$"}},
                    required=["part_number", f"per_{unit}", "currency"],
                )
                for unit in PER
            ]
        },
    }

    def _read(self, row: Any) -> tuple[str, Price]:
        units = {f"per_{unit}" for unit in PER}
        _members(row, {"part_number", "currency"}, {"part_number", "currency", *units})
        priced = [unit for unit in PER if f"per_{unit}" in row]
        if len(priced) != 1:
            raise ValidationError(f"has {len(priced)} prices; exactly one of per_piece, per_pack and per_lb is needed")
        currency = row["currency"]
        if not isinstance(currency, str) or re.fullmatch(_CURRENCY, currency, re.ASCII) is None:
            raise ValidationError("currency is three capital letters, such as USD")
        return _part_number(row["part_number"]), Price(_amount(row[f"per_{priced[0]}"]), priced[0], currency)


def _amount(value: Any) -> Decimal:
    if isinstance(value, str) and re.fullmatch(_AMOUNT, value, re.ASCII):
        return Decimal(value)
    if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= _MAX_PRICE:
        return abs(Decimal(repr(value)))  # -0.0 is 0
    told = shown(value) if isinstance(value, str) else shown(str(value))
    raise ValidationError(f"{told} is not a price from 0 to {_MAX_PRICE}, such as 0.025")


class StockField(_RowsField):
    """Pieces on hand; a part number may stand in several rows, which add up."""

    example = '[{"part_number": "MS20470AD4-4", "pieces": 40}]'
    json_schema: ClassVar[Mapping[str, Any]] = {
        "type": "array",
        "maxItems": MAX_LISTED,
        "items": _rows_schema(
            {
                "pieces": {
                    "oneOf": [
                        {"type": "string", "pattern": f"^{_STOCK}$"},
                        {"type": "integer", "minimum": 0, "maximum": _MAX_STOCK},
                    ]
                }
            },
            required=["part_number", "pieces"],
        ),
    }

    def _read(self, row: Any) -> tuple[str, int]:
        _members(row, {"part_number", "pieces"}, {"part_number", "pieces"})
        pieces = row["pieces"]
        is_text = isinstance(pieces, str) and re.fullmatch(_STOCK, pieces, re.ASCII) is not None
        if not is_text and not _is_whole(pieces, 0, _MAX_STOCK):
            told = shown(pieces) if isinstance(pieces, str) else shown(str(pieces))
            raise ValidationError(f"pieces: {told} is not a whole number from 0 to {_MAX_STOCK}")
        return _part_number(row["part_number"]), int(pieces)


class OrderSchema(Schema):
    """Many lines gathered into an order."""

    class Meta:
        unknown = RAISE
        ordered = True

    lines = LinesField(
        required=True,
        metadata={
            "description": "Each line an object: the fields of a pick question or a `part_number`, and a whole "
            "`quantity`; anything else it has is carried. A line that cannot be understood is rejected in its place."
        },
    )
    spares = SparesField(
        metadata={
            "description": "Pieces added for each part number: a rate, rounded up, or a fixed number. "
            "10 percent and at least 5 when left out: common practice, no source."
        }
    )
    pack = PackField(metadata={"description": "What a pack holds: pieces, or pounds."})
    prices = PricesField(metadata={"description": "The shop's price list. Currencies are not added up."})
    stock = StockField(metadata={"description": "Pieces on hand."})
    practice = NameField(
        [row.text("practice") for row in load_edition()["practices"]],
        metadata={"description": "Named set of rules of the lines that name none.", "example": "civil"},
    )
    edition = EditionField(metadata={"description": "Edition of the tables; pins the answer.", "example": "2026.1"})


ORDER = OrderSchema()


class OrderAsked(NamedTuple):
    """An order read, its lines still as they came."""

    lines: list[Any]
    spares: Spares | None
    pack: Pack | None
    prices: list[tuple[str, Price]] | None
    stock: list[tuple[str, int]] | None
    practice: str | None
    edition: str | None


def load_order(payload: Mapping[str, Any]) -> OrderAsked:
    """Return the order a payload asks; BadFields names every field that is wrong."""
    loaded = load(ORDER, payload)
    return OrderAsked(**{name: loaded.get(name) for name in ORDER_FIELDS})


def _count(*, null: bool = False) -> fields.Integer:
    return fields.Integer(required=True, allow_none=null, strict=True)


def _figure(*, null: bool = True) -> fields.Float:
    return fields.Float(required=True, allow_none=null)


_money = {"metadata": {"description": "Exact decimal with two places.", "pattern": r"^[0-9]+\.[0-9]{2}$"}}
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
        "amount": fields.String(required=True, allow_none=True, **_money),
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
TotalCost = block("TotalCost", {"amount": fields.String(required=True, **_money), "currency": text()})
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
