"""How the length is chosen: properties that hold for every stack, rivet, practice and tolerance.

The windows are the documents' (tests/published/protrusions.csv), the ladders the edition's, all in exact fractions.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.engine.asking import a_head_for, ask, exactly

from bucktail_service.engine.errors import OutsideTable
from bucktail_tables.load import load_edition

EDITION = load_edition()
SIXTEENTH = Fraction(1, 16)
# minimum, preferred and maximum shank beyond the stack, as multiples of the diameter
WINDOWS = {
    ("civil", "AD"): ("1.33", "1.5", "1.66"),  # FAA-H-8083-31, figure 4-76
    ("civil", "D"): ("1.25", "1.33", "1.5"),  # FAA-H-8083-31, figure 4-76
    ("civil", "F"): ("1.33", "1.5", None),  # sheet-metal class flash cards, before-bucking card
    ("military", "AD"): ("1.5", "1.5", None),  # TM 10-5410-229-13&P, par 5-6
}


@dataclass(frozen=True)
class Rivet:
    """A rivet of a practice, its ladder and what may stand out. [in]"""

    fraction: str
    practice: str
    alloy: str

    @property
    def window(self):
        low, preferred, high = WINDOWS[self.practice, self.alloy]
        size = Fraction(self.fraction)
        return Fraction(low) * size, Fraction(preferred) * size, None if high is None else Fraction(high) * size

    @property
    def ladder(self):
        row = EDITION["lengths"].find(self.fraction)
        first, last = int(row.number("shortest_dash") * 2), int(row.number("longest_dash") * 2)
        return [Fraction(step, 32) for step in range(first, last + 1)]

    def fits(self, length, thinnest, thickest):
        low, _, high = self.window
        return length - thickest >= low and (high is None or length - thinnest <= high)

    def choose(self, mils, plus=0, minus=0):
        """Return the length block for a stack in thousandths."""
        answer = ask(
            EDITION,
            self.fraction,
            self.alloy,
            a_head_for(self.alloy, EDITION),
            f"{mils / 1000:.4f}",
            f"+{plus / 1000:.3f}/-{minus / 1000:.3f}",
            self.practice,
        )
        return Chosen(answer["length"])

    def answer(self, mils, plus=0, minus=0):
        """Return the choice, or None when no length of the ladder spans the stack."""
        try:
            return self.choose(mils, plus, minus)
        except OutsideTable as problem:
            if problem.field != "stack":
                raise
            return None


class Chosen:
    """The length block of an answer, in exact fractions."""

    def __init__(self, block):
        self.dash = block["dash"]
        self.length = exactly(block["length_in"])
        self.ideal = block["ideal_in"]
        self.protrusion = block["protrusion_in"]
        self.trim_to = block["trim_to_in"]
        self.alternatives = block["alternatives"]


RIVETS = [Rivet(row.text("fraction"), *names) for row in EDITION["diameters"] for names in WINDOWS]
rivets = st.sampled_from(RIVETS)
limited = st.sampled_from([rivet for rivet in RIVETS if rivet.window[2] is not None])
stacks = st.one_of(st.integers(5, 400), st.integers(5, 4200))
tolerances = st.integers(0, 40)
modest = settings(max_examples=150, deadline=None)


def over(mils, plus, minus):
    return Fraction(mils - minus, 1000), Fraction(mils + plus, 1000)


@modest
@given(rivets, stacks, st.integers(1, 300))
def test_a_thicker_stack_never_gets_a_shorter_rivet(rivet, mils, more):
    thin, thick = rivet.answer(mils), rivet.answer(mils + more)
    assert thick is None or (thin is not None and thick.length >= thin.length)


@modest
@given(rivets, stacks, st.integers(1, 300), tolerances)
def test_nor_does_it_at_one_tolerance_to_both_sides(rivet, mils, more, tolerance):
    assume(tolerance < mils)
    thin, thick = (rivet.answer(stack, tolerance, tolerance) for stack in (mils, mils + more))
    assert thick is None or (thin is not None and thick.length >= thin.length)


@modest
@given(
    st.lists(st.integers(10, 125), min_size=1, max_size=5), st.integers(1, 125), st.sampled_from(["civil", "military"])
)
def test_one_more_layer_never_shortens_the_rivet(mils, more, practice):
    def length(layers):
        stack = "+".join(f"{layer / 1000:.3f}" for layer in layers)
        return ask(EDITION, "1/4", stack=stack, practice=practice)["length"]["length_in"]

    assert length([*mils, more]) >= length(mils)


@modest
@given(rivets, stacks, tolerances, tolerances)
def test_an_untrimmed_shank_stands_inside_the_window_over_the_whole_tolerance(rivet, mils, plus, minus):
    assume(minus < mils)
    chosen = rivet.answer(mils, plus, minus)
    if chosen is not None and chosen.trim_to is None:
        assert rivet.fits(chosen.length, *over(mils, plus, minus))
        assert chosen.protrusion == pytest.approx(float(chosen.length) - mils / 1000, abs=1e-6)


@modest
@given(rivets, stacks, tolerances, tolerances)
def test_a_whole_sixteenth_that_fits_comes_before_a_half_and_the_nearest_before_the_others(rivet, mils, plus, minus):
    assume(minus < mils)
    chosen = rivet.answer(mils, plus, minus)
    if chosen is not None and chosen.trim_to is None:
        ideal = Fraction(mils, 1000) + rivet.window[1]
        whole = [
            length
            for length in rivet.ladder
            if (length * 16).denominator == 1 and rivet.fits(length, *over(mils, plus, minus))
        ]
        assert (".5" in chosen.dash) == (not whole)
        assert not whole or abs(chosen.length - ideal) == min(abs(length - ideal) for length in whole)


@modest
@given(limited, stacks, tolerances, tolerances)
def test_a_rivet_is_cut_only_when_no_length_fits_and_then_to_the_ideal_or_to_what_the_thickest_stack_needs(
    rivet, mils, plus, minus
):
    assume(minus < mils)
    chosen = rivet.answer(mils, plus, minus)
    if chosen is not None and chosen.trim_to is not None:
        ideal = Fraction(mils, 1000) + rivet.window[1]
        assert not any(rivet.fits(length, *over(mils, plus, minus)) for length in rivet.ladder)
        cut = max(ideal, Fraction(mils + plus, 1000) + rivet.window[0])
        assert chosen.ideal == pytest.approx(float(ideal), abs=1e-6)
        assert chosen.trim_to == pytest.approx(float(cut), abs=1e-6)
        assert chosen.length == min(length for length in rivet.ladder if length >= cut)


@modest
@given(rivets, stacks, tolerances, tolerances)
def test_a_wider_tolerance_never_makes_a_length_fit(rivet, mils, tolerance, wider):
    assume(tolerance + wider < mils)
    wide = rivet.answer(mils, tolerance + wider, tolerance + wider)
    narrow = rivet.answer(mils, tolerance, tolerance)
    if wide is not None and wide.trim_to is None:
        assert narrow is not None
        assert narrow.trim_to is None
        assert rivet.fits(wide.length, *over(mils, tolerance, tolerance))


@modest
@given(rivets, stacks, tolerances)
def test_every_alternative_fits_too_and_is_within_a_sixteenth(rivet, mils, tolerance):
    assume(tolerance < mils)
    chosen = rivet.answer(mils, tolerance, tolerance)
    for dash in () if chosen is None else chosen.alternatives:
        length = Fraction(dash) / 16
        assert length != chosen.length
        assert abs(length - chosen.length) <= SIXTEENTH
        assert rivet.fits(length, *over(mils, tolerance, tolerance))


@modest
@given(rivets, stacks)
def test_the_length_number_counts_sixteenths_and_the_ideal_is_the_stack_plus_the_preferred(rivet, mils):
    chosen = rivet.answer(mils)
    if chosen is not None:
        assert Fraction(chosen.dash) / 16 == chosen.length
        assert chosen.length in rivet.ladder
        assert chosen.ideal == pytest.approx(mils / 1000 + float(rivet.window[1]), abs=1e-6)


@pytest.mark.parametrize("rivet", RIVETS, ids=str)
def test_a_stack_beyond_the_longest_rivet_is_outside_the_table_and_names_the_stack(rivet):
    spans = (rivet.ladder[-1] - rivet.window[0]) * 1000
    assert rivet.choose(int(spans)).length == rivet.ladder[-1]
    with pytest.raises(OutsideTable) as caught:
        rivet.choose(int(spans) + 1)
    assert caught.value.field == "stack"
    assert "stack up to" in caught.value.example


@pytest.mark.parametrize(("stack", "minus"), [("0", "0"), ("0.010", "0.010"), ("0.010", "0.011")])
def test_a_stack_of_nothing_is_outside_the_table(stack, minus):
    with pytest.raises(OutsideTable) as caught:
        ask(EDITION, stack=stack, tolerance=f"+0/-{minus}")
    assert caught.value.field == "stack"


def test_the_reasons_name_the_length_chosen_and_both_neighbours():
    # arithmetic by hand: 0.080 + 1.5 x 0.125 = 0.2675; 0.250 - 0.080 = 0.170 = 1.36 D
    reasoning = " ".join(ask(EDITION)["reasoning"])
    for said in ("0.2675", "-4 (0.2500 in)", "1.36 D", "-5 (0.3125 in)", "1.86 D", "-3 (0.1875 in)", "0.86 D"):
        assert said in reasoning
