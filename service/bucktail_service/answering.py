"""The one door to the engine: a question's name and payload in, its answer out.

HTTP, batches and the in-process client all come through here, so that they cannot differ. A question's module is
imported when it is first asked: a terminal pays for the one question it asks.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from importlib import import_module
from typing import Any

from bucktail_service.asking.question import Answer, Question

QUESTIONS = ("pick", "rework", "couple", "balance", "order", "joint", "inspect")


@lru_cache(maxsize=len(QUESTIONS))
def question(name: str) -> Question:
    """Return what is known of a question; KeyError when there is none of that name."""
    if name not in QUESTIONS:
        raise KeyError(name)
    found: Question = import_module(f"bucktail_service.asking.{name}").QUESTION
    return found


def answer(name: str, payload: Mapping[str, Any]) -> Answer:
    """Return the answer to a question; raises what its schema and its engine module raise."""
    return question(name).answer(payload)
