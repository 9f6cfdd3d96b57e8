"""The rows that words were found in, as text."""

from __future__ import annotations

from bucktail_service.text.common import MARKS, PLAIN, Answer, Style, caution_lines, hanging
from bucktail_service.text.edition_row import document_of, foot_lines, house_lines


def edition_find_text(answer: Answer, *, style: Style = PLAIN) -> str:
    """Return the rows found as text, the best first; each with the mark of how well it is known."""
    words, shown = " ".join(answer["words"]), len(answer["rows"])
    if not shown:
        lines = [hanging("", f"no row holds every word: {words}")]
    elif answer["more"]:
        told = f"the best {shown} of {answer['found']} rows; {answer['more']} more with a higher limit"
        lines = [hanging("", f"{words}: {told}")]
    else:
        lines = [hanging("", f"{words}: {shown} {'row' if shown == 1 else 'rows'}")]
    for row in answer["rows"]:
        lines += ["", style.bold(hanging(f"{MARKS[row['basis']]} ", f"{row['table']}  {'  '.join(row['key'])}"))]
        others = [
            f"{column} {text}" for column, text in row["cells"].items() if text and column not in row["primary_key"]
        ]
        if others:
            lines.append(hanging("    ", ", ".join(others)))
        lines.append(style.dim(hanging("    ", f"{row['basis']}: {document_of(row)}")))
        if row["note"]:
            lines.append(style.dim(hanging("    note: ", row["note"])))
        lines += house_lines(row)
    lines += caution_lines(answer["cautions"], style) if shown else []
    return "\n".join([*lines, *foot_lines(answer, style)]) + "\n"
