"""The pick question."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace

from bucktail_service.asking.editions import find_edition
from bucktail_service.asking.question import Answer, Answerer, Likeness, Payload, Question
from bucktail_service.engine.errors import BadLength, QuestionError
from bucktail_service.engine.lengths import parse_stack
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.pick import brief, facts_of, pick, work_out
from bucktail_service.engine.standards import is_solid_head
from bucktail_service.flat import Columns, at, codes
from bucktail_service.schemas.plain import PICK_FIELDS, REQUIRED, Asked, read_plain_pick
from bucktail_tables.model import Edition

MAX_READ = 20_000
MAX_READ_KEY = 300
MAX_ALIKE = 2_000


def _washers(answer: Payload, side: str) -> str | None:
    """Return the washers under the head or the nut of a bolt, parted by blanks."""
    washers = answer["washers"]
    return None if washers is None else " ".join(washer["washer"] for washer in washers[side])


COLUMNS: Columns = {
    "part_number": at("part_number"),
    "length_dash": at("length", "dash"),
    "length_in": at("length", "length_in"),
    "length_mm": at("length", "length_mm"),
    "ideal_in": at("length", "ideal_in"),
    "protrusion_in": at("length", "protrusion_in"),
    "trim_to_in": at("length", "trim_to_in"),
    "alternatives": lambda answer: " ".join((answer["grip"] or answer["length"])["alternatives"]),
    "grip_dash": at("grip", "dash"),
    "grip_in": at("grip", "length_in"),
    "grip_minimum_in": at("grip", "minimum_in"),
    "grip_maximum_in": at("grip", "maximum_in"),
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
    "washers_under_head": lambda answer: _washers(answer, "under_head"),
    "washers_under_nut": lambda answer: _washers(answer, "under_nut"),
    "nut_number": lambda answer: None if answer["nut"] is None else answer["nut"]["number"] or answer["nut"]["nut"],
    "torque_minimum_in_lb": at("torque", "minimum_in_lb"),
    "torque_maximum_in_lb": at("torque", "maximum_in_lb"),
    "torque_final_minimum_in_lb": at("torque", "final_minimum_in_lb"),
    "torque_final_maximum_in_lb": at("torque", "final_maximum_in_lb"),
    "collar": at("collar", "number"),
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
    return answer_read(asked.question, find_edition(asked.edition))


def answer_read(question: PickQuestion, edition: Edition) -> Answer:
    """Return the answer of an edition to a pick question that has been read."""
    return _by_grip(question, edition) or pick(question, edition)


def _by_grip(question: PickQuestion, edition: Edition) -> Answer | None:
    """Return the answer for a fastener chosen by grip; None for a solid rivet, whose start pays for nothing else."""
    if is_plainly_solid(question, edition):
        return None
    from bucktail_service.engine.grip.pick import family_of, pick_by_grip  # noqa: PLC0415

    family = family_of(question, edition)
    return None if family == "solid" else pick_by_grip(family, question, edition)


def is_plainly_solid(question: PickQuestion, edition: Edition) -> bool:
    """Return whether a question can be of nothing but a solid rivet."""
    return question.family in (None, "solid") and is_solid_head(question.head, edition) and not _asks_more(question)


def _asks_more(question: PickQuestion) -> bool:
    """Return whether a question says something that only fasteners chosen by grip have a use for."""
    own = (question.preparation, question.nut, question.nut_height, question.drag, question.stack.gauge)
    return any(value is not None for value in own)


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
        edition = find_edition(asked.edition)
        return _by_grip(asked.question, edition) or brief(work_out(asked.question, edition))

    return answer


def pick_likeness(names: Sequence[str]) -> Likeness:
    """Return a function that tells rows alike which have all but their stack in common, and of it what counts."""
    from bucktail_service.engine.alike import Alike, Sheets  # noqa: PLC0415  a single question has no use for it

    place = names.index("stack")
    before: dict[Sequence[str], tuple[int, Alike] | None] = {}
    sheets: dict[str, Sheets] = {}

    def known(cells: Sequence[str]) -> tuple[int, Alike] | None:
        given = {name: text for name, text in zip(names, cells, strict=True) if text.strip()}
        try:
            asked = read_pick({**given, "stack": "0.1"})  # any stack: what is wrong with the rest is told elsewhere
            edition = find_edition(asked.edition)
            if not is_plainly_solid(asked.question, edition):
                return None
            alike = Alike(facts_of(asked.question, edition), sheets.setdefault(edition.name, Sheets(edition)))
        except QuestionError:
            return None
        return len(before), alike

    def tell(cells: Sequence[str]) -> tuple[Hashable, str] | None:
        rest = (*cells[:place], *cells[place + 1 :])
        if rest in before:
            found = before[rest]
        else:
            if len(before) >= MAX_ALIKE or sum(map(len, rest)) > MAX_READ_KEY:
                return None
            found = before[rest] = known(cells)
        if found is None:
            return None
        told = found[1](cells[place])
        return None if told is None else ((found[0], *told[0]), told[1])

    return tell


QUESTION = Question(
    name="pick",
    fields=PICK_FIELDS,
    required=REQUIRED,
    example={"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040+0.040"},
    answer=answer_pick,
    columns=COLUMNS,
    brief=pick_rows,
    alike=pick_likeness,
)
