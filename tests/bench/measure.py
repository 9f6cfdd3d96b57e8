"""Figures, rounds that alternate, and the table at the end."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from statistics import median


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the table. *target* is a most, or with *at_least* a least; None is for information."""

    part: str
    what: str
    value: float
    unit: str
    target: float | None = None
    at_least: bool = False
    note: str = ""

    @property
    def verdict(self) -> str:
        if self.target is None:
            return ""
        reached = self.value >= self.target if self.at_least else self.value <= self.target
        return "yes" if reached else "NO"

    @property
    def wanted(self) -> str:
        return "" if self.target is None else f"{'>=' if self.at_least else '<='} {self.target:g}"


@dataclass(frozen=True, slots=True)
class Rounds:
    """What each task came to, round by round."""

    seen: dict[str, list[float]]

    def typical(self, name: str) -> float:
        return median(self.seen[name])

    def ratio(self, name: str, base: str) -> float:
        """Return the median of the rounds' ratios: neighbours in time share what else the machine does."""
        return median(one / other for one, other in zip(self.seen[name], self.seen[base], strict=True))


def interleaved(rounds: int, tasks: Mapping[str, Callable[[], float]]) -> Rounds:
    """Run each task once a round, tasks taking turns so that a busy moment hits all alike."""
    seen: dict[str, list[float]] = {name: [] for name in tasks}
    for number in range(rounds):
        order = list(tasks)
        for name in order if number % 2 == 0 else reversed(order):
            seen[name].append(tasks[name]())
    return Rounds(seen)


def compiled(folder: Path) -> dict[str, str]:
    """Return this environment as an ordinary one, whose compiled modules are kept (in *folder*)."""
    kept = {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": str(folder / "pyc")}


def as_table(figures: list[Figure]) -> str:
    """Return the figures as lines of one width for each column."""
    rows = [("part", "what", "measured", "target", "reached", "")]
    rows += [
        (figure.part, figure.what, f"{figure.value:.2f} {figure.unit}", figure.wanted, figure.verdict, figure.note)
        for figure in figures
    ]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines = ["  ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    return "\n".join([lines[0], "-" * max(map(len, lines)), *lines[1:]])
