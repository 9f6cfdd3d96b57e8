"""Probes, and the document held against the routes that there are."""

from __future__ import annotations

import json

import pytest
from tests.http.asking import PROBLEM, refused

from bucktail_tables.load import load_edition

METHODS = {"get", "post", "put", "patch", "delete"}


@pytest.fixture(scope="module")
def document(app):
    return app.test_client().get("/v1/openapi.json").get_json()


def operations(document):
    return {
        (method, path): entry
        for path, methods in document["paths"].items()
        for method, entry in methods.items()
        if method in METHODS
    }


def test_a_living_process_says_ok(http):
    response = http.get("/healthz")
    assert (response.status_code, response.get_json()) == (200, {"status": "ok"})


def test_a_ready_process_says_which_tables_answer(http):
    body = http.get("/readyz").get_json()
    assert body["status"] == "ready"
    assert (body["edition"], body["sha256"]) == (load_edition().name, load_edition().sha256)


@pytest.mark.parametrize("path", ["/healthz", "/readyz", "/v1/openapi.json"])
def test_probes_are_not_kept_by_caches_and_take_no_parameters(http, path):
    assert http.get(path).headers["Cache-Control"] == "no-cache"
    assert http.head(path).status_code == 200
    refused(http.post(path), 405, "method")
    refused(http.get(path + "/"), 404, "path")
    problem = http.get(path + "?x=1").get_json()
    assert problem["status"] == 422


def test_the_example_for_no_parameters_says_so(http):
    error = http.get("/healthz?x=1").get_json()["errors"][0]
    assert not error["example"].endswith("of ")


def test_every_route_is_in_the_document_and_the_other_way_round(app, document):
    served = {
        (method.lower(), rule.rule.replace("<path:", "{").replace("<", "{").replace(">", "}"))
        for rule in app.url_map.iter_rules()
        for method in rule.methods - {"HEAD", "OPTIONS"}
    }
    assert served == set(operations(document))


def test_every_operation_has_a_name_of_its_own_and_a_summary(document):
    entries = operations(document).values()
    names = [entry["operationId"] for entry in entries]
    assert len(set(names)) == len(names)
    assert all(name.isidentifier() for name in names)
    assert all(entry["summary"].endswith(".") and "\n" not in entry["summary"] for entry in entries)


def test_every_operation_documents_its_problems(document):
    for key, entry in operations(document).items():
        problems = {status: reply for status, reply in entry["responses"].items() if int(status) >= 400}
        assert {"422", "500"} <= set(problems), key
        for reply in problems.values():
            assert reply["content"] == {PROBLEM: {"schema": {"$ref": "#/components/schemas/Problem"}}}
            assert reply["description"]
        if "requestBody" in entry:
            assert {"413", "415"} <= set(problems), key


def test_every_path_parameter_is_documented(document):
    for (_, path), entry in operations(document).items():
        for name in [part[1:-1] for part in path.split("/") if part.startswith("{")]:
            assert any(p["name"] == name and p["in"] == "path" and p["required"] for p in entry["parameters"])


def test_every_reference_leads_somewhere(document):
    text = json.dumps(document)
    names = {piece.split('"')[0] for piece in text.split("#/components/schemas/")[1:]}
    assert names <= set(document["components"]["schemas"])


def test_the_document_is_openapi_3_1_without_places_of_this_machine(document):
    assert document["openapi"] == "3.1.0"
    assert document["info"]["title"] == "bucktail"
    assert "servers" not in document


def test_the_examples_of_the_parameters_make_a_question_that_is_answered(http, document):
    parameters = document["paths"]["/v1/pick"]["get"]["parameters"]
    # some fields are asked of one family alone
    others = ("preparation", "nut", "nut_height", "drag")
    asked = {p["name"]: p["example"] for p in parameters if "example" in p and p["name"] not in others}
    assert http.get("/v1/pick", query_string=asked).status_code == 200
    body = document["paths"]["/v1/pick"]["post"]["requestBody"]["content"]["application/json"]["example"]
    assert http.post("/v1/pick", json=body).status_code == 200


def test_the_example_of_every_batch_is_answered(http, document):
    batches = [path for path in document["paths"] if path.startswith("/v1/batch/")]
    assert len(batches) > 4
    for path in batches:
        sheet = document["paths"][path]["post"]["requestBody"]["content"]["text/csv"]["example"]
        response = http.post(path, data=sheet, content_type="text/csv")
        assert response.status_code == 200
        assert response.text.splitlines()[1].endswith(","), f"{path}: {response.text.splitlines()[1]}"


def test_the_example_of_every_question_is_answered(http, document):
    for path, methods in document["paths"].items():
        content = methods.get("post", {}).get("requestBody", {}).get("content", {})
        if "/batch/" not in path and "application/json" in content:
            assert http.post(path, json=content["application/json"]["example"]).status_code == 200, path
