"""Every figure of an answer with its value and the row it rests on."""

from __future__ import annotations

from collections import Counter
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engine.moving import QUESTIONS

from bucktail_service.answering import answer
from bucktail_service.asking.cite import answer_cite, cite_csv
from bucktail_service.asking.part import answer_part
from bucktail_service.engine.citing import cite, values
from bucktail_service.engine.errors import BadQuestion, NotTabulated, UnknownEdition
from bucktail_service.text.cite import cite_text
from bucktail_tables.load import load_edition

PART = "/v1/parts/MS20470AD4-4?edition=2026.1"


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question["head"])
def test_every_figure_of_the_sources_is_cited_in_their_order_with_its_row(question):
    picked = answer("pick", {**question, "edition": "2026.1"})
    told = answer_cite(picked["link"])
    expected = [(name, source["row"]) for source in picked["sources"] for name in dict.fromkeys(source["figures"])]
    assert [(figure["figure"], figure["row"]) for figure in told["figures"]] == expected
    assert told["title"] == (picked["part_number"] or picked["standard"])
    assert told["cited"] == picked["link"]
    assert told["basis"] == Counter(figure["basis"] for figure in told["figures"])
    edition = load_edition("2026.1")
    for figure in told["figures"]:
        row = edition[figure["table"]].find(*figure["row"])
        assert (figure["document"], figure["place"], figure["basis"]) == (row.document, row.place, row.basis)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question["head"])
def test_a_figure_without_values_is_a_whole_block_and_nothing_else(question):
    picked = answer("pick", question)
    for figure in cite(picked)["figures"]:
        found = picked
        for name in figure["figure"].split(".")[:-1]:
            found = found[name]
        last = figure["figure"].rpartition(".")[2]
        if not figure["values"]:
            assert isinstance(found[last], dict | list)


def test_a_part_is_cited_as_a_pick_is():
    told = answer_cite(PART)
    assert told["title"] == answer_part("MS20470AD4-4")["part_number"]
    assert told["link"] == "/v1/cite?link=/v1/parts/MS20470AD4-4%3Fedition%3D2026.1"
    (shear,) = [figure for figure in told["figures"] if figure["figure"] == "strength.single_shear"]
    # 388 lbf driven, 1/8 in 2117-T3: MIL-HDBK-5F as quoted in a builder technical note, second-hand
    assert {entry["name"]: entry["value"] for entry in shear["values"]}["single_shear_lbf"] == 388
    assert shear["basis"] == "second-hand"
    assert "MIL-HDBK-5F" in shear["document"]


# all that is in the block of the test below, under its name
BLOCK = [
    ("block.least_in", 0.1),
    ("block.least_mm", 2.54),
    ("block.least_included", True),
    ("block.least_threads", 9),
    ("block.dashes", "3 4"),
    ("block.none", None),
    ("block.of_torque_in_lb", 5),
    ("block.of_torque_n_m", 0.6),
]


@pytest.mark.parametrize(
    ("figure", "expected"),
    [
        ("number", [("number", "A")]),
        ("block", BLOCK),
        ("blocks", [("blocks.1.load_lbf", 1), ("blocks.2.load_lbf", 2)]),
        ("block.least", [("least_in", 0.1), ("least_mm", 2.54)]),
        ("block.least_included", [("least_included", True)]),
        ("block.dashes", [("dashes", "3 4")]),
        ("block.none", [("none", None)]),
        ("block.of_torque", [("of_torque_in_lb", 5), ("of_torque_n_m", 0.6)]),
        ("blocks.load", [("load_lbf", 1), ("load_lbf", 2)]),
        ("gone.least", []),
        ("null.least", []),
    ],
)
def test_values_stand_under_the_names_of_their_block(figure, expected):
    block = {
        "least_in": 0.1,
        "least_mm": 2.54,
        "least_included": True,
        "least_threads": 9,
        "dashes": ["3", "4"],
        "none": None,
        "of_torque_in_lb": 5,
        "of_torque_n_m": 0.6,
    }
    told = {"number": "A", "block": block, "blocks": [{"load_lbf": 1}, {"load_lbf": 2}], "null": None}
    assert [(entry["name"], entry["value"]) for entry in values(told, figure)] == expected


@pytest.mark.parametrize(
    "link",
    [
        *(
            "",
            "/",
            "/v1/editions",
            "/v1/pick",
            "/v1/pick?",
            "/v1/parts/",
            "/v1/pickle?x=1",
            "http://desk.example/v1/parts/A",
        ),
        *("//desk.example/v1/parts/A", "v1/parts/A", "/v1/cite?link=/v1/parts/A", "/v1/parts/A\n", "/v1/parts/\u0661"),
        "/v1/parts/" + "x" * 2000,
    ],
    ids=lambda link: ascii(link)[:30],
)
def test_what_is_no_link_of_an_answer_is_not_understood(link):
    with pytest.raises(BadQuestion):
        answer_cite(link)


@pytest.mark.parametrize(
    "link",
    [
        *("/v1/pick?stack=nan", "/v1/pick?diameter=1/8&diameter=1/4", "/v1/pick?colour=red"),
        *("/v1/parts/nonsense", "/v1/parts/..", "/v1/parts/%2F", "/v1/parts/MS20470AD4-4?colour=red"),
        *("/v1/parts/MS20470AD4-4?edition=a%20b", "/v1/parts/MS20470AD4-4?edition=2026.1&edition=2026.1"),
    ],
)
def test_a_link_that_leads_to_no_answer_is_not_there(link):
    with pytest.raises(NotTabulated):
        answer_cite(link)


def test_an_edition_that_is_not_installed_is_told_so():
    with pytest.raises(UnknownEdition):
        answer_cite("/v1/parts/MS20470AD4-4?edition=1999.1")


def test_a_link_with_its_plus_signs_lost_and_a_format_is_the_same_answer():
    plain = "/v1/pick?diameter=1/8&alloy=AD&head=universal&stack=0.040{}0.040{}"
    told = [answer_cite(plain.format(*how)) for how in (("%2B", ""), ("+", ""), (" ", "&format=csv"))]
    assert told[0] == told[1] == told[2]


@settings(max_examples=200, deadline=None)
@given(st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=60), st.booleans())
def test_whatever_looks_like_a_link_is_answered_or_not_there(text, is_pick):
    with suppress(NotTabulated, UnknownEdition):
        answer_cite(("/v1/pick?" if is_pick else "/v1/parts/") + text)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question["head"])
def test_text_groups_figures_by_document_within_the_page(question):
    told = answer_cite(answer("pick", question)["link"])
    text = cite_text(told)
    *lines, link = text.splitlines()
    assert link == told["cited"]
    assert max(map(len, lines)) <= 80
    assert "\n\n\n" not in text
    head = text.partition("\nCAUTIONS")[0]
    for figure in told["figures"]:
        assert f"      {figure['figure']}" in head
    for name, count in told["basis"].items():
        assert f"{count} {name}" in " ".join(text.split())


def test_csv_has_a_line_for_each_value():
    told = answer_cite(PART)
    lines = cite_csv(told).splitlines()
    assert lines[0] == "figure,name,value,document,place,basis,table,row,house"
    assert len(lines) - 1 == sum(len(figure["values"]) or 1 for figure in told["figures"])
    assert any(line.startswith("strength.single_shear,single_shear_lbf,388,MIL-HDBK-5F,") for line in lines)
