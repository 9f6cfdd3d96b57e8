"""The joint answer as text."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby

from bucktail_service.text.common import (
    PLAIN,
    Answer,
    Style,
    caution_lines,
    foot,
    hanging,
    inch,
    letters,
    mm,
    source_lines,
    title,
)

Marks = Mapping[str, str]


def joint_text(answer: Answer, *, why: bool = False, style: Style = PLAIN) -> str:
    """Return a joint answer as text; *why* adds the reasoning and every figure's source."""
    marks = letters(answer)
    lines = [
        *title(_verdict(answer), style),
        *_what(answer),
        *_each(answer, marks),
        *_need(answer),
        *_pattern(answer, style),
        *_counts(answer, marks),
        *_layout(answer["layout"], style),
        *caution_lines(answer["cautions"], style),
        *(["", "WHY", *(hanging("  - ", reason) for reason in answer["reasoning"])] if why else []),
        *(source_lines(answer, style) if why else []),
        *foot(answer, style),
    ]
    return "\n".join(lines) + "\n"


def _verdict(answer: Answer) -> str:
    allowed, critical = answer["allowed"], answer["critical"]
    if allowed["load_lbf"] is not None:
        mode = {"flush": "flush joint", "bearing": f"bearing in layer {critical['layer']}"}
        return f"{allowed['load_lbf']} lbf a rivet: {mode.get(critical['mode'], critical['mode'])} governs"
    if allowed["at_most_lbf"] is not None:
        return f"NOT KNOWN: at most {allowed['at_most_lbf']} lbf a rivet"
    return "NOT KNOWN"


def _what(answer: Answer) -> list[str]:
    diameter, head, alloy = answer["diameter"], answer["head"], answer["alloy"]
    size = f"{diameter['fraction']} in ({mm(diameter['nominal_mm'])})"
    layers = " + ".join(
        f"{inch(layer['thickness_in'])} {layer['material'] or ''}".strip() for layer in answer["stack"]["layers"]
    )
    first = f"{answer['standard']}, {size}, {head['name']} head, {alloy['name']}, {answer['shear']['kind']} shear"
    return [hanging("", first), hanging("", layers)]


def _each(answer: Answer, marks: Marks) -> list[str]:
    shear, flush = answer["shear"], answer["flush"]
    planes = " x 2 planes" if shear["planes"] > 1 else ""
    single = "no figure" if shear["single_lbf"] is None else f"{shear['single_lbf']:g} lbf"
    told = f"{single}{planes} x {shear['factor']:g} for {inch(shear['sheet_in'])} in sheet"
    lines = ["", "EACH RIVET", _force("shear", shear, "allowed", marks.get("shear.allowed", " "), told)]
    for layer in answer["layers"]:
        lines.append(_force(f"layer {layer['layer']}", layer, "joint", _bearing_mark(layer, marks), _bearing(layer)))
        if layer["note"]:
            lines.append(hanging(f"  {'':<15}", layer["note"]))
    if flush is not None:
        yields = "" if flush["yield_lbf"] is None else f", yield {flush['yield_lbf']:g} lbf"
        told = f"{flush['preparation']} {inch(flush['sheet_in'])} in{yields}"
        lines.append(_force("flush joint", flush, "ultimate", marks.get("flush.ultimate", " "), told))
    return lines


def _bearing_mark(layer: Answer, marks: Marks) -> str:
    return marks.get(f"layers.{layer['layer']}.bearing", " ")


def _bearing(layer: Answer) -> str:
    if layer["bearing_lbf"] is None:
        return "bearing not known"
    shared = f" on each side, {layer['bearing_lbf']:g} lbf" if layer["joint_lbf"] != layer["bearing_lbf"] else ""
    return f"bearing, {layer['stress_ksi']:g} ksi at {layer['edge_in_d']:.2f} D{shared}"


def _force(label: str, block: Answer, name: str, mark: str, told: str) -> str:
    pounds, newtons = block[f"{name}_lbf"], block[f"{name}_n"]
    value = f"{'none':<11}  {'':>7}" if pounds is None else f"{f'{pounds} lbf':<11}{mark} {newtons:>5.0f} N"
    return hanging(f"  {label:<15}{value}  ", told)


