"""`bucktail pick` and `bucktail part`: the same answer as text, JSON and CSV."""

from __future__ import annotations

import csv
import io
import json
import re

import pytest
from tests.cli.conftest import UNIVERSAL

FLUSH = ("MS20426AD4", "-s", "0.025 2024-T3 + 0.040", "--stack-tolerance", "0.005")
MILITARY = ("MS20470DD5", "-s", "1/8+1/16", "--practice", "military")
MONEL = ("MS20615-4M", "-s", "0.032+0.125")
TRIMMED = ("MS20470AD3", "-s", "0.016")
WORN = ("MS20470AD4", "-s", "0.040+0.040", "--hole", "0.140")
QUESTIONS = [UNIVERSAL, FLUSH, MILITARY, MONEL, TRIMMED, WORN]

# letters the legend gives each basis; nothing is what was read in its document
LETTERS = {"published": "", "derived": "d", "second-hand": "s", "memory": "m", "estimated": "e"}
CERTAINTY = list(LETTERS)

# text has the four decimals of a micrometer
TEXT = 5.01e-5

# label of a line -> block and name of the figure it shows
ROWS = {
    "ideal": "length.ideal",
    "cut it to": "length.trim_to",
    "stands out": "length.protrusion",
    "pilot": "hole.pilot.diameter",
    "final": "hole.final.diameter",
    "finished from": "hole.minimum",
    "finished to": "hole.maximum",
    "edge at least": "spacing.edge_minimum",
    "lay out at": "spacing.edge_layout",
    "pitch at least": "spacing.pitch_minimum",
    "usual from": "spacing.pitch_usual_low",
    "usual to": "spacing.pitch_usual_high",
    "rows apart": "spacing.row_minimum",
    "pitch then": "spacing.staggered_pitch_minimum",
}
ROW = re.compile(r"  +(?P<label>[a-z]+(?: [a-z]+)*) +(?P<inch>[0-9.]+) +in (?P<mark>[a-z]?) +(?P<mm>[0-9.]+) mm")
CELL = re.compile(r"(?P<inch>[0-9.]+|-) ?(?P<mark>[a-z]?)")


def find(answer, path):
    for name in path.split("."):
        answer = answer[name]
    return answer


def letter(answer, figure):
    """The letter of the least certain source that a figure names."""
    ranks = [CERTAINTY.index(source["basis"]) for source in answer["sources"] if figure in source["figures"]]
    assert ranks, f"{figure} has no source"
    return LETTERS[CERTAINTY[max(ranks)]]


def test_the_part_number_comes_first(run):
    lines = run("pick", *UNIVERSAL).stdout.splitlines()
    assert lines[1].strip() == "MS20470AD4-4"
    assert lines[3].startswith("1/8 in (3.175 mm) x 0.2500 in long, universal head, 2117-T4")


def test_text_is_the_default_and_writes_nothing_to_standard_error(run):
    result = run("pick", *UNIVERSAL)
    assert result.stdout == run("pick", *UNIVERSAL, "--format", "text").stdout
    assert result.stderr == ""


@pytest.mark.parametrize("question", QUESTIONS, ids=" ".join)
def test_every_line_of_the_text_shows_the_figure_of_the_json_and_its_mark(run, ask, question):
    answer = ask("pick", *question)
    text = run("pick", *question).stdout
    shown = {row["label"]: row for row in map(ROW.match, text.splitlines()) if row}
    for label, path in ROWS.items():
        value = find(answer, f"{path}_in")
        if value is None:
            assert label not in shown, label
            continue
        # a drill's size is marked with what says that this drill is the one
        figure = path.removesuffix(".diameter")
        assert float(shown[label]["inch"]) == pytest.approx(value, abs=TEXT), label
        assert float(shown[label]["mm"]) == pytest.approx(find(answer, f"{path}_mm"), abs=5.01e-4), label
        assert shown[label]["mark"] == letter(answer, figure), label


@pytest.mark.parametrize("question", QUESTIONS, ids=" ".join)
def test_the_formed_head_table_shows_the_figures_of_the_json_and_their_marks(run, ask, question):
    answer = ask("pick", *question)
    lines = run("pick", *question).stdout.splitlines()
    for label, measure in (("across, in", "diameter"), ("high, in", "height")):
        line = next(line for line in lines if line.strip().startswith(label))
        cells = CELL.findall(line.replace(label, ""))
        names = [f"{measure}_minimum", f"{measure}_nominal", f"{measure}_maximum"]
        for name, (inch, mark) in zip(names, cells, strict=True):
            value = answer["formed_head"][f"{name}_in"]
            assert inch == "-" if value is None else float(inch) == pytest.approx(value, abs=TEXT), name
            if value is not None:
                assert mark == letter(answer, f"formed_head.{name}"), name


