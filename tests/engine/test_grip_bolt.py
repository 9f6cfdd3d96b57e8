"""Bolts: the grip a stack gets, washers, nut, thread, torque, hole and strength.

Expected figures come from the documents named beside them, not from the tables.
"""

from __future__ import annotations

import json
import math
from fractions import Fraction
from itertools import product
from urllib.parse import parse_qsl, urlsplit

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from tests.engine.asking import leaves
from tests.tables.spoiling import Copy

from bucktail_service.answering import answer
from bucktail_service.engine.errors import NotTabulated, OutsideTable
from bucktail_service.engine.grip.bolt import pick_bolt
from bucktail_service.engine.grip.bolt_numbers import format_bolt_number
from bucktail_service.engine.grip.ladder import bolt_ladder, choose_grip, find_dash
from bucktail_service.engine.grip.washers import (
    Room,
    WasherLimits,
    choose_washers,
    is_over,
    tell_misfit,
    washer_limits,
    washer_sizes,
)
from bucktail_service.engine.lengths import parse_length, parse_stack
from bucktail_service.engine.model import PickQuestion
from bucktail_service.schemas.answers import PickAnswer
from bucktail_tables.load import load_edition

EDITION = load_edition()
SHAPE = PickAnswer()
PRACTICES = ("civil", "military")
AN = {"AN3": "3/16", "AN4": "1/4", "AN5": "5/16", "AN6": "3/8"}
NAS = {
    "NAS6203": "3/16",
    "NAS6204": "1/4",
    "NAS6205": "5/16",
    "NAS6206": "3/8",
    "NAS6207": "7/16",
    "NAS6208": "1/2",
}
WITH_WASHERS = {**AN, **NAS}
# practice: threads in the hole at most, washers under the head at least (light amphibious airplane maintenance manual,
# General Hardware; NAVEDTRA 14014, chapter 5; NAVEDTRA 14008, chapter 2)
IN_HOLE = {"civil": 0, "military": 2}
UNDER_HEAD = {"civil": 0, "military": 1}
# the thinnest washer of a size (AN960 sheet, from memory); of 7/16 and 1/2 only the regular one is in the tables
LIGHT, REGULAR = Fraction("0.032"), Fraction("0.063")
THINNEST = {"NAS6207": REGULAR, "NAS6208": REGULAR}


def ask(head="AN4", stack="0.5", diameter=None, alloy="steel", **more):
    size = diameter or WITH_WASHERS.get(head.removesuffix("H"), "1/4")
    return answer("pick", {"head": head, "diameter": size, "alloy": alloy, "stack": stack, "family": "bolt", **more})


def fired(found):
    return {caution["code"] for caution in found["cautions"]}


def caution(found, code):
    return next(entry["text"] for entry in found["cautions"] if entry["code"] == code)


def unknown(found):
    return next(entry["figures"] for entry in found["cautions"] if entry["code"] == "no-figure")


def standard(name):
    row = EDITION["grip_standards"].find(name)
    assert row is not None
    return row


def height(washers):
    return sum(Fraction(str(washer["thickness_in"])) for washer in washers)


def every_bolt():
    """Yield every standard, diameter and material that answers."""
    for row in EDITION["grip_standards"]:
        if row.text("family") == "bolt" and not row.text("missing"):
            for offered in EDITION["grip_offered"]:
                if offered.text("offers") == row.text("offers"):
                    for dash in row.words("sizes"):
                        yield row.text("standard"), str(Fraction(int(dash), 16)), offered.text("alloy")


def ask_any(name):
    """Ask for a bolt in the first size and material it comes in."""
    size, alloy = next((size, alloy) for bolt, size, alloy in every_bolt() if bolt == name)
    return ask(name, "0.45", size, alloy)


def every_answer():
    for name, size, alloy in every_bolt():
        for practice in PRACTICES:
            yield ask(name, "0.45", size, alloy, practice=practice)


def special_answers():
    yield ask("AN4", "0.5", nut="AN310", drag="12")
    yield ask("AN6H", "1 1/8", nut="AN320", nut_height="0.25")
    yield ask("AN3", "0.25 2024-T3+0.2 lead+0.05 unobtainium", hole="0.191")
    yield ask("AN5", "0.5", stack_tolerance="0.2", nut="MS20364", drag="100")
    yield ask("AN4", "0.06", nut="AN315")
    yield ask("AN6", "0.9", nut="MS21042", hole="#V")
    yield ask("NAS6204", "0.5", hole="0.2490", nut_height="0.2")
    yield ask("NAS6210", "0.5", "5/8", stack_tolerance="0.1")
    yield ask("AN4", "0.563", practice="military")
    yield ask("AN4", "0.46", stack_tolerance="0.03")
    yield ask("AN4", "0.44", practice="military", drag="31")
    yield ask("NAS464", "0.49", practice="military")
    yield ask("AN4", "0.2 4130+0.3 2024-T3", alloy="C")


ANSWERS = [*every_answer(), *special_answers()]


# head, stack, number, grip and length as printed
PRINTED = [
    # dash table of AN3-AN20 in a kit-airplane builder manual, second-hand: grip 9/16 and 1/2, lengths 1 1/32 and 29/32
    ("AN4", "0.5", "AN4-10A", 0.563, 1.031),
    ("AN3", "0.5", "AN3-7A", 0.5, 0.906),
    ("AN3", "0.0625", "AN3-3A", 0.063, 0.469),
    ("AN3", "0.1", "AN3-4A", 0.125, 0.531),
    ("AN4", "0.05", "AN4-4A", 0.063, 0.531),
    ("AN5", "1.0", "AN5-14A", 1.063, 1.594),
    ("AN6", "0.8", "AN6-13A", 0.813, 1.453),
    # NAS6203-NAS6210 Table I, distributor transcription, second-hand: grip = dash/16, length = grip + T, T = 0.370
    ("NAS6204", "0.5", "NAS6204-8", 0.5, 0.870),
    ("NAS6206", "1", "NAS6206-16", 1.0, 1.454),
    # NAS6603-NAS6610 Table I: T = 0.425
    ("NAS6604", "0.5", "NAS6604-8", 0.5, 0.925),
]


@pytest.mark.parametrize(("head", "stack", "number", "grip", "length"), PRINTED)
def test_a_stack_gets_the_bolt_that_the_dash_table_prints(head, stack, number, grip, length):
    found = ask(head, stack)
    assert found["part_number"] == number
    assert found["grip"]["length_in"] == grip
    assert found["length"]["length_in"] == length
    assert found["length"]["counts"] == "under-head"
    assert found["grip"]["dash"] == found["length"]["dash"]


@pytest.mark.parametrize("practice", PRACTICES)
@pytest.mark.parametrize("name", [*AN, "NAS6204"])
@given(thinner=st.fractions("0.01", "3"), more=st.fractions(0, "0.3"))
def test_a_thicker_stack_never_gets_a_shorter_grip(name, practice, thinner, more):
    row = standard(name)
    assert choose_grip(row, thinner, EDITION).grip <= choose_grip(row, thinner + more, EDITION).grip


