"""Metals that a question names, and two of them in contact: the rows that judge them.

Tables: galvanic_groups, galvanic_members, galvanic_potentials, galvanic_series.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from bucktail_service.engine.errors import NoAnswer, NotTabulated
from bucktail_service.engine.galvanic import compatible_in, couple_row, find_member, more_anodic, protection
from bucktail_service.engine.lengths import shown
from bucktail_tables.model import Edition, Row

MATERIALS_EXAMPLE = "2117 + lead or 2024-T3 + 6061-T6 + stainless"
AREAS_EXAMPLE = "small+large or 0.03+12"


@dataclass(frozen=True, slots=True)
class Areas:
    """How much of each metal lies bare to the wet, in the order of the materials.

    Attributes:
        sizes: In any one unit; where only words were given, a small part is 1 and a large one 2.
        measured: Whether the sizes are figures, so that their ratio means something.
    """

    sizes: tuple[Fraction, ...]
    measured: bool


@dataclass(frozen=True, slots=True)
class CoupleQuestion:
    """May these metals touch?

    Attributes:
        materials: Two or more, as named.
        environment: One of `galvanic.ENVIRONMENTS`; marine air when None.
        areas: One for each material.
    """

    materials: tuple[str, ...]
    environment: str | None = None
    areas: Areas | None = None


@dataclass(frozen=True, slots=True)
class Metal:
    """A metal as it was named, and its rows: group always, potential and place in the series where there are any."""

    name: str
    member: Row
    group: Row
    potential: Row | None
    place: Row | None
    area: Fraction | None

    @property
    def letter(self) -> str:
        """Letter of its group."""
        return self.group.text("group")


@dataclass(frozen=True, slots=True)
class Contact:
    """Two metals in contact; the anode is None where both are of one group."""

    first: Metal
    second: Metal
    couple: Row
    everywhere: dict[str, bool]
    anode: Metal | None
    cathode: Metal | None
    rules: tuple[Row, ...]

    @property
    def name(self) -> str:
        """Both names."""
        return f"{self.first.name} + {self.second.name}"

    @property
    def difference_v(self) -> Fraction | None:
        """How far apart the two lie in sea water; None where one of them has no potential. [V]"""
        one, other = self.first.potential, self.second.potential
        if one is None or other is None:
            return None
        return abs(one.number("potential_v") - other.number("potential_v"))

    @property
    def small(self) -> str | None:
        """Which of the two is the small part, `anode` or `cathode`; `neither`, or None when that cannot be said."""
        if self.anode is None or self.cathode is None or self.anode.area is None or self.cathode.area is None:
            return None
        if self.anode.area == self.cathode.area:
            return "neither"
        return "anode" if self.anode.area < self.cathode.area else "cathode"

    def ordered_otherwise(self) -> list[tuple[str, Metal]]:
        """Return which other figures take the cathode for the more anodic one: `series`, `potentials`."""
        anode, cathode = self.anode, self.cathode
        if anode is None or cathode is None:
            return []
        found = []
        for name, one, other, column in (
            ("series", anode.place, cathode.place, "rank"),
            ("potentials", anode.potential, cathode.potential, "potential_v"),
        ):
            if one is not None and other is not None and one.number(column) > other.number(column):
                found.append((name, cathode))
        return found


def find_metals(question: CoupleQuestion, edition: Edition) -> tuple[Metal, ...]:
    """Return the metals of a question.

    Raises:
        NotTabulated: One of them is in no group; every one is named, and all that are known.
        NoAnswer: There are not as many areas as metals.
    """
    names, areas = question.materials, question.areas
    if areas is not None and len(areas.sizes) != len(names):
        raise NoAnswer("areas", f"{len(areas.sizes)} areas stand against {len(names)} materials", AREAS_EXAMPLE)
    members = [find_member(name, edition) for name in names]
    unknown = dict.fromkeys(name for name, member in zip(names, members, strict=True) if member is None)
    if unknown:
        told = ", ".join(map(shown, unknown))
        known = ", ".join(row.text("material") for row in edition["galvanic_members"])
        raise NotTabulated("materials", f"no galvanic group is known for {told}; known: {known}", MATERIALS_EXAMPLE)
    sizes: Sequence[Fraction | None] = (None,) * len(names) if areas is None else areas.sizes
    return tuple(
        _metal(name, member, size, edition)
        for name, member, size in zip(names, members, sizes, strict=True)
        if member is not None
    )


def _metal(name: str, member: Row, area: Fraction | None, edition: Edition) -> Metal:
    group = edition["galvanic_groups"].find(member.text("group"))
    assert group is not None, "the loader holds members to groups"  # noqa: S101
    potential = edition["galvanic_potentials"].find(member.text("potential"))
    return Metal(name, member, group, potential, edition["galvanic_series"].find(member.text("series")), area)


def contacts(metals: Sequence[Metal], environment: str, edition: Edition) -> list[Contact]:
    """Return every two of the metals in contact, in their order."""
    return [_contact(one, other, environment, edition) for one, other in combinations(metals, 2)]


def _contact(one: Metal, other: Metal, environment: str, edition: Edition) -> Contact:
    couple = couple_row(one.member, other.member, edition)
    row = more_anodic(one.member, other.member, edition)
    anode, cathode = (None, None) if row is None else (one, other) if row is one.member else (other, one)
    rules = protection(one.member, other.member, environment, edition)
    return Contact(one, other, couple, compatible_in(couple), anode, cathode, rules)
