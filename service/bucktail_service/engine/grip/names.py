"""Names of the nuts a question may use. Table: nuts."""

from __future__ import annotations

from bucktail_tables.model import Edition, Row


def nut_names(edition: Edition) -> list[str]:
    """Return every number of a nut that a question may use."""
    names = [row.text("nut") for row in edition["nuts"]]
    return names + [also for row in edition["nuts"] for also in row.text("also").split("|") if also]


def find_nut(name: str, edition: Edition) -> Row | None:
    """Return the row of a nut by one of its numbers."""
    for row in edition["nuts"]:
        if name == row.text("nut") or name in row.text("also").split("|"):
            return row
    return None
