"""The inspect answer: what was measured of driven rivets, held to each practice, and what caused what is outside."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import Block, alloy_block, diameter_block, edition_block, head_block, rule_row
from bucktail_service.engine.causes import Driven, Span, find_causes, held
from bucktail_service.engine.cautions import ALWAYS, caution_list, material_codes
from bucktail_service.engine.errors import BadQuestion, NoAnswer, NotTabulated, OutsideTable
from bucktail_service.engine.facts import Facts, default_practice, rivet_facts, standard_codes
from bucktail_service.engine.holes import HOLE_EXAMPLE, hole_size
from bucktail_service.engine.installed import INSTALLED_EXAMPLE, Installed, read_installed
from bucktail_service.engine.judged import (
    OUTSIDE,
    UNJUDGED,
    Bounds,
    Judged,
    flush_bounds,
    gap_bounds,
    head_bounds,
    hole_bounds,
    judge,
    spacing_bounds,
)
from bucktail_service.engine.length import SIXTEENTH
from bucktail_service.engine.lengths import Length, Stack
from bucktail_service.engine.rounding import put, say
from bucktail_service.engine.sources import Ledger
from bucktail_tables.model import Edition

BOTH = "both"
SPACING = ("edge_distance", "pitch")


@dataclass(frozen=True, slots=True)
class InspectQuestion:
    """Do these driven rivets lie inside the limits?

    Attributes:
        fastener: Part number, its stem, or diameter, alloy and head.
        formed_diameter: Diameters of the formed heads, piece by piece. [in]
        formed_height: Their heights. [in]
        hole: The hole as measured, a length or a drill name.
        stack: What the rivets clamp.
        length: Length of the rivet; the part number's when not said. [in]
        gap: Thickest feeler that enters under the head. [in]
        gap_around: Share of the circumference over which it enters. [percent]
        flushness: How far a flush head stands above the skin; negative below it. [in]
        edge_distance: Centre to the nearest edge. [in]
        pitch: Centre to centre along the row. [in]
        practice: Which practice rules, or `both`; the edition's default when None.
    """

    fastener: str
    formed_diameter: tuple[Length, ...] = ()
    formed_height: tuple[Length, ...] = ()
    hole: str | None = None
    stack: Stack | None = None
    length: Length | None = None
    gap: Length | None = None
    gap_around: Fraction | None = None
    flushness: Fraction | None = None
    edge_distance: Length | None = None
    pitch: Length | None = None
    practice: str | None = None


@dataclass(frozen=True, slots=True)
class Inspected:
    """A question with its rivet looked up by every practice, and which of them rule."""

    question: InspectQuestion
    by: dict[str, Facts]
    ruling: tuple[str, ...]
    hole: Fraction | None
    length: Fraction | None

    @property
    def facts(self) -> Facts:
        """The rivet by a practice that rules."""
        return self.by[self.ruling[0]]

    @property
    def count(self) -> int:
        """Pieces measured; one when only what is common to all was."""
        return max(len(self.question.formed_diameter), len(self.question.formed_height), 1)

    def piece(self, number: int) -> tuple[Fraction | None, Fraction | None]:
        """Return diameter and height of a piece, counted from 1. [in]"""
        lists = (self.question.formed_diameter, self.question.formed_height)
        across, high = (None if not measured else measured[number - 1].inches for measured in lists)
        return across, high


def inspect(question: InspectQuestion, edition: Edition) -> Block:
    """Return a verdict for every figure, piece and practice, and the causes of what is outside.

    Raises:
        NotTabulated: The rivet or the drill is not in the tables.
        NoAnswer: Nothing was measured, lists do not match, or a figure does not go with the rivet.
        OutsideTable: The hole is no hole for the rivet.
    """
    inspected = _look_up(question, edition)
    ledger, missing = Ledger(), list[str]()
    facts = inspected.facts
    blocks = {
        "diameter": diameter_block(facts.diameter, ledger),
        "alloy": alloy_block(facts.choice.material, ledger),
        "head": head_block(facts.choice, facts.head_row, ledger, missing),
    }
    figures = [*_common(inspected, ledger, edition), *_heads(inspected, ledger)]
    if not figures:
        raise NoAnswer("formed_diameter", "nothing was measured: there is nothing to judge", "0.190")
    driven = _driven(inspected)
    pieces = [_piece(number, inspected, figures, driven) for number in range(1, inspected.count + 1)]
    if any(piece["causes"] for piece in pieces):
        ledger.cite(rule_row(edition, "rules", "formed_head_volume"), "causes")
    rejected = [piece["piece"] for piece in pieces if piece["verdict"] == OUTSIDE]
    return {
        "verdict": _verdict(figures, inspected.ruling),
        "fastener": question.fastener,
        **blocks,
        "count": inspected.count,
        "rejects": len(rejected),
        "rejected": rejected,
        "practices": [_practice(name, inspected, figures) for name in inspected.by],
        "figures": [figure.block() for figure in figures],
        "pieces": pieces,
        "by_volume": _by_volume(driven),
        "look_for": _look_for(facts, ledger, edition),
        "reasoning": _reasoning(inspected, figures, driven),
        "cautions": caution_list(_codes(inspected, figures, pieces, ledger, edition), edition),
        "sources": ledger.as_list(),
        "practice": question.practice or default_practice(edition),
        "edition": edition_block(edition),
        "link": None,
    }


def _look_up(question: InspectQuestion, edition: Edition) -> Inspected:
    try:
        rivet = read_installed(question.fastener, edition)
        names = [row.text("practice") for row in edition["practices"]]
        by = {name: rivet_facts(rivet.head, rivet.alloy, rivet.diameter, name, edition) for name in names}
    except NoAnswer as error:
        raise NotTabulated("fastener", error.detail, error.example or INSTALLED_EXAMPLE) from None
    asked = question.practice or default_practice(edition)
    ruling = tuple(names) if asked == BOTH else (asked,)
    facts = by[ruling[0]]
    _refuse_what_does_not_go_together(question, facts)
    hole = None if question.hole is None else _hole(question.hole, facts, edition)
    return Inspected(question, by, ruling, hole, _length(question, rivet))


def _refuse_what_does_not_go_together(question: InspectQuestion, facts: Facts) -> None:
    across, high = len(question.formed_diameter), len(question.formed_height)
    if across and high and across != high:
        raise NoAnswer("formed_height", f"{across} diameters but {high} heights: give one for each piece", "0.062")
    if question.gap_around is not None and question.gap is None:
        raise NoAnswer("gap", "gap_around tells over how much a feeler enters: say which feeler", "0.002")
    if question.flushness is not None and not facts.choice.is_flush:
        name = facts.choice.standard.text("head")
        raise NoAnswer(
            "flushness", f"a {name} head is not flush: leave it out, or give a flush head", "1/8 AD flush-100"
        )


def _hole(text: str, facts: Facts, edition: Edition) -> Fraction:
    try:
        hole = hole_size(text, edition)
    except (BadQuestion, NotTabulated) as error:
        raise NotTabulated("hole", error.detail, HOLE_EXAMPLE) from None
    if not facts.size * Fraction(9, 10) <= hole <= 2 * facts.size:
        size = facts.diameter.text("fraction")
        raise OutsideTable(
            "hole", f"{say(hole)} in is no hole for a {size} rivet; a drill is written #30", HOLE_EXAMPLE
        )
    return hole


def _length(question: InspectQuestion, rivet: Installed) -> Fraction | None:
    if question.length is not None:
        return question.length.inches
    return None if rivet.dash is None else Fraction(rivet.dash) * SIXTEENTH


def _common(inspected: Inspected, ledger: Ledger, edition: Edition) -> Iterator[Judged]:
    """Yield the figures that hold for every piece."""
    question = inspected.question
    measured: list[tuple[str, Fraction | None, Callable[[Facts], Bounds]]] = [
        ("hole", inspected.hole, hole_bounds),
        ("gap", _inches(question.gap), lambda _: gap_bounds(question.gap_around, edition)),
        (
            "flushness",
            question.flushness,
            lambda facts: flush_bounds(facts, question.flushness or Fraction(0), edition),
        ),
        ("edge_distance", _inches(question.edge_distance), lambda facts: spacing_bounds(facts, "edge_minimum", None)),
        ("pitch", _inches(question.pitch), lambda facts: spacing_bounds(facts, "pitch_minimum", "pitch_maximum")),
    ]
    for name, value, bounds in measured:
        if value is not None:
            limits = {practice: bounds(facts) for practice, facts in inspected.by.items()}
            yield judge(name, None, value, limits, ledger)


def _inches(length: Length | None) -> Fraction | None:
    return None if length is None else length.inches


def _heads(inspected: Inspected, ledger: Ledger) -> Iterator[Judged]:
    """Yield the figures of each formed head."""
    bounds = {
        measure: {practice: head_bounds(facts, measure) for practice, facts in inspected.by.items()}
        for measure in ("diameter", "height")
    }
    for number in range(1, inspected.count + 1):
        for measure, value in zip(bounds, inspected.piece(number), strict=True):
            if value is not None:
                yield judge(f"formed_{measure}", number, value, bounds[measure], ledger)


def _driven(inspected: Inspected) -> Driven:
    """Return what is known of the driving, by the strictest limits of the practices that rule."""
    ruling = [inspected.by[name] for name in inspected.ruling]
    stack = inspected.question.stack
    return Driven(
        inspected.facts,
        _strictest([head_bounds(facts, "diameter") for facts in ruling]),
        _strictest([head_bounds(facts, "height") for facts in ruling]),
        _strictest([Bounds(facts.window.minimum, facts.window.maximum) for facts in ruling]),
        None if stack is None else stack.total,
        inspected.length,
        inspected.hole,
    )


def _strictest(bounds: list[Bounds]) -> Span:
    least = [bound.least for bound in bounds if bound.least is not None]
    most = [bound.most for bound in bounds if bound.most is not None]
    return Span(max(least, default=None), min(most, default=None))


def _piece(number: int, inspected: Inspected, figures: list[Judged], driven: Driven) -> Block:
    own = [figure for figure in figures if figure.piece in (None, number)]
    across, high = inspected.piece(number)
    block: Block = {"piece": number}
    put(block, "diameter", across)
    put(block, "height", high)
    metal = None if across is None or high is None else held(across, high, inspected.facts.size)
    put(block, "shank_held", metal)
    outside = [figure for figure in own if figure.outside(inspected.ruling)]
    block["verdict"] = OUTSIDE if outside else _calm_verdict(own, inspected.ruling)
    block["outside"] = [_why(figure, practice) for figure in outside for practice in figure.outside(inspected.ruling)]
    causes = find_causes(across, high, driven)
    block["causes"] = [{"code": code, "text": text} for code, text in causes]
    return block


def _why(figure: Judged, practice: str) -> str:
    name = figure.name.replace("_", " ")
    return f"{name} {_signed(figure.measured)} in; limit {figure.bounds[practice].told()} ({practice})"


def _signed(value: Fraction) -> str:
    return f"-{say(-value)}" if value < 0 else say(value)


def _calm_verdict(figures: list[Judged], practices: tuple[str, ...]) -> str:
    """Return the verdict of figures none of which is outside."""
    verdicts = {figure.verdicts[practice] for figure in figures for practice in practices}
    if verdicts == {UNJUDGED}:
        return "not judged"
    return "inside limits, some not judged" if UNJUDGED in verdicts else "inside limits"


def _verdict(figures: list[Judged], practices: tuple[str, ...]) -> str:
    """Return the verdict over all; a new rivet mends nothing that only its place is outside of."""
    outside = {figure.name for figure in figures if figure.outside(practices)}
    if not outside:
        return _calm_verdict(figures, practices)
    return f"{OUTSIDE}: replace" if outside - set(SPACING) else f"{OUTSIDE}: not mended by replacing"


def _practice(name: str, inspected: Inspected, figures: list[Judged]) -> Block:
    rejected = [
        number
        for number in range(1, inspected.count + 1)
        if any(figure.outside((name,)) for figure in figures if figure.piece in (None, number))
    ]
    return {
        "practice": name,
        "rules": name in inspected.ruling,
        "verdict": _verdict(figures, (name,)),
        "rejects": len(rejected),
        "rejected": rejected,
    }


def _by_volume(driven: Driven) -> Block:
    """Return how much shank was there for the head, as far as stack and length tell; null where they do not. [in]"""
    block: Block = {}
    put(block, "length", driven.length)
    put(block, "protrusion", driven.protrusion)
    put(block, "protrusion_minimum", driven.window.least)
    put(block, "protrusion_maximum", driven.window.most)
    put(block, "swelled", driven.swelled())
    put(block, "shank_left", driven.expected)
    nominal = driven.facts.limits["diameter_nominal"]
    expected = driven.expected
    high = None
    if expected is not None and nominal is not None:
        high = Fraction(round(expected * driven.facts.size**2 / nominal.inches**2 * 10_000), 10_000)
    put(block, "height_at_nominal_diameter", high)
    return block


def _look_for(facts: Facts, ledger: Ledger, edition: Edition) -> list[Block]:
    """Return what no figure shows and an eye must look for."""
    found = []
    for row in edition["inspection_limits"]:
        if row.text("kind") != "measured" and (row.text("heads") == "any" or facts.choice.is_flush):
            found.append({"text": row.text("text"), "rejects": row.text("kind") == "reject"})
            ledger.cite(row, "look_for")
    return found


def _reasoning(inspected: Inspected, figures: list[Judged], driven: Driven) -> list[str]:
    count = inspected.count
    ruling = " and ".join(inspected.ruling)
    lines = [f"{count} {'piece' if count == 1 else 'pieces'}; {ruling} rules, the other figures stand beside it"]
    if len(inspected.ruling) > 1:
        lines = [f"{count} {'piece' if count == 1 else 'pieces'}; {ruling} rule together, the strictest limit decides"]
    if count > 1 and any(figure.piece is None for figure in figures):
        lines.append("hole, gap, flushness, edge distance and pitch are taken to hold for every piece")
    if driven.protrusion is not None and driven.length is not None and driven.stack is not None:
        lines.append(
            f"{say(driven.length)} length - {say(driven.stack)} stack = {_signed(driven.protrusion)} in stood out"
        )
    swelled, expected = driven.swelled(), driven.expected
    if swelled is not None and expected is not None:
        hole = "hole as measured" if inspected.hole is not None else "final drill"
        lines.append(
            f"{say(swelled)} in of it swells into the hole ({hole}, {say(driven.bore)} in); "
            f"{say(expected)} in is left for the head"
        )
    lines.append("metal of a head in inches of shank = diameter squared x height / shank diameter squared")
    return lines


def _codes(
    inspected: Inspected, figures: list[Judged], pieces: list[Block], ledger: Ledger, edition: Edition
) -> list[str]:
    facts = inspected.facts
    outside = {figure.name for figure in figures if figure.outside(inspected.ruling)}
    unjudged = {figure.name for figure in figures if UNJUDGED in figure.verdicts.values()}
    codes = [*ALWAYS, *standard_codes(facts.choice.standard, facts.choice.alias)]
    codes += material_codes(facts.choice.material, facts.size, edition)
    codes += ["hole-outside-limits"] if "hole" in outside else []
    codes += ["gap-restrike"] if "gap" in outside else []
    codes += ["flushness-unjudged"] if "flushness" in unjudged else []
    codes += ["spacing-outside"] if outside & set(SPACING) else []
    codes += ["cause-estimated"] if any(piece["causes"] for piece in pieces) else []
    codes += ["edition-draft"] if edition.is_draft else []
    codes += ["not-published"] if ledger.rests_on_doubt() else []
    return codes
