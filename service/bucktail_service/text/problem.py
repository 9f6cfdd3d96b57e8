"""A problem as text."""

from __future__ import annotations

from bucktail_service.text.common import PLAIN, Answer, Style, hanging


def problem_text(problem: Answer, *, style: Style = PLAIN) -> str:
    """Return a problem as text: what, then each field with what was wrong and a good example."""
    lines = [style.warn(problem["title"])]
    if not problem["errors"]:
        lines.append(hanging("  ", problem["detail"]))
    for error in problem["errors"]:
        lines.append(hanging(f"  {error['field']}: ", error["detail"]))
        lines.append(hanging("    good: ", error["example"]))
    return "\n".join(lines) + "\n"
