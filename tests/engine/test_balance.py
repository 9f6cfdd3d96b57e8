"""The balance answer against documents, by hand, and by relations that hold for every repair."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.conftest import published
from tests.engine.asking import figure_at
from tests.engine.balancing import balanced, in_words

from bucktail_service.engine.errors import NoAnswer, NotTabulated, OutsideTable
from bucktail_service.problems import BadFields
from bucktail_tables.load import load_edition

EDITION = load_edition()


@pytest.mark.parametrize("case", published("balance.csv"), ids=lambda case: f"{case['document']}: {case['question']}")
def test_a_figure_is_the_one_of_the_document(case):
    found = figure_at(balanced(**in_words(case["question"])), case["figure"])
    if case["within"]:
        assert abs(found - float(case["value"])) <= float(case["within"]) + 1e-9
    else:
        assert found == case["value"]


def weighable():
    """Part numbers whose head the tables know in every alloy and size offered."""
    heads = {(row.text("standard"), row.text("fraction")) for row in EDITION["manufactured_heads"]}
    dashes = {row.text("fraction"): row.text("dash") for row in EDITION["diameters"]}
    dense = {row.text("number") for row in EDITION["densities"]}
    alloys = {row.text("alloy"): row.text("number") for row in EDITION["materials"]}
    return [
        f"{offered.text('standard')}{offered.text('letters')}{dashes[fraction]}"
        for offered in EDITION["offered"]
        for standard, fraction in sorted(heads)
        if standard == offered.text("standard")
        and alloys[offered.text("alloy")] in dense
        and offered.text("letters")
        and offered.text("number_format") == "letters-diameter"
    ]


numbers = st.builds("{}-{}".format, st.sampled_from(weighable()), st.integers(5, 40))
entries = st.builds("{} x {}".format, st.integers(1, 300), numbers)
lists = st.lists(entries, min_size=1, max_size=4)
arms = st.builds("{} {}".format, st.sampled_from(["0.5", "12.25", "1 1/8", "310 mm"]), st.sampled_from(["aft", "fwd"]))
STACK = "0.032 2024-T3+0.040 2024-T3"
HOLES = "7 x #40 to #30 through 0.032 2024-T3+0.040 lead"


@settings(deadline=None)
@given(lists, st.randoms(), arms)
def test_taking_pieces_out_and_putting_the_same_in_leaves_the_holes_metal_only(pieces, shuffled, arm):
    again = list(pieces)
    shuffled.shuffle(again)
    answer = balanced(arm=arm, removed=pieces, installed=again, hole_metal=HOLES)
    assert answer["change"]["mass_g"] == -answer["hole_metal"]["mass_g"]
    untouched = balanced(arm=arm, removed=pieces, installed=again, stack=STACK)
    assert untouched["hole_metal"]["lines"] == []
    assert untouched["change"]["mass_g"] == untouched["change"]["moment_in_lb"] == 0
    assert untouched["change"]["direction"] == "none"


@settings(deadline=None)
@given(lists, lists, arms)
def test_undoing_a_repair_undoes_its_change(out, put_in, arm):
    there = balanced(arm=arm, removed=out, installed=put_in)["change"]
    back = balanced(arm=arm, removed=put_in, installed=out)["change"]
    assert there["mass_g"] == -back["mass_g"]
    assert there["moment_in_lb"] == -back["moment_in_lb"]


@settings(deadline=None)
@given(lists, lists)
def test_the_other_side_of_the_hinge_line_changes_only_the_sign(out, put_in):
    aft, forward = (balanced(arm=f"7.5 {side}", removed=out, installed=put_in)["change"] for side in ("aft", "forward"))
    assert aft["moment_in_lb"] == -forward["moment_in_lb"]
    assert {aft["direction"], forward["direction"]} in ({"tail heavy", "nose heavy"}, {"none"})


@settings(deadline=None)
@given(lists, lists, st.sampled_from(["6 forward", "0.1 aft", "40 mm fwd"]))
def test_the_balance_weight_brings_the_moment_back(out, put_in, weight_arm):
    first = balanced(removed=out, installed=put_in, weight_arm=weight_arm)
    weight = first["balance_weight"]
    assume(weight["action"] != "none" and weight["mass_g"] < 900_000)
    sign = "-" if weight["action"] == "take off" else ""
    extra = f"weight {sign}{weight['mass_g']:.4f} g at {weight_arm}"
    assert abs(balanced(removed=out, installed=put_in, extra=extra)["change"]["moment_in_lb"]) <= 0.0001


@settings(deadline=None)
@given(lists, lists)
def test_holes_opened_by_the_sizes_never_add_metal(out, put_in):
    metal = balanced(removed=out, installed=put_in, stack=STACK)["hole_metal"]
    assert metal["mass_g"] >= 0
    assert all(line["to_in"] > line["from_in"] for line in metal["lines"])
    assert sum(line["pieces"] for line in metal["lines"]) <= sum(int(entry.split(" ")[0]) for entry in put_in)


def test_a_piece_more_than_was_taken_out_takes_a_hole_from_the_solid():
    lines = balanced(removed="2 x MS20470AD4-4", installed="3 x MS20470AD5-5", stack=STACK)["hole_metal"]["lines"]
    # final drills #30 and #21 of the trade-journal table
    assert [(line["pieces"], line["from_in"], line["to_in"]) for line in lines] == [(2, 0.1285, 0.159), (1, 0, 0.159)]


def test_a_smaller_rivet_in_a_larger_hole_cuts_nothing():
    answer = balanced(removed="2 x MS20470AD5-4", installed="2 x MS20470AD4-5", stack=STACK)
    assert answer["hole_metal"]["lines"] == []


def test_a_fastener_in_words_weighs_as_its_number():
    said = {"pieces": 24, "diameter": "1/8", "alloy": "2117", "head": "universal", "length": "1/4"}
    by_number = balanced(installed=[{"pieces": 24, "number": "ms20470ad4-4"}])
    assert balanced(installed=[said])["installed"]["mass_g"] == by_number["installed"]["mass_g"]


def test_a_superseded_number_weighs_as_the_current_one():
    # AC 43.13-1B par 4-57a(4): AN470 is MS20470
    assert balanced(removed="9 x AN470AD4-4", installed="9 x MS20470AD4-4")["change"]["mass_g"] == 0


def codes(answer):
    return {caution["code"] for caution in answer["cautions"]}


def test_every_answer_says_to_weigh_and_balance():
    for question in ({"installed": "MS20470AD4-4"}, {"extra": "paint 5 g"}, {"hole_metal": HOLES}):
        answer = balanced(**question)
        assert {"weigh-and-balance", "control-surface"} <= codes(answer)
        assert "underbalance" in answer["sign"]
        assert "overbalance" in answer["sign"]


def test_the_cautions_fire_only_when_they_apply():
    aft = balanced(installed="MS20470AD4-4")
    forward = balanced(arm="10 forward", installed="MS20470AD4-4")
    assert "weight-aft" in codes(aft)
    assert "weight-aft" not in codes(forward)
    assert "balance-weights" not in codes(aft)
    assert "balance-weights" in codes(balanced(installed="MS20470AD4-4", weight_arm="5 fwd"))
    assert "lead" in codes(balanced(hole_metal=HOLES))
    assert "lead" not in codes(balanced(hole_metal="1 x #40 to #30", stack=STACK))
    assert "balance-outside" in codes(balanced(installed="MS20470AD4-4", limit="0 to 0 tail heavy"))
    assert "not-counted" in codes(aft)
    assert "not-counted" not in codes(balanced(installed="MS20470AD4-4", stack=STACK, extra="paint 1 g"))


# question, error, field, what the refusal must name
REFUSED = [
    ({}, NoAnswer, "installed", "nothing"),
    ({"removed": []}, NoAnswer, "installed", "nothing"),
    ({"removed": "MS20470AD4"}, NotTabulated, "removed", "no length"),
    ({"removed": "XY9"}, NotTabulated, "removed", "standard of this edition"),
    ({"removed": "MS20430AD4-4"}, NotTabulated, "removed", "head in 1/8"),
    ({"installed": "MS20426AD4-0.5"}, NotTabulated, "installed", "MS20426"),
    (
        {"installed": [{"pieces": 1, "diameter": "1/8", "alloy": "AD", "head": "flush-100", "length": "1/32"}]},
        OutsideTable,
        "installed",
        "0.0420",
    ),
    (
        {"installed": [{"pieces": 1, "diameter": "7/8", "alloy": "AD", "head": "universal", "length": "1/4"}]},
        NotTabulated,
        "installed",
        "7/8",
    ),
    ({"hole_metal": "2 x #40 to #30"}, NoAnswer, "hole_metal", "deep"),
    ({"hole_metal": "2 x #30 to #40 through 0.032 2024-T3"}, OutsideTable, "hole_metal", "shrink"),
    ({"hole_metal": "2 x #99 to #40 through 0.032 2024-T3"}, NotTabulated, "hole_metal", "#99"),
    ({"hole_metal": "2 x #40 to #30 through 0.032"}, NotTabulated, "hole_metal", "density"),
    ({"hole_metal": "2 x #40 to #30 through 0.032 unobtainium"}, NotTabulated, "hole_metal", "unobtainium"),
    ({"extra": "paint 1 g", "weight_arm": "0 aft"}, OutsideTable, "weight_arm", "hinge line"),
]


@pytest.mark.parametrize(("question", "error", "field", "named"), REFUSED, ids=str)
def test_a_refusal_names_what_is_missing_and_what_would_pass(question, error, field, named):
    with pytest.raises(error) as caught:
        balanced(**question)
    assert caught.value.field == field
    assert named in caught.value.detail
    assert caught.value.example


@pytest.mark.parametrize(
    "question",
    [
        {"arm": "12.5"},
        {"arm": "-3 aft"},
        {"arm": 12.5},
        {"removed": "24 MS20470AD4-4"},
        {"removed": "0 x MS20470AD4-4"},
        {"removed": [{"pieces": 1.5, "number": "MS20470AD4-4"}]},
        {"removed": [{"pieces": 1, "number": "MS20470AD4-4", "colour": "red"}]},
        {"removed": [{"pieces": 1}]},
        {"removed": ["MS20470AD4-4"] * 41},
        {"removed": [3]},
        {"extra": "paint 12"},
        {"extra": "12 g"},
        {"extra": [{"name": "", "mass": "1 g"}]},
        {"hole_metal": "2 x #40 through 0.032 2024-T3"},
        {"limit": "-2 to 2"},
        {"limit": "2 to 3"},
        {"limit": "2 tail heavy"},
        {"limit": 2},
        {"current": "3"},
        {"current": "3 heavy"},
        {"limits": "0 to 1 tail heavy"},
    ],
    ids=str,
)
def test_what_cannot_be_understood_is_refused(question):
    with pytest.raises(BadFields):
        balanced(**{"installed": "MS20470AD4-4", **question})


@pytest.mark.parametrize(
    ("text", "lowest", "highest"),
    [
        ("8.80 to 10.00 nose heavy", -10, -8.8),
        ("2 nose heavy to 2 tail heavy", -2, 2),
        ("2 Tail Heavy to 2 in-lb Nose Heavy", -2, 2),
        ("3 tail heavy to 0", 0, 3),
        ("0 to 9.0in-lb tail heavy", 0, 9),
    ],
)
def test_a_limit_is_read_by_its_words_in_either_order(text, lowest, highest):
    limit = balanced(extra="paint 1 g", limit=text)["limit"]
    assert (limit["lowest"]["moment_in_lb"], limit["highest"]["moment_in_lb"]) == (lowest, highest)


def test_the_question_is_handed_back_with_its_edition():
    asked = {"arm": "10 aft", "installed": "MS20470AD4-4"}
    answer = balanced(**asked)
    assert answer["asked"] == {**asked, "edition": EDITION.name}
    assert balanced(**answer["asked"]) == answer
