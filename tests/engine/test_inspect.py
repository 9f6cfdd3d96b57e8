"""The inspect answer against documents, by hand, and by relations that hold for every rivet."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.conftest import published
from tests.engine.asking import ask, exactly

from bucktail_service.asking.inspect import answer_inspect
from bucktail_service.engine.errors import NoAnswer, NotTabulated, OutsideTable
from bucktail_service.problems import BadFields
from bucktail_tables.load import load_edition

EDITION = load_edition()
RIVET = "1/8 AD universal"
PRACTICES = ("civil", "military", "both")


def inspected(fastener=RIVET, **fields):
    return answer_inspect({"fastener": fastener, **fields})


@pytest.mark.parametrize(
    "case", published("inspect.csv"), ids=lambda case: f"{case['document']}: {case['measured']} {case['value']}"
)
def test_a_verdict_is_the_one_of_the_document(case):
    measured = dict(zip(case["measured"].split("+"), case["value"].split("+"), strict=True))
    answer = inspected(case["fastener"], practice=case["practice"], **measured)
    assert answer["verdict"] == case["verdict"]
    assert (answer["rejects"] == 0) == (case["check"] == "inside")


def limits(fastener, practice):
    """The limits of the formed head that rule, as exact as JSON has them."""
    figures = {"formed_diameter": "0.1", "formed_height": "0.1"}
    answer = inspected(fastener, practice=practice, **figures)
    ruling = {entry["practice"] for entry in answer["practices"] if entry["rules"]}
    found = {}
    for figure in answer["figures"]:
        by = [entry for entry in figure["by"] if entry["practice"] in ruling]
        least = [entry["minimum_in"] for entry in by if entry["minimum_in"] is not None]
        most = [entry["maximum_in"] for entry in by if entry["maximum_in"] is not None]
        found[figure["name"]] = (max(least), min(most, default=2 * max(least)))
    return found


FASTENERS = [
    "1/8 AD universal",
    "MS20426AD5-6",
    "5/32 D universal",
    "MS20470B6",
    "1/4 DD universal",
    "3/32 M flush-100",
]
LIMITS = {(fastener, practice): limits(fastener, practice) for fastener in FASTENERS for practice in PRACTICES}
rivets = st.sampled_from(sorted(LIMITS))
shares = st.integers(0, 1000)


def between(span, share):
    low, high = (round(end * 1_000_000) for end in span)
    low, high = low + 1, high - 1  # JSON rounds to the millionth
    return f"{(low + (high - low) * share / 1000) / 1_000_000:.7f}"


@settings(deadline=None)
@given(rivets, shares, shares)
def test_a_head_inside_all_its_limits_is_never_rejected(rivet, across, high):
    spans = LIMITS[rivet]
    answer = inspected(
        rivet[0],
        practice=rivet[1],
        formed_diameter=between(spans["formed_diameter"], across),
        formed_height=between(spans["formed_height"], high),
    )
    assert answer["verdict"] == "inside limits"
    assert answer["rejects"] == 0
    assert answer["pieces"][0]["causes"] == []


measures = st.decimals("0.005", "0.9", places=4)
steps = st.decimals("0", "0.2", places=4)


@settings(deadline=None)
@given(rivets, measures, measures, steps, steps)
def test_going_further_out_never_turns_a_reject_into_an_accept(rivet, across, high, wider, taller):
    spans = LIMITS[rivet]

    def asked(values):
        return inspected(
            rivet[0], practice=rivet[1], formed_diameter=f"{values[0]:.4f}", formed_height=f"{values[1]:.4f}"
        )

    def outward(value, step, span):
        away = float(value) + float(step) * (1 if float(value) > sum(span) / 2 else -1)
        return max(away, 0.0001)

    first = asked((across, high))
    further = asked((outward(across, wider, spans["formed_diameter"]), outward(high, taller, spans["formed_height"])))
    assert further["rejects"] >= first["rejects"]
    assert bool(first["pieces"][0]["causes"]) == (first["rejects"] == 1)


@settings(deadline=None)
@given(
    st.decimals("0", "0.03", places=4), st.decimals("0", "0.03", places=4), st.one_of(st.none(), st.integers(0, 100))
)
def test_a_wider_gap_is_never_let_go_where_a_narrower_one_is_not(gap, more, around):
    extra = {} if around is None else {"gap_around": around}
    narrow, wide = (inspected(gap=str(value), **extra)["rejects"] for value in (gap, gap + more))
    assert wide >= narrow


@settings(deadline=None)
@given(
    st.sampled_from(["MS20470AD4-4", "MS20426AD4-5", "MS20470AD4-6"]),
    st.integers(1200, 1700),
    st.integers(0, 500),
    st.sampled_from(["0.080", "0.032+0.040", "0.1"]),
)
def test_a_larger_hole_never_gains_height(fastener, hole, larger, stack):
    tight, wide = (
        inspected(fastener, stack=stack, hole=f"{size / 10_000:.4f}")["by_volume"] for size in (hole, hole + larger)
    )
    assert wide["height_at_nominal_diameter_in"] <= tight["height_at_nominal_diameter_in"]
    assert wide["shank_left_in"] <= tight["shank_left_in"]
    assert wide["swelled_in"] >= tight["swelled_in"]


@settings(deadline=None)
@given(st.lists(st.tuples(measures, measures), min_size=1, max_size=12), st.sampled_from(PRACTICES))
def test_a_row_is_its_pieces_one_by_one(row, practice):
    whole = inspected(
        practice=practice,
        formed_diameter="; ".join(str(across) for across, _ in row),
        formed_height=[str(high) for _, high in row],
    )
    alone = [
        inspected(practice=practice, formed_diameter=str(across), formed_height=str(high))["pieces"][0]
        for across, high in row
    ]
    assert whole["count"] == len(row)
    assert [piece["verdict"] for piece in whole["pieces"]] == [piece["verdict"] for piece in alone]
    assert [piece["causes"] for piece in whole["pieces"]] == [piece["causes"] for piece in alone]
    assert whole["rejected"] == [at for at, piece in enumerate(alone, 1) if piece["verdict"] == "outside limits"]
    assert whole["rejects"] == len(whole["rejected"])


def test_both_practices_reject_what_either_rejects():
    row = {"formed_diameter": "0.163; 0.175; 0.210; 0.190", "formed_height": "0.06; 0.045; 0.06; 0.06"}
    civil, military, both = (set(inspected(practice=practice, **row)["rejected"]) for practice in PRACTICES)
    assert both == civil | military
    assert (civil, military) == ({1, 3}, {2})


# a 1/8 rivet by hand: shank held = across squared x height / 0.015625; a head inside the civil limits of 2117, 0.175 to
# 0.200 by 0.04125 to 0.0825, takes 0.0809 to 0.2112 of shank
CAUSES = [
    # 0.204 squared x 0.048 / 0.015625 = 0.1279: enough, but too flat
    ({"formed_diameter": "0.204", "formed_height": "0.048"}, ["over_driven"]),
    # 0.190 squared x 0.038 / 0.015625 = 0.0878: enough, but too flat
    ({"formed_diameter": "0.190", "formed_height": "0.038"}, ["over_driven"]),
    # 0.170 squared x 0.070 / 0.015625 = 0.1295: enough, not driven far enough
    ({"formed_diameter": "0.170", "formed_height": "0.070"}, ["under_driven"]),
    # 0.180 squared x 0.095 / 0.015625 = 0.1970: enough, not driven far enough
    ({"formed_diameter": "0.180", "formed_height": "0.095"}, ["under_driven"]),
    # 0.210 squared x 0.080 / 0.015625 = 0.2258: too much
    ({"formed_diameter": "0.210", "formed_height": "0.080"}, ["too_long"]),
    # 0.170 squared x 0.040 / 0.015625 = 0.0740: too little
    ({"formed_diameter": "0.170", "formed_height": "0.040"}, ["too_short"]),
    # the same in a hole over 0.135 (trade journal, Oct 2001)
    ({"formed_diameter": "0.170", "formed_height": "0.040", "hole": "0.145"}, ["hole_too_big"]),
    # (0.145 squared - 0.1285 squared) x 0.08 / 0.015625 = 0.0231: 0.0740 + 0.0231 is over 0.0809
    (
        {"formed_diameter": "0.170", "formed_height": "0.040", "hole": "0.145", "stack": "0.08"},
        ["hole_too_big"],
    ),
    # 0.150 squared x 0.030 / 0.015625 = 0.0432: too little even with the 0.0231
    (
        {"formed_diameter": "0.150", "formed_height": "0.030", "hole": "0.145", "stack": "0.08"},
        ["hole_too_big", "too_short"],
    ),
    # 1/4 - 0.140 = 0.110 stands out, under 1.33 x 0.125 = 0.16625 (FAA-H-8083-31 figure 4-76)
    (
        {"formed_diameter": "0.170", "formed_height": "0.040", "length": "1/4", "stack": "0.140"},
        ["too_short", "not_as_said"],
    ),
    # 5/16 - 0.080 = 0.2325 stands out, over 1.66 x 0.125 = 0.2075; 0.2280 is left once the hole has its part
    ({"formed_diameter": "0.210", "length": "5/16", "stack": "0.080"}, ["too_long"]),
    # 5/16 - 0.100 = 0.2125 stands out, over 0.2075; 0.2068 is left, of which a head inside the limits could be made
    ({"formed_diameter": "0.210", "length": "5/16", "stack": "0.100"}, ["too_long", "over_driven"]),
    # 1/4 - 0.080 = 0.170 stands out, as it should, and yet the metal is not there
    (
        {"formed_diameter": "0.170", "formed_height": "0.040", "length": "1/4", "stack": "0.080"},
        ["hole_too_big", "not_as_said"],
    ),
    # a short shank makes no head too wide: 1/4 - 0.090 = 0.160 stands out, and 0.1411 of shank was driven too flat
    ({"formed_diameter": "0.210", "formed_height": "0.05", "length": "1/4", "stack": "0.090"}, ["over_driven"]),
    # one figure alone tells no volume
    ({"formed_diameter": "0.210"}, ["undecided"]),
    ({"formed_height": "0.030"}, ["undecided"]),
    ({"formed_diameter": "0.190", "formed_height": "0.060"}, []),
]


@pytest.mark.parametrize(("measured", "codes"), CAUSES, ids=str)
def test_the_cause_follows_from_constant_volume(measured, codes):
    piece = inspected(**measured)["pieces"][0]
    assert [cause["code"] for cause in piece["causes"]] == codes


@settings(deadline=None)
@given(st.sampled_from(["0.080", "0.075", "0.083"]), st.integers(2010, 2600))
def test_a_right_rivet_driven_too_flat_is_told_as_over_driven(stack, across):
    shank = exactly(inspected("MS20470AD4-4", stack=stack, hole="#30")["by_volume"]["shank_left_in"])
    wide = Fraction(across, 10_000)
    high = shank * Fraction(1, 64) / wide**2
    piece = inspected(
        "MS20470AD4-4",
        stack=stack,
        hole="#30",
        formed_diameter=f"{float(wide):.4f}",
        formed_height=f"{float(high):.6f}",
    )["pieces"][0]
    assert [cause["code"] for cause in piece["causes"]] == ["over_driven"]


@pytest.mark.parametrize(("head", "number"), [("universal", "MS20470AD4-4"), ("flush-100", "MS20426AD4-4")])
def test_what_is_left_for_the_head_is_what_the_pick_expects(head, number, edition):
    picked = ask(edition, "1/8", "AD", head, "0.040+0.040", hole="0.130")
    assert picked["part_number"] == number
    found = inspected(number, stack="0.040+0.040", hole="0.130")["by_volume"]["height_at_nominal_diameter_in"]
    assert abs(found - picked["formed_head"]["predicted_height_in"]) <= 0.0001


def codes(answer):
    return {caution["code"] for caution in answer["cautions"]}


def test_the_cautions_fire_only_when_they_apply():
    good = inspected(formed_diameter="0.19", formed_height="0.06")
    wanted = {"gap-restrike", "flushness-unjudged", "spacing-outside", "cause-estimated", "hole-outside-limits"}
    assert not codes(good) & wanted
    assert "gap-restrike" in codes(inspected(gap="0.003"))
    assert "spacing-outside" in codes(inspected(pitch="0.2"))
    assert "hole-outside-limits" in codes(inspected(hole="0.14"))
    assert "cause-estimated" in codes(inspected(formed_diameter="0.21", formed_height="0.04"))
    assert "lead" not in codes(good)


def test_a_step_without_a_figure_is_not_judged_and_says_so():
    answer = inspected("1/8 AD flush-100", flushness="0.004 above")
    assert answer["verdict"] == "not judged"
    assert "flushness-unjudged" in codes(answer)
    beside = inspected("1/8 AD flush-100", flushness="0.004 above", formed_diameter="0.19")
    assert beside["verdict"] == "inside limits, some not judged"
    assert inspected("1/8 AD flush-100", flushness="flush")["verdict"] == "inside limits"


def test_a_superseded_number_is_told():
    assert "superseded-number" in codes(inspected("AN470AD4-4", formed_diameter="0.19"))


def test_every_figure_names_a_source():
    answer = inspected(
        "MS20470AD4-4",
        formed_diameter="0.21",
        formed_height="0.06",
        hole="#30",
        gap="0.001",
        edge_distance=1,
        pitch=0.5,
    )
    named = {figure for source in answer["sources"] for figure in source["figures"]}
    for figure in answer["figures"]:
        for by in figure["by"]:
            assert f"{figure['name']}.{by['practice']}" in named
    assert "causes" in named


REFUSED = [
    ("1/8 AD universal", {}, NoAnswer, "formed_diameter", "nothing was measured"),
    ("nonsense", {"hole": "#30"}, NotTabulated, "fastener", "standard of this edition"),
    ("7/8 AD universal", {"hole": "#30"}, NotTabulated, "fastener", "7/8"),
    ("1/8 tin universal", {"hole": "#30"}, NotTabulated, "fastener", "tin"),
    ("NAS1241AD4-4", {"hole": "#30"}, NotTabulated, "fastener", "repair rivet"),
    ("1/8 AD universal", {"hole": "#99"}, NotTabulated, "hole", "#99"),
    ("1/8 AD universal", {"hole": "30"}, OutsideTable, "hole", "#30"),
    ("1/8 AD universal", {"gap_around": 20}, NoAnswer, "gap", "feeler"),
    ("1/8 AD universal", {"flushness": "flush"}, NoAnswer, "flushness", "universal"),
    (
        "1/8 AD universal",
        {"formed_diameter": "0.19; 0.2", "formed_height": "0.06"},
        NoAnswer,
        "formed_height",
        "2 diameters but 1",
    ),
]


@pytest.mark.parametrize(("fastener", "fields", "error", "field", "named"), REFUSED, ids=str)
def test_a_refusal_names_the_field_and_what_would_pass(fastener, fields, error, field, named):
    with pytest.raises(error) as caught:
        inspected(fastener, **fields)
    assert caught.value.field == field
    assert named in caught.value.detail
    assert caught.value.example


@pytest.mark.parametrize(
    "fields",
    [
        {"formed_diameter": "1,5"},
        {"formed_diameter": "0.19;"},
        {"formed_diameter": []},
        {"formed_diameter": ["0.19"] * 201},
        {"formed_height": [None]},
        {"gap_around": "120"},
        {"gap_around": True},
        {"flushness": "0.003"},
        {"flushness": -0.003},
        {"practice": "naval"},
        {"fastener": ""},
        {"hole_size": "0.13"},
    ],
    ids=lambda fields: str(fields)[:40],
)
def test_what_cannot_be_understood_is_refused(fields):
    with pytest.raises(BadFields):
        answer_inspect({"fastener": RIVET, **fields})


def test_the_question_is_handed_back_with_its_practice_and_edition():
    answer = inspected(formed_diameter="0.19")
    assert answer["asked"] == {
        "fastener": RIVET,
        "formed_diameter": "0.19",
        "practice": "civil",
        "edition": EDITION.name,
    }
    assert answer_inspect(answer["asked"]) == answer
