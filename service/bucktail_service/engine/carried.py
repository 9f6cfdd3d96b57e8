"""What one fastener of a joint carries in each way it can fail, and which way governs."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from bucktail_service.engine.blocks import NEWTONS_PER_POUND, Block, rule_row, strength_block
from bucktail_service.engine.errors import OutsideTable
from bucktail_service.engine.facts import Facts
from bucktail_service.engine.joints import Bearing, Factor, bearing, thin_sheet_factor, unit_bearing
from bucktail_service.engine.lengths import Layer, Length, Stack
from bucktail_service.engine.rounding import half_even, put, say, times
from bucktail_service.engine.shear import Shear, single_shear
from bucktail_service.engine.sources import Ledger
from bucktail_service.engine.spacing import Distance
from bucktail_tables.model import Edition, Row

_STRONG = ("2024", "7075")


class Asked(Protocol):
    """The part of a joint question that the strengths rest on."""

    @property
    def stack(self) -> Stack:
        """Layers, outer one first."""

    @property
    def shear(self) -> str:
        """`single` or `double`."""

    @property
    def edge_distance(self) -> Length | None:
        """Centre to edge. [in]"""

    @property
    def preparation(self) -> str:
        """`countersunk` or `dimpled`."""


@dataclass(frozen=True, slots=True)
class Mode:
    """One way to fail: its name, the layer it is in, and the load on the fastener it comes at. [lbf]"""

    name: str
    layer: int | None
    pounds: Fraction | None


@dataclass(frozen=True, slots=True)
class Carried:
    """The blocks of the answer, the lowest load known [lbf], and whether every way to fail is known."""

    shear: Block
    layers: list[Block]
    flush: Block | None
    critical: Block
    allowed: Block
    lowest: Fraction | None
    known: bool
    codes: tuple[str, ...]


def carry(
    asked: Asked,
    facts: Facts,
    spacing: dict[str, Distance | None],
    ledger: Ledger,
    missing: list[str],
    reasons: list[str],
) -> Carried:
    """Return what one fastener carries in shear, in the bearing of each layer and, when flush, in its joint.

    Raises:
        OutsideTable: The edge distance is under 1.5 D.
    """
    edge = _edge(asked, facts, spacing, ledger)
    shear, mode = _shear(asked, facts, ledger, missing, reasons)
    modes, layers, codes = [mode], [], list[str]()
    if asked.shear == "single" and len(asked.stack.layers) > 2:  # noqa: PLR2004  how two share it is plain
        reasons.append(f"each of the {len(asked.stack.layers)} layers is taken to carry the whole load")
    for number, layer in enumerate(asked.stack.layers, start=1):
        block, mode, found = _layer(asked, facts, (number, layer), edge, ledger, missing)
        layers.append(block)
        modes.append(mode)
        if found.pounds is None:
            test = found.rows and found.rows[0].text("rule") == "bearing_thinnest"
            codes.append("bearing-test" if test else "bearing-unknown")
    flush = None
    if facts.choice.is_flush:
        flush, mode = _flush(asked, facts, ledger, missing, reasons)
        modes.append(mode)
    critical, allowed, lowest, known = _governs(modes, facts.edition, ledger, reasons)
    return Carried(shear, layers, flush, critical, allowed, lowest, known, tuple(dict.fromkeys(codes)))


def forces(block: Block, name: str, pounds: Fraction | None) -> None:
    """Put a force [lbf] into *block* as its twins, `name_lbf` and `name_n`; None stays null in both."""
    block[f"{name}_lbf"] = None if pounds is None else half_even(pounds, 1)
    block[f"{name}_n"] = None if pounds is None else half_even(pounds * NEWTONS_PER_POUND, 0)


def _edge(asked: Asked, facts: Facts, spacing: dict[str, Distance | None], ledger: Ledger) -> Fraction:
    """Return the edge distance in diameters: as given, or the practice's least."""
    low = rule_row(facts.edition, "rules", "bearing_edge_least")
    least = low.number("value") * facts.size
    if asked.edge_distance is None:
        assumed = spacing["edge_minimum"]
        assert assumed is not None, "the check holds an edge minimum for every practice"  # noqa: S101
        ledger.cite(assumed.row, "layers.edge")
        return assumed.inches / facts.size
    given = asked.edge_distance.inches
    if given < least:
        shown = times(given, facts.size)
        detail = f"{say(given)} in is {shown}, under the {float(low.number('value'))} D that bearing has figures from"
        raise OutsideTable("edge_distance", f"{detail}; {say(least)} in would pass", say(least))
    return given / facts.size


