"""`bucktail editions`: list, show, table, row and find."""

from __future__ import annotations

import csv
import io
import json

import pytest
from tests.cli.running import as_process

from bucktail_tables.load import HERE

FILE = (HERE / "2026.1" / "holes.csv").read_bytes()
PIN = ("--edition", "2026.1")
ROW = ("editions", "row", "holes", "1/8", "final", "1", *PIN)
PAGES = [
    ("editions",),
    ("editions", "show"),
    ("editions", "show", "2026.1"),
    ("editions", "table", "holes", *PIN),
    ("editions", "table", "nuts"),
    ROW,
    ("editions", "find", "5/32 shear", "--limit", "3"),
]


@pytest.mark.parametrize("args", PAGES, ids=" ".join)
def test_a_page_is_no_wider_than_the_terminal(run, args):
    result = run(*args)
    assert result.exit_code == 0, result.stderr
    assert [line for line in result.stdout.splitlines() if len(line) > 80] == []


@pytest.mark.parametrize("args", PAGES, ids=" ".join)
@pytest.mark.parametrize("form", ["text", "json", "csv"])
def test_a_service_shows_the_same_page(run, service, args, form):
    here, there = run(*args, "--format", form), run(*args, "--format", form, "--url", service)
    assert there.exit_code == 0, there.stderr
    assert (there.stdout, there.stderr) == (here.stdout, here.stderr)


def test_a_table_as_csv_is_its_own_file(run, service):
    for url in ((), ("--url", service)):
        result = run("editions", "table", "holes", *PIN, "--format", "csv", *url)
        assert result.stdout_bytes == FILE


# printed: aircraft maintenance trade journal, Oct 2001, hole size for standard rivets: 1/8, #30, 0.125 to 0.135
def test_a_row_tells_its_figures_and_its_document(run):
    text = run(*ROW).stdout
    for line in ("  drill       #30", "  minimum_in  0.125 in", "  maximum_in  0.135 in"):
        assert line in text.splitlines()
    assert "  s second-hand: aircraft maintenance trade journal, Oct 2001" in text
    (cells,) = csv.DictReader(io.StringIO(run(*ROW, "--format", "csv").stdout))
    assert (cells["drill"], cells["basis"]) == ("#30", "second-hand")


def test_words_may_be_one_argument_or_many(run, ask):
    assert run("editions", "find", "5/32 shear").stdout == run("editions", "find", "5/32", "shear").stdout
    answer = ask("editions", "find", "5/32", "shear", "--limit", "2", *PIN)
    assert [row["table"] for row in answer["rows"]] == ["shear", "shear"]
    assert answer["more"] == answer["found"] - 2


def test_rows_from_memory_carry_their_mark(run):
    lines = run("editions", "find", "5/32 shear driven AD", *PIN).stdout.splitlines()
    assert "m shear  AD  driven  5/32" in lines
    assert any(line.startswith("marks: ") for line in lines)


def test_a_long_search_says_how_many_more_there_are(run, ask):
    found = ask("editions", "find", "rivet", "--limit", "1")["found"]
    assert f"the best 1 of {found} rows; {found - 1} more" in run("editions", "find", "rivet", "-n", "1").stdout


def test_words_that_stand_nowhere_are_answered_with_no_row(run):
    result = run("editions", "find", "xyzzy")
    assert result.exit_code == 0
    assert result.stdout.startswith("no row holds every word: xyzzy\n")


@pytest.mark.parametrize(
    ("args", "code", "told"),
    [
        (("show", "1999.1"), 1, "2026.1"),
        (("table", "hole"), 1, "holes"),
        (("row", "holes", "1/8", "final", "7"), 1, "good: 1/8 final 1"),
        (("row", "holes"), 2, "KEY"),
        (("find", "--"), 2, "WORDS"),
        (("find", "?!"), 2, "5/32 shear"),
        (("find", "shear", "-n", "0"), 2, "500"),
        (("table", "a/b"), 2, "holes"),
        (("weld",), 2, "weld"),
        (("--format", "json", "show"), 2, "--format goes after show"),
        (("--url", "http://127.0.0.1:1", "find", "a"), 2, "--url goes after find"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_is_not_there_ends_with_one_and_what_cannot_be_understood_with_two(run, args, code, told):
    result = run("editions", *args)
    assert result.exit_code == code
    assert result.stdout == ""
    assert told in result.stderr


def test_a_problem_is_json_where_json_was_asked_for(run):
    result = run("editions", "row", "holes", "1/8", "--format", "json")
    assert result.exit_code == 1
    problem = json.loads(result.stderr)
    assert problem["type"] == "urn:bucktail:problem:not-tabulated"
    assert problem["errors"][0]["example"].startswith("1/8 final 1")


def test_the_address_in_the_environment_goes_for_every_page(service):
    for args in (("editions",), ROW):
        ended = as_process(*args, "--format", "json", BUCKTAIL_URL=service)
        assert (ended.code, ended.stderr) == (0, "")
        assert json.loads(ended.stdout)


@pytest.mark.parametrize("command", ["show", "table", "row", "find", "cite", "diff"])
def test_the_help_of_every_page_tells_the_exit_codes(run, command):
    text = run("editions", command, "--help").stdout
    assert "Exit codes" in text
    assert all(len(line) <= 80 for line in text.splitlines())
