"""BucktailError         base of everything a client raises; never raised itself
BadQuestion           the question cannot be understood
    BadLength         not a length as mechanics write it
NoAnswer              understood, but the tables do not answer it
    OutsideTable      beyond the tabulated range
    NotTabulated      this combination is not in the edition
UnknownEdition        no such edition is installed
RequestRefused        any other 4xx: no such page, too large, too many requests, ...
ServiceFault          5xx, or an answer that is unreadable, truncated or from somewhere else
Unreachable           no connection, or no answer in time

Questions change nothing on the service, so any of them may be asked twice without harm. Asking again can help after
`Unreachable`, after `ServiceFault`, and after `RequestRefused` with status 429, each time a little later. After the
others it cannot: the same question gets the same problem until it is put differently or another edition is installed.
Standard library only: the in-process client raises these too.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

PREFIX = "urn:bucktail:problem:"


class BucktailError(Exception):
    """Why there is no answer.

    Attributes:
        detail: What happened, for a person to read.
        problem: The problem document as received; None when none was.
        errors: What was wrong with each field: `field`, `detail` and a good `example`.
    """

    def __init__(self, detail: str, *, problem: Mapping[str, Any] | None = None) -> None:
        super().__init__(detail)
        self.detail = detail
        self.problem: dict[str, Any] | None = None if problem is None else dict(problem)
        errors = None if problem is None else problem.get("errors")
        self.errors: list[dict[str, Any]] = (
            [dict(error) for error in errors if isinstance(error, Mapping)] if isinstance(errors, list) else []
        )


class BadQuestion(BucktailError):
    """The question cannot be understood."""


class BadLength(BadQuestion):
    """A text is not a length as mechanics write it."""


class NoAnswer(BucktailError):
    """The question is understood, but the tables do not answer it."""


class OutsideTable(NoAnswer):
    """A figure lies beyond the tabulated range."""


class NotTabulated(NoAnswer):
    """The combination asked for has no row in this edition."""


class UnknownEdition(BucktailError):
    """No edition of that name is installed."""


class RequestRefused(BucktailError):
    """The service refused the request as such, whatever was asked."""


class ServiceFault(BucktailError):
    """The service failed, or what came back is not its whole answer."""


class Unreachable(BucktailError):
    """The service cannot be reached, or does not answer in time."""


_CLASSES: dict[str, type[BucktailError]] = {
    "bad-question": BadQuestion,
    "bad-length": BadLength,
    "no-answer": NoAnswer,
    "outside-table": OutsideTable,
    "not-tabulated": NotTabulated,
    "unknown-edition": UnknownEdition,
}


def from_problem(problem: Mapping[str, Any]) -> BucktailError:
    """Return the error a problem document stands for, to be raised or shown.

    A type that is not known here is told by its status: 4xx is `RequestRefused`, anything else `ServiceFault`.
    """
    kind = problem.get("type")
    known = _CLASSES.get(kind.removeprefix(PREFIX)) if isinstance(kind, str) and kind.startswith(PREFIX) else None
    return (known or class_of_status(problem.get("status")))(_detail(problem), problem=problem)


def class_of_status(status: object) -> type[BucktailError]:
    """Return the class of a failure of which nothing but its HTTP status is known."""
    if isinstance(status, int) and HTTPStatus.BAD_REQUEST <= status < HTTPStatus.INTERNAL_SERVER_ERROR:
        return RequestRefused
    return ServiceFault


def _detail(problem: Mapping[str, Any]) -> str:
    for name in ("detail", "title", "type"):
        text = problem.get(name)
        if isinstance(text, str) and text:
            return text
    return "the service gave no reason"


def bad_question(field: str, detail: str, example: str) -> BucktailError:
    """Return the error of a field that no service needs to be asked about."""
    return from_problem(
        {
            "type": PREFIX + "bad-question",
            "title": "The question cannot be understood",
            "status": 422,
            "detail": f"{field}: {detail} (good: {example})",
            "errors": [{"field": field, "detail": detail, "example": example}],
        }
    )


def check_number(number: str) -> None:
    """Raise BadQuestion for what a path would take for another page than a part number's."""
    if number.strip() in {"", ".", ".."} or number.startswith("/") or not number.isprintable():
        raise bad_question("number", f"{number!r} is not a part number", "MS20470AD4-4")


def check_piece(field: str, text: str, example: str) -> None:
    """Raise BadQuestion for what cannot be one piece of a path."""
    if text in {"", ".", ".."} or "/" in text or not text.isprintable():
        raise bad_question(field, f"{text!r} cannot be the name of one", example)


def encode(question: Mapping[str, object]) -> bytes:
    """Return a question as JSON; BadQuestion names the field that JSON cannot say."""
    for field, value in question.items():
        try:
            json.dumps(value, allow_nan=False)
        except (TypeError, ValueError, RecursionError):
            raise bad_question(field, f"{value!r} cannot be written as JSON", "a text such as 1/8") from None
    return json.dumps(dict(question), allow_nan=False).encode()