@pytest.mark.parametrize(
    ("name", "longest"), [*((name, "3.3") for name in AN), ("NAS6204", "6.25"), ("NAS6604", "2"), ("NAS464", "2")]
)
@given(share=st.fractions("0.001", 1))
def test_the_grip_is_the_shortest_that_leaves_no_thread_in_the_stack(name, longest, share):
    stack = share * Fraction(longest)
    bolt = choose_grip(standard(name), stack, EDITION)
    assert bolt.over < stack <= bolt.grip
    assert all(other.grip < stack or other.grip >= bolt.grip for other in bolt_ladder(standard(name), EDITION))


def test_eight_and_nine_never_end_the_dash_of_an_an_bolt():
    # kit-airplane builder manual, text: the second digit counts eighths, so 8, 9, 18, 19 do not exist
    for name in AN:
        dashes = [dash for bolt in bolt_ladder(standard(name), EDITION) for dash in (bolt.dash, *bolt.same)]
        assert len(dashes) > 25
        assert not {"8", "9"} & {dash[-1] for dash in dashes}


@pytest.mark.parametrize(
    ("head", "stack", "dash"),
    [
        ("AN4", "0.563", "10"),
        ("AN4", "0.5631", "11"),
        ("AN4", "0.438", "7"),
        ("AN4", "0.4381", "10"),
        ("NAS6204", "0.5", "8"),
        ("NAS6204", "0.500001", "9"),
        # every number to 32, even ones to 100 (note on NAS6203 Rev 10 Table II)
        ("NAS6204", "2", "32"),
        ("NAS6204", "2.0001", "34"),
        ("NAS6204", "6.25", "100"),
        ("NAS6604", "2", "32"),
        ("NAS464", "1.9376", "32"),
    ],
)
def test_the_end_of_a_grip_belongs_to_it(head, stack, dash):
    assert ask(head, stack)["grip"]["dash"] == dash


def test_of_two_dashes_with_one_grip_the_longer_is_taken_and_the_other_shown():
    # the dash table prints 0.063 for AN4-3 and AN4-4; -3 does not follow the length ladder
    found = ask("AN4", "0.03")
    assert found["part_number"] == "AN4-4A"
    assert found["grip"]["alternatives"] == ["3"]
    assert found["grip"]["minimum_in"] == 0
    assert "grip-boundary" not in fired(found)
    assert any("-3 has the same grip" in line for line in found["reasoning"])


@pytest.mark.parametrize(
    ("stack", "dash", "also"),
    [
        ("0.558", "10", ["11"]),
        ("0.5579", "10", []),
        ("0.443", "10", ["7"]),
        ("0.4431", "10", []),
        ("0.5", "10", []),
        ("3.438", "37", []),
    ],
)
def test_near_the_end_of_a_range_both_neighbours_are_shown(stack, dash, also):
    found = ask("AN4", stack)
    assert found["grip"]["dash"] == dash
    assert found["grip"]["alternatives"] == also
    assert ("grip-boundary" in fired(found)) == bool(also)


def test_a_grip_block_tells_which_stacks_the_dash_serves():
    grip = ask("AN4", "0.5")["grip"]
    assert (grip["minimum_in"], grip["maximum_in"], grip["minimum_included"]) == (0.438, 0.563, False)
    assert grip["counts"].startswith("overall length in eighths")
    assert ask("NAS6204", "0.5")["grip"]["counts"] == "grip in sixteenths of an inch"


@pytest.mark.parametrize(
    ("head", "stack", "longest"),
    [
        ("AN4", "3.45", "3.4380"),
        ("AN3", "3.51", "3.5000"),
        ("NAS6204", "6.26", "6.2500"),
        # of the other NAS bolts no document read says how the ladder goes on beyond 32
        ("NAS6604", "2.0001", "2.0000"),
        ("NAS1304", "2.0001", "2.0000"),
        ("NAS464", "2.0001", "2.0000"),
    ],
)
def test_a_stack_over_the_longest_grip_is_outside_the_table(head, stack, longest):
    with pytest.raises(OutsideTable) as problem:
        ask(head, stack)
    assert problem.value.field == "stack"
    assert longest in problem.value.detail


def test_a_dash_leads_to_its_grip_and_length():
    bolt = find_dash(standard("AN4"), "10", EDITION)
    assert (bolt.grip, bolt.length) == (Fraction("0.563"), Fraction("1.031"))
    shared = find_dash(standard("AN4"), "3", EDITION)
    assert (shared.grip, shared.length, shared.same) == (Fraction("0.063"), Fraction("0.469"), ("4",))
    assert find_dash(standard("NAS6204"), "34", EDITION).grip == Fraction(34, 16)
    assert find_dash(standard("NAS6204"), "33", EDITION) is None
    assert find_dash(standard("NAS6604"), "31", EDITION).grip == Fraction(31, 16)
    assert find_dash(standard("NAS6604"), "34", EDITION) is None
    assert find_dash(standard("AN4"), "8", EDITION) is None


def test_only_the_ladder_that_was_read_is_followed_beyond_32_and_unmarked():
    # note on NAS6203 Rev 10 Table II (second-hand): 66 grips, every number to 32, even ones to 100
    read = {name for name, _, _ in every_bolt() if "grip-unverified" not in fired(ask_any(name))}
    assert read == {*AN, *(f"NAS62{size:02d}" for size in range(3, 11))}
    assert len(bolt_ladder(standard("NAS6210"), EDITION)) == 66
    for name in ("NAS6604", "NAS6304", "NAS1104", "NAS1304", "NAS464"):
        assert [int(bolt.dash) for bolt in bolt_ladder(standard(name), EDITION)] == list(range(1, 33))


@pytest.mark.parametrize(
    ("asked", "number"),
    [
        ({}, "AN4-10A"),
        ({"alloy": "DD"}, "AN4DD10A"),
        ({"alloy": "2024"}, "AN4DD10A"),
        ({"alloy": "C"}, "AN4C10A"),
        ({"head": "AN4H"}, "AN4H10A"),
        ({"nut": "AN310"}, "AN4-10"),
        ({"nut": "AN320", "alloy": "C"}, "AN4C10"),
        ({"nut": "AN310", "head": "AN4H", "alloy": "C"}, "AN4CH10"),
        ({"head": "NAS6304", "alloy": "A286"}, "NAS6304-8"),
        ({"head": "NAS464"}, "NAS464-4-8"),
        ({"head": "NAS464", "diameter": "5/16"}, "NAS464-5-8"),
    ],
)
def test_a_number_tells_material_and_drilling(asked, number):
    # kit-airplane builder manual, part number breakdown; the number of NAS464 from memory
    assert ask(**asked)["part_number"] == number


def test_a_bolt_number_is_written_from_its_fields():
    row = standard("AN4")
    assert format_bolt_number(row, "", "10", drilled_head=False, drilled_shank=False, diameter=4) == "AN4-10A"
    assert format_bolt_number(row, "DD", "10", drilled_head=True, drilled_shank=True, diameter=4) == "AN4DDH10"


# washers


