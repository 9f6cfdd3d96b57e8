from __future__ import annotations

import pickle

import pytest

from bucktail import errors
from bucktail.errors import BucktailError, RequestRefused, ServiceFault, from_problem
from bucktail_service.engine.errors import QuestionError
from bucktail_service.problems import STATUS

DETAIL = "stack: '1,5' is not a length (for example 0.032+0.040)"
BAD_LENGTH = {
    "type": "urn:bucktail:problem:bad-length",
    "title": "Not a length",
    "status": 422,
    "detail": DETAIL,
    "errors": [{"field": "stack", "detail": "'1,5' is not a length", "example": "0.032+0.040"}],
}


def descendants(base: type[Exception]) -> list[type[Exception]]:
    return [kind for child in base.__subclasses__() for kind in (child, *descendants(child))]


ENGINE_ERRORS = [kind for kind in descendants(QuestionError) if kind.__module__ == QuestionError.__module__]


@pytest.mark.parametrize("kind", ENGINE_ERRORS, ids=lambda kind: kind.__name__)
def test_every_reason_of_the_engine_has_the_class_of_the_same_name(kind):
    error = from_problem({"type": f"urn:bucktail:problem:{kind.code}", "status": STATUS[kind], "detail": "why"})
    assert type(error).__name__ == kind.__name__
    expected = ["BucktailError" if base is QuestionError else base.__name__ for base in kind.__bases__]
    assert [base.__name__ for base in type(error).__bases__] == expected


@pytest.mark.parametrize(
    ("code", "status", "kind"),
    [
        ("bad-request", 400, RequestRefused),
        ("not-found", 404, RequestRefused),
        ("method-not-allowed", 405, RequestRefused),
        ("not-acceptable", 406, RequestRefused),
        ("too-large", 413, RequestRefused),
        ("unsupported-media-type", 415, RequestRefused),
        ("busy", 429, RequestRefused),
        ("busy", 503, ServiceFault),
        ("internal", 500, ServiceFault),
        ("of-a-later-version", 418, RequestRefused),
        ("of-a-later-version", 507, ServiceFault),
    ],
)
def test_a_problem_that_is_not_the_engines_is_told_by_its_status(code, status, kind):
    assert type(from_problem({"type": f"urn:bucktail:problem:{code}", "status": status})) is kind


def test_a_code_under_another_name_space_is_not_ours():
    assert type(from_problem({"type": "bad-length", "status": 400})) is RequestRefused
    assert type(from_problem({"type": "urn:other:bad-length", "status": 400})) is RequestRefused


def test_an_error_carries_the_problem_its_detail_and_its_fields():
    error = from_problem(BAD_LENGTH)
    assert (error.problem, error.detail, error.errors) == (BAD_LENGTH, DETAIL, BAD_LENGTH["errors"])
    assert str(error) == DETAIL


def test_an_error_without_a_problem_has_no_fields():
    error = errors.Unreachable("no service there")
    assert (error.problem, error.errors, str(error)) == (None, [], "no service there")


@pytest.mark.parametrize(
    ("problem", "detail"),
    [
        ({}, "the service gave no reason"),
        ({"type": ["x"], "status": "404", "detail": 3, "errors": "none"}, "the service gave no reason"),
        ({"type": None, "status": None, "detail": "", "title": "Broken", "errors": [1, "a", None]}, "Broken"),
    ],
)
def test_a_problem_of_the_wrong_shape_is_a_fault_and_never_a_crash(problem, detail):
    error = from_problem(problem)
    assert (type(error), error.detail, error.errors) == (ServiceFault, detail, [])


def test_errors_travel_between_processes():
    error = pickle.loads(pickle.dumps(from_problem(BAD_LENGTH)))
    assert (type(error), error.detail, error.problem, error.errors) == (
        errors.BadLength,
        DETAIL,
        BAD_LENGTH,
        BAD_LENGTH["errors"],
    )


def test_the_tree_at_the_top_of_the_module_is_the_tree():
    names = [kind.__name__ for kind in (BucktailError, *descendants(BucktailError))]
    drawn = [line.split()[0] for line in (errors.__doc__ or "").split("\n\n")[0].splitlines()]
    assert drawn == names
