"""Answers kept before the framework: the same bytes as without, bounded, and never a problem."""

from __future__ import annotations

import sys
from concurrent.futures import ThreadPoolExecutor
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from tests.http.asking import GOOD, get, post, questions, refused
from werkzeug.test import Client
from werkzeug.wrappers import Request, Response

from bucktail_service.app import create_app
from bucktail_service.config import Settings
from bucktail_service.http.kept import KeptAnswers

HEADERS = ("Content-Type", "Content-Length", "ETag", "Cache-Control", "Vary")
PATH = "/v1/parts/"


@pytest.fixture(scope="module")
def kept():
    return create_app(Settings()).test_client()


@pytest.fixture(scope="module")
def unkept():
    return create_app(Settings(kept_bytes=0)).test_client()


class Counting:
    """An application that counts what reaches it and answers with bodies of a given size."""

    def __init__(self, size=100, status=200, **headers):
        self.asked = []
        self.size = size
        self.status = status
        self.headers = {"ETag": '"e"', "Cache-Control": "no-cache", "Vary": "Accept"} | headers

    def __call__(self, environ, start_response):
        request = Request(environ)
        self.asked.append(request.full_path)
        letter = request.path[-1].encode()
        return Response(letter * self.size, self.status, self.headers)(environ, start_response)


def asks(app, room):
    client = Client(KeptAnswers(app, room))

    def ask(name, **options):
        before = len(app.asked)
        client.get(PATH + name, **options)
        return len(app.asked) - before

    return ask


@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(asked=questions())
def test_kept_and_unkept_answers_are_the_same_bytes(kept, unkept, asked):
    for accept in ("application/json", "text/csv", "text/plain", "image/png"):
        options = {"query_string": asked, "headers": {"Accept": accept}}
        first, second, plain = (client.get("/v1/pick", **options) for client in (kept, kept, unkept))
        assert first.data == second.data == plain.data
        assert first.status_code == second.status_code == plain.status_code
        told = [[reply.headers.get(name) for name in HEADERS] for reply in (first, second, plain)]
        assert told[0] == told[1] == told[2]


@pytest.mark.parametrize("condition", ["{}", "W/{}", '"other", {}', "*", '"other"', "{}x", ""])
def test_a_condition_is_judged_alike_kept_and_unkept(kept, unkept, condition):
    tag = get(kept).headers["ETag"]
    assert get(kept).status_code == 200
    replies = [get(client, headers={"If-None-Match": condition.format(tag)}) for client in (kept, unkept)]
    assert replies[0].status_code == replies[1].status_code
    assert replies[0].data == replies[1].data
    for name in HEADERS:
        assert replies[0].headers.get(name) == replies[1].headers.get(name)


def test_if_match_is_judged_alike_kept_and_unkept(kept, unkept):
    get(kept)
    replies = [get(client, headers={"If-Match": '"other"'}) for client in (kept, unkept)]
    assert replies[0].status_code == replies[1].status_code


def test_the_second_asking_does_not_reach_the_application():
    ask = asks(Counting(), 10_000)
    assert [ask("a"), ask("a"), ask("a?x=1"), ask("a?x=1"), ask("a")] == [1, 0, 1, 0, 0]


def test_what_is_accepted_keeps_answers_apart():
    ask = asks(Counting(), 10_000)
    for accept in ("text/csv", "text/plain"):
        assert ask("a", headers={"Accept": accept}) == 1
        assert ask("a", headers={"Accept": accept}) == 0
    assert ask("a") == 1


def test_only_questions_by_get_are_kept():
    app = Counting()
    client = Client(KeptAnswers(app, 10_000))
    for _ in range(2):
        client.post("/v1/pick")
        client.head("/v1/pick")
        client.get("/healthz")
        client.get("/v1/editions")
    assert len(app.asked) == 8


def test_head_after_get_has_no_body(kept):
    get(kept)
    reply = kept.head("/v1/pick", query_string=GOOD)
    assert (reply.status_code, reply.data) == (200, b"")


def test_a_post_to_a_kept_path_is_answered_by_itself(kept):
    get(kept)
    assert post(kept, {**GOOD, "stack": "0.5"}).get_json()["part_number"] != get(kept).get_json()["part_number"]
    refused(post(kept, b""), 400, "body")


@pytest.mark.parametrize("status", [201, 206, 304, 404, 422, 500])
def test_only_whole_answers_are_kept(status):
    ask = asks(Counting(status=status), 10_000)
    assert [ask("a"), ask("a")] == [1, 1]


@pytest.mark.parametrize("asked", [{"stack": "nan"}, {"edition": "1999.1"}, {"format": "xml"}, {"family": "bolt"}])
def test_problems_are_never_kept(asked):
    app = create_app(Settings())
    http = app.test_client()
    for _ in range(2):
        assert get(http, **asked).status_code in (404, 422)
    assert kept_bodies(app.wsgi_app) == 0


def kept_bodies(middleware):
    return sum(len(entry.body) for entry in middleware._kept.values())


def test_an_answer_without_its_caching_headers_is_not_kept():
    app = Counting()
    del app.headers["Vary"]
    ask = asks(app, 10_000)
    assert [ask("a"), ask("a")] == [1, 1]


def test_the_room_bounds_the_bytes_and_the_oldest_answer_goes_first():
    ask = asks(Counting(size=10_000), 35_500)
    assert [ask(name) for name in "abc"] == [1, 1, 1]
    assert ask("a") == 0, "asked again: now b is the oldest"
    assert ask("d") == 1
    assert [ask(name) for name in "acd"] == [0, 0, 0]
    assert ask("b") == 1


def test_an_answer_larger_than_the_room_is_not_kept_and_drives_no_other_out():
    app = Counting(size=10_000)
    ask = asks(app, 25_000)
    assert [ask("a"), ask("b")] == [1, 1]
    app.size = 25_001
    assert [ask("c"), ask("c")] == [1, 1]
    assert [ask("a"), ask("b")] == [0, 0]


def test_no_room_keeps_nothing():
    ask = asks(Counting(), 0)
    assert [ask("a"), ask("a")] == [1, 1]


def test_what_is_kept_stays_within_its_room_whatever_the_request_carries():
    room = 100_000
    middleware = KeptAnswers(Counting(size=100), room)
    client = Client(middleware)
    for number in range(100):
        client.get(PATH + "a", headers={"Accept": f"text/csv, x/{number:08000d}"})
    carried = sum(sum(map(len, key)) + len(entry.body) for key, entry in middleware._kept.items())
    assert 0 < carried <= room


def test_eight_threads_get_right_answers_and_the_room_is_kept():
    app = Counting(size=1000)
    middleware = KeptAnswers(app, 6500)
    letters = "abcdefghijklmnop"

    def ask(seed):
        client, choose = Client(middleware), Random(seed)
        for _ in range(250):
            letter = choose.choice(letters)
            assert client.get(PATH + letter).data == letter.encode() * 1000
        return True

    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-5)
    try:
        with ThreadPoolExecutor(8) as pool:
            assert all(pool.map(ask, range(8)))
    finally:
        sys.setswitchinterval(before)
    assert 0 < kept_bodies(middleware) <= 6500
    assert middleware._size == sum(entry.size for entry in middleware._kept.values()) <= 6500
