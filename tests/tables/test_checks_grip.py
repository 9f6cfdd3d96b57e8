"""The relations of fasteners chosen by grip: one figure spoiled at a time is found where it stands."""

from __future__ import annotations

import pytest
from tests.tables.spoiling import Copy

from bucktail_tables import checks_bolts, checks_grip, checks_grip_names
from bucktail_tables.check import CHECKS, check_edition


@pytest.fixture
def copy(tmp_path):
    return Copy(tmp_path)


def flaws(copy):
    return [(flaw.table, flaw.row, flaw.column) for flaw in check_edition(copy.load())]


# table, row, column and its spoiled cell, then table, row and column where the check says so, when they are others
SPOILED = [
    # AN dash ladders
    ("bolt_grips", ("AN4", "10"), "dash", "18", None, ("AN4", "18"), None),
    ("bolt_grips", ("AN4", "12"), "dash", "52", None, ("AN4", "52"), None),
    ("bolt_grips", ("AN5", "10"), "length_in", "1.064"),  # as the table prints it
    ("bolt_grips", ("AN3", "17"), "length_in", "1.609"),
    ("bolt_grips", ("AN3", "10"), "grip_in", "0.6875"),
    ("bolt_grips", ("AN3", "3"), "grip_in", "0.0625"),
    ("bolt_grips", ("AN4", "3"), "length_in", "0.406"),
    ("bolt_grips", ("AN4", "3"), "grip_in", "0.073"),
    ("bolt_grips", ("AN4", "4"), "grip_in", "0.050"),
    ("bolt_grips", ("AN6", "14"), "length_in", "1.587"),
    ("bolt_series", ("AN4",), "thread_length_in", "0.496", "bolt_grips", ("AN4", "10"), "length_in"),
    # threads and sizes
    ("bolt_series", ("AN5",), "nominal_in", "0.3215"),
    ("bolt_series", ("NAS6204",), "fraction", "5/16"),
    ("bolt_series", ("AN6",), "threads_per_inch", "42"),
    ("bolt_series", ("NAS6205",), "thread", "5/16-18", None, None, "threads_per_inch"),
    ("bolt_series", ("NAS6205",), "thread", "5/16-42"),
    ("bolt_series", ("AN3",), "thread", "3/16-32"),
    ("bolt_series", ("AN4",), "form", "UNJF"),
    ("bolt_series", ("NAS6204",), "form", ""),
    ("bolt_series", ("NAS6604",), "form", "UNFJ"),
    ("bolt_series", ("NAS6203",), "thread_length_in", "0.0323"),
    ("bolt_series", ("NAS6203",), "thread_length_in", "3.23"),
    ("bolt_series", ("NAS6603",), "incomplete_thread_in", "0.39", None, None, "thread_length_in"),
    ("torques", ("1/2-20",), "thread", "1/2-02", "bolt_series", ("AN8",), "thread"),
    ("grip_standards", ("AN4",), "sizes", "5"),
    ("grip_standards", ("NAS1104",), "sizes", "40"),
    # shanks
    ("bolt_shanks", ("NAS6204",), "maximum_in", "0.2505"),
    ("bolt_shanks", ("NAS6203",), "minimum_in", "0.1855"),
    ("bolt_shanks", ("AN3",), "maximum_in", "0.198"),
    ("bolt_shanks", ("AN6",), "minimum_in", "0.317", None, None, "maximum_in"),
    ("bolt_shanks", ("AN5",), "minimum_in", "0.308"),
    ("bolt_shanks", ("AN4",), "standard", "AN9", None, ("AN9",), None),
    # cotter pins
    ("cotters", ("5/16",), "size", "3/32 x 3/4"),
    ("cotters", ("3/8",), "size", "1/32 x 3/4"),
    ("cotters", ("3/8",), "fraction", "3/4", None, ("3/4",), None),
    ("bolt_series", ("NAS6206",), "cotter_hole_maximum_in", "0.161"),
    ("bolt_series", ("NAS6203",), "cotter_hole_minimum_in", "0.007", None, None, "cotter_hole_maximum_in"),
    # torques
    ("torques", ("1/4-28",), "tension_minimum", "70", None, None, "tension_maximum"),
    ("torques", ("1/4-28",), "shear_maximum", "70"),
    ("torques", ("3/8-24",), "tension_allowable", "39", None, None, "tension_maximum"),
    ("torques", ("3/8-24",), "shear_allowable", "420"),
    ("torques", ("1/4-20",), "tension_minimum", "4", None, None, "tension_minimum"),
    ("torques", ("9/16-18",), "tension_maximum", "680"),
    ("torques", ("7/8-9",), "shear_minimum", "3100"),
    # washers, nuts
    ("washers", ("AN960-416",), "inside_in", "0.25"),
    ("washers", ("AN960-10",), "inside_in", "0.230"),
    ("washers", ("AN960-616",), "outside_in", "0.39"),
    ("washers", ("AN960-816",), "thickness_in", "0.036"),
    ("washers", ("AN960-416L",), "thickness_in", "0.023"),
    ("washers", ("AN960-716",), "fraction", "7/8"),
    ("nut_sizes", ("AN310", "1/4"), "fraction", "1/5", None, ("AN310", "1/5"), None),
    ("nut_sizes", ("AN310", "1/4"), "number", "AN320-4"),
    ("nut_sizes", ("AN365", "3/8"), "height_in", "0.648"),
    ("nut_sizes", ("AN365", "1/4"), "height_in", "0.203"),
    # strength
    ("grip_strength", ("AN-bolt", "steel", "3/16"), "single_shear_lbf", "2310"),
    ("grip_strength", ("AN-bolt", "steel", "5/16"), "tension_lbf", "650"),
    ("grip_strength", ("AN-bolt", "steel", "3/8"), "tension_lbf", "14100"),
    ("grip_strength", ("NAS62", "steel"), "shear_psi", "9500"),
    ("grip_strength", ("NAS1398", "B"), "tension_psi", "280000"),
    ("grip_strength", ("MS20600", "AD"), "shear_psi", ""),
    ("grip_strength", ("NAS1398", "B"), "alloy", "AD", None, ("NAS1398", "AD"), None),
    # ladders and ranges
    ("grip_ladders", ("maximum-nas",), "below_in", "0.0265"),
    ("grip_ladders", ("maximum-nas",), "last", "16"),
    ("grip_ladders", ("break-stem",), "last", "10"),
    ("grip_ladders", ("lockbolt",), "above_in", "0.0625", None, None, "below_in"),
    ("grip_ladders", ("lockbolt",), "above_in", ""),
    ("grip_ladders", ("lockbolt",), "last", "0"),
    ("grip_ladders", ("exact",), "last", ""),
    ("grip_ladders", ("exact",), "last", "10", None, None, "even_over"),
    ("grip_ladders", ("exact",), "even_over", "23"),
    ("grip_ladders", ("exact",), "even_over", "22"),
    ("grip_ladders", ("exact",), "even_over", "320"),
    ("grip_ladders", ("exact",), "even_over", "", "grip_ladders", ("sixteenths",), "last"),
    ("grip_ladders", ("sixteenths",), "last", "100"),
    ("grip_ladders", ("sixteenths",), "even_over", "16"),
    ("grip_ladders", ("lockbolt",), "even_over", "8"),
    ("grip_ladders", ("maximum-nas",), "least_in", "0.20"),
    ("grip_ranges", ("mechanically-locked", "any", "3"), "minimum_in", "0.152"),
    ("grip_ranges", ("mechanically-locked", "any", "3"), "minimum_in", ""),
    ("grip_ranges", ("mechanically-locked", "any", "12"), "maximum_in", "0.57"),
    ("grip_ranges", ("lockbolt", "any", "5"), "minimum_in", "0.2182"),
    ("grip_ranges", ("lockbolt", "any", "5"), "maximum_in", "0.3483"),
    ("grip_ranges", ("lockbolt", "any", "16"), "number", "17", "grip_ladders", ("lockbolt",), "last"),
    ("grip_ranges", ("break-stem", "4", "3"), "maximum_in", "0.178"),
    ("grip_ranges", ("break-stem", "4", "3"), "minimum_in", "0.125"),
    ("grip_ranges", ("break-stem", "4", "3"), "minimum_in", "0.216"),
    ("grip_ranges", ("break-stem", "4", "3"), "length_in", "0.187"),
    ("grip_ranges", ("break-stem", "4", "2"), "length_in", "0.302", None, ("break-stem", "4", "3"), None),
    ("grip_ranges", ("break-stem", "5", "3"), "number", "7", None, ("break-stem", "5", "4"), None),
    ("grip_ranges", ("break-stem", "8", "8"), "diameter", "10", None, ("break-stem", "10"), None),
    ("grip_ranges", ("break-stem", "8", "8"), "diameter", "7", None, ("break-stem", "7"), None),
    ("grip_ranges", ("lockbolt", "any", "5"), "ladder", "lock-bolt", None, ("lock-bolt",), None),
    # holes
    ("grip_holes", ("locked", "5/32"), "drill", "#30"),
    ("grip_holes", ("locked", "5/32"), "minimum_in", "0.162", None, None, "drill"),
    ("grip_holes", ("locked", "5/32"), "minimum_in", "0.106"),
    ("grip_holes", ("locked", "1/4"), "maximum_in", "0.251", None, None, "minimum_in"),
    ("grip_holes", ("locked", "1/4"), "maximum_in", "0.291"),
    ("grip_holes", ("locked", "1/4"), "maximum_in", ""),
    ("grip_holes", ("locked", "1/8"), "drill", "#29"),
    ("grip_holes", ("break-stem", "3/16"), "drill", "#12"),
    ("grip_holes", ("pull-stem", "3/16"), "drill", "#12"),
    ("grip_holes", ("pull-stem", "1/8"), "maximum_in", "0.133"),
    ("grip_holes", ("pull-stem", "1/8"), "minimum_in", "0.127"),
    ("grip_holes", ("pull-stem", "1/4"), "fraction", "3/8", None, ("pull-stem", "3/8"), None),
    ("grip_holes", ("break-stem", "1/8"), "shank_in", "0.152"),
    ("grip_holes", ("locked-oversize", "1/8"), "shank_in", "0.125"),
    ("grip_holes", ("locked-oversize", "1/8"), "shank_in", ""),
    ("grip_holes", ("an-bolt", "1/4"), "drill", "E"),
    ("grip_holes", ("an-bolt", "3/8"), "drill", "W"),
    ("grip_holes", ("an-bolt", "3/8"), "fraction", "1/2", None, ("an-bolt", "1/2"), None),
    ("grip_holes", ("an-bolt", "1/4"), "fit", "", None, None, "minimum_in"),
    # flush heads
    ("grip_heads", ("blind-flush", "1/8", "diameter"), "maximum_in", "0.218"),
    ("grip_heads", ("blind-flush", "1/8", "diameter"), "maximum_in", "0.282"),
    ("grip_heads", ("blind-flush", "1/8", "sheet"), "minimum_in", "0.5"),
    ("grip_heads", ("blind-flush", "5/32", "sheet"), "minimum_in", "0.046"),
    ("grip_heads", ("NAS1921", "1/8", "diameter"), "maximum_in", "0.252"),
    ("grip_heads", ("NAS1921", "5/32", "diameter"), "maximum_in", "0.156"),
    ("grip_heads", ("NAS1921", "1/4", "diameter"), "maximum_in", ""),
    ("grip_heads", ("NAS1921", "5/32", "shank"), "maximum_in", "0.1695"),
    ("grip_heads", ("NAS1921", "1/4", "shank"), "minimum_in", "0.239"),
    ("grip_heads", ("NAS1921", "1/4", "shank"), "fraction", "3/8", None, ("NAS1921", "3/8"), None),
    ("grip_heads", ("NAS1921", "1/4", "shank"), "heads", "NAS1912", None, ("NAS1912",), None),
    # pins
    ("pin_protrusions", ("threaded-collar", "3/16"), "maximum_in", "0.379"),
    ("pin_protrusions", ("threaded-collar", "1/4"), "minimum_in", "0.238"),
    ("pin_protrusions", ("threaded-collar", "5/32"), "standard", "threaded", None, ("threaded",), None),
    (
        "pin_protrusions",
        ("threaded-collar", "1/4"),
        "fraction",
        "7/16",
        "grip_standards",
        ("threaded-collar",),
        "sizes",
    ),
    ("collars", ("NAS529", "4"), "last_dash", "14", None, ("NAS529", "14"), "first_dash"),
    ("collars", ("NAS529", "4"), "last_dash", "3"),
    ("collars", ("NAS529", "4"), "last_dash", ""),
    ("collars", ("NAS7034",), "last_dash", "32"),
    ("collars", ("NAS1054", "4"), "first_dash", "", None, ("NAS1054", ""), "last_dash"),
    ("collars", ("NAS1054", "4"), "last_dash", "10", "grip_standards", ("NAS1054",), "sizes"),
    ("collars", ("NAS1054", "4"), "pin", "NAS1045", None, ("NAS1045",), None),
    # standards
    ("grip_standards", ("NAS1398",), "ladder", ""),
    ("grip_standards", ("NAS1398",), "ladder", "maximum"),
    ("grip_standards", ("NAS1738",), "holes", "oversize"),
    ("grip_standards", ("NAS1738",), "sizes", "4 5 6 10"),
    ("grip_standards", ("NAS1399",), "offers", "NAS1399"),
    ("grip_standards", ("NAS6204",), "nut", ""),
    ("grip_standards", ("NAS6204",), "nut", "MS21402"),
    ("grip_standards", ("NAS6204",), "nut", "MS21042 AN356"),
    ("grip_standards", ("NAS6204",), "ladder", "sixteenths"),
    ("grip_standards", ("NAS6304",), "ladder", "exact"),
    ("grip_standards", ("NAS464",), "ladder", "exact"),
    ("grip_standards", ("NAS1399",), "cone_angle_deg", "10"),
    ("grip_standards", ("NAS1399",), "cone_angle_deg", ""),
    ("grip_standards", ("NAS1398",), "cone_angle_deg", "100"),
    ("grip_standards", ("NAS1054",), "sizes", "4 5 6 8 10 11"),
    ("grip_standards", ("NAS1054",), "collar", "NAS1055"),
    ("grip_standards", ("AN9",), "missing", "", None, None, "ladder"),
    ("grip_standards", ("NAS6309",), "missing", "", None, None, "standard"),
    ("grip_offered", ("NAS1398", "B"), "offers", "NAS1389", None, ("NAS1389",), None),
    ("grip_offered", ("NAS1398", "M"), "material", "moneel"),
    ("grip_offered", ("NAS1398", "M"), "letters", "B"),
    ("grip_holes", ("locked", "1/4"), "holes", "lockde", None, ("lockde",), None),
    # limits and rules
    ("grip_inspection", ("lock_collar",), "value", "2"),
    ("grip_inspection", ("stem_push",), "value", "0"),
    ("grip_inspection", ("blind_gap",), "value", ""),
    ("grip_inspection", ("blind_gap",), "unit", ""),
    ("grip_inspection", ("grip_mark",), "value", "1"),
    ("rules", ("grip_stack_tolerance",), "value", "0.625"),
    ("rules", ("threaded_counterbore",), "value", "0.0265"),
    ("rules", ("washers_height_most",), "value", "0.25"),
    ("rules", ("lockbolt_hole_most",), "value", "0.0003", None, ("lockbolt_hole_least",), None),
    ("rules", ("thread_past_nut_military",), "value", "2.5"),
    ("rules", ("thread_in_hole_military",), "value", "20"),
    ("rules", ("washers_most",), "value", "30"),
    ("rules", ("washers_most",), "value", "2", None, ("washers_side_most",), None),
    ("rules", ("grip_near_boundary",), "value", "0.5"),
    ("rules", ("bolt_floor_steel",), "value", "1.875"),
]


