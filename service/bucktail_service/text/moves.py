"""Whose answers move between two editions, as text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from bucktail_service.engine.moves import MOVED, SAME
from bucktail_service.text.changes import counts_line, heading, row_lines, shown_cell
from bucktail_service.text.common import PLAIN, Answer, Style, caution_lines, hanging

_WORDS = {
    "same": "the same",
    "part-number": "another part number",
    "figures": "other figures",
    "only-before": "no longer answered",
    "only-after": "answered now",
    "unanswered": "answered in neither",
}


def moves_text(answer: Answer, *, style: Style = PLAIN) -> str:
    """Return whose answers move, by how much and why; questions that stay as they are are only counted."""
    told = answer["summary"]
    counts = ", ".join(f"{count} {_WORDS[name]}" for name, count in told["outcomes"].items() if count)
    lines = [*heading("MOVES", answer, style), counts_line(answer["changes"])]
    lines.append(hanging("", f"{_questions(told['questions']).lstrip()} asked as pick: {counts or 'none'}"))
    lines.append("what other questions answer, joint or inspect, was not asked")
    if told["same_on_changed_rows"]:
        lines.append(f"the same, but resting on a row that has changed: {told['same_on_changed_rows']}")
    lines += [*_columns(told), *_tables(told)]
    for move in answer["moves"]:
        if move["outcome"] != SAME:
            lines += ["", *_move(move, style)]
    lines += [*caution_lines(answer["cautions"], style), "", style.dim(answer["link"])]
    return "\n".join(lines) + "\n"


def _questions(count: int) -> str:
    return f"{count:>5} question{'s' * (count != 1)}"


def _columns(told: Mapping[str, Any]) -> Iterator[str]:
    if told["columns"]:
        yield from ("", "WHAT MOVES")
    for column in told["columns"]:
        most = "" if column["largest"] is None else f", by up to {column['largest']:+}"
        yield f"  {column['column']:<30} {_questions(column['questions'])}{most}"


def _tables(told: Mapping[str, Any]) -> Iterator[str]:
    if told["moved"]:
        yield from ("", "CHANGED ROWS THEY NAME")
    for table in told["tables"]:
        yield f"  {table['table']:<30} {_questions(table['questions'])}"
    if told["unexplained"]:
        yield f"  {'none':<30} {_questions(told['unexplained'])}: a row no answer names"


def _move(move: Mapping[str, Any], style: Style) -> Iterator[str]:
    was, now = move["part_number_before"], move["part_number_after"]
    numbers = shown_cell(was) if was == now else f"{shown_cell(was)} -> {shown_cell(now)}"
    told = f"row {move['row']}: {_WORDS[move['outcome']]}"
    yield style.bold(hanging("", told if was is now is None else f"{told}, {numbers}"))
    for figure in move["figures"]:
        yield hanging(f"  {figure['column']:<28} ", _change(figure))
    problems = dict.fromkeys(problem["detail"] for problem in _problems(move))
    for detail in problems:
        yield hanging("  ! ", detail)
    if move["outcome"] in MOVED:
        yield from _why(move)


def _change(figure: Mapping[str, Any]) -> str:
    before, after = figure["before"], figure["after"]
    if figure["column"] == "cautions":  # a long list: what is new in it and what is gone
        old, new = before.split(), after.split()
        told = [*(f"+ {code}" for code in new if code not in old), *(f"- {code}" for code in old if code not in new)]
        return "  ".join(told) or "in another order"
    by = "" if figure["by"] is None else f"  ({figure['by']:+})"
    return f"{shown_cell(before)} -> {shown_cell(after)}{by}"


def _problems(move: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    return [move[side] for side in ("problem_before", "problem_after") if move[side] is not None]


def _why(move: Mapping[str, Any]) -> Iterator[str]:
    if not move["why"]:
        yield hanging("  why: ", "no row the answers name has changed; a row that no answer names has")
        return
    yield "  changed rows the answers name:"
    for row in move["why"]:
        yield from row_lines(row, "    ")
