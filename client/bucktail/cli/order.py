"""`bucktail order`: a file of lines to an order."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import typer

from bucktail.cli.exits import Exit
from bucktail.cli.files import opened, target_of
from bucktail.cli.options import Edition, Practice, Url, Why
from bucktail.cli.session import connect, ending, has_colour
from bucktail.embedded import as_csv, as_text, order_as_xlsx, read_order_file
from bucktail.errors import bad_question


class OrderFormat(StrEnum):
    """Formats of an order."""

    TEXT = "text"
    JSON = "json"
    CSV = "csv"
    XLSX = "xlsx"


_SUFFIXES = {f".{form.value}": form for form in (OrderFormat.JSON, OrderFormat.CSV, OrderFormat.XLSX)}


def order(
    lines: Annotated[
        str, typer.Argument(metavar="LINES", help="CSV with a header, or .json with an array; - for standard input.")
    ],
    spares: Annotated[
        str | None, typer.Option("--spares", help="For each part number: 10% or 20. When left out 10%, at least 5.")
    ] = None,
    pack: Annotated[str | None, typer.Option("--pack", help="What a pack holds: 0.25lb, 1/4lb or 100 pieces.")] = None,
    prices: Annotated[
        str | None,
        typer.Option("--prices", help="CSV: part_number, currency, and per_piece, per_pack or per_lb."),
    ] = None,
    stock: Annotated[str | None, typer.Option("--stock", help="CSV: part_number, pieces.")] = None,
    practice: Practice = None,
    edition: Edition = None,
    form: Annotated[
        OrderFormat | None, typer.Option("--format", "-f", help="Format of the order; text, or as --out is named.")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", "-o", help="File to write; whole or not at all.")] = None,
    why: Why = False,
    url: Url = None,
) -> None:
    """Gather lines into an order: columns quantity, and diameter, alloy, head, stack or part_number.

    Other columns are carried. CSV gives texts back as they came; in a spreadsheet they never become formulas.
    """
    chosen = form or _SUFFIXES.get("" if out is None else out.suffix.lower(), OrderFormat.TEXT)
    with ending(as_json=chosen is OrderFormat.JSON), connect(url) as client:
        if chosen is OrderFormat.XLSX and out is None and sys.stdout.isatty():
            raise bad_question("--out", "is missing: a spreadsheet is nothing for a terminal", "--out order.xlsx")
        options = {"spares": spares, "pack": pack, "practice": practice, "edition": edition}
        question: dict[str, Any] = {name: text for name, text in options.items() if text is not None}
        for name, file in (("prices", prices), ("stock", stock)):
            if file is not None:
                with opened(file, f"--{name}") as source:
                    question[name] = read_order_file(name, source)
        with opened(lines) as source:
            question["lines"] = read_order_file("json" if lines.lower().endswith(".json") else "lines", source)
        answer = client.order(**question)
        with target_of(out) as target:
            target.write(_written(answer, chosen, why=why, colour=out is None and has_colour(sys.stdout)))
    totals = answer["totals"]
    if totals["lines_rejected"]:
        typer.echo(f"{totals['lines_rejected']} of {totals['lines_in']} lines rejected: see their problem", err=True)
        raise typer.Exit(Exit.ROWS_REFUSED)


def _written(answer: Mapping[str, Any], form: OrderFormat, *, why: bool, colour: bool) -> bytes:
    if form is OrderFormat.XLSX:
        return order_as_xlsx(answer)
    if form is OrderFormat.JSON:
        return (json.dumps(answer, indent=2, ensure_ascii=False) + "\n").encode()
    if form is OrderFormat.CSV:
        return as_csv("order", answer).encode()
    return as_text("order", answer, why=why, colour=colour).encode()
