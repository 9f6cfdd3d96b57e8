"""Relations between tables: one figure spoiled at a time is found by its relation, where it stands."""

from __future__ import annotations

import pytest
from tests.tables.spoiling import Copy

from bucktail_tables import checks_truth as truth
from bucktail_tables.load import edition_names, load_edition


@pytest.fixture
def copy(tmp_path):
    return Copy(tmp_path)


def found(copy, relation):
    return {(flaw.table, flaw.row, flaw.column) for flaw in relation(copy.load())}


# relation, then table, key, column and its spoiled cell, then the column that the flaw names when it is another
SPOILED = [
    # a universal head is 2 D across (German notes): at 0.9 D from the edge it hangs over
    (truth.heads_lie_on_the_sheet, "spacing", ("civil", "edge_minimum", "protruding"), "times_d", "0.9"),
    (truth.heads_lie_on_the_sheet, "spacing", ("military", "pitch_minimum", "any"), "times_d", "1.9"),
    (truth.heads_lie_on_the_sheet, "spacing", ("civil", "staggered_pitch_minimum", "any"), "times_d", "1.9"),
    (truth.formed_heads_lie_on_the_sheet, "formed_heads", ("civil", "A AD B DD"), "times_d", "4.1"),
    (truth.edges_are_inside_the_bearing_tables, "spacing", ("military", "edge_minimum", "flush"), "times_d", "1.25"),
    (truth.edges_are_inside_the_bearing_tables, "spacing", ("civil", "edge_minimum", "threaded"), "times_d", "0.2"),
    # TM 9-2320-363-34-2 Table 4 prints 0.050 for 1/8, 0.072 for 1/4
    (
        truth.countersunk_sheets_hold_the_head,
        "countersinks",
        ("military", "flush-100", "1/8"),
        "sheet_minimum_in",
        "0.040",
    ),
    (
        truth.countersunk_sheets_hold_the_head,
        "countersinks",
        ("military", "flush-100", "1/4"),
        "sheet_minimum_in",
        "0.07",
    ),
    (
        truth.countersunk_sheets_hold_the_head,
        "countersinks",
        ("civil", "flush-100", "1/8"),
        "sheet_minimum_in",
        "0.004",
    ),
    (truth.blind_and_solid_heads_need_one_sheet, "grip_heads", ("blind-flush", "5/32", "sheet"), "minimum_in", "0.063"),
    (truth.reduced_heads_are_smaller, "manufactured_heads", ("NAS1097", "1/8"), "diameter_in", "0.226"),
    (truth.reduced_heads_are_smaller, "manufactured_heads", ("NAS1097", "1/8"), "height_in", "0.042"),
    # between #23 and #21 it still rises; the service and repair manual of the 1940s prints .157
    (truth.drills_are_as_printed_elsewhere, "drills", ("number", "#22"), "diameter_in", "0.158"),
    (truth.drills_are_as_printed_elsewhere, "drills", ("number", "#30"), "diameter_in", "0.1295"),
    (truth.strength_rests_on_one_hole, "shear", ("AD", "driven", "1/8"), "hole_in", "0.128"),
    (truth.shanks_pass_their_drill, "shank_tolerances", ("1/8",), "plus_in", "0.004"),
    (truth.shanks_pass_their_drill, "shank_tolerances", ("5/32",), "plus_in", "0.004"),
    (truth.one_metal_has_one_density, "layer_materials", ("2117",), "g_per_cm3", "2.57"),
    (truth.one_metal_has_one_density, "layer_materials", ("monel",), "g_per_cm3", "8.08"),
    (truth.counts_follow_hole_and_sheet, "splice_counts", ("4-9", "0.016", "1/8"), "per_inch", "4.7"),
    (truth.counts_follow_hole_and_sheet, "splice_counts", ("4-9", "0.032", "5/32"), "per_inch", "3.8"),
    (truth.counts_follow_hole_and_sheet, "splice_counts", ("4-11", "0.081", "AN-3 bolt"), "per_inch", "2.3"),
    (truth.counted_sheets_are_gauges, "splice_counts", ("4-9", "0.016", "1/8"), "thickness_in", "0.061"),
    (truth.bearing_sheets_are_thick_enough, "unit_bearing", ("1/4", "0.05"), "sheet_in", "0.04"),
    (truth.flush_joints_gain_with_the_sheet, "flush_joints", ("AD", "1/8", "0.063", "countersunk"), "load_lbf", "336"),
    (
        truth.flush_joints_gain_with_the_sheet,
        "flush_joints",
        ("AD", "3/32", "0.063", "countersunk", "ultimate"),
        "load_lbf",
        "261",
    ),
    (
        truth.flush_joints_gain_with_the_sheet,
        "flush_joints",
        ("AD", "3/32", "0.032", "countersunk", "yield"),
        "load_lbf",
        "183",
    ),
    # FAA AC 43.13-1B Table 7-1 prints 100 for 1/4-28
    (truth.torques_leave_the_bolt_whole, "torques", ("1/4-28",), "tension_allowable", "1000"),
    (truth.other_names_are_of_one_number, "aliases", ("AN470",), "standard", "MS20426", "alias"),
    (truth.other_names_are_of_one_number, "aliases", ("NASM20470",), "standard", "MS20426", "alias"),
]


