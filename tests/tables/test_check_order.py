"""The rules an order rests on, spoiled one at a time, are found where they stand."""

from __future__ import annotations

import pytest
from tests.tables.spoiling import Copy

from bucktail_tables.check import check_edition


@pytest.mark.parametrize(
    ("rule", "value"),
    [
        ("spares_rate", "-10"),
        ("spares_rate", "1000"),
        ("spares_rate", ""),
        ("spares_minimum", "-1"),
        ("spares_minimum", "500"),
        ("spares_minimum", "5.5"),
        ("spares_minimum", ""),
    ],
)
def test_a_spoiled_rule_of_spares_is_found(tmp_path, rule, value):
    copy = Copy(tmp_path)
    line = copy.find("rules", rule)
    copy.put("rules", line, "value", value)
    assert ("rules", line, "value") in [(flaw.table, flaw.row, flaw.column) for flaw in check_edition(copy.load())]
