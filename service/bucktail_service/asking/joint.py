"""The joint question."""

from __future__ import annotations

from bucktail_service.asking.editions import find_edition
from bucktail_service.asking.question import Answer, Payload, Question
from bucktail_service.engine.joint import joint
from bucktail_service.flat import Columns, at, codes

COLUMNS: Columns = {
    "standard": at("standard"),
    "diameter_in": at("diameter", "nominal_in"),
    "alloy": at("alloy", "code"),
    "shear_lbf": at("shear", "allowed_lbf"),
    "factor": at("shear", "factor"),
    "bearing_lbf": lambda answer: min((layer["joint_lbf"] for layer in _known(answer)), default=None),
    "flush_lbf": at("flush", "ultimate_lbf"),
    "mode": at("critical", "mode"),
    "layer": at("critical", "layer"),
    "load_lbf": at("allowed", "load_lbf"),
    "at_most_lbf": at("allowed", "at_most_lbf"),
    "pieces_for_load": at("need", "pieces"),
    "pieces_per_inch_for_load": at("need", "pieces_per_inch"),
    "carried_lbf_per_in": at("pattern", "carried_lbf_per_in"),
    "table": at("splice", "table"),
    "table_per_inch": at("splice", "per_inch"),
    "table_pieces": at("splice", "pieces"),
    "strength_method_pieces": at("strength_method", "pieces"),
    "pattern_passes": lambda answer: all(check["passes"] for check in answer["checks"]),
    "layout_fits": at("layout", "fits"),
    "layout_rows": at("layout", "rows"),
    "layout_per_row": at("layout", "per_row"),
    "layout_pitch_in": at("layout", "pitch_in"),
    "cautions": codes,
    "answered_practice": at("practice"),
    "answered_edition": at("edition", "name"),
}


def _known(answer: Payload) -> list[Payload]:
    """Return the layers, or none when the bearing of one is not known: the least of the others says too much."""
    layers: list[Payload] = answer["layers"]
    return [] if any(layer["joint_lbf"] is None for layer in layers) else layers


def answer_joint(payload: Payload) -> Answer:
    """Return the answer to a joint question; see `engine.joint.joint` for what it raises."""
    from bucktail_service.schemas.joint import load_joint  # noqa: PLC0415  marshmallow is paid for when needed

    asked = load_joint(payload)
    return joint(asked.question, find_edition(asked.edition))


QUESTION = Question(
    name="joint",
    fields=(
        "diameter",
        "alloy",
        "head",
        "stack",
        "shear",
        "edge_distance",
        "pitch",
        "rows",
        "row_spacing",
        "load",
        "width",
        "thickness",
        "table",
        "member",
        "preparation",
        "practice",
        "edition",
    ),
    required=("diameter", "alloy", "head", "stack"),
    example={
        "diameter": "1/8",
        "alloy": "AD",
        "head": "universal",
        "stack": "0.032 2024-T3+0.032 2024-T3",
        "width": "10",
        "member": "lap",
    },
    answer=answer_joint,
    columns=COLUMNS,
    brief=lambda: answer_joint,
)