@pytest.mark.parametrize("practice", PRACTICES)
@given(
    head=st.sampled_from(sorted(WITH_WASHERS)),
    stack=st.decimals("0.02", "3.3", places=4),
    tolerance=st.sampled_from(["0", "0.005", "0.02"]),
    nut=st.sampled_from(["AN365", "AN364", "MS21042"]),
)
def test_washers_keep_thread_out_of_the_hole_and_the_nut_off_the_shank(practice, head, stack, tolerance, nut):
    assume(Fraction(str(stack)) > Fraction(tolerance))
    # the ladder of AN6 ends at -37, a grip of 3.313 in
    assume(Fraction(str(stack)) + Fraction(tolerance) <= Fraction("3.313"))
    found = ask(head, str(stack), practice=practice, stack_tolerance=tolerance, nut=nut)
    washers, thread = found["washers"], found["thread"]
    under_head, under_nut = height(washers["under_head"]), height(washers["under_nut"])
    grip = Fraction(str(found["grip"]["length_in"])).limit_denominator(16000)
    thickest, thinnest = (Fraction(str(stack)) + sign * Fraction(tolerance) for sign in (1, -1))
    in_hole = max(Fraction(0), under_head + thickest - grip)
    # whatever a practice lets lie there: thread in the hole carries no shear
    assert in_hole == thread["in_hole_in"] == thread["in_hole_threads"] == 0
    assert thread["in_hole_threads_maximum"] == IN_HOLE[practice]
    if "grip-straddled" not in fired(found):
        assert under_head + thinnest + under_nut >= grip
    heads, nuts = len(washers["under_head"]), len(washers["under_nut"])
    # PS Magazine 263; light amphibious airplane maintenance manual; amateur-builder association bolt card
    left_out = "head-washer-left-out" in fired(found)
    assert heads == 0 if left_out else UNDER_HEAD[practice] <= heads <= 2
    thinnest_washer = THINNEST.get(head, LIGHT)
    assert left_out == (bool(UNDER_HEAD[practice]) and thickest + thinnest_washer > grip)
    assert 1 <= nuts <= 2
    assert heads + nuts <= 3
    assert washers["total_in"] == float(under_head + under_nut)


@pytest.mark.parametrize("practice", PRACTICES)
@given(spare=st.decimals("0", "0.1249", places=4))
def test_no_fewer_washers_would_do(practice, spare):
    grip, longest, sizes = Fraction("0.563"), Fraction("0.579"), (Fraction("0.063"), Fraction("0.032"))
    stack = grip - Fraction(str(spare))
    found = ask("AN4", f"{float(stack):.4f}", practice=practice)["washers"]
    count = len(found["under_head"]) + len(found["under_nut"])
    covers = height([*found["under_head"], *found["under_nut"]]) + stack >= longest
    # every way to put one washer less under head and nut pushes thread into the hole, or keeps the nut off the shank
    # no better than the ones found do: at the grip's longest, or else at its nominal
    asked = UNDER_HEAD[practice] if found["under_head"] else 0
    for heads in range(asked, count - 1):
        for chosen in product(sizes, repeat=count - 1):
            thread = sum(chosen[:heads]) + stack - grip
            pushes = heads > 0 and thread > -Fraction("0.016")  # of a grip 0.016 in shorter
            assert thread > 0 or pushes or sum(chosen) + stack < (longest if covers else grip)


@pytest.mark.parametrize("practice", PRACTICES)
@given(spare=st.decimals("0", "0.1249", places=4))
def test_the_nut_stays_off_the_longest_shank_wherever_an_eighth_of_washers_can_keep_it_off(practice, spare):
    # FAA AC 43.13-1B 7-37, from memory: no more than an eighth together; grip +1/64 (kit-airplane builder manual)
    found = ask("AN4", f"{float(Fraction('0.563') - Fraction(str(spare))):.4f}", practice=practice)
    washers = height([*found["washers"]["under_head"], *found["washers"]["under_nut"]])
    if Fraction(str(spare)) <= Fraction("0.110"):
        assert washers - Fraction(str(spare)) >= Fraction("0.016")
    assert washers <= Fraction("0.127")


@pytest.mark.parametrize(
    ("practice", "stack", "head", "nut"),
    [
        # one 0.063 covers what is left of the grip, 0.063, just so; not the grip at its longest, 0.079
        ("civil", "0.5", ["AN960-416L"], ["AN960-416"]),
        ("civil", "0.516", [], ["AN960-416"]),
        ("civil", "0.56", [], ["AN960-416L"]),
        # 0.032 under the head would push thread into the hole: from 0.531 on it is left out
        ("military", "0.563", [], ["AN960-416L"]),
        ("military", "0.5311", [], ["AN960-416"]),
        ("military", "0.531", ["AN960-416L"], ["AN960-416L"]),
        # two are needed to cover 0.579; a light one under the head would push thread into a hole of a grip of 0.547
        ("civil", "0.5155", [], ["AN960-416", "AN960-416L"]),
        ("civil", "0.515", ["AN960-416L"], ["AN960-416"]),
        ("military", "0.5", ["AN960-416L"], ["AN960-416"]),
    ],
)
def test_the_washers_are_those_a_mechanic_would_take(practice, stack, head, nut):
    found = ask("AN4", stack, practice=practice)["washers"]
    assert [washer["washer"] for washer in found["under_head"]] == head
    assert [washer["washer"] for washer in found["under_nut"]] == nut


def test_the_longest_grip_is_covered_where_an_eighth_of_washers_does_it():
    # grip tolerance 1/64 (kit-airplane builder manual); the height of AN364 is unknown, so only the grip speaks
    covered = ask("AN4", "0.54", nut="AN364")
    assert [washer["variant"] for washer in covered["washers"]["under_nut"]] == ["regular"]  # 0.032 would do for 0.023
    light = ask("AN4", "0.55", nut="AN364")
    assert [washer["variant"] for washer in light["washers"]["under_nut"]] == ["light"]  # 0.013 + 0.016 is under 0.032
    more = ask("AN4", "0.5", nut="AN364")
    assert more["washers"]["total_in"] == 0.095  # 0.063 + 0.016 is more than one
    short = ask("AN4", "0.44", nut="AN364")  # two regular ones leave 0.003
    assert "the grip may be 0.0160 in longer: the nut may then stop 0.0130 in early" in " ".join(short["reasoning"])


def test_incomplete_thread_counts_to_the_longest_grip():
    # NAS6203-NAS6210 Table I, U: up to 0.045 in of incomplete thread in the 1/4 size
    found = ask("NAS6204", "0.5", nut="MS21042")
    assert [washer["variant"] for washer in found["washers"]["under_nut"]] == ["regular"]
    assert any("0.0450 in of incomplete thread" in line for line in found["reasoning"])


@pytest.mark.parametrize("written", ["1/4", "0.25", ".25 in", "6.35 mm", "6.4 mm"])
def test_a_diameter_is_read_as_those_of_rivets_are(written):
    # metric name of 1/4: German aircraft-components course notes, Table 6.2, second-hand
    assert ask("hex", "0.5", written)["part_number"] == "AN4-10A"


@pytest.mark.parametrize("written", ["3/16", "0.19", "0.190", "4.8 mm"])
def test_number_ten_is_three_sixteenths(written):
    # NAS6203-NAS6210 Table I (second-hand): the 3/16 size is .1900
    assert ask("hex", "0.5", written)["part_number"] == "AN3-7A"


