"""Answers as text for a bench: the part number first, then what the hands need, 80 columns, inch and millimetre.

Figures that were not read in their document carry a letter: s second-hand, d derived, m from memory, e estimated.
Colour is the caller's to ask for; the words are the same without it.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

Answer = Mapping[str, Any]

WIDTH = 80
MARKS = {"published": " ", "derived": "d", "second-hand": "s", "memory": "m", "estimated": "e"}
_WORST = list(MARKS)
LEGEND = "s second-hand  d derived  m from memory  e estimated; no letter: read there"


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


def pick_text(answer: Answer, *, why: bool = False, style: Style = PLAIN) -> str:
    """Return a pick answer as text; *why* adds the reasoning and every figure's source."""
    marks = _marks(answer)
    lines = [
        *_title(answer["part_number"], style),
        _subtitle(answer, answer["length"]["length_in"]),
        *_length(answer, marks),
        *_hole(answer["hole"], marks),
        *_spacing(answer["spacing"], marks),
        *_formed_head(answer["formed_head"], marks),
        *_strength(answer, marks),
        *_cautions(answer["cautions"], style),
        *(_why(answer, style) if why else []),
        *_foot(answer, style),
    ]
    return "\n".join(lines) + "\n"


def part_text(answer: Answer, *, why: bool = False, style: Style = PLAIN) -> str:
    """Return a part answer as text; *why* adds every figure's source."""
    marks = _marks(answer)
    length = answer["length"]
    lines = [*_title(answer["written_as"], style), _subtitle(answer, None if length is None else length["length_in"])]
    lines += ["", *(_hanging(f"  {field['text'] or '-':<9}", field["meaning"]) for field in answer["fields"])]
    if answer["same_as"]:
        lines += ["", "ALSO WRITTEN"]
        lines += [f"  {entry['number']:<20} {entry['relation']}" for entry in answer["same_as"]]
    if answer["notes"]:
        lines += ["", "TAKE CARE", *(_hanging("  - ", note) for note in answer["notes"])]
    lines += _head(answer["head"], marks)
    lines += _strength(answer, marks)
    lines += _cautions(answer["cautions"], style)
    if why:
        lines += _sources(answer, style)
    return "\n".join([*lines, *_foot(answer, style)]) + "\n"


def editions_text(answer: Answer, *, style: Style = PLAIN) -> str:
    """Return the editions as text."""
    lines = []
    for edition in answer["editions"]:
        default = ", answers by default" if edition["default"] else ""
        lines += [style.bold(edition["name"]) + f"  {edition['status']}{default}", f"  {edition['title']}"]
        lines += [f"  sha256 {edition['sha256']}", f"  practices: {', '.join(edition['practices'])}"]
        counts = ", ".join(f"{count} {basis}" for basis, count in edition["basis"].items())
        rows = sum(table["rows"] for table in edition["tables"])
        lines += [_hanging("  ", f"{len(edition['tables'])} tables, {rows} rows: {counts}")]
        lines += [f"    {table['name']:<20} {table['rows']:>4}  {table['title']}" for table in edition["tables"]]
    return "\n".join(lines) + "\n"


def problem_text(problem: Answer, *, style: Style = PLAIN) -> str:
    """Return a problem as text: what, then each field with what was wrong and a good example."""
    lines = [style.warn(problem["title"])]
    if not problem["errors"]:
        lines.append(_hanging("  ", problem["detail"]))
    for error in problem["errors"]:
        lines.append(_hanging(f"  {error['field']}: ", error["detail"]))
        lines.append(_hanging("    good: ", error["example"]))
    return "\n".join(lines) + "\n"


def _marks(answer: Answer) -> dict[str, str]:
    """Return the letter of each figure: that of the least certain row it rests on."""
    worst: dict[str, int] = {}
    for source in answer["sources"]:
        for figure in source["figures"]:
            worst[figure] = max(worst.get(figure, 0), _WORST.index(source["basis"]))
    return {figure: MARKS[_WORST[rank]] for figure, rank in worst.items()}


