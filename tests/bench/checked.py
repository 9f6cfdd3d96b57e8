"""The one question whose answer is known from outside, asked of everything before it is timed."""

from __future__ import annotations

# tests/published/worked_examples.csv, FAA-H-8083-31, figure 4-76: -4 stands out 1.36 D, inside 1.33 D to 1.66 D
QUESTION = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040+0.040"}
PART_NUMBER = "MS20470AD4-4"


def insist(condition: object, told: object) -> None:
    """Stop when what is about to be timed is not right: a fast wrong answer is worth nothing."""
    if not condition:
        raise SystemExit(f"not timed, the answer is wrong: {str(told)[:300]}")
