"""The pattern of a joint question: what was measured held against the practice, and where the rivets may go."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import NEWTONS_PER_POUND, Block
from bucktail_service.engine.layout import MAX_ROWS, Limits, Misfit, Pattern, find_limits, lay_out
from bucktail_service.engine.rounding import half_even, put, say, times
from bucktail_service.engine.sources import Ledger
from bucktail_service.engine.spacing import Distance
from bucktail_tables.model import Edition

Spacing = dict[str, Distance | None]


@dataclass(frozen=True, slots=True)
class PatternAsked:
    """What a question says of the pattern; None where it says nothing. [in]"""

    size: Fraction
    edge: Fraction | None
    pitch: Fraction | None
    rows: int | None
    row_spacing: Fraction | None
    width: Fraction | None


def check_pattern(asked: PatternAsked, spacing: Spacing, edition: Edition, ledger: Ledger) -> list[Block]:
    """Return each distance given, held against the practice's least and most."""
    checks = []
    if asked.edge is not None:
        checks.append(_check(asked.size, "edge_distance", asked.edge, spacing["edge_minimum"], spacing["edge_maximum"]))
        for end in ("edge_minimum", "edge_maximum"):
            _cite(spacing[end], f"checks.{end}", ledger)
    limits = find_limits(asked.rows or 1, asked.size, spacing, edition)
    if asked.pitch is not None:
        least, most = limits.rows_behind["pitch_minimum"], spacing["pitch_maximum"]
        checks.append(_check(asked.size, "pitch", asked.pitch, Distance(limits.pitch_least, least), most))
        ledger.cite(least, "checks.pitch_minimum")
        _cite(most, "checks.pitch_maximum", ledger)
    limits = find_limits(max(asked.rows or 2, 2), asked.size, spacing, edition)
    if asked.row_spacing is not None and asked.rows != 1 and limits.row_least is not None:
        row = limits.rows_behind["row_minimum"]
        checks.append(_check(asked.size, "row_spacing", asked.row_spacing, Distance(limits.row_least, row), None))
        ledger.cite(row, "checks.row_minimum")
    return checks


def _cite(distance: Distance | None, figure: str, ledger: Ledger) -> None:
    if distance is not None:
        ledger.cite(distance.row, figure)


def _check(size: Fraction, figure: str, given: Fraction, least: Distance | None, most: Distance | None) -> Block:
    too = None
    name = figure.replace("_", " ")
    text = f"{name} {say(given)} in is {times(given, size)}"
    if least is not None and given < least.inches:
        too, text = "close", f"{text}: under {say(least.inches)} in; {say(least.inches)} in would pass"
    elif most is not None and given > most.inches:
        too, text = "far", f"{text}: over {say(most.inches)} in; {say(most.inches)} in would pass"
    block: Block = {"figure": figure}
    put(block, "given", given)
    put(block, "minimum", None if least is None else least.inches)
    put(block, "maximum", None if most is None else most.inches)
    return {**block, "passes": too is None, "too": too, "text": text}


def pattern_block(asked: PatternAsked, pounds: Fraction | None) -> Block | None:
    """Return what a measured pattern carries for each inch of width; None without its pitch.

    Args:
        asked: The pattern.
        pounds: What one fastener carries; None when that is not known. [lbf]
    """
    if asked.pitch is None:
        return None
    per_inch = (asked.rows or 1) / asked.pitch
    carried = None if pounds is None else pounds * per_inch
    block: Block = {"rows": asked.rows or 1}
    put(block, "pitch", asked.pitch)
    return {
        **block,
        "pieces_per_inch": half_even(per_inch, 4),
        "carried_lbf_per_in": None if carried is None else half_even(carried, 1),
        "carried_n_per_mm": None if carried is None else half_even(carried * NEWTONS_PER_POUND / Fraction("25.4"), 2),
    }


