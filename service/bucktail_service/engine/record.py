"""The work note: what was done and on which data, with the fields a maintenance record asks for left blank.

The fields are those of 14 CFR 43.9(a); it states nothing about the aircraft.
"""

from __future__ import annotations

from typing import Any

_BLANK = "______________________________"


def work_note(answer: dict[str, Any]) -> list[str]:
    """Return the lines of the work note of a rework answer."""
    chosen = next((option for option in answer["options"] if option["name"] == answer["recommended"]), None)
    installed, row, edition = answer["installed"], answer["row"], answer["edition"]
    pieces = f"{len(row['failed'])} of {row['count']} rivets" if row is not None and row["failed"] else "rivet"
    done = "no option chosen: see the manufacturer's data"
    hole = ""
    if chosen is not None:
        done = f"replacement of {pieces} {installed['part_number']} by {chosen['part_number']} ({chosen['title']})"
        hole = f"; hole: {answer['opening']['steps'][0]}"
    lines = [
        f"Description of work: {done}",
        f"Stack: {answer['found']['stack']}{hole}",
        f"Position on the structure: {_BLANK}",
        f"Manufacturer's data used: {_BLANK}",
        "General data used: "
        + "; ".join(_documents(answer))
        + "; beside them memory and estimates, marked in the answer",
        f"Tables: edition {edition['name']} ({edition['status']}), sha256 {edition['sha256']}",
        f"Practice: {answer['practice']}",
    ]
    if chosen is not None and chosen["link"]:
        lines.append(f"Figures of the new rivet replayed by: {chosen['link']}")
    return [
        *lines,
        f"Date completed: {_BLANK}",
        f"Work done by (name): {_BLANK}",
        f"Signature: {_BLANK}",
        f"Certificate number and kind: {_BLANK}",
        f"Weight and balance checked, by whom: {_BLANK}",
    ]


def _documents(answer: dict[str, Any]) -> list[str]:
    """Return the documents that were read, or quoted, for the option chosen and for the work."""
    parts = (f"options.{answer['recommended']}.", "removal.", "opening.", "setting.", "row.", "couples.")
    used = [
        source["document"].partition(" (")[0]
        for source in answer["sources"]
        if source["basis"] in ("published", "second-hand") and any(name.startswith(parts) for name in source["figures"])
    ]
    return list(dict.fromkeys(used))
