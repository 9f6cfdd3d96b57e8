"""What every test may ask for."""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest
from hypothesis import settings

from bucktail_tables.load import load_edition
from bucktail_tables.model import Edition

# a person's run looks for new examples every time; a run that decides whether a change lands repeats itself
settings.register_profile("ci", derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("ci")

PUBLISHED = Path(__file__).parent / "published"


def published(name: str) -> list[dict[str, str]]:
    """Return the cited checks of a file in tests/published."""
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="session")
def edition() -> Edition:
    """The default edition."""
    return load_edition()
