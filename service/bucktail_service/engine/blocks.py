"""The blocks of an answer that a rivet fixes by itself, each with its sources written down."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from bucktail_service.engine import formed_head, mass, shear
from bucktail_service.engine.editions import house_block
from bucktail_service.engine.holes import Drill, Holes
from bucktail_service.engine.rounding import half_even, put
from bucktail_service.engine.sources import Ledger
from bucktail_service.engine.spacing import Distance
from bucktail_service.engine.standards import Choice
from bucktail_tables.model import Edition, Row

Block = dict[str, Any]

# what only fasteners chosen by grip have; null for solid rivets
OWN_BLOCKS = ("shank", "washers", "nut", "thread", "torque", "cotter", "collar", "inspection")
NEWTONS_PER_POUND = Fraction("4.4482216152605")


def diameter_block(row: Row, ledger: Ledger) -> Block:
    """Return the diameter block of an answer."""
    block: Block = {"dash": int(row.text("dash")), "fraction": row.text("fraction")}
    put(block, "nominal", row.number("nominal_in"))
    ledger.cite(row, "diameter")
    return block


def alloy_block(material: Row, ledger: Ledger) -> Block:
    """Return the alloy block of an answer."""
    ledger.cite(material, "alloy")
    return {
        "code": material.text("alloy"),
        "name": material.text("name"),
        "head_mark": material.text("head_mark"),
        "heat_treat": material.text("heat_treat"),
    }


def head_block(choice: Choice, row: Row | None, ledger: Ledger, missing: list[str]) -> Block:
    """Return the head block of an answer; dimensions are null where the edition has none."""
    standard = choice.standard
    block: Block = {"name": standard.text("head"), "style": standard.text("head_style")}
    put(block, "diameter", None if row is None else row.number("diameter_in"))
    put(block, "height", None if row is None else row.number("height_in"))
    angle = standard.maybe("cone_angle_deg")
    block["cone_angle_deg"] = None if angle is None else int(angle)
    ledger.cite(standard, "standard", "head.name", "head.cone_angle_deg")
    ledger.cite(choice.offered, "part_number")
    if row is None:
        missing += ["head.diameter", "head.height"]
    else:
        ledger.cite(row, "head.diameter", "head.height")
    return block


def hole_block(holes: Holes, ledger: Ledger, missing: list[str]) -> Block:
    """Return the hole block of an answer."""
    block: Block = {"pilot": _drill(holes.pilot), "final": _drill(holes.final)}
    put(block, "minimum", holes.minimum)
    put(block, "maximum", holes.maximum)
    for name, drill in (("hole.pilot", holes.pilot), ("hole.final", holes.final)):
        if drill is None:
            missing.append(name)
        else:
            ledger.cite(drill.row, name)
            ledger.cite(drill.size, f"{name}.diameter")
    if holes.minimum is None or holes.maximum is None:
        missing += ["hole.minimum", "hole.maximum"]
    else:
        ledger.cite(holes.final.row, "hole.minimum", "hole.maximum")
    return block


def _drill(drill: Drill | None) -> Block | None:
    if drill is None:
        return None
    block: Block = {"drill": drill.name}
    put(block, "diameter", drill.diameter)
    return block


def spacing_block(distances: dict[str, Distance | None], ledger: Ledger, missing: list[str]) -> Block:
    """Return the spacing block of an answer."""
    block: Block = {}
    for name, distance in distances.items():
        put(block, name, None if distance is None else distance.inches)
        if distance is None:
            missing.append(f"spacing.{name}")
        else:
            ledger.cite(distance.row, f"spacing.{name}")
    return block


def limit_block(limits: dict[str, formed_head.Limit | None], ledger: Ledger, missing: list[str]) -> Block:
    """Return the limits of the formed-head block of an answer."""
    block: Block = {}
    for name, limit in limits.items():
        put(block, name, None if limit is None else limit.inches)
        if limit is None:
            missing.append(f"formed_head.{name}")
        else:
            ledger.cite(limit.row, f"formed_head.{name}")
    return block


def strength_block(
    material: Row, fraction: str, holes: Holes, edition: Edition, ledger: Ledger, missing: list[str]
) -> Block:
    """Return the strength block of an answer: single shear [lbf, N] and the temper it holds for."""
    found = shear.single_shear(material, fraction, holes, edition)
    if found is None:
        missing.append("strength.single_shear")
        return {"single_shear_lbf": None, "single_shear_n": None, "temper": None, "basis": None}
    ledger.cite(found.row, "strength.single_shear")
    if found.estimated:
        ledger.cite(rule_row(edition, "rules", "shear_on_hole_area"), "strength.single_shear")
    pounds = found.pounds
    return {
        "single_shear_lbf": int(pounds) if pounds.denominator == 1 else float(pounds),
        "single_shear_n": half_even(pounds * NEWTONS_PER_POUND, 0),
        "temper": found.temper,
        "basis": "estimated" if found.estimated else found.row.basis,
    }


def cite_mass(rule: mass.MassRule | None, edition: Edition, choice: Choice, ledger: Ledger, missing: list[str]) -> None:
    """Write the sources of the mass block down, or that it has none."""
    if rule is None:
        missing += ["mass.each", "mass.pieces_per_lb"]
        return
    for row in rule.rows:
        ledger.cite(row, "mass.each", "mass.pieces_per_lb")
    if not choice.is_flush:
        ledger.cite(rule_row(edition, "rules", "head_volume_dome"), "mass.each", "mass.pieces_per_lb")


def edition_block(edition: Edition) -> Block:
    """Return the edition block of an answer."""
    return {"name": edition.name, "sha256": edition.sha256, "status": edition.status, **house_block(edition)}


def rule_row(edition: Edition, table: str, key: str) -> Row:
    """Return a row that the code rests on by name."""
    row = edition[table].find(key)
    assert row is not None, f"edition has no {key} in {table}"  # noqa: S101
    return row
