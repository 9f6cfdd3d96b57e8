"""The client that asks the installed tables, in what it does beyond agreeing with the one over HTTP."""

from __future__ import annotations

import io
import json

import pytest

from bucktail.embedded import Embedded, as_csv, as_text, known, problem_as_text
from bucktail.errors import BadLength, BadQuestion, NotTabulated, RequestRefused, UnknownEdition

QUESTION = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040+0.040"}


@pytest.fixture
def client():
    with Embedded() as client:
        yield client


def test_an_answer_is_the_callers_own(client):
    first = client.pick(**QUESTION)
    before = json.dumps(first)
    first["spacing"].clear()
    first["cautions"].clear()
    first["sources"][0]["figures"].clear()
    assert json.dumps(client.pick(**QUESTION)) == before


def test_an_answer_is_made_of_what_json_has(client):
    def plain(value):
        if isinstance(value, dict):
            return all(type(name) is str and plain(below) for name, below in value.items())
        if isinstance(value, list):
            return all(map(plain, value))
        return value is None or type(value) in (str, int, float, bool)

    for answer in (client.pick(**QUESTION), client.part("AN470AD4-4"), client.editions()):
        assert plain(answer)


def test_a_problem_becomes_the_exception_it_stands_for(client):
    with pytest.raises(BadLength) as caught:
        client.pick(**{**QUESTION, "stack": "1,5"})
    assert caught.value.problem["status"] == 422
    assert caught.value.errors[0]["field"] == "stack"
    with pytest.raises(NotTabulated):
        client.part("MS20470AD4-4-5")
    with pytest.raises(UnknownEdition):
        client.part("MS20470AD4-4", edition="1999.1")


def test_every_missing_field_is_told_at_once(client):
    with pytest.raises(BadQuestion) as caught:
        client.pick()
    assert {error["field"] for error in caught.value.errors} == set(QUESTION)


def test_a_link_leads_back_to_its_answer(client):
    for answer in (client.pick(**QUESTION, hole="#30", stack_tolerance="+0.01/-0.005"), client.part("AN426DD5-6")):
        assert client.follow(answer["link"]) == answer


def test_what_is_no_link_is_refused(client):
    for link in ("", "nonsense", "/v2/pick?diameter=1/8", "http://desk.example/"):
        with pytest.raises((BadQuestion, RequestRefused)):
            client.follow(link)


def test_rows_are_answered_one_by_one_and_counted(client):
    rows = [QUESTION, {**QUESTION, "stack": "nope"}, QUESTION]
    results = list(client.batch_pick(rows))
    assert [result["row"] for result in results] == [1, 2, 3]
    assert ["problem" in result for result in results] == [False, True, False]
    assert (client.rows, client.refused) == (3, 1)


def test_no_rows_are_an_empty_file(client):
    with pytest.raises(BadQuestion):
        list(client.batch_pick([]))


def test_a_file_that_is_none_is_refused_at_once(client):
    with pytest.raises(BadQuestion):
        client.batch_file("pick", io.BytesIO(b""), content_type="text/csv", accept="text/csv")


def test_every_kind_of_answer_can_be_shown(client):
    answers = {"pick": client.pick(**QUESTION), "part": client.part("MS20470AD4-4"), "editions": client.editions()}
    for kind, answer in answers.items():
        assert as_text(kind, answer, why=True, colour=False)
        assert "\x1b[" in as_text(kind, answer, why=False, colour=True)
        assert as_csv(kind, answer).endswith("\n")


def test_an_error_without_a_problem_can_be_shown():
    assert problem_as_text(BadQuestion("the reason"), colour=False) == "the reason\n"


def test_an_unknown_kind_of_name_is_a_mistake_of_the_caller():
    with pytest.raises(KeyError):
        known("colour")
