"""Every figure of an answer with its value and the row it rests on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

_SOURCE = ("document", "place", "basis", "table", "row", "house")  # the last of house tables alone
# what the name of a figure ends in, in an answer's blocks; more than one where a figure is told in two units
UNITS = ("in", "mm", "lbf", "n", "g", "in_lb", "n_m", "deg")


def cite(answer: Mapping[str, Any]) -> dict[str, Any]:
    """Return the figures an answer's sources name, in their order, with document, place, basis and row.

    A figure that rests on several rows stands once for each. The name of a whole block stands for all that is in it.
    """
    figures = [
        {
            "figure": figure,
            "values": values(answer, figure),
            **{name: source[name] for name in _SOURCE if name in source},
        }
        for source in answer["sources"]
        for figure in dict.fromkeys(source["figures"])
    ]
    return {
        "title": answer["part_number"] or answer["standard"],
        "cited": answer["link"],
        "figures": figures,
        "basis": dict(sorted(Counter(figure["basis"] for figure in figures).items())),
        "cautions": answer["cautions"],
        "edition": answer["edition"],
    }


def values(answer: Mapping[str, Any], figure: str) -> list[dict[str, Any]]:
    """Return the values of a figure by the names they have in its block: `hole.minimum` is minimum_in and minimum_mm.

    A list of texts is one value, parted by blanks. A block gives what is in it, `final.drill`; a list of blocks counts
    them, `inspection.1.value`. What is not there gives nothing.
    """
    *path, last = figure.split(".")
    blocks: list[Any] = [answer]
    for name in path:
        found = [block[name] for block in blocks if isinstance(block, Mapping) and block.get(name) is not None]
        blocks = [entry for value in found for entry in (value if isinstance(value, list) else [value])]
    return [entry for block in blocks if isinstance(block, Mapping) for entry in _members(block, last)]


def _members(block: Mapping[str, Any], name: str) -> list[dict[str, Any]]:
    names = [name] if name in block else [f"{name}_{unit}" for unit in UNITS if f"{name}_{unit}" in block]
    return [entry for member in names for entry in _leaves(member, block[member])]


def _leaves(name: str, value: Any) -> list[dict[str, Any]]:
    """Return a value under its name, or what a block or a list of blocks holds."""
    if isinstance(value, Mapping):
        return [entry for key, inner in value.items() for entry in _leaves(f"{name}.{key}", inner)]
    if isinstance(value, list) and not all(isinstance(entry, str) for entry in value):
        return [entry for at, inner in enumerate(value, start=1) for entry in _leaves(f"{name}.{at}", inner)]
    return [{"name": name, "value": " ".join(value) or None if isinstance(value, list) else value}]
