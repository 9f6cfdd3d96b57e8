"""The order question."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from bucktail_service.asking.editions import find_edition
from bucktail_service.asking.order_lines import LINE_EXAMPLE, read_lines
from bucktail_service.asking.question import Answer, Payload, Question
from bucktail_service.engine.facts import default_practice
from bucktail_service.engine.order import OrderQuestion, order
from bucktail_service.flat import Columns, at, cell, codes, rows_csv
from bucktail_service.schemas.order import ORDER_FIELDS, load_order

Cells = list[Any]

ORDER_COLUMNS: Columns = {
    "part_number": at("part_number"),
    "wanted": at("wanted"),
    "spares": at("spares"),
    "on_hand": at("on_hand"),
    "to_order": at("to_order"),
    "shortage": at("shortage"),
    "each_g": at("mass", "each_g"),
    "pieces_per_lb": at("mass", "pieces_per_lb"),
    "to_order_g": at("mass", "to_order_g"),
    "packs": at("packs", "packs"),
    "pieces_per_pack": at("packs", "pieces_per_pack"),
    "cost": lambda line: _money(line["cost"]),
    "currency": at("cost", "currency"),
    "reckoned": at("cost", "reckoned"),
    "rows": lambda line: " ".join(str(row["row"]) for row in line["rows"]),
    "refs": lambda line: "; ".join(_refs(line["rows"])),
}

TOTALS: Columns = {
    "lines_in": at("totals", "lines_in"),
    "lines_accepted": at("totals", "lines_accepted"),
    "lines_rejected": at("totals", "lines_rejected"),
    "lines_without_quantity": at("totals", "lines_without_quantity"),
    "pieces_in": at("totals", "pieces_in"),
    "pieces_accepted": at("totals", "pieces_accepted"),
    "pieces_rejected": at("totals", "pieces_rejected"),
    "part_numbers": at("totals", "part_numbers"),
    "spares": at("totals", "spares"),
    "to_order": at("totals", "to_order"),
    "shortage": at("totals", "shortage"),
    "packs": at("totals", "packs"),
    "to_order_g": at("totals", "mass", "to_order_g"),
    "cost": lambda answer: "; ".join(f"{cost['amount']} {cost['currency']}" for cost in answer["totals"]["cost"]),
    "cautions": codes,
    "answered_practice": at("practice"),
    "answered_edition": at("edition", "name"),
}


def answer_order(payload: Payload) -> Answer:
    """Return the answer to an order.

    Raises:
        BadFields: A field beside the lines cannot be read.
        UnknownEdition: There is no such edition.
    """
    asked = load_order(payload)
    edition = find_edition(asked.edition)
    practice = asked.practice or default_practice(edition)
    lines, rejected = read_lines(asked.lines, practice, edition.name)
    question = OrderQuestion(lines, rejected, asked.spares, asked.pack, asked.prices, asked.stock)
    return order(question, practice, edition)


def order_csv(answer: Payload) -> str:
    """Return an order as CSV: its lines by part number, then the rejected lines with their pieces and the reason.

    The column `wanted` adds up to the pieces that came in. Texts of the lines go out as they came in: a program that
    takes texts for formulas must be told not to.
    """
    lines, rejected = order_cells(answer)
    return rows_csv([[cell(value) for value in row] for row in [*lines, *rejected[1:]]])


def order_cells(answer: Payload) -> tuple[list[Cells], list[Cells]]:
    """Return the lines of an order and its rejected lines as rows of cells under one header."""
    header = [*ORDER_COLUMNS, "problem"]
    lines = [[*(get(line) for get in ORDER_COLUMNS.values()), None] for line in answer["lines"]]
    at_name = {name: at_place for at_place, name in enumerate(header)}
    rejected = []
    for line in answer["rejected"]:
        cells: Cells = [None] * len(header)
        cells[at_name["wanted"]] = line["quantity"]
        cells[at_name["rows"]] = str(line["row"])
        cells[at_name["refs"]] = "; ".join(_refs([line]))
        cells[at_name["problem"]] = problem_cell(line["problem"])
        rejected.append(cells)
    return [header, *lines], [header, *rejected]


def problem_cell(told: Mapping[str, Any]) -> str:
    """Return a problem as one cell: its code and what was wrong."""
    return f"{told['type'].rpartition(':')[2]}: {told['detail']}"


def _money(cost: Mapping[str, Any] | None) -> Decimal | None:
    return None if cost is None or cost["amount"] is None else Decimal(cost["amount"])


def _refs(rows: list[Mapping[str, Any]]) -> list[str]:
    """Return what the lines say of where they belong: their `ref`, or their `place`, each once."""
    found = (row["carried"].get("ref") or row["carried"].get("place") for row in rows)
    return list(dict.fromkeys(cell(text) for text in found if text))


QUESTION = Question(
    name="order",
    fields=ORDER_FIELDS,
    required=("lines",),
    example={"lines": [LINE_EXAMPLE], "spares": "10%", "pack": "1/4 lb"},
    answer=answer_order,
    columns=TOTALS,
    brief=lambda: answer_order,
    in_batch=False,  # it is a file of lines itself
)
