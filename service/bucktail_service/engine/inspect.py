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
    SPACING,
    UNJUDGED,
    Bounds,
    Judged,
    flush_bounds,
    gap_bounds,
    head_bounds,
    hole_bounds,
    judge,
    overall_verdict,
    piece_block,
    practice_block,
    signed,
    spacing_bounds,
    tell_ruling,
)
from bucktail_service.engine.length import SIXTEENTH
from bucktail_service.engine.lengths import Length, Stack
from bucktail_service.engine.rounding import put, say
from bucktail_service.engine.sources import Ledger
from bucktail_tables.model import Edition

BOTH = "both"
FASTENER_EXAMPLE = "MS20470AD4-4, 1/8 AD universal, NAS1398B4-3 or AN4-10A"
# measures that a driven rivet does not have: why, and a fastener that has them
OTHERS = {
    "collar": ("a solid rivet has no lock collar", "fastener NAS1398B4-3"),
    "stem": ("a solid rivet has no stem", "fastener NAS1398B4-3"),
    "protrusion": ("what stood out of a solid rivet follows from its length and its stack", "length 1/4"),
}


@dataclass(frozen=True, slots=True)
class InspectQuestion:
    """Do these fasteners, as they were installed, lie inside the limits?

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
        collar: Of a blind rivet: how far its lock collar stands above the top of the head; negative below it. [in]
        stem: Of a blind rivet: how far the broken-off stem stands above the head; negative below it. [in]
        protrusion: Of a pin or a bolt: how far it stands out, a pin of the sheet and a bolt of its nut. [in]
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
    collar: Fraction | None = None
    stem: Fraction | None = None
    protrusion: Length | None = None
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
        "verdict": overall_verdict(figures, inspected.ruling),
        "fastener": question.fastener,
        **blocks,
        "count": inspected.count,
        "rejects": len(rejected),
        "rejected": rejected,
        "practices": [practice_block(name, inspected.ruling, inspected.count, figures) for name in inspected.by],
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
        names, _ = practices_that_rule(question, edition)
        by = {name: rivet_facts(rivet.head, rivet.alloy, rivet.diameter, name, edition) for name in names}
    except NoAnswer as error:
        raise NotTabulated("fastener", error.detail, error.example or INSTALLED_EXAMPLE) from None
    _, ruling = practices_that_rule(question, edition)
    facts = by[ruling[0]]
    _refuse_what_does_not_go_together(question, facts)
    hole = None
    if question.hole is not None:
        hole = measured_hole(question.hole, facts.size, f"{facts.diameter.text('fraction')} rivet", edition)
    return Inspected(question, by, ruling, hole, _length(question, rivet))


def _refuse_what_does_not_go_together(question: InspectQuestion, facts: Facts) -> None:
    for name, (told, example) in OTHERS.items():
        if getattr(question, name) is not None:
            raise NoAnswer(name, f"{told}: leave {name} out", example)
    across, high = len(question.formed_diameter), len(question.formed_height)
    if across and high and across != high:
        raise NoAnswer("formed_height", f"{across} diameters but {high} heights: give one for each piece", "0.062")
    refuse_half_a_gap(question)
    if question.flushness is not None and not facts.choice.is_flush:
        name = facts.choice.standard.text("head")
        raise NoAnswer(
            "flushness", f"a {name} head is not flush: leave it out, or give a flush head", "1/8 AD flush-100"
        )


def practices_that_rule(question: InspectQuestion, edition: Edition) -> tuple[list[str], tuple[str, ...]]:
    """Return every practice, and those of them that decide the verdict."""
    names = [row.text("practice") for row in edition["practices"]]
    asked = question.practice or default_practice(edition)
    return names, tuple(names) if asked == BOTH else (asked,)


def refuse_half_a_gap(question: InspectQuestion) -> None:
    """Raise NoAnswer where it is said over how much a feeler enters, and not which feeler."""
    if question.gap_around is not None and question.gap is None:
        raise NoAnswer("gap", "gap_around tells over how much a feeler enters: say which feeler", "0.002")


def measured_hole(text: str, size: Fraction, fastener: str, edition: Edition) -> Fraction:
    """Return the hole as measured. [in]

    Args:
        text: A length or the name of a drill.
        size: Nominal diameter of the fastener. [in]
        fastener: Its size and kind in words.
        edition: The tables to read.

    Raises:
        NotTabulated: No such drill.
        OutsideTable: It is no hole for the fastener.
    """
    try:
        hole = hole_size(text, edition)
    except (BadQuestion, NotTabulated) as error:
        raise NotTabulated("hole", error.detail, HOLE_EXAMPLE) from None
    if not size * Fraction(9, 10) <= hole <= 2 * size:
        raise OutsideTable("hole", f"{say(hole)} in is no hole for a {fastener}; a drill is written #30", HOLE_EXAMPLE)
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
    across, high = inspected.piece(number)
    measured: Block = {}
    put(measured, "diameter", across)
    put(measured, "height", high)
    metal = None if across is None or high is None else held(across, high, inspected.facts.size)
    put(measured, "shank_held", metal)
    block = piece_block(number, measured, inspected.ruling, figures)
    causes = find_causes(across, high, driven)
    block["causes"] = [{"code": code, "text": text} for code, text in causes]
    return block


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
    lines = tell_ruling(inspected.count, inspected.ruling, figures)
    if driven.protrusion is not None and driven.length is not None and driven.stack is not None:
        lines.append(
            f"{say(driven.length)} length - {say(driven.stack)} stack = {signed(driven.protrusion)} in stood out"
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
