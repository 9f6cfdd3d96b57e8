"""What a person must heed. Table: cautions; the code decides when each fires, the table says it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Any

from bucktail_service.engine.lengths import Stack
from bucktail_tables.model import Edition, Row

_SAYS_NOTHING = frozenset({"alclad", "bare", "clad", "sheet"})
ALWAYS = ("approved-data", "licensed-sign-off", "eyes-and-ears", "control-surface")


TOLD = frozenset({"diameter-for-sheet", "knife-edge", "hole-outside-limits"})


def caution_list(
    codes: Iterable[str],
    edition: Edition,
    figures: Iterable[str] = (),
    told: Mapping[str, str] | None = None,
) -> list[dict[str, Any]]:
    """Return the cautions block of an answer, in the table's order.

    Args:
        codes: Codes that fired.
        edition: The tables to read.
        figures: The figures that have no row, named by the `no-figure` caution.
        told: What fired a caution of `TOLD`, in figures; stands in brackets behind its text.
    """
    block = list(_cautions(frozenset(codes), tuple(figures), edition))
    if told:
        block = [
            {**entry, "text": f"{entry['text']} ({told[entry['code']]})"} if entry["code"] in told else entry
            for entry in block
        ]
    return block


@lru_cache(maxsize=1024)
def _cautions(codes: frozenset[str], figures: tuple[str, ...], edition: Edition) -> tuple[dict[str, Any], ...]:
    return tuple(
        {
            "code": row.text("code"),
            "text": row.text("text"),
            "document": row.document,
            "place": row.place,
            "basis": row.basis,
            **({"figures": list(figures)} if row.text("code") == "no-figure" else {}),
        }
        for row in edition["cautions"]
        if row.text("code") in codes
    )


@lru_cache(maxsize=32)
def caution_order(edition: Edition) -> tuple[dict[str, str], ...]:
    """Return the codes of the cautions in the table's order, each as `{"code": ...}`."""
    return tuple({"code": row.text("code")} for row in edition["cautions"])


def material_codes(material: Row, diameter: Fraction, edition: Edition) -> list[str]:
    """Return the cautions that the rivet itself fires: alloy and diameter."""
    codes = []
    if not material.flag("structural"):
        codes.append("not-structural")
    if material.flag("ice_box"):
        codes.append("ice-box")
    smallest = edition["rules"].find("structural_diameter_minimum")
    if smallest is not None and diameter < smallest.number("value"):
        codes.append("under-structural-diameter")
    return codes


def stack_codes(stack: Stack, diameter: Fraction, edition: Edition) -> list[str]:
    """Return the cautions that the layers fire: hazardous or unknown materials, a diameter that does not suit."""
    codes = [code for layer in stack.layers for code in layer_codes(layer.material, edition)]
    if len(stack.layers) > 1:
        codes += sheet_codes(max(layer.thickness.inches for layer in stack.layers), diameter, edition)
    return codes


def layer_codes(material: str | None, edition: Edition) -> list[str]:
    """Return the cautions that the material of a layer fires."""
    if material is None:
        return []
    row = find_layer_material(material, edition)
    return ["unknown-material" if row is None else row.text("hazard")]


def sheet_codes(thickest: Fraction, diameter: Fraction, edition: Edition) -> list[str]:
    """Return the caution of a diameter that does not suit the thickest of several sheets."""
    low, high = _sheet_multiples(edition)
    return [] if low * thickest <= diameter <= high * thickest else ["diameter-for-sheet"]


@lru_cache(maxsize=32)
def _sheet_multiples(edition: Edition) -> tuple[Fraction, Fraction]:
    """Return between which multiples of the thickest sheet a rivet's diameter should lie."""
    low, high = (edition["rules"].by_key[(f"diameter_per_sheet_{end}",)] for end in ("minimum", "maximum"))
    return low.number("value"), high.number("value")


def find_layer_material(name: str, edition: Edition) -> Row | None:
    """Return the row of a layer's material, its temper set aside (`2024-T3` is 2024); None when it is unknown."""
    wanted = name.casefold()
    # a temper says nothing of hazards or density, nor does a cladding: `clad 2024-T3` is 2024
    words = [word.split("-")[0] if word[:4].isdigit() else word for word in wanted.split()]
    bare = " ".join(word for word in words if word not in _SAYS_NOTHING) or wanted
    for row in edition["layer_materials"]:
        if row.text("material") in (wanted, bare) or wanted in row.text("also").split("|"):
            return row
    return None


def countersink_codes(stack: Stack, head_height: Fraction | None, sheet_minimum: Fraction | None) -> list[str]:
    """Return the cautions of a flush head over its outer sheet.

    Args:
        stack: Layers, head side first.
        head_height: Height of the flush head; a sheet no thicker is cut to a knife edge. [in]
        sheet_minimum: Thinnest sheet the practice lets be machine countersunk. [in]
    """
    outer = stack.layers[0]
    may_be_total = len(stack.layers) == 1 and outer.material is None
    return outer_codes(None if may_be_total else outer.thickness.inches, head_height, sheet_minimum)


def outer_codes(thickness: Fraction | None, head_height: Fraction | None, sheet_minimum: Fraction | None) -> list[str]:
    """Return the cautions of a flush head over an outer sheet; its thickness None when a total alone is known. [in]"""
    if thickness is None:
        return ["countersink-unchecked"]
    limits = [limit for limit in (head_height, sheet_minimum) if limit is not None]
    too_thin = (sheet_minimum is not None and thickness < sheet_minimum) or (
        head_height is not None and thickness <= head_height
    )
    if too_thin:
        return ["knife-edge"]
    return [] if limits else ["countersink-unchecked"]
