"""The pick answer as text."""

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
    inch,
    letters,
    strength_lines,
    subtitle,
    title,
)
from bucktail_service.text.pick_parts import hole_lines, layer, spacing_lines, why_lines


def pick_text(answer: Answer, *, why: bool = False, style: Style = PLAIN) -> str:
    """Return a pick answer as text; *why* adds the reasoning and every figure's source."""
    if answer["family"] != "solid":
        from bucktail_service.text.by_grip import by_grip_text  # noqa: PLC0415  a solid rivet does not pay for it

        return by_grip_text(answer, why=why, style=style)
    marks = letters(answer)
    lines = [
        *title(answer["part_number"], style),
        subtitle(answer, answer["length"]["length_in"]),
        *_length(answer, marks),
        "",
        "HOLE",
        *hole_lines(answer["hole"], marks),
        *spacing_lines(answer["spacing"], marks),
        *_formed_head(answer["formed_head"], marks),
        *strength_lines(answer, marks),
        *caution_lines(answer["cautions"], style),
        *(why_lines(answer, style) if why else []),
        *foot(answer, style),
    ]
    return "\n".join(lines) + "\n"


def _length(answer: Answer, marks: Mapping[str, str]) -> list[str]:
    stack, length = answer["stack"], answer["length"]
    also = f"also fits: {', '.join('-' + dash for dash in length['alternatives'])}" if length["alternatives"] else ""
    counts = "head included" if length["counts"] == "overall" else "under the head"
    lines = ["", "LENGTH", figure_row("stack", stack, "total", " ")]
    if len(stack["layers"]) > 1:
        lines.append(hanging(f"  {'':<15}", " + ".join(layer(entry) for entry in stack["layers"])))
    if stack["minimum_in"] != stack["maximum_in"]:
        lines += [figure_row("  thinnest", stack, "minimum", " "), figure_row("  thickest", stack, "maximum", " ")]
    told = f"{counts}; {also}".rstrip("; ")
    lines += [
        figure_row("ideal", length, "ideal", marks["length.ideal"]),
        figure_row(f"-{length['dash']}", length, "length", marks["length.length"], told),
    ]
    if length["trim_to_in"] is not None:
        lines.append(figure_row("cut it to", length, "trim_to", marks["length.trim_to"]))
    lines.append(figure_row("stands out", length, "protrusion", marks["length.protrusion"], _window(length, marks)))
    return lines


def _window(length: Answer, marks: Mapping[str, str]) -> str:
    """Return the window of the protrusion, and whether it lies inside."""
    low, high, out = (length[f"protrusion{end}_in"] for end in ("_minimum", "_maximum", ""))
    least = f"{inch(low)} {marks['length.protrusion_minimum']}".strip()
    if high is None:
        return f"at least {least}"
    most = f"{inch(high)} {marks['length.protrusion_maximum']}".strip()
    return f"allowed {least} to {most}" if low <= out <= high else f"outside {least} to {most}: see cautions"


def _formed_head(block: Answer, marks: Mapping[str, str]) -> list[str]:
    """Return the formed head: a table of its limits, and what it comes to by volume."""
    lines = ["", "FORMED HEAD", f"  {'':<15}{'at least':<12}{'nominal':<12}at most"]
    for label, measure in (("across", "diameter"), ("high", "height")):
        names = [f"{measure}_{end}" for end in ("minimum", "nominal", "maximum")]
        inches = "".join(_cell(block[f"{name}_in"], marks.get(f"formed_head.{name}", " ")) for name in names)
        lines.append(f"  {label + ', in':<15}{inches}".rstrip())
        lines.append(f"  {'    mm':<15}{''.join(_cell_mm(block[f'{name}_mm']) for name in names)}".rstrip())
    return [*lines, *_by_volume(block)]


def _by_volume(block: Answer) -> list[str]:
    high, wide = block["predicted_height_in"], block["predicted_diameter_in"]
    if high is None or wide is None:
        return []
    across, tall = inch(block["diameter_nominal_in"]), inch(block["height_nominal_in"])
    return [
        f"  by volume, driven to {across} across it stands about {inch(high)} high{_beside(high, block, 'height')} e",
        f"             driven to {tall} high it comes to about {inch(wide)} across{_beside(wide, block, 'diameter')} e",
    ]


def _beside(value: float, block: Answer, measure: str) -> str:
    low, high = block[f"{measure}_minimum_in"], block[f"{measure}_maximum_in"]
    if low is not None and value < low:
        return " (under)"
    return " (over)" if high is not None and value > high else ""


def _cell(value: float | None, mark: str) -> str:
    return f"{'-' if value is None else f'{inch(value)} {mark}':<12}"


def _cell_mm(value: float | None) -> str:
    return f"{'-' if value is None else f'{value:.2f}':<12}"
