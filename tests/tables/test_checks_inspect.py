"""The relations of what a driven rivet is held to: one spoiled cell at a time is found where it stands."""

from __future__ import annotations

import pytest
from tests.tables.spoiling import Copy

from bucktail_tables.check import check_edition


@pytest.mark.parametrize(
    ("limit", "column", "cell", "found"),
    [
        ("gap_feeler", "value", "0.2", "value"),
        ("gap_feeler", "value", "-0.002", "value"),
        ("gap_feeler", "unit", "percent", "value"),
        ("gap_around", "value", "400", "value"),
        ("flush_steel_below", "value", "", "kind"),
        ("flush_steel_below", "alloys", "F Q", "alloys"),
        ("cracks", "value", "0.5", "kind"),
        ("cracks", "kind", "measured", "kind"),
    ],
)
def test_a_spoiled_limit_is_found_where_it_stands(tmp_path, limit, column, cell, found):
    copy = Copy(tmp_path)
    line = copy.find("inspection_limits", limit)
    copy.put("inspection_limits", line, column, cell)
    assert ("inspection_limits", line, found) in {
        (flaw.table, flaw.row, flaw.column) for flaw in check_edition(copy.load())
    }


@pytest.mark.parametrize("limit", ["gap_feeler", "gap_around", "flush_steel_below"])
def test_a_limit_that_answers_name_is_missed_when_it_goes(tmp_path, limit):
    copy = Copy(tmp_path)
    copy.drop("inspection_limits", copy.find("inspection_limits", limit))
    assert any(limit in flaw.message for flaw in check_edition(copy.load()))
