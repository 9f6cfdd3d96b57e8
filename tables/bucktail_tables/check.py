"""Checks that prove an edition whole, across its tables; also `python -m bucktail_tables.check [edition]`.

The loader has already checked each cell against the descriptor. Here the figures are held against each other and
against relations that do not come from the tables (area x stress, cone geometry, two unit columns).
"""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from bucktail_tables import checks_couple, checks_inspect, checks_joint, checks_order
from bucktail_tables.errors import BrokenEdition, TablesError
from bucktail_tables.load import check_references, load_edition, stamp
from bucktail_tables.model import Edition, Row

Flaws = Iterator[BrokenEdition]

_MM_PER_INCH = Fraction("25.4")

# what answers name literally; a test holds these lists to the engine's source
NEEDED_CAUTIONS = (
    "not-structural",
    "under-structural-diameter",
    "ice-box",
    "knife-edge",
    "countersink-unchecked",
    "diameter-for-sheet",
    "unknown-material",
    "trim-to-length",
    "half-size",
    "stack-tolerance",
    "hole-outside-limits",
    "strength-basis",
    "replaced-head",
    "superseded-number",
    "repair-rivet",
    "edition-draft",
    "not-published",
    "no-figure",
    "no-formed-head",
    "bearing-test",
    "bearing-unknown",
    "edge-assumed",
    "pattern-too-close",
    "count-methods",
    "pack-by-weight",
    "approved-data",
    "licensed-sign-off",
    "eyes-and-ears",
    "control-surface",
    "no-option-passes",
    "measure-first",
    "support-structure",
    "highly-stressed",
    "row-beyond-limits",
    "unsupported-run",
    "small-anode",
    "areas-not-given",
    "couple-guide",
    "couple-columns",
    "couple-doubtful",
    "couple-order",
    "alloy-not-named",
    "chromate-primer",
    "weigh-and-balance",
    "weight-aft",
    "balance-weights",
    "balance-outside",
    "not-counted",
    "gap-restrike",
    "flushness-unjudged",
    "spacing-outside",
    "cause-estimated",
)
NEEDED_RULES = (
    "length_code",
    "length_counts_shank",
    "length_counts_overall",
    "structural_diameter_minimum",
    "diameter_per_sheet_minimum",
    "diameter_per_sheet_maximum",
    "strength_head_diameter",
    "strength_head_diameter_7050",
    "shear_on_hole_area",
    "head_volume_dome",
    "formed_head_volume",
    "same_size_first",
    "weaker_alloy_compensated",
    "substitute_2017_maximum",
    "substitute_2024_maximum",
    "oversize_share_maximum",
    "oversize_count_maximum",
    "oversize_adjacent_maximum",
    "deburr_share_maximum",
    "deburr_depth_maximum",
    "drift_under_shank",
    "squeeze_force_eighth",
    "blind_for_solid",
    "oversize_shank",
    "spares_rate",
    "spares_minimum",
    "thin_sheet_single_slope",
    "thin_sheet_single_start",
    "thin_sheet_double_slope",
    "thin_sheet_double_start",
    "bearing_thinnest",
    "bearing_edge_least",
    "bearing_edge_full",
    "double_shear",
    "lower_governs",
    "row_minimum_three",
    "splice_design_stress",
    "splice_rounding",
    "balance_change",
    "balance_weight",
    "balance_arm",
    "balance_sum",
    "balance_sign",
    "hole_metal_volume",
)
NUMBERED_RULES = (
    "structural_diameter_minimum",
    "diameter_per_sheet_minimum",
    "diameter_per_sheet_maximum",
    "strength_head_diameter",
    "strength_head_diameter_7050",
    "thin_sheet_single_slope",
    "thin_sheet_single_start",
    "thin_sheet_double_slope",
    "thin_sheet_double_start",
    "bearing_thinnest",
    "bearing_edge_least",
    "bearing_edge_full",
    "double_shear",
    "row_minimum_three",
)

