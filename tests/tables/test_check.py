"""The check across tables: one figure spoiled at a time is found where it stands; the shipped edition has no flaw."""

from __future__ import annotations

import subprocess
import sys

import pytest
from tests.tables.spoiling import Copy

from bucktail_tables.check import check_edition, main


@pytest.fixture
def copy(tmp_path):
    return Copy(tmp_path)


def flaws(copy):
    return [(flaw.table, flaw.row, flaw.column) for flaw in check_edition(copy.load())]


def test_the_shipped_edition_has_no_flaw(edition):
    assert check_edition(edition) == []


# table, row, column and its spoiled cell, then column and row where the check says so, when they are others
SPOILED = [
    ("diameters", ("4",), "nominal_in", "0.126"),
    ("diameters", ("4",), "dash", "9", "nominal_in", ("9",)),
    ("lengths", ("1/8",), "longest_dash", "3"),
    ("lengths", ("1/8",), "shortest_dash", "40", "longest_dash"),
    ("drills", ("number", "#30"), "diameter_in", "0.1085"),
    ("drills", ("letter", "F"), "diameter_in", "0.247"),
    ("drills", ("fraction", "1/8"), "diameter_in", "0.126"),
    ("holes", ("1/8", "final", "1"), "printed_in", "0.138"),
    ("holes", ("1/8", "final", "1"), "minimum_in", "0.140", "drill"),
    ("holes", ("1/8", "final", "1"), "maximum_in", "0.127", "drill"),
    ("holes", ("1/8", "final", "1"), "drill", "#31"),
    ("spacing", ("civil", "edge_maximum"), "times_d", "1.5"),
    ("spacing", ("civil", "pitch_maximum"), "times_d", "5"),
    ("spacing", ("military", "pitch_usual_low"), "times_d", "2"),
    ("length_rules", ("civil", "A AD B DD", "maximum"), "times_d", "1.4"),
    ("length_rules", ("civil", "D E KE M", "minimum"), "times_d", "1.4", None, ("civil", "D E KE M", "preferred")),
    ("formed_heads", ("civil", "A AD B DD", "any", "diameter_maximum"), "times_d", "1.45"),
    ("formed_heads", ("civil", "D E KE M", "any", "diameter_nominal"), "times_d", "1.2"),
    ("shear", ("AD", "driven", "1/8"), "single_shear_lbf", "398"),
    ("shear", ("AD", "driven", "1/8"), "single_shear_lbf", "378"),
    ("shear", ("AD", "driven", "1/8"), "area_in2", "0.013969"),
    ("shear", ("AD", "driven", "1/8"), "stress_ksi", "34", "single_shear_lbf"),
    ("shear", ("AD", "driven", "1/8"), "hole_in", "0.1385", "single_shear_lbf"),
    ("manufactured_heads", ("MS20426", "1/8"), "height_in", "0.045"),
    ("manufactured_heads", ("MS20426", "1/8"), "diameter_in", "0.235", "height_in"),
    ("manufactured_heads", ("MS20426", "1/8"), "cone_angle_deg", "78", "height_in"),
    ("densities", ("2117",), "g_per_cm3", "2.57", "lb_per_in3"),
    ("densities", ("2117",), "lb_per_in3", "0.109"),
    ("standards", ("MS20430",), "replaced_by", "MS99999"),
    ("aliases", ("AN470",), "alias", "MS20426", None, ("MS20426",)),
]


@pytest.mark.parametrize("case", SPOILED, ids=lambda case: f"{case[0]} {' '.join(case[1])} {case[2]} {case[3]}")
def test_one_spoiled_cell_is_found_where_it_stands(copy, case):
    table, key, column, cell, *where = case
    found_column, found_key = (*where, None, None)[:2]
    copy.put(table, copy.find(table, *key), column, cell)
    assert (table, copy.find(table, *(found_key or key)), found_column or column) in flaws(copy)


# rows to drop, then table, row and column where the check misses them
DROPPED = [
    ("lengths", ("1/8",), ("diameters", ("4",), "fraction")),
    ("holes", ("1/8", "final", "1"), ("diameters", ("4",), "fraction")),
    ("spacing", ("civil", "pitch_minimum"), ("practices", ("civil",), "practice")),
    ("length_rules", ("military", "A AD B DD D E KE M F P C A286 T", "minimum"), ("materials", ("AD",), "alloy")),
    ("formed_heads", ("civil", "A AD B DD", "any", "diameter_minimum"), ("materials", ("AD",), "alloy")),
    ("offered", ("MS20615",), ("standards", ("MS20615",), "standard")),
]


@pytest.mark.parametrize(("table", "key", "found"), DROPPED, ids=lambda part: " ".join(map(str, part)))
def test_a_row_that_others_need_is_missed_when_it_goes(copy, table, key, found):
    copy.drop(table, copy.find(table, *key))
    where, row, column = found
    assert (where, copy.find(where, *row), column) in flaws(copy)


def test_a_stricter_minimum_must_not_be_passed_over(copy):
    # the larger of two minima rules (MIL-R-47196A as quoted over MIL-HDBK-5H): rank 1 before rank 2
    line = copy.find("formed_heads", "military", "A AD B DD D E KE M F P C A286 T", "any", "height_minimum", "2")
    copy.put("formed_heads", line, "rank", "4")
    assert any(table == "formed_heads" and column == "rank" for table, _, column in flaws(copy))


def test_drills_out_of_order_are_found(copy):
    rows = copy.rows("drills")
    at = copy.find("drills", "number", "#30") - 1
    rows[at], rows[at + 1] = rows[at + 1], rows[at]
    copy.write("drills", rows)
    assert ("drills", at + 2, "diameter_in") in flaws(copy)


def test_a_flaw_reads_as_table_row_column_and_reason(copy):
    line = copy.find("shear", "AD", "driven", "1/8")
    copy.put("shear", line, "single_shear_lbf", "398")
    (flaw,) = check_edition(copy.load())
    # by hand: pi/4 x 0.1285 squared x 30 000 psi = 389 lbf
    assert str(flaw) == f"table shear, row {line}, column single_shear_lbf: area x stress is 389"


def test_the_check_runs_as_a_command_and_exits_0():
    run = subprocess.run(
        [sys.executable, "-m", "bucktail_tables.check"], capture_output=True, text=True, check=False, timeout=60
    )
    assert run.returncode == 0
    assert "0 flaws" in run.stdout
    assert run.stderr == ""


def test_the_command_exits_1_for_an_edition_that_is_not_installed(capsys):
    assert main(["1999.9"]) == 1
    assert "1999.9" in capsys.readouterr().err


def test_the_command_prints_each_flaw_and_exits_1(copy, monkeypatch, capsys):
    copy.put("shear", copy.find("shear", "AD", "driven", "1/8"), "single_shear_lbf", "398")
    monkeypatch.setattr("bucktail_tables.check.load_edition", lambda _: copy.load())
    assert main([]) == 1
    printed = capsys.readouterr()
    assert "table shear" in printed.err
    assert "1 flaws" in printed.out