def test_a_washer_names_what_replaces_it():
    washer = ask("AN4", "0.5")["washers"]["under_nut"][0]
    # kit parts list in a public repository, second-hand
    assert washer["replaced_by"] == "NAS1149F0463P"
    assert (washer["variant"], washer["thickness_in"]) == ("regular", 0.063)


def test_washers_over_an_eighth_together_are_told():
    # FAA AC 43.13-1B 7-37, from memory; three are needed from 0.43 to a grip of 0.563
    found = ask("AN4", "0.46", stack_tolerance="0.03")
    assert found["washers"]["total_in"] == 0.158
    assert "0.1580 in, the most 0.1250" in caution(found, "washers-high")
    assert any("0.1580 in of washers is over 0.1250 in" in line for line in found["reasoning"])


def test_two_regular_washers_are_an_eighth():
    # 0.063 is 1/16 in, nominal (AN960 sheet, from memory)
    found = ask("AN4", "0.45")
    assert found["washers"]["total_in"] == 0.126
    assert "washers-high" not in fired(found)
    assert not any("of washers is over" in line for line in found["reasoning"])
    eighth = Fraction(1, 8)
    assert not is_over(2 * REGULAR, eighth)
    assert not is_over(4 * LIGHT, eighth)
    assert is_over(2 * REGULAR + LIGHT, eighth)


@pytest.mark.parametrize("practice", PRACTICES)
def test_no_washer_may_push_thread_into_the_hole_in_either_practice(practice):
    limits = washer_limits(practice, EDITION)
    # PS Magazine 263; light amphibious airplane maintenance manual; amateur-builder association bolt card
    assert (limits.head_least, limits.nut_least, limits.side_most, limits.most) == (UNDER_HEAD[practice], 1, 2, 3)
    assert (limits.in_hole, limits.height_most) == (0, Fraction(1, 8))


def test_a_washer_under_the_head_that_would_push_thread_into_the_hole_is_left_out_and_told():
    # NAVEDTRA 14008, chapter 2: one under both head and nut; 0.531 and 0.032 are 0.563, the grip of -10
    asked, left_out = (ask("AN4", stack, practice="military") for stack in ("0.531", "0.532"))
    assert len(asked["washers"]["under_head"]) == 1
    assert "head-washer-left-out" not in fired(asked)
    assert left_out["washers"]["under_head"] == []
    assert len(left_out["washers"]["under_nut"]) == 1
    assert "next longer grip" in caution(left_out, "head-washer-left-out")
    assert "head-washer-left-out" not in fired(ask("AN4", "0.532"))
    assert "head-washer-left-out" not in fired(ask("NAS6209", "0.56", "9/16", practice="military"))


@pytest.mark.parametrize(("head", "size"), [("NAS6209", "9/16"), ("NAS6210", "5/8")])
def test_a_size_without_washers_in_the_tables_is_answered_without_them(head, size):
    found = ask(head, "0.47", size, nut_height="0.3")
    assert found["washers"] is None
    assert "washers" in unknown(found)
    assert "washer-metal" not in fired(found)
    length, stack = found["length"]["length_in"], 0.47
    assert found["thread"]["past_nut_in"] == pytest.approx(length - stack - 0.3)


@pytest.mark.parametrize("head", ["NAS1104", "NAS1304", "NAS464"])
def test_washers_are_chosen_where_the_pitch_is_not_known_too(head):
    tight, room = (ask(head, stack, practice="military") for stack in ("0.49", "0.45"))
    assert [washer["washer"] for washer in tight["washers"]["under_nut"]] == ["AN960-416L"]
    assert tight["washers"]["under_head"] == []  # 0.49 and 0.032 are over the grip of -8, 0.5
    assert "head-washer-left-out" in fired(tight)
    assert len(room["washers"]["under_head"]) == 1
    for found in (tight, room):
        assert "washers" not in unknown(found)
        assert "washer-metal" in fired(found)
        assert found["thread"]["in_hole_in"] == 0
        assert found["thread"]["in_hole_threads"] is None


def test_a_tolerance_is_held_by_grip_and_washers_both():
    found = ask("AN4", "0.5", stack_tolerance="0.06")
    assert found["part_number"] == "AN4-10A"
    assert height(found["washers"]["under_nut"]) + Fraction("0.44") >= Fraction("0.563")
    assert "grip-straddled" not in fired(found)
    assert ask("AN4", "0.5", stack_tolerance="+0.07/-0")["part_number"] == "AN4-11A"


def test_a_tolerance_that_no_washers_hold_is_a_caution():
    found = ask("AN5", "0.5", stack_tolerance="0.1")
    assert found["part_number"] == "AN5-11A"  # 0.688 holds the thickest, 0.6
    assert "grip-straddled" in fired(found)
    # 0.4 and three washers of 0.063 are 0.099 in short of 0.688
    assert "0.0990 in onto the shank" in caution(found, "grip-straddled")
    assert height(found["washers"]["under_nut"] + found["washers"]["under_head"]) + Fraction("0.5") >= Fraction("0.688")
    assert "grip-straddled" in fired(ask("NAS6210", "0.5", "5/8", stack_tolerance="0.1"))
    assert "grip-straddled" not in fired(ask("NAS6210", "0.48", "5/8", stack_tolerance="0.01"))


LIMITS = WasherLimits(head_least=0, nut_least=1, side_most=2, most=3, in_hole=Fraction(0))


def test_what_washers_cannot_bring_inside_says_by_how_much():
    sizes, grip = washer_sizes("1/4", EDITION), Fraction("0.563")
    room = Room(grip, Fraction("0.3"), Fraction("0.3"), grip, grip)
    assert choose_washers(sizes, room, LIMITS) is None
    # 0.3 + 3 x 0.063 = 0.489 of 0.563
    assert tell_misfit(sizes, room, LIMITS) == "0.0740 in more washers than the practice allows"
    brim = Room(grip, grip, grip, grip, grip)
    crowded = WasherLimits(head_least=1, nut_least=1, side_most=2, most=3, in_hole=Fraction(0))
    assert choose_washers(sizes, brim, crowded) is None
    assert "thread into the hole" in tell_misfit(sizes, brim, crowded)


def chosen(stack, *, longest="0.563", shortest="0.563", window=None, limits=LIMITS):
    """Return the heights under head and nut for a grip of 0.563, all in thousandths."""
    stack, ends = Fraction(stack), None if window is None else (Fraction(window[0]), Fraction(window[1]))
    room = Room(Fraction("0.563"), stack, stack, Fraction(longest), Fraction(shortest), ends)
    found = choose_washers(washer_sizes("1/4", EDITION), room, limits)
    assert found is not None
    return [[int(1000 * row.number("thickness_in")) for row in side] for side in (found.under_head, found.under_nut)]


