"""`GET` and `POST /v1/editions/{name}/changes/{other}`."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest
from tests.engine.moving import BEFORE, edited
from tests.http.asking import GOOD, refused
from tests.http.test_answer_schema import assert_whole

from bucktail_service.app import create_app
from bucktail_service.asking import changes
from bucktail_service.asking.editions import named_edition
from bucktail_service.batch.past import MOST_ROWS
from bucktail_service.config import Settings
from bucktail_service.schemas.changes import ChangesAnswer, MovesAnswer

SAME = "/v1/editions/2026.1/changes/2026.1"
OTHER = "/v1/editions/2026.1/changes/other"
SHEAR = ("AD", "driven", "1/8")
HEADER = "job,diameter,alloy,head,stack,edition"
QUESTIONS = f"{HEADER}\n7,1/8,AD,universal,0.040+0.040,1999.1\n8,1/8,AD,universal,nan,\n"


@pytest.fixture
def other(monkeypatch):
    """An edition named other, whose driven 1/8 AD rivet carries 400 lbf and whose 3/32 one has no row."""
    made = edited("shear", drop=[("AD", "driven", "3/32")], put=[(SHEAR, "single_shear_lbf", "400")])
    monkeypatch.setattr(changes, "named_edition", lambda name: made if name == "other" else named_edition(name))
    monkeypatch.setattr("bucktail_service.http.changes.load_edition", lambda _: BEFORE)
    monkeypatch.setattr("bucktail_service.http.answers.load_edition", lambda _: BEFORE)
    return made


def post(http, body, path=SAME, content_type="text/csv", **query):
    return http.post(path, data=body, content_type=content_type, query_string=query)


@pytest.mark.usefixtures("other")
def test_what_differs_is_told_in_json_csv_and_text(http):
    told = http.get(OTHER).get_json()
    assert_whole(ChangesAnswer(), told)
    assert told["counts"] == {"tables": 1, "added": 0, "removed": 1, "changed": 1, "cells": 1}
    rows = list(csv.DictReader(io.StringIO(http.get(f"{OTHER}?format=csv").get_data(as_text=True))))
    (changed,) = [row for row in rows if row["state"] == "changed"]
    assert (changed["table"], changed["row"], changed["column"]) == ("shear", "AD/driven/1/8", "single_shear_lbf")
    assert (changed["before"], changed["after"]) == ("388", "400")
    assert changed["basis_before"] == changed["basis_after"] == "second-hand"
    assert {row["row"] for row in rows if row["state"] == "removed"} == {"AD/driven/3/32"}
    text = http.get(f"{OTHER}?format=text").get_data(as_text=True)
    assert "single_shear_lbf: 388 -> 400" in text
    assert max(map(len, text.splitlines())) <= 80


def test_an_edition_does_not_differ_from_itself(http):
    response = http.get(SAME)
    assert response.get_json()["tables"] == []
    assert response.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert http.get("/v1/editions/default/changes/2026.1").headers["Cache-Control"] == "no-cache"
    assert "no row differs" in http.get(f"{SAME}?format=text").get_data(as_text=True)
    assert len(http.get(f"{SAME}?format=csv").data.splitlines()) == 1


def test_every_two_installed_editions_are_told_apart_in_the_documented_shape(http):
    names = [edition["name"] for edition in http.get("/v1/editions").get_json()["editions"]]
    for name in names:
        for after in names:
            path = f"/v1/editions/{name}/changes/{after}"
            told = http.get(path).get_json()
            assert_whole(ChangesAnswer(), told)
            assert bool(told["tables"]) == (name != after)
            assert max(map(len, http.get(f"{path}?format=text").get_data(as_text=True).splitlines())) <= 80


@pytest.mark.usefixtures("other")
def test_moves_are_told_in_json_csv_and_text(http):
    response = post(http, QUESTIONS, OTHER)
    told = response.get_json()
    assert_whole(MovesAnswer(), told)
    assert response.headers["Cache-Control"] == "no-cache"
    first, second = told["moves"]
    assert (first["row"], first["outcome"], first["carried"]) == (1, "figures", {"job": "7"})
    assert first["question"] == GOOD  # the edition it was once asked in counts for nothing
    assert first["figures"] == [{"column": "single_shear_lbf", "before": 388, "after": 400, "by": 12}]
    assert [cause["row"] for cause in first["why"]] == [list(SHEAR)]
    assert second["outcome"] == "unanswered"
    rows = list(csv.DictReader(io.StringIO(post(http, QUESTIONS, OTHER, format="csv").get_data(as_text=True))))
    assert [(row["row"], row["column"], row["by"]) for row in rows] == [
        ("1", "single_shear_lbf", "12.0"),
        ("2", "", ""),
    ]
    assert json.loads(rows[0]["carried"]) == {"job": "7"}
    text = post(http, QUESTIONS, OTHER, format="text").get_data(as_text=True)
    assert "388.0 -> 400.0  (+12.0)" in text or "388 -> 400  (+12.0)" in text


def test_ndjson_is_read_as_csv_is(http):
    lines = "".join(json.dumps({"job": "7", **GOOD, "edition": "1999.1"}) + "\n" for _ in range(2))
    told = post(http, lines, content_type="application/x-ndjson").get_json()
    assert [entry["outcome"] for entry in told["moves"]] == ["same", "same"]
    assert told["moves"][0]["carried"] == {"job": "7"}


@pytest.mark.parametrize("line", ['{"job": "\\ud800", "stak": "1"}', "[1]", "nonsense", '{"\\ud800x": {"a": [1]}}'])
@pytest.mark.parametrize("form", ["json", "csv", "text"])
def test_a_bad_line_is_a_problem_in_its_place(http, line, form):
    response = post(http, f"{line}\n{json.dumps(GOOD)}\n", content_type="application/x-ndjson", format=form)
    assert response.status_code == 200
    if form == "json":
        assert [entry["outcome"] for entry in response.get_json()["moves"]] == ["unanswered", "same"]


def test_a_file_of_no_questions_moves_nothing(http):
    told = post(http, "diameter,alloy,head,stack\n").get_json()
    assert told["summary"]["questions"] == 0
    told = post(http, "diameter,alloy,head,stack\n", format="text").get_data(as_text=True)
    assert "0 questions asked as pick: none" in told


def test_more_rows_than_are_asked_in_one_go_are_too_many(http):
    row = "1/8,AD,universal,0.08\n"
    assert post(http, f"diameter,alloy,head,stack\n{row * MOST_ROWS}").status_code == 200
    refused(post(http, f"diameter,alloy,head,stack\n{row * (MOST_ROWS + 1)}"), 413, "file")


def test_a_body_beyond_the_limit_of_a_batch_is_too_large():
    small = create_app(Settings(max_batch_body=50)).test_client()
    refused(post(small, QUESTIONS), 413, "body")


def test_bad_requests_are_named(http):
    refused(http.get("/v1/editions/1999.1/changes/2026.1"), 404, "edition")
    refused(http.get("/v1/editions/2026.1/changes/1999.1"), 404, "edition")
    refused(http.get("/v1/editions/2026.1/changes/..%20"), 404, "edition")
    refused(http.get("/v1/editions/2026.1/changes/"), 404, "path")
    refused(http.get(f"{SAME}?edition=2026.1"), 422, "edition")
    refused(http.get(f"{SAME}?format=xml"), 422, "format")
    refused(http.get(SAME, headers={"Accept": "image/png"}), 406, "Accept")
    refused(post(http, QUESTIONS, "/v1/editions/2026.1/changes/1999.1"), 404, "edition")
    refused(post(http, b""), 422, "file")
    refused(post(http, "diameter,alloy\n"), 422, "head")
    refused(post(http, "{}", content_type="application/json"), 415, "Content-Type")
    refused(post(http, QUESTIONS, content_type="text/csv; charset=latin-1"), 415, "Content-Type")
    refused(http.put(SAME), 405, "method")


def test_of_two_editions_the_one_that_may_change_sooner_says_how_long_an_answer_is_kept(http, monkeypatch):
    draft = replace(BEFORE, name="draft", status="draft")
    house = replace(BEFORE, name="house", status="house", extends=BEFORE)
    made = {"2026.1": BEFORE, "draft": draft, "house": house}
    for name in ("http.changes.load_edition", "http.answers.load_edition", "asking.changes.named_edition"):
        monkeypatch.setattr(f"bucktail_service.{name}", lambda name: made[name])
    kept = [
        http.get(f"/v1/editions/{before}/changes/{after}").headers["Cache-Control"]
        for before, after in (("2026.1", "2026.1"), ("2026.1", "draft"), ("draft", "house"))
    ]
    assert kept == ["public, max-age=31536000, immutable", "public, max-age=300, immutable", "no-cache"]
