"""What a bolt carries, and each layer under it. Tables: grip_strength, bearing_allowables."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import NEWTONS_PER_POUND, Block, rule_row
from bucktail_service.engine.grip.blocks import Draft
from bucktail_service.engine.joints import bearing
from bucktail_service.engine.rounding import half_even, put
from bucktail_tables.model import Edition, Row

_QUARTER_PI = Fraction(math.pi) / 4
_READ = frozenset({"published", "second-hand"})


@dataclass(frozen=True, slots=True)
class BoltStrength:
    """What a bolt carries, and how well that is known.

    Attributes:
        row: Row of grip_strength.
        single_shear: As printed, else the stress on the nominal shank. [lbf]
        tension: As printed; None where it is not. [lbf]
        computed: True where the shear is the stress on the nominal shank.
    """

    row: Row
    single_shear: Fraction
    tension: Fraction | None
    computed: bool

    @property
    def basis(self) -> str:
        """How well the shear is known; what is worked out is no better than derived."""
        return "derived" if self.computed and self.row.basis in _READ else self.row.basis


def find_strength(draft: Draft) -> BoltStrength | None:
    """Return what a bolt carries; None where its standard and material have no row."""
    choice, table = draft.choice, draft.edition["grip_strength"]
    offers, alloy = choice.offered.text("offers"), choice.offered.text("alloy")
    row = table.find(offers, alloy, choice.fraction) or table.find(offers, alloy, "")
    if row is None:
        return None
    printed = row.maybe("single_shear_lbf")
    tension = row.maybe("tension_lbf")
    if printed is not None:
        return BoltStrength(row, printed, tension, computed=False)
    return BoltStrength(row, row.number("shear_psi") * _QUARTER_PI * choice.nominal**2, tension, computed=True)


def cite_strength(draft: Draft, strength: BoltStrength | None) -> None:
    """Write down where a bolt's strength comes from, and what of it has no row."""
    if strength is None:
        draft.missing += ["strength.single_shear", "strength.double_shear", "strength.tension"]
        return
    shear = ("strength.single_shear", "strength.double_shear")
    draft.ledger.cite(strength.row, *shear)
    if strength.computed:
        draft.ledger.cite(rule_row(draft.edition, "rules", "bolt_shear_area"), *shear)
    if strength.tension is None:
        draft.missing.append("strength.tension")
    else:
        draft.ledger.cite(strength.row, "strength.tension")


def bearing_blocks(draft: Draft) -> list[Block]:
    """Return what each layer whose material is named carries under one bolt, at the least edge distance known."""
    blocks = []
    for layer in draft.question.stack.layers:
        if layer.material is None:
            continue
        thickness = layer.thickness.inches
        found = bearing(draft.choice.nominal, thickness, None, layer.material, draft.edition)
        for row in found.rows:
            draft.ledger.cite(row, "strength.bearing")
        if found.pounds is None:
            draft.missing.append("strength.bearing.bearing")
            draft.codes.append(_why_unknown(found.rows, draft.edition))
        block: Block = {"material": layer.material}
        put(block, "thickness", thickness)
        block["bearing_lbf"] = None if found.pounds is None else half_even(found.pounds, 0)
        block["bearing_n"] = None if found.pounds is None else half_even(found.pounds * NEWTONS_PER_POUND, 0)
        blocks.append({**block, "note": found.note})
    return blocks


def _why_unknown(rows: tuple[Row, ...], edition: Edition) -> str:
    thinnest = rule_row(edition, "rules", "bearing_thinnest")
    return "bearing-test" if thinnest in rows else "bearing-unknown"
