"""Asking for a balance over HTTP: formats, the shape of the answer, refusals, batches, and the client in-process."""

from __future__ import annotations

import csv
import io
import json

import pytest
from tests.client.test_agreement import EMBEDDED, OVER_HTTP, outcome
from tests.http.asking import refused

from bucktail_service.asking.balance import COLUMNS, QUESTION
from bucktail_service.schemas.balance import BalanceAnswer

ASKED = [
    dict(QUESTION.example),
    {"arm": "310 mm forward", "removed": ["2 x MS20426AD4-5"], "current": "0", "limit": "2 nose heavy to 0"},
    {
        "arm": "0 aft",
        "installed": [{"pieces": 3, "diameter": 0.125, "alloy": "AD", "head": "universal", "length": "6.35 mm"}],
        "hole_metal": [{"pieces": 3, "from": "#40", "to": 0.1285, "stack": [{"thickness": 0.04, "material": "lead"}]}],
        "extra": [{"name": "sealant", "mass": "-1.5 g", "arm": "2 fwd"}, "paint .01 lb"],
        "weight_arm": "4 forward",
        "edition": "2026.1",
    },
]


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_the_answer_has_the_documented_shape_in_every_format(http, asked):
    response = http.post("/v1/balance", json=asked)
    assert response.status_code == 200, response.get_data(as_text=True)
    assert BalanceAnswer().validate(response.get_json()) == {}
    (cells,) = csv.DictReader(io.StringIO(http.post("/v1/balance?format=csv", json=asked).get_data(as_text=True)))
    assert list(cells) == list(COLUMNS)
    assert float(cells["moment_in_lb"]) == response.get_json()["change"]["moment_in_lb"]
    text = http.post("/v1/balance?format=text", json=asked).get_data(as_text=True)
    assert all(len(line) <= 80 for line in text.splitlines())


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_what_was_asked_asks_the_same_again(http, asked):
    answer = http.post("/v1/balance", json=asked).get_json()
    assert http.post("/v1/balance", json=answer["asked"]).get_json()["change"] == answer["change"]


@pytest.mark.parametrize(
    ("asked", "status", "field"),
    [
        ({"installed": "MS20470AD4-4"}, 422, "arm"),
        ({"arm": "12.5", "installed": "MS20470AD4-4"}, 422, "arm"),
        ({"arm": "1 aft", "installed": "24"}, 422, "installed"),
        ({"arm": "1 aft", "weight": "2 lb"}, 422, "weight"),
        ({"arm": "1 aft", "installed": "MS20430AD4-4"}, 404, "installed"),
        ({"arm": "1 aft", "extra": "paint 1 g", "edition": "1999.1"}, 404, "edition"),
        ({"arm": "1 aft"}, 404, "installed"),
    ],
    ids=str,
)
def test_a_refusal_names_the_field(http, asked, status, field):
    refused(http.post("/v1/balance", json=asked), status, field)


@pytest.mark.parametrize(
    "asked", [*ASKED, {"arm": "1 aft"}, {"arm": "aft"}, {"arm": "1 aft", "removed": "MS20427M4-4"}], ids=str
)
def test_both_clients_answer_alike(asked):
    here, there = (outcome(lambda client=client: client.balance(**asked)) for client in (EMBEDDED, OVER_HTTP))
    assert here == there


def test_a_file_of_repairs_is_answered_row_by_row(http):
    file = "place,arm,installed\nrib 3,10 aft,4 x MS20470AD4-4\nrib 4,10,4 x MS20470AD4-4\n"
    response = http.post("/v1/batch/balance", data=file, content_type="text/csv", headers={"Accept": "text/csv"})
    good, bad = csv.DictReader(io.StringIO(response.get_data(as_text=True)))
    alone = http.post("/v1/balance", json={"arm": "10 aft", "installed": "4 x MS20470AD4-4"}).get_json()
    assert json.loads(good["moment_in_lb"]) == alone["change"]["moment_in_lb"]
    assert good["place"] == "rib 3"
    assert "arm" in bad["problem"]