def layout_block(
    asked: PatternAsked, pieces: int, spacing: Spacing, edition: Edition, ledger: Ledger, reasons: list[str]
) -> Block | None:
    """Return the positions of a staggered pattern over the width, or why none fits; None without a width.

    Args:
        asked: The pattern; the practice's layout figure stands in for an edge distance that is not given.
        pieces: Rivets needed; 0 when that is not known.
        spacing: The practice's figures.
        edition: The tables to read.
        ledger: Where sources are written down.
        reasons: Where the reasoning is.
    """
    if asked.width is None:
        return None
    minimum = spacing["edge_minimum"]
    assert minimum is not None, "the check holds an edge minimum for every practice"  # noqa: S101
    edge = spacing["edge_layout"] or minimum
    used = edge.inches if asked.edge is None else asked.edge
    if asked.edge is None:
        ledger.cite(edge.row, "layout.edge")
    if used < minimum.inches:
        reason = f"an edge distance of {say(used)} in is too small; {say(minimum.inches)} in would pass"
        return _block(asked.width, pieces, Misfit(reason))
    found, limits = _first_that_fits(asked, used, pieces, spacing, edition)
    if isinstance(found, Pattern):
        ledger.cite(limits.rows_behind["pitch_minimum"], "layout.pitch")
        if found.row_spacing is not None and "row_minimum" in limits.rows_behind:
            ledger.cite(limits.rows_behind["row_minimum"], "layout.row_spacing")
        reasons.append(_said(found, pieces, limits))
    else:
        reasons.append(f"no layout: {found.reason}")
    return _block(asked.width, pieces, found)


def _first_that_fits(
    asked: PatternAsked, edge: Fraction, pieces: int, spacing: Spacing, edition: Edition
) -> tuple[Pattern | Misfit, Limits]:
    """Return the pattern of as many rows as asked, or of the fewest that take the pieces."""
    usual = spacing["pitch_usual_low"]
    tries = (asked.rows,) if asked.rows is not None else range(1, MAX_ROWS + 1)
    assert asked.width is not None, "the caller has seen to it"  # noqa: S101
    for rows in tries:
        limits = find_limits(rows, asked.size, spacing, edition)
        found = lay_out(
            asked.width,
            edge,
            rows,
            limits,
            pieces=pieces,
            pitch=asked.pitch,
            usual=None if usual is None else max(usual.inches, limits.pitch_least),
            row_spacing=asked.row_spacing,
        )
        if isinstance(found, Pattern):
            break
    return found, limits


def _said(pattern: Pattern, pieces: int, limits: Limits) -> str:
    pitch = "one alone" if pattern.pitch is None else f"{say(pattern.pitch)} in apart"
    least = f", at least {say(limits.pitch_least)} in"
    needed = f" for the {pieces} needed" if pieces else ""
    return f"layout: {pattern.rows} row(s) of {pattern.per_row}, {pitch}{least}: {pattern.pieces} rivets{needed}"


def _block(width: Fraction, pieces: int, found: Pattern | Misfit) -> Block:
    pattern = found if isinstance(found, Pattern) else None
    block: Block = {"fits": pattern is not None, "reason": found.reason if isinstance(found, Misfit) else None}
    block |= {
        "pieces_needed": pieces or None,
        "rows": None if pattern is None else pattern.rows,
        "per_row": None if pattern is None else pattern.per_row,
        "pieces": None if pattern is None else pattern.pieces,
    }
    put(block, "width", width)
    put(block, "pitch", None if pattern is None else pattern.pitch)
    put(block, "edge", None if pattern is None else pattern.edge)
    put(block, "side", None if pattern is None else pattern.first)
    put(block, "row_spacing", None if pattern is None else pattern.row_spacing)
    block["positions"] = [] if pattern is None else [_position(*at) for at in pattern.positions()]
    return block


def _position(row: int, x: Fraction, y: Fraction) -> Block:
    block: Block = {"row": row}
    put(block, "x", x)
    put(block, "y", y)
    return block
