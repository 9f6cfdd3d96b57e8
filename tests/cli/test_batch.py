"""`bucktail batch`: files in, files out, in this process."""

from __future__ import annotations

import csv
import io
import json
import stat
from pathlib import Path

import pytest
from tests.cli.conftest import BAD, GOOD, HEADER, needs_permissions
from tests.cli.running import as_process

from bucktail.cli.exits import Exit

# the reader of lines closes the file it was lent when it is collected; test_agreement.py holds that
pytestmark = pytest.mark.filterwarnings("ignore:unclosed file:ResourceWarning")

OBJECT = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040+0.040"}


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_csv_keeps_its_columns_and_gains_the_answer(run, lines_file):
    result = run("batch", "pick", lines_file("station," + HEADER, f'"4, left",{GOOD}', f"5,{GOOD}"))
    assert result.exit_code == 0
    assert result.stderr == ""
    rows = rows_of(result.stdout)
    assert [row["station"] for row in rows] == ["4, left", "5"]
    assert [row["row"] for row in rows] == ["1", "2"]
    assert [row["part_number"] for row in rows] == ["MS20470AD4-4", "MS20470AD4-4"]
    assert list(rows[0])[-1] == "problem"


def test_a_row_of_the_batch_is_the_answer_to_its_question(run, ask, lines_file):
    answer = ask("pick", "-d", "1/8", "-a", "AD", "--head", "universal", "-s", "0.040+0.040")
    (row,) = rows_of(run("batch", "pick", lines_file(HEADER, GOOD)).stdout)
    assert row["length_in"] == json.dumps(answer["length"]["length_in"])
    assert row["link"] == answer["link"]
    (result,) = json.loads(run("batch", "pick", lines_file(HEADER, GOOD), "-f", "json").stdout)
    assert result["answer"] == answer


def test_refused_rows_end_with_five(run, lines_file):
    assert run("batch", "pick", lines_file(HEADER, GOOD, BAD)).exit_code == Exit.ROWS_REFUSED == 5


def test_a_bad_row_is_a_problem_in_its_place_and_the_others_go_on(run, lines_file):
    result = run("batch", "pick", lines_file(HEADER, GOOD, BAD, GOOD))
    assert result.exit_code == 5
    assert "1 of 3 rows" in result.stderr
    assert [bool(row["part_number"]) for row in rows_of(result.stdout)] == [True, False, True]
    assert rows_of(result.stdout)[1]["problem"].startswith("bad-length: stack: 'nope'")


@pytest.mark.parametrize("form", ["csv", "ndjson", "json"])
@pytest.mark.parametrize("reads", ["csv", "ndjson", "json"])
def test_every_format_becomes_every_other(run, lines_file, reads, form):
    content = {
        "csv": [HEADER, GOOD, BAD],
        "ndjson": [json.dumps(OBJECT), json.dumps({**OBJECT, "stack": "nope"})],
        "json": [json.dumps([OBJECT, {**OBJECT, "stack": "nope"}])],
    }
    result = run("batch", "pick", lines_file(*content[reads], name=f"lines.{reads}"), "--format", form)
    assert result.exit_code == 5
    if form == "csv":
        assert [row["part_number"] for row in rows_of(result.stdout)] == ["MS20470AD4-4", ""]
        return
    found = json.loads(result.stdout) if form == "json" else [json.loads(line) for line in result.stdout.splitlines()]
    assert [entry["row"] for entry in found] == [1, 2]
    assert found[0]["answer"]["part_number"] == "MS20470AD4-4"
    assert found[1]["problem"]["type"] == "urn:bucktail:problem:bad-length"


@pytest.mark.parametrize("name", ["lines.ndjson", "lines.jsonl", "LINES.NDJSON"])
def test_the_name_tells_the_format_and_the_results_are_alike(run, lines_file, name):
    result = run("batch", "pick", lines_file(json.dumps(OBJECT), name=name))
    assert result.exit_code == 0
    assert json.loads(result.stdout)["answer"]["part_number"] == "MS20470AD4-4"


@pytest.mark.parametrize(
    ("reads", "sent"),
    [("csv", f"{HEADER}\n{GOOD}\n"), ("ndjson", json.dumps(OBJECT)), ("json", json.dumps([OBJECT]))],
)
def test_standard_input_is_read_as_it_is_told(run, reads, sent):
    result = run("batch", "pick", "-", "--reads", reads, "-f", "csv", sent=sent)
    assert result.exit_code == 0
    assert rows_of(result.stdout)[0]["part_number"] == "MS20470AD4-4"


def test_standard_input_is_csv_unless_told(run):
    assert run("batch", "pick", "-", sent=f"{HEADER}\n{GOOD}\n").exit_code == 0


def test_reads_goes_before_the_name(run, lines_file):
    name = lines_file(json.dumps(OBJECT), name="lines.csv")
    assert run("batch", "pick", name, "--reads", "ndjson").exit_code == 0


def test_text_is_an_aligned_table(run, lines_file):
    result = run("batch", "pick", lines_file(HEADER, GOOD, GOOD), "--format", "text")
    assert result.exit_code == 0
    heading, *lines = result.stdout.splitlines()
    assert len(lines) == 2
    assert all(line.index("MS20470AD4-4") == heading.index("part number") for line in lines)
    assert all(line.index("#30") == heading.index("drill") for line in lines)
    assert all(len(line) <= 80 for line in (heading, *lines))


