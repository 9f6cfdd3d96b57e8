"""The strict reader of lengths, stacks and tolerances.

Expected values are exact arithmetic; 1 in = 25.4 mm by definition.
"""

from __future__ import annotations

import contextlib
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engine.asking import ask

from bucktail_service.engine.errors import BadLength, NotTabulated
from bucktail_service.engine.lengths import (
    LENGTH_EXAMPLE,
    Layer,
    format_decimal,
    format_fraction,
    length_from_number,
    parse_length,
    parse_stack,
    parse_tolerance,
)
from bucktail_service.engine.sizes import find_diameter

modest = settings(max_examples=100, deadline=None)
GOOD = [
    ("5/32", Fraction(5, 32)),
    ("5/32 in", Fraction(5, 32)),
    ('5/32"', Fraction(5, 32)),
    ("1 1/8", Fraction(9, 8)),
    ("1-1/8 in", Fraction(9, 8)),
    ("1 1/8in", Fraction(9, 8)),
    ("10/64", Fraction(5, 32)),
    ("0/8", Fraction(0)),
    (".040", Fraction(1, 25)),
    ("0.040", Fraction(1, 25)),
    ("0.040 in", Fraction(1, 25)),
    ('0.040"', Fraction(1, 25)),
    ("2", Fraction(2)),
    ("2.", Fraction(2)),
    ("3.2 mm", Fraction(16, 127)),
    ("25.4mm", Fraction(1)),
    (".5 mm", Fraction(5, 254)),
    ("  1/8 ", Fraction(1, 8)),
    ("0.123456789", Fraction(123456789, 10**9)),
]
BAD = [
    *("", " ", "-", "--", ".", "in", "mm", "nan", "NaN", "inf", "-inf", "Infinity", "None", "1e-3", "0x1", "1_0"),
    *("1,5", "1,5 mm", "0,040", "1 500", "-0.040", "+0.040", "-1/8", "\u22120.040", "\u00b1 0.1"),
    *("5/0", "5/00", "0/0", "/8", "5/", "5/32/2", "5//32", "1.5/2", "1 1 1/8", "1--1/8", "1 - 1/8", "11/8 1", "1/8 1"),
    *(
        "5/32 mm",
        "1 1/8mm",
        "3.2 cm",
        "3.2 m",
        "3.2 Mm lead mm",
        "0.5 mil",
        "0.5 MM MM",
        "0.1 inch",
        "0.1 ft",
        "1' ",
        "0.1 in in",
        "0.1  in",
    ),
    *(
        "\u0663",
        "\u0660.\u0660\u0664",
        "\uff15/32",
        "\u00b2",
        "\u00bd",
        "1\u00bd",
        "0.040\u00a0in",
        "0.040\n",
        "\t0.040",
        "0.040\x00",
        "0.040 in\n",
    ),
    *("1" * 400, "0." + "1" * 400, "1/" + "9" * 400, "9" * 400 + "/32", "12345", "0.0123456789", "1/1000", "1000/7"),
    *("0.032+0.040", "#30", "1/8 AD", "<script>", "'; --", "1/8;", "(1/8)"),
]


@pytest.mark.parametrize(("text", "inches"), GOOD)
def test_a_length_is_read_as_mechanics_write_it(text, inches):
    assert parse_length(text).inches == inches


@pytest.mark.parametrize("text", BAD, ids=lambda text: ascii(text[:20]))
def test_anything_else_is_refused_with_the_field_and_a_good_example(text):
    with pytest.raises(BadLength) as caught:
        parse_length(text, "diameter")
    assert caught.value.field == "diameter"
    assert caught.value.example == LENGTH_EXAMPLE
    assert len(caught.value.detail) < 100


def test_every_spelling_the_example_shows_is_read():
    for text in LENGTH_EXAMPLE.replace(" or ", ", ").split(", "):
        assert parse_length(text).inches > 0


@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf"), -0.001, 10_000, 1e300, 10**400])
def test_a_json_number_that_is_no_length_is_refused(number):
    with pytest.raises(BadLength):
        length_from_number(number)


@pytest.mark.parametrize(("number", "text"), [(0.04, "0.04"), (1, "1"), (0, "0"), (-0.0, "0"), (0.1 + 0.2, "0.3")])
def test_a_json_number_is_inches_to_the_nano_inch(number, text):
    assert length_from_number(number).text == text


@modest
@given(st.floats(0, 9999))
def test_a_json_number_is_the_same_length_as_its_text(number):
    length = length_from_number(number)
    assert parse_length(length.text) == length
    assert abs(length.inches - Fraction(number)) <= Fraction(1, 10**9)


# under a thousand inches in all: no longer stack has a rivet
fractions = st.builds(
    "{}{}/{}{}".format,
    st.one_of(st.just(""), st.integers(0, 200).map("{} ".format), st.integers(0, 200).map("{}-".format)),
    st.integers(0, 799),
    st.integers(1, 999),
    st.sampled_from(["", " in", "in", '"']),
)
decimals = st.builds(
    "{}.{}{}".format,
    st.integers(0, 9999),
    st.from_regex(r"[0-9]{0,9}", fullmatch=True).filter(str.isascii),
    st.sampled_from(["", " in", "in", '"', " mm", "mm"]),
)
lengths = st.one_of(fractions, decimals)


@modest
@given(lengths)
def test_a_length_written_out_reads_as_itself(text):
    length = parse_length(text)
    assert parse_length(length.text) == length


@modest
@given(st.fractions(0, 999, max_denominator=999))
def test_an_exact_fraction_written_out_reads_as_itself(inches):
    assert parse_length(format_fraction(inches)).inches == inches


