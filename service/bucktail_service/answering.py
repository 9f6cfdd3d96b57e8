"""The one door to the engine: a question's name and payload in, its answer out.

HTTP, batches and the in-process client all come through here, so that they cannot differ.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from bucktail_service.engine.editions import describe_all
from bucktail_service.engine.errors import UnknownEdition
from bucktail_service.engine.part import part
from bucktail_service.engine.pick import brief, pick, work_out
from bucktail_service.schemas.plain import Asked, read_plain_edition, read_plain_pick
from bucktail_tables.errors import EditionNotFound
from bucktail_tables.load import load_edition
from bucktail_tables.model import Edition

Answer = dict[str, Any]


def find_edition(name: str | None) -> Edition:
    """Return the edition of that name, or the default one.

    Raises:
        UnknownEdition: There is none; the example names those there are.
    """
    try:
        return load_edition(name)
    except EditionNotFound as error:
        known = ", ".join(error.known)
        raise UnknownEdition("edition", f"{error.name!r} is not an installed edition", known) from None


def read_pick(payload: Mapping[str, Any]) -> Asked:
    """Return a pick question read; BadFields when it cannot be, naming every field that is wrong."""
    asked = read_plain_pick(payload)
    if asked is not None:
        return asked
    from bucktail_service.schemas.questions import load_pick  # noqa: PLC0415  marshmallow is paid for when needed

    return load_pick(payload)


def answer_pick(payload: Mapping[str, Any]) -> Answer:
    """Return the answer to a pick question; see `engine.pick.pick` for what it raises."""
    asked = read_pick(payload)
    return pick(asked.question, find_edition(asked.edition))


def answer_part(number: str, edition: str | None = None) -> Answer:
    """Return what a part number means; see `engine.part.part` for what it raises."""
    if not read_plain_edition(edition):
        from bucktail_service.schemas.questions import load_edition_name  # noqa: PLC0415  as above

        load_edition_name(edition)
    return part(number, find_edition(edition))


def answer_editions() -> Answer:
    """Return the installed editions."""
    return describe_all()


def brief_pick(asked: Asked) -> Answer:
    """Return what a line of a batch shows of a pick answer, in the answer's shape."""
    return brief(work_out(asked.question, find_edition(asked.edition)))


QUESTIONS: dict[str, Callable[[Mapping[str, Any]], Answer]] = {"pick": answer_pick}
