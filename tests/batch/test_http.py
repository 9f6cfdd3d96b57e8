"""Batches over HTTP: streamed, of the type that was said, never larger than the limit."""

from __future__ import annotations

import io
import json

import pytest
from tests.batch.running import GOOD, HEADER, QUESTION, objects, run, table
from tests.http.asking import refused

from bucktail_service.app import create_app
from bucktail_service.config import Settings
from bucktail_service.http import batch as http_batch

SHEET = f"{HEADER},note\n{GOOD},x\n1/8,ZZ,universal,0.08,y\n{GOOD},z\n"
MEDIA = {"csv": "text/csv", "ndjson": "application/x-ndjson", "json": "application/json"}
BODIES = {"csv": SHEET, "ndjson": json.dumps(QUESTION), "json": json.dumps([QUESTION])}
PATH = "/v1/batch/pick"


def send(http, body=SHEET, content_type="text/csv", query="", **options):
    return http.post(PATH + query, data=body, content_type=content_type, **options)


@pytest.mark.parametrize("writes", MEDIA)
@pytest.mark.parametrize("reads", MEDIA)
def test_a_batch_over_http_is_the_batch_itself(http, reads, writes):
    response = send(http, BODIES[reads], MEDIA[reads], f"?format={writes}")
    assert response.status_code == 200
    assert response.mimetype == MEDIA[writes]
    assert response.data == run(BODIES[reads], reads, writes)
    assert response.headers["Cache-Control"] == "no-store"
    assert response.headers["Vary"] == "Accept"


def test_results_are_streamed_not_gathered(http):
    response = send(http, f"{HEADER}\n" + f"{GOOD}\n" * 3000)
    assert response.is_streamed
    assert "Content-Length" not in response.headers
    assert len(list(response.response)) > 5


def test_rows_are_the_answers_of_the_pick(http):
    results = objects(send(http, query="?format=ndjson").data, "ndjson")
    alone = http.post("/v1/pick", json=QUESTION)
    assert results[0]["answer"] == results[2]["answer"] == alone.get_json()
    problem = http.post("/v1/pick", json={**QUESTION, "alloy": "ZZ", "stack": "0.08"})
    assert results[1]["problem"] == problem.get_json()


def test_the_link_of_a_csv_row_opens_its_answer(http):
    (first, bad, last) = table(send(http).data)
    assert (first["note"], bad["note"], last["note"]) == ("x", "y", "z")
    assert bad["link"] == ""
    answer = http.get(first["link"]).get_json()
    assert answer["part_number"] == first["part_number"] == "MS20470AD4-4"


@pytest.mark.parametrize(
    ("accept", "mimetype"),
    [("", "text/csv"), ("*/*", "text/csv"), ("application/json", "application/json"), ("text/*", "text/csv")],
)
def test_accept_chooses_and_the_format_of_the_body_goes_first(http, accept, mimetype):
    assert send(http, headers={"Accept": accept}).mimetype == mimetype


@pytest.mark.parametrize(
    "content_type", ["text/csv; charset=utf-8", 'text/csv; charset="UTF-8"', "TEXT/CSV", "text/csv;header=present"]
)
def test_csv_in_utf8_is_read_however_its_type_is_written(http, content_type):
    assert send(http, content_type=content_type).data == run(SHEET)


@pytest.mark.parametrize(
    "content_type",
    [
        None,
        "text/plain",
        "text/csv; charset=latin-1",
        "text/csv; charset=utf-16",
        "multipart/form-data",
        "application/xml",
    ],
)
def test_another_type_or_encoding_is_415(http, content_type):
    refused(send(http, content_type=content_type), 415, "Content-Type")


def test_a_format_that_is_not_offered_is_refused(http):
    refused(send(http, headers={"Accept": "text/plain"}), 406, "Accept")
    refused(send(http, query="?format=text"), 422, "format")
    refused(send(http, query="?format=csv&format=csv"), 422, "format")
    refused(send(http, query="?colour=red"), 422, "colour")


@pytest.mark.parametrize("question", ["part", "order", "PICK", "pick.csv", "x" * 3000])
def test_a_question_that_is_none_is_404(http, question):
    refused(http.post(f"/v1/batch/{question}", data=SHEET, content_type="text/csv"), 404, "path")


