"""
The invented job of the seaplane Lapwing 2, walked by the terminal and over HTTP: both give the same answers.

Two of twelve rivets through the elevator's lead horn weight have corroded; the baggage-door frame has worn holes.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from bucktail.cli.main import app as command
from bucktail_service.app import create_app
from bucktail_service.config import Settings

HERE = Path(__file__).parent
HORN = {
    "installed": "MS20470AD5-9",
    "stack": "0.040 2024-T3 + 0.250 lead + 0.040 2024-T3",
    "hole": "0.166",
    "edge_distance": "0.45",
    "pitch": "0.75",
    "count": "12",
    "failed": "3, 4",
    "corroded": "2117 + lead",
    "environment": "seawater",
    "arm": "2.5",
    "arm_side": "forward",
    "record": "true",
}
DOOR = {
    "installed": "MS20470AD4-4",
    "stack": "0.032 2024-T3 + 0.040 2024-T3",
    "hole": "0.141",
    "edge_distance": "0.40",
    "pitch": "0.80",
    "count": "18",
    "failed": "7",
}
STEPS = [
    ("couple", {"materials": "2117 + lead", "environment": "seawater"}),
    ("rework", HORN),
    ("rework", DOOR),
    (
        "joint",
        {"diameter": "5/32", "alloy": "AD", "head": "universal", "stack": DOOR["stack"], "edge_distance": "0.40"},
    ),
    (
        "balance",
        {"removed": "2 x MS20470AD5-9", "installed": "2 x MS20470AD6-10", "arm": "2.5 forward", "stack": HORN["stack"]},
    ),
    ("inspect", {"fastener": "MS20470AD5-5", "formed_diameter": "0.232; 0.210", "formed_height": "0.080; 0.085"}),
]


@pytest.fixture(scope="module")
def http():
    return create_app(Settings()).test_client()


def by_terminal(question, fields):
    argument = {"rework": "installed", "inspect": "fastener"}.get(question)
    words = [question]
    for name, value in fields.items():
        if name == argument:
            words.append(value)
        elif name == "record":
            words.append("--record")
        else:
            words += [f"--{name.replace('_', '-')}", value]
    result = CliRunner().invoke(command, [*words, "--format", "json"])
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


@pytest.mark.parametrize(("question", "fields"), STEPS, ids=lambda step: step if isinstance(step, str) else "")
def test_terminal_and_http_answer_alike(http, question, fields):
    response = http.post(f"/v1/{question}", json=fields)
    assert response.status_code == 200, response.text
    assert response.json == by_terminal(question, fields)


def test_the_metals_of_the_horn_may_not_touch_anywhere(http):
    # MIL-STD-889C Table I as transcribed: aluminium-copper alloys against lead are incompatible in every column
    answer = http.post("/v1/couple", json={"materials": "2117 + lead"}).json
    (pair,) = answer["pairs"]
    assert [pair[place] for place in ("marine", "seawater", "industrial")] == [False, False, False]


def test_the_horn_keeps_its_rivets_and_parts_its_metals(http):
    answer = http.post("/v1/rework", json=HORN).json
    assert answer["recommended"] == "same-size"
    assert answer["row"]["within_limits"]
    lead = next(couple for couple in answer["couples"] if couple["second"] == "lead")
    assert lead["compatible"] is False
    assert lead["advice"]
    assert "lead" in {caution["code"] for caution in answer["cautions"]}
    assert any(line.startswith("Date completed: ___") for line in answer["record"])


def test_the_door_goes_to_the_next_size(http):
    # common practice, no source: the next size after 1/8 is 5/32
    answer = http.post("/v1/rework", json=DOOR).json
    assert answer["recommended"] == "next-size"
    best = next(option for option in answer["options"] if option["name"] == "next-size")
    assert best["part_number"].startswith("MS20470AD5-")


def test_the_order_of_the_job_reconciles():
    result = CliRunner().invoke(
        command,
        ["order", str(HERE / "order.csv"), "--stock", str(HERE / "stock.csv"), "--format", "json"],
    )
    assert result.exit_code == 5, "one line of the invented order is wrong on purpose"
    totals = json.loads(result.stdout)["totals"]
    assert totals["lines_in"] == totals["lines_accepted"] + totals["lines_rejected"]


def test_no_answer_says_more_than_it_may(http):
    for question, fields in STEPS:
        text = http.post(f"/v1/{question}?format=text", json=fields).text.casefold()
        for word in ("approved", "airworthy", "legal"):
            assert word not in text, f"{question}: {word}"
