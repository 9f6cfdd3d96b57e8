"""Parts of the pick answer as text that every family shares."""

from __future__ import annotations

from collections.abc import Mapping

from bucktail_service.text.common import Answer, Style, figure_row, hanging, inch, source_lines


def layer(entry: Answer) -> str:
    """Return a layer: its thickness, and its material where it was said."""
    return f"{inch(entry['thickness_in'])} {entry['material'] or ''}".strip()


def hole_lines(hole: Answer, marks: Mapping[str, str]) -> list[str]:
    """Return drills, limits and the hole as given."""
    lines = []
    for use in ("pilot", "final"):
        drill = hole[use]
        if drill is not None:
            lines.append(figure_row(use, drill, "diameter", marks[f"hole.{use}"], f"drill {drill['drill']}"))
    for label, end in (("finished from", "minimum"), ("finished to", "maximum")):
        if hole[f"{end}_in"] is not None:
            lines.append(figure_row(label, hole, end, marks[f"hole.{end}"]))
    if "given" in hole:
        given = hole["given"]
        lines.append(figure_row("as given", given, "diameter", " ", f"{given['text']}: {_fit(hole)}"))
    return lines


def _fit(hole: Answer) -> str:
    size, low, high = hole["given"]["diameter_in"], hole["minimum_in"], hole["maximum_in"]
    if low is None or high is None:
        return "no limits in the tables"
    final = hole["final"]
    if size < low and final is not None and size >= final["diameter_in"]:
        return f"as drill {final['drill']} is, under {inch(low)}: measure it"
    if size < low:
        return f"too small, under {inch(low)}"
    return f"too big, over {inch(high)}" if size > high else "within its limits"


_SPACING = {
    "edge_minimum": "edge at least",
    "edge_layout": "  lay out at",
    "edge_maximum": "  at most",
    "pitch_minimum": "pitch at least",
    "pitch_usual_low": "  usual from",
    "pitch_usual_high": "  usual to",
    "pitch_maximum": "  at most",
    "row_minimum": "rows apart",
    "staggered_pitch_minimum": "  pitch then",
}


def spacing_lines(spacing: Answer, marks: Mapping[str, str]) -> list[str]:
    """Return the section of edge distance, pitch and row spacing."""
    lines = ["", "SPACING, centre to edge and centre to centre"]
    for name, label in _SPACING.items():
        if spacing[f"{name}_in"] is not None:
            told = "staggered rows" if name == "staggered_pitch_minimum" else ""
            lines.append(figure_row(label, spacing, name, marks[f"spacing.{name}"], told))
    return lines


def why_lines(answer: Answer, style: Style) -> list[str]:
    """Return the reasoning and the sources."""
    return ["", "WHY", *(hanging("  - ", reason) for reason in answer["reasoning"]), *source_lines(answer, style)]
