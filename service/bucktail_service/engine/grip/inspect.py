"""The inspect answer of blind rivets, bolts and pins: what was measured, held to each practice."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from bucktail_service.engine.blocks import Block, edition_block
from bucktail_service.engine.cautions import ALWAYS, caution_list
from bucktail_service.engine.errors import NoAnswer
from bucktail_service.engine.facts import default_practice
from bucktail_service.engine.grip import inspect_limits as limits
from bucktail_service.engine.grip.in_place import BLIND_BOLT, BREAK_STEM, LOCKED, InPlace, identity_blocks
from bucktail_service.engine.grip.inspect_look import family_codes, look_for, stack_codes, thread_codes
from bucktail_service.engine.inspect import InspectQuestion, measured_hole, practices_that_rule, refuse_half_a_gap
from bucktail_service.engine.judged import (
    OUTSIDE,
    SPACING,
    UNJUDGED,
    Bounds,
    Judged,
    judge,
    overall_verdict,
    piece_block,
    practice_block,
    tell_ruling,
)
from bucktail_service.engine.lengths import Length
from bucktail_service.engine.rounding import half_even, put, say
from bucktail_service.engine.sources import Ledger
from bucktail_tables.model import Edition

KINDS = {"blind": "blind rivet", "bolt": "bolt", "pin": "pin", BLIND_BOLT: "blind bolt"}
# measures that only some have, and what the others are told
_OF = {
    "length": ((), "the number of a {kind} tells its grip"),
    "formed_diameter": ((BLIND_BOLT,), "a {kind} has no formed head with limits in the tables"),
    "formed_height": ((), "a {kind} has no formed head with a height in the tables"),
    "collar": (("blind", BLIND_BOLT), "a {kind} has no lock collar in its head"),
    "stem": (("blind", BLIND_BOLT), "no stem is broken off a {kind}"),
    "protrusion": (("bolt", "pin"), "a {kind} does not stand out where it could be measured"),
}
_BY_VOLUME = (
    "length",
    "protrusion",
    "protrusion_minimum",
    "protrusion_maximum",
    "swelled",
    "shank_left",
    "height_at_nominal_diameter",
)


@dataclass(frozen=True, slots=True)
class Asked:
    """A question, the fastener it is about, every practice, and those that rule."""

    question: InspectQuestion
    fastener: InPlace
    practices: list[str]
    ruling: tuple[str, ...]
    edition: Edition

    @property
    def count(self) -> int:
        """Pieces measured; one when only what is common to all was."""
        return max(len(self.question.formed_diameter), 1)


def inspect_by_grip(question: InspectQuestion, fastener: InPlace, edition: Edition) -> Block:
    """Return a verdict for every figure, piece and practice, in the shape of a driven rivet's answer.

    Raises:
        NotTabulated: The drill is not in the tables.
        NoAnswer: Nothing was measured, or a figure does not go with the fastener.
        OutsideTable: The hole is no hole for the fastener.
    """
    practices, ruling = practices_that_rule(question, edition)
    asked = Asked(question, fastener, practices, ruling, edition)
    _refuse_what_does_not_go_together(question, fastener)
    ledger = Ledger()
    blocks = identity_blocks(fastener, ledger)
    figures = [*_common(asked, ledger), *_blind_heads(asked, ledger)]
    if not figures:
        raise NoAnswer(*_asked_first(fastener))
    causes = list(_causes(asked, figures, ledger))
    pieces = [_piece(number, asked, figures, causes) for number in range(1, asked.count + 1)]
    rejected = [piece["piece"] for piece in pieces if piece["verdict"] == OUTSIDE]
    by_volume: Block = {}
    for name in _BY_VOLUME:
        put(by_volume, name, None)
    # a stack at an end of its grip waits for another measurement, it lacks no figure
    open_ones = (figure.name for figure in figures if UNJUDGED in figure.verdicts.values())
    unjudged = [name for name in dict.fromkeys(open_ones) if name != "stack"]
    found = look_for(question, fastener, figures, edition, ledger)
    codes = _codes(asked, figures, unjudged, ledger)
    return {
        "verdict": overall_verdict(figures, ruling),
        "fastener": question.fastener,
        **blocks,
        "count": asked.count,
        "rejects": len(rejected),
        "rejected": rejected,
        "practices": [practice_block(name, ruling, asked.count, figures) for name in practices],
        "figures": [figure.block() for figure in figures],
        "pieces": pieces,
        "by_volume": by_volume,
        "look_for": found,
        "reasoning": [*tell_ruling(asked.count, ruling, figures), *_reasoning(asked, figures)],
        "cautions": caution_list(codes, edition, unjudged),
        "sources": ledger.as_list(),
        "practice": question.practice or default_practice(edition),
        "edition": edition_block(edition),
        "link": None,
    }


def _asked_first(fastener: InPlace) -> tuple[str, str, str]:
    """Return the measure that is missed where none was given, what is told, and an example."""
    told = "nothing was measured: there is nothing to judge"
    if fastener.family in ("bolt", "pin"):
        return "protrusion", told, "0.06"
    return ("collar", told, "0.010 above") if _has_collar(fastener) else ("stem", told, "flush")


def _has_collar(fastener: InPlace) -> bool:
    return fastener.choice is None or LOCKED in fastener.kinds or BREAK_STEM in fastener.kinds


def _refuse_what_does_not_go_together(question: InspectQuestion, fastener: InPlace) -> None:
    for name, (families, told) in _OF.items():
        given = getattr(question, name) not in (None, ())
        if given and fastener.family not in families:
            raise NoAnswer(name, f"{told.format(kind=KINDS[fastener.family])}: leave {name} out", "leave it out")
    if question.collar is not None and not _has_collar(fastener):
        told = f"the tables do not tell that {fastener.name} has a lock collar: leave collar out"
        raise NoAnswer("collar", told, "fastener NAS1398B4-3")
    refuse_half_a_gap(question)
    if question.flushness is not None and not fastener.may_be_flush:
        told = f"the head of {fastener.name} is not flush: leave it out, or give a flush head"
        raise NoAnswer("flushness", told, "fastener NAS1399B4-3")


def _common(asked: Asked, ledger: Ledger) -> Iterator[Judged]:
    """Yield the figures that hold for every piece."""
    question, fastener, edition = asked.question, asked.fastener, asked.edition
    hole = None
    if question.hole is not None:
        told = f"{fastener.fraction} {KINDS[fastener.family]}"
        hole = measured_hole(question.hole, fastener.nominal, told, edition)
    stack = None if question.stack is None else question.stack.total
    off = {name: getattr(question, name) or Fraction(0) for name in ("flushness", "collar", "stem")}
    measured: list[tuple[str, Fraction | None, Callable[[str], Bounds]]] = [
        ("stack", stack, lambda name: limits.stack_bounds(fastener, stack or Fraction(0), name, edition)),
        ("hole", hole, lambda _: limits.hole_bounds(fastener, edition)),
        ("gap", _inches(question.gap), lambda _: limits.head_gap_bounds(fastener, question.gap_around, edition)),
        ("flushness", question.flushness, lambda _: limits.flush_head_bounds(off["flushness"])),
        ("collar", question.collar, lambda _: limits.collar_bounds(fastener, off["collar"], edition)),
        ("stem", question.stem, lambda _: limits.stem_bounds(fastener, off["stem"], edition)),
        (
            "protrusion",
            _inches(question.protrusion),
            lambda name: limits.protrusion_bounds(fastener, name, edition),
        ),
        (
            "edge_distance",
            _inches(question.edge_distance),
            lambda name: limits.distance_bounds(fastener, name, "edge_minimum", None, edition),
        ),
        (
            "pitch",
            _inches(question.pitch),
            lambda name: limits.distance_bounds(fastener, name, "pitch_minimum", "pitch_maximum", edition),
        ),
    ]
    for name, value, bounds in measured:
        if value is not None:
            yield judge(name, None, value, {practice: bounds(practice) for practice in asked.practices}, ledger)


def _inches(length: Length | None) -> Fraction | None:
    return None if length is None else length.inches


def _blind_heads(asked: Asked, ledger: Ledger) -> Iterator[Judged]:
    """Yield the blind head of each blind bolt."""
    if asked.question.formed_diameter:
        bounds = dict.fromkeys(asked.practices, limits.blind_head_bounds(asked.edition))
        for number, measured in enumerate(asked.question.formed_diameter, 1):
            yield judge("formed_diameter", number, measured.inches, bounds, ledger)


def _piece(number: int, asked: Asked, figures: list[Judged], causes: list[tuple[str, str]]) -> Block:
    across = asked.question.formed_diameter
    measured: Block = {}
    put(measured, "diameter", across[number - 1].inches if across else None)
    put(measured, "height", None)
    put(measured, "shank_held", None)
    block = piece_block(number, measured, asked.ruling, figures)
    return {**block, "causes": [{"code": code, "text": text} for code, text in causes]}


def _causes(asked: Asked, figures: list[Judged], ledger: Ledger) -> Iterator[tuple[str, str]]:
    """Yield what put a figure outside its limit, as code and sentence, by the first practice that rules and says so."""
    for figure in figures:
        outside = figure.outside(asked.ruling)
        bounds = figure.bounds[outside[0]] if outside else None
        cause = None if bounds is None else _cause(figure, bounds, asked.fastener)
        if bounds is not None and cause is not None:
            for row in bounds.rows:
                ledger.cite(row, "causes")
            yield cause


def _cause(figure: Judged, bounds: Bounds, fastener: InPlace) -> tuple[str, str] | None:
    """Return why a figure is outside; None where no document tells it."""
    over = bounds.most is not None and figure.measured > bounds.most
    size, limit = f"{say(abs(figure.measured))} in", bounds.told()
    if figure.name == "stack":
        told = f"a stack of {size} is {'over' if over else 'under'} what -{fastener.grip} holds, {limit}"
        return _grip_cause(told, short=over)
    if figure.name == "protrusion" and fastener.family == "pin":
        return _grip_cause(f"{size} of the pin stands out of the sheet, limit {limit}", short=not over)
    if figure.name == "protrusion":
        told = f"{size} of thread stands out of the nut, {limit}; or too many washers, or too high a nut"
        return "too_short", f"bolt too short: {told}"
    if figure.name == "stem":
        long = "long" if over else "short"
        side = "above" if over else "below"
        return f"too_{long}", f"fastener too {long}: its pin stands {size} {side} the head, {limit}"
    return None


def _grip_cause(told: str, *, short: bool) -> tuple[str, str]:
    word = "short" if short else "long"
    return f"grip_too_{word}", f"grip too {word}: {told}"


def _reasoning(asked: Asked, figures: list[Judged]) -> Iterator[str]:
    """Yield what was counted for a verdict."""
    fastener, edition = asked.fastener, asked.edition
    for figure in figures:
        if figure.name == "stack":
            yield f"-{fastener.grip} of {fastener.name} holds stacks {figure.bounds[asked.ruling[0]].told()}"
        if figure.name == "protrusion" and fastener.family == "bolt":
            series = limits.threads_per_inch(fastener.name, edition)
            if series is not None:
                per_inch = series.number("threads_per_inch")
                threads = half_even(figure.measured * per_inch, 1)
                yield f"{say(figure.measured)} in x {float(per_inch):g} threads an inch = {threads:g} threads"


def _codes(asked: Asked, figures: list[Judged], unjudged: list[str], ledger: Ledger) -> list[str]:
    fastener, edition = asked.fastener, asked.edition
    outside = {figure.name for figure in figures if figure.outside(asked.ruling)}
    codes = [*ALWAYS, *family_codes(fastener, edition)]
    for figure in figures:
        if figure.name == "stack":
            codes += stack_codes(fastener, figure.measured, edition)
        if figure.name == "protrusion" and fastener.family == "bolt":
            codes += thread_codes(figure, fastener, asked.ruling, edition)
    codes += ["hole-outside-limits"] if "hole" in outside else []
    codes += ["gap-restrike"] if "gap" in outside else []
    codes += ["flushness-unjudged"] if "flushness" in unjudged else []
    codes += ["spacing-outside"] if outside & set(SPACING) else []
    codes += ["no-figure"] if unjudged else []
    codes += ["edition-draft"] if edition.is_draft else []
    codes += ["not-published"] if ledger.rests_on_doubt() else []
    return codes
