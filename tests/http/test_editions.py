"""The list of editions over HTTP."""

from __future__ import annotations

import csv
import io

from tests.http.asking import refused

from bucktail_tables.load import load_edition


def test_the_editions_are_those_installed_with_their_digests(http):
    body = http.get("/v1/editions").get_json()
    default = load_edition()
    assert body["default"] == default.name
    entry = next(entry for entry in body["editions"] if entry["name"] == default.name)
    assert entry["default"] is True
    assert entry["sha256"] == default.sha256
    assert entry["status"] == default.status == "released"
    assert {"civil", "military"} <= set(entry["practices"])
    assert {table["name"]: table["rows"] for table in entry["tables"]} == {
        table.name: len(table) for table in default.tables.values()
    }
    assert sum(entry["basis"].values()) == sum(table["rows"] for table in entry["tables"])


def test_an_answer_names_the_digest_the_list_shows(http):
    editions = http.get("/v1/editions").get_json()["editions"]
    named = http.get("/v1/pick?diameter=1/8&alloy=AD&head=universal&stack=0.08").get_json()["edition"]
    assert named["sha256"] in [entry["sha256"] for entry in editions]


def test_csv_has_a_line_for_every_table(http):
    body = http.get("/v1/editions").get_json()
    response = http.get("/v1/editions?format=csv")
    assert response.content_type == "text/csv; charset=utf-8"
    rows = list(csv.DictReader(io.StringIO(response.get_data(as_text=True))))
    told = [(row["edition"], row["table"], int(row["rows"])) for row in rows]
    assert told == [(e["name"], t["name"], t["rows"]) for e in body["editions"] for t in e["tables"]]


def test_text_names_the_default(http):
    text = http.get("/v1/editions", headers={"Accept": "text/plain"}).get_data(as_text=True)
    assert "answers by default" in text


def test_the_list_is_asked_for_again_each_time_but_not_sent_again(http):
    first = http.get("/v1/editions")
    assert first.headers["Cache-Control"] == "no-cache"
    assert first.headers["Vary"] == "Accept"
    again = http.get("/v1/editions", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


def test_bad_requests_are_named(http):
    refused(http.get("/v1/editions?edition=2026.1"), 422, "edition")
    refused(http.get("/v1/editions?format=xml"), 422, "format")
    refused(http.get("/v1/editions", headers={"Accept": "image/png"}), 406, "Accept")
    refused(http.get("/v1/editions/"), 404, "path")
    refused(http.delete("/v1/editions"), 405, "method")
