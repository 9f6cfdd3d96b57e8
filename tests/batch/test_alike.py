"""Rows taken from a row that is like them are, byte for byte, what their question alone comes to."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.batch.running import run, sheet

from bucktail_service.answering import question as find_question
from bucktail_service.asking.pick import pick_likeness
from bucktail_service.batch import run as run_module
from bucktail_service.batch.run import Batch

NAMES = ["diameter", "alloy", "head", "stack", "stack_tolerance", "practice", "hole", "family", "edition", "note"]
# few thicknesses, so that totals and cautions meet often, written in several ways and around the limits of sheets
THICKNESSES = (
    "0.016",
    ".032",
    "0.040",
    "1/32",
    "0.04",
    "0.050",
    "0.063",
    "1 mm",
    "2.5mm",
    "1/3",
    "0.125",
    "0.156",
    "0",
)
MATERIALS = ("", " 2024-T3", " 7075", " lead", " unobtainium", " clad 2024-T3")
LAYER = st.builds("".join, st.tuples(st.sampled_from(THICKNESSES), st.sampled_from(MATERIALS)))
STACK = st.lists(LAYER, min_size=1, max_size=4).map("+".join) | st.sampled_from(["gauge 3", "thick", "0.04+", "9"])
ROW = st.fixed_dictionaries({
    "diameter": st.sampled_from(["1/8", "0.125", "3/32", "3/16", "1/7"]),
    "alloy": st.sampled_from(["AD", "DD", "2117", "ZZ"]),
    "head": st.sampled_from(["universal", "flush-100", "MS20426", "AN470", "NAS1739"]),
    "stack": STACK,
    "stack_tolerance": st.sampled_from(["", "", "0.005", "+0.010/-0.005"]),
    "practice": st.sampled_from(["", "military"]),
    "hole": st.sampled_from(["", "", "#30", "#11"]),
    "family": st.sampled_from(["", "", "solid", "blind"]),
    "edition": st.sampled_from(["", "2026.1", "1999.1"]),
    "note": st.just("x, y"),
})  # fmt: skip


def one_by_one(data):
    """Return the output of a batch that knows of no likeness."""
    usual = run_module.find_question
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(run_module, "find_question", lambda name: replace(usual(name), alike=None))
        return run(data)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.lists(ROW, min_size=1, max_size=25))
def test_rows_that_are_alike_are_what_they_are_alone(rows):
    data = sheet(rows, NAMES)
    assert run(data) == one_by_one(data)


# one rivet and every stack of the thicknesses above: hundreds of rows that are alike by twos and threes
@pytest.mark.parametrize("head", ["universal", "flush-100"])
@pytest.mark.parametrize("practice", ["", "military"])
def test_every_pair_of_sheets_is_what_it_is_alone(head, practice):
    stacks = [f"{outer}{of}+{inner}" for outer in THICKNESSES for of in ("", " lead") for inner in THICKNESSES]
    asked = {"diameter": "1/8", "alloy": "AD", "head": head, "practice": practice}
    data = sheet([{**asked, "stack": stack} for stack in [*stacks, *THICKNESSES]], NAMES)
    assert run(data) == one_by_one(data)


def likeness(stack, head="flush-100"):
    told = pick_likeness(["diameter", "alloy", "head", "stack"])(("1/8", "AD", head, stack))
    return told and told[0]


def test_the_order_of_sheets_counts_under_a_flush_head_where_one_is_too_thin_for_it():
    """A sheet thinner than the head is cut to a knife edge: light-jet structural repair manual 51-40-08, figure 2."""
    tell = pick_likeness(["diameter", "alloy", "head", "stack"])
    flush = [tell(("1/8", "AD", "flush-100", stack)) for stack in ("0.032+0.125", "0.125+0.032")]
    plain = [tell(("1/8", "AD", "universal", stack)) for stack in ("0.032+0.125", "0.125+0.032")]
    assert flush[0][0] != flush[1][0]
    assert plain[0][0] == plain[1][0]
    assert [told[1] for told in plain] == ["0.032%2B0.125", "0.125%2B0.032"]


@pytest.mark.parametrize("stack", ["", "thick", "0.04+", "gauge 3", "+".join(["0.01"] * 21), "0.04 " + "x" * 50, "1/3"])
def test_nothing_is_told_of_a_stack_that_is_not_plain(stack):
    assert likeness(stack) is None


def test_kept_rows_are_bounded(monkeypatch):
    monkeypatch.setattr(run_module, "MAX_ALIKE", 10)
    data = sheet(
        [{"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": f"0.1{at}"} for at in range(90)], NAMES
    )
    batch = Batch("pick", io.BytesIO(data.encode()), "csv", "csv")
    together = b"".join(batch)
    assert len(batch._halves) <= 10
    assert together == one_by_one(data)


def test_only_pick_tells_likeness():
    assert find_question("pick").alike is not None
    assert find_question("rework").alike is None
