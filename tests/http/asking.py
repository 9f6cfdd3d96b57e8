"""Short ways to ask the service, and random questions that it can answer."""

from __future__ import annotations

import json
from typing import Any

from flask.testing import FlaskClient
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from bucktail_tables.load import load_edition

GOOD = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040+0.040"}
PROBLEM = "application/problem+json"


def get(http: FlaskClient, path: str = "/v1/pick", headers: dict[str, str] | None = None, **changes: Any):
    """Ask by GET: the good question with *changes*; a None leaves the field out."""
    query = {name: value for name, value in {**GOOD, **changes}.items() if value is not None}
    return http.get(path, query_string=query, headers=headers)


def post(http: FlaskClient, body: Any, content_type: str | None = "application/json", **options: Any) -> TestResponse:
    """Ask by POST; bytes are sent as they are, anything else as JSON."""
    data = body if isinstance(body, bytes) else json.dumps(body).encode()
    return http.post("/v1/pick", data=data, content_type=content_type, **options)


def refused(response: TestResponse, status: int, field: str | None = None) -> dict[str, Any]:
    """Return the problem of a refused request, held to its one form and naming *field*."""
    assert response.status_code == status, response.get_data(as_text=True)
    assert response.content_type == PROBLEM
    assert response.headers["Cache-Control"] == "no-store"
    body = response.get_json()
    assert list(body) == ["type", "title", "status", "detail", "errors"]
    assert body["status"] == status
    assert body["type"].startswith("urn:bucktail:problem:")
    assert body["detail"]
    assert body["errors"]
    assert all(list(error) == ["field", "detail", "example"] for error in body["errors"])
    assert all(error["detail"] and error["example"] for error in body["errors"])
    assert len(response.data) < 6000, "a problem does not hand back all that was sent"
    if field is not None:
        assert field in [error["field"] for error in body["errors"]]
    return body


def _spellings(offered) -> st.SearchStrategy[dict[str, str]]:
    edition = load_edition()
    standard = edition["standards"].find(offered.text("standard"))
    material = edition["materials"].find(offered.text("alloy"))
    aliases = [row.text("alias") for row in edition["aliases"] if row.text("standard") == standard.text("standard")]
    return st.fixed_dictionaries(
        {
            "head": st.sampled_from([standard.text("standard"), standard.text("standard").lower(), *aliases]),
            "alloy": st.sampled_from([offered.text("alloy"), material.text("number"), material.text("name")]),
        }
    )


def _offers() -> list[Any]:
    edition = load_edition()
    repair = {row.text("standard") for row in edition["standards"] if row.flag("repair_only")}
    return [row for row in edition["offered"] if row.text("standard") not in repair]


# each diameter in several spellings, with a drill near it; from memory: #41 3/32, #30 1/8, #21 5/32, #11 3/16, F 1/4
_SIZES = [
    {"diameter": diameter, "hole": hole}
    for diameters, hole in (
        (("3/32", ".094", "2.4mm", "0.09375 in"), "#40"),
        (("1/8", "0.125", "3.2 mm", '1/8"'), "#30"),
        (("5/32", ".156", "4.0 mm"), "#21"),
        (("3/16", "0.1875", "4.8mm"), "#11"),
        (("1/4", ".25", "6.4 mm"), "#F"),
    )
    for diameter in diameters
]
_THICKNESSES = ["0.020", ".032", "0.040 in", "1/16", "1 mm", "0.8mm", "0.0401234", "3/64", '.05"']
_MATERIALS = ["", " 2024-T3", " lead", " steel", " unobtainium", " antimonial lead", " 6061-T6", " clad 2024"]

layers = st.builds("{}{}".format, st.sampled_from(_THICKNESSES), st.sampled_from(_MATERIALS))
stacks = st.lists(layers, min_size=1, max_size=4).map("+".join)
tolerances = st.sampled_from(["0", "0.002", "+/-0.001", "+0.010/-0.005", "+0.1mm/-0", "1/256", "+0 / -0.003"])


@st.composite
def questions(draw: st.DrawFn) -> dict[str, str]:
    """A question in words, of every part that may be asked; most are answered, some are not in the tables."""
    asked = {**draw(st.sampled_from(_offers()).flatmap(_spellings)), **draw(st.sampled_from(_SIZES))}
    asked["stack"] = draw(stacks)
    if draw(st.booleans()):
        del asked["hole"]
    for name, values in (
        ("stack_tolerance", tolerances),
        ("practice", st.sampled_from(["civil", "military", "Military"])),
        ("edition", st.sampled_from(["2026.1", "2026.2"])),
        ("family", st.just("solid")),
    ):
        if draw(st.booleans()):
            asked[name] = draw(values)
    return asked
