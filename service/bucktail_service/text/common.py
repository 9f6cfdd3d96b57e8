"""What the texts share: styles, marks, lines of figures, cautions, sources, the foot."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

Answer = Mapping[str, Any]
TextOf = Callable[[Answer], str]

WIDTH = 80
MARKS = {"published": " ", "derived": "d", "second-hand": "s", "memory": "m", "estimated": "e"}
LEGEND = "marks: s second-hand  d derived  m from memory  e estimated  none: published"
_WORST = list(MARKS)


@dataclass(frozen=True, slots=True)
class Style:
    """How a text may look: with colour on a terminal, without in a pipe."""

    colour: bool = False

    def bold(self, text: str) -> str:
        """Return *text* to stand out."""
        return f"\x1b[1m{text}\x1b[0m" if self.colour else text

    def warn(self, text: str) -> str:
        """Return *text* as a warning."""
        return f"\x1b[33m{text}\x1b[0m" if self.colour else text

    def dim(self, text: str) -> str:
        """Return *text* to stand back."""
        return f"\x1b[2m{text}\x1b[0m" if self.colour else text


PLAIN = Style()


def letters(answer: Answer) -> dict[str, str]:
    """Return the letter of each figure: that of the least certain row it rests on."""
    worst: dict[str, int] = {}
    for source in answer["sources"]:
        for figure in source["figures"]:
            worst[figure] = max(worst.get(figure, 0), _WORST.index(source["basis"]))
    return {figure: MARKS[_WORST[rank]] for figure, rank in worst.items()}


def title(number: str, style: Style) -> list[str]:
    """Return the part number, large and first."""
    rule = "=" * (len(number) + 4)
    return [rule, style.bold(f"  {number}"), rule]


def subtitle(answer: Answer, length: float | None) -> str:
    """Return size, head and alloy in words, and how the rivet is told and handled."""
    diameter, alloy, head = answer["diameter"], answer["alloy"], answer["head"]
    size = f"{diameter['fraction']} in ({mm(diameter['nominal_mm'])})"
    long = "" if length is None else f" x {inch(length)} in long"
    first = f"{size}{long}, {head['name']} head, {alloy['name']}"
    mark = f"head mark: {alloy['head_mark']}; {alloy['heat_treat']}"
    return f"{hanging('', first)}\n{hanging('', mark)}"


def inch(value: float | None) -> str:
    """Return inches with the four decimals a micrometer has; `-` for none."""
    return "-" if value is None else f"{value:.4f}"


def mm(value: float | None) -> str:
    """Return millimetres with three decimals; `-` for none."""
    return "-" if value is None else f"{value:.3f} mm"


def figure_row(label: str, block: Answer, name: str, mark: str, told: str = "") -> str:
    """Return a line of one figure: label, inches, mark, millimetres, and what there is to say of it."""
    value = f"{inch(block[name + '_in']):<8} in {mark}" if block[name + "_in"] is not None else f"{'none':<8}    "
    return f"  {label:<15}{value} {mm(block[name + '_mm']):>10}  {told}".rstrip()


def strength_lines(answer: Answer, marks: Mapping[str, str]) -> list[str]:
    """Return shear and mass."""
    strength, mass = answer["strength"], answer["mass"]
    lines = ["", "STRENGTH AND MASS"]
    if strength["single_shear_lbf"] is not None:
        mark = marks["strength.single_shear"]
        newtons = f"{strength['single_shear_n']:.0f} N"
        value = f"{strength['single_shear_lbf']} lbf"
        lines.append(f"  {'single shear':<15}{value:<11} {mark} {newtons:>7}     driven, {strength['temper']}")
    if mass["each_g"] is not None:
        value = f"{mass['each_g']:.4f} g"
        lines.append(
            f"  {'mass each':<15}{value:<11} {marks['mass.each']} {mass['pieces_per_lb']:>7}     pieces a pound"
        )
    return lines if len(lines) > 2 else []  # noqa: PLR2004


def caution_lines(cautions: Iterable[Answer], style: Style) -> list[str]:
    """Return the cautions, never folded."""
    lines = ["", style.warn("CAUTIONS")]
    for caution in cautions:
        names = _gathered(caution.get("figures", ()))
        figures = f" Missing: {names}." if names else ""
        lines.append(style.warn(hanging("  ! ", caution["text"] + figures)))
    return lines


def _gathered(figures: Iterable[str]) -> str:
    """Return names of figures, those of one block together: `hole pilot, minimum; mass each`."""
    blocks: dict[str, list[str]] = {}
    for figure in figures:
        block, _, name = figure.partition(".")
        words = dict.fromkeys(name.split("."))  # strength.bearing.bearing is the bearing of strength
        blocks.setdefault(block, []).append(" ".join(word for word in words if word != block))
    told = [f"{block} {', '.join(filter(None, names))}".strip() for block, names in blocks.items()]
    return "; ".join(told).replace("_", " ")


def source_lines(answer: Answer, style: Style) -> list[str]:
    """Return every figure with its document, documents that share a row once."""
    grouped: dict[tuple[str, str, str, str], list[str]] = {}
    for source in answer["sources"]:
        key = (source["document"], source["place"], source["basis"], source.get("house", ""))
        grouped.setdefault(key, []).extend(source["figures"])
    lines = ["", "SOURCES"]
    for (document, place, basis, house), figures in grouped.items():
        where = (f"{document}, {place}" if place else document) + (f" (house tables {house})" if house else "")
        lines.append(hanging(f"  {MARKS[basis]} ", where))
        lines.append(style.dim(hanging("      ", ", ".join(dict.fromkeys(figures)))))
    return lines


def foot(answer: Answer, style: Style) -> list[str]:
    """Return what the marks mean, the edition and the link."""
    edition = answer["edition"]
    status = " (draft)" if edition["status"] == "draft" else ""
    practice = f", practice {answer['practice']}" if "practice" in answer else ""
    lines = ["", LEGEND, f"edition {edition['name']}{status}{practice}, sha256 {edition['sha256'][:12]}"]
    links = [answer["link"]] if answer["link"] is not None else []  # some questions are asked in a body alone
    return [style.dim(line) if line else line for line in [*lines, *house_lines(answer), *links]]


def house_lines(answer: Answer) -> list[str]:
    """Return which figures of an answer came from house tables; nothing when none could."""
    edition = answer["edition"]
    if "extends" not in edition:
        return []
    figures = [figure for source in answer["sources"] if "house" in source for figure in source["figures"]]
    told = ", ".join(dict.fromkeys(figures)) or "none of these figures"
    return [hanging("  ", f"house tables over edition {edition['extends']['name']} gave: {told}")]


def hanging(lead: str, text: str) -> str:
    """Return *text* wrapped at the page's width, its lines hanging under the first."""
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=lead,
        subsequent_indent=" " * len(lead),
        break_long_words=True,
        break_on_hyphens=False,
    )
