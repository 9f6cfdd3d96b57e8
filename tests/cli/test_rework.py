"""`bucktail rework`."""

from __future__ import annotations

import json

ARGS = ("MS20470AD4-4", "-s", "0.032 2024-T3 + 0.040 2024-T3", "--hole", "0.137", "--edge-distance", "0.40")


def test_the_rivet_that_goes_in_comes_first_and_the_work_follows(run):
    text = run("rework", *ARGS, "--count", "12", "--failed", "3,4", "--arm", "6.5", "--record").stdout
    assert text.splitlines()[1].strip() == "MS20470AD5-5"
    order = [text.index(part) for part in ("OPTIONS", "TAKE THE OLD", "OPEN THE HOLE", "SET THE RIVET", "CAUTIONS")]
    assert order == sorted(order)
    assert "WORK NOTE" in text


def test_no_line_is_wider_than_the_page(run):
    for line in run("rework", *ARGS, "--why").stdout.splitlines():
        assert len(line) <= 80, line


def test_json_is_the_whole_answer(run):
    answer = json.loads(run("rework", *ARGS, "--format", "json").stdout)
    assert answer["recommended"] == "next-size"
    assert answer["record"] is None


def test_a_rivet_nobody_knows_is_a_problem_on_the_other_stream(run):
    result = run("rework", "rivet", "-s", "0.04", "--format", "json")
    assert result.exit_code == 1
    assert result.stdout == ""
    assert json.loads(result.stderr)["errors"][0]["field"] == "installed"