def _shear(asked: Asked, facts: Facts, ledger: Ledger, missing: list[str], reasons: list[str]) -> tuple[Block, Mode]:
    double = asked.shear == "double"
    edition, fraction = facts.edition, facts.diameter.text("fraction")
    layers = [layer.thickness.inches for layer in asked.stack.layers]
    sheet = layers[1] if double else min(layers)
    found = single_shear(facts.choice.material, fraction, facts.holes, edition)
    own = Ledger()
    told = strength_block(facts.choice.material, fraction, facts.holes, edition, own, [])
    factor = thin_sheet_factor(facts.size, sheet, edition, double=double)
    block: Block = {"kind": asked.shear, "planes": 2 if double else 1}
    forces(block, "single", None if found is None else found.pounds)
    block |= {"temper": told["temper"], "basis": told["basis"]}
    put(block, "sheet", sheet)
    block |= {"factor": half_even(factor.value, 6), "factor_from": "table" if factor.tabulated else "formula"}
    pounds = None if found is None else found.pounds * factor.value * (2 if double else 1)
    forces(block, "allowed", pounds)
    if found is None:
        missing.append("shear.single")
    else:
        _cite_shear(found, factor, double=double, edition=edition, ledger=ledger)
        reasons.append(_shear_said(found, factor, sheet, facts.size, double=double))
    for row in factor.rows:
        ledger.cite(row, "shear.factor")
    return block, Mode("shear", None, pounds)


def _cite_shear(found: Shear, factor: Factor, *, double: bool, edition: Edition, ledger: Ledger) -> None:
    ledger.cite(found.row, "shear.single", "shear.allowed")
    if found.estimated:
        ledger.cite(rule_row(edition, "rules", "shear_on_hole_area"), "shear.single", "shear.allowed")
    if double:
        ledger.cite(rule_row(edition, "rules", "double_shear"), "shear.allowed")
    for row in factor.rows:
        ledger.cite(row, "shear.allowed")


def _shear_said(found: Shear, factor: Factor, sheet: Fraction, size: Fraction, *, double: bool) -> str:
    planes = " x 2 planes" if double else ""
    which = "the middle sheet" if double else "the thinnest sheet"
    if factor.tabulated:
        how = f"tabulated for {say(sheet)} in, {which}"
    else:
        slope, start = (float(row.number("value")) for row in factor.rows)
        how = f"1 - {slope} x ({float(size / sheet):.3f} - {start}) for {say(sheet)} in, {which}, not above 1"
    pounds = found.pounds * factor.value * (2 if double else 1)
    return (
        f"shear: {half_even(found.pounds, 1):g} lbf{planes} x {half_even(factor.value, 4):g} ({how}) "
        f"= {half_even(pounds, 1)} lbf"
    )


