"""Citations, changes and moves are the same in-process and over HTTP, by link too."""

from __future__ import annotations

import io
import json

import pytest
from tests.client.test_agreement import BOTH, QUESTION, csv_of, outcome

from bucktail.errors import BadQuestion, NotTabulated, RequestRefused, UnknownEdition
from bucktail_service.batch.past import MOST_ROWS

PART = "/v1/parts/MS20470AD4-4"
HEADER = b"diameter,alloy,head,stack\n"
ROW = b"1/8,AD,universal,0.08\n"


def alike(ask):
    """Return what both clients say, made sure that it is the same."""
    here, there = (outcome(lambda client=client: ask(client)) for client in BOTH)
    assert here == there
    return here


LINKS = [
    *(PART, f"{PART}?edition=2026.1", "/v1/pick?diameter=1/8&alloy=AD&head=universal&stack=0.040%2B0.040"),
    *("/v1/pick?stack=nan", "/v1/parts/nonsense", f"{PART}?edition=1999.1", f"{PART}?colour=red", "", "x", "/v1/pick"),
    *(
        "http://desk.example/v1/parts/A",
        "/v1/parts/\u0661",
        "/v1/parts/\ud800",
        "/v1/parts/a&b#c",
        "/v1/parts/" + "x" * 3000,
    ),
]


@pytest.mark.parametrize("link", LINKS, ids=lambda link: ascii(link)[:40])
def test_a_link_is_cited_alike(link):
    alike(lambda client: client.cite(link))


@pytest.mark.parametrize("client", BOTH, ids=["embedded", "http"])
def test_citations_and_changes_can_be_followed(client):
    cited = client.cite(client.pick(**QUESTION)["link"])
    assert client.follow(cited["link"]) == cited
    changed = client.changes("2026.1", "2026.1")
    assert client.follow(changed["link"]) == changed
    with pytest.raises(BadQuestion):
        client.cite("nonsense")
    with pytest.raises(NotTabulated):
        client.cite("/v1/parts/nonsense")


@pytest.mark.parametrize("other", ["2026.1", "default", "1999.1", "a b", "x" * 200, "", ".", "..", "a/b", "a?b#c", "é"])
def test_editions_are_told_apart_alike(other):
    for names in (("2026.1", other), (other, "2026.1")):
        alike(lambda client, names=names: client.changes(*names))
        alike(lambda client, names=names: client.changes(*names, io.BytesIO(csv_of(QUESTION))))


@pytest.mark.parametrize(
    "body",
    [
        b"",
        HEADER,
        HEADER + ROW * 3,
        b"diameter;alloy\n",
        b"diameter,alloy\n1/8,AD\n",
        HEADER + b"1/8,AD\n\xff,\x00,,\n",
    ],
    ids=lambda body: ascii(body)[:30],
)
def test_past_questions_move_alike(body):
    alike(lambda client: client.changes("2026.1", "default", io.BytesIO(body)))


def test_past_questions_in_ndjson_move_alike():
    lines = [
        QUESTION,
        {**QUESTION, "job": {"number": 7}},
        {**QUESTION, "stack": None},
        {"stak": 1},
        {"\ud800": "\udc00"},
    ]
    body = "".join(json.dumps(line) + "\n" for line in lines).encode() + b"nonsense\n[]\n"
    told = alike(
        lambda client: client.changes("2026.1", "2026.1", io.BytesIO(body), content_type="application/x-ndjson")
    )
    assert [move["outcome"] for move in told["moves"]] == ["same"] * 2 + ["unanswered"] * 5
    assert told["moves"][1]["carried"] == {"job": {"number": 7}}


def test_too_many_rows_are_refused_alike():
    kind, problem = alike(lambda client: client.changes("2026.1", "2026.1", io.BytesIO(HEADER + ROW * (MOST_ROWS + 1))))
    assert kind is RequestRefused
    assert problem["status"] == 413


@pytest.mark.parametrize("client", BOTH, ids=["embedded", "http"])
def test_a_file_of_another_type_and_an_unknown_edition_are_refused(client):
    with pytest.raises(RequestRefused):
        client.changes("2026.1", "2026.1", io.BytesIO(b"[]"), content_type="application/json")
    with pytest.raises(UnknownEdition):
        client.changes("2026.1", "1999.1")
