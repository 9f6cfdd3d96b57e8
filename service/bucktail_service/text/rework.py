"""The rework answer as text: what goes in, why, then the work in the order of the hands."""

from __future__ import annotations

from collections.abc import Iterable

from bucktail_service.text.common import (
    PLAIN,
    Answer,
    Style,
    caution_lines,
    hanging,
    house_lines,
    inch,
    mm,
    source_lines,
    title,
)

_MARK = {"pass": "ok  ", "fail": "FAIL", "heed": "heed", "unknown": "?   "}


def rework_text(answer: Answer, *, why: bool = False, style: Style = PLAIN) -> str:
    """Return a rework answer as text; *why* adds every check of every option and every figure's source."""
    best = next((option for option in answer["options"] if option["name"] == answer["recommended"]), None)
    lines = [
        *title(best["part_number"] if best is not None else "NO OPTION PASSES", style),
        hanging("", f"in place of {answer['installed']['part_number']}: {answer['why']}"),
        *_options(answer["options"], style),
        *(_checks(best) if best is not None and not why else []),
        *([line for option in answer["options"] for line in _checks(option)] if why else []),
        *_removal(answer["removal"]),
        *_steps("OPEN THE HOLE", answer["opening"]),
        *_steps("SET THE RIVET", answer["setting"]),
        *_row(answer["row"]),
        *_couples(answer["couples"]),
        *_balance(answer["balance"]),
        *caution_lines(answer["cautions"], style),
        *(source_lines(answer, style) if why else []),
        *_record(answer["record"]),
        *_foot(answer, style),
    ]
    return "\n".join(lines) + "\n"


def _options(options: Iterable[Answer], style: Style) -> list[str]:
    lines = ["", "OPTIONS (open: nothing fails, but not every check is known)"]
    for option in options:
        # nothing fails, but some checks are not known: not yet a pass
        verdict = "FAILS " if not option["passes"] else "open  " if option["to_measure"] else "passes"
        number = option["part_number"] or ""
        head = f"  {verdict}  {option['name']:<22} {number:<17}"
        lines.append(style.bold(head.rstrip()) if option["passes"] else head.rstrip())
        failed = [f"{check['check']}: {check['told']}" for check in option["checks"] if check["verdict"] == "fail"]
        kept = "" if option["shear_kept"] is None else f"shear kept {option['shear_kept']:.2f}"
        drill = "" if option["drill"] is None else f"drill {option['drill']}"
        told = "; ".join(failed) or ", ".join(part for part in (option["title"], drill, kept) if part)
        lines.append(hanging("          ", told))
    return lines


def _checks(option: Answer) -> list[str]:
    lines = ["", f"CHECKS of {option['name']}"]
    lines += [
        hanging(f"  {_MARK[check['verdict']]} {check['check']:<14} ", check["told"]) for check in option["checks"]
    ]
    return lines


def _removal(plan: Answer) -> list[str]:
    drill = (
        f"drill {plan['drill_one_smaller']} ({inch(plan['drill_one_smaller_in'])} in) or {plan['drill_same_size']} in"
    )
    lines = ["", "TAKE THE OLD RIVET OUT", hanging("  head    ", f"{drill}: the documents below disagree")]
    if plan["depth_in"] is not None:
        lines.append(f"  depth   {inch(plan['depth_in'])} in ({mm(plan['depth_mm'])}), the head alone")
    lines.append(f"  drift   {inch(plan['drift_in'])} in ({mm(plan['drift_mm'])}) or thinner")
    if plan["support_over_in"] is not None:
        lines.append(f"  support with a hole over {inch(plan['support_over_in'])} in ({mm(plan['support_over_mm'])})")
    for method in plan["methods"]:
        lines.append(f"  as the {method['method']} has it:")
        lines += [hanging("    - ", step) for step in method["steps"]]
    return lines + [hanging("  ! ", avoid) for avoid in plan["avoid"]]


def _steps(heading: str, plan: Answer | None) -> list[str]:
    if plan is None:
        return []
    lines = ["", heading, *(hanging(f"  {at}. ", step) for at, step in enumerate(plan["steps"], start=1))]
    force = plan.get("force_estimate_lbf")
    return [*lines, f"  squeezer of about {force} lbf (estimated)"] if force else lines


def _row(row: Answer | None) -> list[str]:
    if row is None:
        return []
    failed = ", ".join(map(str, row["failed"])) or "none"
    lines = ["", "THE ROW", f"  {len(row['failed'])} of {row['count']} to replace: {failed}"]
    lines.append(f"  longest run {row['longest_run']}; {row['strength_left']:.0%} of the rivets are sound")
    if row["unsupported_in"] is not None:
        most = "" if row["pitch_maximum_in"] is None else f"; maximum pitch {inch(row['pitch_maximum_in'])} in"
        lines.append(f"  {inch(row['unsupported_in'])} in without a sound rivet{most}")
    inside = "inside" if row["within_limits"] else "BEYOND"
    lines.append(f"  {inside} the limits for oversize repair: {row['oversize_allowed']} in the pattern, 2 side by side")
    return lines


def _couples(couples: Iterable[Answer]) -> list[str]:
    lines = []
    for couple in couples:
        verdict = {
            True: "compatible",
            False: f"NOT compatible, {couple['corrodes']} corrodes",
            None: "not in the tables",
        }
        lines.append(f"  {couple['first']} with {couple['second']}: {verdict[couple['compatible']]}")
        if not couple["compatible"]:
            lines += [hanging("    - ", advice) for advice in couple["advice"]]
    return ["", "METALS IN CONTACT, of the rivet that was there", *lines] if lines else []


def _balance(balance: Answer | None) -> list[str]:
    if balance is None:
        return []
    change = f"{balance['mass_change_g']:+.3f} g, {balance['moment_change_in_lb']:+.5f} in-lb, {balance['sense']}"
    return ["", "BALANCE (estimated)", f"  {balance['pieces']} pieces: {change}", hanging("  ", balance["told"])]


def _record(record: Iterable[str] | None) -> list[str]:
    return [] if record is None else ["", "WORK NOTE", *(hanging("  ", line) for line in record)]


def _foot(answer: Answer, style: Style) -> list[str]:
    edition = answer["edition"]
    status = " (draft)" if edition["status"] == "draft" else ""
    line = f"edition {edition['name']}{status}, practice {answer['practice']}, sha256 {edition['sha256'][:12]}"
    return ["", style.dim(line), *(style.dim(text) for text in house_lines(answer))]
