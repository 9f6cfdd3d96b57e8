"""The figures of an answer as text, document by document."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby
from typing import Any

from bucktail_service.text.common import (
    LEGEND,
    MARKS,
    PLAIN,
    Answer,
    Style,
    caution_lines,
    hanging,
    title,
)

_UNITS = {
    "in": "in",
    "mm": "mm",
    "lbf": "lbf",
    "n": "N",
    "g": "g",
    "in_lb": "in-lb",
    "n_m": "N m",
    "deg": "degrees",
}


def cite_text(answer: Answer, *, style: Style = PLAIN) -> str:
    """Return the figures of an answer under the documents they were read in."""
    edition = answer["edition"]
    counts = ", ".join(f"{count} {basis}" for basis, count in answer["basis"].items())
    lines = [
        *title(answer["title"], style),
        hanging("", f"figures by basis: {counts}"),
        *_documents(answer, style),
        *caution_lines(answer["cautions"], style),
        "",
        style.dim(LEGEND),
        style.dim(f"edition {edition['name']}, sha256 {edition['sha256'][:12]}"),
        style.dim(answer["cited"]),
    ]
    return "\n".join(lines) + "\n"


def _documents(answer: Answer, style: Style) -> list[str]:
    grouped: dict[tuple[str, str, str], list[Answer]] = {}
    for figure in answer["figures"]:
        grouped.setdefault((figure["document"], figure["place"], figure["basis"]), []).append(figure)
    lines = ["", "SOURCES"]
    for (document, place, basis), figures in grouped.items():
        lines.append(hanging(f"  {MARKS[basis]} ", f"{document}, {place}" if place else document))
        by_row = groupby(figures, lambda figure: f"{figure['table']} {'/'.join(figure['row'])}{_house(figure)}")
        for row, shared in by_row:
            lines += [_line(figure) for figure in shared]
            lines.append(style.dim(hanging(" " * 8, f"from {row}")))
    return lines


def _house(figure: Answer) -> str:
    return f", house tables {figure['house']}" if "house" in figure else ""


def _line(figure: Answer) -> str:
    """Return a figure and its values; a whole block has none, a figure the tables do not hold a dash."""
    told = ", ".join(filter(None, (_value(figure["figure"], entry) for entry in figure["values"])))
    lead = f"      {figure['figure']:<30} "
    return hanging(lead, told or "-") if figure["values"] else lead.rstrip()


def _value(figure: str, entry: Mapping[str, Any]) -> str:
    value = entry["value"]
    if value is None:
        return ""
    unit = _UNITS.get(entry["name"].removeprefix(figure.rpartition(".")[2]).removeprefix("_"), "")
    told = ("yes" if value else "no") if isinstance(value, bool) else str(value)
    return f"{told} {unit}".rstrip()
