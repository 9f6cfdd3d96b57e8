"""Asking for an inspection of blind rivets, bolts and pins over HTTP: formats, shape, refusals, batches, clients."""

from __future__ import annotations

import csv
import io
import re

import pytest
from tests.client.test_agreement import EMBEDDED, OVER_HTTP, outcome
from tests.http.asking import refused

from bucktail_service.asking.inspect import COLUMNS
from bucktail_service.schemas.inspect import InspectAnswer

ASKED = [
    {"fastener": "NAS1398B4-3", "stack": "0.15", "collar": "0.025 above", "stem": "0.5 mm below", "hole": "#30"},
    {
        "fastener": "NAS1399B4-3",
        "stack": ["0.1 2024-T3", 0.1],
        "flushness": "0.01 below",
        "gap": 0.001,
        "gap_around": 30,
    },
    {"fastener": "42", "stem": "flush", "collar": "0.01 above", "stack": 0.2, "practice": "both"},
    {
        "fastener": "AN4-10",
        "stack": "0.7",
        "protrusion": "0.03",
        "edge_distance": 0.4,
        "pitch": "3",
        "practice": "military",
    },
    {"fastener": "NAS6204-10", "stack": "0.62", "protrusion": "3.2 mm", "hole": "#F"},
    {"fastener": "NAS1054-6-8", "stack": "0.4", "protrusion": 0.07, "edition": "2026.1"},
    {"fastener": "10/32 any threaded-collar", "protrusion": "0.5"},
    {"fastener": "8/32 any lockbolt -5", "stack": "0.345"},
    {"fastener": "3/16 blind-bolt", "formed_diameter": ["0.24", 0.2], "collar": "flush", "stem": "0.02 above"},
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
    assert "None" not in text
    assert not re.search(r"airworth|\bapproved?\b|\blegal", text.casefold())


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_what_was_asked_asks_the_same_again(http, asked):
    answer = http.post("/v1/inspect", json=asked).get_json()
    assert http.post("/v1/inspect", json=answer["asked"]).get_json()["pieces"] == answer["pieces"]


@pytest.mark.parametrize(
    "asked", [*ASKED, {"fastener": "NAS1398B4-3"}, {"fastener": "NAS9301B04-3", "hole": 1}], ids=str
)
def test_both_clients_answer_alike(asked):
    here, there = (outcome(lambda client=client: client.inspect(**asked)) for client in (EMBEDDED, OVER_HTTP))
    assert here == there


@pytest.mark.parametrize(
    ("asked", "status", "field"),
    [
        ({"fastener": "NAS1398B4-3", "collar": "0.01"}, 422, "collar"),
        ({"fastener": "NAS1398B4-3", "stem": 0.01}, 422, "stem"),
        ({"fastener": "AN4-10A", "protrusion": "much"}, 422, "protrusion"),
        ({"fastener": "NAS1398B4-3"}, 404, "collar"),
        ({"fastener": "NAS1398B4-3", "length": "1/4"}, 404, "length"),
        ({"fastener": "AN4-10A", "collar": "flush"}, 404, "collar"),
        ({"fastener": "MS20470AD4-4", "stem": "flush"}, 404, "stem"),
        ({"fastener": "NAS1398B4", "stack": "0.15"}, 404, "stack"),
        ({"fastener": "NAS1398B4-3", "hole": "0.9"}, 404, "hole"),
        ({"fastener": "44", "stem": "flush"}, 404, "fastener"),
    ],
    ids=str,
)
def test_a_refusal_names_the_field(http, asked, status, field):
    refused(http.post("/v1/inspect", json=asked), status, field)


def test_a_file_of_many_kinds_is_inspected_row_by_row(http):
    file = (
        "place,fastener,stack,collar,protrusion\n"
        "rib 3,NAS1398B4-3,0.15,0.02 below,\n"
        "rib 4,NAS1398B4-3,0.2,0.03 above,\n"
        "rib 5,NAS1398B4-3,0.19,0.02 above,\n"
        "spar,AN4-10A,0.55,,0.05\n"
        "spar,MS20470AD4-4,0.08,flush,\n"
    )
    response = http.post("/v1/batch/inspect", data=file, content_type="text/csv", headers={"Accept": "text/csv"})
    good, out, near, bolt, solid = csv.DictReader(io.StringIO(response.get_data(as_text=True)))
    assert (good["verdict"], good["causes"], good["shank_left_in"]) == ("inside limits", "", "")
    assert (out["verdict"], out["causes"]) == ("outside limits: replace", "grip_too_short")
    # limits of TM 9-2320-363-34-2, page 22-21 and Table 7
    assert "collar 0.0300 in; limit at most 0.0200 in above or below the head (civil)" in out["outside"]
    assert "stack 0.2000 in; limit above 0.1250 up to 0.1875 in (civil)" in out["outside"]
    # no more than 0.005 over an end (common practice, no source): measured again, not replaced
    assert (near["verdict"], near["outside"], near["causes"]) == ("inside limits, some not judged", "", "")
    # one thread past the nut is enough for the one, not for the other (AC 43.13-1B 7-37; NAVEDTRA 14014)
    assert (bolt["civil_verdict"], bolt["military_verdict"]) == ("inside limits", "outside limits: replace")
    assert "collar" in solid["problem"]


def test_a_stack_just_over_the_grip_is_sent_to_be_measured_again(http):
    asked = {"fastener": "NAS1398B4-3", "stack": "0.19"}
    assert InspectAnswer().validate(http.post("/v1/inspect", json=asked).get_json()) == {}
    text = http.post("/v1/inspect?format=text", json=asked).get_data(as_text=True)
    flowing = " ".join(text.split())
    assert "OUTSIDE" not in text
    assert "at an end of it, measure again, clamped up" in flowing
    assert "the stack is within 0.0050 in of an end: measure what the fastener passes through" in flowing
    assert all(len(line) <= 80 for line in text.splitlines())


def test_the_text_tells_limits_causes_and_what_to_look_for(http):
    text = http.post("/v1/inspect?format=text", json=ASKED[0]).get_data(as_text=True)
    assert text.splitlines()[1].strip() == "OUTSIDE LIMITS: REPLACE"
    assert "NAS1398B4-3: 1/8 in (3.175 mm), protruding head, 5056" in text
    assert re.search(
        r"collar above head +0\.0250\n    civil     OUTSIDE   at most 0\.0200 in above or below the head\n", text
    )
    assert re.search(r"stem above head +-0\.0197\n    civil     no limit  none in the tables\n", text)
    assert "the grip number stands on the manufactured head" in text
    assert "Missing: stem." in text
    bolt = http.post("/v1/inspect?format=text", json=ASKED[3]).get_data(as_text=True)
    assert "WHAT CAUSED IT\n" in bolt
    assert "1: grip too short: a stack of 0.7000 in is over what -10 holds" in " ".join(bolt.split())
