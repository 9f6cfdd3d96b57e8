"""Every answer over a grid of what the tables offer has the documented shape, and nothing that is not JSON."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from bucktail_service.asking.editions import answer_editions, find_edition
from bucktail_service.asking.part import answer_part
from bucktail_service.asking.pick import answer_pick
from bucktail_service.engine.designation import format_number
from bucktail_service.engine.errors import NoAnswer
from bucktail_service.problems import problem_of
from bucktail_service.schemas.answers import EditionsAnswer, PartAnswer, PickAnswer, Problem

EDITION = find_edition(None)
PICK, PART, EDITIONS, PROBLEM = PickAnswer(), PartAnswer(), EditionsAnswer(), Problem()
STANDARDS = [row.text("standard") for row in EDITION["standards"]]


def offers(standard):
    return [row for row in EDITION["offered"] if row.text("standard") == standard]


def is_plain(node):
    """True when *node* holds only what JSON has; numbers are finite, and -0 is none of them."""
    if isinstance(node, dict):
        return all(type(name) is str and is_plain(below) for name, below in node.items())
    if isinstance(node, list):
        return all(map(is_plain, node))
    if type(node) is float:
        return math.isfinite(node) and not (node == 0 and math.copysign(1, node) < 0)
    return node is None or type(node) in (str, int, bool)


def assert_whole(schema, answer):
    assert schema.validate(answer) == {}
    assert is_plain(answer)


@pytest.mark.parametrize("standard", STANDARDS)
def test_every_pick_has_the_documented_shape(standard):
    answered = refused = 0
    for offered in offers(standard):
        for size in EDITION["diameters"]:
            across = Fraction(size.text("fraction"))
            stacks = ("0.02", f"{float(across) / 2:.4f} 2024-T3+{float(across) / 2:.4f} lead", "1.2")
            for stack, tolerance in zip(stacks, ("0", "+0.01/-0.005", "0.0001"), strict=True):
                for practice in ("civil", "military"):
                    asked = {
                        "diameter": size.text("fraction"),
                        "alloy": offered.text("alloy"),
                        "head": standard,
                        "stack": stack,
                        "stack_tolerance": tolerance,
                        "practice": practice,
                    }
                    try:
                        assert_whole(PICK, answer_pick(asked))
                        answered += 1
                    except NoAnswer as error:
                        assert_whole(PROBLEM, problem_of(error))
                        refused += 1
    if EDITION["standards"].find(standard).flag("repair_only"):
        assert answered == 0
    else:
        assert answered > 5 * refused


@pytest.mark.parametrize("standard", STANDARDS)
def test_every_part_has_the_documented_shape(standard):
    for offered in offers(standard):
        for size in EDITION["diameters"]:
            for dash in (None, "4", "7.5", "160"):
                number = format_number(offered, size.text("dash"), dash)
                answer = answer_part(number)
                assert_whole(PART, answer)
                assert answer["written_as"] == number


def test_the_editions_have_the_documented_shape():
    assert_whole(EDITIONS, answer_editions())


def test_a_field_that_is_not_documented_is_refused():
    answer = answer_pick({"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.08"})
    assert "extra" in PICK.validate({**answer, "extra": 1})
    assert "length" in PICK.validate({**answer, "length": {**answer["length"], "extra": 1}})
