"""The inspect question."""

from __future__ import annotations

from collections.abc import Callable

from bucktail_service.asking.editions import find_edition
from bucktail_service.asking.question import Answer, Payload, Question
from bucktail_service.engine.grip.in_place import read_in_place
from bucktail_service.engine.grip.inspect import inspect_by_grip
from bucktail_service.engine.inspect import InspectQuestion, inspect
from bucktail_service.flat import Columns, at, codes
from bucktail_service.schemas.inspect import INSPECT, load_inspect
from bucktail_tables.model import Edition


def _by(practice: str, name: str) -> Callable[[Payload], object]:
    """Return a getter of what one practice says."""

    def get(answer: Payload) -> object:
        return next((entry[name] for entry in answer["practices"] if entry["practice"] == practice), None)

    return get


def _rejected(answer: Payload) -> str:
    return " ".join(map(str, answer["rejected"]))


def _outside(answer: Payload) -> str:
    told = (why for piece in answer["pieces"] for why in piece["outside"])
    return "; ".join(dict.fromkeys(told))


def _causes(answer: Payload) -> str:
    found = (cause["code"] for piece in answer["pieces"] for cause in piece["causes"])
    return " ".join(dict.fromkeys(found))


COLUMNS: Columns = {
    "verdict": at("verdict"),
    "count": at("count"),
    "rejects": at("rejects"),
    "rejected": _rejected,
    "causes": _causes,
    "outside": _outside,
    "civil_verdict": _by("civil", "verdict"),
    "military_verdict": _by("military", "verdict"),
    "shank_left_in": at("by_volume", "shank_left_in"),
    "cautions": codes,
    "answered_practice": at("practice"),
    "answered_edition": at("edition", "name"),
}


def answer_inspect(payload: Payload) -> Answer:
    """Return the answer to an inspect question; see `inspect` and `inspect_by_grip` for what it raises."""
    asked = load_inspect(payload)
    answer = _answer(asked.question, find_edition(asked.edition))
    pinned = {"practice": answer["practice"], "edition": answer["edition"]["name"]}
    return {**answer, "asked": {**payload, **pinned}}


def _answer(question: InspectQuestion, edition: Edition) -> Answer:
    """Return the answer for a blind rivet, a bolt or a pin where the text names one, for a driven rivet otherwise."""
    fastener = read_in_place(question.fastener, edition)
    return inspect(question, edition) if fastener is None else inspect_by_grip(question, fastener, edition)


QUESTION = Question(
    name="inspect",
    fields=tuple(INSPECT.fields),
    required=tuple(name for name, field in INSPECT.fields.items() if field.required),
    example={
        "fastener": "MS20470AD4-4",
        "stack": "0.040+0.040",
        "hole": "#30",
        "formed_diameter": "0.188; 0.190; 0.204",
        "formed_height": "0.060; 0.062; 0.048",
    },
    answer=answer_inspect,
    columns=COLUMNS,
    brief=lambda: answer_inspect,
)
