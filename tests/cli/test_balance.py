"""`bucktail balance`: the signs in words, large and first, and the caution that is never missing."""

from __future__ import annotations

import csv
import io

ASKED = ("balance", "--removed", "24 x MS20470AD4-4", "--installed", "24 x MS20470AD5-5", "--arm", "12.5 aft")


def test_the_verdict_is_the_headline(run):
    lines = run(*ASKED, "--limit", "0 to 1 tail heavy").stdout.splitlines()
    assert lines[1].strip().endswith("in-lb MORE TAIL HEAVY, INSIDE LIMITS")
    assert set(lines[0]) == set(lines[2]) == {"="}


def test_nothing_of_the_text_is_wider_than_a_page(run):
    options = ("--extra", "paint 12 g at 14.5 aft; patch 0.05 lb", "--weight-arm", "6 fwd", "--why")
    text = run(*ASKED, *options, "--stack", "0.032 2024-T3+0.040 2024-T3", "--limit", "0 to 1 tail heavy").stdout
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "tail heavy = underbalance" in text
    assert "weigh and balance the complete" in text
    assert "marks:" in text


def test_text_csv_and_json_say_the_same(run, ask):
    answer = ask(*ASKED)
    (cells,) = csv.DictReader(io.StringIO(run(*ASKED, "--format", "csv").stdout))
    assert float(cells["moment_in_lb"]) == answer["change"]["moment_in_lb"]
    assert f"{answer['change']['moment_in_lb']:.4f} in-lb" in run(*ASKED).stdout


def test_an_arm_without_its_side_is_a_usage_error(run):
    result = run("balance", "--installed", "MS20470AD4-4", "--arm", "12.5")
    assert result.exit_code == 2
    assert "aft" in result.stderr


def test_a_head_without_dimensions_is_refused_by_name(run):
    result = run("balance", "--installed", "MS20430AD4-4", "--arm", "12.5 aft")
    assert result.exit_code == 1
    assert "MS20430" in result.stderr


def test_paint_alone_without_a_rivet_is_told(run):
    # 10 lb of paint at 2 in, by the definition of a static moment
    result = run("balance", "--arm", "12.5 aft", "--extra", "paint 10 lb at 2 forward")
    assert result.exit_code == 0
    assert "20.0000 in-lb MORE NOSE HEAVY" in result.stdout
