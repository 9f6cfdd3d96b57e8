"""The galvanic relations each find the table that breaks them."""

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
        ("galvanic_groups", ("C",), "rank", "4"),
        ("galvanic_series", ("30",), "rank", "94"),
        ("galvanic_compatibility", ("E", "E"), "marine", "I"),
        ("galvanic_compatibility", ("E", "G"), "industrial", "C"),
        ("galvanic_compatibility", ("F", "P"), "doubtful", "false"),
        ("galvanic_compatibility", ("A", "B"), "doubtful", "true"),
        ("galvanic_members", ("steel",), "also", "Carbon Steel"),
        ("galvanic_members", ("steel",), "also", "iron"),
        ("galvanic_members", ("zinc",), "potential", "Zink"),
        ("galvanic_members", ("lead",), "series", "99"),
        ("galvanic_protection", ("titanium_treatments",), "groups", "Q Z"),
        ("galvanic_protection", ("dissimilar_joint",), "without", "X"),
        ("galvanic_potentials", ("Lead",), "potential_v", "-0.9"),
    ],
)
def test_a_wrong_cell_is_found(copy, table, key, column, cell):
    line = copy.find(table, *key)
    copy.put(table, line, column, cell)
    found = flaws(copy)
    assert any(flaw[0] == table and flaw[2] == column for flaw in found), found


def test_a_pair_of_groups_that_is_missed_is_found(copy):
    copy.drop("galvanic_compatibility", copy.find("galvanic_compatibility", "D", "K"))
    assert ("galvanic_compatibility", None, None) in flaws(copy)


def test_a_pair_that_stands_the_wrong_way_round_is_found(copy):
    line = copy.find("galvanic_compatibility", "D", "K")
    copy.put("galvanic_compatibility", line, "anodic", "K")
    copy.put("galvanic_compatibility", line, "cathodic", "D")
    assert ("galvanic_compatibility", line, "cathodic") in flaws(copy)


@pytest.mark.parametrize(("member", "table"), [("tungsten", "layer_materials"), ("ti-45cb", "materials")])
def test_a_layer_or_a_rivet_without_a_group_is_found(copy, member, table):
    copy.drop("galvanic_members", copy.find("galvanic_members", member))
    assert any(flaw[0] == table for flaw in flaws(copy))


def test_lead_or_2024_gone_from_the_members_is_found(copy):
    copy.drop("galvanic_members", copy.find("galvanic_members", "2024"))
    assert ("galvanic_compatibility", None, None) in flaws(copy)
