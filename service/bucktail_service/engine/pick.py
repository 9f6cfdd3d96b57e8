"""The pick answer: one solid rivet for a stack, with everything a person at the bench asks next.

`work_out` decides; `pick` tells all of it. A batch asks only for the decision.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from urllib.parse import quote

from bucktail_service.engine import formed_head
from bucktail_service.engine.blocks import OWN_BLOCKS, Block, edition_block, rule_row
from bucktail_service.engine.cautions import TOLD, caution_list, caution_order, countersink_codes, stack_codes
from bucktail_service.engine.designation import format_number
from bucktail_service.engine.errors import OutsideTable
from bucktail_service.engine.facts import PREDICTIONS, Facts, default_practice, rivet_facts
from bucktail_service.engine.holes import HOLE_EXAMPLE, Holes, hole_size
from bucktail_service.engine.length import LengthChoice, choose_length, explain
from bucktail_service.engine.lengths import Length
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.rounding import put, say
from bucktail_service.engine.sources import Ledger
from bucktail_tables.model import Edition

FAMILIES = ("solid", "blind", "bolt", "pin")


# what a solid rivet has none of
_NO_GRIP = {"grip": None, **dict.fromkeys(OWN_BLOCKS)}


@dataclass(frozen=True, slots=True)
class Picked:
    """What was decided for a stack, before it is told."""

    question: PickQuestion
    facts: Facts
    thinnest: Fraction
    thickest: Fraction
    choice: LengthChoice
    hole: Fraction | None
    predicted: formed_head.Prediction | None

    @property
    def part_number(self) -> str:
        """The part number of the rivet chosen."""
        return format_number(self.facts.choice.offered, self.facts.diameter.text("dash"), self.choice.dash)

    def caution_codes(self) -> list[str]:
        """Return the codes of the cautions that fire, unsorted."""
        facts, stack = self.facts, self.question.stack
        codes = [*facts.codes, *stack_codes(stack, facts.size, facts.edition)]
        codes += _length_codes(self.choice, self.thinnest != self.thickest)
        if facts.choice.is_flush:
            codes += countersink_codes(stack, facts.head_height, facts.sheet_minimum)
        if self.hole is not None and not _inside(self.hole, facts.holes):
            codes.append("hole-outside-limits")
        if self.predicted is not None and None in self.predicted:
            codes.append("no-formed-head")
        return codes

    def mass(self) -> Block:
        """Return the mass block."""
        rule = self.facts.mass
        if rule is None:
            return {"each_g": None, "pieces_per_lb": None}
        return {"each_g": rule.each_g(self.choice.length), "pieces_per_lb": rule.pieces_per_lb(self.choice.length)}

    def link(self) -> str:
        """Return the path that asks the same again, edition pinned."""
        return _link(self.question, self.facts)


def work_out(question: PickQuestion, edition: Edition) -> Picked:
    """Return what is decided for a stack.

    Raises:
        BadQuestion: The alloy, the head, the practice or the drill is not one the edition knows.
        NotTabulated: The diameter or the combination is not in the edition.
        OutsideTable: No tabulated length spans the stack, or the hole is no hole for the rivet.
    """
    facts = facts_of(question, edition)
    total, tolerance = question.stack.total, question.stack_tolerance
    thinnest, thickest = total - tolerance.minus.inches, total + tolerance.plus.inches
    choice = choose_length(total, thinnest, thickest, facts.window, facts.lengths)
    hole = None if question.hole is None else hole_size(question.hole, edition)
    if hole is not None and not facts.size <= hole <= 2 * facts.size:
        size = facts.diameter.text("fraction")
        raise OutsideTable(
            "hole", f"{say(hole)} in is no hole for a {size} rivet; a drill is written #30", HOLE_EXAMPLE
        )
    predicted = _predicted(facts, choice, hole, (total, thinnest, thickest))
    return Picked(question, facts, thinnest, thickest, choice, hole, predicted)


def facts_of(question: PickQuestion, edition: Edition) -> Facts:
    """Return what the rivet asked for fixes by itself.

    Raises:
        BadQuestion, NotTabulated: As `work_out`.
    """
    practice = question.practice or default_practice(edition)
    return rivet_facts(question.head, question.alloy, question.diameter, practice, edition)


def pick(question: PickQuestion, edition: Edition) -> Block:
    """Return the answer to a pick question: part number, length, hole, spacing, formed head, strength, mass, cautions.

    Lengths are rounded once, here, half to even: six decimals of an inch, four of a millimetre. Blocks that
    depend on the rivet alone are shared between answers and must not be changed.

    Raises:
        BadQuestion, NotTabulated, OutsideTable: As `work_out`.
    """
    picked = work_out(question, edition)
    facts = picked.facts
    fired = frozenset(picked.caution_codes())
    told = brief(picked, fired)
    return {
        "part_number": told["part_number"],
        "family": "solid",
        "standard": facts.choice.standard.text("standard"),
        **{name: facts.blocks[name] for name in ("diameter", "alloy", "head")},
        "stack": _stack(picked),
        "length": told["length"],
        "grip": None,
        "hole": _hole(picked),
        "spacing": facts.blocks["spacing"],
        "formed_head": {**facts.blocks["formed_head"], **_prediction_block(picked.predicted)},
        "strength": facts.blocks["strength"],
        "mass": told["mass"],
        **dict.fromkeys(OWN_BLOCKS),
        "reasoning": [*_explained(picked), *_counts(facts), *_by_volume(picked)],
        "cautions": caution_list(fired, edition, facts.missing, _told(picked) if fired & TOLD else None),
        "sources": _sources(picked),
        "practice": facts.practice,
        "edition": edition_block(edition),
        "link": told["link"],
    }


def brief(picked: Picked, fired: frozenset[str] | None = None) -> Block:
    """Return the part of the pick answer that a line of a batch shows, in the shape of the whole answer."""
    facts = picked.facts
    fired = frozenset(picked.caution_codes()) if fired is None else fired
    return {
        "part_number": picked.part_number,
        "length": _length(picked.choice, facts),
        "mass": picked.mass(),
        "cautions": [code for code in caution_order(facts.edition) if code["code"] in fired],
        "practice": facts.practice,
        "edition": {"name": facts.edition.name},
        "link": picked.link(),
        **{name: facts.blocks[name] for name in ("hole", "spacing", "formed_head", "strength")},
        **_NO_GRIP,
    }


def _sources(picked: Picked) -> list[Block]:
    sources = list(picked.facts.sources)
    if picked.choice.trim_to is not None:
        ledger = Ledger()
        ledger.cite(rule_row(picked.facts.edition, "cautions", "trim-to-length"), "length.trim_to")
        sources += ledger.as_list()
    return sources


def _explained(picked: Picked) -> list[str]:
    facts, total = picked.facts, picked.question.stack.total
    return explain(picked.choice, total, picked.thinnest, picked.thickest, facts.window, facts.lengths, facts.size)


def _inside(hole: Fraction, holes: Holes) -> bool:
    low, high = holes.minimum, holes.maximum
    return (low is None or low <= hole) and (high is None or hole <= high)


def _hole(picked: Picked) -> Block:
    block: Block = picked.facts.blocks["hole"]
    if picked.hole is None:
        return block
    given: Block = {"text": picked.question.hole}
    put(given, "diameter", picked.hole)
    return {**block, "given": given}


def _stack(picked: Picked) -> Block:
    stack = picked.question.stack
    block: Block = {}
    put(block, "total", stack.total)
    put(block, "minimum", picked.thinnest)
    put(block, "maximum", picked.thickest)
    block["layers"] = [_layer(layer.thickness, layer.material) for layer in stack.layers]
    return block


def _layer(thickness: Length, material: str | None) -> Block:
    block: Block = {"material": material}
    put(block, "thickness", thickness.inches)
    return block


def _length(choice: LengthChoice, facts: Facts) -> Block:
    block: Block = {"dash": choice.dash}
    put(block, "length", choice.length)
    put(block, "ideal", choice.ideal)
    put(block, "protrusion", choice.protrusion)
    put(block, "protrusion_minimum", facts.window.minimum)
    put(block, "protrusion_maximum", facts.window.maximum)
    put(block, "trim_to", choice.trim_to)
    block["alternatives"] = list(choice.alternatives)
    block["counts"] = facts.choice.standard.text("length_counts")
    return block


def _length_codes(choice: LengthChoice, has_tolerance: bool) -> list[str]:
    codes = []
    if choice.trim_to is not None:
        codes.append("trim-to-length")
        if has_tolerance:
            codes.append("stack-tolerance")
    if choice.dash.endswith(".5"):
        codes.append("half-size")
    return codes


def _predicted(
    facts: Facts, choice: LengthChoice, given: Fraction | None, stacks: tuple[Fraction, ...]
) -> formed_head.Prediction | None:
    """Return what the formed head comes to over the stack as given, at its thinnest and at its thickest."""
    height, across = facts.limits["height_nominal"], facts.limits["diameter_nominal"]
    if height is None or across is None or not facts.predicts:
        return None
    shank, high = float(facts.size), float(height.inches)
    length = float(choice.length if choice.trim_to is None else choice.trim_to)
    cone = float(facts.head_row.number("height_in")) if facts.choice.is_flush and facts.head_row else 0.0
    bores = (
        (given,) * 3 if given is not None else (facts.holes.final.diameter, facts.holes.minimum, facts.holes.maximum)
    )
    bore, tightest, widest = (float(size or facts.holes.final.diameter) for size in bores)
    total, thinnest, thickest = map(float, stacks)
    volume = formed_head.net_volume(shank, bore, total - cone, length - total)
    least = formed_head.net_volume(shank, widest, thickest - cone, length - thickest)
    most = formed_head.net_volume(shank, tightest, thinnest - cone, length - thinnest)
    return formed_head.Prediction(
        formed_head.diameter_at_height(volume, high),
        formed_head.height_at_diameter(volume, float(across.inches)),
        formed_head.diameter_at_height(least, high),
        formed_head.diameter_at_height(most, high),
    )


def _prediction_block(predicted: formed_head.Prediction | None) -> Block:
    block: Block = {}
    for name in PREDICTIONS:
        put(block, f"predicted_{name}", None if predicted is None else getattr(predicted, name))
    return block


def _by_volume(picked: Picked) -> list[str]:
    """Return what constant volume says of the formed head: its height at the nominal diameter, and the reverse."""
    predicted, limits = picked.predicted, picked.facts.limits
    across, height = limits["diameter_nominal"], limits["height_nominal"]
    if predicted is None or predicted.height is None or predicted.diameter is None or across is None or height is None:
        return []
    high = _judged(predicted.height, limits["height_minimum"], limits["height_maximum"])
    wide = _judged(predicted.diameter, limits["diameter_minimum"], limits["diameter_maximum"])
    return [
        f"by volume, driven to {say(across.inches)} in across, the formed head stands about {high} high",
        f"by volume, driven to {say(height.inches)} in high, it comes to about {wide} across",
    ]


def _judged(value: Fraction, low: formed_head.Limit | None, high: formed_head.Limit | None) -> str:
    if low is not None and value < low.inches:
        return f"{say(value)} in (under the least, {say(low.inches)})"
    if high is not None and value > high.inches:
        return f"{say(value)} in (over the most, {say(high.inches)})"
    return f"{say(value)} in (within its limits)"


def _told(picked: Picked) -> dict[str, str]:
    """Return what fired the cautions about sheets and the hole, in figures."""
    facts, layers = picked.facts, picked.question.stack.layers
    thickest = max(layer.thickness.inches for layer in layers)
    told = {
        "diameter-for-sheet": f"{say(facts.size)} in with a thickest sheet of {say(thickest)} in",
        "knife-edge": f"the sheet is {say(layers[0].thickness.inches)} in",
    }
    if facts.head_row is not None:
        told["knife-edge"] += f", the head {say(facts.head_row.number('height_in'))} in high"
    if picked.hole is not None and facts.holes.minimum is not None and facts.holes.maximum is not None:
        limits = f"{say(facts.holes.minimum)} to {say(facts.holes.maximum)}"
        told["hole-outside-limits"] = f"{say(picked.hole)} in against {limits}"
    return told


def _counts(facts: Facts) -> list[str]:
    if not facts.choice.is_flush:
        return []
    height = "" if facts.head_row is None else f", its {say(facts.head_row.number('height_in'))} in included"
    return [f"a flush rivet's length counts the head{height}: the head lies in the stack, so the same sum holds"]


def _link(question: PickQuestion, facts: Facts) -> str:
    link = facts.link + quote(str(question.stack), safe="/")
    if question.stack_tolerance.plus.inches or question.stack_tolerance.minus.inches:
        link += f"&stack_tolerance={quote(str(question.stack_tolerance), safe='/')}"
    if question.hole is not None:
        link += f"&hole={quote(question.hole, safe='/')}"
    return f"{link}&practice={facts.practice}&edition={facts.edition.name}"
