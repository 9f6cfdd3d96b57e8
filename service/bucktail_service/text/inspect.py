"""The inspect answer as text: the verdict, every figure beside its limits, each rejected piece with its cause."""

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
    mm,
    source_lines,
    subtitle,
    title,
)

_NAMES = {
    "formed_diameter": "head across",
    "formed_height": "head high",
    "hole": "hole",
    "gap": "feeler enters",
    "flushness": "above the skin",
    "edge_distance": "edge distance",
    "pitch": "pitch",
    "collar": "collar above head",
    "stem": "stem above head",
    "protrusion": "stands out",
    "stack": "stack",
}
_MARKS = {"inside limits": "inside", "outside limits": "OUTSIDE", "no limit": "no limit"}


def inspect_text(answer: Answer, *, why: bool = False, style: Style = PLAIN) -> str:
    """Return an inspect answer as text; *why* adds the sums and every figure's source."""
    marks = letters(answer)
    lines = [*title(_headline(answer), style), _subtitle(answer)]
    lines += ["", *_practices(answer), *_limits(answer, marks)]
    if answer["count"] > 1:
        lines += _pieces(answer)
    lines += _causes(answer, marks)
    lines += _by_volume(answer["by_volume"])
    lines += _look_for(answer)
    lines += caution_lines(answer["cautions"], style)
    if why:
        lines += ["", "WHY", *(hanging("  - ", reason) for reason in answer["reasoning"])]
        lines += source_lines(answer, style)
    return "\n".join([*lines, *foot(answer, style)]) + "\n"


def _subtitle(answer: Answer) -> str:
    """Return what it is in words; a fastener chosen by grip has no head mark and no heat treatment to tell."""
    if not _by_grip(answer):
        return subtitle(answer, answer["by_volume"]["length_in"])
    diameter, alloy, head = answer["diameter"], answer["alloy"], answer["head"]
    named = answer["fastener"]
    return hanging(
        "", f"{named}: {diameter['fraction']} in ({mm(diameter['nominal_mm'])}), {head['name']} head, {alloy['name']}"
    )


def _by_grip(answer: Answer) -> bool:
    """Return whether it is a fastener chosen by grip: only of a driven rivet is anything known by volume."""
    return answer["by_volume"]["protrusion_minimum_in"] is None


def _look_for(answer: Answer) -> list[str]:
    found = [("REJECT: " if look["rejects"] else "") + look["text"] for look in answer["look_for"]]
    heading = "LOOK FOR what was not measured" if _by_grip(answer) else "LOOK FOR what no figure shows"
    return ["", heading, *(hanging("  - ", told) for told in found)] if found else []


def _headline(answer: Answer) -> str:
    verdict = answer["verdict"].upper()
    return verdict if answer["count"] == 1 else f"{answer['rejects']} OF {answer['count']} OUT, {verdict}"


def _practices(answer: Answer) -> list[str]:
    lines = []
    for entry in answer["practices"]:
        rules = "rules" if entry["rules"] else ""
        numbers = ", ".join(map(str, entry["rejected"]))
        out = f" (pieces {numbers})" if entry["rejected"] and answer["count"] > 1 else ""
        lines.append(hanging(f"  {entry['practice']:<10}{rules:<7}", entry["verdict"] + out))
    return lines


def _limits(answer: Answer, marks: Mapping[str, str]) -> list[str]:
    """Return each figure with what each practice says; of many pieces the limits alone."""
    lines = ["", "FIGURES, in                measured"]
    told = set()
    for figure in answer["figures"]:
        name = figure["name"]
        if name in told:
            continue
        told.add(name)
        alone = figure["piece"] is None or answer["count"] == 1
        measured = inch(figure["measured_in"]) if alone else "by piece"
        lines.append(f"  {_NAMES[name]:<25}{measured}")
        for by in figure["by"]:
            verdict = _MARKS[by["verdict"]] if alone else ""
            mark = marks.get(f"{name}.{by['practice']}", " ")
            lines.append(hanging(f"    {by['practice']:<10}{verdict:<10}", f"{by['limit']} {mark}".rstrip()))
    return lines


def _pieces(answer: Answer) -> list[str]:
    lines = ["", "PIECES          across      high"]
    for piece in answer["pieces"]:
        verdict = "OUTSIDE" if piece["verdict"] == "outside limits" else ""
        row = f"  {piece['piece']:>5}     {inch(piece['diameter_in']):>10}{inch(piece['height_in']):>10}   {verdict}"
        lines.append(row.rstrip())
    return lines


def _causes(answer: Answer, marks: Mapping[str, str]) -> list[str]:
    lines = []
    grouped: dict[str, list[str]] = {}
    for piece in answer["pieces"]:
        for cause in piece["causes"]:
            grouped.setdefault(cause["text"], []).append(str(piece["piece"]))
    for told, numbers in grouped.items():
        lines.append(hanging(f"  {', '.join(numbers)}: ", f"{told} {marks['causes']}".rstrip()))
    heading = "WHAT CAUSED IT" if _by_grip(answer) else "WHAT CAUSED IT, by volume"
    return ["", heading, *lines] if lines else []


def _by_volume(block: Answer) -> list[str]:
    if block["shank_left_in"] is None:
        return []
    least, most = block["protrusion_minimum_in"], block["protrusion_maximum_in"]
    window = f"allowed {inch(least)} or more" if most is None else f"allowed {inch(least)} to {inch(most)}"
    return [
        "",
        "SHANK FOR THE HEAD",
        figure_row("stood out", block, "protrusion", " ", window),
        figure_row("into the hole", block, "swelled", "e"),
        figure_row("left", block, "shank_left", "e"),
    ]