@pytest.mark.parametrize("path", ["/v1/batch", "/v1/batch/", "/v1/batch/pick/"])
def test_no_question_is_no_page(http, path):
    refused(http.post(path, data=SHEET, content_type="text/csv"), 404, "path")


def test_reading_a_batch_is_405(http):
    response = http.get(PATH)
    refused(response, 405, "method")
    assert "POST" in response.headers["Allow"].split(", ")


@pytest.mark.parametrize(
    ("body", "content_type", "field"),
    [
        (b"", "text/csv", "file"),
        (b"a;b;c\n", "text/csv", "header"),
        (f"{HEADER},stack_tolerence\n".encode(), "text/csv", "stack_tolerence"),
        (b"", "application/json", "file"),
        (b"{}", "application/json", "file"),
        (b"[\xff]", "application/json", "file"),
        (b"[NaN]", "application/json", "file"),
        (b"[" * 5000, "application/json", "file"),
        (b" \n ", "application/x-ndjson", "file"),
    ],
)
def test_a_file_that_is_none_is_422_before_any_row(http, body, content_type, field):
    refused(send(http, body, content_type), 422, field)


@pytest.mark.parametrize("header", [b"diameter,alloy,head,st\xffack\n", HEADER.encode() + b",\xff,\xff\n"])
def test_a_header_that_is_not_utf8_is_refused_with_words(http, header):
    refused(send(http, header), 422)


def test_a_header_that_is_not_utf8_is_carried(http):
    assert send(http, HEADER.encode() + b",\xff\n" + GOOD.encode() + b",\xfe\n").data.startswith(
        HEADER.encode() + b",\xff,row,"
    )


@pytest.mark.parametrize("body", [b'[{"note": "\\ud800"}]', b'[{"st\\ud800ack": 1}]'])
def test_half_a_surrogate_pair_does_not_break_the_answer_off(http, body):
    objects(send(http, body, "application/json").data, "json")


# size


def small(limit=1000):
    return create_app(Settings(max_body=10, max_batch_body=limit)).test_client()


def chunked(http, body):
    environ = {"wsgi.input": io.BytesIO(body), "wsgi.input_terminated": True}
    return send(http, b"", environ_overrides=environ, headers={"Transfer-Encoding": "chunked"})


@pytest.mark.parametrize("way", [send, chunked])
def test_a_body_under_the_limit_is_read_and_one_over_it_is_413(way):
    body = SHEET.encode()
    assert way(small(), body.ljust(998) + b"\n").status_code == 200
    refused(way(small(), body.ljust(1000) + b"\n"), 413, "body")
    refused(way(small(), body + b"x" * 500_000), 413, "body")


@pytest.mark.parametrize(
    "way",
    [send, chunked],
)
def test_a_body_of_just_the_limit_is_read(way):
    assert way(small(), SHEET.encode().ljust(999) + b"\n").status_code == 200


def test_the_limit_of_single_questions_does_not_bound_a_batch():
    assert send(small(100_000), SHEET).status_code == 200


def test_a_large_body_goes_to_a_file_that_is_closed_with_the_answer(http, monkeypatch):
    made = []
    maker = http_batch.SpooledTemporaryFile
    monkeypatch.setattr(http_batch, "SpooledTemporaryFile", lambda **options: made.append(maker(**options)) or made[-1])
    monkeypatch.setattr(http_batch, "_SPOOL_IN_MEMORY", 100)
    with send(http, f"{HEADER}\n" + f"{GOOD}\n" * 3000) as response:
        assert response.data.count(b"\n") == 3001
    refused(send(http, b""), 422, "file")
    refused(send(small(), b"x" * 2000), 413)
    assert len(made) >= 2
    assert all(spool.closed for spool in made)


def test_a_reader_who_leaves_early_closes_the_file(http, monkeypatch):
    made = []
    maker = http_batch.SpooledTemporaryFile
    monkeypatch.setattr(http_batch, "SpooledTemporaryFile", lambda **options: made.append(maker(**options)) or made[-1])
    response = send(http, f"{HEADER}\n" + f"{GOOD}\n" * 3000)
    next(iter(response.response))
    response.close()
    assert made[0].closed