def _layer(
    asked: Asked, facts: Facts, numbered: tuple[int, Layer], edge: Fraction, ledger: Ledger, missing: list[str]
) -> tuple[Block, Mode, Bearing]:
    number, layer = numbered
    edition, thickness = facts.edition, layer.thickness.inches
    hole = facts.size if facts.holes.strength is None else facts.holes.strength.diameter
    found = bearing(hole, thickness, edge, layer.material, edition)
    shares = 2 if asked.shear == "double" and number != 2 else 1  # noqa: PLR2004  two outer sheets share the load
    at = None if found.pounds is None else found.pounds * shares
    block: Block = {"layer": number, "material": layer.material}
    put(block, "thickness", thickness)
    put(block, "hole", hole)
    block["edge_in_d"] = half_even(edge, 4)
    block["stress_ksi"] = None if found.stress_ksi is None else half_even(found.stress_ksi, 3)
    cell = unit_bearing(facts.size, thickness, edition)
    block["unit_lbf"] = None if cell is None else half_even(cell.number("bearing_lbf"), 1)
    forces(block, "bearing", found.pounds)
    forces(block, "joint", at)
    block["note"] = found.note
    name = f"layers.{number}"
    if found.pounds is None:
        missing.append(f"{name}.bearing")
    for row in found.rows:
        ledger.cite(row, f"{name}.bearing", f"{name}.stress")
    if cell is not None:
        ledger.cite(cell, f"{name}.unit")
    if facts.holes.strength is not None:
        ledger.cite(facts.holes.strength.row, f"{name}.hole")
    return block, Mode("bearing", number, at), found


def _flush(asked: Asked, facts: Facts, ledger: Ledger, missing: list[str], reasons: list[str]) -> tuple[Block, Mode]:
    """Return the tabulated strength of a flush joint: it holds for single shear in 2024 or stronger sheet."""
    outer = asked.stack.layers[0]
    strong = (outer.material or "").casefold().removeprefix("clad ").removeprefix("alclad ").removeprefix("bare ")
    rows: dict[str, Row] = {}
    if asked.shear == "single" and strong.startswith(_STRONG):
        rows = {
            row.text("strength"): row
            for row in facts.edition["flush_joints"]
            if row.text("alloy") == facts.choice.material.text("alloy")
            and row.text("fraction") == facts.diameter.text("fraction")
            and row.number("sheet_in") == outer.thickness.inches
            and row.text("preparation") == asked.preparation
        }
    block: Block = {"preparation": asked.preparation}
    put(block, "sheet", outer.thickness.inches)
    for strength in ("ultimate", "yield"):
        row = rows.get(strength)
        forces(block, strength, None if row is None else row.number("load_lbf"))
        if row is not None:
            ledger.cite(row, f"flush.{strength}")
    if "ultimate" not in rows:
        missing.append("flush.ultimate")
        held = "single shear, the sheet under the head named and of 2024 or 7075, and its tabulated thicknesses"
        reasons.append(f"a flush joint carries less than shear and bearing say; its table holds for {held}")
        return block, Mode("flush", 1, None)
    pounds = rows["ultimate"].number("load_lbf")
    reasons.append(f"flush joint, {asked.preparation}, {say(outer.thickness.inches)} in: {half_even(pounds, 1):g} lbf")
    return block, Mode("flush", 1, pounds)


def _governs(
    modes: list[Mode], edition: Edition, ledger: Ledger, reasons: list[str]
) -> tuple[Block, Block, Fraction | None, bool]:
    """Return which way to fail governs and what it allows; nothing is said to be carried while a way is unknown."""
    ledger.cite(rule_row(edition, "rules", "lower_governs"), "critical", "allowed")
    found = [(mode.pounds, mode) for mode in modes if mode.pounds is not None]
    known = len(found) == len(modes)
    critical: Block = {"mode": None, "layer": None}
    allowed: Block = {}
    lowest = None
    if found:
        lowest, mode = min(found, key=lambda entry: entry[0])
        if known:
            critical = {"mode": mode.name, "layer": mode.layer}
        where = "" if mode.layer is None else f" in layer {mode.layer}"
        sure = "governs" if known else "is the lowest known"
        reasons.append(f"{mode.name}{where} {sure}: {half_even(lowest, 1)} lbf a fastener")
    forces(allowed, "load", lowest if known else None)
    forces(allowed, "at_most", lowest)
    return critical, allowed, lowest, known
