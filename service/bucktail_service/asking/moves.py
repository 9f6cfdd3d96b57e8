"""A shop's past questions asked in two editions: whose answers move."""

from __future__ import annotations

import json
import logging
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from bucktail_service.asking.changes import changes_link, two_editions
from bucktail_service.asking.pick import COLUMNS, answer_read, read_pick
from bucktail_service.asking.question import Answer, Payload
from bucktail_service.engine.changes import RowKey, change_cautions, changed_rows, changes
from bucktail_service.engine.errors import QuestionError
from bucktail_service.engine.moves import Outcome, move, outcome_of, summary
from bucktail_service.flat import cell, rows_csv
from bucktail_service.problems import problem, problem_of
from bucktail_tables.model import Edition

# where an answer came from is no part of what it says, nor whether its edition is a draft
LEFT_OUT = ("answered_edition", "link")
LEFT_OUT_CAUTIONS = frozenset({"edition-draft"})
HEADER = ("row", "carried", "outcome", "column", "before", "after", "by", "why", "problem_before", "problem_after")

log = logging.getLogger(__name__)


class Past(NamedTuple):
    """A past question: its row from 1, what it asks, what else its row carries, or why it cannot be asked."""

    number: int
    question: Mapping[str, Any]
    carried: Mapping[str, Any]
    problem: Mapping[str, Any] | None


def answer_moves(name: str, other: str, past: Sequence[Past]) -> Answer:
    """Return how the answers to past questions move; UnknownEdition when an edition is not installed."""
    return moves_between(*two_editions(name, other), past)


def moves_between(before: Edition, after: Edition, past: Sequence[Past]) -> Answer:
    """Return how the answers to past questions move from one edition to another."""
    told = changes(before, after)
    moved = _mover(before, after, changed_rows(told))
    moves = [
        {"row": row.number, "question": dict(row.question), "carried": dict(row.carried), **moved(row)} for row in past
    ]
    return {
        "from": told["from"],
        "to": told["to"],
        "summary": summary(moves),
        "changes": told["counts"],
        "moves": moves,
        "cautions": change_cautions(told, before, after),
        "link": changes_link(before, after),
    }


def _mover(
    before: Edition, after: Edition, changed: Mapping[RowKey, Mapping[str, Any]]
) -> Callable[[Past], dict[str, Any]]:
    """Return a function that moves one question; one that stands in the file again is not asked again."""
    kept: dict[str, dict[str, Any]] = {}

    def moved(row: Past) -> dict[str, Any]:
        if row.problem is not None:
            refused = Outcome(None, problem=row.problem)
            return move(refused, refused, changed)
        key = json.dumps(row.question, sort_keys=True)
        if key not in kept:
            kept[key] = move(_outcome(row.question, before), _outcome(row.question, after), changed)
        return kept[key]

    return moved


def _outcome(payload: Payload, edition: Edition) -> Outcome:
    try:
        answer = answer_read(read_pick(payload).question, edition)
        return outcome_of(answer, _figures(answer))
    except QuestionError as error:
        return Outcome(None, problem=problem_of(error))
    except Exception:  # one row must not end the others; the log keeps what happened
        log.exception("a past question failed")
        told = problem("internal", "The service failed", 500, "this row could not be answered: our fault")
        return Outcome(None, problem=told)


def _figures(answer: Answer) -> dict[str, Any]:
    """Return the main figures of an answer, as the columns of its CSV name them."""
    cautions = [caution for caution in answer["cautions"] if caution["code"] not in LEFT_OUT_CAUTIONS]
    said = {**answer, "cautions": cautions}
    return {name: get(said) for name, get in COLUMNS.items() if name not in LEFT_OUT}


def moves_csv(answer: Payload) -> str:
    """Return the moves as CSV: a header, and a line for each figure that moves; one for a question without any."""
    return rows_csv([list(HEADER), *(line for entry in answer["moves"] for line in _lines(entry))])


def _lines(entry: Mapping[str, Any]) -> Iterator[list[str]]:
    head = [cell(entry["row"]), json.dumps(entry["carried"]) if entry["carried"] else "", entry["outcome"]]
    why = "; ".join(f"{row['table']} {'/'.join(row['row'])}" for row in entry["why"])
    problems = [_told(entry[side]) for side in ("problem_before", "problem_after")]
    for figure in entry["figures"] or [{"column": None, "before": None, "after": None, "by": None}]:
        yield [*head, *(cell(figure[name]) for name in ("column", "before", "after", "by")), why, *problems]


def _told(problem: Mapping[str, Any] | None) -> str:
    return "" if problem is None else f"{problem['type'].rpartition(':')[2]}: {problem['detail']}"
