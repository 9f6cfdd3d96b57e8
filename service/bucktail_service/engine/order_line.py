"""One part number of an order: what is wanted, what is bought, what it weighs and costs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from bucktail_service.engine.blocks import Block
from bucktail_service.engine.money import Price, to_cents
from bucktail_service.engine.packs import GRAMS_PER_POUND, Pack
from bucktail_service.engine.rounding import half_even

# name of a unit -> how many of it are bought; None where that is not known
Bought = dict[str, Fraction | None]


@dataclass(frozen=True, slots=True)
class Need:
    """A part number that lines ask for.

    Attributes:
        part_number: In the current standard.
        wanted: Pieces of all its lines. [pieces]
        spares: Pieces added. [pieces]
        on_hand: Pieces in stock; None when the stock was not told. [pieces]
        each_g: Mass of a piece as its part answer has it; None when not tabulated. [g]
        pieces_per_lb: Pieces in a pound, to the nearest; None when not tabulated. [1/lb]
        pack: What a pack holds, when it is bought in packs.
        prices: Its different prices in the shop's list; None when there is no list.
    """

    part_number: str
    wanted: int
    spares: int
    on_hand: int | None
    each_g: Fraction | None
    pieces_per_lb: int | None
    pack: Pack | None
    prices: tuple[Price, ...] | None

    @property
    def to_order(self) -> int:
        """Pieces to order: wanted and spares, less the stock on hand. [pieces]"""
        return max(0, self.wanted + self.spares - (self.on_hand or 0))

    @property
    def shortage(self) -> int | None:
        """Pieces of the job itself that the stock does not cover, spares apart; None without a stock. [pieces]"""
        return None if self.on_hand is None else max(0, self.wanted - self.on_hand)

    @property
    def per_pack(self) -> int | None:
        """Pieces in a pack. [pieces]"""
        return None if self.pack is None else self.pack.holds(self.each_g)

    @property
    def packs(self) -> int | None:
        """Whole packs that hold what is to be ordered."""
        return None if self.per_pack is None else math.ceil(Fraction(self.to_order, self.per_pack))

    @property
    def bought(self) -> int:
        """Pieces that come: whole packs, or just what is to be ordered. [pieces]"""
        return self.to_order if self.packs is None or self.per_pack is None else self.packs * self.per_pack

    @property
    def mass_g(self) -> Fraction | None:
        """Mass of the pieces to order, exactly that of one as told times their number. [g]"""
        return None if self.each_g is None else self.to_order * self.each_g

    def bought_by(self) -> Bought:
        """Return what is bought in each unit a price may count."""
        pounds: Fraction | None = None
        if self.pack is not None and self.pack.pounds is not None and self.packs is not None:
            pounds = self.packs * self.pack.pounds
        elif self.each_g is not None:
            pounds = self.bought * self.each_g / GRAMS_PER_POUND
        packs = None if self.packs is None else Fraction(self.packs)
        return {"piece": Fraction(self.bought), "pack": packs, "lb": pounds}

    def cost(self) -> tuple[Decimal | None, str]:
        """Return what it costs and how that was reckoned; or nothing, and why."""
        if not self.prices:
            return None, "no price for it in the list"
        if len(self.prices) > 1:
            return None, f"the list has {len(self.prices)} prices for it: {', '.join(map(str, self.prices))}"
        price = self.prices[0]
        number = self.bought_by()[price.per]
        if number is None and price.per == "pack":
            why = "no pack was told" if self.pack is None else "the pieces in a pack are not known"
            return None, f"{price}, but {why}"
        if number is None:
            return None, f"{price}, but its mass is not in the tables"
        return to_cents(Fraction(price.amount) * number), f"{_count(number, price.per)} at {price}"

    def block(self) -> Block:
        """Return its block of the answer, without the lines behind it."""
        return {
            "part_number": self.part_number,
            "wanted": self.wanted,
            "spares": self.spares,
            "on_hand": self.on_hand,
            "to_order": self.to_order,
            "shortage": self.shortage,
            "mass": {
                "each_g": None if self.each_g is None else float(self.each_g),
                "pieces_per_lb": self.pieces_per_lb,
                **mass_twins(self.mass_g),
            },
            "packs": self._packs(),
            "cost": self._cost(),
        }

    def _packs(self) -> Block | None:
        if self.pack is None:
            return None
        return {"packs": self.packs, "pieces_per_pack": self.per_pack, "pieces": self.bought}

    def _cost(self) -> Block | None:
        if self.prices is None:
            return None
        amount, reckoned = self.cost()
        currency = self.prices[0].currency if amount is not None else None
        return {"amount": None if amount is None else str(amount), "currency": currency, "reckoned": reckoned}

    def reason(self) -> str:
        """Return in words how its figures come about; nothing of it depends on how its lines were split."""
        told = f"{self.part_number}: {self.wanted} wanted + {self.spares} spares"
        if self.on_hand is not None:
            told += f" - {self.on_hand} on hand"
        told += f" = {self.to_order} to order"
        if self.packs is not None:
            told += f": {_count(Fraction(self.packs), 'pack')} of {self.per_pack}"
        return told


def mass_twins(grams: Fraction | None) -> Block:
    """Return a mass in grams, four decimals, and in pounds, six."""
    if grams is None:
        return {"to_order_g": None, "to_order_lb": None}
    return {"to_order_g": half_even(grams, 4), "to_order_lb": half_even(grams / GRAMS_PER_POUND, 6)}


def _count(number: Fraction, per: str) -> str:
    if per == "lb":
        return f"{float(number):.4f} lb"
    return f"{number} {per}{'' if number == 1 else 's'}"
