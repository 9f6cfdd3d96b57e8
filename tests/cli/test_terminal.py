"""The command in a real terminal and in real pipes."""

from __future__ import annotations

import json
import subprocess

import pytest
from tests.cli.conftest import BAD, GOOD, HEADER, UNIVERSAL
from tests.cli.running import COMMAND, PATIENCE_S, as_process, environment, in_terminal

from bucktail.cli.exits import Exit

ESCAPE = "\x1b["
BOLD, PLAIN = "\x1b[1m", "\x1b[0m"


def test_a_terminal_sees_colour_and_the_same_words():
    seen = in_terminal("pick", *UNIVERSAL)
    assert seen.code == 0
    assert f"{BOLD}  MS20470AD4-4{PLAIN}" in seen.screen
    bare = seen.screen
    for code in ("0", "1", "2", "33"):
        bare = bare.replace(f"{ESCAPE}{code}m", "")
    assert bare == as_process("pick", *UNIVERSAL).stdout


def test_a_pipe_sees_none():
    ended = as_process("pick", *UNIVERSAL)
    assert ended.code == 0
    assert ended.stdout.splitlines()[1] == "  MS20470AD4-4"
    assert ESCAPE not in ended.stdout
    assert ESCAPE not in as_process("pick", "-d", "1,5").stderr


@pytest.mark.parametrize("changes", [{"NO_COLOR": "1"}, {"TERM": "dumb"}], ids=str)
def test_a_terminal_that_wants_no_colour_gets_none(changes):
    assert ESCAPE not in in_terminal("pick", *UNIVERSAL, **changes).screen


@pytest.mark.parametrize("form", ["json", "csv"])
def test_json_and_csv_have_no_colour_on_a_terminal_either(form):
    seen = in_terminal("pick", *UNIVERSAL, "--format", form)
    assert seen.code == 0
    assert ESCAPE not in seen.screen


def test_results_sent_elsewhere_have_no_colour_though_the_problems_would():
    """`bucktail pick ... > answer.txt` from a terminal."""
    seen = in_terminal("pick", *UNIVERSAL, piped_out=True)
    assert seen.stdout == as_process("pick", *UNIVERSAL).stdout
    assert seen.screen == ""


def test_a_problem_is_coloured_on_a_terminal():
    seen = in_terminal("part", "MS20470AD4-4-5")
    assert seen.code == 1
    assert seen.screen.startswith(ESCAPE)


def test_what_is_missing_is_asked_for_on_a_terminal():
    seen = in_terminal("pick", "--alloy", "AD", typed="1/8\nuniversal\n0.040+0.040\n", piped_out=True)
    assert seen.code == 0
    for question in ("Diameter", "Head", "Stack, head side first"):
        assert question in seen.screen
    assert "Alloy" not in seen.screen
    assert "MS20470AD4-4" in seen.stdout


def test_the_questions_stay_out_of_the_answer():
    """They go to standard error: the answer can be sent elsewhere and still be asked for."""
    seen = in_terminal("pick", "--format", "csv", typed="1/8\nAD\nuniversal\n0.08\n", piped_out=True)
    assert seen.code == 0
    assert seen.stdout.startswith("part_number,")


def test_only_the_stack_is_asked_for_after_a_stem():
    seen = in_terminal("pick", "MS20470AD4", typed="0.080\n", piped_out=True)
    assert seen.code == 0
    assert seen.screen.count(":") == 1
    assert "MS20470AD4-4" in seen.stdout


def test_an_empty_reply_is_asked_again():
    seen = in_terminal("pick", "MS20470AD4", typed="\n\n0.080\n", piped_out=True)
    assert seen.code == 0
    assert seen.screen.count("Stack") == 3


def test_a_bad_reply_is_a_problem_that_names_the_field():
    seen = in_terminal("pick", "MS20470AD4", typed="1,5\n", piped_out=True)
    assert seen.code == 2
    assert "stack: '1,5' is not a layer" in seen.screen
    assert seen.stdout.strip() == ""


def test_who_leaves_at_a_question_gets_no_traceback():
    seen = in_terminal("pick", "MS20470AD4", typed="\x04", piped_out=True)
    assert seen.code != 0
    assert "Traceback" not in seen.screen
    assert seen.stdout.strip() == ""


def test_who_leaves_at_a_question_is_not_told_that_the_tables_do_not_answer():
    assert in_terminal("pick", "MS20470AD4", typed="\x04", piped_out=True).code != Exit.NO_ANSWER


def test_an_empty_no_color_forbids_nothing():
    """no-color.org: when present and not an empty string."""
    assert ESCAPE in in_terminal("pick", *UNIVERSAL, NO_COLOR="").screen


def test_nothing_is_asked_in_a_pipe():
    ended = as_process("pick", "--alloy", "AD", sent=b"1/8\nuniversal\n0.08\n")
    assert ended.code == 2
    assert ended.stdout == ""
    assert "diameter: is missing" in ended.stderr


def test_a_long_file_shows_its_progress_on_a_terminal_alone(tmp_path):
    path = tmp_path / "long.csv"
    path.write_text(f"note,{HEADER}\n" + f"{'x' * 1000},{GOOD}\n" * 1100)
    seen = in_terminal("batch", "pick", str(path), piped_out=True)
    assert seen.code == 0
    assert "100%" in seen.screen
    assert seen.stdout.count("MS20470AD4-4") == 1100
    assert as_process("batch", "pick", str(path)).stderr == ""


@pytest.mark.parametrize(
    ("args", "rows"), [((), 100_000), (("-f", "text"), 100_000), (("-f", "ndjson"), 2_000)], ids=str
)
def test_a_reader_that_leaves_early_gets_no_traceback(tmp_path, args, rows):
    """`bucktail batch pick long.csv | head -1`."""
    path = tmp_path / "long.csv"
    path.write_text(f"{HEADER}\n" + f"{GOOD}\n" * rows)
    with subprocess.Popen(
        [*COMMAND, "batch", "pick", str(path), *args],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(),
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline()
        process.stdout.close()
        _, stderr = process.communicate(timeout=PATIENCE_S)
    assert stderr == b""
    assert process.returncode in (0, 1)


def test_a_batch_reads_standard_input_and_writes_standard_output():
    ended = as_process("batch", "pick", "-", sent=f"{HEADER}\n{GOOD}\n{BAD}\n".encode())
    assert ended.code == 5
    assert ended.stdout.splitlines()[1].startswith(f"{GOOD},1,MS20470AD4-4,")
    assert "1 of 2 rows" in ended.stderr


def test_text_is_utf_8_whatever_the_locale():
    ended = as_process("pick", "-d", "1/8", "-a", "ä", "--head", "universal", "-s", "0.08", LC_ALL="C")
    assert ended.code == 2
    assert "Traceback" not in ended.stderr


def test_a_row_keeps_its_letters_whatever_the_locale(tmp_path):
    path = tmp_path / "lines.csv"
    path.write_text(f"note,{HEADER}\nSchraubstöcke,{GOOD}\n", encoding="utf-8")
    for form in ("csv", "ndjson", "text"):
        ended = as_process("batch", "pick", str(path), "-f", form, LC_ALL="C", PYTHONUTF8="0", PYTHONCOERCECLOCALE="0")
        assert ended.code == 0, ended.stderr
        if form == "csv":
            assert "Schraubstöcke" in ended.stdout
        if form == "ndjson":
            assert json.loads(ended.stdout)["carried"] == {"note": "Schraubstöcke"}