_ROUNDING_IN = Fraction(6, 10000)  # documents print three decimals, drills four
_LB_PER_IN3_IN_G_PER_CM3 = 27.679905
_LONGEST_DASH = 128  # sixteenths; no solid rivet is eight inches long
_SANE_TIMES_D = (Fraction("0.2"), Fraction(4))  # formed heads and the shank they are made of
_SANE_HOLE_D = (Fraction("0.95"), Fraction("1.25"))
_MOST_PITCH_D, _MOST_PLUS_IN = 20, Fraction(1, 4)
_SERIES = (("number", re.compile(r"#[1-9][0-9]?")), ("letter", re.compile(r"[A-Z]")))
# A head is two diameters across: below these it would hang over the edge or lie on its neighbour.
# TM 10-7360-208-13&P prints 1/2 D between rows, a lost digit.
_SPACING_FLOORS = {"edge_minimum": 1, "pitch_minimum": 2, "row_minimum": 2, "staggered_pitch_minimum": 2}


def check_edition(edition: Edition) -> list[BrokenEdition]:
    """Return every flaw found in *edition*, each naming table, row and column; empty when it is whole."""
    flaws = [flaw for check in CHECKS for flaw in _run(check, edition)]
    return list({str(flaw): flaw for flaw in flaws}.values())  # one cell may fail for many alloys: said once


def _run(check: Callable[[Edition], Flaws], edition: Edition) -> Flaws:
    """Yield what *check* finds; a table too odd for it is a flaw as well, never an error of the program."""
    try:
        yield from check(edition)
    except (ArithmeticError, LookupError, TypeError, ValueError) as error:
        yield BrokenEdition(edition.name, None, None, f"{check.__name__} cannot be checked: {error!r}")


def _flaw(row: Row, column: str, message: str) -> BrokenEdition:
    return BrokenEdition(row.table, row.line, column, message)


def _rising(rows: list[Row], column: str) -> Flaws:
    for before, after in pairwise(rows):
        if after.number(column) <= before.number(column):
            yield _flaw(after, column, f"{after.text(column)} does not rise above {before.text(column)}")


def diameters_rise_and_agree(edition: Edition) -> Flaws:
    """Dash / 32, the fraction and the decimal are one size; sizes rise down the table."""
    rows = list(edition["diameters"])
    yield from _rising(rows, "nominal_in")
    for row in rows:
        if not row.number("fraction") == row.number("nominal_in") == row.number("dash") / 32:
            yield _flaw(row, "nominal_in", "dash, fraction and decimal are not one size")


def metric_names_are_near(edition: Edition) -> Flaws:
    """A size's name in metric lists is its measure to a tenth of a millimetre."""
    for row in edition["diameters"]:
        name = row.maybe("metric_name_mm")
        if name is not None and abs(name - row.number("nominal_in") * _MM_PER_INCH) > Fraction(1, 10):
            yield _flaw(row, "metric_name_mm", f"{row.text('fraction')} in is another size")


def one_practice_answers_by_default(edition: Edition) -> Flaws:
    """Exactly one practice rules when none is asked for."""
    rows = list(edition["practices"])
    defaults = [row for row in rows if row.flag("default")]
    if not defaults:
        yield _flaw(rows[0], "default", "no practice answers by default")
    for row in defaults[1:]:
        yield _flaw(row, "default", "another practice answers by default")


def lengths_form_a_ladder(edition: Edition) -> Flaws:
    """Every diameter has one ladder of lengths, shorter end first."""
    lengths = {row.text("fraction"): row for row in edition["lengths"]}
    for diameter in edition["diameters"]:
        if diameter.text("fraction") not in lengths:
            yield _flaw(diameter, "fraction", "has no row in lengths")
    for row in lengths.values():
        if row.number("shortest_dash") < 1:
            yield _flaw(row, "shortest_dash", "is no length")
        if row.number("longest_dash") > _LONGEST_DASH:
            yield _flaw(row, "longest_dash", f"is over {_LONGEST_DASH} sixteenths")
        if row.number("shortest_dash") >= row.number("longest_dash"):
            yield _flaw(row, "longest_dash", "is not longer than the shortest")


def drills_rise_in_series(edition: Edition) -> Flaws:
    """Fractions are exact, number drills rise as their numbers fall, letters rise."""
    for row in edition["drills"]:
        if row.text("series") == "fraction" and row.number("drill") != row.number("diameter_in"):
            yield _flaw(row, "diameter_in", "is not the fraction")
    for series in ("number", "letter", "fraction"):
        rows = [row for row in edition["drills"] if row.text("series") == series]
        yield from _rising(rows, "diameter_in")


