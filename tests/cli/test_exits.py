"""Exit codes and problems: what a script can rely on."""

from __future__ import annotations

import json

import pytest
import responses
from tests.cli.conftest import GOOD, HEADER, UNIVERSAL

from bucktail.cli.exits import Exit, exit_of
from bucktail.errors import (
    BadLength,
    BadQuestion,
    NoAnswer,
    NotTabulated,
    OutsideTable,
    RequestRefused,
    ServiceFault,
    UnknownEdition,
    Unreachable,
)

URL = "http://desk.example:8000"
FIELDS = ("-d", "1/8", "-a", "AD", "--head", "universal", "-s", "0.040+0.040")


def changed(option: str, text: str) -> tuple[str, ...]:
    """The good question with one option put differently."""
    fields = list(FIELDS)
    if option not in fields:
        return ("pick", *fields, option, text)
    fields[fields.index(option) + 1] = text
    return ("pick", *fields)


# arguments, problem code, field
PROBLEMS = [
    (changed("-s", "1,5"), "bad-length", "stack"),
    (changed("-s", "nan"), "bad-length", "stack"),
    (changed("-d", "5/0"), "bad-length", "diameter"),
    (changed("-d", "9" * 5000), "bad-length", "diameter"),
    (changed("--stack-tolerance", "--"), "bad-length", "stack_tolerance"),
    (changed("-a", "unobtainium"), "bad-question", "alloy"),
    (changed("--head", "mushroom"), "bad-question", "head"),
    (changed("--hole", "#99"), "not-tabulated", "hole"),
    (changed("--practice", "naval"), "bad-question", "practice"),
    (changed("-s", "9"), "outside-table", "stack"),
    (changed("--hole", "30"), "outside-table", "hole"),
    (changed("-d", "7/8"), "not-tabulated", "diameter"),
    (changed("-a", "C"), "not-tabulated", "alloy"),
    (changed("--family", "bolt"), "not-tabulated", "head"),
    (changed("--edition", "1999.1"), "unknown-edition", "edition"),
    (("pick", "-d", "1/8"), "bad-question", "alloy"),
    (("part", "MS20470AD4-4-5"), "not-tabulated", "number"),
    (("part", "MS20470AD4-4", "--edition", "1999.1"), "unknown-edition", "edition"),
    (("pick", "MS20470AD9", "-s", "0.080"), "not-tabulated", "number"),
]
# 1 the tables do not answer this; 2 the question cannot be understood
CODES = {"bad-length": 2, "bad-question": 2, "outside-table": 1, "not-tabulated": 1, "unknown-edition": 1}


def named(entry: object) -> str:
    return " ".join(entry)[:60] if isinstance(entry, tuple) else str(entry)


@pytest.mark.parametrize(("args", "code", "field"), PROBLEMS, ids=named)
def test_a_problem_is_json_on_standard_error_when_json_is_asked_for(run, args, code, field):
    result = run(*args, "--format", "json")
    assert result.stdout == ""
    problem = json.loads(result.stderr)
    assert problem["type"] == f"urn:bucktail:problem:{code}"
    assert field in {error["field"] for error in problem["errors"]}
    assert result.exit_code == CODES[code]


@pytest.mark.parametrize("form", ["text", "csv"])
@pytest.mark.parametrize(("args", "code", "field"), PROBLEMS, ids=named)
def test_a_problem_is_text_that_names_the_field_and_shows_a_good_one(run, args, code, field, form):
    result = run(*args, "--format", form)
    assert result.stdout == ""
    assert f"  {field}: " in result.stderr
    assert "    good: " in result.stderr
    assert result.exit_code == CODES[code]
    assert all(len(line) <= 80 for line in result.stderr.splitlines())


def test_every_missing_field_is_told_at_once(run):
    """In a pipe nobody can be asked."""
    result = run("pick")
    assert result.exit_code == 2
    for field in ("diameter", "alloy", "head", "stack"):
        assert f"  {field}: is missing" in result.stderr


