"""Relations of the galvanic tables: every pair of groups once, every metal in one of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations_with_replacement, pairwise

from bucktail_tables.errors import BrokenEdition
from bucktail_tables.model import Edition, Row

Flaws = Iterator[BrokenEdition]

_ENVIRONMENTS = ("marine", "seawater", "industrial")


def _flaw(row: Row, column: str, message: str) -> BrokenEdition:
    return BrokenEdition(row.table, row.line, column, message)


def galvanic_ranks_rise(edition: Edition) -> Flaws:
    """Groups and series run from anodic to cathodic, one place after the other."""
    for name in ("galvanic_groups", "galvanic_series"):
        for place, row in enumerate(edition[name], start=1):
            if row.number("rank") != place:
                yield _flaw(row, "rank", f"is not {place}, its place in the table")


def every_pair_of_groups_stands_once(edition: Edition) -> Flaws:
    """The compatibility table is total over its groups and, each pair standing once, symmetric."""
    groups = [row.text("group") for row in edition["galvanic_groups"]]
    wanted = set(combinations_with_replacement(groups, 2))
    for row in edition["galvanic_compatibility"]:
        if row.key not in wanted:
            yield _flaw(row, "cathodic", f"{row.text('cathodic')} stands before {row.text('anodic')} in the groups")
    for pair in sorted(wanted - set(edition["galvanic_compatibility"].by_key)):
        yield BrokenEdition("galvanic_compatibility", None, None, f"{'/'.join(pair)} has no row")


def a_group_may_touch_itself(edition: Edition) -> Flaws:
    """Metals of one group are compatible in every environment."""
    for row in edition["galvanic_compatibility"]:
        if row.text("anodic") == row.text("cathodic"):
            for column in _ENVIRONMENTS:
                if row.text(column) != "C":
                    yield _flaw(row, column, "a group is not compatible with itself")


def sea_water_is_never_milder_than_air(edition: Edition) -> Flaws:
    """A couple that may not touch in marine air may not in sea water; cells printed so are marked doubtful."""
    for row in edition["galvanic_compatibility"]:
        milder = row.text("seawater") == "C" and "I" in (row.text("marine"), row.text("industrial"))
        if milder != row.flag("doubtful"):
            yield _flaw(row, "doubtful", "is set where sea water is milder than air, and only there")


def lead_never_touches_aluminium_copper(edition: Edition) -> Flaws:
    """Lead against an aluminium-copper alloy is incompatible in every environment."""
    lead, copper = (edition["galvanic_members"].find(name) for name in ("lead", "2024"))
    row = None
    if lead is not None and copper is not None:
        row = edition["galvanic_compatibility"].find(copper.text("group"), lead.text("group"))
    if row is None:
        yield BrokenEdition("galvanic_compatibility", None, None, "2024 against lead has no row")
        return
    for column in _ENVIRONMENTS:
        if row.text(column) != "I":
            yield _flaw(row, column, "lead may not touch an aluminium-copper alloy")


def members_are_named_once(edition: Edition) -> Flaws:
    """No name means two metals, and every name is written as it is looked up: small letters, single blanks."""
    seen: set[str] = set()
    for row in edition["galvanic_members"]:
        for column in ("material", "also"):
            for name in filter(None, row.text(column).split("|")):
                if name != " ".join(name.casefold().split()):
                    yield _flaw(row, column, f"{name!r} is not in small letters with single blanks")
                if name in seen:
                    yield _flaw(row, column, f"{name} stands twice")
                seen.add(name)


def members_point_at_their_figures(edition: Edition) -> Flaws:
    """A potential or a rank that a metal names is there."""
    for row in edition["galvanic_members"]:
        for column, table in (("potential", "galvanic_potentials"), ("series", "galvanic_series")):
            name = row.text(column)
            if name and edition[table].find(name) is None:
                yield _flaw(row, column, f"{name} is not in {table}")


def layers_and_rivets_have_a_group(edition: Edition) -> Flaws:
    """Every layer material, under each of its names, and every rivet alloy is a member."""
    known = {
        name for row in edition["galvanic_members"] for name in (row.text("material"), *row.text("also").split("|"))
    }
    for row in edition["layer_materials"]:
        for name in filter(None, (row.text("material"), *row.text("also").split("|"))):
            if name not in known:
                yield _flaw(row, "material", f"{name} is not in galvanic_members")
    for row in edition["materials"]:
        if row.text("number").casefold() not in known:
            yield _flaw(row, "number", f"{row.text('number')} is not in galvanic_members")


def protection_names_groups(edition: Edition) -> Flaws:
    """The groups a rule is for, or not for, are groups."""
    for row in edition["galvanic_protection"]:
        for column in ("groups", "without"):
            for group in row.words(column):
                if edition["galvanic_groups"].find(group) is None:
                    yield _flaw(row, column, f"{group} is not in galvanic_groups")


def potentials_rise(edition: Edition) -> Flaws:
    """Potentials run from anodic to cathodic, as the source lists them."""
    for before, after in pairwise(edition["galvanic_potentials"]):
        if after.number("potential_v") < before.number("potential_v"):
            yield _flaw(after, "potential_v", f"falls below {before.text('potential_v')}")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    galvanic_ranks_rise,
    every_pair_of_groups_stands_once,
    a_group_may_touch_itself,
    sea_water_is_never_milder_than_air,
    lead_never_touches_aluminium_copper,
    members_are_named_once,
    members_point_at_their_figures,
    layers_and_rivets_have_a_group,
    protection_names_groups,
    potentials_rise,
)
