"""The inspect answer of blind rivets, bolts and pins: against documents, and by relations that hold for all of them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.conftest import published

from bucktail_service.answering import answer as answered
from bucktail_service.asking.inspect import answer_inspect
from bucktail_service.engine.errors import NoAnswer, NotTabulated, OutsideTable
from bucktail_service.engine.grip.misreading import grips
from bucktail_service.engine.grip.reading import parse_grip_number
from bucktail_service.problems import BadFields
from bucktail_tables.load import load_edition

EDITION = load_edition()
LOCKED, CHART, BLIND_BOLT = "NAS1398B4-3", "42", "3/16 blind-bolt"
BOLT, PIN, THREADED, LOCKBOLT = "AN4-10A", "NAS1054-6-8", "8/32 any threaded-collar", "8/32 any lockbolt -5"
# how well a figure is known
KNOWN = {"memory": 0, "derived": 1, "second-hand": 1, "published": 2}
EVERY = {
    LOCKED: {"collar": "flush"},
    "MS20600B4-3": {"hole": "0.13"},
    CHART: {"stem": "flush"},
    BLIND_BOLT: {"collar": "flush"},
    BOLT: {"protrusion": "0.1"},
    "NAS6204-10": {"protrusion": "0.1"},
    PIN: {"protrusion": "0.02"},
    THREADED: {"protrusion": "0.4"},
    LOCKBOLT: {"stack": "0.3"},
}


def inspected(fastener=LOCKED, **fields):
    return answer_inspect({"fastener": fastener, **fields})


def codes(answer):
    return {caution["code"] for caution in answer["cautions"]}


def looked_for(answer):
    return " | ".join(look["text"] for look in answer["look_for"])


@pytest.mark.parametrize(
    "case",
    published("inspect_by_grip.csv"),
    ids=lambda case: f"{case['document']}: {case['fastener']} {case['measured']} {case['value']} {case['practice']}",
)
def test_a_verdict_is_the_one_of_the_document(case):
    measured = dict(zip(case["measured"].split("+"), case["value"].split("+"), strict=True))
    answer = inspected(case["fastener"], practice=case["practice"], **measured)
    assert answer["verdict"] == case["verdict"]
    assert (answer["rejects"] == 0) == (case["check"] != "outside")
    assert (answer["verdict"] == "not judged") == (case["check"] == "near")


@pytest.mark.parametrize(
    "case", published("inspect_by_grip.csv"), ids=lambda case: f"{case['fastener']} {case['value']}"
)
def test_a_limit_is_never_better_known_than_its_document(case):
    measured = dict(zip(case["measured"].split("+"), case["value"].split("+"), strict=True))
    answer = inspected(case["fastener"], practice=case["practice"], **measured)
    name = case["measured"].split("+")[0]
    bases = {source["basis"] for source in answer["sources"] for figure in source["figures"] if figure.startswith(name)}
    assert min(KNOWN[basis] for basis in bases) <= KNOWN[case["basis"]]
    if case["basis"] == "memory":
        assert "memory" in bases
        assert "not-published" in codes(answer)


@pytest.mark.parametrize(("fastener", "measured"), EVERY.items(), ids=str)
def test_nothing_is_known_by_volume(fastener, measured):
    answer = inspected(fastener, **measured)
    assert set(answer["by_volume"].values()) == {None}
    assert answer["pieces"][0]["shank_held_in"] is None


@pytest.mark.parametrize(("fastener", "measured"), EVERY.items(), ids=str)
def test_what_always_must_be_heeded_is_there(fastener, measured):
    answer = inspected(fastener, **measured)
    assert {"approved-data", "licensed-sign-off", "eyes-and-ears", "control-surface"} <= codes(answer)


CAUTIONS = [
    (
        LOCKED,
        {"blind-limits", "blind-clearance"},
        {"oversize-shank", "not-for-aircraft", "bolt-step", "pin-shear-only"},
    ),
    ("NAS1738B4-3", {"blind-limits", "oversize-shank"}, {"not-for-aircraft"}),
    (CHART, {"blind-limits", "not-for-aircraft"}, {"oversize-shank"}),
    (BLIND_BOLT, {"blind-clearance"}, {"blind-limits", "bolt-step"}),
    (BOLT, {"bolt-step"}, {"close-tolerance", "castle-cotter", "blind-limits", "bolt-too-small"}),
    ("AN4-10", {"bolt-step", "castle-cotter"}, set()),
    ("AN3DD10A", {"bolt-step", "bolt-too-small"}, set()),
    ("NAS6204-10", {"bolt-step", "close-tolerance"}, set()),
    (PIN, {"pin-shear-only"}, {"superseded-number", "lockbolt-collar"}),
    ("NAS178-6-8", {"pin-shear-only", "superseded-number"}, set()),
    (LOCKBOLT, {"lockbolt-collar", "lockbolt-width"}, {"pin-shear-only"}),
]


@pytest.mark.parametrize(("fastener", "there", "absent"), CAUTIONS, ids=str)
def test_a_family_fires_its_own_cautions(fastener, there, absent):
    found = codes(inspected(fastener, edge_distance="2"))
    assert there <= found
    assert not absent & found


def test_what_was_measured_fires_its_cautions():
    assert "gap-restrike" in codes(inspected(gap="0.002"))
    assert "hole-outside-limits" in codes(inspected(hole="0.14"))
    assert "spacing-outside" in codes(inspected(edge_distance="0.1"))
    assert "grip-unverified" in codes(inspected(stack="0.15"))
    assert "preparation-unsaid" in codes(inspected("NAS1399B4-3", stack="0.15"))
    assert "pin-grip-short" in codes(inspected("NAS1054-6-2", stack="0.12"))
    assert "pin-grip-short" not in codes(inspected(PIN, stack="0.49"))
    calm = {"gap-restrike", "hole-outside-limits", "spacing-outside", "no-figure", "preparation-unsaid"}
    assert not calm & codes(inspected(collar="flush"))


def test_threads_past_the_nut_are_counted():
    # 1/4-28: 0.12 x 28 = 3.36 threads (homebuilder magazine: over three, look at the next shorter)
    long = inspected(BOLT, protrusion="0.12")
    assert long["verdict"] == "inside limits"
    assert "thread-long" in codes(long)
    assert "thread-long" not in codes(inspected(BOLT, protrusion="0.107"))
    short = inspected(BOLT, protrusion="0.03")
    assert "thread-short" in codes(short)
    assert "0.0300 in x 28 threads an inch = 0.8 threads" in short["reasoning"]


def test_what_has_no_figure_is_not_judged_and_named():
    answer = inspected(stem="0.05 above", hole="0.130")
    assert answer["verdict"] == "inside limits, some not judged"
    (missing,) = [caution["figures"] for caution in answer["cautions"] if caution["code"] == "no-figure"]
    assert missing == ["stem"]
    assert inspected(LOCKBOLT, protrusion="0.3")["verdict"] == "not judged"
    assert inspected(PIN, hole="0.1875")["verdict"] == "not judged"
    assert inspected(BOLT, gap="0.003")["verdict"] == "not judged"
    assert inspected(CHART, stem="0.002 above")["verdict"] == "not judged"
    flush = inspected("NAS1399B4-3", flushness="0.004 above")
    assert flush["verdict"] == "not judged"
    assert "flushness-unjudged" in codes(flush)
    assert inspected("NAS1399B4-3", flushness="flush")["verdict"] == "inside limits"


CAUSES = [
    (LOCKED, {"stack": "0.2"}, ["grip_too_short"]),
    (LOCKED, {"stack": "0.1"}, ["grip_too_long"]),
    (LOCKED, {"stack": "0.15", "collar": "0.03 above"}, []),
    (CHART, {"stack": "0.03"}, ["grip_too_long"]),
    # Table I, page 4-152: above is a fastener too long, below one too short
    (BLIND_BOLT, {"stem": "0.02 above"}, ["too_long"]),
    (BLIND_BOLT, {"stem": "0.02 below"}, ["too_short"]),
    (BOLT, {"protrusion": "0.01"}, ["too_short"]),
    (BOLT, {"stack": "0.7"}, ["grip_too_short"]),
    (BOLT, {"stack": "0.3"}, ["grip_too_long"]),
    (PIN, {"protrusion": "0.07"}, ["grip_too_long"]),
    (THREADED, {"protrusion": "0.38"}, ["grip_too_short"]),
    (THREADED, {"protrusion": "0.48"}, ["grip_too_long"]),
    (BOLT, {"stack": "0.7", "protrusion": "0.01", "practice": "both"}, ["grip_too_short", "too_short"]),
]


@pytest.mark.parametrize(("fastener", "measured", "expected"), CAUSES, ids=str)
def test_the_cause_is_told_where_a_document_tells_it(fastener, measured, expected):
    answer = inspected(fastener, **measured)
    assert [cause["code"] for cause in answer["pieces"][0]["causes"]] == expected
    cited = {figure for source in answer["sources"] for figure in source["figures"]}
    assert ("causes" in cited) == bool(expected)


LOOKS = [
    (CHART, {"stem": "flush"}, ["10 lbf: a steady push", "slight flash", "undersize hole"], ["lock collar", "cotter"]),
    (LOCKED, {"hole": "0.13"}, ["0.02 in: the lock collar", "grip number stands", "0.0625 in: the stack"], ["lbf"]),
    (LOCKED, {"collar": "flush", "gap": "0.001"}, ["breaks off flush"], ["the lock collar stands", "feeler"]),
    ("MS20600B4-3", {"hole": "0.13"}, ["undersize hole"], ["the lock collar", "lbf"]),
    (BLIND_BOLT, {"collar": "flush"}, ["pin land above", "0.238 in"], ["lock collar above"]),
    (BOLT, {"protrusion": "0.1"}, ["head up or forward"], ["cotter", "chamfer"]),
    ("AN4-10", {"protrusion": "0.1"}, ["with a cotter pin: start at the least torque", "50 percent"], []),
    (PIN, {"protrusion": "0.02"}, ["the entrance chamfer"], ["cotter"]),
    (LOCKED, {"stack": "0.186"}, ["within 0.0050 in of an end: measure what the fastener passes"], []),
    (LOCKED, {"stack": "0.1925"}, ["within 0.0050 in of an end: measure what the fastener passes"], []),
    (LOCKED, {"stack": "0.12"}, ["within 0.0050 in of an end: measure what the fastener passes"], []),
    (BOLT, {"stack": "0.567"}, ["within 0.0050 in of an end: measure what the fastener passes"], []),
    (LOCKED, {"stack": "0.15"}, [], ["of an end"]),
    (LOCKED, {"stack": "0.1926"}, [], ["of an end"]),
]


@pytest.mark.parametrize(("fastener", "measured", "there", "absent"), LOOKS, ids=str)
def test_what_to_look_for_is_that_of_the_fastener(fastener, measured, there, absent):
    told = looked_for(inspected(fastener, **measured))
    assert [text for text in there if text not in told] == []
    assert [text for text in absent if text in told] == []


def test_both_practices_reject_what_either_rejects():
    # two threads are 0.0714, one is 0.0357: only the military practice wants two
    verdicts = {practice: inspected(BOLT, protrusion="0.05", practice=practice) for practice in ("civil", "military")}
    assert [answer["rejects"] for answer in verdicts.values()] == [0, 1]
    both = inspected(BOLT, protrusion="0.05", practice="both")
    assert both["rejects"] == 1
    assert [entry["rules"] for entry in both["practices"]] == [True, True]
    assert [entry["rejects"] for entry in both["practices"]] == [0, 1]


def test_pieces_of_a_blind_bolt_are_judged_one_by_one():
    answer = inspected(BLIND_BOLT, formed_diameter="0.24; 0.23; 0.238")
    assert (answer["count"], answer["rejected"]) == (3, [2])
    assert [piece["diameter_in"] for piece in answer["pieces"]] == [0.24, 0.23, 0.238]


@pytest.mark.parametrize(("fastener", "measured"), EVERY.items(), ids=str)
def test_every_limit_names_a_source(fastener, measured):
    answer = inspected(fastener, gap="0.001", pitch="1", **measured)
    named = {figure for source in answer["sources"] for figure in source["figures"]}
    for figure in answer["figures"]:
        for by in figure["by"]:
            assert (f"{figure['name']}.{by['practice']}" in named) == (by["verdict"] != "no limit")


# what pick is asked for, and between which stacks, in ten-thousandths, it has an answer
PICKED = [
    ("blind", "1/8", "B", "NAS1398", 200, 7500),
    ("blind", "3/16", "M", "NAS1921", 200, 7500),
    ("blind", "1/8", "any", "break-stem", 2510, 5000),
    ("bolt", "1/4", "steel", "AN4", 400, 20000),
    ("bolt", "1/4", "steel", "NAS6204", 400, 20000),
    ("bolt", "1/4", "steel", "NAS464", 400, 20000),
    # no swaged pin is picked for a stack under its diameter
    ("pin", "3/16", "steel", "NAS1054", 1875, 10000),
    ("pin", "5/32", "any", "lockbolt", 320, 10000),
    ("pin", "1/4", "any", "threaded-collar", 1, 10000),
]


@settings(deadline=None, max_examples=300)
@given(st.sampled_from(PICKED), st.integers(0, 1000), st.sampled_from(["civil", "military"]))
def test_the_grip_that_pick_chooses_holds_the_stack(picked, share, practice):
    family, diameter, alloy, head, low, high = picked
    thickness = f"{(low + (high - low) * share // 1000) / 10_000:.4f}"
    asked = {"family": family, "diameter": diameter, "alloy": alloy, "head": head, "stack": thickness}
    chosen = answered("pick", {**asked, "practice": practice})
    number = chosen["part_number"] or f"{diameter} {alloy} {head} -{chosen['grip']['dash']}"
    assert inspected(number, stack=thickness, practice=practice)["verdict"] == "inside limits"


@settings(deadline=None)
@given(
    st.sampled_from(["NAS1398B4-3", "56", BOLT, "NAS6204-10", PIN, LOCKBOLT]),
    st.integers(200, 9000),
    st.integers(0, 3000),
)
def test_a_stack_further_from_the_grip_is_never_let_in(fastener, stack, more):
    def side(thousandths):
        answer = inspected(fastener, stack=f"{thousandths / 10_000:.4f}")
        causes = [cause["code"] for cause in answer["pieces"][0]["causes"]]
        return {"grip_too_long": -1, "grip_too_short": 1}[causes[0]] if answer["rejects"] else 0

    assert side(stack) <= side(stack + more)


@settings(deadline=None)
@given(st.sampled_from([LOCKED, BLIND_BOLT]), st.decimals("0.0001", "0.05", places=4))
def test_a_lock_collar_is_judged_alike_above_and_below(fastener, step):
    above, below = (inspected(fastener, collar=f"{step} {side}") for side in ("above", "below"))
    assert above["rejects"] == below["rejects"]
    assert above["figures"][0]["measured_in"] == -below["figures"][0]["measured_in"]


def ends(number):
    """Between which stacks each grip of a number lies by the civil practice, smallest first. [in]"""
    found = parse_grip_number(number, EDITION)
    before = number.removesuffix("A").removesuffix(found.grip).removesuffix("0")
    for grip in grips(found.choice, EDITION):
        written = before + (grip.zfill(2) if found.choice.name == "NAS1921" else grip) + "A" * number.endswith("A")
        (figure,) = inspected(written, stack="0.2")["figures"]
        yield figure["by"][0]["minimum_in"], figure["by"][0]["maximum_in"]


@pytest.mark.parametrize("number", ["NAS1398B4-3", "NAS1921C06-02", "43", "AN4-12A", "NAS6204-10", "NAS1054-6-8"])
def test_a_higher_grip_never_holds_less(number):
    spans = list(ends(number))
    assert all(low < high for low, high in spans)
    assert spans == sorted(spans)


@pytest.mark.parametrize("number", ["NAS1398B4-3", "NAS1921C06-02", "NAS1054-6-8"])
def test_grips_that_count_by_a_rule_leave_no_gap(number):
    spans = list(ends(number))
    assert [low for low, _ in spans[1:]] == [high for _, high in spans[:-1]]


def test_words_and_numbers_name_the_same_fastener():
    by_number, by_words = (inspected(text, stack="0.15") for text in (LOCKED, "1/8 B NAS1398 -3"))
    for name in ("verdict", "figures", "look_for", "diameter", "alloy", "head"):
        assert by_number[name] == by_words[name]
    assert inspected("1/4 steel hex", protrusion="0.1")["head"]["name"] == "hex"
    assert inspected("1/4 steel AN4H", protrusion="0.1")["diameter"]["fraction"] == "1/4"
    assert inspected("8/32 any lockbolt", pitch="1")["diameter"]["fraction"] == "1/4"
    assert inspected("0.1875 Blind Bolt", stem="flush")["diameter"]["dash"] == 6
    # stems tell no grip, and are judged by the rest
    assert inspected("NAS1398B4", collar="flush")["verdict"] == "inside limits"


REFUSED = [
    (LOCKED, {}, NoAnswer, "collar", "nothing was measured"),
    (BOLT, {}, NoAnswer, "protrusion", "nothing was measured"),
    ("NAS1398B4", {"stack": "0.15"}, NoAnswer, "stack", "no grip is told"),
    ("8/32 any lockbolt", {"stack": "0.3"}, NoAnswer, "stack", "no grip is told"),
    (BLIND_BOLT, {"stack": "0.3"}, NoAnswer, "stack", "no grip is told"),
    (LOCKED, {"length": "1/4"}, NoAnswer, "length", "tells its grip"),
    (LOCKED, {"formed_diameter": "0.2"}, NoAnswer, "formed_diameter", "blind rivet"),
    (BLIND_BOLT, {"formed_height": "0.1"}, NoAnswer, "formed_height", "blind bolt"),
    (LOCKED, {"protrusion": "0.1"}, NoAnswer, "protrusion", "blind rivet"),
    (LOCKED, {"flushness": "flush"}, NoAnswer, "flushness", "NAS1398"),
    (LOCKED, {"gap_around": 20}, NoAnswer, "gap", "feeler"),
    ("MS20600B4-3", {"collar": "flush"}, NoAnswer, "collar", "MS20600"),
    (BOLT, {"collar": "flush"}, NoAnswer, "collar", "bolt"),
    (PIN, {"stem": "flush"}, NoAnswer, "stem", "pin"),
    (LOCKED, {"hole": "#99"}, NotTabulated, "hole", "#99"),
    (LOCKED, {"hole": "0.3"}, OutsideTable, "hole", "1/8 blind rivet"),
    ("1/4 blind-bolt", {"stem": "flush"}, NotTabulated, "fastener", "3/16"),
    ("NAS1398B4-33", {"collar": "flush"}, NotTabulated, "fastener", "-33"),
    ("NAS9301B04-3", {"collar": "flush"}, NotTabulated, "fastener", "lacks data"),
    ("1/8 B protruding", {"collar": "flush"}, NotTabulated, "fastener", "name the standard"),
    ("9/8 B NAS1398", {"collar": "flush"}, NotTabulated, "fastener", "9/8"),
    ("x B NAS1398", {"collar": "flush"}, NotTabulated, "fastener", "not a length"),
    ("1/8 Q NAS1398", {"collar": "flush"}, NotTabulated, "fastener", "Q"),
    ("1/8 B NAS1398 -44", {"collar": "flush"}, NotTabulated, "fastener", "-44"),
    ("1/4 steel AN4 10", {"protrusion": "0.1"}, NotTabulated, "fastener", "10"),
    ("1/8 AD universal", {"collar": "flush"}, NoAnswer, "collar", "solid rivet"),
    ("MS20470AD4-4", {"stem": "flush"}, NoAnswer, "stem", "solid rivet"),
    ("MS20470AD4-4", {"protrusion": "0.1"}, NoAnswer, "protrusion", "solid rivet"),
]


@pytest.mark.parametrize(("fastener", "fields", "error", "field", "named"), REFUSED, ids=str)
def test_a_refusal_names_the_field_and_what_would_pass(fastener, fields, error, field, named):
    with pytest.raises(error) as caught:
        inspected(fastener, **fields)
    assert caught.value.field == field
    assert named in caught.value.detail
    assert caught.value.example


@pytest.mark.parametrize(
    "fields", [{"collar": "0.01"}, {"collar": 0.01}, {"stem": "-0.01"}, {"protrusion": "-1"}], ids=str
)
def test_what_cannot_be_understood_is_refused(fields):
    with pytest.raises(BadFields):
        inspected(**fields)


_words = st.sampled_from(
    ["1/8", "3/16", "B", "any", "steel", "NAS1398", "AN4", "lockbolt", "-3", "-99", "H", "unknown", "x"]
)


@settings(deadline=None)
@given(st.one_of(st.lists(_words, min_size=1, max_size=4).map(" ".join), st.text(min_size=1, max_size=20)))
def test_any_text_names_a_fastener_or_is_refused_as_not_tabulated(text):
    try:
        fields = [inspected(text, edge_distance="1") and "fastener"]
    except NotTabulated as error:
        fields = [error.field]
    assert fields == ["fastener"]


def test_the_question_is_handed_back_with_its_practice_and_edition():
    answer = inspected(collar="0.025 above", stack="0.15")
    pinned = {"practice": "civil", "edition": EDITION.name}
    assert answer["asked"] == {"fastener": LOCKED, "collar": "0.025 above", "stack": "0.15", **pinned}
    assert answer_inspect(answer["asked"]) == answer


def test_an_end_of_a_range_is_told_as_it_is_counted():
    (figure,) = inspected(stack="0.119")["figures"]
    assert {by["verdict"] for by in figure["by"]} == {"outside limits"}
    assert {(by["minimum_in"], by["maximum_in"]) for by in figure["by"]} == {(0.125, 0.1875)}
    assert figure["by"][0]["limit"] == "above 0.1250 up to 0.1875 in"
    assert Fraction("0.119") == Fraction(repr(figure["measured_in"]))
    (end,) = inspected(stack="0.1875")["figures"]  # the upper end belongs to it (Table 7)
    assert {by["verdict"] for by in end["by"]} == {"inside limits"}


# common practice, no source: a stack no more than 0.005 beyond an end is measured again before it is judged
@pytest.mark.parametrize(
    ("fastener", "stack", "range_told"),
    [
        (LOCKED, "0.125", "above 0.1250 up to 0.1875 in"),  # 0.125 is grip 2's (TM 9-2320-363-34-2 Table 7)
        (LOCKED, "0.12", "above 0.1250 up to 0.1875 in"),
        (LOCKED, "0.1925", "above 0.1250 up to 0.1875 in"),
        (LOCKBOLT, "0.3487", "above 0.28125 up to 0.34375 in"),
        (BOLT, "0.568", "0.4380 to 0.5630 in, washers under the head counted"),
    ],
)
def test_a_stack_just_beyond_an_end_is_measured_again_before_it_is_judged(fastener, stack, range_told):
    answer = inspected(fastener, stack=stack)
    (figure,) = answer["figures"]
    by = figure["by"][0]
    assert answer["verdict"] == "not judged"
    assert (by["verdict"], by["minimum_in"], by["maximum_in"]) == ("no limit", None, None)
    assert by["limit"] == f"{range_told}: at an end of it, measure again, clamped up"
    assert answer["pieces"][0]["causes"] == []
    assert "no-figure" not in [caution["code"] for caution in answer["cautions"]]
    assert ["grip_near_boundary"] in [source["row"] for source in answer["sources"]]


@settings(deadline=None)
@given(st.sampled_from([LOCKED, "NAS1921C06-03", "MS20600B4-3"]), st.integers(0, 3000))
def test_only_a_stack_within_five_thousandths_of_an_end_is_let_wait(fastener, ten_thousandths):
    # TM 9-2320-363-34-2 Table 7 (published): grip 3 is over 2/16 up to 3/16
    verdict = inspected(fastener, stack=f"{ten_thousandths / 10_000:.4f}")["verdict"]
    if 1250 < ten_thousandths <= 1875:
        assert verdict == "inside limits"
    elif 1200 <= ten_thousandths <= 1925:
        assert verdict == "not judged"
    else:
        assert verdict == "outside limits: replace"


def test_a_practice_that_judges_is_not_silenced_by_one_that_waits():
    # two threads of 28 an inch past the grip of 0.563: 0.6344; 0.638 waits for the military practice alone
    both = inspected(BOLT, stack="0.638", practice="both")
    assert [entry["rejects"] for entry in both["practices"]] == [1, 0]
    assert both["verdict"] == "outside limits: replace"
    assert [by["verdict"] for by in both["figures"][0]["by"]] == ["outside limits", "no limit"]


@pytest.mark.parametrize(
    ("fastener", "hole", "inside", "limit"),
    [
        # TM 10-5410-223-24 Table 2-3 (published): #11, 0.191 in, and 0.192 at least
        ("62", "#11", True, "0.1920 to 0.1960 in, or as drill #11 is, 0.1910 in"),
        ("62", "0.1909", False, "0.1920 to 0.1960 in, or as drill #11 is, 0.1910 in"),
        # from memory: #30, 0.1285 in, and 0.129 at least
        (LOCKED, "#30", True, "0.1290 to 0.1320 in, or as drill #30 is, 0.1285 in"),
        (LOCKED, "0.1284", False, "0.1290 to 0.1320 in, or as drill #30 is, 0.1285 in"),
        # TM 10-5410-221-14/1 Table 4-3 (published): F, 0.257 in, and 0.257 at least
        ("84", "0.2569", False, "0.2570 to 0.2610 in"),
    ],
)
def test_a_hole_as_its_own_drill_is_is_not_too_small(fastener, hole, inside, limit):
    answer = inspected(fastener, hole=hole)
    assert answer["verdict"] == ("inside limits" if inside else "outside limits: replace")
    assert {by["limit"] for by in answer["figures"][0]["by"]} == {limit}
    assert ("hole-outside-limits" in codes(answer)) != inside


def test_nas464_is_read_without_a_letter():
    # number format from memory; grip = dash/16 (maintenance how-to pages, second-hand)
    assert inspected("NAS464-4-10", stack="0.625")["verdict"] == "inside limits"
    with pytest.raises(NotTabulated):
        inspected("NAS464P4-10", stack="0.625")
