"""Part numbers of blind rivets, bolts and pins over HTTP, and as the stems of a command."""

from __future__ import annotations

import csv
import io
import json

import pytest
from tests.http.asking import refused
from typer.testing import CliRunner

from bucktail.cli.main import app as command
from bucktail_service.asking.part import COLUMNS
from bucktail_service.schemas.answers import PartAnswer

NUMBERS = [
    *("NAS1398B4-3", "NAS1398B4", "NAS1921B04-03", "MS20600AD4-3", "M7885/2-4-3", "NAS1739M5-4", "42", "610"),
    *("AN4-10A", "AN4-10", "AN4DD10A", "AN4CH10A", "AN4", "AN4H", "NAS6204-10", "NAS464-4-10", "NAS1103-8"),
    *("NAS1054-6-8", "NAS178-6-8", "NAS1055-10-16", "NAS1054-6"),
]


@pytest.mark.parametrize("number", NUMBERS)
def test_the_link_of_a_part_replays_the_answer_byte_for_byte(http, number):
    first = http.get(f"/v1/parts/{number}")
    assert first.status_code == 200, first.get_data(as_text=True)
    answer = first.get_json()
    assert PartAnswer().validate(answer) == {}
    assert answer["written_as"] == number
    again = http.get(answer["link"])
    assert again.data == first.data
    assert again.headers["Cache-Control"] == "public, max-age=31536000, immutable"


def test_a_slash_in_a_number_may_be_escaped(http):
    assert http.get("/v1/parts/M7885%2F2-4-3").data == http.get("/v1/parts/M7885/2-4-3").data


@pytest.mark.parametrize("number", NUMBERS)
def test_csv_shows_the_figures_of_the_json_answer(http, number):
    answer = http.get(f"/v1/parts/{number}").get_json()
    text = http.get(f"/v1/parts/{number}?format=csv").get_data(as_text=True)
    header, row, *more = csv.reader(io.StringIO(text), strict=True)
    assert (more, header) == ([], list(COLUMNS))
    cells = dict(zip(header, row, strict=True))
    grip = answer["grip"] or {}
    for column, name in (
        ("grip_dash", "dash"),
        ("grip_in", "length_in"),
        ("grip_minimum_in", "minimum_in"),
        ("grip_maximum_in", "maximum_in"),
    ):
        value = grip.get(name)
        assert cells[column] == ("" if value is None else str(value)), column
    length = answer["length"] or {}
    assert cells["length_in"] == str(length.get("length_in", ""))
    assert cells["length_counts"] == length.get("counts", "")
    assert cells["head_mark"] == cells["each_g"] == ""


def test_the_grip_columns_follow_those_of_the_length():
    names = list(COLUMNS)
    at = names.index("length_counts") + 1
    assert names[at : at + 4] == ["grip_dash", "grip_in", "grip_minimum_in", "grip_maximum_in"]


# number -> what its text must show: figures and notes of the documents named
SHOWN = {
    # the ladder is memory: marked m
    "NAS1398B4-3": ("holds over     0.1250   in m", "up to        0.1875   in m", "maximum grip in 1/16 in"),
    # dash table of AN3-AN20 (second-hand)
    "AN4-10": ("grip           0.5630   in s", "long           1.0310   in s", "no A: shank drilled for a cotter pin"),
    # TM 10-5410-221-14/1, Table 4-3 (published)
    "42": ("holds over     0.0630   in  ", "long           0.2320   in  ", "diameter 4/32 = 1/8 in"),
    # NAS1054 note 9 (second-hand)
    "NAS178-6-8": ("NAS1054-6-8          current standard", "up to        0.5000   in s"),
    # 38000 psi (TM 1-1500-204-23-6, Figure 2-57 (a), published) over a #30 hole: an estimate, marked e
    "NAS1398B4-4": ("single shear   493 lbf     e", "double shear   986 lbf     e"),
    # ANC-5 / MIL-HDBK-5 steel bolt allowables (memory)
    "AN3-10": ("single shear   2130 lbf    m",),
    "AN4": ("no dash: this is the stem of a number",),
}


@pytest.mark.parametrize(("number", "lines"), SHOWN.items())
def test_text_begins_with_the_number_and_shows_its_grip(http, number, lines):
    response = http.get(f"/v1/parts/{number}", headers={"Accept": "text/plain"})
    assert response.content_type == "text/plain; charset=utf-8"
    text = response.get_data(as_text=True)
    assert text.splitlines()[1].strip() == number
    for line in lines:
        assert line in text
    assert "None" not in text


