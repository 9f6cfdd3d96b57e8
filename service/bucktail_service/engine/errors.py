"""QuestionError           never raised itself
BadQuestion         the question cannot be understood
BadLength       not a length as mechanics write it
NoAnswer            understood, but the tables do not answer it
OutsideTable    beyond the tabulated range
NotTabulated    this combination is not in the edition
UnknownEdition      no such edition is installed
"""

from __future__ import annotations

from typing import ClassVar


class QuestionError(Exception):
    """Base of every reason why a question gets no answer; names the field and a good example."""

    code: ClassVar[str] = "question-error"
    title: ClassVar[str] = "The question got no answer"

    def __init__(self, field: str, detail: str, example: str) -> None:
        self.field = field
        self.detail = detail
        self.example = example
        super().__init__(f"{field}: {detail}")


class BadQuestion(QuestionError):
    """The question cannot be understood."""

    code = "bad-question"
    title = "The question cannot be understood"


class BadLength(BadQuestion):
    """A text is not a length as mechanics write it."""

    code = "bad-length"
    title = "Not a length"


class NoAnswer(QuestionError):
    """The question is understood, but the tables do not answer it."""

    code = "no-answer"
    title = "The tables do not answer this"


class OutsideTable(NoAnswer):
    """A figure lies beyond the tabulated range; never answered by the nearest row."""

    code = "outside-table"
    title = "Outside the tables"


class NotTabulated(NoAnswer):
    """The combination asked for has no row in this edition."""

    code = "not-tabulated"
    title = "Not in the tables"


class UnknownEdition(QuestionError):
    """No edition of that name is installed."""

    code = "unknown-edition"
    title = "No such edition"
