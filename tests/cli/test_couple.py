"""`bucktail couple`: the same answer as text, JSON and CSV."""

from __future__ import annotations

import csv
import io
import json

from tests.cli.running import in_terminal


def test_metals_are_named_one_by_one_or_joined(run):
    one = run("couple", "2117", "lead", "--format", "json")
    other = run("couple", "--materials", "2117 + lead", "--format", "json")
    assert one.exit_code == other.exit_code == 0
    assert json.loads(one.stdout) == json.loads(other.stdout)
    assert json.loads(one.stdout)["compatible"] is False


def test_the_verdict_stands_first_and_cautions_stand_open(run):
    done = run("couple", "2117", "lead")
    lines = done.stdout.splitlines()
    assert lines[1].strip() == "NOT COMPATIBLE in marine air"
    assert "corrodes:  2117, the more anodic one" in done.stdout
    assert "CAUTIONS" in lines
    assert "SOURCES" not in lines
    assert max(map(len, lines)) <= 80


def test_why_shows_the_reasoning_and_every_source(run):
    done = run("couple", "6061-T6", "304", "-e", "seawater", "--areas", "12+0.03", "--why")
    assert done.exit_code == 0
    for told in ("asked for sea water", "SOURCES", "row D column K", "par. 5.1.4", "0.680 V s"):
        assert told in done.stdout


def test_compatible_metals_are_said_to_be_so(run):
    done = run("couple", "5056", "6061-T6", "-e", "seawater")
    assert done.stdout.splitlines()[1].strip() == "COMPATIBLE in sea water"


def test_csv_is_one_line_of_main_figures(run):
    done = run("couple", "AD", "lead", "cadmium", "--format", "csv")
    (cells,) = csv.DictReader(io.StringIO(done.stdout))
    assert cells["groups"] == "E+G+C"
    assert cells["incompatible_pairs"] == "AD + lead; lead + cadmium"
    assert cells["difference_v"] == "0.47"


def test_an_unknown_metal_is_no_answer_and_one_metal_is_a_bad_question(run):
    unknown = run("couple", "2117", "unobtainium")
    assert (unknown.exit_code, unknown.stdout) == (1, "")
    assert "unobtainium" in unknown.stderr
    assert "antimonial" in unknown.stderr
    assert run("couple", "2117").exit_code == run("couple").exit_code == 2


def test_on_a_terminal_the_metals_are_asked_for():
    seen = in_terminal("couple", "--format", "csv", typed="2117 + lead\n")
    assert seen.code == 0
    assert "Metals (2117 + lead)" in seen.screen
    assert "AD + lead" not in seen.screen
    assert "2117 + lead,2117,E+G" in seen.screen
