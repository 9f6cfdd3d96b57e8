"""The balance question."""

from __future__ import annotations

from bucktail_service.asking.editions import find_edition
from bucktail_service.asking.question import Answer, Payload, Question
from bucktail_service.engine.balance import balance
from bucktail_service.flat import Columns, at, codes
from bucktail_service.schemas.balance import BALANCE, load_balance

COLUMNS: Columns = {
    "pieces_removed": at("removed", "pieces"),
    "removed_g": at("removed", "mass_g"),
    "pieces_installed": at("installed", "pieces"),
    "installed_g": at("installed", "mass_g"),
    "hole_metal_g": at("hole_metal", "mass_g"),
    "extra_g": at("extra", "mass_g"),
    "change_g": at("change", "mass_g"),
    "change_lb": at("change", "mass_lb"),
    "moment_in_lb": at("change", "moment_in_lb"),
    "moment_n_m": at("change", "moment_n_m"),
    "direction": at("change", "direction"),
    "called": at("change", "called"),
    "weight_lb": at("balance_weight", "mass_lb"),
    "weight_action": at("balance_weight", "action"),
    "found_in_lb": at("limit", "found", "moment_in_lb"),
    "verdict": at("limit", "verdict"),
    "cautions": codes,
    "answered_edition": at("edition", "name"),
}


def answer_balance(payload: Payload) -> Answer:
    """Return the answer to a balance question; see `engine.balance.balance` for what it raises."""
    asked = load_balance(payload)
    edition = find_edition(asked.edition)
    return {**balance(asked.question, edition), "asked": {**payload, "edition": edition.name}}


QUESTION = Question(
    name="balance",
    fields=tuple(BALANCE.fields),
    required=tuple(name for name, field in BALANCE.fields.items() if field.required),
    example={
        "removed": "24 x MS20470AD4-4",
        "installed": "24 x MS20470AD5-5",
        "stack": "0.032 2024-T3 + 0.040 2024-T3",
        "arm": "12.5 aft",
        "weight_arm": "6 forward",
    },
    answer=answer_balance,
    columns=COLUMNS,
    brief=lambda: answer_balance,
)
