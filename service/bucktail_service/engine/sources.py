"""The ledger of an answer: which figure came from which row."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from bucktail_tables.model import Row

UNCERTAIN = frozenset({"memory", "estimated"})


class Ledger:
    """Collects figures by the row they came from, in the order they were cited."""

    def __init__(self) -> None:
        self._figures: dict[int, list[str]] = {}
        self._rows: dict[int, Row] = {}
        self._others: list[dict[str, Any]] = []

    def cite(self, row: Row, *figures: str) -> None:
        """Write down that *figures* rest on *row*."""
        self._rows[id(row)] = row
        self._figures.setdefault(id(row), []).extend(figures)

    def cite_again(self, sources: Iterable[Mapping[str, Any]], *parts: str) -> None:
        """Write down that *parts* of this answer rest on the sources of another answer."""
        self._others += [{**source, "figures": list(parts)} for source in sources]

    def rests_on_doubt(self) -> bool:
        """True when a figure rests on memory or an estimate."""
        own = any(row.basis in UNCERTAIN for row in self._rows.values())
        return own or any(source["basis"] in UNCERTAIN for source in self._others)

    def as_list(self) -> list[dict[str, Any]]:
        """Return the sources block of an answer."""
        return [
            {
                "figures": figures,
                "document": self._rows[key].document,
                "place": self._rows[key].place,
                "basis": self._rows[key].basis,
                "table": self._rows[key].table,
                "row": list(self._rows[key].key),
                **({"house": self._rows[key].house} if self._rows[key].house else {}),
            }
            for key, figures in self._figures.items()
        ] + self._others
