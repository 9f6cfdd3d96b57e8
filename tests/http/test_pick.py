"""Asking for a rivet over HTTP: both methods, every format, caching, and links that replay."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from tests.conftest import published
from tests.http.asking import GOOD, get, post, questions, refused

from bucktail_service.app import create_app
from bucktail_service.asking.pick import COLUMNS
from bucktail_service.config import Settings
from bucktail_tables.load import load_edition

quick = settings(
    max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], derandomize=True
)
Q = "/v1/pick?diameter=1/8&alloy=AD&head=universal&stack="


def as_cell(value):
    if isinstance(value, list):
        return " ".join(value)
    return "" if value is None else value if isinstance(value, str) else json.dumps(value)


def figure(answer, path):
    for name in path.split("."):
        answer = answer[name]
    return answer


@pytest.mark.parametrize(
    "case",
    published("worked_examples.csv"),
    ids=lambda c: f"{c['diameter']} {c['stack']} {c['practice']} {c['figure']}",
)
def test_worked_examples_are_answered_over_http(http, case):
    asked = {name: case[name] for name in ("diameter", "alloy", "head", "stack", "practice")}
    told = figure(get(http, **asked).get_json(), case["figure"])
    assert str(told) == case["printed"] or float(told) == pytest.approx(float(case["printed"]), abs=5e-5)


@quick
@given(asked=questions())
def test_get_and_post_answer_with_the_same_bytes(http, asked):
    for form in ("json", "csv", "text"):
        by_get = http.get("/v1/pick", query_string={**asked, "format": form})
        by_post = http.post(f"/v1/pick?format={form}", json=asked)
        assert by_get.data == by_post.data
        assert by_get.status_code == by_post.status_code
        assert by_get.content_type == by_post.content_type


@quick
@given(asked=questions())
def test_the_link_replays_the_answer_byte_for_byte(http, asked):
    first = http.get("/v1/pick", query_string=asked)
    if first.status_code == 404:
        assert first.get_json()["type"].rpartition(":")[2] in ("not-tabulated", "outside-table")
        return
    assert first.status_code == 200
    link = first.get_json()["link"]
    assert f"edition={asked.get('edition', load_edition().name)}" in link
    assert link.isascii()
    for form in ("json", "csv", "text"):
        again = http.get(f"{link}&format={form}")
        assert again.status_code == 200, link
        assert again.data == http.get("/v1/pick", query_string={**asked, "format": form}).data


@quick
@given(asked=questions())
def test_csv_shows_the_figures_of_the_json_answer(http, asked):
    answer = http.get("/v1/pick", query_string=asked)
    if answer.status_code == 404:
        return
    reply = http.get("/v1/pick", query_string={**asked, "format": "csv"})
    header, row, *more = csv.reader(io.StringIO(reply.get_data(as_text=True), newline=""), strict=True)
    assert more == []
    assert header == list(COLUMNS)
    cells = dict(zip(header, row, strict=True))
    body = answer.get_json()
    for block in ("length", "hole", "spacing", "strength", "mass"):
        for name, value in body[block].items():
            if name in cells:
                assert cells[name] == as_cell(value), name
    for name, value in body["formed_head"].items():
        if f"formed_{name}" in cells:
            assert cells[f"formed_{name}"] == as_cell(value), name
    assert cells["drill"] == body["hole"]["final"]["drill"]
    assert cells["part_number"] == body["part_number"]
    assert cells["cautions"].split() == [caution["code"] for caution in body["cautions"]]
    assert cells["link"] == body["link"]


def test_layers_of_a_long_list_can_be_replayed_by_the_link(http):
    layer = {"thickness": 0.0123456, "material": "antimonial lead"}
    first = post(http, {**GOOD, "stack": [layer] * 20})
    assert first.status_code == 200
    assert http.get(first.get_json()["link"]).data == first.data


@pytest.mark.parametrize(("stack", "same_as"), [(0.08, "0.08"), ([0.04, 0.04], "0.04+0.04"), (["1/16"], "1/16")])
def test_numbers_and_lists_are_the_same_stack_as_text(http, stack, same_as):
    assert post(http, {**GOOD, "stack": stack}).data == get(http, stack=same_as).data


# format


def test_the_format_is_json_when_nothing_is_asked_for(http):
    assert get(http).content_type == "application/json"
    assert get(http).get_json()["part_number"] == "MS20470AD4-4"


@pytest.mark.parametrize(
    ("form", "media", "first"),
    [
        ("json", "application/json", "{"),
        ("csv", "text/csv; charset=utf-8", "part_number,"),
        ("text", "text/plain; charset=utf-8", "==="),
    ],
)
def test_the_query_names_the_format_before_accept_does(http, form, media, first):
    response = get(http, headers={"Accept": "image/png"}, format=form)
    assert response.content_type == media
    assert response.get_data(as_text=True).startswith(first)


@pytest.mark.parametrize(
    ("accept", "media"),
    [
        ("", "application/json"),
        ("*/*", "application/json"),
        ("text/html, application/xhtml+xml, */*;q=0.8", "application/json"),
        ("application/*", "application/json"),
        ("APPLICATION/JSON", "application/json"),
        ("text/csv", "text/csv"),
        ("text/plain", "text/plain"),
        ("application/json;q=0.1, text/csv;q=0.9", "text/csv"),
        ("text/csv;q=0.2, text/plain;q=0.8, application/json;q=0.5", "text/plain"),
        ("text/plain;q=0.001", "text/plain"),
        ("application/json;q=0, text/csv;q=0.1", "text/csv"),
    ],
)
def test_accept_chooses_the_format_by_its_weights(http, accept, media):
    assert get(http, headers={"Accept": accept}).mimetype == media


@pytest.mark.parametrize("accept", ["application/json; charset=utf-8", "text/csv; header=present"])
def test_a_parameter_on_an_accepted_type_does_not_matter(http, accept):
    assert get(http, headers={"Accept": accept}).mimetype == accept.partition(";")[0]


@pytest.mark.parametrize("accept", ["image/png", "application/json;q=0", "text/html", "nonsense"])
def test_a_format_that_is_not_offered_is_406(http, accept):
    problem = refused(get(http, headers={"Accept": accept}), 406, "Accept")
    assert "text/csv" in problem["errors"][0]["example"]


def test_a_format_that_is_unknown_in_the_query_is_422(http):
    refused(get(http, format="xml"), 422, "format")
    refused(get(http, format=""), 422, "format")


def test_a_problem_stays_a_problem_whatever_format_was_asked_for(http):
    refused(get(http, stack="nan", format="csv"), 422, "stack")
    refused(get(http, headers={"Accept": "text/plain"}, stack="nan"), 422, "stack")


# a plus in a query is a space


@pytest.mark.parametrize(
    ("raw", "meant"),
    [
        ("0.040+0.040", "0.040+0.040"),
        ("0.032+0.040+2.5mm", "0.032+0.040+2.5mm"),
        (".032+1/16", ".032+1/16"),
        ("0.04in+0.04in", "0.04in+0.04in"),
    ],
)
def test_a_forgotten_escape_between_plain_lengths_still_means_layers(http, raw, meant):
    assert http.get(Q + raw).data == get(http, stack=meant).data


def test_a_whole_and_a_fraction_stay_one_length(http):
    for query in ("1 1/8", "1+1/8", "1%201/8"):
        stack = http.get(Q + query).get_json()["stack"]
        assert stack["total_in"] == 1.125
        assert len(stack["layers"]) == 1


@pytest.mark.parametrize("raw", ["0.04 in+0.04 in", "2.5 mm+0.04", "0.032 2024-T3+0.125 lead"])
def test_a_forgotten_escape_never_loses_a_layer(http, raw):
    assert_whole_or_refused(http.get(Q + raw), http, raw)


@pytest.mark.parametrize("raw", ["0.032 alclad+0.040 lead", "0.5 lead+0.040"])
def test_a_forgotten_escape_after_a_material_never_loses_a_layer(http, raw):
    assert_whole_or_refused(http.get(Q + raw), http, raw)


def assert_whole_or_refused(answered, http, raw):
    if answered.status_code == 200:
        assert answered.data == get(http, stack=raw).data
    else:
        refused(answered, 422, "stack")


@pytest.mark.parametrize("stack", ["0.04 in 0.04", "1/8 in in", "0.04 mm mm", "0.04 inch", "5 mm 3"])
def test_a_unit_is_no_material(http, stack):
    refused(post(http, {**GOOD, "stack": stack}), 422, "stack")


@pytest.mark.parametrize("stack", ["0.032 lead 0.040", "0.032 lead 1"])
def test_a_number_is_no_word_of_a_material(http, stack):
    refused(post(http, {**GOOD, "stack": stack}), 422, "stack")


# validators and caching


def test_an_answer_carries_validator_caching_and_vary(http):
    response = get(http)
    assert response.headers["ETag"].startswith('"')
    assert response.headers["Vary"] == "Accept"
    assert response.headers["Cache-Control"] == "no-cache"


def test_a_released_edition_pinned_is_kept_for_a_year(http):
    assert get(http, edition="2026.1").headers["Cache-Control"] == "public, max-age=31536000, immutable"


def test_a_draft_pinned_is_kept_for_minutes_not_for_ever(http, monkeypatch):
    draft = replace(load_edition("2026.1"), status="draft")
    monkeypatch.setattr("bucktail_service.http.answers.load_edition", lambda _: draft)
    # a stack no other test asks for: answers are kept
    asked = get(http, edition="2026.1", stack="0.07771")
    assert asked.headers["Cache-Control"] == "public, max-age=300, immutable"


def test_formats_have_validators_of_their_own(http):
    tags = [get(http, format=form).headers["ETag"] for form in ("json", "csv", "text")]
    assert len(set(tags)) == 3


@pytest.mark.parametrize("condition", ["{}", "W/{}", '"other", {}', '{}, "other"', "*", '"other", W/{}'])
@pytest.mark.parametrize("edition", [None, "2026.1"])
def test_a_reader_that_has_the_answer_gets_304(http, condition, edition):
    first = get(http, edition=edition)
    again = get(http, edition=edition, headers={"If-None-Match": condition.format(first.headers["ETag"])})
    assert again.status_code == 304
    assert again.data == b""
    assert "Content-Type" not in again.headers
    for name in ("ETag", "Cache-Control", "Vary"):
        assert again.headers[name] == first.headers[name]


def test_a_reader_with_another_answer_gets_the_whole_one(http):
    first = get(http)
    for condition in ('"other"', "", first.headers["ETag"].strip('"')[:-1]):
        again = get(http, headers={"If-None-Match": condition})
        assert (again.status_code, again.data) == (200, first.data)


def test_head_tells_the_headers_of_get_and_no_body(http):
    by_get = get(http)
    by_head = http.head("/v1/pick", query_string=GOOD)
    assert by_head.status_code == 200
    assert by_head.data == b""
    for name in ("Content-Type", "Content-Length", "ETag", "Cache-Control", "Vary"):
        assert by_head.headers[name] == by_get.headers[name]


# bad lengths

BAD_LENGTHS = [
    "nan",
    "inf",
    "-inf",
    "1,5",
    "5/0",
    "-0.04",
    "--",
    "9" * 400,
    "x" * 5000,
    "\u0661/\u0668",
    "\uff11/\uff18",
    "\u00bd",
    "",
    " ",
    "null",
    "1e-1",
    "0x1",
    "0.04\n",
    "0.0\x004",
    "5 mm 3",
    "#30 in",
]


@pytest.mark.parametrize("text", BAD_LENGTHS, ids=lambda text: ascii(text[:12]))
@pytest.mark.parametrize("field", ["diameter", "stack", "stack_tolerance", "hole"])
def test_what_is_no_length_is_422_and_named(http, field, text):
    by_get = get(http, **{field: text})
    by_post = post(http, {**GOOD, field: text})
    problem = refused(by_get, 422, field)
    assert problem["type"].endswith((":bad-length", ":bad-question"))
    assert by_post.data == by_get.data


@pytest.mark.parametrize("value", [None, True, False, {}, {"a": 1}, [[0.04]], [None], [], -0.04, 1e308, 10**400])
@pytest.mark.parametrize("field", ["diameter", "stack", "stack_tolerance", "hole"])
def test_a_json_value_that_is_no_length_is_422_and_named(http, field, value):
    refused(post(http, {**GOOD, field: value}), 422, field)


@pytest.mark.parametrize("value", [None, True, 5, {}, [], "", "\ud800", "A" * 5000])
@pytest.mark.parametrize("field", ["alloy", "head", "family", "practice", "edition"])
def test_a_json_value_that_is_no_name_is_422_and_named(http, field, value):
    refused(post(http, {**GOOD, field: value}), 422, field)


@pytest.mark.parametrize(
    "layer",
    [
        {"material": "lead"},
        {"thickness": None},
        {"thickness": "0.04", "colour": "red"},
        {"thickness": "0.04", "material": 5},
        {"thickness": "0.04", "material": ""},
        {"thickness": "0.04", "material": "x" * 400},
        "0.04+0.04",
        True,
    ],
)
def test_a_layer_that_is_none_is_422(http, layer):
    refused(post(http, {**GOOD, "stack": [layer]}), 422, "stack")


def test_twenty_one_layers_are_too_many(http):
    refused(post(http, {**GOOD, "stack": [0.01] * 21}), 422, "stack")
    refused(get(http, stack="+".join(["0.01"] * 21)), 422, "stack")


def test_every_field_that_is_wrong_is_named_at_once(http):
    problem = refused(get(http, diameter="nan", alloy="zz", head=None, stack="--", colour="red"), 422)
    assert {error["field"] for error in problem["errors"]} == {"diameter", "alloy", "head", "stack", "colour"}


# what the tables do not have


@pytest.mark.parametrize(
    ("changes", "status", "field", "kind"),
    [
        ({"alloy": "ZZ"}, 422, "alloy", "bad-question"),
        ({"head": "mushroom"}, 422, "head", "bad-question"),
        ({"family": "nail"}, 422, "family", "bad-question"),
        ({"practice": "naval"}, 422, "practice", "bad-question"),
        ({"edition": ".."}, 422, "edition", "bad-question"),
        ({"colour": "red"}, 422, "colour", "bad-question"),
        ({"alloy": "C"}, 404, "alloy", "not-tabulated"),
        ({"family": "blind", "alloy": "DD"}, 404, "alloy", "not-tabulated"),
        ({"family": "bolt"}, 404, "head", "not-tabulated"),
        ({"family": "pin"}, 404, "alloy", "not-tabulated"),
        ({"head": "protruding"}, 404, "family", "not-tabulated"),
        ({"head": "AN4", "family": "pin"}, 404, "family", "not-tabulated"),
        ({"alloy": "any"}, 404, "alloy", "not-tabulated"),
        ({"nut": "AN310"}, 404, "nut", "not-tabulated"),
        ({"stack": "gauge 3"}, 404, "stack", "not-tabulated"),
        ({"edition": "1999.1"}, 404, "edition", "unknown-edition"),
        ({"diameter": "0.126"}, 404, "diameter", "not-tabulated"),
        ({"diameter": "4"}, 404, "diameter", "not-tabulated"),
        ({"stack": "5"}, 404, "stack", "outside-table"),
        ({"stack": "0"}, 404, "stack", "outside-table"),
        ({"stack": "0+0"}, 404, "stack", "outside-table"),
        ({"stack_tolerance": "0.1"}, 404, "stack", "outside-table"),
        ({"stack_tolerance": "0.08"}, 404, "stack", "outside-table"),
        ({"hole": "#99"}, 404, "hole", "not-tabulated"),
        ({"hole": "1"}, 404, "hole", "outside-table"),
        ({"hole": "#80"}, 404, "hole", "outside-table"),
        ({"head": "NAS1242"}, 404, "head", "not-tabulated"),
    ],
    ids=str,
)
def test_what_has_no_answer_says_why(http, changes, status, field, kind):
    problem = refused(get(http, **changes), status, field)
    assert problem["type"] == f"urn:bucktail:problem:{kind}"
    assert post(http, {**GOOD, **changes}).data == get(http, **changes).data


def test_a_query_field_may_stand_once(http):
    problem = refused(http.get(Q + "0.08&stack=0.05&edition=2026.1&edition=2026.1"), 422, "stack")
    assert {error["field"] for error in problem["errors"]} == {"stack", "edition"}


def test_the_query_of_a_post_asks_nothing(http):
    refused(http.post("/v1/pick?practice=civil", json=GOOD), 422, "practice")


def test_a_name_that_is_not_utf8_is_refused(http):
    refused(http.get(Q + "0.08&%ff=1"), 422)
    refused(http.get(Q + "%ff"), 422, "stack")


@pytest.mark.parametrize("part", ["format", "edition"])
def test_a_long_value_is_not_handed_back_whole(http, part):
    refused(get(http, **{part: "x" * 4000}), 422, part)


# bodies


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"{'diameter': 1}",
        b'{"diameter": NaN}',
        b'{"diameter": Infinity}',
        b'{"diameter": "1/8", "diameter": "1/8"}',
        b'{"stack": [{"thickness": 1, "thickness": 1}]}',
        b"[" * 5000,
        b'{"a":' * 5000 + b"1" + b"}" * 5000,
        b'{"diameter": "\xff"}',
        b"\xff\xfe{\x00}\x00",
        b'{"diameter": "1/8"} {}',
    ],
    ids=lambda body: repr(body[:24]),
)
def test_a_body_that_is_not_json_is_400(http, body):
    refused(post(http, body), 400, "body")


@pytest.mark.parametrize("body", [b"[]", b"null", b'"1/8"', b"1", b"true", b'[{"diameter":"1/8"}]'])
def test_a_body_that_is_json_but_no_object_is_422(http, body):
    refused(post(http, body), 422, "body")


@pytest.mark.parametrize("number", [b"1e400", b"-1e400", b"1e-400", b"9" * 400])
def test_a_number_beyond_all_bounds_is_no_length(http, number):
    body = json.dumps({**GOOD, "stack": "STACK"}).encode().replace(b'"STACK"', number)
    refused(post(http, body), 404 if number == b"1e-400" else 422, "stack")


def test_a_number_of_five_thousand_digits_is_no_length(http):
    body = json.dumps({**GOOD, "stack": "STACK"}).encode().replace(b'"STACK"', b"9" * 5000)
    problem = refused(post(http, body), 422, "stack")
    assert "sys." not in problem["detail"]


def test_a_field_named_by_half_a_surrogate_pair_is_refused(http):
    refused(post(http, b'{"\\ud800": 1}'), 422)


def test_a_long_field_name_is_not_handed_back_whole(http):
    refused(post(http, {**GOOD, "k" * 60000: 1}), 422)


@pytest.mark.parametrize(
    "content_type", [None, "text/plain", "text/json", "application/x-www-form-urlencoded", "multipart/form-data"]
)
def test_a_body_of_another_type_is_415(http, content_type):
    refused(post(http, GOOD, content_type), 415, "Content-Type")


@pytest.mark.parametrize("content_type", ["application/json", "Application/JSON", "application/json; charset=utf-8"])
def test_json_is_json_however_its_type_is_written(http, content_type):
    assert post(http, GOOD, content_type).status_code == 200


def chunked(body, limit):
    environ = {"wsgi.input": io.BytesIO(body), "wsgi.input_terminated": True}
    http = create_app(Settings(max_body=limit)).test_client()
    return post(http, b"", environ_overrides=environ, headers={"Transfer-Encoding": "chunked"})


def test_a_body_over_the_limit_is_413():
    http = create_app(Settings(max_body=1000)).test_client()
    body = json.dumps(GOOD).encode()
    assert post(http, body.ljust(1000)).status_code == 200
    refused(post(http, body.ljust(1001)), 413, "body")


def test_a_chunked_body_is_read():
    assert chunked(json.dumps(GOOD).encode(), 1000).get_json()["part_number"] == "MS20470AD4-4"


@pytest.mark.parametrize("filler", [b" ", b"x"])
def test_a_chunked_body_over_the_limit_is_413(filler):
    refused(chunked(json.dumps(GOOD).encode().ljust(1001, filler), 1000), 413, "body")


# methods and paths


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "TRACE", "FOO"])
def test_another_method_is_405_and_says_which_are_allowed(http, method):
    response = http.open("/v1/pick", method=method)
    refused(response, 405, "method")
    assert {"GET", "HEAD", "POST"} <= set(response.headers["Allow"].split(", "))


@pytest.mark.parametrize("path", ["/v1/pick/", "/v1/picks", "/V1/pick", "/", "/v1", "/v2/pick", "/v1/pick/1", "/.env"])
def test_a_page_that_is_none_is_404(http, path):
    problem = refused(http.get(path, query_string=GOOD), 404, "path")
    assert problem["type"] == "urn:bucktail:problem:not-found"


def test_a_condition_for_writers_is_no_way_to_a_half_answer(http):
    # the service writes nothing, so If-Match has nothing to guard: the answer, or a problem, but not 412 with an answer
    response = http.head("/v1/pick", query_string=GOOD, headers={"If-Match": '"other"'})
    assert response.status_code == 200 or response.mimetype == "application/problem+json"


def test_a_failure_of_ours_is_a_problem_without_inner_words(http, monkeypatch):
    def fail(asked, edition):
        raise RuntimeError("secret")

    monkeypatch.setattr("bucktail_service.asking.pick.pick", fail)
    response = http.post("/v1/pick", json=GOOD)
    assert response.status_code == 500
    assert response.content_type == "application/problem+json"
    assert b"secret" not in response.data
