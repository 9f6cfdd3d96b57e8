"""Relations of strength and density."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

from bucktail_tables.flaws import Flaws, flaw
from bucktail_tables.model import Edition

_LB_PER_IN3_IN_G_PER_CM3 = 27.679905


def shear_is_area_times_stress(edition: Edition) -> Flaws:
    """Area is that of the hole (or shank) and shear is area x stress, within the documents' rounding."""
    for row in edition["shear"]:
        across = row.maybe("hole_in") or row.number("fraction")
        area = math.pi / 4 * float(across) ** 2
        if abs(area - float(row.number("area_in2"))) > 2e-6:
            yield flaw(row, "area_in2", f"is not the area of {float(across)} in")
        computed = area * float(row.number("stress_ksi")) * 1000
        printed = float(row.number("single_shear_lbf"))
        # the handbook rounds to 5 lbf above 1000 and takes areas to three figures
        if abs(computed - printed) > max(1.5, 0.003 * printed):
            yield flaw(row, "single_shear_lbf", f"area x stress is {computed:.0f}")


def material_strength_agrees_with_shear(edition: Edition) -> Flaws:
    """The two tables give one alloy the same shear stress, within what documents differ by."""
    driven = {row.text("alloy"): row for row in edition["shear"] if row.text("condition") == "driven"}
    for row in edition["material_strength"]:
        psi = row.number("shear_psi")
        other = driven.get(row.text("alloy"))
        if other is not None and abs(psi / 1000 / other.number("stress_ksi") - 1) > Fraction(5, 100):
            yield flaw(row, "shear_psi", f"the shear table says {other.text('stress_ksi')} ksi")


def driven_rivets_have_their_temper(edition: Edition) -> Flaws:
    """Shear of driven rivets is that of the temper the material is driven to."""
    tempers = {row.text("alloy"): row.text("driven_temper") for row in edition["materials"]}
    for row in edition["shear"]:
        if row.text("condition") == "driven" and row.text("temper") != tempers[row.text("alloy")]:
            yield flaw(row, "temper", f"materials says {tempers[row.text('alloy')]}")


def stresses_are_those_of_metals(edition: Edition) -> Flaws:
    """Shear is 5 to 150 ksi, bearing one to five times it: a lost or doubled digit shows."""
    for row in edition["material_strength"]:
        psi, bearing = row.number("shear_psi"), row.maybe("bearing_psi")
        if not 5_000 <= psi <= 150_000:
            yield flaw(row, "shear_psi", f"{row.text('shear_psi')} psi is the strength of no rivet")
        if bearing is not None and not psi <= bearing <= 5 * psi:
            yield flaw(row, "bearing_psi", "is not one to five times the shear strength")


def densities_are_of_materials(edition: Edition) -> Flaws:
    """A density is found by the number its material has."""
    numbers = {row.text("number") for row in edition["materials"]}
    for row in edition["densities"]:
        if row.text("number") not in numbers:
            yield flaw(row, "number", f"{row.text('number')} is not in materials")


def unit_columns_agree(edition: Edition) -> Flaws:
    """g/cm3 and lb/in3 of one material agree within the printed digits."""
    for row in edition["densities"]:
        metric = row.maybe("g_per_cm3")
        inch = float(row.number("lb_per_in3"))
        if not 0.036 < inch < 0.82:  # water and osmium
            yield flaw(row, "lb_per_in3", f"{inch} lb/in3 is no metal's density")
        if metric is not None and abs(float(metric) / _LB_PER_IN3_IN_G_PER_CM3 - inch) > 0.00065:
            yield flaw(row, "lb_per_in3", f"{float(metric)} g/cm3 is another density")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    shear_is_area_times_stress,
    material_strength_agrees_with_shear,
    driven_rivets_have_their_temper,
    stresses_are_those_of_metals,
    densities_are_of_materials,
    unit_columns_agree,
)