def _need(answer: Answer) -> list[str]:
    need, pattern = answer["need"], answer["pattern"]
    lines = []
    if need is not None:
        lines += ["", "LOAD", hanging("  ", _load(need))]
    if pattern is not None:
        carried = pattern["carried_lbf_per_in"]
        told = "not known" if carried is None else f"{carried:g} lbf/in ({pattern['carried_n_per_mm']:g} N/mm)"
        spread = f"{pattern['rows']} row(s) at {inch(pattern['pitch_in'])} in, {pattern['pieces_per_inch']:g} an inch"
        lines += ["", "PATTERN AS IT IS", hanging("  ", f"{spread}: carries {told}")]
    return lines


def _load(need: Answer) -> str:
    asked = f"{need['load_lbf']:g} lbf{' an inch' if need['per_inch'] else ''} ({need['load_n']:g} N)"
    said = []
    if need["pieces"] is not None:
        said.append(f"{need['pieces']} rivets")
    elif need["pieces_at_least"] is not None:
        said.append(f"at least {need['pieces_at_least']} rivets, how many is not known")
    if need["pieces_per_inch"] is not None:
        said.append(f"{need['pieces_per_inch']:g} an inch")
    return f"{asked} takes {', '.join(said) or 'a number that is not known'}"


def _pattern(answer: Answer, style: Style) -> list[str]:
    if not answer["checks"]:
        return []
    lines = ["", "DISTANCES"]
    for check in answer["checks"]:
        verdict = "passes" if check["passes"] else f"TOO {check['too'].upper()}"
        line = hanging("  ", f"{check['text']}: {verdict}" if check["passes"] else f"{verdict}: {check['text']}")
        lines.append(line if check["passes"] else style.warn(line))
    return lines


def _counts(answer: Answer, marks: Marks) -> list[str]:
    splice, strength = answer["splice"], answer["strength_method"]
    if splice is None and strength is None:
        return []
    lines = ["", "SPLICE, each side of the break"]
    if splice is not None:
        share = "" if splice["percent"] == 100 else f" x {splice['percent']} percent for a {splice['member']}"  # noqa: PLR2004
        told = f"{splice['per_inch']:g} {marks['splice.per_inch']}".strip() + f" an inch{share}"
        lines.append(_count(f"table {splice['table']}", splice["pieces"], told))
        bolt = splice["bolt"]
        if bolt is not None:
            lines.append(_count("  or bolts", bolt["pieces"], f"{bolt['fastener']}, {bolt['per_inch']:g} an inch"))
    if strength is not None:
        s, b = (f"{strength[f'{name}_lbf']:g} {marks[f'strength_method.{name}']}" for name in ("shear", "bearing"))
        told = f"{strength['per_inch']:g} an inch: S {s}, B {b} lbf"
        lines.append(_count("strength method", strength["pieces"], told))
    return lines


def _count(label: str, pieces: int | None, told: str) -> str:
    return hanging(f"  {label:<17}", f"{'' if pieces is None else f'{pieces} pieces; '}{told}")


def _layout(layout: Answer | None, style: Style) -> list[str]:
    if layout is None:
        return []
    lines = ["", f"LAYOUT over {inch(layout['width_in'])} in ({mm(layout['width_mm'])})"]
    if not layout["fits"]:
        return [*lines, style.warn(hanging("  ! ", f"nothing fits: {layout['reason']}"))]
    needed = f" for the {layout['pieces_needed']} needed" if layout["pieces_needed"] else ""
    lines.append(f"  {layout['rows']} row(s) of {layout['per_row']}: {layout['pieces']} rivets{needed}")
    lines.append(f"  {'row':<15}{'from the end':<25}first from the side")
    for row, places in groupby(layout["positions"], key=lambda place: place["row"]):
        first = next(places)
        lines.append(f"  {row:<15}{_both(first, 'y'):<25}{_both(first, 'x')}")
    if layout["pitch_in"] is not None:
        lines.append(f"  {'pitch':<15}{_both(layout, 'pitch'):<25}along each row")
    return lines


def _both(block: Answer, name: str) -> str:
    return f"{inch(block[f'{name}_in'])} in ({mm(block[f'{name}_mm'])})"
