"""The command run in this process, and a service of its own for those that ask one."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from tests.cli.running import PATIENCE_S, environment
from typer.testing import CliRunner, Result

from bucktail.cli.main import app

Run = Callable[..., Result]

UNIVERSAL = ("MS20470AD4", "-s", "0.040+0.040")
HEADER = "diameter,alloy,head,stack"
GOOD = "1/8,AD,universal,0.040+0.040"
BAD = "1/8,AD,universal,nope"


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("BUCKTAIL_URL", "NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("COLUMNS", "80")


@pytest.fixture
def run() -> Run:
    """Run the command with its streams piped: `run("pick", ...)` has exit_code, stdout, stderr."""

    def run_it(*args: str, sent: bytes | str | None = None, env: dict[str, str] | None = None) -> Result:
        result = CliRunner().invoke(app, list(args), input=sent, env=env, prog_name="bucktail")
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result

    return run_it


@pytest.fixture
def ask(run: Run) -> Callable[..., dict]:
    """Run a command and return its answer in JSON."""

    def ask_it(*args: str) -> dict:
        result = run(*args, "--format", "json")
        assert result.exit_code == 0, result.stderr
        return json.loads(result.stdout)

    return ask_it


@pytest.fixture
def lines_file(tmp_path: Path) -> Callable[..., str]:
    """Write a file of rows and return its name."""

    def write(*lines: str, name: str = "lines.csv") -> str:
        path = tmp_path / name
        path.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
        return str(path)

    return write


def free_port() -> int:
    """Return a port of the loopback that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_until_ready(url: str, process: subprocess.Popen[bytes], log: Path) -> dict:
    """Return what /readyz says once the service answers."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until and process.poll() is None:
        try:
            with urllib.request.urlopen(f"{url}/readyz", timeout=5) as response:
                return json.load(response)
        except (urllib.error.URLError, ConnectionError):
            time.sleep(0.05)
    raise AssertionError(f"the service did not start: {log.read_text()}")


def end(process: subprocess.Popen[bytes]) -> int:
    """End a service as a supervisor would, and return its exit code."""
    process.terminate()
    try:
        return process.wait(PATIENCE_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
        raise


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a running service."""
    log = tmp_path_factory.mktemp("service") / "log"
    port = free_port()
    command = [sys.executable, "-m", "gunicorn", "--config", "python:bucktail_service.server"]
    command += ["--bind", f"127.0.0.1:{port}", "--workers", "1", "--threads", "2", "bucktail_service.wsgi:app"]
    with log.open("wb") as out, subprocess.Popen(command, stdout=out, stderr=out, env=environment()) as process:
        try:
            url = f"http://127.0.0.1:{port}"
            wait_until_ready(url, process, log)
            yield url
        finally:
            end(process)


@pytest.fixture
def closed_port() -> str:
    return f"http://127.0.0.1:{free_port()}"


needs_permissions = pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read and write anything")