@pytest.mark.parametrize("case", SPOILED, ids=lambda case: f"{case[0].__name__} {' '.join(case[2])} {case[4]}")
def test_one_spoiled_cell_is_found_where_it_stands(copy, case):
    relation, table, key, column, cell, *where = case
    lines = [at for at, row in enumerate(copy.rows(table), 1) if row[: len(key)] == list(key)]
    line = lines[-1]  # of formed heads the last row of a rule is its maximum
    copy.put(table, line, column, cell)
    assert (table, line, (*where, column)[0]) in found(copy, relation)


@pytest.mark.parametrize("name", ["#1", "#43", "#80"])
def test_a_drill_that_is_gone_is_missed(copy, name):
    copy.drop("drills", copy.find("drills", "number", name))
    assert {flaw.message for flaw in truth.drills_are_all_there(copy.load())} == {f"{name} is missing"}


def test_a_share_in_shear_that_is_wrong_shows_in_the_counts(copy):
    # FAA AC 43.13-1B Table 4-11, engineering note b: 70 percent
    copy.put("splice_tables", copy.find("splice_tables", "4-11"), "shear_percent", "60")
    assert {table for table, _, _ in found(copy, truth.counts_follow_hole_and_sheet)} == {"splice_counts"}


def test_every_relation_is_spoiled_by_some_cell():
    tested = {case[0] for case in SPOILED} | {truth.drills_are_all_there}
    assert set(truth.CHECKS) == tested


@pytest.mark.parametrize("name", edition_names())
@pytest.mark.parametrize("relation", truth.CHECKS, ids=lambda relation: relation.__name__)
def test_every_relation_holds_for_every_edition(relation, name):
    assert list(relation(load_edition(name))) == []


@pytest.mark.parametrize("entry", truth.EXCEPTIONS, ids=lambda entry: f"{entry.table} {' '.join(entry.key)}")
def test_a_row_left_aside_is_there_and_has_the_figure_printed(entry):
    for name in edition_names():
        row = load_edition(name)[entry.table].find(*entry.key)
        assert row is not None
        assert row.text(entry.column) == entry.printed


@pytest.mark.parametrize("entry", truth.EXCEPTIONS, ids=lambda entry: f"{entry.table} {' '.join(entry.key)}")
def test_a_row_is_left_aside_only_where_its_relation_does_not_hold(entry, monkeypatch):
    monkeypatch.setattr(truth, "_ASIDE", {})
    edition = load_edition()
    flaws = {(flaw.table, flaw.row, flaw.column) for relation in truth.CHECKS for flaw in relation(edition)}
    assert (entry.table, edition[entry.table].find(*entry.key).line, entry.column) in flaws