def test_of_washers_that_serve_the_first_thing_that_tells_them_apart_decides():
    # no higher than an eighth, though the longest grip, 0.579, would need 0.139
    assert chosen("0.44", longest="0.579") == [[63], [63]]
    # off the longest shank, 0.595, though one would cover the nominal grip
    assert chosen("0.5", longest="0.595") == [[32], [63]]
    # no thread of the shortest grip pushed in, though one washer under the head is the usual place
    assert chosen("0.5", longest="0.595", shortest="0.531") == [[], [63, 32]]
    assert chosen("0.5", longest="0.595", shortest="0.532") == [[32], [63]]
    # as few as will do, though two would come nearer to the threads there should be past the nut
    assert chosen("0.54", window=("0.090", "0.100")) == [[], [63]]
    # nearer to those threads, though the light one would do for the grip
    assert chosen("0.54") == [[], [32]]
    assert chosen("0.54", window=("0.055", "0.070")) == [[], [63]]
    # lengths are printed to a thousandth: 0.004 too low is low enough, a hair more is not
    assert chosen("0.54", window=("0.036", "0.070")) == [[], [32]]
    assert chosen("0.54", window=("0.0361", "0.070")) == [[], [63]]
    # one under the head, no thicker than need be
    assert chosen("0.45") == [[63], [63]]
    assert chosen("0.47") == [[32], [63]]


def test_a_stack_that_no_washers_bring_inside_is_outside_the_table(tmp_path):
    thin = Copy(tmp_path)
    for washer in ("AN960-416", "AN960-416L"):
        thin.put("washers", thin.find("washers", washer), "thickness_in", "0.010")
    stack = parse_stack("0.5")
    with pytest.raises(OutsideTable) as problem:
        pick_bolt(PickQuestion(parse_length("1/4"), "steel", "AN4", stack), thin.load())
    # three washers of 0.010 on 0.5 are 0.033 short of the grip, 0.563
    assert "0.5000 in on the grip of AN4-10, 0.5630 in, needs 0.0330 in more washers" in problem.value.detail


# nut, thread, torque, cotter


@pytest.mark.parametrize(
    ("asked", "low", "high"),
    [
        # FAA AC 43.13-1B Table 7-1, published: 1/4-28, tension and shear nuts; 10-32; 3/8-24
        ({"nut": "AN365"}, 50, 70),
        ({}, 50, 70),
        ({"nut": "AN320"}, 30, 40),
        ({"nut": "AN364"}, 30, 40),
        ({"nut": "MS20365"}, 50, 70),
        ({"head": "AN3"}, 20, 25),
        ({"head": "AN3", "nut": "AN364"}, 12, 15),
        ({"head": "NAS6206"}, 160, 190),
        ({"head": "NAS6208"}, 480, 690),
    ],
)
def test_the_torque_is_the_printed_one_of_the_thread_and_the_nut(asked, low, high):
    torque = ask(**asked)["torque"]
    assert (torque["minimum_in_lb"], torque["maximum_in_lb"]) == (low, high)
    assert torque["final_minimum_in_lb"] is None
    assert torque["drag_in_lb"] is None
    # 1 in-lb is 0.1129848 N m
    assert torque["minimum_n_m"] == pytest.approx(low * 0.1129848, abs=0.006)


def test_drag_is_added_to_the_torque():
    # FAA AC 43.13-1B 7-40d
    torque = ask("AN4", "0.5", drag="12")["torque"]
    assert (torque["final_minimum_in_lb"], torque["final_maximum_in_lb"]) == (62, 82)
    assert torque["drag_in_lb"] == 12
    assert "torque-drag" not in fired(ask("AN4", "0.5", drag="12"))
    assert "running the nut down" in caution(ask("AN4", "0.5"), "torque-drag")
    metric = ask("AN4", "0.5", drag="1.4 N m")["torque"]
    assert metric["drag_n_m"] == 1.4
    assert metric["final_maximum_n_m"] == pytest.approx(metric["maximum_n_m"] + 1.4, abs=0.01)


def test_drag_over_what_the_table_allows_is_told():
    # Table 7-1: at most 100 in-lb on 1/4-28 with a tension nut
    assert "torque-over" not in fired(ask("AN4", drag="30"))
    over = ask("AN4", drag="31")
    assert "101 in-lb with the drag, the most allowed 100" in caution(over, "torque-over")
    assert "101" not in caution(over, "torque-dry")
    # at most 60 with a shear nut
    assert "torque-over" not in fired(ask("AN4", nut="AN320", drag="20"))
    assert "torque-over" in fired(ask("AN4", nut="AN320", drag="20.5"))


@pytest.mark.parametrize(
    "asked",
    [{"alloy": "DD"}, {"alloy": "C"}, {"head": "NAS6304", "alloy": "A286"}, {"head": "NAS1104"}, {"head": "NAS464"}],
)
def test_only_plated_steel_bolts_with_a_known_thread_get_a_torque(asked):
    found = ask(**asked)
    assert found["torque"] is None
    assert "torque" in unknown(found)
    assert not {"torque-dry", "torque-drag", "torque-over"} & fired(found)
    told = "no torque: the thread" if "1104" in str(asked) or "464" in str(asked) else "the table is for steel bolts"
    assert any(told in line for line in found["reasoning"])


def test_a_castellated_nut_takes_a_drilled_shank_and_a_cotter_pin():
    found = ask("AN4", "0.5", nut="AN310")
    assert found["part_number"] == "AN4-10"
    # amateur-builder association bolt card, second-hand
    assert found["cotter"]["number"] == "MS24665-132"
    assert found["cotter"]["hole_minimum_in"] is None
    assert {"cotter.hole_minimum", "cotter.hole_maximum"} <= set(unknown(found))
    assert "castle-cotter" in fired(found)
    assert found["nut"]["number"] == "AN310-4"
    assert ask("AN6", "0.5", nut="AN320")["cotter"]["number"] == "MS24665-283"
    assert ask("AN4", "0.5")["cotter"] is None


@pytest.mark.parametrize(("head", "alloy"), [("NAS6204", "steel"), ("NAS1304", "steel"), ("NAS464", "steel")])
def test_a_drilled_nas_shank_is_refused_for_want_of_its_letters(head, alloy):
    with pytest.raises(NotTabulated) as problem:
        ask(head, "0.5", alloy=alloy, nut="AN310")
    assert (problem.value.field, problem.value.example) == ("nut", "MS21042")
    assert f"the letters of a drilled {head} shank" in problem.value.detail


def test_the_usual_nut_is_a_full_height_self_locking_one():
    nut = ask("AN4", "0.5")["nut"]
    assert (nut["nut"], nut["number"], nut["load"], nut["castellated"]) == ("AN365", "AN365-428A", "tension", False)
    assert nut["height_in"] == 0.328  # AN365 sheet, from memory


@pytest.mark.parametrize(("head", "nut"), [("NAS6204", "MS21042"), ("NAS1304", "MS21042"), ("NAS6604", "AN365")])
def test_a_short_thread_is_answered_with_a_nut_of_reduced_height(head, nut):
    assert ask(head, "0.5")["nut"]["nut"] == nut  # from memory


@pytest.mark.parametrize(
    ("head", "size", "nut"),
    [
        # technical page on MS21042 nuts, size list (second-hand): up to 3/8 there
        ("NAS6203", "3/16", "MS21042"),
        ("NAS6206", "3/8", "MS21042"),
        ("NAS6207", "7/16", "AN365"),
        ("NAS6210", "5/8", "AN365"),
        ("NAS1107", "7/16", "AN365"),
        ("NAS464", "5/16", "MS21042"),
        ("NAS464", "1/2", "AN365"),
    ],
)
def test_the_usual_nut_of_a_short_thread_is_the_first_that_comes_in_the_size(head, size, nut):
    found = ask(head, "0.5", size)
    assert found["nut"]["nut"] == nut
    assert (found["nut"]["number"] is None) == (nut == "AN365")
    with pytest.raises(NotTabulated) as problem:
        ask(head, "0.5", size, nut="AN310")
    assert problem.value.example == nut


