"""Asking for an inspection over HTTP: formats, the shape of the answer, refusals, batches, and both clients."""

from __future__ import annotations

import csv
import io

import pytest
from tests.client.test_agreement import EMBEDDED, OVER_HTTP, outcome
from tests.http.asking import refused

from bucktail_service.asking.inspect import COLUMNS, QUESTION
from bucktail_service.schemas.inspect import InspectAnswer

ASKED = [
    dict(QUESTION.example),
    {
        "fastener": "MS20426AD5-6",
        "formed_diameter": 0.21,
        "flushness": "0.1 mm below",
        "gap": "0.002",
        "gap_around": "25 %",
    },
    {
        "fastener": "3/16 D universal",
        "formed_diameter": ["0.26", 0.2, "6.4 mm"],
        "formed_height": ["0.09", "0.02", 0.2],
        "hole": 0.21,
        "stack": ["0.1 2024-T3", 0.1],
        "length": "1/2",
        "edge_distance": "0.2",
        "pitch": "3",
        "practice": "both",
        "edition": "2026.1",
    },
    {"fastener": "1/4 M MS20427", "hole": "#F"},
]


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_the_answer_has_the_documented_shape_in_every_format(http, asked):
    response = http.post("/v1/inspect", json=asked)
    assert response.status_code == 200, response.get_data(as_text=True)
    answer = response.get_json()
    assert InspectAnswer().validate(answer) == {}
    (cells,) = csv.DictReader(io.StringIO(http.post("/v1/inspect?format=csv", json=asked).get_data(as_text=True)))
    assert list(cells) == list(COLUMNS)
    assert (cells["verdict"], int(cells["rejects"])) == (answer["verdict"], answer["rejects"])
    text = http.post("/v1/inspect?format=text", json=asked).get_data(as_text=True)
    assert all(len(line) <= 80 for line in text.splitlines())


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_what_was_asked_asks_the_same_again(http, asked):
    answer = http.post("/v1/inspect", json=asked).get_json()
    assert http.post("/v1/inspect", json=answer["asked"]).get_json()["pieces"] == answer["pieces"]


@pytest.mark.parametrize(
    ("asked", "status", "field"),
    [
        ({"formed_diameter": "0.19"}, 422, "fastener"),
        ({"fastener": "MS20470AD4", "formed_diameter": "1,9"}, 422, "formed_diameter"),
        ({"fastener": "MS20470AD4", "across": "0.19"}, 422, "across"),
        ({"fastener": "MS20470AD4"}, 404, "formed_diameter"),
        ({"fastener": "nonsense", "hole": "#30"}, 404, "fastener"),
        ({"fastener": "MS20470AD4", "hole": "#30", "edition": "1999.1"}, 404, "edition"),
    ],
    ids=str,
)
def test_a_refusal_names_the_field(http, asked, status, field):
    refused(http.post("/v1/inspect", json=asked), status, field)


@pytest.mark.parametrize("asked", [*ASKED, {"fastener": "MS20470AD4"}, {"fastener": 4}, {}], ids=str)
def test_both_clients_answer_alike(asked):
    here, there = (outcome(lambda client=client: client.inspect(**asked)) for client in (EMBEDDED, OVER_HTTP))
    assert here == there


def test_a_file_is_inspected_row_by_row(http):
    file = (
        "place,fastener,formed_diameter,formed_height\n"
        "rib 3,MS20470AD4-4,0.19,0.06\n"
        "rib 4,MS20470AD4-4,0.21; 0.19,0.04; 0.06\n"
        "rib 5,MS20470AD4-4,wide,0.06\n"
    )
    response = http.post("/v1/batch/inspect", data=file, content_type="text/csv", headers={"Accept": "text/csv"})
    good, out, bad = csv.DictReader(io.StringIO(response.get_data(as_text=True)))
    assert (good["verdict"], good["rejects"], good["place"]) == ("inside limits", "0", "rib 3")
    assert (out["verdict"], out["count"], out["rejected"]) == ("outside limits: replace", "2", "1")
    assert out["causes"] == "over_driven"
    assert "formed_diameter" in bad["problem"]