def drills_are_named_by_series(edition: Edition) -> Flaws:
    """A drill's name tells its series, as answers find it by name: `#30`, `F`, `1/8`."""
    for row in edition["drills"]:
        name = row.text("drill")
        series = next((series for series, form in _SERIES if form.fullmatch(name)), "fraction")
        if row.text("series") != series:
            yield _flaw(row, "series", f"{name} is a {series} drill by its name")


def _drill_sizes(edition: Edition) -> dict[str, Fraction]:
    return {row.text("drill"): row.number("diameter_in") for row in edition["drills"]}


def holes_are_their_drills(edition: Edition) -> Flaws:
    """Printed drill sizes are the drills' own and clear the shank; every diameter has a final drill."""
    drills = _drill_sizes(edition)
    for row in edition["holes"]:
        drill = drills[row.text("drill")]
        if abs(drill - row.number("printed_in")) > _ROUNDING_IN:
            yield _flaw(row, "printed_in", f"{row.text('drill')} is {float(drill)} in the drill table")
        if drill < row.number("fraction"):
            yield _flaw(row, "drill", "is smaller than the rivet")
    for row in edition["diameters"]:
        if edition["holes"].find(row.text("fraction"), "final", "1") is None:
            yield _flaw(row, "fraction", "has no final drill in holes")


def holes_fit_their_limits(edition: Edition) -> Flaws:
    """Limits stand both or neither, near the shank, and the drill lies between them."""
    drills = _drill_sizes(edition)
    least, most = _SANE_HOLE_D
    for row in edition["holes"]:
        low, high = row.maybe("minimum_in"), row.maybe("maximum_in")
        if low is None and high is None:
            continue
        if low is None or high is None:
            yield _flaw(row, "minimum_in" if low is None else "maximum_in", "the other limit stands alone")
        elif not low <= drills[row.text("drill")] <= high:
            yield _flaw(row, "drill", "lies outside the limits of its own row")
        for column in ("minimum_in", "maximum_in"):
            if not least <= (row.maybe(column) or row.number("fraction")) / row.number("fraction") <= most:
                yield _flaw(row, column, f"is not between {float(least)} and {float(most)} D")


def holes_have_a_first_rank(edition: Edition) -> Flaws:
    """Answers give the drill of rank 1: a size that has other ranks has that one."""
    for row in edition["holes"]:
        if edition["holes"].find(row.text("fraction"), row.text("use"), "1") is None:
            yield _flaw(row, "rank", f"{row.text('fraction')} {row.text('use')} has no rank 1")


def pilots_are_no_larger_than_finals(edition: Edition) -> Flaws:
    """A pilot hole can still be opened to the final one."""
    drills = _drill_sizes(edition)
    for row in edition["holes"]:
        final = edition["holes"].find(row.text("fraction"), "final", "1")
        if row.text("use") != "pilot" or final is None:
            continue
        if drills[row.text("drill")] > drills[final.text("drill")]:
            yield _flaw(row, "drill", f"is larger than the final drill, {final.text('drill')}")


def spacing_figures_rise(edition: Edition) -> Flaws:
    """Each practice has its minima, and minimum <= usual <= maximum."""
    for practice in edition["practices"]:
        name = practice.text("practice")
        for heads in ("protruding", "flush"):
            ladder = [_spacing(edition, name, figure, heads) for figure in ("edge_minimum", "edge_maximum")]
            yield from _not_falling(ladder, practice)
        pitches = ("pitch_minimum", "pitch_usual_low", "pitch_usual_high", "pitch_maximum")
        yield from _not_falling([_spacing(edition, name, figure, "any") for figure in pitches], practice)


def _spacing(edition: Edition, practice: str, figure: str, heads: str) -> Row | None:
    table = edition["spacing"]
    return table.find(practice, figure, heads) or table.find(practice, figure, "any")


def _not_falling(ladder: Sequence[Row | None], practice: Row) -> Flaws:
    if ladder[0] is None:
        yield _flaw(practice, "practice", "has no minimum in spacing")
    rows = [row for row in ladder if row is not None]
    for before, after in pairwise(rows):
        if after.number("times_d") < before.number("times_d"):
            yield _flaw(after, "times_d", "falls below the figure it should follow")


