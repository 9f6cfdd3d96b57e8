"""Rework over HTTP: the answer's schema, formats, what is refused, agreement with the in-process client."""

from __future__ import annotations

import csv
import io

import pytest

from bucktail.embedded import Embedded
from bucktail_service.asking.rework import QUESTION
from bucktail_service.schemas.rework import REWORK, ReworkAnswer

GOOD = dict(QUESTION.example)
ANSWER = ReworkAnswer()


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"record": True, "arm": "6.5", "arm_side": "forward"},
        {"hole": "#21", "corroded": ["2117", "lead"], "stack": "0.032 2024-T3 + 0.125 lead"},
        {"access": "one"},
        {"installed": "1/8 AD flush-100", "practice": "military"},
        {"edge_distance": 0.2, "count": "12", "failed": "1, 2"},
    ],
    ids=str,
)
def test_the_answer_is_what_the_document_promises(http, changes):
    response = http.post("/v1/rework", json={**GOOD, **changes})
    assert response.status_code == 200, response.text
    assert ANSWER.validate(response.json) == {}
    assert response.json == Embedded().rework(**{**GOOD, **changes})


def test_text_and_csv_tell_the_same_rivet(http):
    answer = http.post("/v1/rework", json=GOOD).json
    text = http.post("/v1/rework?format=text", json=GOOD).text
    (row,) = csv.DictReader(io.StringIO(http.post("/v1/rework?format=csv", json=GOOD).text))
    best = next(option for option in answer["options"] if option["name"] == answer["recommended"])
    assert text.splitlines()[1].strip() == row["part_number"] == best["part_number"]
    assert row["recommended"] == answer["recommended"]


@pytest.mark.parametrize(
    ("changes", "status", "field"),
    [
        ({"installed": ""}, 422, "installed"),
        ({"installed": "rivet"}, 404, "installed"),
        ({"stack": "nan"}, 422, "stack"),
        ({"hole": "big"}, 422, "hole"),
        ({"edge_distance": "-1"}, 422, "edge_distance"),
        ({"count": 0}, 422, "count"),
        ({"count": 4, "failed": [5]}, 404, "failed"),
        ({"count": None}, 422, "count"),
        ({"failed": "three"}, 422, "failed"),
        ({"access": "none"}, 422, "access"),
        ({"environment": "moon"}, 422, "environment"),
        ({"record": "maybe"}, 422, "record"),
        ({"bogus": 1}, 422, "bogus"),
        ({"edition": "1999.1"}, 404, "edition"),
    ],
    ids=str,
)
def test_what_is_wrong_is_named_with_a_good_example(http, changes, status, field):
    response = http.post("/v1/rework", json={**GOOD, **changes})
    assert response.status_code == status
    assert response.content_type == "application/problem+json"
    (error,) = response.json["errors"]
    assert error["field"] == field
    assert error["example"]


def test_a_batch_keeps_every_row_in_its_place(http):
    lines = "place,installed,stack,hole\nrib 1,MS20470AD4-4,0.04+0.04,0.14\nrib 2,rivet,0.04,\n"
    response = http.post("/v1/batch/rework", data=lines, content_type="text/csv")
    first, second = csv.DictReader(io.StringIO(response.text))
    assert (first["place"], first["recommended"], first["problem"]) == ("rib 1", "next-size", "")
    assert second["problem"].startswith("not-tabulated")


def test_every_field_has_a_description_and_an_example():
    for field in REWORK.fields.values():
        assert field.metadata["description"]
        assert field.metadata["example"]
