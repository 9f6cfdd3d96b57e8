"""An answer asked in a superseded edition tells so in headers, its body as ever."""

from __future__ import annotations

from datetime import date

import pytest
from tests.http.asking import GOOD, get, post

from bucktail_service.app import create_app
from bucktail_service.config import Settings
from bucktail_tables import load
from bucktail_tables.load import superseded

PICK = {**GOOD, "edition": "2026.1"}
HEADERS = ("Deprecation", "Sunset", "Link")
DAY = "2027-03-01"
# RFC 9745 section 2.1: seconds since the epoch of the day's first moment, reckoned by hand: 20,878 days
SECONDS = 20878 * 86400


def index(**told):
    return {
        "default": "2026.2",
        "editions": [{"name": "2026.1", "status": "released", **told}, {"name": "2026.2", "status": "released"}],
    }


@pytest.fixture
def supersede(monkeypatch):
    """Make edition 2026.1 superseded by 2026.2, for the headers alone."""

    def make(**told):
        kept = load._index
        monkeypatch.setattr(load, "_index", lambda: index(**told))
        superseded.cache_clear()
        answer = superseded("2026.1")
        monkeypatch.setattr(load, "_index", kept)
        monkeypatch.setattr("bucktail_service.http.superseded.superseded", lambda _: answer)
        monkeypatch.setattr("bucktail_service.http.superseded.default_name", lambda: "2026.2")

    yield make
    superseded.cache_clear()


def headers_of(response):
    assert response.status_code in (200, 304), response.get_data(as_text=True)
    return {name: response.headers[name] for name in HEADERS if name in response.headers}


@pytest.mark.parametrize("form", ["json", "csv", "text"])
def test_a_pick_in_a_superseded_edition_names_the_day_and_its_successor(http, supersede, form):
    before = http.get("/v1/pick", query_string={**PICK, "format": form})
    supersede(superseded=DAY, sunset="2031-12-31")
    fresh = create_app(Settings(kept_bytes=0)).test_client()
    after = fresh.get("/v1/pick", query_string={**PICK, "format": form})
    link = "/v1/pick?diameter=1/8&alloy=AD&head=MS20470&stack=0.04%2B0.04&practice=civil&edition=2026.2"
    assert headers_of(after) == {
        "Deprecation": f"@{SECONDS}",
        "Sunset": "Wed, 31 Dec 2031 00:00:00 GMT",
        "Link": f'<{link}&format={form}>; rel="successor-version"',
    }
    assert after.data == before.data
    assert after.headers["ETag"] == before.headers["ETag"]


def test_without_a_sunset_none_is_told(supersede):
    supersede(superseded=DAY)
    fresh = create_app(Settings()).test_client()
    assert headers_of(fresh.get("/v1/parts/MS20470AD4-4?edition=2026.1")) == {
        "Deprecation": f"@{SECONDS}",
        "Link": '</v1/parts/MS20470AD4-4?edition=2026.2>; rel="successor-version"',
    }


def test_kept_answers_and_answers_not_sent_again_tell_it_too(supersede):
    supersede(superseded=DAY, sunset="2031-12-31")
    fresh = create_app(Settings()).test_client()
    first, second = (fresh.get("/v1/pick", query_string=PICK) for _ in range(2))
    assert len(headers_of(first)) == 3
    assert headers_of(second) == headers_of(first)
    condition = {"If-None-Match": first.headers["ETag"]}
    kept = fresh.get("/v1/pick", query_string=PICK, headers=condition)
    plain = create_app(Settings(kept_bytes=0)).test_client().get("/v1/pick", query_string=PICK, headers=condition)
    assert kept.status_code == plain.status_code == 304
    assert headers_of(kept) == headers_of(plain) == headers_of(first)


def test_a_question_in_a_body_tells_it_too(supersede):
    supersede(superseded=DAY)
    fresh = create_app(Settings()).test_client()
    assert "/v1/pick?" in headers_of(post(fresh, PICK))["Link"]
    couple = fresh.post("/v1/couple", json={"materials": "2117 + lead", "edition": "2026.1"})
    assert headers_of(couple)["Link"].endswith('; rel="successor-version"')


def test_a_citation_leads_to_the_citation_of_the_successor(supersede):
    supersede(superseded=DAY)
    fresh = create_app(Settings()).test_client()
    told = fresh.get("/v1/cite", query_string={"link": "/v1/parts/MS20470AD4-4?edition=2026.1"})
    link = "/v1/cite?link=/v1/parts/MS20470AD4-4%3Fedition%3D2026.2"
    assert headers_of(told)["Link"] == f'<{link}>; rel="successor-version"'


def test_an_answer_that_names_no_edition_and_what_is_about_editions_tell_nothing(supersede):
    supersede(superseded=DAY)
    fresh = create_app(Settings()).test_client()
    for response in (get(fresh), post(fresh, GOOD), fresh.get("/v1/editions/2026.1/changes/2026.1")):
        assert headers_of(response) == {}


def test_an_edition_that_nothing_superseded_tells_nothing(supersede):
    supersede()
    fresh = create_app(Settings()).test_client()
    assert headers_of(fresh.get("/v1/pick", query_string=PICK)) == {}


def test_the_index_says_since_when_and_until_when(monkeypatch):
    monkeypatch.setattr(load, "_index", lambda: index(superseded=DAY, sunset="2031-12-31"))
    superseded.cache_clear()
    try:
        assert superseded("2026.1") == (date(2027, 3, 1), date(2031, 12, 31))
        assert superseded("2026.2") is None
        assert superseded("a-house") is None
    finally:
        superseded.cache_clear()


def test_the_installed_editions_say_days_that_can_be_read():
    for name in load.packaged_names():
        told = superseded(name)
        assert (told is None) or told[1] is None or told[0] < told[1]
    assert superseded(load._index()["default"]) is None


def test_the_document_tells_the_headers(http):
    paths = http.get("/v1/openapi.json").get_json()["paths"]
    for path in ("/v1/pick", "/v1/parts/{number}", "/v1/cite"):
        assert set(paths[path]["get"]["responses"]["200"]["headers"]) == set(HEADERS)
