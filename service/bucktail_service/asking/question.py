"""What the service needs to know of a question to ask it over HTTP, in a file, or in-process."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bucktail_service.flat import Columns

Payload = Mapping[str, Any]
Answer = dict[str, Any]
Answerer = Callable[[Payload], Answer]
# rows for which it returns equal first parts have equal columns, but for the second part, a text that stands once in
# the last column
Likeness = Callable[[Sequence[str]], tuple[Hashable, str] | None]


@dataclass(frozen=True, slots=True)
class Question:
    """A question.

    Attributes:
        name: As in its route, its command and its engine module.
        fields: Names of its fields, in order.
        required: Those that must be there.
        example: A good payload.
        answer: Answers a payload; raises what the schema and the engine raise.
        columns: Columns of its flat rows.
        brief: Returns a function that answers the rows of one batch with what the columns need.
        in_batch: Whether a row of a file can ask it.
        alike: Returns, for the columns of a file, a function that tells what the cells of a row have in common with
            those of others; None for a question, or a row, of which nothing is known.
    """

    name: str
    fields: tuple[str, ...]
    required: tuple[str, ...]
    example: Payload
    answer: Answerer
    columns: Columns
    brief: Callable[[], Answerer]
    in_batch: bool = True
    alike: Callable[[Sequence[str]], Likeness] | None = None