def test_the_table_shows_the_answer_when_the_file_has_a_column_of_that_name(run, lines_file):
    name = lines_file(f"part_number,row,{HEADER}", f"AN470AD4-9,77,{GOOD}")
    line = run("batch", "pick", name, "--format", "text").stdout.splitlines()[1]
    assert line.split()[:2] == ["1", "MS20470AD4-4"]


def test_out_writes_the_same_bytes(run, lines_file, tmp_path):
    name, out = lines_file(HEADER, GOOD, BAD), tmp_path / "out.csv"
    result = run("batch", "pick", name, "--out", str(out))
    assert result.exit_code == 5
    assert result.stdout == ""
    assert out.read_bytes().decode() == run("batch", "pick", name).stdout


def test_out_may_be_the_file_that_is_read(run, lines_file, tmp_path):
    name = lines_file(HEADER, GOOD)
    assert run("batch", "pick", name, "--out", name).exit_code == 0
    assert rows_of((tmp_path / "lines.csv").read_text())[0]["part_number"] == "MS20470AD4-4"


def test_a_file_that_is_refused_leaves_the_old_results_alone(run, lines_file, tmp_path):
    out = tmp_path / "out.csv"
    out.write_text("old")
    assert run("batch", "pick", lines_file("diameter;alloy;head;stack"), "--out", str(out)).exit_code == 2
    assert out.read_text() == "old"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["lines.csv", "out.csv"]


def test_results_that_break_off_leave_nothing_behind(run, lines_file, tmp_path, monkeypatch):
    def breaking(*args: object, **options: object):
        yield b"half a file"
        raise MemoryError

    monkeypatch.setattr("bucktail.embedded.Embedded.batch_file", breaking)
    out = tmp_path / "out.csv"
    with pytest.raises(MemoryError):
        run("batch", "pick", lines_file(HEADER, GOOD), "--out", str(out))
    assert [path.name for path in tmp_path.iterdir()] == ["lines.csv"]


def test_out_in_no_folder_is_a_usage_problem(run, lines_file, tmp_path):
    result = run("batch", "pick", lines_file(HEADER, GOOD), "--out", str(tmp_path / "none" / "out.csv"))
    assert result.exit_code == 2
    assert "--out" in result.stderr


def test_out_on_a_folder_is_a_usage_problem(run, lines_file, tmp_path):
    assert run("batch", "pick", lines_file(HEADER, GOOD), "--out", str(tmp_path)).exit_code == 2


def test_out_may_be_read_by_those_who_may_read_a_new_file(run, lines_file, tmp_path):
    out, usual = tmp_path / "out.csv", tmp_path / "usual"
    usual.touch()
    run("batch", "pick", lines_file(HEADER, GOOD), "--out", str(out))
    assert stat.S_IMODE(out.stat().st_mode) == stat.S_IMODE(usual.stat().st_mode)


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ([], "is empty"),
        (["diameter;alloy;head;stack", "1/8;AD;universal;0.08"], "commas"),
        (["diameter,alloy,head", "1/8,AD,universal"], "stack: is missing"),
        (["diameter,alloy,head,stack,stack", GOOD + ",0.08"], "stands twice"),
        (["Diameter,alloy,head,stack", GOOD], "was diameter meant"),
        ([GOOD], "is missing"),
    ],
)
def test_a_file_that_is_none_is_refused_before_any_result(run, lines_file, lines, told):
    result = run("batch", "pick", lines_file(*lines))
    assert result.exit_code == 2
    assert result.stdout == ""
    assert told in " ".join(result.stderr.split())


def test_a_refused_file_is_a_problem_in_json_when_json_is_asked_for(run, lines_file):
    result = run("batch", "pick", lines_file("not json", name="lines.json"))
    assert result.exit_code == 2
    assert result.stdout == ""
    assert json.loads(result.stderr)["errors"][0]["field"] == "file"


def test_a_folder_cannot_be_read(run, tmp_path):
    result = run("batch", "pick", str(tmp_path))
    assert result.exit_code == 2
    assert "directory" in result.stderr


@needs_permissions
def test_a_file_that_may_not_be_read_is_a_usage_problem(run, lines_file):
    name = lines_file(HEADER, GOOD)
    Path(name).chmod(0)
    assert run("batch", "pick", name).exit_code == 2


def test_a_file_with_a_header_alone_has_no_rows(run, lines_file):
    result = run("batch", "pick", lines_file(HEADER))
    assert result.exit_code == 0
    assert rows_of(result.stdout) == []


def test_bytes_that_are_not_utf_8_pass_through_untouched(tmp_path):
    path = tmp_path / "lines.csv"
    path.write_bytes(f"note,{HEADER}\n".encode() + b"caf\xe9," + GOOD.encode() + b"\n")
    out = tmp_path / "out.csv"
    assert as_process("batch", "pick", str(path), "--out", str(out)).code == 0
    assert out.read_bytes().splitlines()[1].startswith(b"caf\xe9,1/8,")
