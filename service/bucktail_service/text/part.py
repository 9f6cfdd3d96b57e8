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
    mm,
    source_lines,
    strength_lines,
    subtitle,
    title,
)

_COUNTED = {"under-head": "under the head", "overall": "head included", "shank": "the shank"}


def part_text(answer: Answer, *, why: bool = False, style: Style = PLAIN) -> str:
    """Return a part answer as text; *why* adds every figure's source."""
    marks, solid = letters(answer), answer["family"] == "solid"
    length = answer["length"]
    shown = subtitle(answer, None if length is None else length["length_in"]) if solid else _subtitle(answer)
    lines = [*title(answer["written_as"], style), shown]
    lines += ["", *(hanging(f"  {field['text'] or '-':<9}", field["meaning"]) for field in answer["fields"])]
    if answer["same_as"]:
        lines += ["", "ALSO WRITTEN"]
        lines += [f"  {entry['number']:<20} {entry['relation']}" for entry in answer["same_as"]]
    if answer["notes"]:
        lines += ["", "TAKE CARE", *(hanging("  - ", note) for note in answer["notes"])]
    lines += [] if solid else _grip(answer, marks)
    lines += _head(answer["head"], marks)
    lines += strength_lines(answer, marks) if solid else _strength(answer["strength"], marks)
    lines += caution_lines(answer["cautions"], style)
    if why:
        lines += source_lines(answer, style)
    return "\n".join([*lines, *foot(answer, style)]) + "\n"


def _subtitle(answer: Answer) -> str:
    """Return size, head and material in words; these fasteners have no head mark or heat treatment in the tables."""
    diameter, alloy, head = answer["diameter"], answer["alloy"], answer["head"]
    size = f"{diameter['fraction']} in ({mm(diameter['nominal_mm'])})"
    told = "head not in the tables" if head["style"] == "not in the tables" else f"{head['style']} head"
    return hanging("", f"{size}, {told}, material: {alloy['name']}")


def _grip(answer: Answer, marks: Mapping[str, str]) -> list[str]:
    """Return the grip, the stacks it holds, and the length where it is known."""
    grip, length = answer["grip"], answer["length"]
    if grip is None:
        return []
    lines = ["", "GRIP", hanging(f"  {'-' + grip['dash']:<15}", grip["counts"])]
    if grip["length_in"] is not None:
        lines.append(figure_row("grip", grip, "length", marks["grip.length"]))
    included = "this included" if grip["minimum_included"] else "this not included"
    lines.append(figure_row("holds over", grip, "minimum", marks["grip.minimum"], included))
    also = f"shared by {', '.join('-' + dash for dash in grip['alternatives'])}" if grip["alternatives"] else ""
    lines.append(figure_row("  up to", grip, "maximum", marks["grip.maximum"], also))
    if length is not None:
        lines.append(figure_row("long", length, "length", marks["length.length"], _COUNTED[length["counts"]]))
    return lines


def _head(head: Answer, marks: Mapping[str, str]) -> list[str]:
    if head["diameter_in"] is None:
        return []
    rows = (figure_row(name, head, name, marks.get(f"head.{name}", " ")) for name in ("diameter", "height"))
    return ["", "HEAD", *rows]


def _strength(strength: Answer, marks: Mapping[str, str]) -> list[str]:
    """Return what a blind rivet, a bolt or a pin carries, as far as a row tells it."""
    lines = []
    for label, name in (("single shear", "single_shear"), ("double shear", "double_shear"), ("tension", "tension")):
        if strength[f"{name}_lbf"] is not None:
            pounds, newtons = f"{strength[f'{name}_lbf']:.0f} lbf", f"{strength[f'{name}_n']:.0f} N"
            mark = "e" if strength["basis"] == "estimated" else marks[f"strength.{name}"]
            lines.append(f"  {label:<15}{pounds:<11} {mark} {newtons:>7}")
    return ["", "STRENGTH", *lines] if lines else []
