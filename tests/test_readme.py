"""
README.md is run: its commands print what it shows.

`python -m tests.test_readme` writes the outputs anew, for a person to read over before committing.
"""

from __future__ import annotations

import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

import bucktail_service.app  # noqa: F401  puts the routes down
from bucktail_service.http import operation, problems

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
BLOCK = re.compile(r"(<!-- (run|run with a service) -->\n```console\n)(.*?)(```\n)", re.DOTALL)
ADDRESS = "127.0.0.1:8000"


def steps(block: str) -> list[tuple[str, str]]:
    """Return the commands of a block with what it shows them print."""
    parts = re.split(r"^\$ (.*)\n", block, flags=re.MULTILINE)[1:]
    return list(zip(parts[::2], parts[1::2], strict=True))


def printed(command: str, address: str = ADDRESS) -> str:
    """Return what a command of README.md prints, both streams together, as a reader would see it."""
    environment = {**os.environ, "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"}
    environment.pop("BUCKTAIL_URL", None)
    done = subprocess.run(
        ["sh", "-c", command.replace(ADDRESS, address)],
        cwd=ROOT,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
        timeout=60,
    )
    return done.stdout if done.stdout.endswith("\n") else done.stdout + "\n"


@contextmanager
def service() -> Iterator[str]:
    """Yield the address of a running `bucktail serve`."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [str(Path(sys.executable).parent / "bucktail"), "serve", "--port", str(port), "--workers", "1"]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        for _ in range(100):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/readyz", timeout=2).close()
                break
            except OSError:
                time.sleep(0.1)
        yield f"127.0.0.1:{port}"
    finally:
        process.terminate()
        process.wait(timeout=30)


def blocks(kind: str) -> list[str]:
    return [found[3] for found in BLOCK.finditer(README.read_text(encoding="utf-8")) if found[2] == kind]


def test_the_commands_print_what_readme_shows():
    found = [step for block in blocks("run") for step in steps(block)]
    assert len(found) >= 4
    for command, shown in found:
        assert printed(command) == shown, command


@pytest.mark.skipif(shutil.which("curl") is None, reason="curl is not installed")
def test_the_http_examples_print_what_readme_shows():
    found = [step for block in blocks("run with a service") for step in steps(block)]
    assert len(found) >= 3
    with service() as address:
        for command, shown in found:
            assert printed(command, address) == shown, command


def test_the_main_command_ends_in_a_command_that_answers():
    main = re.search(r"<!-- the main command -->\n```sh\n(.*)\n```", README.read_text(encoding="utf-8"))
    assert main is not None
    assert "MS20470AD4-4" in printed(main[1].split("&& ")[-1].removeprefix(".venv/bin/"))


def test_what_ci_runs_is_the_test_command():
    assert "<!-- the test command -->" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert README.read_text(encoding="utf-8").count("<!-- the test command -->") == 1


def test_every_route_setting_and_problem_is_documented():
    documents = README.read_text(encoding="utf-8") + (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for route in operation.OPERATIONS:
        shown = "/v1/batch/{question}" if route.path.startswith("/v1/batch/") else route.path
        assert shown in documents, route.path
    for code in ("bad-question", "bad-length", "outside-table", "not-tabulated", "unknown-edition", "internal"):
        assert f"`{code}`" in documents
    assert problems.CODES[415] in documents


def rewritten(text: str) -> str:
    """Return README.md with every output made anew."""
    with service() as address:

        def run(found: re.Match[str]) -> str:
            told = "".join(f"$ {command}\n{printed(command, address)}" for command, _ in steps(found[3]))
            return found[1] + told + found[4]

        return BLOCK.sub(run, text)


if __name__ == "__main__":
    README.write_text(rewritten(README.read_text(encoding="utf-8")), encoding="utf-8")
