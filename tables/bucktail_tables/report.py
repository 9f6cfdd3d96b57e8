"""How well an edition is known, as text: per table rows, documents and bases, relations, and the rows left aside."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from bucktail_tables import checks_bolts, checks_grip, checks_truth
from bucktail_tables.flaws import Flaws
from bucktail_tables.load import BASES
from bucktail_tables.model import Edition, Row, Table

WIDTH = 80
_SHORT = {"published": "publ", "second-hand": "2nd", "derived": "deriv", "memory": "mem", "estimated": "estim"}
_ABOUT = (
    "docs: distinct documents. publ: read in the document named. 2nd: read where another document quotes it."
    " deriv: worked out from what was read. mem: from memory. estim: an estimate. rel: relations that hold against"
    " the table, each counted at every table it reads."
)
_Checks = Sequence[Callable[[Edition], Flaws]]


class _Watched(Mapping[str, Table]):
    """Tables that note which of them were read."""

    def __init__(self, tables: Mapping[str, Table]) -> None:
        self._tables = tables
        self.read: set[str] = set()

    def __getitem__(self, name: str) -> Table:
        self.read.add(name)
        return self._tables[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._tables)

    def __len__(self) -> int:
        return len(self._tables)


def report(edition: Edition, checks: _Checks) -> str:
    """Return the report on *edition*, at most 80 columns wide."""
    held, broken = _relations(edition, checks)
    lines = [f"{edition.name} ({edition.status})", f"sha256 {edition.sha256}", "", _heading()]
    lines += [_line(table.name, table.rows, str(held[table.name])) for table in edition.tables.values()]
    every = [row for table in edition.tables.values() for row in table]
    lines += ["", _line(f"{len(edition.tables)} tables", every, ""), _shares(every), ""]
    lines += textwrap.wrap(_ABOUT, WIDTH)
    lines += ["", f"{len(checks) - len(broken)} of {len(checks)} relations hold"]
    lines += [f"  does not hold: {name}" for name in broken]
    lines += ["", *_left_aside(edition)]
    return "\n".join(lines) + "\n"


def _relations(edition: Edition, checks: _Checks) -> tuple[Counter[str], list[str]]:
    """Return how many relations hold against each table, and the names of those that do not hold."""
    held: Counter[str] = Counter()
    broken = []
    for check in checks:
        watched = _Watched(edition.tables)
        try:
            whole = not list(check(replace(edition, tables=watched)))
        except (ArithmeticError, LookupError, TypeError, ValueError):  # a table too odd for it: see check.py
            whole = False
        if whole:
            held.update(watched.read)
        else:
            broken.append(check.__name__)
    return held, broken


def _heading() -> str:
    return _columns("table", "rows", "docs", [_SHORT[basis] for basis in BASES], "rel")


def _line(name: str, rows: Sequence[Row], relations: str) -> str:
    bases = Counter(row.basis for row in rows)
    documents = len({row.document for row in rows})
    return _columns(name, str(len(rows)), str(documents), [str(bases[basis]) for basis in BASES], relations)


def _columns(name: str, rows: str, documents: str, bases: Sequence[str], relations: str) -> str:
    return f"{name:<23}{rows:>6}{documents:>6}{''.join(f'{basis:>7}' for basis in bases)}{relations:>6}".rstrip()


def _shares(rows: Sequence[Row]) -> str:
    bases = Counter(row.basis for row in rows)
    return _columns("percent", "", "", [f"{100 * bases[basis] / len(rows):.1f}" for basis in BASES], "")


def _left_aside(edition: Edition) -> list[str]:
    """Return the rows that a relation leaves aside, each with its document and what is otherwise."""
    entries = [(row, why) for row, why in _exceptions(edition) if row is not None]
    lines = [f"{len(entries)} rows a relation leaves aside: held to what their document prints"]
    for row, why in entries:
        place = f", {row.place}" if row.place else ""
        head = f"{row.table} {' '.join(row.key)}"
        text = f"{why}. {row.document}{place} ({row.basis})"
        lines += textwrap.wrap(head, WIDTH, initial_indent="  ", subsequent_indent="    ")
        lines += textwrap.wrap(text, WIDTH, initial_indent="    ", subsequent_indent="    ")
    return lines


def _exceptions(edition: Edition) -> Iterator[tuple[Row | None, str]]:
    for entry in checks_truth.EXCEPTIONS:
        yield edition[entry.table].find(*entry.key), f"{entry.column} {entry.printed}: {entry.why}"
    for key, (drill, least) in checks_grip._DRILL_UNDER_LEAST.items():
        text = f"drill {float(drill)}: under its least hole, {float(least)}"
        yield edition["grip_holes"].find(*key), text
    for key, (grip, length) in checks_bolts._SHORTEST.items():
        text = f"grip {float(grip)}, length {float(length)}: the shortest dash keeps to no ladder"
        yield edition["bolt_grips"].find(*key), text
    yield edition["thin_sheet_factors"].find("single", "3/8", "0.1"), "factor 0.972: the formula gives 0.970"
    for row in edition["galvanic_compatibility"]:
        if row.flag("doubtful"):
            yield row, "milder in sea water than in air: answered as incompatible"
