"""`POST /v1/couple`, its batch, and the same answers in-process."""

from __future__ import annotations

import csv
import io
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.http.asking import refused
from tests.http.test_answer_schema import assert_whole

from bucktail.embedded import Embedded
from bucktail.errors import BucktailError
from bucktail_service.app import create_app
from bucktail_service.config import Settings
from bucktail_service.schemas.couple import CoupleAnswer

HTTP = create_app(Settings()).test_client()
ANSWER = CoupleAnswer()

METALS = ["2117", "AD", "2024-T3", "Alclad 2024-T3", "lead", "antimonial lead", "stainless", "CP titanium", "zinc", "M"]


def post(body, **query):
    return HTTP.post("/v1/couple", json=body, query_string=query)


def answered(body):
    response = post(body)
    assert response.status_code == 200, response.get_data(as_text=True)
    return response.get_json()


def test_a_text_and_a_list_of_materials_are_one_question():
    text, listed = (answered({"materials": materials}) for materials in ("2117 + lead", ["2117", "lead"]))
    assert text == listed
    assert text["compatible"] is False
    assert text["pairs"][0]["corrodes"] == "2117"


@pytest.mark.parametrize("areas", ["small+large", ["small", "large"], "0.5 + 12", [0.5, 12]])
def test_areas_are_words_or_figures(areas):
    answer = answered({"materials": "2117+lead", "areas": areas})
    assert answer["pairs"][0]["small"] == "anode"
    assert answer["pairs"][0]["cathode_per_anode"] == (None if "s" in str(areas) else 24)


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({}, "materials"),
        ({"materials": "lead"}, "materials"),
        ({"materials": ["lead"]}, "materials"),
        ({"materials": ["lead"] * 9}, "materials"),
        ({"materials": "lead+"}, "materials"),
        ({"materials": "lead++steel"}, "materials"),
        ({"materials": ["lead", 2117]}, "materials"),
        ({"materials": ["lead", ""]}, "materials"),
        ({"materials": ["lead", "x" * 41]}, "materials"),
        ({"materials": "lead + \u0662024"}, "materials"),
        ({"materials": "+".join(["lead" + " " * 30 + "x"] * 40)}, "materials"),
        ({"materials": 5}, "materials"),
        ({"materials": None}, "materials"),
        ({"materials": "lead+steel", "environment": "desert"}, "environment"),
        ({"materials": "lead+steel", "areas": "0+1"}, "areas"),
        ({"materials": "lead+steel", "areas": "small+1"}, "areas"),
        ({"materials": "lead+steel", "areas": ["small", 1]}, "areas"),
        ({"materials": "lead+steel", "areas": [-1, 1]}, "areas"),
        ({"materials": "lead+steel", "areas": [True, 1]}, "areas"),
        ({"materials": "lead+steel", "areas": [1e9, 1]}, "areas"),
        ({"materials": "lead+steel", "metal": "tin"}, "metal"),
    ],
    ids=lambda value: ascii(value)[:50],
)
def test_a_question_that_cannot_be_read_is_refused_by_its_field(body, field):
    refused(post(body), 422, field)


@pytest.mark.parametrize(
    ("body", "field", "told"),
    [
        ({"materials": "2117 + unobtainium"}, "materials", "unobtainium"),
        ({"materials": "2117 + lead + tin", "areas": "1+2"}, "areas", "2 areas stand against 3 materials"),
        ({"materials": "2117 + lead", "edition": "1999.1"}, "edition", "1999.1"),
    ],
)
def test_what_the_tables_do_not_answer_is_not_found(body, field, told):
    assert told in refused(post(body), 404, field)["detail"]


@given(
    st.lists(st.sampled_from(METALS), min_size=2, max_size=5),
    st.sampled_from([None, "marine", "seawater", "industrial", "Marine"]),
    st.sampled_from([None, "words", "figures"]),
)
@settings(max_examples=60, deadline=None)
def test_answers_have_the_documented_shape_and_are_the_same_in_process(materials, environment, areas):
    question = {"materials": materials}
    if environment is not None:
        question["environment"] = environment
    if areas is not None:
        question["areas"] = [
            ["small", "large"][at % 2] if areas == "words" else 0.1 + at for at in range(len(materials))
        ]
    answer = answered(question)
    assert_whole(ANSWER, answer)
    assert Embedded().couple(**question) == answer


@pytest.mark.parametrize("question", [{"materials": "2117 + unobtainium"}, {"materials": "lead"}, {"areas": "1+2"}])
def test_problems_are_the_same_in_process(question):
    with pytest.raises(BucktailError) as caught:
        Embedded().couple(**question)
    assert caught.value.problem == post(question).get_json()


def test_the_text_gives_the_verdict_first_and_stays_inside_the_page():
    text = post({"materials": ["AD", "Alclad 2024-T3", "antimonial lead", "stainless"]}, format="text").get_data(
        as_text=True
    )
    assert text.splitlines()[1] == "  NOT COMPATIBLE in marine air"
    assert max(map(len, text.splitlines())) <= 80
    assert "sterner everyday one" in text


def test_a_batch_judges_row_by_row():
    rows = "materials,environment,note\n2117 + lead,,weight\n5056 + 6061-T6,seawater,\n2117 + unobtainium,,\n,,\n"
    response = HTTP.post("/v1/batch/couple", data=rows, content_type="text/csv", headers={"Accept": "text/csv"})
    assert response.status_code == 200
    cells = list(csv.DictReader(io.StringIO(response.get_data(as_text=True))))
    assert [row["compatible"] for row in cells] == ["false", "true", "", ""]
    assert cells[0]["corrodes"] == "2117"
    assert cells[0]["incompatible_pairs"] == "2117 + lead"
    assert cells[0]["note"] == "weight"
    assert "unobtainium" in cells[2]["problem"]
    assert cells[3]["problem"]


def test_a_batch_of_json_carries_whole_answers():
    body = json.dumps({"materials": ["2117", "lead"], "id": 7}) + "\n"
    response = HTTP.post("/v1/batch/couple", data=body, content_type="application/x-ndjson")
    result = json.loads(response.get_data(as_text=True).splitlines()[0])
    assert result["answer"] == answered({"materials": ["2117", "lead"]})
    assert result["carried"] == {"id": 7}
