"""Relations of formed and manufactured heads and of the sheets under them."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

from bucktail_tables.flaws import ROUNDING_IN, SANE_TIMES_D, Flaws, flaw
from bucktail_tables.model import Edition, Row


def multiples_are_sane(edition: Edition) -> Flaws:
    """Protrusions and formed heads are neither slivers nor rods: a lost or doubled digit shows."""
    low, high = SANE_TIMES_D
    for table in ("length_rules", "formed_heads"):
        for row in edition[table]:
            times = row.maybe("times_d")
            if times is not None and not low <= times <= high:
                yield flaw(row, "times_d", f"{row.text('times_d')} D is not between {float(low)} and {float(high)} D")


def formed_heads_say_one_figure(edition: Edition) -> Flaws:
    """A row gives inches for one diameter, or a multiple for one or any; never both, never neither."""
    low, high = SANE_TIMES_D
    sizes = {row.text("fraction"): row.number("nominal_in") for row in edition["diameters"]}
    for row in edition["formed_heads"]:
        value, fraction = row.maybe("value_in"), row.text("fraction")
        if (value is None) == (row.maybe("times_d") is None):
            yield flaw(row, "value_in", "a row gives either inches or a multiple")
        if fraction != "any" and fraction not in sizes:
            yield flaw(row, "fraction", f"{fraction} is neither any nor in diameters")
        elif value is not None and fraction == "any":
            yield flaw(row, "fraction", "a figure in inches belongs to one diameter")
        elif value is not None and not low <= value / sizes[fraction] <= high:
            yield flaw(row, "value_in", f"is not between {float(low)} and {float(high)} D")


def formed_head_ranks_decide(edition: Edition) -> Flaws:
    """No two rows fit one rivet at the same rank: answers never hang on the order of the file."""
    taken: dict[tuple[str, ...], set[str]] = {}
    for row in edition["formed_heads"]:
        fraction = row.text("fraction")
        for alloy in dict.fromkeys(row.words("alloys")):
            place = (row.text("practice"), row.text("figure"), str(row.number("rank")), alloy)
            others = taken.setdefault(place, set())
            if fraction in others or "any" in others or (others and fraction == "any"):
                yield flaw(row, "rank", f"another row fits {alloy} at rank {row.text('rank')}")
            others.add(fraction)


def formed_heads_are_ordered(edition: Edition) -> Flaws:
    """Minimum <= nominal <= maximum, and no row that is passed over is stricter than the row answers give."""
    ranked = _ranked_formed_heads(edition)
    for practice in edition["practices"]:
        for material in edition["materials"]:
            for measure in ("diameter", "height"):
                of = (practice.text("practice"), material.text("alloy"))
                ladder = [ranked.get((*of, f"{measure}_{end}"), []) for end in ("minimum", "nominal", "maximum")]
                for diameter in edition["diameters"]:
                    yield from _formed_head(ladder, practice, material, diameter, measure)


def _ranked_formed_heads(edition: Edition) -> dict[tuple[str, str, str], list[Row]]:
    """Return the rows of each practice, alloy and figure, first the one that answers give; empty ones left out."""
    ranked: dict[tuple[str, str, str], list[Row]] = {}
    for row in sorted(edition["formed_heads"], key=lambda row: row.number("rank")):
        if row.text("value_in") or row.text("times_d"):
            for alloy in row.words("alloys"):
                ranked.setdefault((row.text("practice"), alloy, row.text("figure")), []).append(row)
    return ranked


def _formed_head(ladder: list[list[Row]], practice: Row, material: Row, diameter: Row, measure: str) -> Flaws:
    size, fraction = diameter.number("nominal_in"), diameter.text("fraction")
    fits = [[row for row in rows if row.text("fraction") in ("any", fraction)] for rows in ladder]
    for end, rows in zip(("minimum", "nominal"), fits, strict=False):
        if not rows:
            yield flaw(material, "alloy", f"has no {measure} {end} in practice {practice.text('practice')}")
    minima = [_value(row, size) for row in fits[0]]
    if minima and max(minima) > minima[0] + ROUNDING_IN:
        yield flaw(fits[0][0], "rank", f"a stricter minimum is passed over for {fraction}")
    for low, high in pairwise([rows[0] for rows in fits if rows]):
        if _value(high, size) < _value(low, size):
            yield flaw(high, "times_d", f"falls below the figure it should follow at {fraction}")


def _value(row: Row, size: Fraction) -> Fraction:
    value = row.maybe("value_in")
    return row.number("times_d") * size if value is None else value


def flush_heads_are_cones(edition: Edition) -> Flaws:
    """Height of a flush head = (head diameter - shank) / (2 tan(half the cone angle))."""
    for row in edition["manufactured_heads"]:
        angle = row.maybe("cone_angle_deg")
        if angle is None or not 0 < angle < 180:
            continue
        slope = 2 * math.tan(math.radians(float(angle) / 2))
        height = (float(row.number("diameter_in")) - float(row.number("fraction"))) / slope
        if abs(height - float(row.number("height_in"))) > 0.0012:
            yield flaw(row, "height_in", f"the cone is {height:.4f} in high")


def cone_angles_agree(edition: Edition) -> Flaws:
    """A flush head's name tells its angle; its dimensions have the same angle, and its length counts the head."""
    for row in edition["standards"]:
        head = row.text("head")
        flush = "flush" in head
        if row.text("cone_angle_deg") != (head.rpartition("-")[2] if flush else ""):
            yield flaw(row, "cone_angle_deg", f"is not the angle of {head}")
        if row.text("length_counts") != ("overall" if flush else "shank"):
            yield flaw(row, "length_counts", f"is not what the length of {head} counts")
    for row in edition["manufactured_heads"]:
        standard = edition["standards"].find(row.text("standard"))
        angle = row.maybe("cone_angle_deg")
        if standard is not None and angle != standard.maybe("cone_angle_deg"):
            yield flaw(row, "cone_angle_deg", f"is not the angle of {row.text('standard')}")


