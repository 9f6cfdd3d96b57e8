"""What one fastener and each sheet carry in a joint. Tables: thin_sheet_factors, bearing_allowables, unit_bearing."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from bucktail_service.engine.blocks import rule_row
from bucktail_service.engine.rounding import say
from bucktail_tables.model import Edition, Row

_THOUSANDTH = Fraction(1, 1000)


@dataclass(frozen=True, slots=True)
class Factor:
    """The share of its shear that a fastener keeps in thin sheet, and the rows it rests on: a cell or the formula."""

    value: Fraction
    rows: tuple[Row, ...]

    @property
    def tabulated(self) -> bool:
        """True when the share is a cell of the table, as printed."""
        return self.rows[0].table == "thin_sheet_factors"


@dataclass(frozen=True, slots=True)
class Bearing:
    """What a sheet carries in bearing under one fastener, or why that is not known.

    Attributes:
        pounds: Ultimate bearing; None when the material or the thickness has no row. [lbf]
        stress_ksi: The bearing stress behind it. [ksi]
        rows: Rows it rests on.
        note: What was assumed, or which figure fails and what would pass; empty when there is nothing to say.
    """

    pounds: Fraction | None
    stress_ksi: Fraction | None
    rows: tuple[Row, ...]
    note: str = ""


def thin_sheet_factor(diameter: Fraction, thinnest: Fraction, edition: Edition, *, double: bool = False) -> Factor:
    """Return the share of its shear that a fastener keeps; the printed cell rules over the formula.

    Args:
        diameter: Nominal shank diameter. [in]
        thinnest: The thinnest sheet; in double shear the middle one. [in]
        edition: The tables to read.
        double: True for double shear.
    """
    cell = _factor_cells(edition).get(("double" if double else "single", diameter, thinnest))
    if cell is not None:
        return Factor(cell.number("factor"), (cell,))
    if double:
        slope, start = (
            edition["rules"].find("thin_sheet_double_slope"),
            edition["rules"].find("thin_sheet_double_start"),
        )
    else:
        slope, start = (
            edition["rules"].find("thin_sheet_single_slope"),
            edition["rules"].find("thin_sheet_single_start"),
        )
    assert slope is not None and start is not None, "the check holds the formula's rules"  # noqa: S101, PT018
    if not thinnest:
        return Factor(Fraction(0), (slope, start))
    by_formula = 1 - slope.number("value") * (diameter / thinnest - start.number("value"))
    return Factor(max(Fraction(0), min(Fraction(1), by_formula)), (slope, start))


def bearing(
    hole: Fraction, thickness: Fraction, edge_in_d: Fraction | None, material: str | None, edition: Edition
) -> Bearing:
    """Return what a sheet carries in bearing under one fastener: hole x thickness x Fbru at its edge distance.

    Args:
        hole: Diameter of the hole; never more than the strength tables' own should be given. [in]
        thickness: Thickness of the sheet. [in]
        edge_in_d: Edge distance in diameters; None is taken as the least that has a figure, 1.5 D.
        material: The sheet as a layer names it, `2024-T3` or `clad 2024-T3`.
        edition: The tables to read.

    Fbru is linear between 1.5 D and 2 D and no higher beyond. Nothing is known below 1.5 D, nor of sheet thinner than
    0.18 D.
    """
    thinnest = rule_row(edition, "rules", "bearing_thinnest")
    diameter = nominal_of(hole, edition)
    if thickness < thinnest.number("value") * diameter:
        enough = say(thinnest.number("value") * diameter)
        note = f"{say(thickness)} in is under {float(thinnest.number('value'))} D; {enough} in would pass, or a test"
        return Bearing(None, None, (thinnest,), note)
    rows = material_rows(material, edition)
    row = next((row for row in rows if holds_for(row, thickness)), None)
    if row is None:
        return Bearing(None, None, (), _no_row(material, thickness, rows))
    low, high = rule_row(edition, "rules", "bearing_edge_least"), rule_row(edition, "rules", "bearing_edge_full")
    least, full = low.number("value"), high.number("value")
    if edge_in_d is not None and edge_in_d < least:
        given, wanted = float(round(edge_in_d, 2)), say(least * diameter)
        return Bearing(None, None, (low,), f"edge distance {given} D is under {float(least)} D; {wanted} in would pass")
    used = least if edge_in_d is None else min(edge_in_d, full)
    at_least, at_full = row.number("fbru_15_ksi"), row.number("fbru_20_ksi")
    stress = at_least + (at_full - at_least) * (used - least) / (full - least)
    notes = [] if edge_in_d is not None else [f"no edge distance: taken at {float(least)} D"]
    notes += _taken_as(material or "", row.text("sheet"))
    return Bearing(hole * thickness * stress * 1000, stress, (row, low), "; ".join(notes))


def unit_bearing(diameter: Fraction, thickness: Fraction, edition: Edition) -> Row | None:
    """Return the row of the unit bearing table for a rivet and a sheet [in], None where it has no cell."""
    return _unit_cells(edition).get((diameter, thickness))


def nominal_of(hole: Fraction, edition: Edition) -> Fraction:
    """Return the largest rivet diameter that goes through *hole*; the hole itself when it is under all of them. [in]"""
    sizes = [row.number("nominal_in") for row in edition["diameters"]]
    return max((size for size in sizes if size <= hole), default=hole)


def material_rows(material: str | None, edition: Edition) -> list[Row]:
    """Return the rows of a sheet's bearing stresses, thinner first; none when the edition does not know it."""
    wanted = " ".join((material or "").casefold().split())
    return [row for row in edition["bearing_allowables"] if wanted in row.text("names").split("|")]


def holds_for(row: Row, thickness: Fraction) -> bool:
    """True when a row holds for a thickness [in]; its last printed thousandth holds up to the next row's first."""
    return row.number("from_in") <= thickness < row.number("to_in") + _THOUSANDTH


def _taken_as(material: str, sheet: str) -> list[str]:
    """Return what was assumed of a sheet that may be clad or bare and does not say which."""
    said = material.casefold()
    if "clad" in said or "bare" in said:
        return []
    if sheet.endswith(" clad"):
        return [f"{material} not said to be bare: taken as clad, the lower"]
    return [f"{material} taken as bare: the tables have no clad row"] if sheet.endswith(" bare") else []


def _no_row(material: str | None, thickness: Fraction, rows: list[Row]) -> str:
    if material is None:
        return "no material said: the tables find bearing by it, such as 2024-T3"
    if not rows:
        return f"{material} has no bearing stress in the tables"
    return f"{say(thickness)} in is outside {rows[0].text('from_in')} to {rows[-1].text('to_in')} in for {material}"


@lru_cache(maxsize=32)
def _factor_cells(edition: Edition) -> dict[tuple[str, Fraction, Fraction], Row]:
    """Return the printed factors by kind of shear, diameter and thickness. [in]"""
    return {
        (row.text("shear"), row.number("fraction"), row.number("sheet_in")): row
        for row in edition["thin_sheet_factors"]
    }


@lru_cache(maxsize=32)
def _unit_cells(edition: Edition) -> dict[tuple[Fraction, Fraction], Row]:
    """Return the unit bearing table by diameter and thickness. [in]"""
    return {(row.number("fraction"), row.number("sheet_in")): row for row in edition["unit_bearing"]}