def test_threads_past_the_nut_are_what_length_leaves():
    thread = ask("AN4", "0.5")["thread"]
    # 1.031 - 0.5 - 0.095 washers - 0.328 nut, 28 threads an inch
    assert thread["past_nut_in"] == 0.108
    assert thread["past_nut_threads"] == 3.02
    assert (thread["thread"], thread["per_inch"], thread["length_in"]) == ("1/4-28", 28, 0.469)
    # one thread of 1/28 past the nut: 1.031 - 0.595 - 0.0357
    assert thread["nut_height_maximum_in"] == pytest.approx(0.436 - 1 / 28, abs=1e-6)
    two = ask("AN4", "0.563", practice="military")["thread"]
    # the one washer is under the nut: under the head it would push thread into the hole
    assert two["nut_height_maximum_in"] == pytest.approx(1.031 - 0.563 - 0.032 - 2 / 28, abs=1e-6)
    assert (two["past_nut_threads_minimum"], two["in_hole_threads_maximum"]) == (2, 2)
    assert two["in_hole_threads"] == 0


def test_the_form_of_the_thread_is_told_where_its_sheet_names_it():
    # NAS6203-NAS6210 Table I (second-hand): UNJF; of AN bolts no document read names it
    for head, form in (("NAS6204", "UNJF"), ("NAS6604", "UNJF"), ("AN4", None)):
        found = ask(head, "0.5")
        assert found["thread"]["form"] == form
        assert ("thread.form" in unknown(found)) == (form is None)


def test_a_long_thread_is_told_only_where_the_next_shorter_bolt_would_do():
    # NAVEDTRA 14014, chapter 5: two threads in the hole; the grip of -7 is 0.438, and 2/28 is 0.071
    found = ask("AN4", "0.44", practice="military")
    assert found["thread"]["past_nut_threads"] > 3
    assert "-7, leaves 0.0020 in of the stack on its thread" in caution(found, "thread-long")
    # as many threads stand out, and civil practice lets none lie in the hole
    same = ask("AN4", "0.44")
    assert same["thread"]["past_nut_threads"] == found["thread"]["past_nut_threads"]
    assert "thread-long" not in fired(same)


@given(stack=st.decimals("0.02", "3.3", places=4), head=st.sampled_from(sorted(AN)), height=st.integers(50, 370))
def test_what_is_called_too_long_has_a_shorter_bolt_that_serves(stack, head, height):
    asked = {"stack": str(stack), "nut_height": f"{height / 1000}"}
    assert "thread-long" not in fired(ask(head, **asked))
    found = ask(head, **asked, practice="military")
    if "thread-long" in fired(found):
        thread = found["thread"]
        assert thread["past_nut_threads"] > 3
        shorter = Fraction(str(found["grip"]["minimum_in"]))
        assert shorter > 0
        assert (Fraction(str(stack)) - shorter) * thread["per_inch"] <= IN_HOLE["military"]


@given(stack=st.decimals("0.02", "3.3", places=4), head=st.sampled_from(sorted(WITH_WASHERS)))
def test_the_tallest_nut_leaves_just_the_threads_the_practice_wants(stack, head):
    tallest = ask(head, str(stack), nut="AN364")["thread"]["nut_height_maximum_in"]
    # washers may be chosen otherwise once the nut's height is known: as many or fewer threads are left, never too few
    found = ask(head, str(stack), nut="AN364", nut_height=f"{math.floor(tallest * 1e6 - 1) / 1e6:.6f}")
    assert "thread-short" not in fired(found)


def test_a_measured_nut_stands_in_for_the_tables():
    found = ask("NAS6204", "0.5", nut="MS21042", nut_height="0.2")
    assert found["nut"]["height_in"] == 0.2
    assert "nut-height-unknown" not in fired(found)
    # 0.870 - 0.5 - 0.063 - 0.2, 28 an inch
    assert found["thread"]["past_nut_threads"] == 3.0
    assert "thread-long" not in fired(found)
    assert "nut-height-unknown" in fired(ask("NAS6204", "0.5", nut="MS21042"))


def test_a_bolt_that_ends_inside_its_nut_is_told():
    # NAS6204 has a short thread: 0.870 - 0.5 - 0.063 washer - 0.328 nut is below zero
    found = ask("NAS6204", "0.5", nut="AN365")
    assert found["thread"]["past_nut_in"] == -0.021
    assert "thread-short" in fired(found)
    assert "the bolt ends 0.0210 in inside the nut" in caution(found, "thread-short")


@pytest.mark.parametrize("height", ["0", "0.51"])
def test_what_is_no_height_of_a_nut_is_refused(height):
    with pytest.raises(OutsideTable) as problem:
        ask("AN4", "0.5", nut_height=height)
    assert problem.value.field == "nut_height"


# each caution, a question that fires it and one that does not
FIRES = {
    "bolt-step": ({}, None),
    "grip-boundary": ({"stack": "0.56"}, {}),
    "grip-straddled": ({"stack_tolerance": "0.3"}, {}),
    "self-locking-rotation": ({}, {"nut": "AN310"}),
    "shear-nut": ({"nut": "AN320"}, {"nut": "AN310"}),
    "castle-cotter": ({"nut": "AN310"}, {}),
    "check-nut": ({"nut": "AN315"}, {}),
    "nut-height-unknown": ({"nut": "AN364"}, {}),
    "thread-long": ({"stack": "0.44", "practice": "military"}, {"stack": "0.44"}),
    "thread-short": ({"head": "NAS6204", "nut": "AN365"}, {}),
    "torque-dry": ({}, {"alloy": "DD"}),
    "torque-drag": ({}, {"drag": "12"}),
    "torque-over": ({"drag": "31"}, {"drag": "30"}),
    "head-washer-left-out": ({"stack": "0.56", "practice": "military"}, {"stack": "0.5", "practice": "military"}),
    "washers-high": ({"stack": "0.46", "stack_tolerance": "0.03"}, {"stack": "0.44"}),
    "grip-unverified": ({"head": "NAS6604"}, {"head": "NAS6204"}),
    # MIL-STD-889C Table I, as transcribed (second-hand): cadmium with 2024, row C column E; 2xxx with 4130, E with F
    "couple-of-fastener": ({"alloy": "DD", "stack": "0.25+0.25 4130"}, {"stack": "0.25+0.25 2024-T3"}),
    "washer-metal": ({}, {"head": "NAS6209", "diameter": "9/16"}),
    "bolt-too-small": ({"head": "AN3", "alloy": "DD"}, {"head": "AN3"}),
    "close-tolerance": ({"head": "NAS6204"}, {}),
    "lead": ({"stack": "0.25+0.25 lead"}, {}),
    "magnesium": ({"stack": "0.25+0.25 AZ31B"}, {}),
    "unknown-material": ({"stack": "0.25+0.25 unobtainium"}, {}),
    "bearing-test": ({"stack": "0.04 6061-T6+0.4 6061-T6"}, {"stack": "0.05 6061-T6+0.4"}),
    "bearing-unknown": ({"stack": "0.25+0.25 4130"}, {"stack": "0.2 6061-T6+0.25"}),
    "hole-outside-limits": ({"hole": "0.27"}, {"hole": "#F"}),
    "no-figure": ({}, None),
    "not-published": ({}, None),
}


