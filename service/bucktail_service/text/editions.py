"""The editions as text."""

from __future__ import annotations

from bucktail_service.text.common import PLAIN, Answer, Style, hanging


def editions_text(answer: Answer, *, style: Style = PLAIN) -> str:
    """Return the editions as text."""
    lines = []
    for edition in answer["editions"]:
        default = ", answers by default" if edition["default"] else ""
        lines += [style.bold(edition["name"]) + f"  {edition['status']}{default}", f"  {edition['title']}"]
        lines += [f"  sha256 {edition['sha256']}", f"  practices: {', '.join(edition['practices'])}"]
        counts = ", ".join(f"{count} {basis}" for basis, count in edition["basis"].items())
        rows = sum(table["rows"] for table in edition["tables"])
        lines += [hanging("  ", f"{len(edition['tables'])} tables, {rows} rows: {counts}")]
        lines += [
            hanging(f"    {table['name']:<20} {table['rows']:>4}  ", table["title"]) for table in edition["tables"]
        ]
    return "\n".join(lines) + "\n"
