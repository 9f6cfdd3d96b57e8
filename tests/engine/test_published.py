"""The engine and its tables against what the documents print: tests/published/*.csv, each row with its document.

A row is an agreement (`equals`), a bound (`at least`, `at most`) where the practice follows a stricter document, or
`not followed` with the reason beside it.
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from tests.conftest import PUBLISHED, published
from tests.engine.asking import a_head_for, a_stack_for, agrees, ask, exactly, figure_at, half_a_digit

from bucktail_service.engine.designation import parse_number
from bucktail_service.engine.holes import find_drill

SOURCE = ("document", "place", "basis", "comment")
A_TENTH_OF_A_THOUSANDTH = Fraction(1, 10_000)


def cited(name, *checks):
    """Return the rows of a published file as cases named by document, place and inputs; of some checks only."""
    rows = [row for row in published(f"{name}.csv") if not checks or row["check"] in checks]
    assert rows, f"no {checks} in {name}"
    return [pytest.param(row, id=_name(row)) for row in rows]


def _name(row):
    inputs = " ".join(value for column, value in row.items() if column not in SOURCE and value)
    return f"{row['document']} {row['place']}: {inputs}".replace("[", "(").replace("]", ")")


def holds(check, number, printed, within=None):
    within = half_a_digit(printed) if within is None else within
    if check == "equals":
        return agrees(number, printed, within)
    if check == "at least":
        return exactly(number) >= Fraction(printed) - within
    assert check == "at most", check
    return exactly(number) <= Fraction(printed) + within


@pytest.mark.parametrize("path", sorted(PUBLISHED.glob("*.csv")), ids=lambda path: path.stem)
def test_every_published_row_names_its_document_and_says_why_when_it_is_not_followed(path):
    for row in published(path.name):
        assert row["document"]
        assert row["basis"] in {"published", "second-hand", "derived", "memory"}
        assert row["comment"] or row.get("check") not in {"not followed", "at least", "at most"}


@pytest.mark.parametrize("case", cited("worked_examples"))
def test_a_worked_example_comes_out_as_worked(case, edition):
    answer = ask(edition, case["diameter"], case["alloy"], case["head"], case["stack"], practice=case["practice"])
    found = figure_at(answer, case["figure"])
    assert found == case["printed"] if isinstance(found, str) else agrees(found, case["printed"])


def test_the_worked_example_says_why_the_next_length_is_too_long(edition):
    # common practice, no source: two 0.040 sheets, 1/8 universal
    said = [line for line in ask(edition)["reasoning"] if line.startswith("-5")]
    assert len(said) == 1
    assert "too long" in said[0]


@pytest.mark.parametrize("stack", ["0.83", "0.89", "0.95"])
def test_a_quarter_pound_of_long_5_32_rivets_is_about_a_hundred(stack, edition):
    # common practice, no source: 2117 universal rivets a little over an inch long
    answer = ask(edition, "5/32", "AD", "universal", stack)
    assert 17 <= float(answer["length"]["dash"]) <= 19
    assert 85 <= answer["mass"]["pieces_per_lb"] / 4 <= 115


@pytest.mark.parametrize("case", cited("protrusions", "equals", "at least", "at most"))
def test_the_shank_stands_out_as_the_document_says(case, edition):
    for alloy in case["alloys"].split():
        for size in ("3/32", "1/8", "3/16", "1/4"):
            answer = ask(edition, size, alloy, a_head_for(alloy, edition), a_stack_for(size), practice=case["practice"])
            length = answer["length"]
            out = {
                "minimum": length["protrusion_minimum_in"],
                "maximum": length["protrusion_maximum_in"],
                "preferred": float(exactly(length["ideal_in"]) - exactly(answer["stack"]["total_in"])),
            }[case["figure"]]
            printed = Fraction(case["times_d"]) * Fraction(size)
            assert holds(case["check"], out, str(float(printed)), Fraction(1, 10**6)), (alloy, size, out)


FINAL_HOLES = {"final", "listed", "pilot", "strength hole"}


@pytest.mark.parametrize("case", cited("holes", *FINAL_HOLES))
def test_a_drill_and_its_limits_are_those_printed(case, edition):
    use = {"final": "final", "listed": "final", "pilot": "pilot", "strength hole": "strength"}[case["check"]]
    rows = [row for row in edition["holes"] if (row.text("fraction"), row.text("use")) == (case["fraction"], use)]
    row = next(row for row in rows if row.text("drill") == case["drill"])
    assert agrees(float(find_drill(case["drill"], edition).number("diameter_in")), case["printed_in"])
    for end in ("minimum_in", "maximum_in"):
        assert not case[end] or row.number(end) == Fraction(case[end])


@pytest.mark.parametrize("case", cited("holes", "final", "pilot"))
def test_the_answer_gives_the_printed_drill(case, edition):
    hole = ask(edition, case["fraction"], stack=a_stack_for(case["fraction"]))["hole"]
    assert hole[case["check"]]["drill"] == case["drill"]
    assert agrees(hole[case["check"]]["diameter_in"], case["printed_in"])


@pytest.mark.parametrize("case", cited("holes", "final", "limits"))
def test_the_answer_gives_the_printed_hole_limits(case, edition):
    hole = ask(edition, case["fraction"], stack=a_stack_for(case["fraction"]))["hole"]
    for end in ("minimum_in", "maximum_in"):
        assert not case[end] or agrees(hole[end], case[end])


@pytest.mark.parametrize("case", cited("holes", "drill inside the limits"))
def test_a_tighter_drill_of_an_older_manual_lies_inside_the_hole_limits(case, edition):
    hole = ask(edition, case["fraction"], stack=a_stack_for(case["fraction"]))["hole"]
    assert hole["minimum_in"] <= float(case["printed_in"]) <= hole["maximum_in"]


@pytest.mark.parametrize("case", cited("holes", "clearance inside the limits"))
def test_a_clearance_rule_stays_inside_the_hole_limits(case, edition):
    for size in edition["diameters"]:
        hole = ask(edition, size.text("fraction"), stack=a_stack_for(size.text("fraction")))["hole"]
        if hole["maximum_in"] is not None:
            shank = float(size.number("nominal_in"))
            assert hole["minimum_in"] <= shank + float(case["minimum_in"])
            assert shank + float(case["maximum_in"]) <= hole["maximum_in"]


@pytest.mark.parametrize("case", cited("drills"))
def test_a_drill_is_as_wide_as_the_series_says(case, edition):
    row = edition["drills"].find(case["series"], case["drill"])
    assert row is not None
    assert row.number("diameter_in") == Fraction(case["diameter_in"])


@pytest.mark.parametrize("case", cited("drills_library"))
def test_a_drill_is_as_wide_as_in_a_general_library(case, edition):
    letter = case["drill"].isalpha()
    row = edition["drills"].find("letter" if letter else "number", case["drill"])
    assert row is not None
    assert abs(row.number("diameter_in") - Fraction(case["diameter_in"])) <= Fraction(case["within_in"])


@pytest.mark.parametrize("case", cited("spacing", "equals", "at least", "at most"))
def test_rivets_keep_the_printed_distances(case, edition):
    heads = {"protruding": ["universal"], "flush": ["flush-100"], "any": ["universal", "flush-100"]}[case["heads"]]
    sizes = (
        ["1/8", "3/16", "1/4"] if case["check"] == "at most" else [row.text("fraction") for row in edition["diameters"]]
    )
    for head in heads:
        for size in sizes:
            found = ask(edition, size, head=head, stack=a_stack_for(size), practice=case["practice"])["spacing"]
            printed = Fraction(case["times_d"]) * Fraction(size) + Fraction(case["plus_in"] or 0)
            assert holds(case["check"], found[f"{case['figure']}_in"], str(float(printed)), Fraction(1, 10**6))


@pytest.mark.parametrize("case", cited("formed_heads", "equals", "at least", "at most", "no figure"))
def test_the_formed_head_measures_what_the_document_prints(case, edition):
    for alloy in case["alloys"].split():
        head = a_head_for(alloy, edition)
        answer = ask(edition, case["fraction"], alloy, head, a_stack_for(case["fraction"]), practice=case["practice"])
        found = answer["formed_head"][f"{case['figure']}_in"]
        if case["check"] == "no figure":
            assert found is None
        else:
            assert holds(case["check"], found, case["printed_in"], Fraction(case["within_in"])), (alloy, found)


@pytest.mark.parametrize("case", cited("manufactured_heads"))
def test_the_made_head_is_as_tabulated(case, edition):
    head = ask(edition, case["fraction"], head=case["standard"], stack=a_stack_for(case["fraction"]))["head"]
    assert agrees(head["diameter_in"], case["diameter_in"])
    assert agrees(head["height_in"], case["height_in"])
    assert str(head["cone_angle_deg"] or "") == case["cone_angle_deg"]
    row = edition["manufactured_heads"].find(case["standard"], case["fraction"])
    assert row.text("tolerance_in") == case["tolerance_in"]


@pytest.mark.parametrize("case", cited("shear"))
def test_the_tabulated_shear_is_as_printed(case, edition):
    row = edition["shear"].find(case["alloy"], case["condition"], case["fraction"])
    assert row.number("single_shear_lbf") == Fraction(case["single_shear_lbf"])
    assert row.number("stress_ksi") == Fraction(case["stress_ksi"])


# no head standard of the edition offers Ti-45Cb (T)
ANSWERED = [
    param for param in cited("shear") if param.values[0]["condition"] == "driven" and param.values[0]["alloy"] != "T"
]


@pytest.mark.parametrize("case", ANSWERED)
def test_the_answer_gives_the_driven_shear_and_its_temper(case, edition):
    head = a_head_for(case["alloy"], edition)
    strength = ask(edition, case["fraction"], case["alloy"], head, a_stack_for(case["fraction"]))["strength"]
    assert agrees(strength["single_shear_lbf"], case["single_shear_lbf"])
    assert not case["temper"] or strength["temper"] == case["temper"]
    # 1 lbf = 4.4482216 N (exact by definition of the pound and standard gravity)
    assert abs(strength["single_shear_n"] - float(case["single_shear_lbf"]) * 4.4482216) <= 0.51


def test_a_wider_hole_adds_no_strength(edition):
    # MIL-HDBK-5H (1 Dec 1998), page 8-9: strength rests on the hole area, capped at the tabulated hole
    assert ask(edition, hole="0.135")["strength"] == ask(edition)["strength"]


@pytest.mark.parametrize("case", cited("material_strength", "equals"))
def test_an_alloy_is_as_strong_as_printed(case, edition):
    row = edition["material_strength"].find(case["alloy"])
    assert row.text("shear_psi") == case["shear_psi"]
    assert row.text("bearing_psi") == case["bearing_psi"]


@pytest.mark.parametrize("case", cited("densities"))
def test_an_alloy_is_as_dense_as_printed(case, edition):
    row = edition["densities"].find(case["number"])
    assert abs(row.number("lb_per_in3") - Fraction(case["lb_per_in3"])) <= Fraction(case["within_lb_per_in3"])
    if case["g_per_cm3"] and row.text("g_per_cm3"):
        assert row.number("g_per_cm3") == Fraction(case["g_per_cm3"])


# only these head standards have tabulated dimensions, so only their alloys are weighed
WEIGHED = [param for param in cited("shank_mass") if param.values[0]["alloy"] not in {"M", "A286", "T"}]


@pytest.mark.parametrize("case", WEIGHED)
def test_an_inch_more_shank_weighs_what_its_volume_does(case, edition):
    short, long = (
        ask(edition, case["fraction"], case["alloy"], stack=stack, practice="military") for stack in ("0.125", "0.625")
    )
    inches = long["length"]["length_in"] - short["length"]["length_in"]
    grams = (long["mass"]["each_g"] - short["mass"]["each_g"]) / inches
    assert inches == 0.5
    assert grams == pytest.approx(float(case["mlb_per_in"]) * 0.45359237, rel=float(case["relative"]), abs=4e-4)


@pytest.mark.parametrize("case", cited("materials", "equals", "names", "says"))
def test_an_alloy_is_described_as_printed(case, edition):
    said = edition["materials"].find(case["alloy"]).text(case["figure"])
    if case["check"] == "equals":
        assert said == case["printed"]
    elif case["check"] == "names":
        assert re.search(rf"\b{re.escape(said)}\b", case["printed"]), f"{said!r} is not named"
    else:
        assert case["printed"] in said


@pytest.mark.parametrize("case", cited("head_standards"))
def test_a_head_standard_is_what_the_document_says(case, edition):
    read = parse_number(a_stem(case["asked"], edition), edition)
    assert read.standard.text("standard") == case["standard"]
    if case["figure"] == "alloys":
        for letters in case["printed"].split():
            assert edition["offered"].find(case["standard"], letters) is not None, letters
    elif case["figure"] != "standard":
        assert read.standard.text(case["figure"]) == case["printed"]


def a_stem(asked, edition):
    alias = edition["aliases"].find(asked)
    name = asked if alias is None else alias.text("standard")
    offered = next(row for row in edition["offered"] if row.text("standard") == name)
    if offered.text("number_format") == "diameter-letters":
        return f"{asked}-4{offered.text('letters')}"
    return f"{asked}{offered.text('letters')}4" if offered.text("letters") else f"{asked}-4"


def sheets(outer):
    return f"{float(outer):.4f} 2024-T3+0.100 2024-T3"


def warns_of_a_knife_edge(edition, case, outer):
    answer = ask(edition, case["fraction"], head=case["head"], stack=sheets(outer), practice=case["practice"])
    return "knife-edge" in {caution["code"] for caution in answer["cautions"]}


@pytest.mark.parametrize("case", cited("countersinks", "minimum"))
def test_the_thinnest_sheet_to_countersink_is_as_printed(case, edition):
    minimum = Fraction(case["sheet_in"])
    height = exactly(ask(edition, case["fraction"], head=case["head"], stack=sheets("0.1"))["head"]["height_in"])
    assert warns_of_a_knife_edge(edition, case, minimum - A_TENTH_OF_A_THOUSANDTH)
    # a head higher than the sheet still cuts a knife edge: AC 65-15A, chapter 5, as quoted
    enough = max(minimum, height + A_TENTH_OF_A_THOUSANDTH)
    assert not warns_of_a_knife_edge(edition, case, enough)


@pytest.mark.parametrize("case", cited("countersinks", "knife edge"))
def test_a_sheet_called_a_knife_edge_is_warned_of(case, edition):
    assert warns_of_a_knife_edge(edition, case, case["sheet_in"])


@pytest.mark.parametrize("case", cited("countersinks", "thicker than the head"))
def test_only_a_sheet_thicker_than_the_head_is_countersunk(case, edition):
    height = ask(edition, case["fraction"], head=case["head"], stack=sheets("0.1"))["head"]["height_in"]
    assert warns_of_a_knife_edge(edition, case, str(height))


@pytest.mark.parametrize("case", cited("countersinks", "head inside countersink"))
def test_a_shear_head_fits_its_largest_countersink(case, edition):
    head = ask(edition, case["fraction"], head=case["head"], stack=sheets("0.1"))["head"]
    assert head["diameter_in"] <= float(case["sheet_in"])


@pytest.mark.parametrize("case", cited("designations"))
def test_a_part_number_says_what_the_document_says(case, edition):
    read = parse_number(case["number"], edition)
    fraction = read.diameter.text("fraction")
    found = {
        "diameter_in": read.diameter.number("nominal_in"),
        "length_in": read.sixteenths / 16,
        "length_dash": Fraction(read.dash),
        "counts": read.standard.text("length_counts"),
        "part_number": read.part_number,
        "metric_name_mm": read.diameter.maybe("metric_name_mm"),
        "shortest_dash": edition["lengths"].find(fraction).number("shortest_dash"),
    }[case["figure"]]
    assert found == (case["printed"] if isinstance(found, str) else Fraction(case["printed"]))


@pytest.mark.parametrize("case", cited("shank_tolerances"))
def test_a_shank_is_made_within_the_recalled_limits(case, edition):
    row = edition["shank_tolerances"].find(case["fraction"])
    assert (row.number("plus_in"), row.number("minus_in")) == (Fraction(case["plus_in"]), Fraction(case["minus_in"]))


@pytest.mark.parametrize("case", cited("cautions"))
def test_a_caution_stands_where_the_document_gives_it(case, edition):
    answer = ask(edition, case["diameter"], case["alloy"], case["head"], case["stack"])
    assert (case["code"] in {caution["code"] for caution in answer["cautions"]}) == (case["fires"] == "yes")
