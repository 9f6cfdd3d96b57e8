"""Orders: arithmetic worked out by hand, totals that reconcile on any input, what no splitting or shuffling changes."""

from __future__ import annotations

import time
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.conftest import published

from bucktail_service.answering import answer
from bucktail_service.engine.money import to_cents

RIB = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.032+0.040"}  # takes MS20470AD4-4
LAP = {"diameter": "3/32", "alloy": "AD", "head": "flush-100", "stack": "0.032+0.032"}  # takes MS20426AD3-3.5
NUMBER = {"part_number": "MS20470AD5-18"}


def order(*lines, **options):
    return answer("order", {"lines": list(lines), **options})


def one(*lines, **options):
    """Return the only line of an order."""
    (line,) = order(*lines, **options)["lines"]
    return line


@pytest.mark.parametrize("case", published("order.csv"), ids=lambda case: case["part_number"])
def test_a_pack_holds_what_common_practice_says(case):
    line = one({"part_number": case["part_number"], "quantity": 50}, pack=case["pack"])
    assert int(case["least"]) <= line["packs"]["pieces_per_pack"] <= int(case["most"])


def test_lines_of_one_part_number_become_one_line_sorted_by_number():
    answered = order({**RIB, "quantity": 24}, {**LAP, "quantity": 60}, {"part_number": "AN470AD4-4", "quantity": 6})
    assert [(line["part_number"], line["wanted"]) for line in answered["lines"]] == [
        ("MS20426AD3-3.5", 60),
        ("MS20470AD4-4", 30),
    ]
    assert [row["row"] for row in answered["lines"][1]["rows"]] == [1, 3]


def test_a_line_is_picked_as_its_single_question_is():
    row = one({**RIB, "stack_tolerance": "0.002", "practice": "military", "quantity": 3})
    picked = answer("pick", {**RIB, "stack_tolerance": "0.002", "practice": "military"})
    assert row["part_number"] == picked["part_number"]
    assert row["mass"]["each_g"] == picked["mass"]["each_g"]
    assert row["rows"][0]["link"] == picked["link"]


def test_the_practice_of_the_order_is_that_of_lines_that_name_none():
    answered = order({**RIB, "quantity": 3}, {**RIB, "quantity": 3, "practice": "civil"}, practice="military")
    links = {row["row"]: row["link"] for line in answered["lines"] for row in line["rows"]}
    assert "practice=military" in links[1]
    assert "practice=civil" in links[2]
    assert answered["practice"] == "military"


# common practice, no source (practice_ordering.csv, scrap allowance: shop habit 5-10 percent and a few)
@pytest.mark.parametrize(("wanted", "spares"), [(1, 5), (50, 5), (51, 6), (60, 6), (61, 7), (1000, 100)])
def test_spares_are_ten_percent_rounded_up_and_at_least_five_when_none_are_asked_for(wanted, spares):
    assert one({**RIB, "quantity": wanted})["spares"] == spares


@pytest.mark.parametrize(
    ("asked", "spares"),
    [
        ("10%", 3),
        ("0%", 0),
        ("3.5 %", 1),
        ("100%", 24),
        ("7", 7),
        (7, 7),
        (7.0, 7),
        ("0", 0),
        (0, 0),
        ("999.999%", 240),
    ],
)
def test_spares_asked_for_are_just_those(asked, spares):
    assert one({**RIB, "quantity": 24}, spares=asked)["spares"] == spares


def test_the_stock_covers_the_spares_last():
    # 24 wanted + 5 spares; what lies in two bins under two numbers adds up
    stock = [{"part_number": "MS20470AD4-4", "pieces": 10}, {"part_number": "an470ad4-4", "pieces": "10"}]
    line = one({**RIB, "quantity": 24}, stock=stock)
    assert (line["on_hand"], line["shortage"], line["to_order"]) == (20, 4, 9)
    covered = one({**RIB, "quantity": 24}, stock=[{"part_number": "MS20470AD4-4", "pieces": 500}])
    assert (covered["shortage"], covered["to_order"], covered["mass"]["to_order_g"]) == (0, 0, 0)