def _title(number: str, style: Style) -> list[str]:
    rule = "=" * (len(number) + 4)
    return [rule, style.bold(f"  {number}"), rule]


def _subtitle(answer: Answer, length: float | None) -> str:
    diameter, alloy, head = answer["diameter"], answer["alloy"], answer["head"]
    size = f"{diameter['fraction']} in ({_mm(diameter['nominal_mm'])})"
    long = "" if length is None else f" x {_inch(length)} in long"
    first = f"{size}{long}, {head['name']} head, {alloy['name']}"
    mark = f"head mark: {alloy['head_mark']}; {alloy['heat_treat']}"
    return f"{_hanging('', first)}\n{_hanging('', mark)}"


def _inch(value: float | None) -> str:
    """Return inches with four decimals, five or six only where the value has them."""
    if value is None:
        return "-"
    text = f"{value:.6f}"
    return text[:-2] + text[-2:].rstrip("0")


def _mm(value: float | None) -> str:
    return "-" if value is None else f"{value:.3f} mm"


def _row(label: str, block: Answer, name: str, mark: str, told: str = "") -> str:
    value = f"{_inch(block[name + '_in']):<8} in {mark}" if block[name + "_in"] is not None else f"{'none':<8}    "
    return f"  {label:<15}{value} {_mm(block[name + '_mm']):>10}  {told}".rstrip()


def _length(answer: Answer, marks: Mapping[str, str]) -> list[str]:
    stack, length = answer["stack"], answer["length"]
    layers = " + ".join(_layer(layer) for layer in stack["layers"]) if len(stack["layers"]) > 1 else ""
    also = f"also fits: {', '.join('-' + dash for dash in length['alternatives'])}" if length["alternatives"] else ""
    counts = "head included" if length["counts"] == "overall" else "under the head"
    lines = ["", "LENGTH", _row("stack", stack, "total", " ", layers)]
    if stack["minimum_in"] != stack["maximum_in"]:
        lines += [_row("  thinnest", stack, "minimum", " "), _row("  thickest", stack, "maximum", " ")]
    lines.append(_row("ideal", length, "ideal", marks["length.ideal"]))
    lines.append(_row(f"-{length['dash']}", length, "length", marks["length.length"], f"{counts}; {also}".rstrip("; ")))
    if length["trim_to_in"] is not None:
        lines.append(_row("cut it to", length, "trim_to", marks["length.trim_to"]))
    lines.append(_row("stands out", length, "protrusion", marks["length.protrusion"], _window(length, marks)))
    return lines


def _layer(layer: Answer) -> str:
    return f"{_inch(layer['thickness_in'])} {layer['material'] or ''}".strip()


def _window(length: Answer, marks: Mapping[str, str]) -> str:
    low = f"{_inch(length['protrusion_minimum_in'])} {marks['length.protrusion_minimum']}".strip()
    if length["protrusion_maximum_in"] is None:
        return f"at least {low}"
    high = f"{_inch(length['protrusion_maximum_in'])} {marks['length.protrusion_maximum']}".strip()
    return f"may: {low} to {high}"


def _hole(hole: Answer, marks: Mapping[str, str]) -> list[str]:
    lines = ["", "HOLE"]
    for use in ("pilot", "final"):
        drill = hole[use]
        if drill is not None:
            lines.append(_row(use, drill, "diameter", marks[f"hole.{use}"], f"drill {drill['drill']}"))
    ends = [end for end in ("minimum", "maximum") if hole[f"{end}_in"] is not None]
    lines += [_row(end, hole, end, marks[f"hole.{end}"]) for end in ends]
    if "given" in hole:
        lines.append(_row("as given", hole["given"], "diameter", " ", hole["given"]["text"]))
    return lines


_SPACING = {
    "edge": ("edge_minimum", "edge_layout", "edge_maximum"),
    "pitch": ("pitch_minimum", "pitch_usual_low", "pitch_usual_high", "pitch_maximum"),
    "rows": ("row_minimum", "staggered_pitch_minimum"),
}
_SPACING_LABELS = {
    "edge_minimum": "edge at least",
    "edge_layout": "  lay out at",
    "edge_maximum": "  at most",
    "pitch_minimum": "pitch at least",
    "pitch_usual_low": "  usual from",
    "pitch_usual_high": "  usual to",
    "pitch_maximum": "  at most",
    "row_minimum": "rows at least",
    "staggered_pitch_minimum": "  pitch then",
}


