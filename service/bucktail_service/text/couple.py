"""The couple answer as text."""

from __future__ import annotations

from collections.abc import Mapping

from bucktail_service.text.common import (
    MARKS,
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

_ENVIRONMENTS = {"marine": "marine air", "seawater": "sea water", "industrial": "industrial air"}


def couple_text(answer: Answer, *, why: bool = False, style: Style = PLAIN) -> str:
    """Return a couple answer as text; *why* adds the reasoning and every figure's source."""
    marks = letters(answer)
    verdict = "COMPATIBLE" if answer["compatible"] else "NOT COMPATIBLE"
    lines = [
        *title(f"{verdict} in {_ENVIRONMENTS[answer['environment']]}", style),
        hanging("", " + ".join(metal["name"] for metal in answer["materials"])),
        answer["reasoning"][0],  # which environment, and whether it was only taken
        *_metals(answer, marks),
        *(line for pair in answer["pairs"] for line in _pair(pair, marks)),
        *_rules(answer),
        *caution_lines(answer["cautions"], style),
        *(_why(answer, style) if why else []),
        *foot(answer, style),
    ]
    return "\n".join(lines) + "\n"


def _metals(answer: Answer, marks: Mapping[str, str]) -> list[str]:
    lines = ["", "METALS, group by group from anode to cathode"]
    for metal in sorted(answer["materials"], key=lambda metal: str(metal["group"])):
        told = f"{metal['group']} {marks['materials.group']}  {metal['metals']}"
        if metal["potential_v"] is not None:
            told += f"; {metal['potential_v']:+.3f} V {marks['materials.potential_v']} in sea water"
        known = metal["material"] in metal["name"].casefold()
        name = metal["name"] if known else f"{metal['name']} ({metal['material']})"
        lines.append(hanging(f"  {name:<19} ", told))
    return lines


def _pair(pair: Answer, marks: Mapping[str, str]) -> list[str]:
    may = {name: f"{'yes' if pair[name] else 'NO'} {marks[f'pairs.{name}']}".rstrip() for name in _ENVIRONMENTS}
    lines = ["", f"{pair['first']} + {pair['second']}"]
    lines.append("  may touch: " + ", ".join(f"{_ENVIRONMENTS[name]} {told}" for name, told in may.items()))
    if pair["corrodes"] is None:
        lines.append("  corrodes:  not said: both are of one group")
    else:
        lines.append(hanging("  corrodes:  ", f"{pair['corrodes']}, the more anodic one{_small(pair)}"))
    if pair["difference_v"] is not None:
        lines.append(f"  apart:     {pair['difference_v']:.3f} V {marks['pairs.difference_v']} in sea water".rstrip())
    return lines


def _small(pair: Answer) -> str:
    """Return what there is to say of the areas."""
    told = {
        "anode": "; and it is the SMALL part, which is eaten fastest",
        "cathode": "; it is the large part, which spreads the attack",
        "neither": "; neither part is the small one",
        None: "",
    }[pair["small"]]
    ratio = pair["cathode_per_anode"]
    return told if ratio is None else f"{told} (cathode {ratio:g} times the anode)"


def _rules(answer: Answer) -> list[str]:
    """Return how the pairs are kept apart: every rule once, with the pairs it is for where it is not for all."""
    lines = []
    for name, heading in (("separation", "BETWEEN THE METALS"), ("fasteners", "FASTENERS")):
        told: dict[str, list[str]] = {}
        for pair in answer["pairs"]:
            for rule in pair[name]:
                told.setdefault(_marked(rule), []).append(f"{pair['first']} + {pair['second']}")
        lines += _section(heading, told, len(answer["pairs"]))
    return lines + _section("FINISH", _finishes(answer), len({metal["name"] for metal in answer["materials"]}))


def _finishes(answer: Answer) -> dict[str, list[str]]:
    told: dict[str, list[str]] = {}
    for pair in answer["pairs"]:
        for finish in pair["finish"]:
            for rule in finish["rules"]:
                whose = told.setdefault(_marked(rule), [])
                if finish["material"] not in whose:
                    whose.append(finish["material"])
    return told


def _marked(rule: Answer) -> str:
    return f"{rule['text']} {MARKS[rule['basis']]}".rstrip()


def _section(heading: str, told: Mapping[str, list[str]], most: int) -> list[str]:
    """Return rules under a heading, each with whom it is for unless it is for *most*, that is for all."""
    lines = ["", heading] if told else []
    for rule, whose in told.items():
        lines.append(hanging("  - ", rule if len(whose) == most else f"[{', '.join(whose)}] {rule}"))
    return lines


def _why(answer: Answer, style: Style) -> list[str]:
    told = [*answer["reasoning"], *map(_marked, answer["guide"])]
    return ["", "WHY", *(hanging("  - ", reason) for reason in told), *source_lines(answer, style)]
