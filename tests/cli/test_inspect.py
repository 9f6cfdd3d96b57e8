"""`bucktail inspect`: the verdict large and first, the practices side by side, each reject with its cause."""

from __future__ import annotations

import csv
import io
import re

ONE = ("inspect", "MS20470AD4-4", "--stack", "0.040+0.040", "--formed-diameter", "0.188", "--formed-height", "0.061")
ROW = ("inspect", "MS20470AD4-4", "--formed-diameter", "0.188; 0.204; 0.190", "--formed-height", "0.06; 0.048; 0.06")


def test_the_verdict_is_the_headline(run):
    lines = run(*ONE).stdout.splitlines()
    assert lines[1].strip() == "INSIDE LIMITS"
    assert set(lines[0]) == set(lines[2]) == {"="}


def test_both_practices_stand_side_by_side(run):
    text = run(*ONE).stdout
    assert re.search(r"civil +rules +inside limits", text)
    assert re.search(r"military +inside limits", text)
    # FAA-H-8083-31 figure 4-76 and MIL-R-47196A Table III as quoted, 1/8
    assert "0.1750 to 0.2000 in" in text
    assert "at least 0.1630 in" in text


def test_a_row_counts_its_rejects_and_tells_the_cause_of_each(run):
    text = run(*ROW).stdout
    assert text.splitlines()[1].strip() == "1 OF 3 OUT, OUTSIDE LIMITS: REPLACE"
    assert re.search(r"^ +2 +0\.2040 +0\.0480 +OUTSIDE$", text, re.MULTILINE)
    assert "  2: over-driven: by volume" in text


def test_nothing_of_the_text_is_wider_than_a_page(run):
    options = ("--hole", "0.140", "--gap", "0.002", "--gap-around", "50", "--edge-distance", "0.2", "--pitch", "2")
    text = run(*ROW, *options, "-s", "0.08", "--practice", "both", "--why").stdout
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "! Do not restrike a rivet to close a gap: replace it." in text


def test_no_word_of_it_lets_anything_fly(run):
    text = run(*ROW, "--why").stdout.casefold()
    assert not re.search(r"airworth|\bapproved?\b|\blegal", text)


def test_text_csv_and_json_say_the_same(run, ask):
    answer = ask(*ROW)
    (cells,) = csv.DictReader(io.StringIO(run(*ROW, "--format", "csv").stdout))
    assert (cells["verdict"], cells["rejected"]) == (answer["verdict"], "2")


def test_a_file_of_rows_is_answered_row_by_row(run, lines_file):
    file = lines_file("fastener,formed_diameter", "MS20470AD4,0.19", "MS20470AD4,0.3", "nonsense,0.3")
    result = run("batch", "inspect", file, "--format", "csv")
    assert result.exit_code == 5
    assert [row["verdict"] for row in csv.DictReader(io.StringIO(result.stdout))] == [
        "inside limits",
        "outside limits: replace",
        "",
    ]


def test_nothing_measured_is_no_answer(run):
    result = run("inspect", "MS20470AD4")
    assert result.exit_code == 1
    assert "nothing was measured" in result.stderr


def test_a_blind_rivet_is_inspected_by_its_lock_collar(run, ask):
    asked = ("inspect", "NAS1398B4-3", "--stack", "0.15", "--collar", "0.025 above", "--stem", "flush")
    text = run(*asked).stdout
    assert text.splitlines()[1].strip() == "OUTSIDE LIMITS: REPLACE"
    # TM 9-2320-363-34-2, page 22-21
    assert "OUTSIDE   at most 0.0200 in above or below the head" in text
    assert ask(*asked)["rejects"] == 1
    bolt = run("inspect", "AN4-10A", "--protrusion", "0.05").stdout
    assert re.search(r"civil +inside +at least 1 thread", bolt)
