"""The check across tables: one figure spoiled at a time is found where it stands; the shipped edition has no flaw."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from tests.tables.spoiling import Copy

import bucktail_service.engine
from bucktail_tables.check import NEEDED_CAUTIONS, NEEDED_RULES, NUMBERED_RULES, check_edition, main


@pytest.fixture
def copy(tmp_path):
    return Copy(tmp_path)


def flaws(copy):
    return [(flaw.table, flaw.row, flaw.column) for flaw in check_edition(copy.load())]


def test_the_shipped_edition_has_no_flaw(edition):
    assert check_edition(edition) == []


EVERY = "A AD B DD D E KE M F P C A286 T"
SOFT, HARD = "A AD B DD", "D E KE M"

# table, row, column and its spoiled cell, then column and row where the check says so, when they are others
SPOILED = [
    ("diameters", ("4",), "nominal_in", "0.126"),
    ("diameters", ("4",), "dash", "9", "nominal_in", ("9",)),
    ("lengths", ("1/8",), "longest_dash", "3"),
    ("diameters", ("4",), "metric_name_mm", "4.0"),
    ("diameters", ("8",), "metric_name_mm", "64"),
    ("practices", ("military",), "default", "true"),
    ("practices", ("civil",), "default", "false"),
    ("lengths", ("1/8",), "shortest_dash", "40", "longest_dash"),
    ("lengths", ("1/8",), "shortest_dash", "-3"),
    ("lengths", ("1/8",), "longest_dash", "999999999"),
    ("drills", ("number", "#29"), "drill", "29", "series", ("number", "29")),
    ("drills", ("number", "#48"), "drill", "#480", "series", ("number", "#480")),
    ("drills", ("letter", "F"), "series", "number", None, ("number", "F")),
    ("drills", ("number", "#30"), "diameter_in", "0.1085"),
    ("drills", ("letter", "F"), "diameter_in", "0.247"),
    ("drills", ("fraction", "1/8"), "diameter_in", "0.126"),
    ("holes", ("1/8", "final", "1"), "printed_in", "0.138"),
    ("holes", ("1/8", "final", "1"), "minimum_in", "0.140", "drill"),
    ("holes", ("1/8", "final", "1"), "maximum_in", "0.127", "drill"),
    ("holes", ("1/8", "final", "1"), "minimum_in", ""),
    ("holes", ("1/8", "final", "1"), "maximum_in", ""),
    ("holes", ("1/8", "final", "1"), "maximum_in", "1.35"),
    ("holes", ("1/8", "final", "1"), "minimum_in", "0.0125"),
    ("holes", ("1/8", "pilot", "1"), "rank", "10", None, ("1/8", "pilot", "10")),
    ("holes", ("1/8", "pilot", "1"), "drill", "#29"),
    ("holes", ("1/8", "strength", "1"), "drill", "#31"),
    ("holes", ("1/8", "final", "1"), "drill", "#31"),
    ("spacing", ("civil", "edge_maximum"), "times_d", "1.5"),
    ("spacing", ("civil", "pitch_maximum"), "times_d", "5"),
    ("spacing", ("military", "pitch_usual_low"), "times_d", "2"),
    ("spacing", ("civil", "edge_minimum", "flush"), "times_d", "1.75"),
    ("spacing", ("civil", "edge_minimum", "protruding"), "times_d", "0.2"),
    ("spacing", ("civil", "edge_layout", "flush"), "times_d", "2.25"),
    ("spacing", ("civil", "edge_layout", "protruding"), "times_d", "1.5"),
    ("spacing", ("civil", "edge_layout", "flush"), "plus_in", "-0.0625"),
    # TM 10-7360-208-13&P prints 1/2 where TM 10-5410-229-13&P, par 5-6, prints 2 1/2: a lost digit
    ("spacing", ("military", "row_minimum", "any"), "times_d", "0.5"),
    ("spacing", ("civil", "pitch_minimum", "any"), "times_d", "0.3"),
    ("spacing", ("civil", "pitch_maximum"), "times_d", "100"),
    ("spacing", ("civil", "edge_layout", "flush"), "plus_in", "0.625"),
    ("spacing", ("civil", "staggered_pitch_minimum"), "times_d", "0.4"),
    ("length_rules", ("civil", SOFT, "minimum"), "times_d", "0.133"),
    ("length_rules", ("civil", SOFT, "maximum"), "times_d", "16.6"),
    ("length_rules", ("civil", SOFT, "minimum"), "times_d", "-1.33"),
    ("length_rules", ("civil", SOFT, "maximum"), "alloys", f"{SOFT} AQ", None, ("civil", f"{SOFT} AQ", "maximum")),
    ("length_rules", ("civil", HARD, "minimum"), "alloys", f"{HARD} AD", None, ("civil", f"{HARD} AD", "minimum")),
    ("length_rules", ("civil", "A AD B DD", "maximum"), "times_d", "1.4"),
    ("length_rules", ("civil", "D E KE M", "minimum"), "times_d", "1.4", None, ("civil", "D E KE M", "preferred")),
    ("formed_heads", ("civil", "A AD B DD", "any", "diameter_maximum"), "times_d", "1.45"),
    ("formed_heads", ("civil", "D E KE M", "any", "diameter_nominal"), "times_d", "1.2"),
    ("formed_heads", ("civil", SOFT, "any", "diameter_maximum"), "times_d", "16"),
    ("formed_heads", ("civil", EVERY, "any", "height_minimum"), "times_d", "0.033"),
    ("formed_heads", ("civil", EVERY, "any", "height_minimum"), "times_d", "", "value_in"),
    ("formed_heads", ("civil", EVERY, "any", "height_minimum"), "value_in", "0.05"),
    ("formed_heads", ("military", EVERY, "1/8", "height_minimum"), "times_d", "0.4", "value_in"),
    ("formed_heads", ("military", EVERY, "1/8", "height_minimum"), "value_in", "0.005"),
    ("formed_heads", ("military", EVERY, "1/8", "height_minimum"), "value_in", "5"),
    (
        *("formed_heads", ("military", EVERY, "1/8", "height_minimum"), "fraction", "any"),
        *("fraction", ("military", EVERY, "any", "height_minimum", "1")),
    ),
    (
        *("formed_heads", ("military", EVERY, "1/8", "height_maximum"), "fraction", "1/7"),
        *(None, ("military", EVERY, "1/7", "height_maximum")),
    ),
    (
        *("formed_heads", ("civil", SOFT, "any", "diameter_maximum"), "alloys", "AQ"),
        *(None, ("civil", "AQ", "any", "diameter_maximum")),
    ),
    (
        *("formed_heads", ("civil", HARD, "any", "diameter_nominal"), "alloys", f"{HARD} AD"),
        *("rank", ("civil", f"{HARD} AD", "any", "diameter_nominal")),
    ),
    (
        *("formed_heads", ("military", EVERY, "any", "height_minimum", "2"), "rank", "1"),
        *("rank", ("military", EVERY, "any", "height_minimum", "1")),
    ),
    ("standards", ("MS20426",), "cone_angle_deg", "78"),
    ("standards", ("MS20426",), "cone_angle_deg", ""),
    ("standards", ("MS20470",), "cone_angle_deg", "100"),
    ("standards", ("MS20426",), "length_counts", "shank"),
    ("standards", ("MS20470",), "length_counts", "overall"),
    ("manufactured_heads", ("MS20426", "1/8"), "cone_angle_deg", "78"),
    ("manufactured_heads", ("MS20426", "1/8"), "cone_angle_deg", "0"),
    ("manufactured_heads", ("MS20426", "1/8"), "cone_angle_deg", ""),
    ("manufactured_heads", ("MS20470", "1/8"), "cone_angle_deg", "100"),
    ("manufactured_heads", ("MS20426", "1/8"), "diameter_in", "0.025"),
    ("manufactured_heads", ("MS20426", "1/8"), "height_in", "0"),
    ("manufactured_heads", ("MS20470", "1/8"), "diameter_in", "0.252"),
    ("manufactured_heads", ("MS20470", "1/8"), "diameter_in", "0.025"),
    ("manufactured_heads", ("MS20470", "1/8"), "height_in", "0.54"),
    ("manufactured_heads", ("MS20470", "1/8"), "height_in", "0.0054"),
    ("countersinks", ("civil", "flush-100", "1/8"), "head", "universal", None, ("civil", "universal", "1/8")),
    ("countersinks", ("civil", "flush-100", "1/8"), "head", "flush-82", None, ("civil", "flush-82", "1/8")),
    ("countersinks", ("civil", "flush-100", "3/32"), "sheet_minimum_in", "0.0032"),
    ("countersinks", ("civil", "flush-100", "1/8"), "sheet_minimum_in", "0"),
    ("countersinks", ("civil", "flush-100", "1/8"), "sheet_minimum_in", "0.4", None, ("civil", "flush-100", "5/32")),
    ("countersinks", ("civil", "flush-100", "1/4"), "sheet_minimum_in", "0.71"),
    ("shear", ("AD", "driven", "1/8"), "temper", "T4"),
    ("material_strength", ("AD",), "shear_psi", "3000"),
    ("material_strength", ("AD",), "shear_psi", "26000"),
    ("material_strength", ("A",), "shear_psi", "100000", "bearing_psi"),
    ("material_strength", ("C",), "shear_psi", "2300"),
    ("material_strength", ("P",), "bearing_psi", "9000"),
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
    ("densities", ("monel",), "lb_per_in3", "0.0319"),
    ("densities", ("monel",), "lb_per_in3", "0"),
    ("densities", ("2117",), "number", "2171", None, ("2171",)),
    ("offered", ("MS20470", "A", "A"), "letters", "AD", None, ("MS20470", "A", "AD")),
    ("offered", ("MS20427", "M"), "letters", "", None, ("MS20427", "P")),
    ("rules", ("strength_head_diameter",), "value", "13"),
    ("rules", ("structural_diameter_minimum",), "value", ""),
    ("rules", ("diameter_per_sheet_maximum",), "value", "0"),
    ("rules", ("strength_head_diameter",), "value", "-1.3"),
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
    ("spacing", ("civil", "pitch_minimum", "any"), ("practices", ("civil",), "practice")),
    ("length_rules", ("military", "A AD B DD D E KE M F P C A286 T", "minimum"), ("materials", ("AD",), "alloy")),
    ("formed_heads", ("civil", "A AD B DD", "any", "diameter_minimum"), ("materials", ("AD",), "alloy")),
    ("offered", ("MS20615",), ("standards", ("MS20615",), "standard")),
]


@pytest.mark.parametrize(("table", "key", "found"), DROPPED, ids=lambda part: " ".join(map(str, part)))
def test_a_row_that_others_need_is_missed_when_it_goes(copy, table, key, found):
    copy.drop(table, copy.find(table, *key))
    where, row, column = found
    assert (where, copy.find(where, *row), column) in flaws(copy)


@pytest.mark.parametrize(
    ("table", "column", "name"),
    [("cautions", "code", name) for name in NEEDED_CAUTIONS] + [("rules", "rule", name) for name in NEEDED_RULES],
)
def test_a_row_that_answers_name_is_missed_when_it_goes(copy, table, column, name):
    copy.drop(table, copy.find(table, name))
    assert (table, None, column) in flaws(copy)


def test_a_hazard_without_its_caution_is_found_at_the_layer(copy):
    copy.drop("cautions", copy.find("cautions", "magnesium"))
    assert ("layer_materials", copy.find("layer_materials", "magnesium"), "hazard") in flaws(copy)


def engine_texts():
    folder = Path(bucktail_service.engine.__file__).parent
    return {str(path): path.read_text(encoding="utf-8") for path in folder.rglob("*.py")}


def words_of_the_engine():
    """Every plain word that stands between quotes in the engine; many are names of rows, the others do no harm."""
    return {word for text in engine_texts().values() for word in re.findall(r'"([a-z0-9_-]+)"', text)}


def test_the_cautions_needed_are_those_the_engine_names(edition):
    codes = {row.text("code") for row in edition["cautions"]}
    hazards = {row.text("hazard") for row in edition["layer_materials"]}
    assert set(NEEDED_CAUTIONS) == (words_of_the_engine() & codes) - hazards
    assert len(NEEDED_CAUTIONS) == len(set(NEEDED_CAUTIONS))


def test_the_rules_needed_are_those_the_engine_names(edition):
    rules = {row.text("rule") for row in edition["rules"]}
    # begun names, such as f"length_counts_{counts}", stand for every rule that begins so
    begun = tuple(word for text in engine_texts().values() for word in re.findall(r'"([a-z_]+_)\{', text))
    named = words_of_the_engine() & rules
    assert named <= set(NEEDED_RULES) <= named | {rule for rule in rules if rule.startswith(begun)}
    assert len(NEEDED_RULES) == len(set(NEEDED_RULES))
    assert set(NUMBERED_RULES) <= set(NEEDED_RULES)


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


def test_each_flaw_is_said_once(copy):
    # thirteen alloys share the row
    copy.put("formed_heads", copy.find("formed_heads", "civil", EVERY, "any", "height_maximum"), "times_d", "0.4")
    said = [str(flaw) for flaw in check_edition(copy.load())]
    assert said
    assert len(said) == len(set(said))


def retype(copy, table, column, kind):
    def change(descriptor):
        schema = next(entry for entry in descriptor["resources"] if entry["name"] == table)["schema"]
        field = next(field for field in schema["fields"] if field["name"] == column)
        field["type"] = kind
        field["constraints"] = {}
        schema.pop("foreignKeys", None)

    copy.describe(change)


@pytest.mark.parametrize(
    ("table", "key", "column", "cell", "check"),
    [
        ("diameters", ("4",), "nominal_in", "an eighth", "diameters_rise_and_agree"),
        ("diameters", ("4",), "nominal_in", "", "diameters_rise_and_agree"),
        ("diameters", ("4",), "nominal_in", "1/0", "diameters_rise_and_agree"),
        ("holes", ("1/8", "final", "1"), "drill", "#99", "holes_are_their_drills"),
        ("shear", ("AD", "driven", "1/8"), "stress_ksi", "thirty", "shear_is_area_times_stress"),
        ("formed_heads", ("civil", SOFT, "any", "diameter_minimum"), "rank", "first", "formed_heads_are_ordered"),
        ("manufactured_heads", ("MS20470", "1/8"), "standard", "MS99999", "heads_are_in_proportion"),
        ("spacing", ("civil", "row_minimum", "any"), "times_d", "", "spacing_leaves_room_for_heads"),
    ],
)
def test_a_table_too_odd_for_a_check_is_a_flaw_that_names_it(copy, table, key, column, cell, check):
    retype(copy, table, column, "string")
    copy.put(table, copy.find(table, *key), column, cell)
    odd = [flaw for flaw in check_edition(copy.load()) if check in flaw.message]
    assert [(flaw.table, flaw.row, flaw.column) for flaw in odd] == [("copy", None, None)]


def test_a_diameter_of_nothing_is_a_flaw_and_no_error(copy, edition):
    retype(copy, "diameters", "fraction", "string")
    line = copy.find("diameters", "4")
    for column, cell in (("fraction", "0"), ("nominal_in", "0")):
        copy.put("diameters", line, column, cell)
    for table in edition.tables.values():
        for column, other, target in table.foreign_keys:
            if (other, target) == ("diameters", "fraction"):
                retype(copy, table.name, column, "string")
    assert ("diameters", line, "nominal_in") in flaws(copy)


def test_a_column_that_is_gone_is_a_flaw_and_no_error(copy):
    def change(descriptor):
        schema = next(entry for entry in descriptor["resources"] if entry["name"] == "spacing")["schema"]
        schema["fields"] = [field for field in schema["fields"] if field["name"] != "plus_in"]

    copy.describe(change)
    rows = copy.rows("spacing")
    at = rows[0].index("plus_in")
    copy.write("spacing", [row[:at] + row[at + 1 :] for row in rows])
    assert any("spacing_leaves_room_for_heads" in flaw.message for flaw in check_edition(copy.load()))


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