def edges_grow_with_the_head(edition: Edition) -> Flaws:
    """A flush rivet keeps at least as far from the edge as a protruding one; layout never goes below the minimum."""
    for practice in edition["practices"]:
        name = practice.text("practice")
        minima = [_spacing(edition, name, "edge_minimum", heads) for heads in ("protruding", "flush")]
        yield from _not_falling(minima, practice)
        for minimum, heads in zip(minima, ("protruding", "flush"), strict=True):
            yield from _not_falling([minimum, _spacing(edition, name, "edge_layout", heads)], practice)


def spacing_leaves_room_for_heads(edition: Edition) -> Flaws:
    """No minimum puts a head over the edge or onto its neighbour; no figure is beyond what any document prints."""
    for row in edition["spacing"]:
        floor = _SPACING_FLOORS.get(row.text("figure"), 1)
        if row.number("times_d") < floor:
            yield _flaw(row, "times_d", f"is under {floor} D: heads would not fit")
        if row.number("times_d") > _MOST_PITCH_D:
            yield _flaw(row, "times_d", f"is over {_MOST_PITCH_D} D")
        if not 0 <= (row.maybe("plus_in") or 0) <= _MOST_PLUS_IN:
            yield _flaw(row, "plus_in", f"is not between 0 and {float(_MOST_PLUS_IN)} in")


def length_rules_cover_every_alloy(edition: Edition) -> Flaws:
    """Each practice and alloy has one minimum and one preferred protrusion, in order."""
    for practice in edition["practices"]:
        for material in edition["materials"]:
            rows = {
                row.text("figure"): row
                for row in edition["length_rules"]
                if row.text("practice") == practice.text("practice") and material.text("alloy") in row.words("alloys")
            }
            if not {"minimum", "preferred"} <= set(rows):
                yield _flaw(material, "alloy", f"has no length rule in practice {practice.text('practice')}")
                continue
            ladder = [rows[figure] for figure in ("minimum", "preferred", "maximum") if figure in rows]
            yield from _not_falling(ladder, practice)


def length_rules_stand_once(edition: Edition) -> Flaws:
    """No practice has two rules of one figure for the same alloy."""
    seen: set[tuple[str, str, str]] = set()
    for row in edition["length_rules"]:
        for alloy in row.words("alloys"):
            rule = (row.text("practice"), row.text("figure"), alloy)
            if rule in seen:
                yield _flaw(row, "alloys", f"a second {rule[1]} for {alloy} in practice {rule[0]}")
            seen.add(rule)


def alloys_are_known(edition: Edition) -> Flaws:
    """Every rule names alloys, and each of them is a material."""
    known = {row.text("alloy") for row in edition["materials"]}
    for table in ("length_rules", "formed_heads"):
        for row in edition[table]:
            for alloy in row.words("alloys"):
                if alloy not in known:
                    yield _flaw(row, "alloys", f"{alloy} is not in materials")


def multiples_are_sane(edition: Edition) -> Flaws:
    """Protrusions and formed heads are neither slivers nor rods: a lost or doubled digit shows."""
    low, high = _SANE_TIMES_D
    for table in ("length_rules", "formed_heads"):
        for row in edition[table]:
            times = row.maybe("times_d")
            if times is not None and not low <= times <= high:
                yield _flaw(row, "times_d", f"{row.text('times_d')} D is not between {float(low)} and {float(high)} D")


def formed_heads_say_one_figure(edition: Edition) -> Flaws:
    """A row gives inches for one diameter, or a multiple for one or any; never both, never neither."""
    low, high = _SANE_TIMES_D
    sizes = {row.text("fraction"): row.number("nominal_in") for row in edition["diameters"]}
    for row in edition["formed_heads"]:
        value, fraction = row.maybe("value_in"), row.text("fraction")
        if (value is None) == (row.maybe("times_d") is None):
            yield _flaw(row, "value_in", "a row gives either inches or a multiple")
        if fraction != "any" and fraction not in sizes:
            yield _flaw(row, "fraction", f"{fraction} is neither any nor in diameters")
        elif value is not None and fraction == "any":
            yield _flaw(row, "fraction", "a figure in inches belongs to one diameter")
        elif value is not None and not low <= value / sizes[fraction] <= high:
            yield _flaw(row, "value_in", f"is not between {float(low)} and {float(high)} D")


