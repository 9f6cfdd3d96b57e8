"""What an installed fastener chosen by grip is held to, and what to look for. Table: grip_inspection."""

from __future__ import annotations

from collections.abc import Container

from bucktail_service.engine.blocks import Block
from bucktail_service.engine.sources import Ledger
from bucktail_tables.model import Edition, Row


def inspection_block(fasteners: Container[str], edition: Edition, ledger: Ledger) -> list[Block] | None:
    """Return the inspection limits of some kinds of fastener, in the table's order; None where there are none.

    Args:
        fasteners: Kinds as grip_inspection names them: `blind`, `locked`, `break-stem`, `blind-bolt`, `bolt`, `pin`.
        edition: The tables to read.
        ledger: Takes down the rows.
    """
    rows = [row for row in edition["grip_inspection"] if row.text("fastener") in fasteners]
    for row in rows:
        ledger.cite(row, "inspection")
    return [_limit(row) for row in rows] or None


def blind_kinds(standard: Row) -> tuple[str, ...]:
    """Return which kinds of grip_inspection a blind rivet of a standard is."""
    if standard.text("ladder") == "break-stem":
        return ("blind", "break-stem")
    # a pull-stem rivet has the holes of a locked one, but no collar that locks its stem
    return ("blind", "locked") if "locked spindle" in standard.text("kind") else ("blind",)


def _limit(row: Row) -> Block:
    value = row.maybe("value")
    return {
        "limit": row.text("limit"),
        "kind": row.text("kind"),
        "value": None if value is None else float(value),
        "unit": row.text("unit") or None,
        "text": row.text("text"),
    }
