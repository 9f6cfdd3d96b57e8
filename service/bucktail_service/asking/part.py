"""The part question."""

from __future__ import annotations

from bucktail_service.asking.editions import find_edition
from bucktail_service.asking.question import Answer, Payload
from bucktail_service.engine.parts import any_part
from bucktail_service.flat import Columns, answer_csv, at, codes
from bucktail_service.schemas.plain import read_plain_edition

COLUMNS: Columns = {
    "part_number": at("part_number"),
    "written_as": at("written_as"),
    "standard": at("standard"),
    "replaced_by": at("replaced_by"),
    "diameter_in": at("diameter", "nominal_in"),
    "alloy": at("alloy", "code"),
    "alloy_name": at("alloy", "name"),
    "head_mark": at("alloy", "head_mark"),
    "head": at("head", "name"),
    "length_dash": at("length", "dash"),
    "length_in": at("length", "length_in"),
    "length_mm": at("length", "length_mm"),
    "length_counts": at("length", "counts"),
    "grip_dash": at("grip", "dash"),
    "grip_in": at("grip", "length_in"),
    "grip_minimum_in": at("grip", "minimum_in"),
    "grip_maximum_in": at("grip", "maximum_in"),
    "single_shear_lbf": at("strength", "single_shear_lbf"),
    "each_g": at("mass", "each_g"),
    "pieces_per_lb": at("mass", "pieces_per_lb"),
    "same_as": lambda answer: " ".join(entry["number"] for entry in answer["same_as"]),
    "cautions": codes,
    "answered_edition": at("edition", "name"),
    "link": at("link"),
}


def answer_part(number: str, edition: str | None = None) -> Answer:
    """Return what a part number means; see `engine.parts.any_part` for what it raises."""
    if not read_plain_edition(edition):
        from bucktail_service.schemas.questions import load_edition_name  # noqa: PLC0415  paid for when needed

        load_edition_name(edition)
    return any_part(number, find_edition(edition))


def part_csv(answer: Payload) -> str:
    """Return a part answer as CSV."""
    return answer_csv(COLUMNS, answer)
