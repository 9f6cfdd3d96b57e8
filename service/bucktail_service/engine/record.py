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
    pieces = f"{len(row['failed'])} of {row['count']} rivets" if row is not None else "rivets"
    done = "no option chosen: see the manufacturer's data"
    if chosen is not None:
        done = f"replaced {pieces} {installed['part_number']} by {chosen['part_number']} ({chosen['title']})"
    documents = list(dict.fromkeys(source["document"] for source in answer["sources"]))
    lines = [
        f"Description of work: {done}",
        f"Stack: {answer['found']['stack']}; hole opened to: {answer['opening'] and answer['opening']['final']}",
        f"Position on the structure: {_BLANK}",
        f"Manufacturer's data used: {_BLANK}",
        "General data used: " + "; ".join(documents),
        f"Tables: edition {edition['name']} ({edition['status']}), sha256 {edition['sha256']}",
        f"Practice: {answer['practice']}",
    ]
    if chosen is not None and chosen["link"]:
        lines.append(f"Answer replayed by: {chosen['link']}")
    return [
        *lines,
        f"Date completed: {_BLANK}",
        f"Work done by (name): {_BLANK}",
        f"Signature: {_BLANK}",
        f"Certificate number and kind: {_BLANK}",
        f"Weight and balance checked, by whom: {_BLANK}",
    ]