def formed_head_ranks_decide(edition: Edition) -> Flaws:
    """No two rows fit one rivet at the same rank: answers never hang on the order of the file."""
    taken: dict[tuple[str, ...], set[str]] = {}
    for row in edition["formed_heads"]:
        fraction = row.text("fraction")
        for alloy in dict.fromkeys(row.words("alloys")):
            place = (row.text("practice"), row.text("figure"), str(row.number("rank")), alloy)
            others = taken.setdefault(place, set())
            if fraction in others or "any" in others or (others and fraction == "any"):
                yield _flaw(row, "rank", f"another row fits {alloy} at rank {row.text('rank')}")
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
            yield _flaw(material, "alloy", f"has no {measure} {end} in practice {practice.text('practice')}")
    minima = [_value(row, size) for row in fits[0]]
    if minima and max(minima) > minima[0] + _ROUNDING_IN:
        yield _flaw(fits[0][0], "rank", f"a stricter minimum is passed over for {fraction}")
    for low, high in pairwise([rows[0] for rows in fits if rows]):
        if _value(high, size) < _value(low, size):
            yield _flaw(high, "times_d", f"falls below the figure it should follow at {fraction}")


def _value(row: Row, size: Fraction) -> Fraction:
    value = row.maybe("value_in")
    return row.number("times_d") * size if value is None else value


def shear_is_area_times_stress(edition: Edition) -> Flaws:
    """Area is that of the hole (or shank) and shear is area x stress, within the documents' rounding."""
    for row in edition["shear"]:
        across = row.maybe("hole_in") or row.number("fraction")
        area = math.pi / 4 * float(across) ** 2
        if abs(area - float(row.number("area_in2"))) > 2e-6:
            yield _flaw(row, "area_in2", f"is not the area of {float(across)} in")
        computed = area * float(row.number("stress_ksi")) * 1000
        printed = float(row.number("single_shear_lbf"))
        # the handbook rounds to 5 lbf above 1000 and takes areas to three figures
        if abs(computed - printed) > max(1.5, 0.003 * printed):
            yield _flaw(row, "single_shear_lbf", f"area x stress is {computed:.0f}")


def material_strength_agrees_with_shear(edition: Edition) -> Flaws:
    """The two tables give one alloy the same shear stress, within what documents differ by."""
    driven = {row.text("alloy"): row for row in edition["shear"] if row.text("condition") == "driven"}
    for row in edition["material_strength"]:
        psi = row.number("shear_psi")
        other = driven.get(row.text("alloy"))
        if other is not None and abs(psi / 1000 / other.number("stress_ksi") - 1) > Fraction(5, 100):
            yield _flaw(row, "shear_psi", f"the shear table says {other.text('stress_ksi')} ksi")


def driven_rivets_have_their_temper(edition: Edition) -> Flaws:
    """Shear of driven rivets is that of the temper the material is driven to."""
    tempers = {row.text("alloy"): row.text("driven_temper") for row in edition["materials"]}
    for row in edition["shear"]:
        if row.text("condition") == "driven" and row.text("temper") != tempers[row.text("alloy")]:
            yield _flaw(row, "temper", f"materials says {tempers[row.text('alloy')]}")


def stresses_are_those_of_metals(edition: Edition) -> Flaws:
    """Shear is 5 to 150 ksi, bearing one to five times it: a lost or doubled digit shows."""
    for row in edition["material_strength"]:
        psi, bearing = row.number("shear_psi"), row.maybe("bearing_psi")
        if not 5_000 <= psi <= 150_000:
            yield _flaw(row, "shear_psi", f"{row.text('shear_psi')} psi is the strength of no rivet")
        if bearing is not None and not psi <= bearing <= 5 * psi:
            yield _flaw(row, "bearing_psi", "is not one to five times the shear strength")


def flush_heads_are_cones(edition: Edition) -> Flaws:
    """Height of a flush head = (head diameter - shank) / (2 tan(half the cone angle))."""
    for row in edition["manufactured_heads"]:
        angle = row.maybe("cone_angle_deg")
        if angle is None or not 0 < angle < 180:
            continue
        slope = 2 * math.tan(math.radians(float(angle) / 2))
        height = (float(row.number("diameter_in")) - float(row.number("fraction"))) / slope
        if abs(height - float(row.number("height_in"))) > 0.0012:
            yield _flaw(row, "height_in", f"the cone is {height:.4f} in high")


