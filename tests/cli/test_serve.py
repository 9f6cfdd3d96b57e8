"""`bucktail serve`, and every command asking a running service."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys

import pytest
from tests.cli.conftest import BAD, GOOD, HEADER, UNIVERSAL, end, free_port, wait_until_ready
from tests.cli.running import COMMAND, as_process, environment

pytestmark = pytest.mark.filterwarnings("ignore:unclosed file:ResourceWarning")


@pytest.fixture
def command(run, monkeypatch):
    """What `serve` would become, and what it said: `command("--port", "8001")`."""
    became = []
    monkeypatch.setattr(os, "execv", lambda path, command: became.append((path, command)))

    def serve(*args):
        result = run("serve", *args)
        assert result.exit_code == 0, result.stderr
        ((path, words),) = became
        assert path == words[0] == sys.executable
        return words, result.stderr

    return serve


def after(words, option):
    return words[words.index(option) + 1]


def test_serve_becomes_the_server_with_the_projects_own_settings(command):
    words, told = command()
    assert words[1:5] == ["-m", "gunicorn", "--config", "python:bucktail_service.server"]
    assert after(words, "--bind") == "127.0.0.1:8000"
    assert words[-1] == "bucktail_service.wsgi:app"
    assert told == ""


def test_serve_takes_port_workers_and_threads(command):
    words, _ = command("-p", "8123", "--workers", "3", "--threads", "5")
    assert after(words, "--bind") == "127.0.0.1:8123"
    assert (after(words, "--workers"), after(words, "--threads")) == ("3", "5")


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "::1"])
def test_the_loopback_is_no_matter_for_a_warning(command, host):
    words, told = command("--host", host)
    assert told == ""
    assert after(words, "--bind") == ("[::1]:8000" if host == "::1" else f"{host}:8000")


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.7"])
def test_any_other_address_is_warned_of(command, host):
    _, told = command("--host", host)
    assert f"listening on {host}" in told


def test_a_real_server_answers_and_ends_cleanly(tmp_path):
    log, port = tmp_path / "log", free_port()
    args = ["serve", "--port", str(port), "--workers", "1", "--threads", "1"]
    with (
        log.open("wb") as out,
        subprocess.Popen([*COMMAND, *args], stdout=out, stderr=out, env=environment()) as process,
    ):
        try:
            ready = wait_until_ready(f"http://127.0.0.1:{port}", process, log)
        finally:
            code = end(process)
    assert ready["status"] == "ready"
    assert code in (0, -signal.SIGTERM)
    assert "Traceback" not in log.read_text()


@pytest.mark.parametrize("form", ["text", "json", "csv"])
@pytest.mark.parametrize(
    "args",
    [("pick", *UNIVERSAL), ("part", "AN426DD5-6"), ("editions",), ("pick", *UNIVERSAL, "--hole", "#30")],
    ids=str,
)
def test_a_service_and_the_installed_tables_answer_alike(run, service, args, form):
    here, there = run(*args, "--format", form), run(*args, "--format", form, "--url", service)
    assert there.exit_code == 0, there.stderr
    assert there.stdout == here.stdout
    assert there.stderr == here.stderr


@pytest.mark.parametrize("form", ["text", "json"])
@pytest.mark.parametrize(
    "args",
    [
        ("pick", "-d", "1/8"),
        ("pick", "MS20470AD4", "-s", "1,5"),
        ("pick", "MS20470AD4", "-s", "9"),
        ("part", "MS20470AD4-4-5"),
        ("part", "MS20470AD4-4", "--edition", "1999.1"),
        ("part", "not/a number?#"),
    ],
    ids=str,
)
def test_a_service_and_the_installed_tables_refuse_alike(run, service, args, form):
    here, there = run(*args, "--format", form), run(*args, "--format", form, "--url", service)
    assert (there.exit_code, there.stdout, there.stderr) == (here.exit_code, here.stdout, here.stderr)


@pytest.mark.parametrize("form", ["csv", "ndjson", "json", "text"])
@pytest.mark.parametrize("rows", [[GOOD, GOOD], [GOOD, BAD, GOOD], [BAD], []], ids=len)
def test_a_service_and_the_installed_tables_run_a_batch_alike(run, service, lines_file, form, rows):
    name = lines_file(HEADER + ",note", *(f'{row},"a, ""b"""' for row in rows))
    here = run("batch", "pick", name, "--format", form)
    there = run("batch", "pick", name, "--format", form, "--url", service)
    assert (there.exit_code, there.stdout, there.stderr) == (here.exit_code, here.stdout, here.stderr)


def test_rows_are_counted_though_a_cell_holds_lines(run, service, lines_file):
    name = lines_file(f"note,{HEADER}", f'"one\ntwo",{GOOD}', f'"x\n, y\n",{BAD}', f"z,{GOOD}")
    here, there = run("batch", "pick", name), run("batch", "pick", name, "--url", service)
    assert here.exit_code == there.exit_code == 5
    assert there.stdout == here.stdout
    assert there.stderr == here.stderr


def test_rows_are_counted_though_a_cell_holds_what_looks_like_one(run, service, lines_file):
    name = lines_file(f"note,{HEADER}", f"x,{GOOD}", f'"x\n,2,\n",{BAD}')
    here, there = run("batch", "pick", name), run("batch", "pick", name, "--url", service)
    assert here.exit_code == there.exit_code == 5


def test_the_results_of_a_batch_asked_again_are_refused_alike(run, service, lines_file):
    results = run("batch", "pick", lines_file(HEADER, GOOD), "--format", "ndjson").stdout.rstrip("\n")
    name = lines_file(results, name="again.ndjson")
    here, there = run("batch", "pick", name), run("batch", "pick", name, "--url", service)
    assert here.exit_code == there.exit_code == 5


def test_a_whole_file_is_refused_by_a_service_as_here(run, service, lines_file):
    name = lines_file("diameter;alloy;head;stack")
    here, there = run("batch", "pick", name), run("batch", "pick", name, "--url", service)
    assert (there.exit_code, there.stdout, there.stderr) == (here.exit_code, here.stdout, here.stderr)


def test_the_environment_names_the_service(run, service, closed_port):
    assert run("pick", *UNIVERSAL, env={"BUCKTAIL_URL": service}).exit_code == 0
    assert run("pick", *UNIVERSAL, env={"BUCKTAIL_URL": closed_port}).exit_code == 3


def test_the_option_goes_before_the_environment(run, service, closed_port):
    assert run("editions", "--url", service, env={"BUCKTAIL_URL": closed_port}).exit_code == 0


def test_an_empty_environment_asks_the_installed_tables(run):
    assert run("editions", env={"BUCKTAIL_URL": ""}).exit_code == 0


def test_a_whole_process_asks_a_service(service):
    ended = as_process("pick", *UNIVERSAL, "--format", "json", BUCKTAIL_URL=service)
    assert (ended.code, ended.stderr) == (0, "")
    assert json.loads(ended.stdout)["part_number"] == "MS20470AD4-4"
