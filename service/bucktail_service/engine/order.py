"""The order answer: lines gathered by part number, with spares, stock, mass, packs and cost, and totals that reconcile.

Every line has been picked or read before it comes here, by the same code that answers a single question.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from bucktail_service.engine.blocks import Block, edition_block
from bucktail_service.engine.cautions import ALWAYS, caution_list
from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.money import ROUNDING, Price
from bucktail_service.engine.order_line import Need, mass_twins
from bucktail_service.engine.packs import Pack
from bucktail_service.engine.parts import any_part, current_number
from bucktail_service.engine.sources import UNCERTAIN, Ledger
from bucktail_service.engine.spares import Spares, usual_spares
from bucktail_tables.model import Edition

# what belongs to the bench, or is said again for the whole order
_NOT_PASSED_ON = frozenset({*ALWAYS, "edition-draft", "no-figure", "not-published"})


@dataclass(frozen=True, slots=True)
class Line:
    """A line that was understood: so many pieces of a part number.

    Attributes:
        row: Its place among the lines, from 1.
        quantity: Pieces wanted. [pieces]
        part_number: In the current standard.
        carried: What the line says beside its question, untouched.
        cautions: Codes that its question fired.
        link: Path that asks the line's question again.
    """

    row: int
    quantity: int
    part_number: str
    carried: Mapping[str, Any]
    cautions: Sequence[str]
    link: str


@dataclass(frozen=True, slots=True)
class Rejected:
    """A line that was not understood, why, and its pieces where they could be read. [pieces]"""

    row: int
    quantity: int | None
    carried: Mapping[str, Any]
    problem: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class OrderQuestion:
    """An order: its lines, and how spares, packs, prices and stock are reckoned.

    Attributes:
        lines: Those understood.
        rejected: The others.
        spares: The edition's usual ones when None.
        pack: Pieces are not packed when None.
        prices: Part numbers and their prices as given; no cost is worked out when None.
        stock: Part numbers and pieces on hand as given; nothing is known of the stock when None.
    """

    lines: Sequence[Line]
    rejected: Sequence[Rejected]
    spares: Spares | None = None
    pack: Pack | None = None
    prices: Sequence[tuple[str, Price]] | None = None
    stock: Sequence[tuple[str, int]] | None = None


def order(question: OrderQuestion, practice: str, edition: Edition) -> Block:
    """Return the answer to an order: one line for each part number, sorted, the rejected lines, and the totals.

    Args:
        question: What is ordered.
        practice: The practice of lines that name none.
        edition: The tables to read.
    """
    spares = question.spares or usual_spares(edition)
    lines: dict[str, list[Line]] = {}
    for line in question.lines:
        lines.setdefault(line.part_number, []).append(line)
    parts = {number: any_part(number, edition) for number in sorted(lines)}
    wanted = {number: sum(line.quantity for line in lines[number]) for number in parts}
    needs = _needs(wanted, parts, question, spares, edition)
    sources = _sources(spares, parts)
    fired = _fired(question, parts, needs, sources, edition)
    missing = ["lines.mass"] if any(need.each_g is None for need in needs) else []
    return {
        "lines": [{**need.block(), "rows": [_row(line) for line in lines[need.part_number]]} for need in needs],
        "rejected": [_rejected(line) for line in question.rejected],
        "totals": _totals(question, needs),
        "spares": {
            "rate_percent": None if spares.rate is None else float(spares.rate),
            "pieces": spares.pieces,
            "asked_for": question.spares is not None,
            "text": str(spares),
        },
        "pack": None if question.pack is None else question.pack.text,
        "reasoning": _reasoning(needs, spares, question),
        "cautions": [
            {**caution, **({"rows": fired[caution["code"]]} if fired[caution["code"]] else {})}
            for caution in caution_list(fired, edition, missing)
        ],
        "sources": sources,
        "practice": practice,
        "edition": edition_block(edition),
        "link": None,  # asked in a body alone; each row has its own
    }


def _needs(
    wanted: Mapping[str, int], parts: Mapping[str, Block], question: OrderQuestion, spares: Spares, edition: Edition
) -> list[Need]:
    prices: dict[str, dict[Price, None]] = {}
    for number, price in question.prices or ():
        prices.setdefault(_current_number(number, edition), {})[price] = None
    stock: dict[str, int] = {}
    for number, pieces in question.stock or ():
        current = _current_number(number, edition)
        stock[current] = stock.get(current, 0) + pieces
    return [
        Need(
            number,
            pieces,
            spares.for_wanted(pieces),
            None if question.stock is None else stock.get(number, 0),
            _as_told(parts[number]["mass"]["each_g"]),
            parts[number]["mass"]["pieces_per_lb"],
            question.pack,
            None if question.prices is None else tuple(prices.get(number, ())),
        )
        for number, pieces in wanted.items()
    ]


def _current_number(text: str, edition: Edition) -> str:
    """Return a part number in the current standard, so that lists may use another; as written when it is unknown."""
    try:
        return current_number(text, edition)
    except NotTabulated:
        return text.strip()


def _as_told(each_g: float | None) -> Fraction | None:
    """Return the mass as the digits of the part answer say it, so that a reader can work the order out again."""
    return None if each_g is None else Fraction(repr(each_g))


def _row(line: Line) -> Block:
    codes = [code for code in line.cautions if code not in _NOT_PASSED_ON]
    return {
        "row": line.row,
        "quantity": line.quantity,
        "carried": dict(line.carried),
        "cautions": codes,
        "link": line.link,
    }


def _rejected(line: Rejected) -> Block:
    return {
        "row": line.row,
        "quantity": line.quantity,
        "carried": dict(line.carried),
        "problem": dict(line.problem),
    }


def _totals(question: OrderQuestion, needs: list[Need]) -> Block:
    """Return the totals: pieces in are those on the order's lines and those rejected, lines in likewise."""
    rejected = sum(line.quantity or 0 for line in question.rejected)
    costs: dict[str, Decimal] = {}
    unpriced = []
    for need in needs:
        amount, _ = need.cost()
        if amount is not None and need.prices:
            currency = need.prices[0].currency
            costs[currency] = costs.get(currency, Decimal("0.00")) + amount
        elif need.prices is not None:
            unpriced.append(need.part_number)
    return {
        "lines_in": len(question.lines) + len(question.rejected),
        "lines_accepted": len(question.lines),
        "lines_rejected": len(question.rejected),
        "lines_without_quantity": sum(line.quantity is None for line in question.rejected),
        "pieces_in": sum(line.quantity for line in question.lines) + rejected,
        "pieces_accepted": sum(need.wanted for need in needs),
        "pieces_rejected": rejected,
        "part_numbers": len(needs),
        "spares": sum(need.spares for need in needs),
        "to_order": sum(need.to_order for need in needs),
        "shortage": None if question.stock is None else sum(need.shortage or 0 for need in needs),
        "packs": None if question.pack is None else sum(need.packs or 0 for need in needs),
        "mass": mass_twins(sum((need.mass_g or Fraction(0) for need in needs), Fraction(0))),
        "without_mass": [need.part_number for need in needs if need.each_g is None],
        "cost": [{"amount": str(costs[currency]), "currency": currency} for currency in sorted(costs)],
        "unpriced": unpriced,
    }


