"""The balance answer as text."""

from __future__ import annotations

from bucktail_service.text.common import (
    PLAIN,
    Answer,
    Style,
    caution_lines,
    foot,
    hanging,
    letters,
    source_lines,
    title,
)


def balance_text(answer: Answer, *, why: bool = False, style: Style = PLAIN) -> str:
    """Return a balance answer as text; *why* adds the sums and every figure's source."""
    marks = letters(answer)
    lines = [*title(_headline(answer), style), hanging("", _subtitle(answer))]
    lines += ["", "MASS", f"  {'':<21}{'pieces':>7}{'g':>12}{'lb':>13}"]
    for name, label, sign in (("removed", "taken out", -1), ("installed", "put in", 1)):
        lines += _pieces(label, answer[name], sign, marks.get(f"{name}.mass", " "))
    lines += _holes(answer["hole_metal"], marks.get("hole_metal.mass", " "))
    lines += [_mass(f"  {line['name'][:19]:<19}", None, line, 1, " ") for line in answer["extra"]["lines"]]
    lines.append(_mass("  change", None, answer["change"], 1, marks.get("change.mass", " ")))
    lines += ["", "STATIC MOMENT", *_moments(answer, marks["change.moment"])]
    lines.append(hanging("  ", answer["sign"]))
    lines += [*_weight(answer), *_limit(answer), *caution_lines(answer["cautions"], style)]
    if why:
        lines += ["", "WHY", *(hanging("  - ", reason) for reason in answer["reasoning"])]
        lines += source_lines(answer, style)
    return "\n".join([*lines, *foot(answer, style)]) + "\n"


def _headline(answer: Answer) -> str:
    change, limit = answer["change"], answer["limit"]
    if change["direction"] == "none":
        moved = "BALANCE UNCHANGED"
    else:
        moved = f"{abs(change['moment_in_lb']):.4f} in-lb MORE {change['direction'].upper()}"
    return moved if limit is None else f"{moved}, {limit['verdict'].upper()}"


def _subtitle(answer: Answer) -> str:
    arm, removed, installed = answer["arm"], answer["removed"]["pieces"], answer["installed"]["pieces"]
    where = f"{arm['distance_in']:.2f} in ({arm['distance_mm']:.1f} mm) {arm['side']} of the hinge line"
    return f"{removed} pieces out, {installed} in, {where}; computed, not weighed"


def _mass(label: str, pieces: int | None, block: Answer, sign: int, mark: str) -> str:
    count = "" if pieces is None else str(pieces)
    grams, pounds = sign * block["mass_g"], sign * block["mass_lb"]
    return f"  {label.strip():<21}{count:>7}{grams:>+12.4f}{pounds:>+13.6f} {mark}".rstrip()


def _pieces(label: str, block: Answer, sign: int, mark: str) -> list[str]:
    if not block["lines"]:
        return []
    told = (f"{line['pieces']} x {line['fastener']}, {line['each_g']:.4f} g each" for line in block["lines"])
    return [_mass(label, block["pieces"], block, sign, mark), *(hanging("    ", line) for line in told)]


def _holes(block: Answer, mark: str) -> list[str]:
    if not block["lines"]:
        return []
    pieces = sum(line["pieces"] for line in block["lines"])
    lines = [_mass("cut from holes", pieces, block, -1, mark)]
    for line in block["lines"]:
        sizes = f"{line['pieces']} from {line['from_in']:.4f} to {line['to_in']:.4f} in"
        lines.append(hanging("    ", f"{sizes} through {line['stack']}"))
    return lines


def _moments(answer: Answer, mark: str) -> list[str]:
    extras = answer["extra"]["lines"]
    lines = [_moment("rivets, holes", answer["repair"], mark)] if extras else []
    lines += [_moment(line["name"], line, " ") for line in extras]
    return [*lines, _moment("change", answer["change"], mark)]


def _moment(label: str, block: Answer, mark: str) -> str:
    said = "" if block["direction"] == "none" else f"{block['direction']} = {block['called']}"
    value = f"{block['moment_in_lb']:>+10.4f} in-lb {mark} {block['moment_n_m']:>+9.5f} N m"
    return f"  {label[:16]:<17}{value}  {said}".rstrip()


def _weight(answer: Answer) -> list[str]:
    weight = answer["balance_weight"]
    if weight is None:
        return []
    arm = weight["arm"]
    where = f"{arm['distance_in']:.2f} in {arm['side']} of the hinge line"
    doing = "nothing to do" if weight["action"] == "none" else weight["action"]
    amount = f"{doing} {weight['mass_lb']:.4f} lb ({weight['mass_g']:.1f} g)"
    return ["", "BALANCE WEIGHT THAT WOULD COMPENSATE", hanging("  ", f"{amount} at {where}")]


def _limit(answer: Answer) -> list[str]:
    limit = answer["limit"]
    if limit is None:
        return []
    of = "change" if limit["of"] == "change" else "after the repair"
    lines = ["", "LIMIT GIVEN", _moment("lowest", limit["lowest"], " "), _moment("highest", limit["highest"], " ")]
    lines.append(_moment(of, limit["found"], " "))
    margin = limit["margin_in_lb"]
    told = f"{margin:.4f} in-lb to spare" if margin >= 0 else f"{-margin:.4f} in-lb past it"
    return [*lines, f"  {limit['verdict']}: {told}"]
