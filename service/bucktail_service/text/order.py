"""The order answer as text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

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

_HEADINGS = ("part number", "wanted", "spares", "on hand", "to order", "short", "packs", "cost")
_WIDTHS = (17, 8, 7, 8, 9, 7, 7, 15)
_MOST_ROWS = 12
_LONGEST_PLACE = 40


def order_text(answer: Answer, *, why: bool = False, style: Style = PLAIN) -> str:
    """Return an order as text; *why* adds how each figure comes about and its source."""
    marks = letters(answer)
    lines = [
        *title(_verdict(answer["totals"]), style),
        *_lines(answer["lines"], marks),
        *_rejected(answer["rejected"], style),
        *_totals(answer, marks),
        *caution_lines([_with_rows(caution) for caution in answer["cautions"]], style),
        *(_why(answer, style) if why else []),
        *foot(answer, style),
    ]
    return "\n".join(lines) + "\n"


def _verdict(totals: Answer) -> str:
    verdict = f"{_number(totals['to_order'], 'piece')} to order, {_number(totals['part_numbers'], 'part number')}"
    rejected = totals["lines_rejected"]
    return f"{verdict}; {_number(rejected, 'line')} REJECTED" if rejected else verdict


def _number(count: int, name: str) -> str:
    return f"{count} {name}" if count == 1 else f"{count} {name}s"


def _lines(lines: Sequence[Answer], marks: Mapping[str, str]) -> list[str]:
    """Return a line for each part number, and under it what a piece weighs and which rows it comes from."""
    if not lines:
        return []
    told = ["", "ORDER", _columns(_HEADINGS)]
    for line in lines:
        packs, cost = line["packs"], line["cost"]
        cells = [line[name] for name in ("part_number", "wanted", "spares", "on_hand", "to_order", "shortage")]
        cells += [None if packs is None else packs["packs"], _money(cost)]
        told.append(_columns(cells))
        mass = line["mass"]
        weight = "mass not in the tables"
        if mass["each_g"] is not None:
            weight = f"{mass['to_order_g']:.1f} g {marks['lines.mass']}, {mass['pieces_per_lb']} a pound"
        if packs is not None and packs["pieces_per_pack"] is not None:
            weight += f"; packs of {packs['pieces_per_pack']}"
        told.append(hanging("    ", f"{weight}; {_rows([row['row'] for row in line['rows']])}"))
        if cost is not None and cost["amount"] is None:
            told.append(hanging("    ", f"no cost: {cost['reckoned']}"))
    return told


def _columns(cells: Iterable[object]) -> str:
    texts = ["-" if value is None else str(value) for value in cells]
    first, *others = zip(texts, _WIDTHS, strict=True)
    return (f"  {first[0]:<{first[1]}}" + "".join(f"{text:>{width}}" for text, width in others)).rstrip()


def _money(cost: Answer | None) -> str | None:
    return None if cost is None or cost["amount"] is None else f"{cost['amount']} {cost['currency']}"


def _rows(rows: Sequence[int]) -> str:
    """Return the rows of a part number in words; of many the first, and how many more."""
    shown = ", ".join(map(str, rows[:_MOST_ROWS]))
    more = f" and {len(rows) - _MOST_ROWS} more" if len(rows) > _MOST_ROWS else ""
    return f"{'row' if len(rows) == 1 else 'rows'} {shown}{more}"


def _rejected(rejected: Sequence[Answer], style: Style) -> list[str]:
    lines = ["", style.warn("REJECTED")] if rejected else []
    for line in rejected:
        pieces = "no pieces" if line["quantity"] is None else _number(line["quantity"], "piece")
        place = line["carried"].get("ref") or line["carried"].get("place")
        where = f"row {line['row']}, {pieces}" + (f", {_printed(str(place))}" if place else "")
        lines.append(style.warn(hanging("  ! ", f"{where}: {line['problem']['detail']}")))
    return lines


def _printed(text: str) -> str:
    """Return what a line carries as a terminal may show it, cut short."""
    shown = "".join(letter if letter.isprintable() else "\ufffd" for letter in text)
    return shown if len(shown) <= _LONGEST_PLACE else f"{shown[: _LONGEST_PLACE - 3]}..."


def _totals(answer: Answer, marks: Mapping[str, str]) -> list[str]:
    totals = answer["totals"]
    unread = totals["lines_without_quantity"]
    told = {
        "lines": f"{totals['lines_in']} in = {totals['lines_accepted']} accepted + {totals['lines_rejected']} rejected"
        + (f", {unread} of them without pieces that can be read" if unread else ""),
        "pieces": f"{totals['pieces_in']} in = {totals['pieces_accepted']} wanted in the order + "
        f"{totals['pieces_rejected']} rejected",
        "to order": _to_order(answer),
        "spares": f"{totals['spares']}: {answer['spares']['text']} {marks.get('lines.spares', '')}".rstrip(),
        "mass": _mass(totals, marks.get("lines.mass", " ")),
        "cost": " + ".join(f"{cost['amount']} {cost['currency']}" for cost in totals["cost"]),
        "no cost": ", ".join(totals["unpriced"]),
    }
    return ["", "TOTALS", *(hanging(f"  {name:<10}", text) for name, text in told.items() if text)]


def _mass(totals: Answer, mark: str) -> str:
    without = f"; without {', '.join(totals['without_mass'])}" if totals["without_mass"] else ""
    return f"{totals['mass']['to_order_g']:.1f} g {mark} ({totals['mass']['to_order_lb']:.3f} lb){without}"


def _to_order(answer: Answer) -> str:
    totals = answer["totals"]
    told = _number(totals["to_order"], "piece")
    if answer["pack"] is not None:
        size = f"{answer['pack']} pieces" if answer["pack"].isdigit() else answer["pack"]
        told += f" in {_number(totals['packs'], 'pack')} of {size}"
    if totals["shortage"]:
        told += f"; the stock is short of {_number(totals['shortage'], 'piece')} for the job itself"
    elif totals["shortage"] == 0:
        told += "; the stock covers the job itself"
    return told


def _with_rows(caution: Answer) -> Answer:
    rows = caution.get("rows")
    return {**caution, "text": f"{caution['text']} ({_rows(rows)})"} if rows else caution


def _why(answer: Answer, style: Style) -> list[str]:
    lines = ["", "WHY", *(hanging("  - ", reason) for reason in answer["reasoning"])]
    priced = [line for line in answer["lines"] if line["cost"] is not None and line["cost"]["amount"] is not None]
    lines += [
        hanging("  - ", f"{line['part_number']}: {line['cost']['reckoned']} = {_money(line['cost'])}")
        for line in priced
    ]
    return [*lines, *source_lines(answer, style)]