@pytest.mark.parametrize("code", FIRES)
def test_each_caution_fires_when_its_condition_holds_and_only_then(code):
    does, does_not = FIRES[code]
    assert code in fired(ask(**does))
    if does_not is not None:
        assert code not in fired(ask(**does_not))


def test_a_bolt_is_not_judged_by_the_rule_of_rivets_for_its_thickest_sheet():
    assert "diameter-for-sheet" not in fired(ask("AN4", "0.5+0.5"))


def test_an_aluminium_bolt_of_a_quarter_inch_is_not_too_small():
    # FAA AC 43.13-1B 7-41
    assert "bolt-too-small" not in fired(ask("AN4", alloy="DD"))


# hole, shank, strength


@pytest.mark.parametrize(("head", "drill", "inches"), [("AN4", "F", 0.257), ("AN5", "O", 0.316), ("AN6", "V", 0.377)])
def test_the_hole_is_the_first_letter_drill_over_the_bolt(head, drill, inches):
    # FAA AC 43.13-1B 7-39, with the letter drill list
    hole = ask(head, "0.5")["hole"]
    assert hole["final"]["drill"] == drill
    assert hole["final"]["diameter_in"] == inches
    assert hole["minimum_in"] is None
    assert hole["maximum_in"] is None
    assert "clearance fit" in hole["fit"]


def test_no_drill_is_told_under_a_quarter_inch_or_for_a_close_tolerance_bolt():
    small, close = ask("AN3", "0.5"), ask("NAS6204", "0.5")
    for found in (small, close):
        assert found["hole"]["final"] is None
        assert {"hole.final", "hole.minimum", "hole.maximum"} <= set(unknown(found))
    assert any("from 1/4 in up" in line for line in small["reasoning"])
    # FAA AC 43.13-1B 7-44
    assert "light tapping" in close["hole"]["fit"]


@pytest.mark.parametrize(
    ("head", "hole", "outside"),
    [
        ("AN4", "0.257", False),
        ("AN4", "0.25", False),
        ("AN4", "0.258", True),
        ("AN3", "#10", False),
        ("NAS6204", "0.2490", False),
        ("NAS6204", "0.2496", True),  # over the largest shank, 0.2495: no interference
        ("NAS6204", "0.2480", False),  # under the least shank, 0.2485: an interference fit
        ("NAS6204", "0.2475", False),
        ("AN4", "0.2475", False),  # within the shank, 0.246 to 0.249
        ("AN3", "0.1857", True),  # under the least shank, 0.186: no bolt of a clearance fit goes in
    ],
)
def test_a_hole_is_judged_by_drill_and_shank(head, hole, outside):
    found = ask(head, "0.5", hole=hole)
    assert ("hole-outside-limits" in fired(found)) == outside
    assert found["hole"]["given"]["text"] == hole
    assert any("the shank" in line for line in found["reasoning"] if line.startswith("the hole as given"))


@pytest.mark.parametrize(
    ("head", "hole", "told"),
    [
        # shanks: NAS6203-NAS6210 Table I, 0.2485 to 0.2495; AN3-AN20 from memory, 0.246 to 0.249
        ("NAS6204", "0.2475", "0.0010 to 0.0020 in under the shank"),
        ("NAS6204", "0.2485", "0.0000 to 0.0010 in under the shank"),
        ("NAS6204", "0.2490", "0.0005 in under to 0.0005 in over the shank"),
        ("NAS6204", "0.2500", "0.0005 to 0.0015 in over the shank"),
        ("AN4", "0.257", "0.0080 to 0.0110 in over the shank"),
        ("AN4", "0.2475", "0.0015 in under to 0.0015 in over the shank"),
    ],
)
def test_a_hole_is_told_by_how_much_it_is_over_or_under_the_shank(head, hole, told):
    inches = f"{float(hole):.4f}"
    assert f"the hole as given, {inches} in, is {told}" in ask(head, "0.5", hole=hole)["reasoning"]


@pytest.mark.parametrize(
    ("head", "hole", "span"),
    [
        ("AN4", "0.24", "0.2475 to under 0.3125 in"),
        ("AN4", "5/16", "0.2475 to under 0.3125 in"),
        ("AN3", "0.25", "0.185625 to under 0.2500 in"),
        ("NAS6204", "#30", "0.2475 to under 0.3125 in"),
    ],
)
def test_what_is_no_hole_for_the_bolt_is_refused(head, hole, span):
    with pytest.raises(OutsideTable) as problem:
        ask(head, "0.5", hole=hole)
    assert problem.value.field == "hole"
    assert span in problem.value.detail
    assert ask(head, "0.5", hole=problem.value.example)["hole"]["given"]["text"] == problem.value.example


def test_what_the_tolerance_of_the_grip_may_do_is_told():
    # kit-airplane builder manual, text (second-hand): grip +/-1/64; what was read of the NAS bolts tells none
    brim = caution(ask("AN4", "0.563"), "bolt-step")
    assert "may be 0.0160 in shorter: 0.0160 in of thread in the hole then" in brim
    short = caution(ask("AN4", "0.44"), "bolt-step")  # 0.44 and two of 0.063 are 0.566, of 0.579
    assert "no thread in the hole then either; or 0.0160 in longer: the nut 0.0130 in onto the shank" in short
    assert "measure the bolt" in caution(ask("NAS6204", "0.5"), "bolt-step")


@pytest.mark.parametrize(
    ("head", "low", "high"),
    [("AN4", 0.246, 0.249), ("AN6", 0.371, 0.374), ("NAS6204", 0.2485, 0.2495), ("NAS6210", 0.623, 0.624)],
)
def test_the_shank_is_the_one_of_its_sheet(head, low, high):
    # AN3-AN20 from memory; NAS6203-NAS6210 Table I, distributor transcription
    shank = ask(head, "0.5", {"NAS6210": "5/8"}.get(head))["shank"]
    assert (shank["minimum_in"], shank["maximum_in"], shank["oversize_in"]) == (low, high, None)


@pytest.mark.parametrize(
    ("head", "shear", "tension", "basis"),
    [
        # steel bolt allowables, from memory: printed loads
        ("AN3", 2130, 2210, "memory"),
        ("AN5", 5750, 6500, "memory"),
        ("AN6", 8280, 10100, "memory"),
        # 75 ksi and 95 ksi x pi/4 x D squared (homebuilder technical page quoting MIL-HDBK-5J 8.1.5)
        ("AN4", round(75000 * math.pi / 4 * 0.25**2), 4080, "memory"),
        ("NAS6204", round(95000 * math.pi / 4 * 0.25**2), None, "derived"),
        ("NAS6208", round(95000 * math.pi / 4 * 0.5**2), None, "derived"),
    ],
)
def test_a_bolt_carries_the_printed_load_or_its_stress_on_the_shank(head, shear, tension, basis):
    strength = ask(head, "0.5")["strength"]
    assert strength["single_shear_lbf"] == shear
    assert strength["double_shear_lbf"] == pytest.approx(2 * shear, abs=1)
    assert strength["tension_lbf"] == tension
    assert strength["basis"] == basis


