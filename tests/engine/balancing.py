"""Short ways to put a balance question."""

from __future__ import annotations

from typing import Any

from bucktail_service.asking.balance import answer_balance


def balanced(**fields: Any) -> dict[str, Any]:
    """Return the balance answer; ten inches aft of the hinge line unless told."""
    return answer_balance({"arm": "10 aft", **fields})


def in_words(question: str) -> dict[str, str]:
    """Return the fields of a question written `field=text|field=text`."""
    return dict(part.split("=", 1) for part in question.split("|"))