def heads_are_in_proportion(edition: Edition) -> Flaws:
    """Heads are wider than the shank; protruding ones are 1.5 to 3 D by 0.2 to 1 D, the universal head 2 D across."""
    heads = {row.text("standard"): row.text("head") for row in edition["standards"]}
    for row in edition["manufactured_heads"]:
        size = row.number("fraction")
        across, high = row.number("diameter_in") / size, row.number("height_in") / size
        protruding = not row.text("cone_angle_deg")
        if not (Fraction("1.5") <= across <= 3 if protruding else 1 < across <= 3):
            yield flaw(row, "diameter_in", f"is {float(across):.2f} D")
        if not (Fraction("0.2") <= high <= 1 if protruding else 0 < high <= 1):
            yield flaw(row, "height_in", f"is {float(high):.2f} D")
        if heads[row.text("standard")] == "universal" and abs(across - 2) * size > ROUNDING_IN:
            yield flaw(row, "diameter_in", "a universal head is 2 D across")


def countersinks_suit_their_heads(edition: Edition) -> Flaws:
    """Only flush heads are countersunk, in sheets of a quarter of the head's height up to one diameter."""
    flush = {row.text("standard"): row.text("head") for row in edition["standards"] if row.text("cone_angle_deg")}
    heights = {
        (flush[row.text("standard")], row.text("fraction")): row.number("height_in")
        for row in edition["manufactured_heads"]
        if row.text("standard") in flush
    }
    for row in edition["countersinks"]:
        if row.text("head") not in flush.values():
            yield flaw(row, "head", f"{row.text('head')} is not a flush head of standards")
        height = heights.get((row.text("head"), row.text("fraction")), Fraction(0))
        sheet = row.number("sheet_minimum_in")
        if not 0 < sheet <= row.number("fraction") or sheet < height / 4:
            yield flaw(
                row, "sheet_minimum_in", f"the head is {float(height)} in high, the rivet {row.text('fraction')}"
            )


def larger_heads_need_no_thinner_sheets(edition: Edition) -> Flaws:
    """The thinnest sheet that may be countersunk does not fall as the rivet grows."""
    largest: dict[tuple[str, str], Fraction] = {}
    for row in sorted(edition["countersinks"], key=lambda row: row.number("fraction")):
        kind, sheet = (row.text("practice"), row.text("head")), row.number("sheet_minimum_in")
        if sheet < largest.get(kind, 0):
            yield flaw(row, "sheet_minimum_in", "a smaller rivet needs a thicker sheet")
        largest[kind] = max(sheet, largest.get(kind, sheet))


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    multiples_are_sane,
    formed_heads_say_one_figure,
    formed_head_ranks_decide,
    formed_heads_are_ordered,
    flush_heads_are_cones,
    cone_angles_agree,
    heads_are_in_proportion,
    countersinks_suit_their_heads,
    larger_heads_need_no_thinner_sheets,
)