@pytest.mark.parametrize("nut", ["AN364", "MS20364", "AN320"])
def test_a_bolt_carries_no_tension_by_a_thin_nut(nut):
    with_thin, with_full = ask("AN4", "0.5", nut=nut), ask("AN4", "0.5")
    assert with_thin["nut"]["load"] == "shear"
    assert with_thin["strength"]["tension_lbf"] is None
    assert "strength.tension" in unknown(with_thin)
    assert with_full["strength"]["tension_lbf"] == 4080
    assert "strength.tension" not in unknown(with_full)
    assert with_thin["strength"]["single_shear_lbf"] == with_full["strength"]["single_shear_lbf"]


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        # MIL-STD-889C Table I, as transcribed (second-hand), marine: cadmium with steel, row C column F, and with
        # magnesium, row A column C; 2xxx with steel, row E column F
        ({"stack": "0.25+0.25 4130"}, ["4130"]),
        ({"stack": "0.25+0.25 AZ31B"}, []),
        ({"alloy": "DD", "stack": "0.2 4130+0.2 2024-T3+0.1 4130"}, ["4130"]),
        ({"stack": "0.25 2024-T3+0.25"}, []),
        ({"stack": "0.5"}, []),
        ({"stack": "0.25+0.25 unobtainium"}, []),
    ],
)
def test_a_layer_that_the_metal_of_the_bolt_may_not_touch_is_told_once(asked, told):
    found = ask("AN4", **asked)
    assert ("couple-of-fastener" in fired(found)) == bool(told)
    if told:
        text = caution(found, "couple-of-fastener")
        assert all(text.count(f"with {material}, in marine air") == 1 for material in told)
        assert "2024-T3" not in text


@pytest.mark.parametrize(
    "asked", [{"alloy": "DD"}, {"alloy": "C"}, {"head": "NAS6604"}, {"head": "NAS6304", "alloy": "A286"}]
)
def test_a_bolt_without_a_strength_row_has_none(asked):
    found = ask(**asked)
    assert found["strength"]["single_shear_lbf"] is None
    assert {"strength.single_shear", "strength.tension"} <= set(unknown(found))


def test_bearing_is_told_for_layers_whose_material_is_named():
    bearing = ask("AN4", "0.1 6061-T6+0.2+0.2 lead")["strength"]["bearing"]
    assert [layer["material"] for layer in bearing] == ["6061-T6", "lead"]
    # MIL-HDBK-5, 6061-T6 at e/D 1.5: Fbru 67 ksi x 0.25 x 0.1
    assert bearing[0]["bearing_lbf"] == 1675
    assert bearing[1]["bearing_lbf"] is None
    assert "no bearing stress" in bearing[1]["note"]


# what every answer owes


def test_every_answer_has_the_shape_of_a_pick_answer():
    assert len(ANSWERS) > 100
    for found in ANSWERS:
        assert SHAPE.load(found) == found or SHAPE.validate(found) == {}
        assert json.loads(json.dumps(found, allow_nan=False)) == found
        assert found["family"] == "bolt"


def test_the_link_of_an_answer_answers_the_same_again():
    for found in ANSWERS:
        parts = urlsplit(found["link"])
        assert parts.path == "/v1/pick"
        assert answer("pick", dict(parse_qsl(parts.query))) == found


def test_a_head_that_several_standards_have_is_answered_by_the_plainest():
    found = ask("hex", "0.5", "1/4")
    assert found["standard"] == "AN4"
    assert any("NAS6204" in line for line in found["reasoning"])
    again = answer("pick", dict(parse_qsl(urlsplit(found["link"]).query)))
    assert again["part_number"] == found["part_number"]
    assert ask("hexagon", "0.5", "7/16")["standard"] == "NAS6207"


ECHO = ("stack", "hole.given", "sources", "cautions", "edition", "nut.height", "strength.bearing.thickness")
UNITS = ("_in_lb", "_n_m", "_in", "_mm", "_lbf", "_n")


def figure_name(path):
    return next((path.removesuffix(unit) for unit in UNITS if path.endswith(unit)), path)


def names(figure, path):
    return path == figure or path.startswith(f"{figure}.")


def test_every_figure_has_a_source_that_names_it():
    unsourced = set()
    for found in ANSWERS:
        cited = {figure for source in found["sources"] for figure in source["figures"]}
        for path, value in leaves(found):
            is_figure = isinstance(value, int | float) and not isinstance(value, bool)
            if is_figure and not any(names(echo, figure_name(path)) for echo in ECHO):
                sourced = any(names(figure, figure_name(path)) for figure in cited)
                unsourced |= set() if sourced else {path}
    assert not unsourced


def test_every_source_is_a_row_of_the_edition():
    for found in ANSWERS:
        for source in found["sources"]:
            row = EDITION[source["table"]].find(*source["row"])
            assert (row.document, row.place, row.basis) == (source["document"], source["place"], source["basis"])


# not of bolts, or empty unless asked for
NOT_APPLICABLE = {
    "length.ideal",
    "length.protrusion_minimum",
    "length.protrusion_maximum",
    "length.trim_to",
    "shank.oversize",
    "washers.under_head.replaced_by",
    "washers.under_nut.replaced_by",
    "torque.drag",
    "torque.final_minimum",
    "torque.final_maximum",
    "cotter",
    "collar",
    "inspection",
    "formed_head",
    "hole.fit",
    "head.cone_angle_deg",
    "alloy.head_mark",
    "alloy.heat_treat",
    "strength.temper",
    "strength.basis",
    "stack.layers.material",
}


def test_every_empty_figure_is_named_by_the_no_figure_caution():
    for found in ANSWERS:
        said = {"length" if name == "length.length" else name for name in unknown(found)}
        empty = {figure_name(path) for path, value in leaves(found) if value is None}
        for figure in empty - NOT_APPLICABLE:
            name = "mass.each" if figure == "mass.each_g" else figure
            assert any(names(known, name) for known in said), figure
        assert said - {"mass.each"} <= empty


def test_no_text_promises_what_only_a_person_may():
    for found in ANSWERS:
        texts = [value for _, value in leaves(found) if isinstance(value, str) and value != "approved-data"]
        said = " ".join(texts).casefold()
        assert not any(word in said for word in ("approved", "airworth", "legal"))


def test_the_limits_of_battle_damage_repair_are_no_answer():
    # TM 1-1520-240-BD 2-5 prints 0.191 to 0.197 for AN3, 0.250 to 0.257 for AN4DD
    for found in (ask("AN3", "0.5"), ask("AN4", "0.5", alloy="DD")):
        assert found["hole"]["minimum_in"] is None
        assert found["hole"]["maximum_in"] is None
        assert "1520-240-BD" not in json.dumps(found["sources"])
