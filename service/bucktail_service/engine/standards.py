"""Which head standard and alloy a question means. Tables: standards, aliases, offered, materials."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from bucktail_service.engine.errors import NotTabulated
from bucktail_tables.model import Edition, Row


@dataclass(frozen=True, slots=True)
class Choice:
    """A head standard in an alloy: the rows that say so, and the superseded number asked for, if one was."""

    standard: Row
    offered: Row
    material: Row
    alias: Row | None

    @property
    def is_flush(self) -> bool:
        """True for countersunk heads."""
        return self.standard.text("cone_angle_deg") != ""


def choose_standard(head: str, alloy: str, edition: Edition) -> Choice:
    """Return the standard that gives *head* in *alloy*.

    Args:
        head: A head name (`universal`), or a standard's number, current or superseded (`MS20470`, `AN470`).
        alloy: The letters of the part numbers (`AD`) or the alloy (`2117`, `2117-T4`), in any case.

    Raises:
        NotTabulated: The head or the alloy is not in the edition, or no standard of it offers both together.
    """
    materials = _find_materials(alloy, edition)
    standards, alias = _find_standards(head, edition)
    for standard in standards:
        for material in materials:
            offered = edition["offered"].find(standard.text("standard"), material.text("alloy"))
            if offered is not None:
                return Choice(standard, offered, material, alias)
    names = {standard.text("standard") for standard in standards}
    alloys = [row.text("alloy") for row in edition["offered"] if row.text("standard") in names]
    offers = ", ".join(dict.fromkeys(alloys))
    raise NotTabulated("alloy", f"{head} is not offered in {alloy} in this edition", f"one of {offers}")


def _find_materials(alloy: str, edition: Edition) -> list[Row]:
    wanted = alloy.strip().casefold()
    row = next((row for row in edition["materials"] if row.text("alloy").casefold() == wanted), None)
    if row is not None:
        return [row]
    rows = [row for row in edition["materials"] if wanted in _material_names(row)]
    if not rows:
        known = ", ".join(row.text("alloy") for row in edition["materials"])
        raise NotTabulated("alloy", f"{alloy!r} is not a rivet alloy of this edition", f"AD or 2117; letters: {known}")
    return rows


def _material_names(row: Row) -> set[str]:
    return {row.text("number").casefold(), row.text("name").casefold()}


def _find_standards(head: str, edition: Edition) -> tuple[list[Row], Row | None]:
    wanted = head.strip()
    rows = [
        row for row in edition["standards"] if row.text("head") == wanted.casefold() and not row.flag("repair_only")
    ]
    if rows:
        return rows, None
    number = wanted.upper()
    alias = edition["aliases"].find(number)
    row = edition["standards"].find(number if alias is None else alias.text("standard"))
    if row is None:
        heads = ", ".join(dict.fromkeys(row.text("head") for row in edition["standards"]))
        raise NotTabulated(
            "head", f"{head!r} is neither a head nor a head standard of this edition", f"MS20470 or one of {heads}"
        )
    return [row], alias


def is_solid_head(head: str, edition: Edition) -> bool:
    """Return whether *head* names a head or a head standard of solid rivets, in any case."""
    return head.casefold() in _solid_heads(edition)


@lru_cache(maxsize=32)
def _solid_heads(edition: Edition) -> frozenset[str]:
    return frozenset(name.casefold() for name in head_names(edition))


def head_names(edition: Edition) -> list[str]:
    """Return every head name and standard number a question may use."""
    names = [row.text("head") for row in edition["standards"]]
    names += [row.text("standard") for row in edition["standards"]]
    names += [row.text("alias") for row in edition["aliases"]]
    return list(dict.fromkeys(names))


def alloy_names(edition: Edition) -> list[str]:
    """Return every alloy letter, number and name a question may use."""
    names = [row.text("alloy") for row in edition["materials"]]
    names += [row.text("number") for row in edition["materials"]]
    names += [row.text("name") for row in edition["materials"]]
    return list(dict.fromkeys(names))
