"""The checks a machine can make of the code itself: style, types, layers, and words that have no place here."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


def tool(name: str) -> str:
    found = shutil.which(name, path=str(Path(sys.executable).parent))
    assert found is not None, f"{name} is not installed: use tests/requirements.lock"
    return found


@pytest.mark.parametrize(
    "command",
    [("ruff", "check", "."), ("ruff", "format", "--check", "."), ("mypy",), ("lint-imports", "--no-cache")],
    ids=" ".join,
)
def test_the_code_passes(command):
    done = subprocess.run(
        [tool(command[0]), *command[1:]], cwd=ROOT, capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stdout + done.stderr


def tracked_texts() -> list[Path]:
    listed = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not a git checkout")
    return [ROOT / name for name in listed.stdout.splitlines() if (ROOT / name).is_file()]


def test_no_file_names_a_path_of_some_machine():
    unwanted = re.compile("/(?:home|root|work|Users)/[a-z]")
    for path in tracked_texts():
        found = unwanted.search(path.read_text(encoding="utf-8", errors="replace"))
        assert found is None, f"{path.relative_to(ROOT)}: {found and found.group()}"


def test_lock_files_pin_every_package_with_hashes():
    for name in ("service/requirements.lock", "tests/requirements.lock"):
        text = (ROOT / name).read_text(encoding="utf-8")
        packages = re.findall(r"^([a-z0-9._-]+)==[^\n]*\\\n    --hash=sha256:", text, re.MULTILINE)
        pinned = re.findall(r"^[a-z0-9._-]+==", text, re.MULTILINE)
        assert packages, name
        assert len(packages) == len(pinned), name
        assert "://" not in text, f"{name} names the address of an index"


def test_what_the_service_installs_is_pinned_alike_for_tests():
    def pins(name: str) -> dict[str, str]:
        text = (ROOT / name).read_text(encoding="utf-8")
        return dict(re.findall(r"^([a-z0-9._-]+)==([^ \n]+)", text, re.MULTILINE))

    service, tests = pins("service/requirements.lock"), pins("tests/requirements.lock")
    assert {name: tests.get(name) for name in service} == service
