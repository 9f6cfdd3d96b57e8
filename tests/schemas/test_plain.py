"""The reader that does without marshmallow reads what the schema reads, and leaves it the rest."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from bucktail_service.engine.lengths import LENGTH, STACK, TOLERANCE
from bucktail_service.engine.standards import alloy_names, head_names
from bucktail_service.problems import BadFields
from bucktail_service.schemas.plain import PICK_FIELDS, REQUIRED, read_plain_pick
from bucktail_service.schemas.questions import PICK, load_pick
from bucktail_tables.load import load_edition

EDITION = load_edition()
odd = st.one_of(st.text(max_size=12), st.none(), st.floats(), st.booleans(), st.lists(st.text(max_size=4), max_size=2))
cased = st.sampled_from([str.upper, str.lower, str, lambda text: f" {text} "])


def names(known):
    return st.builds(lambda name, change: change(name), st.sampled_from(known), cased)


good = {
    "diameter": st.one_of(st.just("1/8"), st.from_regex(LENGTH, fullmatch=True)),
    "alloy": names(alloy_names(EDITION)),
    "head": names(head_names(EDITION)),
    "stack": st.one_of(st.just("0.040+0.040"), st.from_regex(STACK, fullmatch=True)),
    "stack_tolerance": st.from_regex(TOLERANCE, fullmatch=True),
    "family": st.sampled_from(["solid", "blind"]),
    "practice": names(["civil", "military"]),
    "hole": st.sampled_from(["#30", "0.13", "#F"]),
    "preparation": st.sampled_from(["countersunk", "Dimpled", "glued"]),
    "nut": st.sampled_from(["AN310", "an365", "nut"]),
    "nut_height": st.sampled_from(["0.25", "1/4", "--"]),
    "drag": st.sampled_from(["12", "1.4 N m", "12 ft-lb"]),
    "edition": st.sampled_from(["2026.1", "1999.1", "", "a b"]),
}


@st.composite
def payloads(draw):
    optional = draw(st.sets(st.sampled_from(PICK_FIELDS[4:])))
    payload = {name: draw(good[name]) for name in PICK_FIELDS if name in REQUIRED or name in optional}
    for name in draw(st.sets(st.sampled_from([*PICK_FIELDS, "quantity"]), max_size=1)):
        payload[name] = draw(odd)
    return payload


@settings(max_examples=400, deadline=None)
@given(payloads())
def test_both_readers_read_alike(payload):
    plain = read_plain_pick(payload)
    try:
        asked = load_pick(payload)
    except BadFields:
        assert plain is None
    else:
        assert plain in (None, asked)


def test_the_usual_question_is_read_plainly():
    question = {"diameter": "1/8", "alloy": "ad", "head": "Universal", "stack": "0.040+0.040", "edition": "2026.1"}
    assert read_plain_pick(question) == load_pick(question)


def test_the_fields_are_the_schemas():
    assert tuple(PICK.fields) == PICK_FIELDS
    assert tuple(name for name, field in PICK.fields.items() if field.required) == REQUIRED
