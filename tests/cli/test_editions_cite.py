"""`bucktail editions cite` and `bucktail editions diff`."""

from __future__ import annotations

import csv
import io
import json

import pytest
from tests.cli.conftest import UNIVERSAL
from tests.cli.running import as_process
from tests.cli.test_imports import loaded_by

from bucktail_tables.load import packaged_names

PART = "/v1/parts/MS20470AD4-4?edition=2026.1"
QUESTIONS = "job,diameter,alloy,head,stack\n7,1/8,AD,universal,0.040+0.040\n8,1/8,AD,universal,nan\n"
LAST = packaged_names()[-1]


def edition(*args, **options):
    return as_process("editions", *args, **options)


def test_the_last_line_of_an_answer_is_cited():
    link = as_process("pick", *UNIVERSAL).stdout.splitlines()[-1]
    done = edition("cite", link)
    assert done.code == 0, done.stderr
    assert link in done.stdout.splitlines()
    assert "SOURCES" in done.stdout
    assert "\x1b" not in done.stdout


def test_a_citation_is_given_in_json_and_csv():
    told = json.loads(edition("cite", PART, "--format", "json").stdout)
    rows = list(csv.DictReader(io.StringIO(edition("cite", PART, "-f", "csv").stdout)))
    assert {row["figure"] for row in rows} == {figure["figure"] for figure in told["figures"]}


@pytest.mark.parametrize(("link", "code"), [("nonsense", 2), ("/v1/parts/nonsense", 1), (f"{PART}x", 1)])
def test_a_link_that_cannot_be_cited_ends_with_its_code(link, code):
    done = edition("cite", link)
    assert (done.code, done.stdout) == (code, "")
    assert done.stderr


def test_the_difference_of_two_editions_is_no_failure():
    done = edition("diff", "2026.1", LAST)
    assert done.code == 0, done.stderr
    assert done.stdout.startswith(f"CHANGES from edition 2026.1 to {LAST}")
    assert edition("diff", "2026.1", "2026.1").stdout.splitlines()[1] == "no row differs"


@pytest.mark.parametrize("form", ["text", "json", "csv"])
def test_past_questions_move_from_a_file_and_from_standard_input(tmp_path, form):
    path = tmp_path / "questions.csv"
    path.write_text(QUESTIONS)
    done = edition("diff", "2026.1", LAST, str(path), "--format", form)
    assert done.code == 0, done.stderr
    assert edition("diff", "2026.1", LAST, "-", "--format", form, sent=QUESTIONS.encode()).stdout == done.stdout
    if form == "json":
        assert [move["carried"] for move in json.loads(done.stdout)["moves"]] == [{"job": "7"}, {"job": "8"}]
    elif form == "csv":
        assert {row["row"] for row in csv.DictReader(io.StringIO(done.stdout))} == {"1", "2"}
    else:
        assert "2 questions" in done.stdout


def test_past_questions_in_ndjson_are_told_by_the_name(tmp_path):
    path = tmp_path / "questions.ndjson"
    path.write_text(json.dumps({"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": 0.08}) + "\n")
    done = edition("diff", "2026.1", "2026.1", str(path))
    assert (done.code, done.stderr) == (0, "")
    assert "1 question asked as pick: 1 the same" in done.stdout


@pytest.mark.parametrize(
    ("args", "code"),
    [
        (("1999.1", "2026.1"), 1),
        (("2026.1",), 2),
        (("2026.1", "a/b"), 2),
        (("2026.1", "2026.1", "no-such-file.csv"), 2),
    ],
)
def test_what_cannot_be_told_apart_ends_with_its_code(args, code):
    assert edition("diff", *args).code == code


@pytest.mark.parametrize("args", [("cite", PART), ("diff", "2026.1", "2026.1")], ids=str)
def test_neither_needs_a_web_framework(args):
    unwanted = {"requests", "urllib3", "flask", "werkzeug", "marshmallow", "rich", "apispec", "pydantic", "gunicorn"}
    assert not loaded_by("editions", *args) & unwanted
