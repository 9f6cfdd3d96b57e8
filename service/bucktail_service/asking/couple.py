"""The couple question."""

from __future__ import annotations

from collections.abc import Callable

from bucktail_service.asking.editions import find_edition
from bucktail_service.asking.question import Answer, Payload, Question
from bucktail_service.engine.couple import couple
from bucktail_service.flat import Columns, at, codes


def _everywhere(name: str) -> Callable[[Payload], bool]:
    return lambda answer: all(pair[name] for pair in answer["pairs"])


def _pairs(answer: Payload) -> str:
    """Return the pairs that may not touch."""
    pairs = (pair for pair in answer["pairs"] if not pair["compatible"])
    return "; ".join(f"{pair['first']} + {pair['second']}" for pair in pairs)


def _corroding(answer: Payload) -> str:
    return "; ".join(dict.fromkeys(pair["corrodes"] for pair in answer["pairs"] if pair["corrodes"] is not None))


def _largest_difference(answer: Payload) -> float | None:
    return max((pair["difference_v"] for pair in answer["pairs"] if pair["difference_v"] is not None), default=None)


COLUMNS: Columns = {
    "compatible": at("compatible"),
    "incompatible_pairs": _pairs,
    "corrodes": _corroding,
    "groups": lambda answer: "+".join(metal["group"] for metal in answer["materials"]),
    "marine": _everywhere("marine"),
    "seawater": _everywhere("seawater"),
    "industrial": _everywhere("industrial"),
    "difference_v": _largest_difference,
    "small_anode": lambda answer: any(pair["small"] == "anode" for pair in answer["pairs"]),
    "cautions": codes,
    "answered_environment": at("environment"),
    "answered_edition": at("edition", "name"),
}


def answer_couple(payload: Payload) -> Answer:
    """Return the answer to a couple question; see `engine.couple.couple` for what it raises."""
    from bucktail_service.schemas.couple import load_couple  # noqa: PLC0415  marshmallow is paid for when needed

    question, edition = load_couple(payload)
    return couple(question, find_edition(edition))


QUESTION = Question(
    name="couple",
    fields=("materials", "environment", "areas", "edition"),
    required=("materials",),
    example={"materials": "2117 + lead", "environment": "marine"},
    answer=answer_couple,
    columns=COLUMNS,
    brief=lambda: answer_couple,
)
