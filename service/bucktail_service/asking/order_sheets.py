"""An order as the sheets of a workbook: the order, every line that came in, the totals, and what stands behind them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from bucktail_service.asking.order import TOTALS, Cells, order_cells, problem_cell
from bucktail_service.asking.question import Payload
from bucktail_service.workbook import workbook

Rows = list[Cells]


def order_xlsx(answer: Payload) -> bytes:
    """Return an order as a workbook; texts of its lines stay texts, whatever they begin with."""
    lines, _ = order_cells(answer)
    return workbook(
        {
            "Order": [row[:-1] for row in lines],  # no line of the order has a problem
            "Lines": _every_line(answer),
            "Totals": _totals(answer),
            "Notes": _notes(answer),
        }
    )


def _every_line(answer: Payload) -> Rows:
    """Return every line in its place, with its part number or its problem, and all that it carried."""
    found: list[tuple[Any, str | None, str | None]] = [
        (row, line["part_number"], None) for line in answer["lines"] for row in line["rows"]
    ]
    found += [(row, None, problem_cell(row["problem"])) for row in answer["rejected"]]
    found.sort(key=lambda entry: entry[0]["row"])
    carried = list(dict.fromkeys(name for row, _, _ in found for name in row["carried"]))
    cells = [
        [row["row"], number, row["quantity"], problem, *(row["carried"].get(name) for name in carried)]
        for row, number, problem in found
    ]
    return [["row", "part_number", "quantity", "problem", *carried], *cells]


def _totals(answer: Payload) -> Rows:
    rows: Rows = [[name, get(answer)] for name, get in TOTALS.items() if name not in ("cost", "cautions")]
    rows += [[f"cost {cost['currency']}", Decimal(cost["amount"])] for cost in answer["totals"]["cost"]]
    return [["total", "value"], *rows]


def _notes(answer: Payload) -> Rows:
    rows: Rows = [["reasoning", reason, None] for reason in answer["reasoning"]]
    rows += [["caution", caution["text"], caution["basis"]] for caution in answer["cautions"]]
    rows += [
        [
            "source",
            f"{', '.join(source['figures'])}: {source['document']}, {source['place']}".rstrip(", "),
            source["basis"],
        ]
        for source in answer["sources"]
    ]
    edition = answer["edition"]
    return [["note", "text", "basis"], *rows, ["edition", f"{edition['name']}, sha256 {edition['sha256']}", None]]