@pytest.mark.parametrize("number", NUMBERS)
def test_every_answer_can_be_shown_as_text(http, number):
    answer = http.get(f"/v1/parts/{number}").get_json()
    text = http.get(f"/v1/parts/{number}?format=text").get_data(as_text=True)
    assert ("GRIP" in text.splitlines()) == (answer["grip"] is not None)
    assert "None" not in text
    assert "null" not in text


@pytest.mark.parametrize(
    "number",
    [
        *("NAS1398", "NAS1398B4-13", "NAS1398B7-3", "M7885/2", "M7885/9-4-3", "67", "4", "%F0%9F%94%A942"),
        *("AN4-8", "AN4-38A", "AN4-10B", "AN7-10A", "AN173-10", "NAS9301B4-3", "NAS529-6-8", "NAS6204-33"),
        *("NAS464P4-10", "NAS464P4", "NAS6304-33", "NAS7034-6-8"),
        *("NAS1054-6-17", "-8-5", "AN960-416L", "AN365-428A", "NAS528A6", "AN4-" + "1" * 3000, "4" * 3000),
        *("AN4" + "-" * 4000, "AN4%00-10", "A\u0274-10", "\u0664\u0662"),
    ],
    ids=lambda number: ascii(number[:16]),
)
def test_what_cannot_be_read_is_404_and_shows_a_number_that_can(http, number):
    problem = refused(http.get(f"/v1/parts/{number}"), 404, "number")
    assert problem["type"] == "urn:bucktail:problem:not-tabulated"
    good = problem["errors"][0]["example"].split(" or ")[0]
    assert http.get(f"/v1/parts/{good}").status_code == 200


def test_a_standard_without_data_names_the_document_that_would_give_it(http):
    problem = refused(http.get("/v1/parts/AN8-10A"), 404, "number")
    assert "AN3-AN20 sheet" in problem["detail"]


def run(*arguments: str):
    return CliRunner().invoke(command, list(arguments), prog_name="bucktail")


# stem -> the question it stands for
STEMS = {
    ("NAS1398B4", "0.100"): {"family": "blind", "head": "NAS1398", "alloy": "B", "diameter": "1/8"},
    ("M7885/2-4", "0.100"): {"family": "blind", "head": "M7885/2", "alloy": "B", "diameter": "1/8"},
    ("AN4", "0.500"): {"family": "bolt", "head": "AN4", "alloy": "steel", "diameter": "1/4"},
    ("AN4CH", "0.500"): {"family": "bolt", "head": "AN4H", "alloy": "C", "diameter": "1/4"},
    ("NAS464-4", "0.300"): {"family": "bolt", "head": "NAS464", "alloy": "steel", "diameter": "1/4"},
    ("NAS1054-6", "0.450"): {"family": "pin", "head": "NAS1054", "alloy": "steel", "diameter": "3/16"},
}


@pytest.mark.parametrize(("stem", "asked"), STEMS.items(), ids=lambda value: value[0] if len(value) == 2 else "")
def test_a_stem_and_the_options_it_stands_for_ask_the_same(stem, asked):
    number, stack = stem
    by_stem = run("pick", number, "-s", stack, "--format", "json")
    options = [word for name, value in asked.items() for word in (f"--{name}", value)]
    by_options = run("pick", *options, "-s", stack, "--format", "json")
    assert (by_stem.exit_code, by_stem.stderr) == (0, "")
    assert json.loads(by_stem.stdout) == json.loads(by_options.stdout)


@pytest.mark.parametrize(
    ("number", "told"), [("NAS1398B4-9", "grip -9"), ("AN4H20A", "dash -20"), ("NAS1054-6-16", "grip -16")]
)
def test_the_grip_of_a_whole_number_is_told_to_be_unused(number, told):
    result = run("pick", number, "-s", "0.100" if number.startswith("NAS1398") else "0.45")
    assert result.exit_code == 0
    assert f"the {told} of {number} is not used" in result.stderr
    assert number not in result.stdout


@pytest.mark.parametrize("option", ["family", "head", "alloy", "diameter"])
def test_what_a_stem_says_may_not_be_said_again(option):
    result = run("pick", "NAS1398B4", "-s", "0.100", f"--{option}", "blind")
    assert result.exit_code == 2
    assert f"{option}: is said by NAS1398B4 already" in result.stderr


def test_a_number_is_told_at_the_terminal():
    result = run("part", "M7885/2-4-3")
    assert result.exit_code == 0
    assert "M7885/2-4-3" in result.stdout.splitlines()[1]