@modest
@given(st.integers(0, 10**13 - 1))
def test_nine_decimals_written_out_read_as_themselves(nano):
    assert parse_length(format_decimal(Fraction(nano, 10**9))).inches == Fraction(nano, 10**9)


@modest
@given(st.text(max_size=30))
def test_no_text_at_all_makes_the_reader_fail_otherwise(text):
    for read in (parse_length, parse_stack, parse_tolerance):
        with contextlib.suppress(BadLength):
            read(text)


materials = st.sampled_from(
    ["", " 2024-T3", " 2024", " lead", " antimonial lead", " AZ31B", " 4130", " Alclad 2024-T3"]
)
layers = st.builds("{}{}".format, lengths, materials)
stacks = st.builds(
    lambda parts, plus: plus.join(parts), st.lists(layers, min_size=1, max_size=8), st.sampled_from(["+", " + ", "+ "])
).filter(lambda text: len(text) <= 400)


@modest
@given(stacks)
def test_a_stack_written_out_reads_as_itself(text):
    stack = parse_stack(text)
    again = parse_stack(str(stack))
    assert again == stack
    assert again.total == sum(layer.thickness.inches for layer in stack.layers)


def test_a_stack_keeps_its_layers_head_side_first_with_their_materials():
    stack = parse_stack("0.032 2024-T3 + 2.5mm lead+1/8")
    thicknesses = ("0.032", "2.5mm", "1/8")
    found = tuple(
        Layer(parse_length(text), name) for text, name in zip(thicknesses, ("2024-T3", "lead", None), strict=True)
    )
    assert stack.layers == found
    assert stack.total == Fraction(32, 1000) + Fraction(25, 254) + Fraction(1, 8)


BAD_STACKS = [
    *("", "+", "0.032+", "+0.032", "0.032++0.040", "0.032,0.040", "0.032 0.040", "0.032 + ", "lead", "0.032 lead!"),
    *("0.032 20244", "0.032  2024-T3", "0.032 -T3", "nan", "0.032+nan", "0.032+-0.040", "0.032\n+0.040", "5/0+0.040"),
    *("+".join(["0.01"] * 21), "0.032 " + "x" * 400, "1" * 5000),
]


@pytest.mark.parametrize("text", BAD_STACKS, ids=lambda text: ascii(text[:20]))
def test_a_bad_stack_is_refused_with_the_field_and_a_good_example(text):
    with pytest.raises(BadLength) as caught:
        parse_stack(text)
    assert caught.value.field == "stack"
    assert parse_stack(caught.value.example.split(" or ")[0])


def test_twenty_layers_are_read():
    assert parse_stack("+".join(["0.01"] * 20)).total == Fraction(1, 5)


TOLERANCES = [
    ("0.005", Fraction(5, 1000), Fraction(5, 1000)),
    ("+/-0.005", Fraction(5, 1000), Fraction(5, 1000)),
    ("+0.010/-0.005", Fraction(10, 1000), Fraction(5, 1000)),
    ("+0.010 / -0.005", Fraction(10, 1000), Fraction(5, 1000)),
    ("+1/64/-0", Fraction(1, 64), Fraction(0)),
    ("+0.25mm/-1/64 in", Fraction(25, 2540), Fraction(1, 64)),
    ("0", Fraction(0), Fraction(0)),
]


@pytest.mark.parametrize(("text", "plus", "minus"), TOLERANCES)
def test_a_tolerance_is_one_figure_or_two(text, plus, minus):
    tolerance = parse_tolerance(text)
    assert (tolerance.plus.inches, tolerance.minus.inches) == (plus, minus)


@pytest.mark.parametrize(
    "text",
    ["", "+", "-0.005", "+0.005", "0.005/0.005", "-0.005/+0.010", "+0.01/-nan", "+/-", "5%", "+/-+/-1", "9" * 400],
)
def test_a_bad_tolerance_is_refused(text):
    with pytest.raises(BadLength) as caught:
        parse_tolerance(text)
    assert caught.value.field == "stack_tolerance"


@modest
@given(st.one_of(lengths, lengths.map("+/-{}".format), st.builds("+{}/-{}".format, lengths, lengths)))
def test_a_tolerance_written_out_reads_as_itself(text):
    tolerance = parse_tolerance(text)
    assert parse_tolerance(str(tolerance)) == tolerance


def test_a_diameter_turned_to_millimetres_and_back_is_the_same_size(edition):
    for row in edition["diameters"]:
        exact_mm = format_decimal(row.number("nominal_in") * Fraction(254, 10))
        answered = ask(edition, row.text("fraction"), stack="0.25", practice="military")["diameter"]
        for text in (f"{exact_mm} mm", f"{answered['nominal_mm']}mm", str(answered["nominal_in"])):
            assert find_diameter(parse_length(text), edition) is row


@pytest.mark.parametrize("text", ["0.1", "0.13", "3 mm", "0", "4", "1/7", "3.3 mm", "0.124"])
def test_a_diameter_between_the_sizes_is_never_the_nearest_size(text, edition):
    with pytest.raises(NotTabulated) as caught:
        find_diameter(parse_length(text), edition)
    assert caught.value.field == "diameter"
    assert "1/8" in caught.value.example


@pytest.mark.parametrize(
    ("text", "fraction"), [(".156", "5/32"), ("0.094", "3/32"), ("0.188", "3/16"), ("4/32", "1/8")]
)
def test_a_size_rounded_to_three_decimals_is_still_that_size(text, fraction, edition):
    assert find_diameter(parse_length(text), edition).text("fraction") == fraction
