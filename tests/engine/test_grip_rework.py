"""Blind rivets and bolts in place of a solid rivet, judged; and the plan when one of them is what remains."""

from __future__ import annotations

import pytest

from bucktail_service.asking.rework import answer_rework
from bucktail_service.schemas.rework import ReworkAnswer

SHEETS = "0.040 2024-T3 + 0.040 2024-T3"
GOOD = {
    "installed": "MS20470AD4-4",
    "stack": SHEETS,
    "hole": "0.130",
    "edge_distance": "0.5",
    "pitch": "0.75",
    "row_spacing": "0.5",
    "access": "one",
}
GRIP_OPTIONS = ["one-sided", "one-sided-oversize", "one-sided-next-size", "bolt", "close-tolerance-bolt"]


def ask(**changes):
    found = answer_rework({name: value for name, value in {**GOOD, **changes}.items() if value is not None})
    assert not ReworkAnswer().validate(found)
    return found


def option(answer, name):
    return next(entry for entry in answer["options"] if entry["name"] == name)


def check(answer, name, what):
    return next(entry for entry in option(answer, name)["checks"] if entry["check"] == what)


def codes(answer):
    return {caution["code"] for caution in answer["cautions"]}


def test_every_option_chosen_by_grip_is_judged_beside_the_solid_ones():
    assert [entry["name"] for entry in ask()["options"]][-5:] == GRIP_OPTIONS


def test_where_one_side_can_be_reached_a_blind_rivet_of_the_size_remains():
    answer = ask()
    assert answer["recommended"] == "one-sided"
    # 0.080 lies over 1/16 and up to 1/8: grip 2 (TM 9-2320-363-34-2 Table 7, published; that NAS1398 counts so: memory)
    assert option(answer, "one-sided")["part_number"] == "NAS1398B4-2"
    assert option(answer, "one-sided")["passes"]
    assert check(answer, "one-sided", "access")["verdict"] == "pass"
    assert {"blind-limits", "blind-clearance", "grip-unverified"} <= codes(answer)


def test_where_both_sides_can_be_reached_a_solid_rivet_goes_first():
    answer = ask(access="both")
    assert answer["recommended"] == "same-size"
    assert check(answer, "one-sided", "access")["verdict"] == "heed"


def test_a_worn_hole_takes_the_oversize_shank():
    # hole limits of locked blind rivets, from memory: nominal 0.129 to 0.132, oversize 0.143 to 0.146
    answer = ask(hole="0.140")
    assert check(answer, "one-sided", "hole")["verdict"] == "fail"
    assert answer["recommended"] == "one-sided-oversize"
    assert option(answer, "one-sided-oversize")["part_number"] == "NAS1738B4-2"
    assert option(answer, "one-sided-oversize")["drill"] == "#27"
    assert answer["opening"]["final"] == "#27"
    assert "oversize-shank" in codes(answer)


def test_an_oversize_shank_needs_its_own_edge_distance():
    # single-engine airplane structural repair manual, Fasteners 9.A (published): 2 diameters; shank 0.140625 in
    kept = ask(hole="0.140", edge_distance="0.2813")
    lost = ask(hole="0.140", edge_distance="0.2812")
    assert check(kept, "one-sided-oversize", "edge distance")["verdict"] == "pass"
    assert check(lost, "one-sided-oversize", "edge distance")["verdict"] == "fail"
    assert check(lost, "one-sided", "edge distance")["verdict"] == "pass"


def test_a_nut_needs_the_far_side():
    answer = ask()
    for name in ("bolt", "close-tolerance-bolt"):
        assert check(answer, name, "access")["verdict"] == "fail"
        assert check(ask(access="both"), name, "access")["verdict"] == "pass"


def test_no_general_rule_lets_a_bolt_stand_for_a_rivet():
    # the rule read is for battle damage (TM 1-1520-240-BD 2-5) and never becomes an ordinary answer
    answer = ask(access="both")
    assert check(answer, "bolt", "substitution")["verdict"] == "unknown"
    assert "substitution" in option(answer, "bolt")["to_measure"]


