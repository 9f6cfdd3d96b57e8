"""`POST /v1/joint`, its batch, and the same answers in-process."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.http.asking import refused
from tests.http.test_answer_schema import assert_whole

from bucktail.embedded import Embedded
from bucktail.errors import BucktailError
from bucktail_service.app import create_app
from bucktail_service.asking.joint import QUESTION
from bucktail_service.config import Settings
from bucktail_service.schemas.joint import JOINT, JointAnswer

HTTP = create_app(Settings()).test_client()
ANSWER = JointAnswer()
GOOD = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040 bare 2024-T3+0.040 bare 2024-T3"}


def post(body, **query):
    return HTTP.post("/v1/joint", json=body, query_string=query)


def answered(**changes):
    response = post({**GOOD, **changes})
    assert response.status_code == 200, response.get_data(as_text=True)
    return response.get_json()


def test_a_joint_is_answered_with_what_governs():
    """388 lbf (MIL-HDBK-5F as quoted) x 0.995 (1/8 in 0.040)."""
    answer = answered()
    assert answer["critical"] == {"mode": "shear", "layer": None}
    assert answer["allowed"]["load_lbf"] == 386.1
    assert answer["practice"] == "civil"
    assert answer["link"] is None


@pytest.mark.parametrize(
    ("load", "pounds", "per_inch"),
    [
        ("1200", 1200, False),
        ("1200 lbf", 1200, False),
        ("350lbf/in", 350, True),
        ("350.5/in", 350.5, True),
        (1200, 1200, False),
        (0.5, 0.5, False),
    ],
)
def test_a_load_is_on_the_joint_or_on_each_inch(load, pounds, per_inch):
    need = answered(load=load)["need"]
    assert (need["load_lbf"], need["per_inch"]) == (pounds, per_inch)


def test_numbers_and_texts_are_one_question():
    texts = {"rows": "2", "width": "10", "pitch": "0.75", "thickness": "0.04"}
    numbers = {"rows": 2, "width": 10, "pitch": 0.75, "thickness": 0.04}
    assert answered(**texts) == answered(**numbers)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        *(({name: None}, name) for name in GOOD),
        *(({name: "nope"}, name) for name in JOINT.fields if name != "edition"),
        ({"load": "12 kN"}, "load"),
        ({"load": -1}, "load"),
        ({"load": 1e9}, "load"),
        ({"load": True}, "load"),
        ({"load": "1e3"}, "load"),
        ({"load": "\u0661"}, "load"),
        ({"rows": 0}, "rows"),
        ({"rows": 11}, "rows"),
        ({"rows": 1.5}, "rows"),
        ({"rows": True}, "rows"),
        ({"rows": ["2"]}, "rows"),
        ({"table": "4-12"}, "table"),
        ({"edition": "*"}, "edition"),
        ({"hole": "#30"}, "hole"),
    ],
    ids=lambda value: ascii(value)[:40],
)
def test_a_question_that_cannot_be_read_is_refused_by_its_field(changes, field):
    body = {**GOOD, **changes}
    refused(post(body), 422, field)


@pytest.mark.parametrize("name", GOOD)
def test_a_field_that_is_needed_is_missed(name):
    refused(post({field: text for field, text in GOOD.items() if field != name}), 422, name)


@pytest.mark.parametrize(
    ("changes", "field", "told"),
    [
        ({"stack": "0.080"}, "stack", "one by one"),
        ({"stack": 0.08}, "stack", "one by one"),
        ({"stack": "0.040+0"}, "stack", "no sheet"),
        ({"shear": "double"}, "stack", "three layers"),
        ({"edge_distance": "0.15"}, "edge_distance", "0.1875 in would pass"),
        ({"width": 0}, "width", "0 in"),
        ({"diameter": "0.13"}, "diameter", "1/8"),
        ({"head": "flush-78", "alloy": "A286"}, "alloy", "not offered"),
        ({"edition": "1999.1"}, "edition", "1999.1"),
    ],
)
def test_what_the_tables_do_not_answer_is_not_found(changes, field, told):
    assert told in str(refused(post({**GOOD, **changes}), 404, field))


lengths = st.sampled_from(["0.2", "1/4", "0.5", "3/4 in", "8 mm", 1, 2.25, "12"])
questions = st.fixed_dictionaries(
    {
        "diameter": st.sampled_from(["3/32", "1/8", "5/32", "3/16", "1/4", "3/8"]),
        "alloy": st.sampled_from(["AD", "2117", "DD", "B", "M", "E"]),
        "head": st.sampled_from(["universal", "MS20470", "flush-100", "MS20615"]),
        "stack": st.lists(
            st.tuples(
                st.sampled_from(["0.020", "0.032", "0.040", "0.063", "1/16", "1 mm", "0.125"]),
                st.sampled_from(["", " 2024-T3", " clad 2024-T3", " 6061-T6", " 7075-T6", " 5052-H32", " lead"]),
            ).map("".join),
            min_size=2,
            max_size=4,
        ).map("+".join),
    },
    optional={
        "shear": st.sampled_from(["single", "double", "Double"]),
        "edge_distance": lengths,
        "pitch": lengths,
        "rows": st.one_of(st.integers(1, 10), st.sampled_from(["1", "3"])),
        "row_spacing": lengths,
        "load": st.sampled_from([0, 100, 25_000.5, "800 lbf", "350/in"]),
        "width": lengths,
        "thickness": lengths,
        "table": st.sampled_from(["4-9", "4-10", "4-11"]),
        "member": st.sampled_from(["splice", "stringer", "frame", "lap"]),
        "preparation": st.sampled_from(["countersunk", "dimpled"]),
        "practice": st.sampled_from(["civil", "military"]),
    },
)


@given(questions)
@settings(max_examples=150, deadline=None)
def test_answers_have_the_documented_shape_and_are_the_same_in_process(question):
    response = post(question)
    if response.status_code == 200:
        assert_whole(ANSWER, response.get_json())
        assert Embedded().joint(**question) == response.get_json()
        text = post(question, format="text").get_data(as_text=True)
        assert all(len(line) <= 80 for line in text.splitlines())
        assert "approved" not in text.casefold()
        row = next(csv.DictReader(io.StringIO(post(question, format="csv").get_data(as_text=True))))
        assert list(row) == list(QUESTION.columns)
        return
    problem = refused(response, 404)
    with pytest.raises(BucktailError) as caught:
        Embedded().joint(**question)
    assert caught.value.problem == problem


def test_the_fields_listed_for_files_are_those_of_the_schema():
    assert QUESTION.fields == tuple(JOINT.fields)
    assert QUESTION.required == tuple(name for name, field in JOINT.fields.items() if field.required)


def test_the_example_is_answered():
    assert post(QUESTION.example).status_code == 200


def test_the_text_gives_the_verdict_first():
    text = post({**GOOD, "width": "10", "member": "lap"}, format="text").get_data(as_text=True)
    assert text.splitlines()[1] == "  386.1 lbf a rivet: shear governs"
    for told in ("EACH RIVET", "SPLICE, each side of the break", "LAYOUT over", "CAUTIONS"):
        assert told in text


def test_a_batch_answers_row_by_row():
    rows = (
        "diameter,alloy,head,stack,table,width,member,place\n"
        "1/8,AD,universal,0.032 clad 2024-T3+0.032 clad 2024-T3,4-10,10,lap,skin\n"
        "1/8,AD,universal,0.080,,,,total\n"
    )
    response = HTTP.post("/v1/batch/joint", data=rows, content_type="text/csv", headers={"Accept": "text/csv"})
    assert response.status_code == 200
    first, second = csv.DictReader(io.StringIO(response.get_data(as_text=True)))
    # Table 4-10: 4.9 an inch; 4.9 x 0.75 is 3.7, 37 rivets in 10 in
    assert (first["place"], first["table_per_inch"], first["table_pieces"]) == ("skin", "4.9", "37")
    assert "one by one" in second["problem"]
