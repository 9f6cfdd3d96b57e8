"""`bucktail order`: files in, an order out, in this process and of a running service."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import Path

import pytest
from tests.cli.running import in_terminal
from tests.cli.test_imports import loaded_by

from bucktail.cli.exits import Exit

SCENARIO = Path(__file__).parent.parent / "scenario"
ORDER = str(SCENARIO / "order.csv")
LISTS = ("--prices", str(SCENARIO / "prices.csv"), "--stock", str(SCENARIO / "stock.csv"))
HEADER = "part_number,quantity"


def order_of(result):
    return json.loads(result.stdout)


@pytest.fixture
def good(lines_file):
    return lines_file(HEADER, "MS20470AD4-4,24", "MS20470AD4-5,6")


def test_an_order_whose_lines_are_all_understood_ends_with_nought(run, good):
    result = run("order", good)
    assert (result.exit_code, result.stderr) == (0, "")
    assert "40 pieces to order, 2 part numbers" in result.stdout.splitlines()[1]


def test_an_order_with_rejected_lines_is_written_and_ends_with_five(run):
    result = run("order", ORDER, "--pack", "0.25lb", *LISTS)
    assert result.exit_code == Exit.ROWS_REFUSED == 5
    assert "3 of 11 lines rejected" in result.stderr
    assert "row 6, 18 pieces, BD-1: stack: '1,2 mm' is not a layer" in result.stdout
    assert all(len(line) <= 80 for line in result.stdout.splitlines())


def test_why_tells_how_each_figure_comes_about_and_its_source(run):
    told = run("order", ORDER, "--why", *LISTS).stdout
    assert "MS20470AD4-4: 76 wanted + 8 spares - 35 on hand = 49 to order" in told
    assert "common practice, no source" in told


def test_the_options_are_the_fields_of_the_question(run):
    answer = order_of(run("order", ORDER, *LISTS, "--spares", "20", "--pack", "100", "-f", "json"))
    line = next(line for line in answer["lines"] if line["part_number"] == "MS20470AD4-4")
    assert (line["wanted"], line["spares"], line["on_hand"], line["to_order"]) == (76, 20, 35, 61)
    assert line["packs"] == {"packs": 1, "pieces_per_pack": 100, "pieces": 100}
    assert answer["pack"] == "100"
    assert order_of(run("order", ORDER, "--practice", "military", "-f", "json"))["practice"] == "military"


def test_the_columns_of_the_lines_are_carried(run):
    answer = order_of(run("order", ORDER, "-f", "json"))
    rows = {row["row"]: row["carried"] for line in answer["lines"] for row in line["rows"]}
    assert rows[1] == {"ref": "EL-1", "place": "elevator rib 3"}
    assert answer["rejected"][-1]["carried"]["place"] == "=door stop"


def test_csv_has_a_line_for_each_part_number_and_each_rejected_line(run):
    rows = list(csv.DictReader(io.StringIO(run("order", ORDER, "--format", "csv").stdout)))
    assert [row["part_number"] for row in rows] == [*sorted(row["part_number"] for row in rows[:5]), "", "", ""]
    assert [row["rows"] for row in rows[5:]] == ["6", "10", "11"]


@pytest.mark.parametrize("suffix", ["csv", "json", "xlsx"])
def test_the_name_of_the_file_to_write_tells_its_format(run, good, tmp_path, suffix):
    out = tmp_path / f"results.{suffix}"
    assert run("order", good, "--out", str(out)).exit_code == 0
    piped = run("order", good, "--format", suffix)
    assert out.read_bytes() == piped.stdout_bytes
    if suffix == "xlsx":
        assert zipfile.ZipFile(out).testzip() is None


def test_a_spreadsheet_does_not_go_to_a_terminal(good):
    seen = in_terminal("order", good, "--format", "xlsx")
    assert seen.code == 2
    assert "--out" in seen.screen


def test_lines_come_from_standard_input_and_from_json_too(run, good, lines_file):
    sent = Path(good).read_text(encoding="utf-8")
    rows = list(csv.DictReader(io.StringIO(sent)))
    as_json = lines_file(json.dumps(rows), name="lines.json")
    answers = [
        run("order", "-", "-f", "json", sent=sent),
        run("order", good, "-f", "json"),
        run("order", as_json, "-f", "json"),
    ]
    assert len({result.stdout for result in answers}) == 1


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        (("--spares", "ten"), "spares"),
        (("--pack", "1/4"), "pack"),
        (("--practice", "naval"), "practice"),
        (("--prices", "nowhere.csv"), "--prices"),
        (("--stock", "."), "--stock"),
        (("--out", "."), "--out"),
    ],
)
def test_an_option_that_cannot_be_read_is_a_usage_problem(run, good, changes, field):
    result = run("order", good, *changes, "--format", "json")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert json.loads(result.stderr)["errors"][0]["field"] == field


@pytest.mark.parametrize(
    ("option", "lines", "told"),
    [
        ("--prices", ["part_number,currency,per_piece", "x,USD,0.1", "x,USD,1,2"], "row 2"),
        ("--prices", ["part_number,currency,per_piece", "x,USD,0.1", "x,USD,"], "row 2"),
        ("--prices", ["part_number,price", "x,1"], "currency"),
        ("--stock", ["part_number,pieces", "x,many"], "row 1: pieces: 'many'"),
        ("--stock", ["part_number;pieces"], "commas"),
        ("--stock", [], "is empty"),
    ],
)
def test_a_list_that_cannot_be_read_whole_names_its_row(run, good, lines_file, option, lines, told):
    result = run("order", good, option, lines_file(*lines, name="list.csv"))
    assert result.exit_code == 2
    assert told in " ".join(result.stderr.split())


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("lines.csv", "", "is empty"),
        ("lines.csv", "part_number\nMS20470AD4-4\n", "quantity"),
        ("lines.json", "{}", "not a JSON array"),
        ("lines.json", "[", "is not JSON"),
        ("lines.json", '[{"quantity": 1, "quantity": 2}]', "twice"),
    ],
)
def test_a_file_of_no_lines_is_a_usage_problem(run, lines_file, name, content, told):
    result = run("order", lines_file(*content.splitlines(), name=name))
    assert result.exit_code == 2
    assert told in " ".join(result.stderr.split())


def test_an_edition_that_is_not_there_has_no_answer(run, good):
    assert run("order", good, "--edition", "1999.1").exit_code == Exit.NO_ANSWER


def test_a_refused_order_leaves_the_old_file_alone(run, good, tmp_path):
    out = tmp_path / "out.csv"
    out.write_text("old")
    assert run("order", good, "--spares", "ten", "--out", str(out)).exit_code == 2
    assert out.read_text() == "old"


@pytest.mark.parametrize("form", ["text", "json", "csv", "xlsx"])
def test_a_running_service_answers_the_same_to_the_byte(run, service, form):
    options = ("order", ORDER, *LISTS, "--pack", "1/4 lb", "--format", form)
    embedded, asked = run(*options), run(*options, "--url", service)
    assert asked.stdout_bytes == embedded.stdout_bytes
    assert asked.exit_code == embedded.exit_code == 5


def test_an_order_over_the_installed_tables_needs_no_web_framework():
    assert not loaded_by("order", ORDER) & {"requests", "urllib3", "flask", "werkzeug", "rich", "apispec", "xlsxwriter"}


def test_help_reads_no_tables():
    assert not loaded_by("order", "--help") & {"marshmallow", "bucktail_service", "bucktail_tables", "xlsxwriter"}