def test_what_the_formed_head_comes_to_is_told_with_its_limits(run, ask):
    found = ask("pick", *UNIVERSAL)["formed_head"]
    text = run("pick", *UNIVERSAL).stdout
    assert found["predicted_diameter_in"] > found["diameter_maximum_in"]
    assert f"comes to about {found['predicted_diameter_in']:.4f} across (over) e" in text
    assert f"stands about {found['predicted_height_in']:.4f} high e" in text


@pytest.mark.parametrize("question", QUESTIONS, ids=" ".join)
def test_the_length_and_the_shear_carry_their_marks(run, ask, question):
    answer = ask("pick", *question)
    text = run("pick", *question).stdout
    dash, length = answer["length"]["dash"], answer["length"]["length_in"]
    line = re.search(rf"^  -{re.escape(dash)} +([0-9.]+) +in (.) ", text, re.MULTILINE)
    assert line is not None
    assert float(line[1]) == pytest.approx(length, abs=TEXT)
    assert line[2].strip() == letter(answer, "length.length")
    shear = answer["strength"]["single_shear_lbf"]
    mark = letter(answer, "strength.single_shear") or " "
    assert re.search(rf"^  single shear +{shear} lbf +{mark} ", text, re.MULTILINE)


def test_the_text_tells_what_the_marks_mean(run):
    text = run("pick", *UNIVERSAL).stdout
    for meaning in ("s second-hand", "d derived", "m from memory", "e estimated"):
        assert meaning in text


@pytest.mark.parametrize("question", QUESTIONS, ids=" ".join)
def test_every_caution_stands_in_the_text(run, ask, question):
    text = " ".join(run("pick", *question).stdout.split())
    for caution in ask("pick", *question)["cautions"]:
        assert caution["text"] in text


def test_what_has_no_figure_is_told_not_guessed(run, ask):
    answer = ask("pick", *MONEL)
    assert answer["mass"]["each_g"] is None
    text = " ".join(run("pick", *MONEL).stdout.split())
    assert "mass each" not in text.partition("CAUTIONS")[0]
    assert "Missing:" in text
    assert "mass each" in text.partition("Missing:")[2]


def test_why_adds_the_reasoning_and_every_source(run, ask):
    answer = ask("pick", *FLUSH)
    plain, why = run("pick", *FLUSH).stdout, " ".join(run("pick", *FLUSH, "--why").stdout.split())
    assert "SOURCES" not in plain
    for reason in answer["reasoning"]:
        assert reason in why
    for source in answer["sources"]:
        assert source["document"] in why
        for figure in source["figures"]:
            assert figure in why


def test_csv_is_a_header_and_one_line_of_the_same_figures(run, ask):
    answer = ask("pick", *UNIVERSAL)
    row, *more = csv.DictReader(io.StringIO(run("pick", *UNIVERSAL, "--format", "csv").stdout))
    assert not more
    assert row["part_number"] == answer["part_number"]
    assert row["length_in"] == json.dumps(answer["length"]["length_in"])
    assert row["drill"] == answer["hole"]["final"]["drill"]
    assert row["trim_to_in"] == ""
    assert row["link"] == answer["link"]


def test_a_stem_and_the_options_it_stands_for_ask_the_same(ask):
    said = ask("pick", "--diameter", "1/8", "--alloy", "AD", "--head", "MS20470", "--stack", "0.040+0.040")
    assert ask("pick", *UNIVERSAL) == said
    assert ask("pick", "-d", "1/8", "-a", "AD", "--head", "MS20470", "-s", "0.040+0.040") == said


@pytest.mark.parametrize("stem", ["AN470AD4", "MS20615-4M", "ms20426ad4"])
def test_a_stem_is_read_as_part_numbers_are(ask, stem):
    """The first number counts thirty-seconds: NAVEDTRA 14315, text beside Table 3-1."""
    assert ask("pick", stem, "-s", "0.040+0.040")["diameter"]["fraction"] == "1/8"


def test_the_length_of_a_whole_number_is_told_to_be_unused(run):
    result = run("pick", "MS20470AD4-9", "-s", "0.040+0.040")
    assert result.exit_code == 0
    assert "-9" in result.stderr
    assert "MS20470AD4-9" not in result.stdout
    assert result.stdout == run("pick", *UNIVERSAL).stdout


