"""What the container runs is what the tests run: no engine is needed to see that the files say so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from bucktail_service import server

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def dockerfile() -> str:
    return (ROOT / "service" / "Dockerfile").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def desk():
    return yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))["services"]["desk"]


def test_the_container_runs_the_server_the_command_runs(dockerfile):
    command = (ROOT / "client" / "bucktail" / "cli" / "serve.py").read_text(encoding="utf-8")
    for part in ("python:bucktail_service.server", "bucktail_service.wsgi:app"):
        assert part in dockerfile
        assert part in command


def test_the_container_installs_from_the_lock_file_and_checks_the_tables(dockerfile):
    assert "--require-hashes -r service/requirements.lock" in dockerfile
    assert "python -m bucktail_tables.check" in dockerfile


def test_the_container_runs_as_nobody_on_a_file_system_it_cannot_write(dockerfile, desk):
    assert re.search(r"^USER 10001$", dockerfile, re.MULTILINE)
    assert desk["read_only"] is True
    assert desk["cap_drop"] == ["ALL"]
    assert any(entry.startswith("/tmp") for entry in desk["tmpfs"]), "batches are spooled there"


def test_the_container_is_watched_and_listens_on_this_machine_alone(dockerfile, desk):
    assert "/readyz" in dockerfile
    assert "/readyz" in " ".join(desk["healthcheck"]["test"])
    assert all(port.startswith("127.0.0.1:") for port in desk["ports"])


def test_what_is_copied_into_the_image_is_let_through(dockerfile):
    let_through = (ROOT / ".dockerignore").read_text(encoding="utf-8")
    for name in ("pyproject.toml", "README.md", "LICENSE", "client", "service", "tables"):
        assert f"!{name}\n" in let_through
        assert name in dockerfile


def test_the_server_stops_before_it_is_killed(desk):
    assert int(desk["stop_grace_period"].removesuffix("s")) > server.graceful_timeout
