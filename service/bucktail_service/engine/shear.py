"""What the driven shank carries in single shear. Tables: shear, material_strength, holes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.holes import Holes
from bucktail_tables.model import Edition, Row


@dataclass(frozen=True, slots=True)
class Shear:
    """Single shear of one driven rivet [lbf], the temper it holds for, and the row behind it."""

    pounds: Fraction
    temper: str
    row: Row
    estimated: bool


def single_shear(material: Row, fraction: str, holes: Holes, edition: Edition) -> Shear | None:
    """Return the ultimate single shear of a driven rivet. [lbf]

    Without a tabulated figure it is stress x area of the nominal hole, as MIL-HDBK-5H page 8-9 bases its tables,
    and says that it is an estimate; None when there is neither.
    """
    row = edition["shear"].find(material.text("alloy"), "driven", fraction)
    if row is not None:
        return Shear(row.number("single_shear_lbf"), row.text("temper"), row, estimated=False)
    stress = edition["material_strength"].find(material.text("alloy"))
    if stress is None or holes.strength is None:
        return None
    pounds = float(stress.number("shear_psi")) * math.pi / 4 * float(holes.strength.diameter) ** 2
    return Shear(Fraction(round(pounds)), material.text("driven_temper"), stress, estimated=True)