@pytest.mark.parametrize(
    "args",
    [
        ("pick", "--colour", "red"),
        ("pick", "--format", "xml"),
        ("pick", "MS20470AD4", "MS20470AD5"),
        ("part",),
        ("weld",),
        ("batch", "weld", "x.csv"),
        ("serve", "--port", "65536"),
        ("serve", "--workers", "0"),
        ("batch", "pick"),
    ],
    ids=named,
)
def test_a_wrong_command_line_ends_with_two(run, args):
    result = run(*args)
    assert result.exit_code == Exit.USAGE == 2
    assert result.stdout == ""
    assert "Usage: bucktail" in result.stderr


def test_success_ends_with_nought(run):
    for args in (("pick", *UNIVERSAL), ("part", "MS20470AD4-4"), ("editions",), ("--help",)):
        assert run(*args).exit_code == Exit.OK == 0


@pytest.mark.parametrize(("args", "form"), [(("pick", *UNIVERSAL), "json"), (("editions",), "text")], ids=named)
def test_a_closed_port_ends_with_three(run, closed_port, args, form):
    result = run(*args, "--format", form, "--url", closed_port)
    assert result.exit_code == Exit.UNREACHABLE == 3
    assert result.stdout == ""
    assert closed_port in (json.loads(result.stderr)["detail"] if form == "json" else result.stderr)


def test_a_batch_for_a_closed_port_ends_with_three(run, closed_port, lines_file):
    result = run("batch", "pick", lines_file(HEADER, GOOD), "--url", closed_port)
    assert result.exit_code == 3
    assert result.stdout == ""


@pytest.mark.parametrize("url", ["nonsense", "ftp://desk.example", "http://", "http://desk.example:port"])
def test_what_is_no_address_ends_with_three(run, url):
    result = run("editions", "--url", url)
    assert result.exit_code == 3
    assert "is not an address" in result.stderr


@pytest.mark.parametrize(
    ("reply", "code"),
    [
        ({"body": "<p>hello</p>", "content_type": "text/html"}, 4),
        ({"status": 500, "body": "oh no", "content_type": "text/plain"}, 4),
        ({"body": '{"cut', "content_type": "application/json"}, 4),
        ({"status": 413, "body": "too large", "content_type": "text/html"}, 2),
    ],
    ids=lambda value: str(value)[:40],
)
def test_what_is_no_answer_of_the_service_ends_with_four_and_a_refusal_with_two(run, reply, code):
    with responses.RequestsMock() as desk:
        desk.get(f"{URL}/v1/editions", **reply)
        result = run("editions", "--url", URL)
    assert result.exit_code == code
    assert result.stdout == ""
    assert URL in result.stderr


@pytest.mark.parametrize(
    ("kind", "code"),
    [
        (NoAnswer, Exit.NO_ANSWER),
        (OutsideTable, Exit.NO_ANSWER),
        (NotTabulated, Exit.NO_ANSWER),
        (UnknownEdition, Exit.NO_ANSWER),
        (BadQuestion, Exit.USAGE),
        (BadLength, Exit.USAGE),
        (RequestRefused, Exit.USAGE),
        (Unreachable, Exit.UNREACHABLE),
        (ServiceFault, Exit.SERVICE_FAULT),
    ],
)
def test_every_error_of_the_client_has_its_exit_code(kind, code):
    assert exit_of(kind("why")) is code


def test_the_help_tells_every_exit_code(run):
    told = " ".join(run("--help").stdout.split()).partition("Exit codes: ")[2]
    for code in Exit:
        assert f"{code.value} " in told


@pytest.mark.parametrize("command", [("pick",), ("part",), ("editions",), ("batch", "pick")], ids=named)
def test_the_help_of_every_command_tells_the_exit_codes(run, command):
    assert "Exit codes" in run(*command, "--help").stdout


@pytest.mark.parametrize(
    "command", [(), ("pick",), ("part",), ("editions",), ("batch",), ("batch", "pick"), ("serve",)], ids=named
)
def test_no_help_is_wider_than_the_page(run, command):
    result = run(*command, "--help")
    assert result.exit_code == 0
    assert all(len(line) <= 80 for line in result.stdout.splitlines())