def cone_angles_agree(edition: Edition) -> Flaws:
    """A flush head's name tells its angle; its dimensions have the same angle, and its length counts the head."""
    for row in edition["standards"]:
        head = row.text("head")
        flush = "flush" in head
        if row.text("cone_angle_deg") != (head.rpartition("-")[2] if flush else ""):
            yield _flaw(row, "cone_angle_deg", f"is not the angle of {head}")
        if row.text("length_counts") != ("overall" if flush else "shank"):
            yield _flaw(row, "length_counts", f"is not what the length of {head} counts")
    for row in edition["manufactured_heads"]:
        standard = edition["standards"].find(row.text("standard"))
        angle = row.maybe("cone_angle_deg")
        if standard is not None and angle != standard.maybe("cone_angle_deg"):
            yield _flaw(row, "cone_angle_deg", f"is not the angle of {row.text('standard')}")


def heads_are_in_proportion(edition: Edition) -> Flaws:
    """Heads are wider than the shank; protruding ones are 1.5 to 3 D by 0.2 to 1 D, the universal head 2 D across."""
    heads = {row.text("standard"): row.text("head") for row in edition["standards"]}
    for row in edition["manufactured_heads"]:
        size = row.number("fraction")
        across, high = row.number("diameter_in") / size, row.number("height_in") / size
        protruding = not row.text("cone_angle_deg")
        if not (Fraction("1.5") <= across <= 3 if protruding else 1 < across <= 3):
            yield _flaw(row, "diameter_in", f"is {float(across):.2f} D")
        if not (Fraction("0.2") <= high <= 1 if protruding else 0 < high <= 1):
            yield _flaw(row, "height_in", f"is {float(high):.2f} D")
        if heads[row.text("standard")] == "universal" and abs(across - 2) * size > _ROUNDING_IN:
            yield _flaw(row, "diameter_in", "a universal head is 2 D across")


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
            yield _flaw(row, "head", f"{row.text('head')} is not a flush head of standards")
        height = heights.get((row.text("head"), row.text("fraction")), Fraction(0))
        sheet = row.number("sheet_minimum_in")
        if not 0 < sheet <= row.number("fraction") or sheet < height / 4:
            yield _flaw(
                row, "sheet_minimum_in", f"the head is {float(height)} in high, the rivet {row.text('fraction')}"
            )


def larger_heads_need_no_thinner_sheets(edition: Edition) -> Flaws:
    """The thinnest sheet that may be countersunk does not fall as the rivet grows."""
    largest: dict[tuple[str, str], Fraction] = {}
    for row in sorted(edition["countersinks"], key=lambda row: row.number("fraction")):
        kind, sheet = (row.text("practice"), row.text("head")), row.number("sheet_minimum_in")
        if sheet < largest.get(kind, 0):
            yield _flaw(row, "sheet_minimum_in", "a smaller rivet needs a thicker sheet")
        largest[kind] = max(sheet, largest.get(kind, sheet))


def densities_are_of_materials(edition: Edition) -> Flaws:
    """A density is found by the number its material has."""
    numbers = {row.text("number") for row in edition["materials"]}
    for row in edition["densities"]:
        if row.text("number") not in numbers:
            yield _flaw(row, "number", f"{row.text('number')} is not in materials")


def unit_columns_agree(edition: Edition) -> Flaws:
    """g/cm3 and lb/in3 of one material agree within the printed digits."""
    for row in edition["densities"]:
        metric = row.maybe("g_per_cm3")
        inch = float(row.number("lb_per_in3"))
        if not 0.036 < inch < 0.82:  # water and osmium
            yield _flaw(row, "lb_per_in3", f"{inch} lb/in3 is no metal's density")
        if metric is not None and abs(float(metric) / _LB_PER_IN3_IN_G_PER_CM3 - inch) > 0.00065:
            yield _flaw(row, "lb_per_in3", f"{float(metric)} g/cm3 is another density")


