"""What a command loads: a terminal answer must not wait for a web framework. Modules are looked at, never clocks."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
from tests.cli.conftest import GOOD, HEADER, UNIVERSAL
from tests.cli.running import PATIENCE_S, environment

RUN = "import sys; sys.argv[1:] = {args!r}\nfrom bucktail.cli.main import run\ntry: run()\nexcept SystemExit: pass\n"


def loaded(program: str) -> set[str]:
    """Return the packages a fresh interpreter has loaded after running *program*, in every form they are named."""
    return {name.split(".")[0] for name in modules(program)}


def modules(program: str) -> set[str]:
    """Return the modules a fresh interpreter has loaded after running *program*."""
    tell = "\nimport json, sys; print(json.dumps(sorted(sys.modules)), file=sys.stderr)"
    done = subprocess.run(
        [sys.executable, "-c", program + tell], capture_output=True, env=environment(), timeout=PATIENCE_S, check=True
    )
    return set(json.loads(done.stderr.splitlines()[-1]))


def loaded_by(*args: str) -> set[str]:
    return loaded(RUN.format(args=list(args)))


def test_the_command_alone_loads_neither_service_nor_web():
    unwanted = {"requests", "flask", "werkzeug", "marshmallow", "apispec", "rich", "pydantic", "bucktail_service"}
    assert not loaded("import bucktail.cli.main") & unwanted


def test_the_guard_sees_what_is_loaded():
    assert {"requests", "urllib3"} <= loaded("import bucktail.api")


@pytest.mark.parametrize("args", [("pick", *UNIVERSAL), ("part", "MS20470AD4-4"), ("editions",)], ids=str)
def test_the_installed_tables_answer_without_a_web_framework(args):
    unwanted = {"requests", "urllib3", "flask", "werkzeug", "rich", "apispec", "pydantic", "gunicorn"}
    assert not loaded_by(*args) & unwanted


def test_a_solid_rivet_pays_for_no_other_family():
    for args in (("pick", *UNIVERSAL), ("part", "MS20470AD4-4")):
        asked = modules(RUN.format(args=list(args)))
        assert "bucktail_service.engine.part" in asked or "bucktail_service.engine.pick" in asked
        assert not [name for name in asked if ".engine.grip" in name or name.endswith(".by_grip")]


def test_a_batch_over_the_installed_tables_needs_no_web_framework(tmp_path):
    path = tmp_path / "lines.csv"
    path.write_text(f"{HEADER}\n{GOOD}\n")
    unwanted = {"requests", "urllib3", "flask", "werkzeug", "rich", "apispec", "pydantic", "gunicorn"}
    assert not loaded_by("batch", "pick", str(path)) & unwanted


@pytest.mark.parametrize("args", [("--help",), ("pick", "--help"), ("batch", "pick", "--help")], ids=str)
def test_help_reads_no_tables(args):
    assert not loaded_by(*args) & {"marshmallow", "bucktail_service", "bucktail_tables", "requests", "flask", "rich"}


def test_asking_a_service_needs_no_web_framework():
    assert not loaded_by("editions", "--url", "http://127.0.0.1:1") & {"flask", "werkzeug", "apispec", "gunicorn"}


@pytest.mark.parametrize("module", ["bucktail", "bucktail.embedded", "bucktail.errors"])
def test_importing_the_client_loads_none_of_the_service(module):
    assert not loaded(f"import {module}") & {"bucktail_service", "bucktail_tables", "marshmallow", "requests", "flask"}
