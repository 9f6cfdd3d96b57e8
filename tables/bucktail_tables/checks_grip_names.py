"""Relations of the standards chosen by grip: what each names is there, and what is there belongs to one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import pairwise

from bucktail_tables.errors import BrokenEdition
from bucktail_tables.flaws import Flaws, flaw
from bucktail_tables.model import Edition, Row

# holes that are an interference fit, told by a rule: no drill or limits are in the tables
_FITS = {
    "close-tolerance": "close_tolerance_fit",
    "swaged-pin": "pin_hole_swaged",
    "lockbolt": "lockbolt_hole_most",
    "threaded-pin": "threaded_hole_most",
}
# bolts whose grips count, and whose threads no document read gives
_LADDER_ONLY = ("NAS1100", "NAS1300", "NAS464")
# printed ranges that no standard's ladder is called by
_PRINTED_ONLY = "mechanically-locked"


def _per_inch(standard: Row) -> int:
    """Return what the sizes of a standard count: sixteenths for bolts, thirty-seconds for rivets and pins. [1/in]"""
    return 16 if standard.text("family") == "bolt" else 32


def _answered(edition: Edition) -> Iterator[Row]:
    """Yield the standards that answer: none that says what is missing."""
    return (row for row in edition["grip_standards"] if not row.text("missing"))


def standards_are_whole_or_say_what_is_missing(edition: Edition) -> Flaws:
    """A standard tells its ladder, holes, materials and sizes, a bolt its nut too, or what no document gives."""
    for row in _answered(edition):
        for column in ("ladder", "holes", "offers", "sizes", *(("nut",) if row.text("family") == "bolt" else ())):
            if not row.text(column):
                yield flaw(row, column, "is empty, and nothing is said to be missing")
    for row in edition["grip_standards"]:
        if (row.text("head").startswith("flush-")) != bool(row.text("cone_angle_deg")):
            yield flaw(row, "cone_angle_deg", "belongs to flush heads, and to them alone")
        elif row.text("cone_angle_deg") and row.text("head") != f"flush-{row.text('cone_angle_deg')}":
            yield flaw(row, "cone_angle_deg", f"is not that of {row.text('head')}")


def names_of_standards_lead_somewhere(edition: Edition) -> Flaws:
    """The ladder, holes, materials, nut and collar a standard names are there."""
    known = {
        "ladder": {row.text("ladder") for row in edition["grip_ladders"]},
        "holes": {row.text("holes") for row in edition["grip_holes"]} | set(_FITS),
        "offers": {row.text("offers") for row in edition["grip_offered"]},
        "nut": {row.text("nut") for row in edition["nuts"]},
        "collar": {row.text("pin") for row in edition["collars"]},
    }
    for row in edition["grip_standards"]:
        for column, names in known.items():
            for name in row.words(column) if column == "nut" else filter(None, [row.text(column)]):
                if name not in names:
                    yield flaw(row, column, f"{name} is not in the tables")
    for name in _FITS.values():
        if edition["rules"].find(name) is None:
            yield BrokenEdition("rules", None, "rule", f"{name} tells a fit, and is not there")


def names_are_led_to(edition: Edition) -> Flaws:
    """Holes, materials, heads and collars belong to a standard; ranges to a ladder."""
    standards = list(edition["grip_standards"])
    used = {column: {row.text(column) for row in standards} for column in ("holes", "offers", "collar", "standard")}
    ladders = {row.text("ladder") for row in edition["grip_ladders"]} | {_PRINTED_ONLY}
    owners = (
        ("grip_holes", "holes", used["holes"]),
        ("grip_offered", "offers", used["offers"]),
        ("grip_strength", "offers", used["offers"]),
        ("collars", "pin", used["collar"]),
        ("pin_protrusions", "standard", used["standard"]),
        ("grip_heads", "heads", used["standard"] | {"blind-flush"}),
        ("grip_ranges", "ladder", ladders),
    )
    for table, column, names in owners:
        for row in edition[table]:
            if row.text(column) not in names:
                yield flaw(row, column, f"no standard is of {row.text(column)}")


def sizes_of_standards_are_sizes(edition: Edition) -> Flaws:
    """Rivets and pins come in known diameters, and a rivet's hole is in the tables for each; bolts have a thread."""
    dashes = {row.text("dash") for row in edition["diameters"]}
    for row in _answered(edition):
        for size in row.words("sizes"):
            fraction = str(Fraction(int(size), _per_inch(row)))
            if row.text("family") != "bolt" and size not in dashes:
                yield flaw(row, "sizes", f"{size} is not in diameters")
            if row.text("family") == "blind" and edition["grip_holes"].find(row.text("holes"), fraction) is None:
                yield flaw(row, "sizes", f"{fraction} has no hole in {row.text('holes')}")
        ladder_only = row.text("offers") in _LADDER_ONLY
        if row.text("family") == "bolt" and not ladder_only and edition["bolt_series"].find(*row.key) is None:
            yield flaw(row, "standard", "has no row in bolt_series")
    for row in edition["grip_ranges"]:
        if row.text("diameter") != "any" and row.text("diameter") not in dashes:
            yield flaw(row, "diameter", f"{row.text('diameter')} is not in diameters")


def materials_of_fasteners_are_metals(edition: Edition) -> Flaws:
    """The metal that touches the sheets has its place among the couples."""
    for row in edition["grip_offered"]:
        metal = row.text("material")
        if metal and edition["galvanic_members"].find(metal) is None:
            yield flaw(row, "material", f"{metal} is not in galvanic_members")


def numbers_tell_the_material(edition: Edition) -> Flaws:
    """No standard writes two materials alike."""
    seen: set[tuple[str, str]] = set()
    for row in edition["grip_offered"]:
        written = (row.text("offers"), row.text("letters"))
        if written in seen:
            yield flaw(row, "letters", f"another material of {written[0]} is written so")
        seen.add(written)


def collars_tell_both_ends_of_their_dashes_or_neither(edition: Edition) -> Flaws:
    """A collar is for dashes from one to another; a document may name it and no dashes."""
    for row in edition["collars"]:
        first, last = row.maybe("first_dash"), row.maybe("last_dash")
        if (first is None) != (last is None):
            yield flaw(row, "last_dash", "and first_dash: one stands alone")
        elif first is not None and last is not None and first > last:
            yield flaw(row, "last_dash", "is under the first")


def collars_cover_the_sizes_of_their_pin(edition: Edition) -> Flaws:
    """The collars of a pin begin where the ones before end, and every size of the pin has one."""
    for pin in sorted({row.text("pin") for row in edition["collars"]}):
        named = (row for row in edition["collars"] if row.text("pin") == pin)
        rows = [row for row in named if row.text("first_dash") and row.text("last_dash")]
        for before, after in pairwise(rows):
            if after.number("first_dash") <= before.number("last_dash"):
                yield flaw(after, "first_dash", f"{before.text('collar')} is for this dash")
        for standard in edition["grip_standards"]:
            for size in standard.words("sizes") if standard.text("collar") == pin else ():
                if not any(row.number("first_dash") <= int(size) <= row.number("last_dash") for row in rows):
                    yield flaw(standard, "sizes", f"{size} has no collar")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    standards_are_whole_or_say_what_is_missing,
    names_of_standards_lead_somewhere,
    names_are_led_to,
    sizes_of_standards_are_sizes,
    materials_of_fasteners_are_metals,
    numbers_tell_the_material,
    collars_tell_both_ends_of_their_dashes_or_neither,
    collars_cover_the_sizes_of_their_pin,
)
