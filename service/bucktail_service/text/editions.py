"""The editions as text."""

from __future__ import annotations

from bucktail_service.text.common import PLAIN, Answer, Style, hanging


def _since(edition: Answer) -> str:
    return f", superseded {edition['superseded']}" if edition["superseded"] else ""


def editions_text(answer: Answer, *, style: Style = PLAIN) -> str:
    """Return the editions as text."""
    lines = []
    for edition in answer["editions"]:
        default = ", answers by default" if edition["default"] else ""
        status = f"  {edition['status']}{default}{_since(edition)}"
        lines += [style.bold(edition["name"]) + status, f"  {edition['title']}"]
        lines += [f"  sha256 {edition['sha256']}", f"  practices: {', '.join(edition['practices'])}"]
        lines += _house_tables(edition)
        counts = ", ".join(f"{count} {basis}" for basis, count in edition["basis"].items())
        rows = sum(table["rows"] for table in edition["tables"])
        lines += [hanging("  ", f"{len(edition['tables'])} tables, {rows} rows: {counts}")]
        lines += [
            hanging(f"    {table['name']:<20} {table['rows']:>4}  ", table["title"]) for table in edition["tables"]
        ]
    return "\n".join(lines) + "\n"


def edition_text(answer: Answer, *, style: Style = PLAIN) -> str:
    """Return one edition as text: its tables with the beginning of their digests, and what it changed."""
    rows = sum(table["rows"] for table in answer["tables"])
    counts = ", ".join(f"{count} {basis}" for basis, count in answer["basis"].items())
    lines = [style.bold(answer["name"]) + f"  {answer['status']}", hanging("  ", answer["title"])]
    lines += [f"  sha256 {answer['sha256']}", hanging("  practices: ", ", ".join(answer["practices"]))]
    lines += _house_tables(answer)
    lines += [hanging("  ", f"{len(answer['tables'])} tables, {rows} rows: {counts}"), "", "TABLES"]
    lines += [
        hanging(f"  {table['sha256'][:8]}  {table['name']:<22} {table['rows']:>4}  ", table["title"])
        for table in answer["tables"]
    ]
    lines += ["", "CHANGES", *_notes(answer["changes"])] if answer["changes"] else []
    return "\n".join([*lines, "", style.dim(answer["link"])]) + "\n"


def _house_tables(edition: Answer) -> list[str]:
    """Return what a house edition stands on and where its own rows stand; nothing for others."""
    if "extends" not in edition:
        return []
    return [hanging("  ", f"extends {edition['extends']['name']}; house tables: {', '.join(edition['house_tables'])}")]


def _notes(changes: str) -> list[str]:
    """Return the notes of an edition no wider than the page, their lists as they are indented."""
    lines: list[str] = []
    for paragraph in _paragraphs(changes):
        lead = paragraph[: len(paragraph) - len(paragraph.lstrip(" -"))]
        lines.append(hanging("  " + lead, paragraph[len(lead) :]) if paragraph.strip() else "")
    return lines


def _paragraphs(text: str) -> list[str]:
    """Return the paragraphs and list entries of a Markdown text, each on one line."""
    joined: list[str] = []
    for line in text.splitlines():
        begins = not line.strip() or line.lstrip().startswith(("- ", "#")) or not joined
        if begins or not joined[-1].strip() or joined[-1].startswith("#"):
            joined.append(line)
        else:
            joined[-1] += " " + line.strip()
    return joined