@pytest.mark.parametrize(("option", "text"), [("--diameter", "1/8"), ("--alloy", "AD"), ("--head", "universal")])
def test_what_the_stem_says_may_not_be_said_again(run, option, text):
    result = run("pick", *UNIVERSAL, option, text)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert option in result.stderr


def test_an_option_given_twice_answers_the_last_and_shows_which(ask):
    answer = ask("pick", "MS20470AD4", "-s", "0.040", "-s", "0.125")
    assert answer["stack"]["total_in"] == 0.125


@pytest.mark.parametrize(
    ("hole", "inches"), [("#30", 0.1285), ("0.130", 0.13), ("3.3mm", 3.3 / 25.4), ("9/64", 9 / 64)]
)
def test_a_hole_is_a_drill_or_a_length(run, ask, hole, inches):
    """#30 is 0.1285 in: the number drill series."""
    answer = ask("pick", *UNIVERSAL, "--hole", hole)
    assert answer["hole"]["given"]["diameter_in"] == pytest.approx(inches, abs=5e-7)
    assert "as given" in run("pick", *UNIVERSAL, "--hole", hole).stdout


def test_a_worn_hole_is_warned_of(run):
    assert "outside the limits" in " ".join(run("pick", *WORN).stdout.split())


def test_json_is_one_object_with_the_letters_of_the_trade_untouched(run):
    result = run("pick", *UNIVERSAL, "--format", "json")
    answer = json.loads(result.stdout)
    assert list(answer)[:3] == ["part_number", "family", "standard"]
    assert result.stdout.endswith("}\n")


def test_a_part_number_is_told_field_by_field(run):
    text = run("part", "AN426DD5-6").stdout
    assert "MS20426DD5-6" in text
    # length in sixteenths, diameter in thirty-seconds: NAVEDTRA 14315, text beside Table 3-1
    assert "diameter 5/32 in" in text
    assert "6/16 = 3/8 in" in text


def test_a_part_is_text_json_and_csv(run, ask):
    answer = ask("part", "MS20470AD4-4")
    row = next(csv.DictReader(io.StringIO(run("part", "MS20470AD4-4", "-f", "csv").stdout)))
    assert row["part_number"] == answer["part_number"] == "MS20470AD4-4"
    assert row["diameter_in"] == "0.125"
    assert "SOURCES" in run("part", "MS20470AD4-4", "--why").stdout


@pytest.mark.parametrize(
    ("misread", "meant"),
    [("MS20470AD4-4-5", "MS20470AD4-4.5"), ("MS20470AD4-04", "MS20470AD4-4"), ("MS20470-AD-4-4", "MS20470AD4-4")],
)
def test_a_misread_number_is_refused_with_a_good_one(run, misread, meant):
    result = run("part", misread)
    assert result.exit_code == 1
    assert result.stdout == ""
    assert meant in result.stderr


def test_the_editions_are_listed(run, ask):
    listed = ask("editions")["editions"]
    text = run("editions").stdout
    assert text.startswith(listed[0]["name"])
    assert all(edition["sha256"] in text for edition in listed)
    rows = list(csv.DictReader(io.StringIO(run("editions", "-f", "csv").stdout)))
    assert [row["table"] for row in rows] == [table["name"] for edition in listed for table in edition["tables"]]


@pytest.mark.parametrize(
    "args",
    [
        *(("pick", *question) for question in QUESTIONS),
        *(("pick", *question, "--why") for question in QUESTIONS),
        ("part", "MS20470AD4-4"),
        ("part", "AN426DD5-6", "--why"),
    ],
    ids=" ".join,
)
def test_no_answer_is_wider_than_the_page(run, args):
    for line in run(*args).stdout.splitlines():
        wide = len(line) > 80 and not line.startswith(("/v1/", "marks: "))
        assert not wide, f"{len(line)}: {line}"


def test_the_legend_is_no_wider_than_the_page(run):
    assert all(len(line) <= 80 for line in run("pick", *UNIVERSAL).stdout.splitlines() if line.startswith("marks: "))


def test_the_editions_are_no_wider_than_the_page(run):
    assert all(len(line) <= 80 for line in run("editions").stdout.splitlines())


def test_layers_with_materials_are_no_wider_than_the_page(run):
    text = run("pick", "MS20470AD4", "-s", "0.040 2024-T3 + 0.032 5052-H32 + 0.100 lead").stdout
    assert all(len(line) <= 80 for line in text.splitlines() if line.startswith("  stack"))
