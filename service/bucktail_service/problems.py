"""Every reason for no answer as an RFC 9457 problem: which type, which status, in one table.

422 is a question that cannot be understood. A question that is understood but that the tables do not answer is
404: there is no such row, as there is no such page. `errors` always has one form, whatever failed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from bucktail_service.engine.errors import (
    BadLength,
    BadQuestion,
    NoAnswer,
    NotTabulated,
    OutsideTable,
    QuestionError,
    UnknownEdition,
)

MEDIA_TYPE = "application/problem+json"
PREFIX = "urn:bucktail:problem:"

STATUS: dict[type[QuestionError], int] = {
    BadQuestion: 422,
    BadLength: 422,
    NoAnswer: 404,
    OutsideTable: 404,
    NotTabulated: 404,
    UnknownEdition: 404,
}


class FieldError(NamedTuple):
    """What was wrong with one field, and what a good one looks like."""

    field: str
    detail: str
    example: str


class BadFields(BadQuestion):
    """Several fields cannot be understood; carries them all."""

    def __init__(self, errors: Sequence[FieldError]) -> None:
        super().__init__(*errors[0])
        self.errors = tuple(errors)


class BadLengths(BadFields):
    """All that is wrong is lengths that cannot be read."""

    code = BadLength.code
    title = BadLength.title


STATUS |= {BadFields: 422, BadLengths: 422}


def problem(code: str, title: str, status: int, detail: str, errors: Sequence[FieldError] = ()) -> dict[str, Any]:
    """Return a problem document."""
    return {
        "type": PREFIX + code,
        "title": title,
        "status": status,
        "detail": detail,
        "errors": [error._asdict() for error in errors],
    }


def problem_of(error: QuestionError) -> dict[str, Any]:
    """Return the problem document of a question that got no answer."""
    errors = error.errors if isinstance(error, BadFields) else (FieldError(error.field, error.detail, error.example),)
    detail = "; ".join(f"{field}: {told} (good: {example})" for field, told, example in errors)
    return problem(error.code, error.title, STATUS[type(error)], detail, errors)
