"""What can be said of an edition as a whole."""

from __future__ import annotations

from collections import Counter
from typing import Any

from bucktail_tables.load import default_name, edition_names, load_edition, superseded
from bucktail_tables.model import Edition


def describe(edition: Edition, default: str) -> dict[str, Any]:
    """Return an edition's name, status, digest, tables and how well its rows are known."""
    bases: Counter[str] = Counter(row.basis for table in edition.tables.values() for row in table)
    return {
        "name": edition.name,
        "status": edition.status,
        "default": edition.name == default,
        "sha256": edition.sha256,
        "title": edition.title,
        "practices": [row.text("practice") for row in edition["practices"]],
        "tables": [{"name": table.name, "title": table.title, "rows": len(table)} for table in edition.tables.values()],
        "basis": dict(sorted(bases.items())),
        **house_block(edition),
    }


def house_block(edition: Edition) -> dict[str, Any]:
    """Return what only a house edition has: the edition it extends, and the tables its own rows stand in."""
    base = edition.extends
    if base is None:
        return {}
    return {"extends": {"name": base.name, "sha256": base.sha256}, "house_tables": list(edition.house_tables)}


def describe_all() -> dict[str, Any]:
    """Return every installed edition, oldest first, and which one answers by default."""
    default = default_name()
    return {"default": default, "editions": [_listed(name, default) for name in edition_names()]}


def _listed(name: str, default: str) -> dict[str, Any]:
    """Return an edition as the list shows it: since when another has taken its place too."""
    found = superseded(name)
    return {**describe(load_edition(name), default), "superseded": None if found is None else found[0].isoformat()}
