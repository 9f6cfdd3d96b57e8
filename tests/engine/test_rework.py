"""Rework: every option held against the documents, the plans, the row, the note."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.conftest import published

from bucktail_service.asking.rework import answer_rework
from bucktail_service.engine.errors import NoAnswer, NotTabulated, OutsideTable
from bucktail_service.engine.row_condition import row_condition
from bucktail_tables.load import load_edition

EDITION = load_edition()
SHEETS = "0.040 2024-T3 + 0.040 2024-T3"
GOOD = {"installed": "MS20470AD4-4", "stack": SHEETS, "hole": "0.1285", "edge_distance": "0.5", "pitch": "0.75"}


def ask(**changes):
    return answer_rework({**GOOD, **changes})


def option(answer, name):
    return next(entry for entry in answer["options"] if entry["name"] == name)


def verdicts(answer, name, check):
    return [entry["verdict"] for entry in option(answer, name)["checks"] if entry["check"] == check]


@pytest.mark.parametrize("case", published("rework.csv"), ids=lambda case: f"{case['rule']}: {case['document']}")
def test_an_option_is_judged_as_the_document_has_it(case):
    asked = {name: case[name] for name in ("installed", "stack", "hole", "edge_distance")}
    assert case["verdict"] in verdicts(answer_rework(asked), case["option"], case["check"])


def test_the_same_rivet_is_recommended_when_nothing_is_wrong_but_the_rivet():
    # FAA AC 43.13-1B par. 4-57b, page 4-16: same size and strength whenever possible
    answer = ask()
    assert answer["recommended"] == "same-size"
    assert option(answer, "same-size")["part_number"] == "MS20470AD4-4"
    assert option(answer, "same-size")["shear_kept"] == 1
    assert answer["opening"]["steps"][0].startswith("leave the hole as it is")


def test_the_next_size_after_an_eighth_is_five_thirty_seconds():
    # common practice, no source
    answer = ask(hole="0.140")
    assert answer["recommended"] == "next-size"
    assert option(answer, "next-size")["part_number"].startswith("MS20470AD5-")
    assert option(answer, "next-size")["drill"] == "#21"


def test_when_no_option_passes_the_answer_says_so_and_why():
    answer = ask(hole="0.140", edge_distance="0.27")
    assert answer["recommended"] is None
    assert "0.1400 in is over the most" in answer["why"]
    assert answer["opening"] is answer["setting"] is None
    assert "no-option-passes" in {caution["code"] for caution in answer["cautions"]}


def test_one_sided_access_fails_every_solid_rivet():
    answer = ask(access="one")
    passing = [entry["name"] for entry in answer["options"] if entry["passes"]]
    assert passing
    assert all(name.startswith("one-sided") for name in passing)
    assert answer["recommended"] in passing


def test_what_was_not_measured_is_named_and_fails_nothing():
    answer = answer_rework({"installed": "MS20470AD4-4", "stack": SHEETS})
    assert {"hole", "edge distance", "pitch"} <= set(option(answer, "same-size")["to_measure"])
    assert answer["recommended"] == "same-size"
    assert "measure-first" in {caution["code"] for caution in answer["cautions"]}


def test_a_larger_flush_head_needs_a_thicker_sheet():
    # own knowledge in the replacement rules, from memory: the next larger countersunk rivet needs a deeper countersink
    answer = ask(installed="MS20426AD4-4", stack="0.050 2024-T3 + 0.050 2024-T3", hole="0.140", edge_distance="0.6")
    assert verdicts(answer, "next-size", "countersink") == ["fail"]


@pytest.mark.parametrize(
    ("count", "failed", "allowed", "within"),
    [
        # MIL-R-47196A (engineering reference page), repair limitations: 20 percent or 10 if less; two adjacent
        (10, (3, 7), 2, True),
        (10, (3, 4), 2, True),
        (10, (2, 5, 8), 2, False),
        (20, (3, 4, 5), 4, False),
        (100, tuple(range(1, 40, 4)), 10, True),
        (100, tuple(range(1, 44, 4)), 10, False),
    ],
)
def test_the_limits_for_oversize_repair_are_the_documents(count, failed, allowed, within):
    row = row_condition(count, failed, None, EDITION)
    assert (row.oversize_allowed, row.within_limits) == (allowed, within)


@pytest.mark.parametrize(
    ("failed", "run", "gaps"),
    [
        ((3,), 1, 2),
        ((3, 4), 2, 3),
        ((1, 2), 2, 2),
        ((9, 10), 2, 2),
        ((1, 4), 1, 2),
        (tuple(range(1, 11)), 10, 9),
        ((), 0, None),
    ],
)
def test_the_unsupported_length_reaches_from_sound_rivet_to_sound_rivet(failed, run, gaps):
    row = row_condition(10, failed, Fraction(3, 4), EDITION)
    assert row.longest_run == run
    assert row.unsupported == (None if gaps is None else gaps * Fraction(3, 4))
    assert row.strength_left == Fraction(10 - len(failed), 10)


def test_a_larger_rivet_in_a_row_beyond_the_limits_fails_in_both_practices():
    changes = {"hole": "0.140", "count": 10, "failed": [2, 5, 8]}
    assert verdicts(ask(**changes, practice="military"), "next-size", "repair limit") == ["fail"]
    assert verdicts(ask(**changes), "next-size", "repair limit") == ["fail"]


def test_positions_without_a_row_or_outside_it_are_refused():
    with pytest.raises(OutsideTable, match="count"):
        ask(failed="3")
    with pytest.raises(OutsideTable, match="failed"):
        ask(count=4, failed="5")


@pytest.mark.parametrize("installed", ["MS20470AD4", "1/8 AD universal", "3.2mm 2117 MS20470", "AN470AD4-6"])
def test_the_rivet_that_is_there_may_be_said_in_several_ways(installed):
    answer = ask(installed=installed)
    assert answer["installed"]["diameter"]["fraction"] == "1/8"
    assert answer["installed"]["alloy"]["code"] == "AD"


@pytest.mark.parametrize("installed", ["rivet", "MS20470AD4-3-5", "1/8 ZZ universal", "nan AD universal", "9/9"])
def test_a_rivet_that_cannot_be_read_is_refused_with_a_good_example(installed):
    with pytest.raises(NotTabulated) as caught:
        ask(installed=installed)
    assert caught.value.field == "installed"
    assert caught.value.example


def test_the_removal_plan_shows_that_the_documents_disagree():
    # AC 43.13-1B page 4-12 b: the same size as the rivet; FAA airframe handbook, removal of rivets: one size smaller
    plan = ask()["removal"]
    assert plan["drill_same_size"] == "1/8"
    assert plan["drill_one_smaller_in"] < 0.125
    assert plan["drift_in"] < 0.125
    steps = " ".join(step for method in plan["methods"] for step in method["steps"])
    assert "SAME size" in steps
    assert "ONE SIZE SMALLER" in steps


def test_the_support_clears_the_largest_formed_head():
    answer = ask()
    assert answer["removal"]["support_over_in"] == 0.2  # FAA-H-8083-31 figure 4-76, from memory: 1.6 D of 1/8


def test_deburring_goes_no_deeper_than_a_tenth_of_the_thinnest_sheet():
    # MIL-R-47196A (engineering reference page), hole preparation: 10 percent of stock or 0.032 in, whichever is less
    assert ask()["opening"]["deburr_maximum_in"] == 0.004
    assert ask(stack="0.5 2024-T3 + 0.5 2024-T3")["opening"]["deburr_maximum_in"] == 0.032


def test_balance_names_both_signs_and_forward_turns_them():
    aft = ask(hole="0.140", arm="6.5", count=12, failed="3, 4")["balance"]
    forward = ask(hole="0.140", arm="6.5", arm_side="forward", count=12, failed="3, 4")["balance"]
    assert aft["pieces"] == 2
    assert aft["moment_change_in_lb"] == -forward["moment_change_in_lb"] > 0
    assert "tail heavy" in aft["sense"]
    assert "nose heavy" in forward["sense"]
    assert ask()["balance"] is None


def test_the_work_note_has_the_fields_of_the_rule_and_says_nothing_of_the_aircraft():
    # 14 CFR 43.9(a)(1) to (4)
    note = "\n".join(ask(record=True)["record"])
    for field in ("Description of work", "Date completed: ___", "Work done by", "Signature: ___", "Certificate number"):
        assert field in note
    for word in ("approved", "airworthy", "legal"):
        assert word not in note.casefold()
    assert EDITION.sha256 in note


def test_every_check_of_every_option_tells_what_would_pass_where_it_fails():
    answer = ask(hole="0.150", edge_distance="0.20", pitch="0.30")
    for entry in answer["options"]:
        for check in entry["checks"]:
            assert check["told"]
            if check["verdict"] == "fail" and check["check"] in ("edge distance", "pitch"):
                assert check["limit_in"] is not None


thousandths = st.integers(min_value=120, max_value=260).map(lambda mils: f"0.{mils:03d}")


@settings(max_examples=60, deadline=None)
@given(thousandths, thousandths)
def test_a_larger_hole_never_lets_an_option_in(first, second):
    small, large = sorted((first, second))
    before, after = (ask(hole=hole) for hole in (small, large))
    for entry in after["options"]:
        if entry["passes"]:
            assert option(before, entry["name"])["passes"], entry["name"]


@settings(max_examples=60, deadline=None)
@given(thousandths, thousandths)
def test_a_wider_edge_never_throws_an_option_out(first, second):
    narrow, wide = sorted((first, second))
    before, after = (ask(edge_distance=edge) for edge in (narrow, wide))
    for entry in before["options"]:
        if entry["passes"]:
            assert option(after, entry["name"])["passes"], entry["name"]


@settings(max_examples=80, deadline=None)
@given(
    st.sampled_from(["MS20470", "MS20426", "NAS1097", "MS20615-4M6", "AN455AD4-4", "NAS1242AD4-4"]),
    st.sampled_from(["2", "3", "4", "6", "8", "12"]),
    st.sampled_from(["0.016", SHEETS, "0.032 2024-T3 + 0.125 lead", "1.5", "3 mm 5052"]),
    st.sampled_from(["civil", "military"]),
)
def test_any_rivet_gets_an_answer_or_a_reason(standard, dash, stack, practice):
    installed = standard if "-" in standard else f"{standard}AD{dash}"
    try:
        answer = answer_rework({"installed": installed, "stack": stack, "practice": practice})
    except NoAnswer as error:
        assert error.example  # noqa: PT017  an answer is as good as a reason
    else:
        assert answer["recommended"] is None or option(answer, answer["recommended"])["passes"]


def test_sheets_too_thin_for_the_printed_factors_leave_the_shear_unknown():
    # AC 43.13-1B has no joint in sheets this thin, and MIL-HDBK-5 prints no factor for them
    answer = ask(stack="0.001 2024-T3 + 0.001 2024-T3")
    for name in ("same-size", "next-size", "alloy-D"):
        assert verdicts(answer, name, "shear") == ["unknown"]


def test_a_hole_under_the_least_is_heeded_and_a_pitch_over_the_most_too():
    assert verdicts(ask(hole="0.100"), "same-size", "hole") == ["heed"]
    assert verdicts(ask(pitch="6"), "same-size", "pitch") == ["heed"]


def test_a_weaker_alloy_than_the_one_named_in_the_substitution_fails():
    # AC 43.13-1B, par. 4-57b: 2117 is the alloy named for taking the place of 2017 and 2024, one size up
    answer = ask(installed="MS20470DD4-4")
    assert verdicts(answer, "alloy-B", "substitution") == ["fail"]
    assert verdicts(answer, "next-size-alloy-B", "substitution") == ["fail"]
    assert verdicts(answer, "next-size-alloy-AD", "substitution") == ["pass"]