@pytest.mark.parametrize("case", SPOILED, ids=lambda case: f"{case[0]} {' '.join(case[1])} {case[2]} {case[3]}")
def test_one_spoiled_cell_is_found_where_it_stands(copy, case):
    table, key, column, cell, *where = case
    found_table, found_key, found_column = where or (None, None, None)
    line = copy.find(table, *key)
    copy.put(table, line, column, cell)
    found = flaws(copy)
    if found_table or found_key:
        line = copy.find(found_table or table, *(found_key or key))
    assert (found_table or table, line, found_column or column) in found


# rows to drop, then table, row and column where the check misses them
DROPPED = [
    ("bolt_grips", ("AN4", "12"), ("bolt_grips", ("AN4", "13"), "dash")),
    ("bolt_series", ("NAS6204",), ("grip_standards", ("NAS6204",), "standard")),
    ("grip_holes", ("locked", "1/4"), ("grip_standards", ("NAS1398",), "sizes")),
    ("grip_ladders", ("exact",), ("grip_standards", ("NAS6204",), "ladder")),
    ("grip_offered", ("M7885",), ("grip_standards", ("M7885/2",), "offers")),
    ("collars", ("NAS1054",), ("grip_standards", ("NAS1054",), "collar")),
    ("grip_holes", ("break-stem", "1/8"), ("grip_holes", ("pull-stem", "1/8"), "fraction")),
    ("pin_protrusions", ("threaded-collar", "3/8"), ("grip_standards", ("threaded-collar",), "sizes")),
    ("washers", ("AN960-416",), ("washers", ("AN960-416L",), "thickness_in")),
    ("grip_ranges", ("lockbolt", "any", "16"), ("grip_ladders", ("lockbolt",), "last")),
]


@pytest.mark.parametrize(("table", "key", "found"), DROPPED, ids=lambda part: " ".join(map(str, part)))
def test_a_row_that_others_need_is_missed_when_it_goes(copy, table, key, found):
    copy.drop(table, copy.find(table, *key))
    where, row, column = found
    assert (where, copy.find(where, *row), column) in flaws(copy)


def test_a_fit_whose_rule_is_gone_is_found(copy):
    copy.drop("rules", copy.find("rules", "pin_hole_swaged"))
    assert ("rules", None, "rule") in flaws(copy)


def test_a_nut_that_comes_in_no_size_is_found(copy):
    lines = [at for at, row in enumerate(copy.rows("nut_sizes"), 1) if row[0] == "AN320"]
    copy.drop("nut_sizes", *lines)
    assert ("nuts", copy.find("nuts", "AN320"), "nut") in flaws(copy)


def test_every_relation_of_grips_is_among_the_checks():
    for module in (checks_grip, checks_grip_names, checks_bolts):
        assert set(module.CHECKS) <= set(CHECKS)
        public = [
            check
            for name, check in vars(module).items()
            if getattr(check, "__module__", "") == module.__name__ and name[0] != "_"
        ]
        assert set(public) == set(module.CHECKS)
