"""Two metals in contact: their groups, whether they may touch, which one is eaten, how they are kept apart.

Tables: galvanic_groups, galvanic_members, galvanic_compatibility, galvanic_protection; materials for rivet alloys.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from bucktail_tables.model import Edition, Row

ENVIRONMENTS = ("marine", "seawater", "industrial")
DEFAULT_ENVIRONMENT = "marine"

_ALLOY = re.compile(r"[1-35-8][0-9]{3}", re.ASCII)  # 4130 and 4340 are steels
_TEMPER = re.compile(r"([0-9]{4})-?[a-z][a-z0-9]*", re.ASCII)
_SAYS_NOTHING = frozenset({"alloy", "bare", "rivet", "sheet"})
_SAID_BY_NUMBER = _SAYS_NOTHING | {"aluminium", "aluminum"}  # where an aluminium alloy's number stands beside it
_ADVICE = ("separation", "fastener", "finish")


@dataclass(frozen=True, slots=True)
class Pair:
    """What the tables say of two metals in contact.

    Attributes:
        compatible: Whether they may touch in the environment asked about.
        corrodes: The more anodic of the two, as it was named; None when both are of one group.
        first_group: Letter of the first metal's group.
        second_group: Letter of the second's.
        everywhere: Whether they may touch, by environment.
        rows: The rows all this rests on.
        advice: How to separate, fasten and finish the two.
    """

    compatible: bool
    corrodes: str | None
    first_group: str
    second_group: str
    everywhere: Mapping[str, bool]
    rows: tuple[Row, ...]
    advice: tuple[str, ...]


def judge_pair(first: str, second: str, environment: str, edition: Edition) -> Pair | None:
    """Return what the tables say of two metals in contact, or None when one of them is unknown.

    Args:
        first: A metal, an alloy with or without its temper, or the letters of a rivet alloy.
        second: The other one; the order changes nothing.
        environment: One of `ENVIRONMENTS`.
        edition: The tables to read.
    """
    one, other = find_member(first, edition), find_member(second, edition)
    if one is None or other is None:
        return None
    couple = couple_row(one, other, edition)
    everywhere = compatible_in(couple)
    anode = more_anodic(one, other, edition)
    rules = protection(one, other, environment, edition)
    return Pair(
        everywhere[environment],
        None if anode is None else (first if anode is one else second),
        one.text("group"),
        other.text("group"),
        everywhere,
        (one, other, couple, *rules),
        tuple(map(tell, rules)),
    )


def tell(rule: Row) -> str:
    """Return a rule of galvanic_protection in words: what it is about, and what it says."""
    return f"{rule.text('topic')}: {rule.text('text')}"


def find_member(name: str, edition: Edition) -> Row | None:
    """Return the row of galvanic_members that *name* means, its temper set aside; None when it is unknown."""
    known = _members(edition)
    words = name.casefold().split()
    plain = [_TEMPER.sub(r"\1", word) if _TEMPER.fullmatch(word) else word for word in words]
    idle = _SAID_BY_NUMBER if any(map(_ALLOY.fullmatch, plain)) else _SAYS_NOTHING
    bare = [word for word in plain if word not in idle]
    spellings = (" ".join(spelling) for spelling in (words, plain, bare))
    return next((known[spelling] for spelling in spellings if spelling in known), None)


@lru_cache(maxsize=32)
def _members(edition: Edition) -> dict[str, Row]:
    """Return every name a metal goes by: its own, its others, and those of the rivet alloys."""
    members: dict[str, Row] = {}
    for row in edition["galvanic_members"]:
        for name in (row.text("material"), *row.text("also").split("|")):
            members[name] = row
    for material in edition["materials"]:
        member = members.get(material.text("number").casefold())
        if member is not None:
            for column in ("alloy", "name"):
                members.setdefault(material.text(column).casefold(), member)
    members.pop("", None)
    return members


def more_anodic(one: Row, other: Row, edition: Edition) -> Row | None:
    """Return which of two members stands nearer the anodic end of the groups; None within a group."""
    ranks = [_group(row, edition).number("rank") for row in (one, other)]
    if ranks[0] == ranks[1]:
        return None
    return one if ranks[0] < ranks[1] else other


def _group(member: Row, edition: Edition) -> Row:
    row = edition["galvanic_groups"].find(member.text("group"))
    assert row is not None, "the loader holds members to groups"  # noqa: S101
    return row


def couple_row(one: Row, other: Row, edition: Edition) -> Row:
    """Return the row of galvanic_compatibility of two members, in whichever order it stands."""
    table, groups = edition["galvanic_compatibility"], (one.text("group"), other.text("group"))
    row = table.find(*groups) or table.find(*reversed(groups))
    assert row is not None, "the check holds a row for every pair of groups"  # noqa: S101
    return row


def compatible_in(couple: Row) -> dict[str, bool]:
    """Return whether a couple may touch, by environment; a doubtful sea water cell counts as incompatible."""
    found = {name: couple.text(name) == "C" for name in ENVIRONMENTS}
    if couple.flag("doubtful"):
        found["seawater"] = False
    return found


def protection(one: Row, other: Row, environment: str, edition: Edition) -> tuple[Row, ...]:
    """Return the rules that separate, fasten and finish a couple, in the table's order."""
    everywhere = compatible_in(couple_row(one, other, edition))
    fires = {
        "any": True,
        "similar": all(everywhere.values()),
        "dissimilar": not all(everywhere.values()),
        "incompatible": not everywhere[environment],
        "seawater": environment == "seawater",
    }
    groups = {one.text("group"), other.text("group")}
    return tuple(
        row
        for row in edition["galvanic_protection"]
        if row.text("use") in _ADVICE
        and fires[row.text("when")]
        and (not row.text("groups") or groups & set(row.words("groups")))
        and not groups & set(row.words("without"))
    )