@pytest.mark.parametrize(
    ("installed", "bolt"), [("MS20470AD4-4", "AN3"), ("MS20470AD6-6", "AN3"), ("MS20470D8-8", "AN4")]
)
def test_the_bolt_is_the_smallest_that_is_no_smaller_than_the_rivet(installed, bolt):
    # FAA AC 43.13-1B 7-41 (published): no steel bolt under No. 10
    number = option(ask(installed=installed, access="both"), "bolt")["part_number"]
    assert number.startswith(f"{bolt}-")


def test_a_hole_larger_than_the_bolt_fails_it():
    answer = ask(installed="MS20470AD6-6", hole="0.200", access="both")
    assert check(answer, "bolt", "hole")["verdict"] == "fail"


def test_a_bolt_hole_without_limits_is_not_known_and_fails_nothing():
    assert check(ask(access="both"), "bolt", "hole")["verdict"] == "unknown"


def test_a_flush_rivet_is_followed_by_a_flush_blind_rivet():
    # TM 9-2320-363-34-2 Table 4, page 22-18 (published): 1/8 blind rivets, thinnest countersunk sheet 0.050 in
    flush = {"installed": "MS20426AD4-5", "hole": "0.130"}
    thick = ask(**flush, stack="0.050 2024-T3 + 0.040 2024-T3", preparation="countersunk")
    thin = ask(**flush, stack="0.049 2024-T3 + 0.040 2024-T3", preparation="countersunk")
    assert option(thick, "one-sided")["part_number"].startswith("NAS1399B4-")
    assert check(thick, "one-sided", "countersink")["verdict"] == "pass"
    assert check(thin, "one-sided", "countersink")["verdict"] == "fail"
    assert check(thick, "bolt", "head")["verdict"] == "heed"


def test_a_weaker_blind_rivet_fails():
    # 7050 in 3/16 carries more than 38 000 psi over a 0.1935 in hole (TM 1-1500-204-23-6 figure 2-57 (a), published)
    answer = ask(installed="MS20470E6-6", hole="0.194", stack="0.080 7075-T6 + 0.080 7075-T6", edge_distance="1")
    shear = check(answer, "one-sided", "shear")
    assert shear["verdict"] == "fail"
    assert "weaker" in shear["told"]


def test_a_stack_beyond_the_grips_fails_the_option_and_says_why():
    answer = ask(stack="0.400 2024-T3 + 0.400 2024-T3", installed="MS20470AD4-14")
    grip = check(answer, "one-sided", "grip")
    assert grip["verdict"] == "fail"
    assert "0.8000" in grip["told"]


def test_the_plan_tells_how_a_blind_rivet_is_put_in_and_looked_at():
    answer = ask()
    steps = " ".join(answer["setting"]["steps"])
    assert "pull the stem" in steps
    # TM 9-2320-363-34-2, page 22-21 step 1 (published)
    assert "0.02 in: the lock collar" in steps
    assert answer["opening"]["steps"][0].startswith("leave the hole as it is")


def test_a_couple_is_judged_by_the_sleeve():
    answer = ask(stack="0.040 2024-T3 + 0.080 magnesium")
    # 5056 is the rivet named for magnesium (training notes, code table, second-hand)
    assert "5056 is the rivet named" not in check(answer, "one-sided", "couple")["told"]
    assert any("5056 is the rivet named" in entry["told"] for entry in option(answer, "same-size")["checks"])


def test_a_mass_that_is_not_known_leaves_the_balance_empty_and_says_so():
    answer = ask(arm="4")
    assert answer["balance"] is None
    (missing,) = [caution for caution in answer["cautions"] if caution["code"] == "no-figure"]
    assert missing["figures"] == ["balance"]


def test_what_goes_in_rests_on_its_own_sources():
    answer = ask()
    documents = {source["document"] for source in answer["sources"] if "setting" in source["figures"]}
    assert "US Army TM 9-2320-363-34-2 (cab body repair)" in documents


def test_the_share_of_the_joint_is_told_beside_the_rule():
    # single-engine airplane structural repair manual 4D (published): no considerable number
    told = check(ask(count="12", failed="3, 4, 5"), "one-sided", "substitution")["told"]
    assert told.startswith("3 of 12 here: ")
