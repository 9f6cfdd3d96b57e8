"""The pick answer of a fastener chosen by grip, as text."""

from __future__ import annotations

from collections.abc import Mapping

from bucktail_service.text.common import (
    Answer,
    Style,
    caution_lines,
    figure_row,
    foot,
    hanging,
    inch,
    letters,
    mm,
    title,
)
from bucktail_service.text.pick_parts import hole_lines, layer, spacing_lines, why_lines

LABEL = 15
_MOST_DASHES = 3


def by_grip_text(answer: Answer, *, why: bool, style: Style) -> str:
    """Return a pick answer of a blind rivet, a bolt or a pin as text."""
    marks = letters(answer)
    number = answer["part_number"] or f"{answer['standard']} -{answer['diameter']['dash']}-{answer['grip']['dash']}"
    lines = [
        *title(number, style),
        _subtitle(answer),
        *_grip(answer, marks),
        *_washers(answer["washers"], marks),
        *_nut(answer, marks),
        *_collar(answer["collar"], marks),
        *_section("HOLE", [*hole_lines(answer["hole"], marks), *_fit(answer)]),
        *_shank(answer["shank"], marks),
        *spacing_lines(answer["spacing"], marks),
        *_strength(answer["strength"], marks),
        *_inspection(answer["inspection"], marks),
        *caution_lines(answer["cautions"], style),
        *(why_lines(answer, style) if why else []),
        *foot(answer, style),
    ]
    return "\n".join(lines) + "\n"


def _subtitle(answer: Answer) -> str:
    diameter, alloy, head = answer["diameter"], answer["alloy"], answer["head"]
    size = f"{diameter['fraction']} in ({mm(diameter['nominal_mm'])})"
    style = head["style"] if head["style"].startswith("not ") else f"{head['style']} head"
    told = style.replace("not in the tables", "head not in the tables")
    return hanging("", f"{size}, {told}, {alloy['name']}")


def _section(name: str, lines: list[str]) -> list[str]:
    return ["", name, *lines] if lines else []


def _mark(marks: Mapping[str, str], figure: str) -> str:
    return marks.get(figure, " ")


def _grip(answer: Answer, marks: Mapping[str, str]) -> list[str]:
    stack, grip, length = answer["stack"], answer["grip"], answer["length"]
    lines = [figure_row("stack", stack, "total", " ")]
    if len(stack["layers"]) > 1:
        lines.append(hanging(f"  {'':<{LABEL}}", " + ".join(layer(entry) for entry in stack["layers"])))
    if stack["minimum_in"] != stack["maximum_in"]:
        lines += [figure_row("  thinnest", stack, "minimum", " "), figure_row("  thickest", stack, "maximum", " ")]
    also = f"see also: {_dashes(grip['alternatives'])}" if grip["alternatives"] else ""
    number = f"-{grip['dash']}"
    if grip["length_in"] is not None:
        lines.append(figure_row(f"{number} grip", grip, "length", _mark(marks, "grip.length"), also))
        also = ""
    else:
        lines.append(hanging(f"  {number:<{LABEL}}", grip["counts"]))
    if grip["minimum_in"] is not None:
        told = "this included" if grip["minimum_included"] else "this not included"
        lines.append(figure_row("  holds over", grip, "minimum", _mark(marks, "grip.minimum"), told))
    lines.append(figure_row("  up to", grip, "maximum", _mark(marks, "grip.maximum"), also))
    if length is not None:
        lines.append(figure_row("long", length, "length", _mark(marks, "length.length"), "under the head"))
    return _section("GRIP", lines)


def _dashes(alternatives: list[str]) -> str:
    if len(alternatives) > _MOST_DASHES:
        return f"-{alternatives[0]} to -{alternatives[-1]}"
    return ", ".join(f"-{dash}" for dash in alternatives)


def _washers(washers: Answer | None, marks: Mapping[str, str]) -> list[str]:
    if washers is None:
        return []
    mark = _mark(marks, "washers")
    lines = []
    for side, label in (("under_head", "under head"), ("under_nut", "under nut")):
        for washer in washers[side]:
            told = washer["washer"] + (f" (now {washer['replaced_by']})" if washer["replaced_by"] else "")
            lines.append(figure_row(label, washer, "thickness", mark, told))
        if not washers[side]:
            lines.append(f"  {label:<{LABEL}}none")
    return _section("WASHERS", lines)


def _nut(answer: Answer, marks: Mapping[str, str]) -> list[str]:
    nut, thread, torque, cotter = (answer[name] for name in ("nut", "thread", "torque", "cotter"))
    lines = []
    if nut is not None:
        number = nut["number"] or nut["nut"]
        lines.append(hanging(f"  {'nut':<{LABEL}}", f"{number}, {nut['kind']}, {nut['load']}: {nut['text']}"))
        if nut["height_in"] is not None:
            lines.append(figure_row("  high", nut, "height", _mark(marks, "nut.height")))
    lines += _thread(thread, marks)
    if torque is not None:
        lines.append(_torque("torque", torque, "", _mark(marks, "torque")))
        if torque["drag_in_lb"] is not None:
            lines.append(_torque("  with drag", torque, "final_", _mark(marks, "torque")))
        lines.append(
            f"  {'  never over':<{LABEL}}{torque['allowable_in_lb']:g} in-lb {_mark(marks, 'torque')}".rstrip()
        )
    if cotter is not None:
        told = " ".join(filter(None, (cotter["number"], f"({cotter['size']} in)" if cotter["size"] else "")))
        lines.append(f"  {'cotter pin':<{LABEL}}{told or 'not in the tables'} {_mark(marks, 'cotter')}".rstrip())
        if cotter["hole_minimum_in"] is not None:
            hole = f"{inch(cotter['hole_minimum_in'])} to {inch(cotter['hole_maximum_in'])} in"
            lines.append(f"  {'  its hole':<{LABEL}}{hole} {_mark(marks, 'cotter.hole')}".rstrip())
    return _section("NUT, THREAD AND TORQUE", lines)


