"""`GET /v1/cite`."""

from __future__ import annotations

import csv
import io
from urllib.parse import quote

import pytest
from tests.http.asking import get, refused
from tests.http.test_answer_schema import assert_whole

from bucktail_service.schemas.cite import CiteAnswer

PART = "/v1/parts/MS20470AD4-4"


def cite(http, link, **query):
    return http.get("/v1/cite", query_string={"link": link, **query})


def test_the_link_of_an_answer_cites_its_figures(http):
    picked = get(http).get_json()
    response = cite(http, picked["link"])
    assert response.status_code == 200
    told = response.get_json()
    assert_whole(CiteAnswer(), told)
    assert (told["title"], told["cited"]) == (picked["part_number"], picked["link"])
    assert response.headers["Cache-Control"] == "public, max-age=31536000, immutable"


def test_its_own_link_gives_the_same_bytes(http):
    told = cite(http, get(http).get_json()["link"])
    assert http.get(told.get_json()["link"]).data == told.data


def test_csv_and_text_show_the_same_figures(http):
    told = cite(http, PART).get_json()
    rows = list(csv.DictReader(io.StringIO(cite(http, PART, format="csv").get_data(as_text=True))))
    assert list(dict.fromkeys(row["figure"] for row in rows)) == list(
        dict.fromkeys(figure["figure"] for figure in told["figures"])
    )
    assert "SOURCES" in cite(http, PART, format="text").get_data(as_text=True)


def test_an_unpinned_link_is_asked_again_each_time_but_not_sent_again(http):
    first = cite(http, PART)
    assert first.headers["Cache-Control"] == "no-cache"
    again = http.get(f"/v1/cite?link={PART}", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


@pytest.mark.parametrize(
    "link",
    ["http://desk.example/v1/parts/A", "//desk.example/v1/parts/A", "/v1/editions", "/v1/cite?link=/v1/parts/A", "x"],
)
def test_only_paths_of_pick_and_part_answers_are_read(http, link):
    refused(cite(http, link), 422, "link")


def test_a_link_that_leads_to_no_answer_is_not_there(http):
    refused(cite(http, "/v1/pick?diameter=nan"), 404, "link")
    refused(cite(http, "/v1/parts/nonsense"), 404)
    refused(cite(http, f"{PART}?edition=1999.1"), 404, "edition")


def test_bad_requests_are_named(http):
    refused(http.get("/v1/cite"), 422, "link")
    refused(http.get(f"/v1/cite?link={PART}&link={PART}"), 422, "link")
    refused(http.get("/v1/cite?link=/v1/pick?diameter=1/8&alloy=AD"), 422, "alloy")  # an & that was not encoded
    refused(cite(http, PART, format="xml"), 422, "format")
    refused(http.get(f"/v1/cite?link={quote(PART)}", headers={"Accept": "image/png"}), 406, "Accept")
    refused(http.post("/v1/cite"), 405, "method")
