"""The rework question."""

from __future__ import annotations

from collections.abc import Callable

from bucktail_service.asking.editions import find_edition
from bucktail_service.asking.question import Answer, Payload, Question
from bucktail_service.engine.rework import rework
from bucktail_service.flat import Columns, at, codes
from bucktail_service.schemas.rework import REWORK, load_rework


def _chosen(name: str) -> Callable[[Payload], object]:
    """Return a getter of a figure of the recommended option."""

    def get(answer: Payload) -> object:
        best = next((option for option in answer["options"] if option["name"] == answer["recommended"]), None)
        return None if best is None else best[name]

    return get


def _failing(answer: Payload) -> str:
    """Return, option by option, the checks that fail."""
    told = []
    for option in answer["options"]:
        failed = [check["check"] for check in option["checks"] if check["verdict"] == "fail"]
        if failed:
            told.append(f"{option['name']}: {', '.join(failed)}")
    return "; ".join(told)


COLUMNS: Columns = {
    "installed_number": at("installed", "part_number"),
    "recommended": at("recommended"),
    "part_number": _chosen("part_number"),
    "drill": _chosen("drill"),
    "shear_kept": _chosen("shear_kept"),
    "bearing_kept": _chosen("bearing_kept"),
    "why": at("why"),
    "failing": _failing,
    "removal_drill": at("removal", "drill_one_smaller"),
    "longest_run": at("row", "longest_run"),
    "strength_left": at("row", "strength_left"),
    "oversize_within_limits": at("row", "within_limits"),
    "mass_change_g": at("balance", "mass_change_g"),
    "moment_change_in_lb": at("balance", "moment_change_in_lb"),
    "cautions": codes,
    "answered_practice": at("practice"),
    "answered_edition": at("edition", "name"),
}


def answer_rework(payload: Payload) -> Answer:
    """Return the answer to a rework question; see `engine.rework.rework` for what it raises."""
    asked = load_rework(payload)
    return rework(asked.question, find_edition(asked.edition))


QUESTION = Question(
    name="rework",
    fields=tuple(REWORK.fields),
    required=tuple(name for name, field in REWORK.fields.items() if field.required),
    example={
        "installed": "MS20470AD4-4",
        "stack": "0.032 2024-T3 + 0.040 2024-T3",
        "hole": "0.137",
        "edge_distance": "0.40",
        "pitch": "0.75",
        "count": 12,
        "failed": [3, 4],
    },
    answer=answer_rework,
    columns=COLUMNS,
    brief=lambda: answer_rework,
)
