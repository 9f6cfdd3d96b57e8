"""The fields of an order: its lines, spares, pack, price list and stock."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any, ClassVar

from marshmallow import ValidationError

from bucktail_service.engine.errors import BadQuestion
from bucktail_service.engine.lengths import shown
from bucktail_service.engine.money import PER, Price
from bucktail_service.engine.packs import MAX_IN_PACK, PACK, PACK_EXAMPLE, Pack, parse_pack
from bucktail_service.engine.spares import MAX_PIECES, SPARES, SPARES_EXAMPLE, Spares, parse_spares
from bucktail_service.schemas.fields import QuestionField

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
