"""The lines of an order, each read and picked by itself: one that is not understood is rejected, the others go on."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

from bucktail_service.asking.part import answer_part
from bucktail_service.asking.pick import pick_rows
from bucktail_service.asking.question import Answerer
from bucktail_service.asking.spelling import misspelled
from bucktail_service.engine.errors import BadQuestion, NotTabulated, QuestionError
from bucktail_service.engine.lengths import shown
from bucktail_service.engine.order import Line, Rejected
from bucktail_service.problems import BadFields, FieldError, problem_of
from bucktail_service.schemas.plain import PICK_FIELDS, REQUIRED

LINE_FIELDS = (*PICK_FIELDS, "part_number", "quantity")
LINE_EXAMPLE = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040+0.040", "quantity": 24}
ALONE = "MS20470AD4-4 or AN4-10A, or diameter, alloy, head and stack"
MAX_QUANTITY = 1_000_000
_QUANTITY = re.compile(r"[0-9]{1,9}", re.ASCII)


def read_lines(items: Sequence[Any], practice: str, edition: str) -> tuple[list[Line], list[Rejected]]:
    """Return the lines that are understood, and the others with their reasons.

    Args:
        items: Lines as they came, numbered from 1.
        practice: Practice of lines that name none.
        edition: Edition of the whole order.
    """
    reader = _Reader(practice, edition)
    found = [reader.read(row, item) for row, item in enumerate(items, start=1)]
    return [line for line in found if isinstance(line, Line)], [line for line in found if isinstance(line, Rejected)]


class _Reader:
    """Reads lines; what one question or part number answers is kept for the next line that asks it."""

    def __init__(self, practice: str, edition: str) -> None:
        self._practice = practice
        self._edition = edition
        self._pick: Answerer = pick_rows()
        self._parts: dict[str, Mapping[str, Any]] = {}

    def read(self, row: int, item: Any) -> Line | Rejected:
        """Return the line, or why it is rejected."""
        if not isinstance(item, Mapping):
            detail = "is not an object with the fields of a line"
            if isinstance(item, str):
                detail = f"cannot be read: {_printed(item[:200])}"
            told = BadFields([FieldError("line", detail, json.dumps(LINE_EXAMPLE))])
            return Rejected(row, None, {}, problem_of(told))
        asked = {name: value for name, value in item.items() if name in LINE_FIELDS and not _is_blank(value)}
        carried = {_clean(name): _carried(value) for name, value in item.items() if name not in LINE_FIELDS}
        quantity, errors = _quantity(asked.pop("quantity", None))
        errors += misspelled([name for name in item if name not in LINE_FIELDS], LINE_FIELDS)
        errors += self._of_another_edition(asked.pop("edition", None))
        try:
            answer = self._answer(asked)
        except BadFields as error:
            return Rejected(
                row, quantity, carried, problem_of(BadFields([*errors, *error.errors]) if errors else error)
            )
        except QuestionError as error:
            own = FieldError(error.field, error.detail, error.example)
            return Rejected(row, quantity, carried, problem_of(BadFields([*errors, own]) if errors else error))
        if errors or quantity is None:
            return Rejected(row, quantity, carried, problem_of(BadFields(errors)))
        codes = [caution["code"] for caution in answer["cautions"]]
        return Line(row, quantity, answer["part_number"], carried, codes, answer["link"])

    def _of_another_edition(self, name: Any) -> list[FieldError]:
        if name is None or name == self._edition:
            return []
        told = shown(name) if isinstance(name, str) else "this"
        return [FieldError("edition", f"{told} is not {self._edition}, the edition of this order", self._edition)]

    def _answer(self, asked: Mapping[str, Any]) -> Mapping[str, Any]:
        """Return the answer of a line: of its pick, of its part number, or of both when they agree."""
        number = asked.get("part_number")
        pick = {name: value for name, value in asked.items() if name != "part_number"}
        if number is None and not pick:
            raise BadQuestion("part_number", "is missing, and so is what to pick one by", ALONE)
        part = None if number is None else self._part(number)
        given = [name for name in REQUIRED if name in pick]
        if part is not None and not given:
            return part
        if part is not None and len(given) < len(REQUIRED):
            raise BadQuestion("part_number", f"stands beside {', '.join(given)}: one of the two, or all of both", ALONE)
        picked = self._pick({"practice": self._practice, **pick, "edition": self._edition})
        if picked["part_number"] is None:
            told = f"{picked['standard']} has no number in the tables, its dashes alone: order it by hand"
            raise NotTabulated("head", told, "NAS1054")
        if part is not None and part["part_number"] != picked["part_number"]:
            detail = f"the line says {part['part_number']}, its stack takes {picked['part_number']}"
            raise BadQuestion("part_number", detail, f"{picked['part_number']}, or the number alone")
        return picked

    def _part(self, number: Any) -> Mapping[str, Any]:
        if not isinstance(number, str):
            raise BadQuestion("part_number", "is a text", "MS20470AD4-4")
        part = self._parts.get(number)
        if part is None:
            try:
                part = answer_part(number, self._edition)
            except QuestionError as error:
                error.field = "part_number"  # where it stands in a line
                raise
            if part["length"] is None and part["grip"] is None:
                lacks = "length" if part["family"] == "solid" else "grip"
                told = f"{part['written_as']} has no {lacks}: it is the stem of a number"
                good = f"{part['written_as']}-4" if part["family"] == "solid" else "NAS1398B4-3 or AN4-10A"
                raise NotTabulated("part_number", told, good)
            self._parts[number] = part
        return part


def _quantity(value: Any) -> tuple[int | None, list[FieldError]]:
    """Return the pieces of a line, or why there are none."""
    if value is None:
        return None, [FieldError("quantity", "is missing", "24")]
    number = None
    if isinstance(value, str):
        text = value.strip()
        number = int(text) if _QUANTITY.fullmatch(text) else None
        told = shown(value)
    else:
        told = shown(str(value)) if isinstance(value, int | float) else "this"
        if isinstance(value, float) and value.is_integer() and abs(value) <= MAX_QUANTITY:
            number = int(value)  # JSON has one kind of number: 24.0 is 24
        elif isinstance(value, int) and not isinstance(value, bool):
            number = value
    if number is None or not 0 < number <= MAX_QUANTITY:
        return None, [FieldError("quantity", f"{told} is not a whole number from 1 to {MAX_QUANTITY}", "24")]
    return number, []


def _is_blank(value: Any) -> bool:
    return value is None or (isinstance(value, str) and not value.strip())


def _carried(value: Any) -> Any:
    """Return what is carried as every format can hold it: a text, a number, yes or no, or nothing."""
    if isinstance(value, str):
        return _clean(value)
    return value if value is None or isinstance(value, bool | int | float) else json.dumps(value)


def _printed(text: str) -> str:
    """Return a text as a terminal may show it."""
    return "".join(letter if letter.isprintable() else "\ufffd" for letter in text)


def _clean(text: str) -> str:
    """Return a text without halves of characters, which UTF-8 cannot hold."""
    return text.encode("utf-8", "replace").decode()