def offers_have_a_head(edition: Edition) -> Flaws:
    """Every head standard offers at least one alloy, and every alias leads to one standard."""
    offered = {row.text("standard") for row in edition["offered"]}
    for row in edition["standards"]:
        if row.text("standard") not in offered:
            yield _flaw(row, "standard", "offers no alloy")
        successor = row.text("replaced_by")
        if successor and edition["standards"].find(successor) is None:
            yield _flaw(row, "replaced_by", f"{successor} is not in standards")
    for row in edition["aliases"]:
        if edition["standards"].find(row.text("alias")) is not None:
            yield _flaw(row, "alias", "is a standard of its own")


def numbers_tell_the_alloy(edition: Edition) -> Flaws:
    """No standard writes two alloys alike: a part number has one meaning."""
    seen: set[tuple[str, str]] = set()
    for row in edition["offered"]:
        written = (row.text("standard"), row.text("letters"))
        if written in seen:
            yield _flaw(row, "letters", f"another alloy of {written[0]} is written so")
        seen.add(written)


def named_rows_are_there(edition: Edition) -> Flaws:
    """Every caution that can fire and every rule that answers name has its row."""
    for table, column, names in (("cautions", "code", NEEDED_CAUTIONS), ("rules", "rule", NEEDED_RULES)):
        for name in names:
            if edition[table].find(name) is None:
                yield BrokenEdition(table, None, column, f"answers name {name}, which is not there")
    for row in edition["layer_materials"]:
        hazard = row.text("hazard")
        if hazard != "none" and edition["cautions"].find(hazard) is None:
            yield _flaw(row, "hazard", f"{hazard} is not in cautions")


def numbered_rules_have_numbers(edition: Edition) -> Flaws:
    """The rules that answers count with have a value, in inches or multiples, and no digit doubled."""
    for name in NUMBERED_RULES:
        row = edition["rules"].find(name)
        if row is not None and not 0 < (row.maybe("value") or 0) <= _SANE_TIMES_D[1]:
            yield _flaw(row, "value", f"is not above 0 and up to {_SANE_TIMES_D[1]}")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    diameters_rise_and_agree,
    metric_names_are_near,
    one_practice_answers_by_default,
    lengths_form_a_ladder,
    drills_rise_in_series,
    drills_are_named_by_series,
    holes_are_their_drills,
    holes_fit_their_limits,
    holes_have_a_first_rank,
    pilots_are_no_larger_than_finals,
    spacing_figures_rise,
    edges_grow_with_the_head,
    spacing_leaves_room_for_heads,
    length_rules_cover_every_alloy,
    length_rules_stand_once,
    alloys_are_known,
    multiples_are_sane,
    formed_heads_say_one_figure,
    formed_head_ranks_decide,
    formed_heads_are_ordered,
    shear_is_area_times_stress,
    material_strength_agrees_with_shear,
    driven_rivets_have_their_temper,
    stresses_are_those_of_metals,
    flush_heads_are_cones,
    cone_angles_agree,
    heads_are_in_proportion,
    countersinks_suit_their_heads,
    larger_heads_need_no_thinner_sheets,
    densities_are_of_materials,
    unit_columns_agree,
    offers_have_a_head,
    numbers_tell_the_alloy,
    named_rows_are_there,
    numbered_rules_have_numbers,
    *checks_couple.CHECKS,
    *checks_order.CHECKS,
    *checks_joint.CHECKS,
    *checks_inspect.CHECKS,
)


def main(arguments: list[str]) -> int:
    """Print the flaws of an edition, or that it is whole, and with `--stamp` note its digest; return the exit code."""
    names = [word for word in arguments if not word.startswith("-")]
    try:
        edition = load_edition(names[0] if names else None)
        for table in edition.tables.values():
            check_references(table, edition.tables)
    except TablesError as error:
        print(error, file=sys.stderr)
        return 1
    flaws = check_edition(edition)
    for flaw in flaws:
        print(flaw, file=sys.stderr)
    rows = sum(len(table) for table in edition.tables.values())
    print(f"{edition.name} ({edition.status}) {edition.sha256}: {len(edition.tables)} tables, {rows} rows, ", end="")
    print(f"{len(CHECKS)} relations, {len(flaws)} flaws")
    if "--stamp" in arguments and not flaws:
        stamp(edition)
    return 1 if flaws else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