def test_without_a_stock_nothing_is_said_of_a_shortage():
    answered = order({**RIB, "quantity": 24})
    assert answered["lines"][0]["on_hand"] is None
    assert answered["lines"][0]["shortage"] is answered["totals"]["shortage"] is None


def test_a_number_that_is_not_in_the_stock_has_nothing_on_hand():
    assert one({**RIB, "quantity": 24}, stock=[])["shortage"] == 24


@pytest.mark.parametrize(("pack", "packs", "pieces"), [(100, 1, 100), ("29", 1, 29), ("28", 2, 56), (1, 29, 29)])
def test_packs_by_count_are_whole(pack, packs, pieces):
    line = one({**RIB, "quantity": 24}, pack=pack)  # 29 to order
    assert line["packs"] == {"packs": packs, "pieces_per_pack": int(pack), "pieces": pieces}


@pytest.mark.parametrize("pack", ["1/4 lb", "0.25lb", ".25 lbs", "0.2500 LB"])
def test_a_pack_by_weight_holds_the_whole_pieces_that_weigh_no_more(pack):
    answered = order({**RIB, "quantity": 900}, pack=pack)
    line = answered["lines"][0]
    each = Fraction(repr(line["mass"]["each_g"]))
    quarter = Fraction("453.59237") / 4
    assert line["packs"]["pieces_per_pack"] * each <= quarter < (line["packs"]["pieces_per_pack"] + 1) * each
    assert line["packs"]["packs"] == -(-990 // line["packs"]["pieces_per_pack"])
    assert "pack-by-weight" in [caution["code"] for caution in answered["cautions"]]


def test_a_piece_that_outweighs_its_pack_leaves_the_packs_open():
    line = one({"part_number": "MS20615-12M160", "quantity": 2}, pack="0.001lb")
    assert line["packs"] == {"packs": None, "pieces_per_pack": None, "pieces": 7}


def price(unit, amount, number="MS20470AD4-4", currency="USD"):
    return {"part_number": number, f"per_{unit}": amount, "currency": currency}


@pytest.mark.parametrize(
    ("listed", "options", "amount"),
    [
        (price("piece", "0.02"), {}, "0.58"),  # 29 pieces
        (price("piece", 0.02), {}, "0.58"),
        (price("piece", "0.005"), {}, "0.15"),  # 0.145: half to even would give 0.14
        (price("piece", ".015"), {}, "0.44"),  # 0.435
        (price("piece", "0.02", "AN470AD4-4"), {}, "0.58"),
        (price("piece", "0.02"), {"pack": 20}, "0.80"),  # whole packs are bought: 40 pieces
        (price("pack", "3.10"), {"pack": 20}, "6.20"),
        (price("pack", "3.10"), {"pack": "1/4 lb"}, "3.10"),
        (price("lb", "20"), {"pack": "1/4 lb"}, "5.00"),
        (price("piece", "0"), {}, "0.00"),
    ],
)
def test_what_is_bought_costs_what_it_comes_to_rounded_half_up(listed, options, amount):
    answered = order({**RIB, "quantity": 24}, prices=[listed], **options)
    assert answered["lines"][0]["cost"]["amount"] == amount
    assert answered["totals"]["cost"] == [{"amount": amount, "currency": "USD"}]
    assert answered["totals"]["unpriced"] == []


@pytest.mark.parametrize(
    ("listed", "told"),
    [
        ([], "no price"),
        ([price("piece", "0.02", "MS20470AD4-5")], "no price"),
        ([price("pack", "3.10")], "no pack"),
        ([price("piece", "0.02"), price("piece", "0.03")], "2 prices"),
        ([price("piece", "0.02"), price("piece", "0.02", currency="EUR")], "2 prices"),
    ],
)
def test_a_cost_that_cannot_be_reckoned_says_why_and_is_named_in_the_totals(listed, told):
    answered = order({**RIB, "quantity": 24}, prices=listed)
    assert answered["lines"][0]["cost"]["amount"] is None
    assert told in answered["lines"][0]["cost"]["reckoned"]
    assert answered["totals"]["unpriced"] == ["MS20470AD4-4"]
    assert answered["totals"]["cost"] == []


def test_the_same_price_twice_is_one_price():
    listed = [price("piece", "0.02"), price("piece", "0.020", "AN470AD4-4")]
    assert one({**RIB, "quantity": 24}, prices=listed)["cost"]["amount"] == "0.58"


def test_currencies_are_not_added_up():
    listed = [price("piece", "0.02"), price("piece", "1", "MS20426AD3-3.5", "EUR")]
    totals = order({**RIB, "quantity": 24}, {**LAP, "quantity": 24}, prices=listed)["totals"]
    assert totals["cost"] == [{"amount": "29.00", "currency": "EUR"}, {"amount": "0.58", "currency": "USD"}]


@given(st.fractions(min_value=0, max_value=10**9))
def test_cents_are_the_nearest_and_a_half_goes_up(amount):
    rounded = Fraction(to_cents(amount))
    assert to_cents(amount).as_tuple().exponent == -2
    assert -Fraction(1, 200) < rounded - amount <= Fraction(1, 200)


# --- lines that are rejected


@pytest.mark.parametrize(
    "quantity",
    ["", " ", None, "0", 0, -1, "-5", "1.5", 1.5, "24.0", "1,000", "a dozen", True, [], 10**9, "9" * 50, "٣"],
)
def test_a_quantity_that_is_no_whole_positive_number_rejects_its_line(quantity):
    answered = order({**RIB, "quantity": quantity, "ref": "EL-1"}, {**RIB, "quantity": 3})
    (rejected,) = answered["rejected"]
    assert (rejected["row"], rejected["quantity"], rejected["carried"]) == (1, None, {"ref": "EL-1"})
    assert rejected["problem"]["errors"][0]["field"] == "quantity"
    assert answered["totals"]["lines_without_quantity"] == 1
    assert answered["totals"]["pieces_in"] == 3


@pytest.mark.parametrize("quantity", [24, "24", " 24 ", 24.0, "024"])
def test_a_whole_quantity_may_be_a_number_or_a_text(quantity):
    assert one({**RIB, "quantity": quantity})["wanted"] == 24


@pytest.mark.parametrize(
    ("line", "field", "told"),
    [
        ({**RIB, "stack": "1,5"}, "stack", "is not a layer"),
        ({**RIB, "alloy": "unobtainium"}, "alloy", "is not one of"),
        ({**RIB, "stack": "40"}, "stack", ""),
        ({"diameter": "1/8"}, "alloy", "is missing"),
        ({**RIB, "Stack-tolerance": "0.1"}, "Stack-tolerance", "was stack_tolerance meant"),
        ({**RIB, "edition": "1999.1"}, "edition", "the edition of this order"),
        ({}, "part_number", "is missing"),
        ({"part_number": "MS20470AD4"}, "part_number", "has no length"),
        ({"part_number": "MS20470AD4-3-5"}, "part_number", "half size"),
        ({"part_number": "XY123"}, "part_number", ""),
        ({"part_number": 4}, "part_number", "is a text"),
        ({**RIB, "part_number": "MS20470AD4-5"}, "part_number", "its stack takes MS20470AD4-4"),
        ({"diameter": "1/8", "part_number": "MS20470AD4-5"}, "part_number", "stands beside diameter"),
    ],
)
def test_a_line_that_is_not_understood_is_rejected_with_its_pieces_and_the_field(line, field, told):
    answered = order({**line, "quantity": 7}, {**RIB, "quantity": 3})
    (rejected,) = answered["rejected"]
    assert rejected["quantity"] == 7
    errors = {error["field"]: error["detail"] for error in rejected["problem"]["errors"]}
    assert told in errors[field]
    assert answered["totals"]["pieces_rejected"] == 7
    assert answered["totals"]["pieces_accepted"] == 3


def test_every_reason_of_a_line_is_named_at_once():
    (rejected,) = order({**RIB, "stack": "1,5", "quantity": "x"})["rejected"]
    assert [error["field"] for error in rejected["problem"]["errors"]] == ["quantity", "stack"]


def test_a_number_that_agrees_with_its_stack_is_taken():
    assert one({**RIB, "part_number": "AN470AD4-4", "quantity": 3})["part_number"] == "MS20470AD4-4"


def test_what_is_no_line_is_rejected_in_its_place():
    answered = order("1/8,AD", 7, None, [], {**RIB, "quantity": 3})
    assert [line["row"] for line in answered["rejected"]] == [1, 2, 3, 4]


def test_an_order_without_lines_is_empty():
    assert order()["lines"] == []
    assert order()["totals"]["lines_in"] == 0


def test_cautions_name_the_rows_that_fire_them():
    lead = {**RIB, "stack": "0.040 2024-T3 + 0.125 lead"}
    cautions = {
        caution["code"]: caution for caution in order({**RIB, "quantity": 3}, {**lead, "quantity": 3})["cautions"]
    }
    assert cautions["lead"]["rows"] == [2]
    assert "rows" not in cautions["approved-data"]
    assert "eyes-and-ears" not in cautions, "nobody drills while ordering"


# --- properties

good = st.sampled_from(
    [RIB, LAP, NUMBER, {"part_number": "AN470AD4-4"}, {**RIB, "stack": "0.5"}, {**RIB, "head": "MS20426"}]
)
bad = st.sampled_from(
    [{}, {**RIB, "stack": "1,5"}, {"part_number": "XY1"}, {**LAP, "alloy": ""}, {**RIB, "hole": "#1"}]
)
whole = st.integers(1, 5000)
no_quantity = st.sampled_from([None, "", "0", "x", -4, 2.5, [], "1e3"])
anything = st.one_of(
    st.none(), st.text(max_size=8), st.integers(), st.dictionaries(st.text(max_size=8), st.text(max_size=8), max_size=2)
)
# a line, and the pieces that can be read in it
lines = st.one_of(
    st.builds(lambda line, pieces: ({**line, "quantity": pieces}, pieces), good | bad, whole),
    st.builds(lambda line, pieces: ({**line, "quantity": str(pieces)}, pieces), good | bad, whole),
    st.builds(lambda line, quantity: ({**line, "quantity": quantity}, 0), good | bad, no_quantity),
    st.builds(lambda line: (line, 0), anything),
)
options = st.fixed_dictionaries(
    {},
    optional={
        "spares": st.sampled_from(["0%", "10%", "33.3%", 0, 12]),
        "pack": st.sampled_from(["1/4 lb", "0.01lb", 100, 7]),
        "prices": st.lists(
            st.sampled_from(
                [price("piece", "0.013"), price("lb", "20.1", "MS20470AD5-18"), price("pack", 3, currency="EUR")]
            )
        ),
        "stock": st.lists(
            st.sampled_from([{"part_number": "MS20470AD4-4", "pieces": 30}, {"part_number": "x", "pieces": 1}])
        ),
        "practice": st.sampled_from(["civil", "military"]),
    },
)


@given(st.lists(lines, max_size=12), options)
def test_the_totals_reconcile_on_any_input(given_lines, asked):
    answered = order(*(line for line, _ in given_lines), **asked)
    totals, ordered, rejected = answered["totals"], answered["lines"], answered["rejected"]
    assert totals["lines_in"] == len(given_lines) == totals["lines_accepted"] + totals["lines_rejected"]
    assert totals["pieces_in"] == sum(pieces for _, pieces in given_lines)
    assert totals["pieces_in"] == totals["pieces_accepted"] + totals["pieces_rejected"]
    assert totals["pieces_accepted"] == sum(line["wanted"] for line in ordered)
    assert totals["pieces_rejected"] == sum(line["quantity"] or 0 for line in rejected)
    rows = [row["row"] for line in ordered for row in line["rows"]] + [line["row"] for line in rejected]
    assert sorted(rows) == list(range(1, len(given_lines) + 1))
    for line in ordered:
        assert line["wanted"] == sum(row["quantity"] for row in line["rows"])
        assert line["to_order"] == max(0, line["wanted"] + line["spares"] - (line["on_hand"] or 0))
        assert line["packs"] is None or line["packs"]["pieces"] >= line["to_order"]
    for name in ("spares", "to_order"):
        assert totals[name] == sum(line[name] for line in ordered)
    grams = sum(Fraction(repr(line["mass"]["to_order_g"])) for line in ordered)
    assert Fraction(repr(totals["mass"]["to_order_g"])) == grams
    priced = [line["cost"] for line in ordered if line["cost"] and line["cost"]["amount"]]
    for cost in totals["cost"]:
        amounts = [Decimal(entry["amount"]) for entry in priced if entry["currency"] == cost["currency"]]
        assert Decimal(cost["amount"]) == sum(amounts)
    assert {entry["currency"] for entry in priced} == {cost["currency"] for cost in totals["cost"]}


def without_rows(answered):
    lines = [{name: value for name, value in line.items() if name != "rows"} for line in answered["lines"]]
    cautions = [{name: value for name, value in entry.items() if name != "rows"} for entry in answered["cautions"]]
    return {**answered, "lines": lines, "cautions": cautions, "rejected": len(answered["rejected"])}


@given(st.lists(lines, max_size=8).flatmap(lambda found: st.tuples(st.just(found), st.permutations(found))), options)
def test_the_order_of_the_lines_changes_nothing_but_the_rows(both, asked):
    first, second = (without_rows(order(*(line for line, _ in found), **asked)) for found in both)
    assert first == second


@given(st.lists(st.tuples(good, st.integers(2, 5000)), min_size=1, max_size=6), st.data(), options)
def test_a_line_split_in_two_changes_nothing_but_the_rows(found, data, asked):
    whole_lines = [{**line, "quantity": pieces} for line, pieces in found]
    line, pieces = found[-1]
    part = data.draw(st.integers(1, pieces - 1))
    split = [*whole_lines[:-1], {**line, "quantity": part}, {**line, "quantity": pieces - part}]
    first, second = (without_rows(order(*entries, **asked)) for entries in (whole_lines, split))
    for totals in (first["totals"], second["totals"]):
        del totals["lines_in"], totals["lines_accepted"]
    assert first == second


@given(st.lists(lines, max_size=6), whole)
def test_more_pieces_of_a_part_never_order_less(given_lines, more):
    before = order(*(line for line, _ in given_lines), pack="1/4 lb")
    after = order(*(line for line, _ in given_lines), {**RIB, "quantity": more}, pack="1/4 lb")
    assert after["totals"]["to_order"] > before["totals"]["to_order"]
    assert after["totals"]["packs"] >= before["totals"]["packs"]


def test_an_order_of_four_hundred_lines_takes_no_time_to_speak_of():
    found = [{**RIB, "stack": f"0.0{20 + row % 70}+0.0{32 + row // 70}", "quantity": row + 1} for row in range(400)]
    order(found[0])  # what is loaded once is not the order's
    begun = time.process_time()
    assert order(*found, pack="1/4 lb")["totals"]["lines_accepted"] == 400
    assert time.process_time() - begun < 1
