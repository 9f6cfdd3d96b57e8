"""Relations of names: what answers name is there, and names lead where they should."""

from __future__ import annotations

from collections.abc import Callable

from bucktail_tables.errors import BrokenEdition
from bucktail_tables.flaws import SANE_TIMES_D, Flaws, flaw
from bucktail_tables.model import Edition

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
    "grip-boundary",
    "grip-straddled",
    "grip-unverified",
    "not-for-aircraft",
    "blind-limits",
    "blind-clearance",
    "dimpled-stack",
    "preparation-unsaid",
    "oversize-shank",
    "gauge-reading",
    "pin-shear-only",
    "pin-grip-short",
    "lockbolt-collar",
    "lockbolt-width",
    "self-locking-rotation",
    "shear-nut",
    "castle-cotter",
    "check-nut",
    "torque-dry",
    "bolt-too-small",
    "close-tolerance",
    "thread-long",
    "thread-short",
    "nut-height-unknown",
    "washer-metal",
    "bolt-step",
    "torque-drag",
    "torque-over",
    "couple-of-fastener",
    "head-washer-left-out",
    "washers-high",
    "hardware-apart",
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
    "diameter_code",
    "grip_upper_bound",
    "grip_near_boundary",
    "grip_stack_tolerance",
    "grip_double_dimple",
    "hook_gauge",
    "grip_measure_clamped",
    "bolt_grip_civil",
    "bolt_grip_military",
    "thread_in_hole_civil",
    "thread_in_hole_military",
    "thread_past_nut_civil",
    "thread_past_nut_military",
    "thread_past_nut_most",
    "washers_head_civil",
    "washers_head_military",
    "washers_nut_least",
    "washers_side_most",
    "washers_most",
    "washers_height_most",
    "torque_drag",
    "cotter_alignment",
    "cotter_stands_over",
    "bolt_floor_steel",
    "bolt_floor_aluminium",
    "bolt_direction",
    "close_tolerance_fit",
    "bolt_shear_area",
    "pin_grip_least",
    "pin_shear_only",
    "pin_shear_as_bolt",
    "pin_hole_swaged",
    "pin_chamfer",
    "lockbolt_hole_least",
    "lockbolt_hole_most",
    "lockbolt_collar",
    "lockbolt_gauge",
    "threaded_hole_most",
    "threaded_counterbore",
    "flush_head_height",
    "superseded_NAS178",
    "oversize_blind",
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
    "grip_near_boundary",
    "grip_stack_tolerance",
    "thread_in_hole_military",
    "thread_past_nut_civil",
    "thread_past_nut_military",
    "thread_past_nut_most",
    "washers_nut_least",
    "washers_side_most",
    "washers_most",
    "washers_height_most",
    "bolt_floor_steel",
    "bolt_floor_aluminium",
    "pin_grip_least",
    "pin_hole_swaged",
    "lockbolt_hole_least",
    "lockbolt_hole_most",
    "threaded_hole_most",
    "threaded_counterbore",
)


def one_practice_answers_by_default(edition: Edition) -> Flaws:
    """Exactly one practice rules when none is asked for."""
    rows = list(edition["practices"])
    defaults = [row for row in rows if row.flag("default")]
    if not defaults:
        yield flaw(rows[0], "default", "no practice answers by default")
    for row in defaults[1:]:
        yield flaw(row, "default", "another practice answers by default")


def alloys_are_known(edition: Edition) -> Flaws:
    """Every rule names alloys, and each of them is a material."""
    known = {row.text("alloy") for row in edition["materials"]}
    for table in ("length_rules", "formed_heads"):
        for row in edition[table]:
            for alloy in row.words("alloys"):
                if alloy not in known:
                    yield flaw(row, "alloys", f"{alloy} is not in materials")


def offers_have_a_head(edition: Edition) -> Flaws:
    """Every head standard offers at least one alloy, and every alias leads to one standard."""
    offered = {row.text("standard") for row in edition["offered"]}
    for row in edition["standards"]:
        if row.text("standard") not in offered:
            yield flaw(row, "standard", "offers no alloy")
        successor = row.text("replaced_by")
        if successor and edition["standards"].find(successor) is None:
            yield flaw(row, "replaced_by", f"{successor} is not in standards")
    for row in edition["aliases"]:
        if edition["standards"].find(row.text("alias")) is not None:
            yield flaw(row, "alias", "is a standard of its own")


def numbers_tell_the_alloy(edition: Edition) -> Flaws:
    """No standard writes two alloys alike: a part number has one meaning."""
    seen: set[tuple[str, str]] = set()
    for row in edition["offered"]:
        written = (row.text("standard"), row.text("letters"))
        if written in seen:
            yield flaw(row, "letters", f"another alloy of {written[0]} is written so")
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
            yield flaw(row, "hazard", f"{hazard} is not in cautions")


def numbered_rules_have_numbers(edition: Edition) -> Flaws:
    """The rules that answers count with have a value, in inches or multiples, and no digit doubled."""
    for name in NUMBERED_RULES:
        row = edition["rules"].find(name)
        if row is not None and not 0 < (row.maybe("value") or 0) <= SANE_TIMES_D[1]:
            yield flaw(row, "value", f"is not above 0 and up to {SANE_TIMES_D[1]}")


CHECKS: tuple[Callable[[Edition], Flaws], ...] = (
    one_practice_answers_by_default,
    alloys_are_known,
    offers_have_a_head,
    numbers_tell_the_alloy,
    named_rows_are_there,
    numbered_rules_have_numbers,
)
