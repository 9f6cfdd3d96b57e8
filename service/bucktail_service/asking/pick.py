"""The pick question."""

from __future__ import annotations

from dataclasses import replace

from bucktail_service.asking.editions import find_edition
from bucktail_service.asking.question import Answer, Answerer, Payload, Question
from bucktail_service.engine.errors import BadLength
from bucktail_service.engine.lengths import parse_stack
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.pick import brief, pick, work_out
from bucktail_service.flat import Columns, at, codes
from bucktail_service.schemas.plain import PICK_FIELDS, REQUIRED, Asked, read_plain_pick

MAX_READ = 20_000
MAX_READ_KEY = 300

COLUMNS: Columns = {
    "part_number": at("part_number"),
    "length_dash": at("length", "dash"),
    "length_in": at("length", "length_in"),
    "length_mm": at("length", "length_mm"),
    "ideal_in": at("length", "ideal_in"),
    "protrusion_in": at("length", "protrusion_in"),
    "trim_to_in": at("length", "trim_to_in"),
    "alternatives": lambda answer: " ".join(answer["length"]["alternatives"]),
    "pilot_drill": at("hole", "pilot", "drill"),
    "drill": at("hole", "final", "drill"),
    "drill_in": at("hole", "final", "diameter_in"),
    "hole_minimum_in": at("hole", "minimum_in"),
    "hole_maximum_in": at("hole", "maximum_in"),
    "edge_minimum_in": at("spacing", "edge_minimum_in"),
    "pitch_minimum_in": at("spacing", "pitch_minimum_in"),
    "pitch_maximum_in": at("spacing", "pitch_maximum_in"),
    "row_minimum_in": at("spacing", "row_minimum_in"),
    "formed_diameter_minimum_in": at("formed_head", "diameter_minimum_in"),
    "formed_diameter_nominal_in": at("formed_head", "diameter_nominal_in"),
    "formed_diameter_maximum_in": at("formed_head", "diameter_maximum_in"),
    "formed_height_minimum_in": at("formed_head", "height_minimum_in"),
    "formed_height_nominal_in": at("formed_head", "height_nominal_in"),
    "formed_height_maximum_in": at("formed_head", "height_maximum_in"),
    "single_shear_lbf": at("strength", "single_shear_lbf"),
    "each_g": at("mass", "each_g"),
    "pieces_per_lb": at("mass", "pieces_per_lb"),
    "cautions": codes,
    "answered_practice": at("practice"),
    "answered_edition": at("edition", "name"),
    "link": at("link"),
}


def read_pick(payload: Payload) -> Asked[PickQuestion]:
    """Return a pick question read; BadFields when it cannot be, naming every field that is wrong."""
    asked = read_plain_pick(payload)
    if asked is not None:
        return asked
    from bucktail_service.schemas.questions import load_pick  # noqa: PLC0415  marshmallow is paid for when needed

    return load_pick(payload)


def answer_pick(payload: Payload) -> Answer:
    """Return the answer to a pick question; see `engine.pick.pick` for what it raises."""
    asked = read_pick(payload)
    return pick(asked.question, find_edition(asked.edition))


def pick_rows() -> Answerer:
    """Return a function for the rows of a batch: rows that differ in their stack alone have the rest read once."""
    read_before: dict[tuple[tuple[str, str], ...], Asked[PickQuestion]] = {}

    def read(payload: Payload) -> Asked[PickQuestion]:
        stack = payload.get("stack")
        if not isinstance(stack, str) or not all(isinstance(value, str) for value in payload.values()):
            return read_pick(payload)
        rest = tuple((name, value) for name, value in payload.items() if name != "stack")
        asked = read_before.get(rest)
        if asked is None:
            asked = read_pick(payload)
            if sum(len(value) for _, value in rest) > MAX_READ_KEY:
                return asked
            if len(read_before) >= MAX_READ:
                read_before.clear()
            read_before[rest] = asked
        try:
            return Asked(replace(asked.question, stack=parse_stack(stack)), asked.edition)
        except BadLength:
            return read_pick(payload)  # which says what is wrong with every field

    def answer(payload: Payload) -> Answer:
        asked = read(payload)
        return brief(work_out(asked.question, find_edition(asked.edition)))

    return answer


QUESTION = Question(
    name="pick",
    fields=PICK_FIELDS,
    required=REQUIRED,
    example={"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040+0.040"},
    answer=answer_pick,
    columns=COLUMNS,
    brief=pick_rows,
)
