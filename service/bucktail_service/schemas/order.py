"""The order question as it may be asked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from marshmallow import RAISE, Schema

from bucktail_service.engine.money import Price
from bucktail_service.engine.packs import Pack
from bucktail_service.engine.spares import Spares
from bucktail_service.schemas.fields import EditionField, NameField
from bucktail_service.schemas.order_fields import LinesField, PackField, PricesField, SparesField, StockField
from bucktail_service.schemas.questions import load
from bucktail_tables.load import load_edition

ORDER_FIELDS = ("lines", "spares", "pack", "prices", "stock", "practice", "edition")


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
    return OrderAsked(loaded["lines"], *(loaded.get(name) for name in ORDER_FIELDS[1:]))