def _sources(spares: Spares, parts: Mapping[str, Block]) -> list[Block]:
    """Return what the order's own figures rest on; each line's link tells the sources of its part number."""
    ledger = Ledger()
    for row in spares.rows:
        ledger.cite(row, "lines.spares")
    found: dict[tuple[str, ...], Block] = {}
    for answer in parts.values():
        for source in answer["sources"]:
            if any(figure.startswith("mass.") for figure in source["figures"]):
                found.setdefault((source["table"], *source["row"]), {**source, "figures": ["lines.mass"]})
    return [*ledger.as_list(), *found.values()]


def _fired(
    question: OrderQuestion, parts: Mapping[str, Block], needs: list[Need], sources: list[Block], edition: Edition
) -> dict[str, list[int]]:
    """Return the codes of the cautions that fire, each with the rows that fired it, if rows did."""
    fired: dict[str, list[int]] = {"approved-data": []}
    told = {number: [caution["code"] for caution in parts[number]["cautions"]] for number in parts}
    for line in question.lines:
        for code in {*line.cautions, *told[line.part_number]} - _NOT_PASSED_ON:
            fired.setdefault(code, []).append(line.row)
    if question.pack is not None and question.pack.by_weight and any(need.packs for need in needs):
        fired["pack-by-weight"] = []
    if any(answer["family"] in ("bolt", "pin") for answer in parts.values()):
        fired["hardware-apart"] = []
    if any(need.each_g is None for need in needs):
        fired["no-figure"] = []
    if any(source["basis"] in UNCERTAIN for source in sources):
        fired["not-published"] = []
    if edition.is_draft:
        fired["edition-draft"] = []
    return fired


def _reasoning(needs: list[Need], spares: Spares, question: OrderQuestion) -> list[str]:
    reasons = [f"spares: {spares}", *(need.reason() for need in needs)]
    if question.pack is not None and question.pack.by_weight:
        reasons.append(f"a pack of {question.pack.text} holds as many whole pieces as weigh no more than it")
    if question.prices is not None:
        reasons.append(ROUNDING)
    return reasons
