"""The joint relations each find the table that breaks them."""

from __future__ import annotations

import pytest
from tests.tables.spoiling import Copy

from bucktail_tables.check import check_edition


@pytest.fixture
def copy(tmp_path):
    return Copy(tmp_path)


def flaws(copy):
    return [(flaw.table, flaw.row, flaw.column) for flaw in check_edition(copy.load())]


@pytest.mark.parametrize(
    ("table", "key", "column", "cell"),
    [
        ("thin_sheet_factors", ("single", "1/8", "0.04"), "factor", "0.959"),
        ("thin_sheet_factors", ("double", "3/8", "0.25"), "factor", "1.1"),
        ("unit_bearing", ("1/8", "0.04"), "bearing_lbf", "541"),
        ("unit_bearing", ("1/8", "0.04"), "hole_in", "0.128"),
        ("bearing_allowables", ("2024-T3 clad", "0.010"), "fbru_15_ksi", "122"),
        ("bearing_allowables", ("6061-T6",), "fbru_15_ksi", "6.7"),
        ("bearing_allowables", ("2024-T3 bare",), "fbru_15_b_ksi", "100"),
        ("bearing_allowables", ("2024-T3 clad", "0.063"), "from_in", "0.060"),
        ("bearing_allowables", ("6061-T6",), "to_in", "0.001"),
        ("bearing_allowables", ("6061-T6",), "names", "6061-T6"),
        ("bearing_allowables", ("6061-T6",), "names", "7075-t6"),
        ("splice_counts", ("4-9", "0.064", "5/32"), "per_inch", "0.81"),
        ("splice_counts", ("4-10", "0.032", "3/32"), "per_inch", "4.8"),
        ("splice_members", ("frame",), "percent", "160"),
        ("handbook_shear", ("2017", "1/8"), "shear_lbf", "386"),
        ("handbook_bearing", ("1/8", "0.032"), "bearing_lbf", "32.8"),
        ("rules", ("splice_design_stress",), "value", "7500"),
        ("rules", ("bearing_thinnest",), "value", "18"),
        ("flush_joints", ("AD", "1/8", "0.04", "dimpled", "ultimate"), "load_lbf", "3880"),
    ],
    ids=lambda part: "/".join(part) if isinstance(part, tuple) else part,
)
def test_a_broken_relation_is_found_in_its_row(copy, table, key, column, cell):
    line = copy.find(table, *key)
    copy.put(table, line, column, cell)
    places = {(where, name) for where, _, name in flaws(copy)}
    assert (table, column) in places or (table, {"fbru_15_ksi": "fbru_20_ksi"}.get(column)) in places


def test_a_splice_takes_all_of_the_table(copy):
    copy.put("splice_members", copy.find("splice_members", "splice"), "percent", "90")
    assert ("splice_members", None, "percent") in flaws(copy)
