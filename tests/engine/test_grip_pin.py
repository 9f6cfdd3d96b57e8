"""Pins with swaged and threaded collars, and lockbolts: grip, collar, fit, and what is refused or cautioned."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.engine.gripping import EDITION, caution, codes, empty, hold_to_the_shape, pin, refused, said

from bucktail_service.engine.errors import NotTabulated, OutsideTable
from bucktail_service.engine.grip.choice import sizes

SWAGED = ("NAS1054", "NAS1055", "NAS177", "NAS178")
PINS = [
    (standard.text("standard"), size.fraction)
    for standard in EDITION["grip_standards"]
    if standard.text("family") == "pin" and not standard.text("missing")
    for size in sizes(standard, EDITION)
]
# attributed to AC 65-9A / FAA-H-8083-30, lockbolt grip table, not read (memory): grip, from, to
LOCKBOLT = [
    (1, "0.0312", "0.0938"),
    (2, "0.0938", "0.1562"),
    (3, "0.1562", "0.2188"),
    (4, "0.2188", "0.2812"),
    (5, "0.2812", "0.3438"),
    (6, "0.3438", "0.4062"),
    (7, "0.4062", "0.4688"),
    (8, "0.4688", "0.5312"),
    (9, "0.5312", "0.5938"),
    (10, "0.5938", "0.6562"),
    (11, "0.6562", "0.7188"),
    (12, "0.7188", "0.7812"),
    (13, "0.7812", "0.8438"),
    (14, "0.8438", "0.9062"),
    (15, "0.9062", "0.9688"),
    (16, "0.9688", "1.0312"),
]
# attributed to common pin-protrusion gauge figures, not read (memory): diameter, from, to
PROTRUSIONS = [
    ("5/32", 0.302, 0.384),
    ("3/16", 0.315, 0.397),
    ("1/4", 0.385, 0.467),
    ("5/16", 0.490, 0.572),
    ("3/8", 0.535, 0.617),
]


@pytest.mark.parametrize(("head", "diameter"), PINS)
def test_every_pin_is_answered_in_full_in_both_practices(head, diameter):
    stack = 0.38  # over the largest shank: a swaged pin is refused under it
    for practice in ("civil", "military"):
        answered = pin(head, diameter=diameter, stack=str(stack), practice=practice)
        hold_to_the_shape(answered)
        assert answered["standard"] == head
        assert answered["grip"]["minimum_in"] < stack <= answered["grip"]["maximum_in"]


@pytest.mark.parametrize(
    ("head", "asked"),
    [
        ("NAS1054", {"stack": "gauge 5.2"}),
        ("NAS1054", {"stack": "0.310", "stack_tolerance": "0.010", "hole": "0.187"}),
        ("NAS1054", {"stack": "0.190", "stack_tolerance": "0.010", "hole": "0.190"}),
        ("NAS1055", {"stack": "0.063 2024-T3+0.250 6061-T6"}),
        ("flush-100", {"stack": "0.063 2024-T3+0.250 lead"}),
        ("lockbolt", {"stack": "0.2812", "hole": "0.186"}),
        ("threaded-collar", {"stack": "5 mm+4 mm"}),
    ],
)
def test_an_answer_off_the_usual_way_owes_as_much(head, asked):
    hold_to_the_shape(pin(head, **asked))


@pytest.mark.parametrize("head", SWAGED)
def test_a_swaged_pin_counts_its_diameter_in_thirty_seconds_and_its_most_grip_in_sixteenths(head):
    # NAS1054 (2013) text on a document-download page, CODE (second-hand); NAVEDTRA 14018, chapter 2 (published)
    answered = pin(head, diameter="3/16", stack="0.500")
    assert answered["part_number"] == f"{head}-6-8"
    assert (answered["grip"]["minimum_in"], answered["grip"]["maximum_in"]) == (0.4375, 0.5)
    assert answered["grip"]["dash"] == "8"
    assert "grip-unverified" not in codes(answered)


@given(stack=st.integers(1875, 10_000))  # from the diameter of the shank on
def test_the_straight_shank_of_a_swaged_pin_never_stands_out_more_than_a_sixteenth(stack):
    # exam-preparation page quoting the Navy structural mechanic course (second-hand): 0 to 1/16 past the sheet
    answered = pin("NAS1054", stack=f"{stack / 10000:.4f}")
    shank = int(answered["grip"]["dash"]) / 16
    out = shank - stack / 10000
    assert 0 <= out < 0.0625
    assert answered["collar"]["protrusion_minimum_in"] <= out <= answered["collar"]["protrusion_maximum_in"]


@pytest.mark.parametrize("head", SWAGED)
def test_how_far_a_swaged_pin_stands_out_is_told_from_its_ladder_and_its_basis_named(head):
    # exam-preparation page quoting the Navy structural mechanic course (second-hand): 0 to 1/16 past the sheet
    answered = pin(head)
    collar = answered["collar"]
    assert (collar["protrusion_minimum_in"], collar["protrusion_maximum_in"]) == (0, 0.0625)
    (source,) = (entry for entry in answered["sources"] if "collar.protrusion_minimum" in entry["figures"])
    assert (source["table"], source["row"], source["basis"]) == ("grip_ladders", ["swaged-pin"], "second-hand")
    assert "0.0000 to 0.0625 in (second-hand)" in said(answered)


def test_how_far_a_lockbolt_stands_out_is_not_in_the_tables():
    answered = pin("lockbolt")
    assert (answered["collar"]["protrusion_minimum_in"], answered["collar"]["protrusion_maximum_in"]) == (None, None)
    assert {"collar.protrusion_minimum", "collar.protrusion_maximum"} <= empty(answered)


@pytest.mark.parametrize("dash", [4, 5, 6, 8, 10, 12])
def test_the_collars_of_a_pin_carry_its_dash(dash):
    # NAS1054 (2013) text on a document-download page, note 2 (second-hand): NAS179 or NAS528, -4 to -12, same dash
    collar = pin("NAS1054", diameter=f"{dash}/32", stack="0.400")["collar"]
    assert (collar["number"], collar["or_number"]) == (f"NAS179-{dash}", f"NAS528-{dash}")


@pytest.mark.parametrize("head", ["NAS1055", "NAS177", "lockbolt", "threaded-collar"])
def test_a_pin_whose_collar_no_document_names_has_none(head):
    answered = pin(head)
    assert answered["collar"]["number"] is None
    assert "collar.number" in empty(answered)


@pytest.mark.parametrize(
    ("head", "least", "most"),
    [
        ("lockbolt", 0.001, 0.003),  # lockbolt process manual, hole preparation (second-hand)
        ("threaded-collar", None, 0.004),  # NAVEDTRA 14315, page with Figure 3-8 (published)
    ],
)
def test_the_fit_of_the_hole_is_told_as_interference(head, least, most):
    answered = pin(head)
    collar = answered["collar"]
    assert (collar["interference_minimum_in"], collar["interference_maximum_in"]) == (least, most)
    assert ("collar.interference_minimum" in empty(answered)) is (least is None)
    assert "interference" in said(answered)


@pytest.mark.parametrize("head", SWAGED)
def test_what_a_worn_hole_of_a_swaged_pin_is_reamed_to_is_no_fit_of_a_new_one(head):
    # single-engine airplane structural repair manual, Fasteners Table 2 note 2 (published): a hole that grew long
    answered = pin(head)
    collar = answered["collar"]
    assert (collar["interference_minimum_in"], collar["interference_maximum_in"]) == (None, None)
    assert {"collar.interference_minimum", "collar.interference_maximum"} <= empty(answered)
    assert "a hole that has grown long is reamed to an interference" in collar["text"]
    assert "0.0010 in" in collar["text"]
    (source,) = (entry for entry in answered["sources"] if "collar.text" in entry["figures"])
    assert (source["row"], source["basis"]) == (["pin_hole_swaged"], "published")


@pytest.mark.parametrize(("diameter", "least", "most"), PROTRUSIONS)
def test_a_threaded_pin_stands_out_of_the_sheet_within_limits_marked_as_memory(diameter, least, most):
    answered = pin("threaded-collar", diameter=diameter)
    collar = answered["collar"]
    assert (collar["protrusion_minimum_in"], collar["protrusion_maximum_in"]) == (least, most)
    (source,) = (source for source in answered["sources"] if source["table"] == "pin_protrusions")
    assert source["basis"] == "memory"
    assert "not-published" in codes(answered)
    assert f"{least:.4f} to {most:.4f} in (memory)" in said(answered)


def test_the_collar_of_a_threaded_pin_takes_up_a_sixteenth():
    # NAVEDTRA 14315, page with Figure 3-8 (published)
    assert "0.0625 in" in pin("threaded-collar")["collar"]["text"]


@pytest.mark.parametrize(("grip", "least", "most"), LOCKBOLT)
def test_a_lockbolt_takes_the_grip_whose_middle_is_nearest(grip, least, most):
    middle = f"{(float(least) + float(most)) / 2:.4f}"
    for stack in (middle, most, f"{float(least) + 0.0001:.4f}"):
        answered = pin("lockbolt", stack=stack)
        # an odd multiple of 1/32 is printed cut or rounded to four places: just there either neighbour is printed
        assert answered["grip"]["dash"] == str(grip) or abs(float(stack) - float(most)) < 0.0001
        if answered["grip"]["dash"] == str(grip):
            assert answered["grip"]["minimum_in"] == pytest.approx(float(least), abs=5.1e-5)
            assert answered["grip"]["maximum_in"] == pytest.approx(float(most), abs=5.1e-5)


def test_the_end_two_lockbolt_grips_share_belongs_to_the_lower_and_shows_both():
    answered = pin("lockbolt", stack="3/32")
    assert answered["grip"]["dash"] == "1"
    assert answered["grip"]["alternatives"] == ["2"]
    assert "grip-boundary" in codes(answered)


@pytest.mark.parametrize(
    ("head", "diameter", "dashes"), [("lockbolt", "1/4", "-8-6"), ("threaded-collar", "3/8", "-12-6")]
)
def test_a_pin_without_a_number_of_its_own_tells_its_dashes(head, diameter, dashes):
    answered = pin(head, diameter=diameter)
    assert answered["part_number"] is None
    assert answered["grip"]["dash"] == "6"
    assert dashes in said(answered)
    assert "part_number" in empty(answered)


def test_a_lockbolt_warns_of_its_collar_its_width_and_its_source():
    assert {"lockbolt-collar", "lockbolt-width", "grip-unverified"} <= codes(pin("lockbolt"))
    assert not {"lockbolt-collar", "lockbolt-width", "pin-shear-only"} & codes(pin("threaded-collar"))
    assert "grip-unverified" in codes(pin("threaded-collar"))


@pytest.mark.parametrize("head", SWAGED)
def test_a_swaged_pin_carries_shear_only_and_no_load_is_printed(head):
    # NAVEDTRA 14315, page with Figure 3-4 (published); FAA-H-8083-30 text on a study site, pin rivets (second-hand)
    answered = pin(head)
    assert "pin-shear-only" in codes(answered)
    assert answered["strength"]["single_shear_lbf"] is None
    assert "what a bolt of its diameter does" in said(answered)
    assert {"strength.single_shear", "strength.double_shear", "strength.tension"} <= empty(answered)


@pytest.mark.parametrize(
    ("stack", "tolerance", "fires"),
    [("0.1875", "0", False), ("0.187", "0.0005", True), ("0.190", "0.005", True), ("0.250", "0", False)],
)
def test_a_swaged_pin_is_cautioned_where_the_thinnest_place_is_under_its_diameter(stack, tolerance, fires):
    # FAA-H-8083-30 text on a study site, pin rivets (second-hand)
    assert ("pin-grip-short" in codes(pin("NAS1054", stack=stack, stack_tolerance=tolerance))) is fires
    assert "pin-grip-short" not in codes(pin("lockbolt", stack=stack, stack_tolerance=tolerance))


@pytest.mark.parametrize("head", SWAGED)
@pytest.mark.parametrize(
    ("diameter", "asked"),
    [
        ("3/16", {"stack": "0.187"}),
        ("3/16", {"stack": "0.186", "stack_tolerance": "0.001"}),
        ("3/16", {"stack": "gauge 2"}),  # at most 2/16
        ("3/8", {"stack": "0.187+0.187"}),
    ],
)
def test_a_swaged_pin_is_refused_where_the_thickest_place_is_under_its_diameter(head, diameter, asked):
    # FAA-H-8083-30 text on a study site, pin rivets (second-hand): never where the grip is less than the shank
    problem = refused(pin, head, diameter=diameter, **asked)
    assert isinstance(problem, OutsideTable)
    assert problem.field == "stack"
    assert "never where the grip is less than the shank diameter" in problem.detail
    least = {"3/16": "0.1875", "3/8": "0.3750"}[diameter]
    assert least in problem.example
    assert pin(head, diameter=diameter, stack=least)["standard"] == head


@pytest.mark.parametrize("head", ["lockbolt", "threaded-collar"])
def test_other_pins_are_answered_in_a_stack_under_their_diameter(head):
    assert pin(head, stack="0.170")["grip"]["dash"] == "3"


def test_a_superseded_pin_is_answered_in_its_own_number_and_names_the_other():
    # NAS1054 (2013) text on a document-download page, note 9 (second-hand)
    answered = pin("NAS178")
    assert answered["part_number"] == "NAS178-6-6"
    assert "NAS178 is superseded by NAS1054" in caution(answered, "superseded-number")
    assert "superseded-number" not in codes(pin("NAS1054"))


def test_a_hook_gauge_reads_a_pin_that_counts_its_most_grip():
    for head in ("NAS1054", "threaded-collar"):
        answered = pin(head, stack="gauge 5.2")
        assert answered["grip"]["dash"] == "6"
        assert (answered["stack"]["minimum_in"], answered["stack"]["maximum_in"]) == (0.3125, 0.375)
        assert "gauge-reading" in codes(answered)


def test_a_hook_gauge_is_not_read_for_a_lockbolt():
    # FAA-H-8083-31 chapter 4 text on a study site (second-hand): its own hook gauge
    problem = refused(pin, "lockbolt", stack="gauge 5")
    assert isinstance(problem, NotTabulated)
    assert (problem.field, "its own hook gauge" in problem.detail) == ("stack", True)


def test_a_stack_over_two_grips_takes_the_one_of_its_thickest_place():
    for head, grip, other in (("NAS1054", "6", "5"), ("lockbolt", "6", "5")):
        answered = pin(head, stack="0.320", stack_tolerance="0.030")
        assert (answered["grip"]["dash"], answered["grip"]["alternatives"]) == (grip, [other])
        assert "grip-straddled" in codes(answered)
        assert "no more than 0.0625 in" in said(answered)


@pytest.mark.parametrize(
    ("head", "stack", "told"),
    [
        ("NAS1054", "1.0001", "grip 16 is the last"),
        ("lockbolt", "1/32", "over 0.03125 up to 1.03125 in"),
        ("lockbolt", "1.05", "grip 16 is the last"),
    ],
)
def test_a_stack_outside_the_numbers_is_refused_with_their_range(head, stack, told):
    problem = refused(pin, head, stack=stack)
    assert isinstance(problem, OutsideTable)
    assert told in problem.detail


def test_a_pins_hole_has_no_drill_and_is_shown_as_given():
    answered = pin("NAS1054", hole="0.187")
    assert answered["hole"]["final"] is None
    assert answered["hole"]["given"]["diameter_in"] == 0.187
    assert {"hole.final", "hole.minimum", "hole.maximum"} <= empty(answered)


# a hole still to be opened is one: from nine tenths of 0.1875 in on (common practice, no source)
HOLES = ("NAS1054", "threaded-collar", "lockbolt")


@pytest.mark.parametrize("head", HOLES)
@pytest.mark.parametrize("hole", ["0.165", "0.376"])
def test_what_is_no_hole_for_the_pin_is_refused(head, hole):
    problem = refused(pin, head, hole=hole)
    assert (type(problem), problem.field) == (OutsideTable, "hole")
    assert pin(head, hole=problem.example)["hole"]["given"]["diameter_in"] == 0.1875


@pytest.mark.parametrize("head", HOLES)
@pytest.mark.parametrize(
    ("hole", "fires"), [("0.169", False), ("0.184", False), ("0.1875", False), ("0.188", True), ("0.375", True)]
)
def test_a_hole_over_the_shank_is_cautioned_and_a_smaller_one_taken(head, hole, fires):
    # all three are put in with interference, at most 0.004 in: the hole is never larger than the shank
    answered = pin(head, hole=hole)
    assert answered["hole"]["given"]["diameter_in"] == float(hole)
    assert ("hole-outside-limits" in codes(answered)) is fires
    if fires:
        assert "over the shank, 0.1875 in" in caution(answered, "hole-outside-limits")


@pytest.mark.parametrize("head", ["NAS1055", "NAS177"])
def test_a_flush_pin_has_no_head_diameter_and_says_so(head):
    # the flush heads read are of blind rivets: US Army TM 9-2320-363-34-2 (cab body repair), published
    answered = pin(head)
    assert answered["head"]["cone_angle_deg"] == 100
    assert answered["head"]["diameter_in"] is None
    assert "head.diameter" in empty(answered)


def test_the_rule_of_the_upper_end_is_cited_for_pins_that_count_the_most_grip_alone():
    # derived from TM 9-2320-363-34-2, Table 7, whose numbers are the most grip; a lockbolt counts the middle
    for head, cited in (("NAS1054", True), ("threaded-collar", True), ("lockbolt", False)):
        rows = [source["row"] for source in pin(head)["sources"]]
        assert (["grip_upper_bound"] in rows) is cited


def test_layers_raise_their_cautions_and_the_rivets_rule_of_diameter_does_not_apply():
    answered = pin("NAS1054", stack="0.300 lead+0.020 unobtainium")
    assert {"lead", "unknown-material"} <= codes(answered)
    assert "diameter-for-sheet" not in codes(answered)


def test_a_flush_pin_says_that_its_sheet_was_not_checked():
    assert "countersink-unchecked" in codes(pin("NAS1055", stack="0.063+0.250"))
    assert "countersink-unchecked" not in codes(pin("NAS1054", stack="0.063+0.250"))


@pytest.mark.parametrize(
    ("head", "asked", "field", "told"),
    [
        ("NAS529", {}, "head", "what the dashes of NAS529 count"),
        ("NAS7034", {}, "head", "grip code of NAS7034"),
        ("NAS1054", {"diameter": "7/16"}, "diameter", "not a size of NAS1054"),
        ("NAS1054", {"alloy": "AD"}, "alloy", "does not come in AD"),
        ("NAS1398", {}, "family", "blind"),
    ],
)
def test_what_the_tables_do_not_hold_is_refused_by_name(head, asked, field, told):
    problem = refused(pin, head, **asked)
    assert isinstance(problem, NotTabulated)
    assert problem.field == field
    assert told in problem.detail
