"""A row of a table as text, and what the pages of the tables share."""

from __future__ import annotations

from collections.abc import Mapping

from bucktail_service.text.common import LEGEND, MARKS, PLAIN, WIDTH, Answer, Style, caution_lines, hanging


def edition_row_text(answer: Answer, *, style: Style = PLAIN) -> str:
    """Return a row as text: every cell with its unit, where it was read, how well it is known."""
    lines = [style.bold(hanging("", f"{answer['table']}  {'  '.join(answer['key'])}")), hanging("", answer["title"])]
    lines += ["", *cell_lines(answer["cells"], answer["units"])]
    lines += ["", hanging(f"  {MARKS[answer['basis']]} ", f"{answer['basis']}: {document_of(answer)}")]
    if answer["note"]:
        lines.append(hanging("    note: ", answer["note"]))
    lines += house_lines(answer)
    lines += caution_lines(answer["cautions"], style)
    return "\n".join([*lines, *foot_lines(answer, style)]) + "\n"


def cell_lines(cells: Mapping[str, str], units: Mapping[str, str]) -> list[str]:
    """Return each cell that is not empty on a line of its own, its unit behind it."""
    filled = {column: text for column, text in cells.items() if text}
    widest = min(max(map(len, filled), default=0), WIDTH // 3)
    return [
        hanging(f"  {column:<{widest}}  ", f"{text} {units[column]}" if column in units else text)
        for column, text in filled.items()
    ]


def house_lines(row: Answer) -> list[str]:
    """Return whose row it is, where it is a house's own."""
    return [f"    row of the house tables of {row['house']}"] if "house" in row else []


def document_of(row: Answer) -> str:
    """Return the document of a row and the place in it."""
    return f"{row['document']}, {row['place']}" if row["place"] else str(row["document"])


def foot_lines(answer: Answer, style: Style) -> list[str]:
    """Return what the marks mean, the edition and the link."""
    edition = answer["edition"]
    status = " (draft)" if edition["status"] == "draft" else ""
    lines = ["", LEGEND, f"edition {edition['name']}{status}, sha256 {edition['sha256'][:12]}", answer["link"]]
    return [style.dim(line) if line else line for line in lines]
