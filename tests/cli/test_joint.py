"""`bucktail joint`: the same answer as text, JSON and CSV."""

from __future__ import annotations

import csv
import io

from tests.cli.running import in_terminal

CLAD = "0.032 clad 2024-T3 + 0.032 clad 2024-T3"
SPLICE = ("joint", "MS20470AD4", "-s", CLAD, "--table", "4-10", "--member", "lap", "--width", "10")


def test_the_stem_and_the_options_it_stands_for_ask_the_same(ask):
    stem = ask("joint", "MS20470AD4", "-s", CLAD)
    assert stem == ask("joint", "-d", "1/8", "-a", "AD", "--head", "MS20470", "--stack", CLAD)


def test_the_splice_of_par_4_58_is_told_with_its_layout(run):
    """AC 43.13-1B par. 4-58g: Table 4-10 gives 4.9 an inch, 37 rivets, two rows of 19."""
    done = run(*SPLICE, "--edge-distance", "0.25", "--why")
    assert done.exit_code == 0, done.stderr
    for told in ("37 pieces", "2 row(s) of 19", "to one decimal 3.7 per inch", "SOURCES", "Table 4-10, page 4-38"):
        assert told in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_the_verdict_stands_first_and_sources_wait_for_why(run):
    lines = run(*SPLICE).stdout.splitlines()
    assert lines[1].strip() == "374.0 lbf a rivet: shear governs"  # 388 x 0.964
    assert "CAUTIONS" in lines
    assert "SOURCES" not in lines


def test_every_option_is_a_field(ask):
    answer = ask(
        *("joint", "MS20426AD4", "-s", "0.040 2024-T3+0.063 2024-T3+0.040 2024-T3", "--shear", "double"),
        *("--edge-distance", "3/8", "--pitch", "0.6", "--rows", "2", "--row-spacing", "0.4", "--load", "350 lbf/in"),
        *("--width", "8", "--thickness", "0.040", "--table", "4-9", "--member", "frame", "--preparation", "dimpled"),
        *("--practice", "military", "--edition", "2026.1"),
    )
    assert (answer["shear"]["kind"], answer["flush"]["preparation"]) == ("double", "dimpled")
    assert answer["practice"] == "military"
    assert [check["figure"] for check in answer["checks"]] == ["edge_distance", "pitch", "row_spacing"]
    assert answer["need"]["per_inch"] is True
    assert answer["layout"]["rows"] == 2


def test_csv_is_one_line_of_main_figures(run, ask):
    (cells,) = csv.DictReader(io.StringIO(run(*SPLICE, "--format", "csv").stdout))
    answer = ask(*SPLICE)
    assert cells["table_pieces"] == str(answer["splice"]["pieces"]) == "37"
    assert cells["load_lbf"] == str(answer["allowed"]["load_lbf"])
    assert cells["mode"] == "shear"


def test_a_refusal_names_the_figure_and_what_would_pass(run):
    done = run("joint", "MS20470AD4", "-s", CLAD, "--edge-distance", "0.15")
    assert (done.exit_code, done.stdout) == (1, "")
    told = " ".join(done.stderr.split())
    assert "1.20 D" in told
    assert "0.1875 in would pass" in told


def test_a_missing_option_is_a_usage_error_in_a_pipe(run):
    assert run("joint", "MS20470AD4").exit_code == 2


def test_on_a_terminal_the_sheets_are_asked_for():
    seen = in_terminal("joint", "MS20470AD4", "--format", "csv", typed=f"{CLAD}\n")
    assert seen.code == 0
