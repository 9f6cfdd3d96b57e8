"""Couples against what the documents print (tests/published/couple_*.csv), and what must hold of any two metals."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.conftest import published
from tests.engine.asking import exactly

from bucktail_service.engine.contact import Areas, CoupleQuestion
from bucktail_service.engine.couple import couple
from bucktail_service.engine.errors import NoAnswer, NotTabulated
from bucktail_service.engine.galvanic import ENVIRONMENTS, find_member, judge_pair
from bucktail_tables.load import load_edition

EDITION = load_edition()
METALS = [row.text("material") for row in EDITION["galvanic_members"]]
RIVETS = [row.text("alloy") for row in EDITION["materials"]]

metals = st.sampled_from([*METALS, *RIVETS, "2024-T3", "Alclad 2024-T3", "6061-T6"])
environments = st.sampled_from(ENVIRONMENTS)


def ask(*materials, environment=None, areas=None):
    return couple(CoupleQuestion(materials, environment, areas), EDITION)


def measured(*sizes):
    return Areas(tuple(map(Fraction, sizes)), measured=True)


def fired(answer):
    return {caution["code"] for caution in answer["cautions"]}


def cited(name):
    rows = published(f"couple_{name}.csv")
    assert rows
    return [pytest.param(row, id=f"{row['place']} {' '.join(list(row.values())[:3])}"[:60]) for row in rows]


@pytest.mark.parametrize("case", cited("cases"))
def test_a_couple_is_judged_as_the_table_prints_it(case):
    answer = ask(case["first"], case["second"], environment=case["environment"])
    (pair,) = answer["pairs"]
    assert answer["compatible"] is pair["compatible"] is (case["compatible"] == "yes")
    assert (pair["corrodes"] or "") == case["corrodes"]
    if case["difference_v"]:
        assert exactly(pair["difference_v"]) == Fraction(case["difference_v"])
    judged = judge_pair(case["first"], case["second"], case["environment"], EDITION)
    assert (judged.compatible, judged.corrodes or "") == (answer["compatible"], case["corrodes"])


@pytest.mark.parametrize(
    ("table", "name", "columns"),
    [
        ("galvanic_compatibility", "cells", ("anodic", "cathodic", "marine", "seawater", "industrial")),
        ("galvanic_potentials", "potentials", ("metal", "potential_v")),
        ("galvanic_series", "series", ("rank", "metal")),
    ],
)
def test_every_stored_cell_is_the_printed_one(table, name, columns):
    stored = [[row.text(column) for column in columns] for row in EDITION[table]]
    assert stored == [[row[column] for column in columns] for row in published(f"couple_{name}.csv")]


def test_every_group_is_named_as_printed():
    printed = {row["group"]: row["metals"].partition(" (")[0] for row in published("couple_groups.csv")}
    assert {row.text("group"): row.text("metals") for row in EDITION["galvanic_groups"]} == printed


def test_every_rule_is_told_as_printed():
    printed = {(row["topic"], row["text"], row["document"], row["place"]) for row in published("couple_rules.csv")}
    stored = {(row.text("topic"), row.text("text"), row.document, row.place) for row in EDITION["galvanic_protection"]}
    assert stored == printed


@pytest.mark.parametrize("lead", ["lead", "pure lead", "antimonial lead"])
@pytest.mark.parametrize("alloy", ["2014", "2017", "2024", "2117", "AD", "D", "DD", "2024-T3", "Alclad 2024-T3"])
@pytest.mark.parametrize("environment", ENVIRONMENTS)
def test_lead_against_an_aluminium_copper_alloy_is_incompatible_everywhere(lead, alloy, environment):
    # MIL-STD-889C Table I row E column G: I in all three
    answer = ask(lead, alloy, environment=environment)
    assert not any(answer["pairs"][0][name] for name in ENVIRONMENTS)
    assert answer["pairs"][0]["corrodes"] == alloy


def test_every_layer_material_and_rivet_alloy_has_a_group():
    names = [
        name for row in EDITION["layer_materials"] for name in (row.text("material"), *row.text("also").split("|"))
    ]
    names += [name for row in EDITION["materials"] for name in map(row.text, ("alloy", "number", "name"))]
    assert [name for name in names if name and find_member(name, EDITION) is None] == []


# letters and alloys by composition: groups of MIL-STD-889B Table I, letters from materials.csv's documents
@pytest.mark.parametrize(
    ("name", "group"),
    [
        *(("A", "D"), ("AD", "E"), ("B", "D"), ("D", "E"), ("DD", "E"), ("E", "D"), ("KE", "D"), ("M", "O")),
        *(("F", "K"), ("P", "F"), ("C", "N"), ("A286", "K"), ("T", "Q"), ("2024t3", "E"), ("2024-T3 clad", "E")),
        *(("Cadmium plated steel", "C"), ("5052-H32 sheet", "D"), ("7075-T6 Alclad", "D"), ("2117-T4 rivet", "E")),
    ],
)
def test_a_metal_is_found_under_the_names_a_shop_uses(name, group):
    assert find_member(name, EDITION).text("group") == group


@pytest.mark.parametrize("name", ["", " ", "unobtainium", "2024-", "T3", "9999-T6", "aluminium lead", "alloy"])
def test_a_name_that_no_metal_has_is_found_nowhere(name):
    assert find_member(name, EDITION) is None
    assert judge_pair(name, "lead", "marine", EDITION) is None


def test_unknown_metals_are_all_named_with_those_that_are_known():
    with pytest.raises(NotTabulated) as caught:
        ask("unobtainium", "lead", "kryptonite")
    assert caught.value.field == "materials"
    for name in ("'unobtainium'", "'kryptonite'", "2117", "antimonial lead"):
        assert name in caught.value.detail


def test_areas_must_be_as_many_as_the_metals():
    with pytest.raises(NoAnswer, match="2 areas stand against 3 materials"):
        ask("2117", "lead", "steel", areas=measured(1, 2))


def test_a_small_fastener_that_corrodes_is_warned_of_and_a_noble_one_is_not():
    # MIL-STD-889B par. 5.1.4, and par. 5.2a: stainless screws in aluminium sheet are preferred to the reverse
    wrong = ask("2117", "stainless", areas=measured("0.03", 12))
    assert "small-anode" in fired(wrong)
    assert (wrong["pairs"][0]["small"], wrong["pairs"][0]["cathode_per_anode"]) == ("anode", 400)
    right = ask("2117", "stainless", areas=measured(12, "0.03"))
    assert "small-anode" not in fired(right)
    assert right["pairs"][0]["small"] == "cathode"


def test_without_areas_the_reader_is_told_to_look():
    assert "areas-not-given" in fired(ask("2117", "lead"))
    assert "areas-not-given" not in fired(ask("2117", "lead", areas=measured(1, 1)))
    assert "areas-not-given" not in fired(ask("2117", "2024"))


def test_the_guide_caution_always_stands():
    # MIL-STD-889B par. 3.3
    assert "couple-guide" in fired(ask("2117", "2024"))


def test_marine_air_is_taken_and_said_when_no_environment_is_given():
    answer = ask("2117", "lead")
    assert answer["environment"] == "marine"
    assert "marine air, the sterner everyday one" in answer["reasoning"][0]


@pytest.mark.parametrize(
    ("materials", "code"),
    [
        (("steel", "nickel"), "couple-doubtful"),
        (("cadmium", "2024"), "couple-columns"),
        (("cadmium", "6061"), "couple-order"),
        (("lead", "tin"), "couple-order"),
        (("aluminium", "lead"), "alloy-not-named"),
        (("2117", "lead"), "lead"),
        (("magnesium", "5056"), "magnesium"),
        (("2117", "steel"), "chromate-primer"),
        (("zinc", "zinc"), "no-figure"),
    ],
)
def test_a_caution_fires_where_it_applies_and_not_elsewhere(materials, code):
    assert code in fired(ask(*materials))
    assert code not in fired(ask("tin", "tin")) | fired(ask("6061", "304")) - {"chromate-primer"}


def test_cadmium_against_6061_says_that_series_and_potentials_have_it_otherwise():
    # groups: C before D; sea water: cadmium -0.69 V, 6061 -0.76 V; series: cadmium 10, 6061-T6 19
    answer = ask("cadmium", "6061-T6")
    assert answer["pairs"][0]["corrodes"] == "cadmium"
    assert answer["pairs"][0]["ordered_otherwise"] == ["potentials"]
    (caution,) = (entry for entry in answer["cautions"] if entry["code"] == "couple-order")
    assert "6061-T6" in caution["text"]


def test_titanium_is_never_told_to_be_plated_with_cadmium():
    # MIL-STD-889B App. A par. 30.10
    (pair,) = ask("titanium", "2024")["pairs"]
    finish = next(entry for entry in pair["finish"] if entry["material"] == "titanium")
    assert any("cadmium and zinc coatings prohibited" in rule["text"] for rule in finish["rules"])


def test_magnesium_gets_its_tape_and_not_the_joint_without_magnesium():
    rules = [rule["rule"] for rule in ask("magnesium", "2024")["pairs"][0]["separation"]]
    assert "dissimilar_joint_magnesium" in rules
    assert "dissimilar_joint" not in rules


@given(metals, metals, environments)
def test_the_order_of_two_metals_changes_nothing(one, other, environment):
    here, there = judge_pair(one, other, environment, EDITION), judge_pair(other, one, environment, EDITION)
    assert here is not None
    assert there is not None
    assert (here.compatible, here.corrodes, here.advice) == (there.compatible, there.corrodes, there.advice)
    assert here.everywhere == there.everywhere
    assert (here.first_group, here.second_group) == (there.second_group, there.first_group)


@given(metals, environments)
def test_a_metal_may_touch_itself(metal, environment):
    judged = judge_pair(metal, metal, environment, EDITION)
    assert judged is not None
    assert judged.compatible
    assert judged.corrodes is None


@given(metals, metals)
def test_sea_water_is_never_milder_than_marine_air(one, other):
    judged = judge_pair(one, other, "marine", EDITION)
    assert judged is not None
    assert judged.everywhere["marine"] or not judged.everywhere["seawater"]


@given(st.lists(metals, min_size=2, max_size=5), metals, environments)
def test_another_metal_never_makes_a_heap_compatible(heap, more, environment):
    before, after = ask(*heap, environment=environment), ask(*heap, more, environment=environment)
    assert before["compatible"] or not after["compatible"]
    assert len(after["pairs"]) == len(heap) * (len(heap) + 1) // 2


@given(metals, metals, st.integers(1, 1000), st.integers(1, 1000))
def test_the_smaller_part_is_named_by_its_area(one, other, first, second):
    (pair,) = ask(one, other, areas=measured(first, second))["pairs"]
    if pair["corrodes"] is None:
        assert pair["small"] is None
        assert pair["cathode_per_anode"] is None
    else:
        anode, cathode = (first, second) if pair["corrodes"] == one else (second, first)
        assert pair["small"] == ("neither" if anode == cathode else "anode" if anode < cathode else "cathode")
        assert pair["cathode_per_anode"] == pytest.approx(cathode / anode, abs=0.00051)


@given(st.lists(metals, min_size=2, max_size=4), environments)
def test_every_figure_has_a_source(heap, environment):
    answer = ask(*heap, environment=environment)
    figures = {figure for source in answer["sources"] for figure in source["figures"]}
    assert {
        "materials.group",
        "pairs.compatible",
        "pairs.corrodes",
        *(f"pairs.{name}" for name in ENVIRONMENTS),
    } <= figures
    for pair in answer["pairs"]:
        assert pair["difference_v"] is None or "pairs.difference_v" in figures
        assert not pair["separation"] or "pairs.separation" in figures
    assert all(source["document"] and source["basis"] for source in answer["sources"])


def test_nothing_is_said_that_a_person_must_sign_for():
    text = "\n".join(str(ask(one, other)) for one in METALS for other in ("2024", "lead")).casefold()
    assert not [word for word in ("approved ", "airworthy", "legal") if word in text]