def _spacing(spacing: Answer, marks: Mapping[str, str]) -> list[str]:
    lines = ["", "SPACING, centre to edge and centre to centre"]
    for names in _SPACING.values():
        lines += [
            _row(_SPACING_LABELS[name], spacing, name, marks[f"spacing.{name}"])
            for name in names
            if spacing[f"{name}_in"] is not None
        ]
    return lines


def _formed_head(block: Answer, marks: Mapping[str, str]) -> list[str]:
    """Return the formed head as a table: across and high, at least, nominal, at most, and by volume."""
    heading = f"  {'':<15}{'at least':<12}{'nominal':<12}{'at most':<12}{'by volume':<12}"
    lines = ["", "FORMED HEAD", heading.rstrip()]
    for label, measure in (("across", "diameter"), ("high", "height")):
        names = [f"{measure}_{end}" for end in ("minimum", "nominal", "maximum")] + [f"predicted_{measure}"]
        inch = "".join(_cell(block[f"{name}_in"], marks.get(f"formed_head.{name}", " ")) for name in names)
        lines.append(f"  {label + ', in':<15}{inch}".rstrip())
        lines.append(f"  {'    mm':<15}{''.join(_cell_mm(block[f'{name}_mm']) for name in names)}".rstrip())
    return lines


def _cell(value: float | None, mark: str) -> str:
    return f"{'-' if value is None else f'{_inch(value)} {mark}':<12}"


def _cell_mm(value: float | None) -> str:
    return f"{'-' if value is None else f'{value:.2f}':<12}"


def _head(head: Answer, marks: Mapping[str, str]) -> list[str]:
    if head["diameter_in"] is None:
        return []
    return ["", "HEAD", *(_row(name, head, name, marks[f"head.{name}"]) for name in ("diameter", "height"))]


def _strength(answer: Answer, marks: Mapping[str, str]) -> list[str]:
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


def _cautions(cautions: Iterable[Answer], style: Style) -> list[str]:
    lines = ["", style.warn("CAUTIONS")]
    for caution in cautions:
        figures = f" ({', '.join(caution['figures'])})" if caution.get("figures") else ""
        lines.append(style.warn(_hanging("  ! ", caution["text"] + figures)))
    return lines


def _why(answer: Answer, style: Style) -> list[str]:
    return ["", "WHY", *(_hanging("  - ", reason) for reason in answer["reasoning"]), *_sources(answer, style)]


def _sources(answer: Answer, style: Style) -> list[str]:
    """Return every figure with its document, documents that share a row once."""
    grouped: dict[tuple[str, str, str], list[str]] = {}
    for source in answer["sources"]:
        grouped.setdefault((source["document"], source["place"], source["basis"]), []).extend(source["figures"])
    lines = ["", "SOURCES"]
    for (document, place, basis), figures in grouped.items():
        where = f"{document}, {place}" if place else document
        lines.append(_hanging(f"  {MARKS[basis]} ", where))
        lines.append(style.dim(_hanging("      ", ", ".join(dict.fromkeys(figures)))))
    return lines


def _foot(answer: Answer, style: Style) -> list[str]:
    edition = answer["edition"]
    status = " (draft)" if edition["status"] == "draft" else ""
    practice = f", practice {answer['practice']}" if "practice" in answer else ""
    lines = ["", f"marks: {LEGEND}", f"edition {edition['name']}{status}{practice}, sha256 {edition['sha256'][:12]}"]
    return [style.dim(line) if line else line for line in [*lines, answer["link"]]]


def _hanging(lead: str, text: str) -> str:
    """Return *text* wrapped at the page's width, its lines hanging under the first."""
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=lead,
        subsequent_indent=" " * len(lead),
        break_long_words=True,
        break_on_hyphens=False,
    )