def _thread(thread: Answer | None, marks: Mapping[str, str]) -> list[str]:
    if thread is None or thread["thread"] is None:
        return []
    lines = []
    lines.append(f"  {'thread':<{LABEL}}{thread['thread']} {thread['form'] or ''}".rstrip())
    lines.append(_threads("  in the hole", thread, "in_hole", "at most", "maximum", marks))
    if thread["past_nut_in"] is not None and thread["past_nut_in"] < 0:
        short = {f"short_{unit}": -thread[f"past_nut_{unit}"] for unit in ("in", "mm")}
        lines.append(figure_row("  inside the nut", short, "short", _mark(marks, "thread.past_nut"), "too short"))
    elif thread["past_nut_in"] is not None:
        lines.append(_threads("  past the nut", thread, "past_nut", "at least", "minimum", marks))
    elif thread["nut_height_maximum_in"] is not None:
        lines.append(figure_row("  nut at most", thread, "nut_height_maximum", " ", "high, to show enough thread"))
    return lines


def _threads(label: str, thread: Answer, name: str, bound: str, end: str, marks: Mapping[str, str]) -> str:
    limit = thread[f"{name}_threads_{end}"]
    told = f"{thread[f'{name}_threads']:g} threads"
    told += f", {bound} {limit:g}" if limit is not None else ""
    return figure_row(label, thread, name, _mark(marks, f"thread.{name}"), told)


def _torque(label: str, torque: Answer, begun: str, mark: str) -> str:
    low, high = (f"{torque[f'{begun}{end}_in_lb']:g}" for end in ("minimum", "maximum"))
    metric = " to ".join(f"{torque[f'{begun}{end}_n_m']:.2f}" for end in ("minimum", "maximum"))
    drag = ", drag in it" if begun else ""
    return f"  {label:<{LABEL}}{low} to {high} in-lb {mark}  {metric} N m{drag}"


def _collar(collar: Answer | None, marks: Mapping[str, str]) -> list[str]:
    if collar is None:
        return []
    numbers = " or ".join(filter(None, (collar["number"], collar["or_number"])))
    lines = [f"  {'collar':<{LABEL}}{numbers} {_mark(marks, 'collar.number')}".rstrip()] if numbers else []
    if collar["text"]:
        lines.append(hanging(f"  {'':<{LABEL}}", collar["text"]))
    for label, name in (("stands out", "protrusion"), ("interference", "interference")):
        for told, end in (("from", "minimum"), ("to", "maximum")):
            if collar[f"{name}_{end}_in"] is not None:
                lines.append(
                    figure_row(f"{label}", collar, f"{name}_{end}", _mark(marks, f"collar.{name}_{end}"), told)
                )
    return _section("COLLAR", lines)


def _fit(answer: Answer) -> list[str]:
    fit = answer["hole"].get("fit")
    return [hanging(f"  {'fit':<{LABEL}}", fit)] if fit else []


def _shank(shank: Answer | None, marks: Mapping[str, str]) -> list[str]:
    if shank is None:
        return []
    lines = []
    for label, name in (("from", "minimum"), ("to", "maximum"), ("oversize", "oversize")):
        if shank[f"{name}_in"] is not None:
            lines.append(figure_row(label, shank, name, _mark(marks, f"shank.{name}")))
    return _section("SHANK", lines)


def _strength(strength: Answer, marks: Mapping[str, str]) -> list[str]:
    lines = []
    for label, name in (("single shear", "single_shear"), ("double shear", "double_shear"), ("tension", "tension")):
        if strength.get(f"{name}_lbf") is not None:
            value, newtons = f"{strength[f'{name}_lbf']:.0f} lbf", f"{strength[f'{name}_n']:.0f} N"
            mark = "e" if strength["basis"] == "estimated" else _mark(marks, f"strength.{name}")
            lines.append(f"  {label:<{LABEL}}{value:<11} {mark} {newtons:>7}")
    for entry in strength.get("bearing", ()):
        if entry["bearing_lbf"] is not None:
            told = f"{layer(entry)}" + (f"; {entry['note']}" if entry["note"] else "")
            value, newtons = f"{entry['bearing_lbf']:.0f} lbf", f"{entry['bearing_n']:.0f} N"
            lead = f"  {'bearing':<{LABEL}}{value:<11} {_mark(marks, 'strength.bearing')} {newtons:>7}  "
            lines.append(hanging(lead, told))
    return _section("STRENGTH", lines)


def _inspection(limits: list[Answer] | None, marks: Mapping[str, str]) -> list[str]:
    lines = []
    for limit in limits or ():
        figure = ""
        if limit["value"] is not None:
            figure = f"{limit['value']:g} {limit['unit']}: "
        lead = f"  {_mark(marks, 'inspection.' + limit['limit'])} - "
        lines.append(hanging(lead, figure + limit["text"]))
    return _section("WHEN IT IS IN", lines)
