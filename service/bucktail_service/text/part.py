"""The part answer as text."""

from __future__ import annotations

from collections.abc import Mapping

from bucktail_service.text.common import (
    PLAIN,
    Answer,
    Style,
    caution_lines,
    figure_row,
    foot,
    hanging,
    letters,
    source_lines,
    strength_lines,
    subtitle,
    title,
)


def part_text(answer: Answer, *, why: bool = False, style: Style = PLAIN) -> str:
    """Return a part answer as text; *why* adds every figure's source."""
    marks = letters(answer)
    length = answer["length"]
    lines = [*title(answer["written_as"], style), subtitle(answer, None if length is None else length["length_in"])]
    lines += ["", *(hanging(f"  {field['text'] or '-':<9}", field["meaning"]) for field in answer["fields"])]
    if answer["same_as"]:
        lines += ["", "ALSO WRITTEN"]
        lines += [f"  {entry['number']:<20} {entry['relation']}" for entry in answer["same_as"]]
    if answer["notes"]:
        lines += ["", "TAKE CARE", *(hanging("  - ", note) for note in answer["notes"])]
    lines += _head(answer["head"], marks)
    lines += strength_lines(answer, marks)
    lines += caution_lines(answer["cautions"], style)
    if why:
        lines += source_lines(answer, style)
    return "\n".join([*lines, *foot(answer, style)]) + "\n"


def _head(head: Answer, marks: Mapping[str, str]) -> list[str]:
    if head["diameter_in"] is None:
        return []
    return ["", "HEAD", *(figure_row(name, head, name, marks[f"head.{name}"]) for name in ("diameter", "height"))]
