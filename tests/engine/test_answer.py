"""What every answer owes: sources for its figures, cautions from the table, two units that agree, sober words."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from fractions import Fraction

import pytest
from tests.engine.asking import a_stack_for, ask, leaves

from bucktail_service.engine.blocks import OWN_BLOCKS
from bucktail_service.engine.errors import OutsideTable
from bucktail_service.engine.facts import standard_codes
from bucktail_service.engine.lengths import parse_length, parse_stack, parse_tolerance
from bucktail_service.engine.model import PickQuestion
from bucktail_service.engine.part import part
from bucktail_service.engine.pick import work_out
from bucktail_tables.load import load_edition

EDITION = load_edition()
UNITS = ("_in", "_mm", "_lbf", "_n", "_g", "_lb")
# what was asked, and what names the edition: no figures of the tables
ECHO = ("stack", "hole.given", "sources", "cautions", "edition")
# protruding heads have no cone; a rivet is cut, or has a grip, only where the answer says so; a practice that only
# sets a least shank (TM 10-5410-229-13&P, par 5-6) has no most
NOT_APPLICABLE = {"grip", *OWN_BLOCKS, "length.trim_to", "head.cone_angle_deg", "length.protrusion_maximum"}


def every_rivet():
    for offered in EDITION["offered"]:
        if not EDITION["standards"].find(offered.text("standard")).flag("repair_only"):
            for diameter in EDITION["diameters"]:
                for practice in ("civil", "military"):
                    yield offered.text("standard"), offered.text("alloy"), diameter.text("fraction"), practice


def every_answer():
    """Yield an answer for every rivet of the edition in both practices."""
    for standard, alloy, size, practice in every_rivet():
        yield ask(EDITION, size, alloy, standard, a_stack_for(size), practice=practice)


def special_answers():
    """Yield answers off the usual way: cut, tolerance, hole given, superseded flush in thin sheet, odd layers."""
    yield ask(EDITION, "1/16", stack="0.040")
    yield ask(EDITION, stack="0.080", tolerance="+0.03/-0.02")
    yield ask(EDITION, hole="#29")
    yield ask(EDITION, hole="0.140")
    yield ask(EDITION, "3/32", head="AN426", stack="0.025 2024-T3+0.040 unobtainium")
    yield ask(EDITION, stack="0.032 magnesium+0.063 lead")


ANSWERS = [*every_answer(), *special_answers()]


def is_number(value):
    return isinstance(value, int | float) and not isinstance(value, bool)


def figure_name(path):
    """Return a path without its unit: `mass.each_g` is the figure `mass.each`."""
    if path == "mass.pieces_per_lb":
        return path
    for unit in UNITS:
        path = path.removesuffix(unit)
    return path


def names(figure, path):
    return path == figure or path.startswith(f"{figure}.")


def is_echo(path):
    return any(names(echo, path) for echo in ECHO)


def cited(answer):
    return {figure for source in answer["sources"] for figure in source["figures"]}


def test_every_figure_of_every_answer_has_a_source_that_names_it():
    unsourced = {
        path
        for answer in ANSWERS
        for path, value in leaves(answer)
        if is_number(value)
        and not is_echo(path)
        and not any(names(figure, figure_name(path)) for figure in cited(answer))
    }
    assert not unsourced


def test_every_source_names_a_document_a_basis_and_a_row_of_the_edition():
    for answer in ANSWERS:
        for source in answer["sources"]:
            row = EDITION[source["table"]].find(*source["row"])
            assert row is not None
            assert source["figures"]
            assert source["document"] == row.document
            assert source["place"] == row.place
            assert source["basis"] == row.basis


def unnamed_nulls(answer):
    """Return the empty figures that the no-figure caution does not name."""
    said = {figure for caution in answer["cautions"] for figure in caution.get("figures", ())}
    return {
        figure_name(path)
        for path, value in leaves(answer)
        if value is None
        and not is_echo(path)
        and figure_name(path) not in NOT_APPLICABLE
        and not any(names(figure, figure_name(path)) for figure in said)
    }


def test_every_empty_figure_is_named_by_the_no_figure_caution():
    assert not set().union(*map(unnamed_nulls, ANSWERS))


def test_what_the_no_figure_caution_names_is_empty_indeed():
    for answer in ANSWERS:
        empty = {figure_name(path) for path, value in leaves(answer) if value is None}
        said = {figure for caution in answer["cautions"] for figure in caution.get("figures", ())}
        assert said <= empty


def test_every_length_in_inches_has_its_twin_in_millimetres():
    for answer in ANSWERS:
        found = dict(leaves({name: value for name, value in answer.items() if name != "stack"}))
        twins = [path for path in found if path.endswith(("_in", "_mm"))]
        assert len(twins) > 40
        for path in twins:
            inches, millimetres = found[path[:-3] + "_in"], found[path[:-3] + "_mm"]
            if inches is None:
                assert millimetres is None
            else:
                # six decimals of an inch against four of a millimetre
                assert abs(millimetres - inches * 25.4) <= 0.00005 + 25.4 * 0.0000005 + 1e-12


def test_no_text_of_any_answer_promises_what_only_a_person_may():
    for answer in [
        *ANSWERS,
        part("MS20470AD4-4", EDITION),
        part("AN426AD3-3.5", EDITION),
        part("NAS1241AD4-4", EDITION),
    ]:
        texts = [value for _, value in leaves(answer) if isinstance(value, str) and value != "approved-data"]
        said = " ".join(texts).casefold()
        for word in ("approved", "airworth", "legal"):
            assert word not in said


def test_every_answer_is_plain_json_without_nan():
    for answer in ANSWERS:
        assert json.loads(json.dumps(answer, allow_nan=False)) == answer


# each caution and a question that fires it
FIRES = {
    "approved-data": {},
    "licensed-sign-off": {},
    "eyes-and-ears": {},
    "control-surface": {},
    "not-published": {},
    "no-figure": {"diameter": "3/8"},
    "no-formed-head": {"diameter": "3/32", "stack": "0.010+0.010+0.654"},
    "not-structural": {"alloy": "A"},
    "under-structural-diameter": {"diameter": "1/16"},
    "ice-box": {"alloy": "DD"},
    "knife-edge": {"head": "flush-100", "stack": "0.025+0.063"},
    "countersink-unchecked": {"head": "flush-100", "stack": "0.125"},
    "diameter-for-sheet": {"stack": "0.250+0.040"},
    "lead": {"stack": "0.032 2024-T3+0.063 lead"},
    "magnesium": {"stack": "0.063 AZ31B+0.063"},
    "unknown-material": {"stack": "0.063 unobtainium+0.063"},
    "trim-to-length": {"diameter": "1/16", "stack": "0.040"},
    "half-size": {"diameter": "3/32", "stack": "0.032+0.032"},
    "stack-tolerance": {"stack": "0.080", "tolerance": "0.030"},
    "hole-outside-limits": {"hole": "0.140"},
    "strength-basis": {"alloy": "D"},
    "replaced-head": {"head": "round"},
    "superseded-number": {"head": "AN470"},
}
# pick refuses repair rivets; the part answer warns of them
BY_PART_ONLY = {"repair-rivet"}


def codes_of(
    diameter="1/8", alloy="AD", head="universal", stack="0.063+0.063", tolerance="0", hole=None, practice=None
):
    question = PickQuestion(
        parse_length(diameter),
        alloy,
        head,
        parse_stack(stack),
        parse_tolerance(tolerance),
        practice=practice,
        hole=hole,
    )
    return set(work_out(question, EDITION).caution_codes())


@pytest.mark.parametrize("code", FIRES)
def test_each_caution_fires_when_its_condition_holds(code):
    assert code in codes_of(**FIRES[code])


def test_a_draft_says_in_every_answer_that_it_may_change():
    draft = replace(EDITION, status="draft")
    question = PickQuestion(parse_length("1/8"), "AD", "universal", parse_stack("0.063+0.063"))
    assert "edition-draft" in work_out(question, draft).caution_codes()
    assert "edition-draft" not in work_out(question, EDITION).caution_codes()
    assert not EDITION.is_draft


def test_the_table_holds_every_caution_that_fires():
    table = {row.text("code") for row in EDITION["cautions"]}
    assert set(FIRES) | BY_PART_ONLY <= table  # the others are fired by other questions
    fired = set().union(*(codes_of(**question) for question in FIRES.values()))
    for standard, alloy, size, practice in every_rivet():
        fired |= codes_of(size, alloy, standard, a_stack_for(size), practice=practice)
    hazards = {row.text("hazard") for row in EDITION["layer_materials"]}
    assert (fired | hazards) - {"none"} <= table
    assert set(standard_codes(EDITION["standards"].find("NAS1241"), None)) == BY_PART_ONLY


def formed(shank, bore, grip, cone, out):
    """Return the volume left for the formed head: the shank beyond the grip less the clearance it fills. [in3]"""
    quarter = math.pi / 4
    return quarter * shank**2 * out - quarter * (max(bore, shank) ** 2 - shank**2) * max(grip - cone, 0.0)


@pytest.mark.parametrize("head", ["universal", "flush-100"])
@pytest.mark.parametrize("size", ["3/32", "1/8", "5/32", "3/16", "1/4"])
@pytest.mark.parametrize("tolerance", [0.0, 0.002])
def test_the_formed_head_keeps_the_volume_of_the_shank(size, head, tolerance):
    # constant volume, common practice, no source: a cylinder of what the hole does not take
    answer = ask(EDITION, size, "AD", head, a_stack_for(size), f"{tolerance}")
    shank = float(Fraction(size))
    cone = answer["head"]["height_in"] if head == "flush-100" else 0.0
    length = answer["length"]["trim_to_in"] or answer["length"]["length_in"]
    grip, thin, thick = (answer["stack"][f"{name}_in"] for name in ("total", "minimum", "maximum"))
    hole, found = answer["hole"], answer["formed_head"]
    high, wide = found["height_nominal_in"], found["diameter_nominal_in"]
    as_given = formed(shank, hole["final"]["diameter_in"], grip, cone, length - grip)
    least = formed(shank, hole["maximum_in"], thick, cone, length - thick)
    most = formed(shank, hole["minimum_in"], thin, cone, length - thin)
    expected = {
        "predicted_diameter_in": math.sqrt(as_given / high / (math.pi / 4)),
        "predicted_height_in": as_given / (math.pi / 4 * wide**2),
        "predicted_diameter_minimum_in": math.sqrt(least / high / (math.pi / 4)),
        "predicted_diameter_maximum_in": math.sqrt(most / high / (math.pi / 4)),
    }
    for name, inches in expected.items():
        assert found[name] == pytest.approx(inches, abs=0.0001)


def test_a_shank_of_one_and_a_half_diameters_in_a_tight_hole_makes_the_half_diameter_head():
    # by hand: 1.5 D of shank keeps its volume at 0.5 D high when the head is sqrt(3) D across
    answer = ask(EDITION, "1/4", stack="0.125", hole="0.25")
    assert answer["length"]["protrusion_in"] == 0.375
    assert answer["formed_head"]["predicted_diameter_in"] == pytest.approx(math.sqrt(3) / 4, abs=0.0001)


def test_a_wider_hole_leaves_a_smaller_formed_head_and_says_when_it_is_outside_its_limits():
    heads = [ask(EDITION, hole=hole)["formed_head"]["predicted_diameter_in"] for hole in ("0.125", "0.1285", "0.135")]
    assert heads == sorted(heads, reverse=True)
    assert len(set(heads)) == 3


@pytest.mark.parametrize("size", ["1/16", "1/8", "3/8"])
def test_the_same_question_gives_the_same_answer_and_its_link_pins_practice_and_edition(size):
    first, again = (ask(EDITION, size, stack=a_stack_for(size), practice="military") for _ in range(2))
    assert first == again
    assert "practice=military" in first["link"]
    assert f"edition={EDITION.name}" in first["link"]


def test_a_question_beyond_the_table_is_never_answered_by_the_nearest_row():
    with pytest.raises(OutsideTable):
        ask(EDITION, "1/16", stack="2.0")
