"""Part numbers over HTTP."""

from __future__ import annotations

import csv
import io
from collections import defaultdict

import pytest
from tests.conftest import published
from tests.http.asking import refused

from bucktail_service.asking.part import COLUMNS as PART_COLUMNS

PLACES = {"diameter_in": ("diameter", "nominal_in"), "length_in": ("length", "length_in")}


def known_figures():
    rows = [row for row in published("designations.csv") if row["figure"] in PLACES]
    found = defaultdict(list)
    for row in rows:
        found[row["number"]].append(row)
    return list(found.items())


@pytest.mark.parametrize(("number", "rows"), known_figures(), ids=lambda value: value if isinstance(value, str) else "")
def test_a_number_says_the_sizes_the_documents_print(http, number, rows):
    answer = http.get(f"/v1/parts/{number}").get_json()
    for row in rows:
        block, name = PLACES[row["figure"]]
        assert answer[block][name] == float(row["printed"]), row["document"]


# superseded numbers: FAA AC 43.13-1B par 4-57a(4) p4-16, AN470 by MS20470 and AN426 by MS20426
@pytest.mark.parametrize(
    ("asked", "current"),
    [("AN470AD4-4", "MS20470AD4-4"), ("AN426AD3-3.5", "MS20426AD3-3.5"), ("an470ad4-4", "MS20470AD4-4")],
)
def test_a_superseded_number_tells_the_current_one(http, asked, current):
    answer = http.get(f"/v1/parts/{asked}").get_json()
    assert answer["part_number"] == current
    assert answer["written_as"] == asked.upper()
    assert "superseded-number" in [caution["code"] for caution in answer["cautions"]]


@pytest.mark.parametrize(
    "number", ["MS20470AD4-4", "MS20470AD4", "AN426AD3-3.5", "MS20613-4P4", "MS20435-4-4", "NAS1242AD4-4"]
)
def test_the_link_of_a_part_replays_the_answer_byte_for_byte(http, number):
    first = http.get(f"/v1/parts/{number}")
    assert first.status_code == 200
    link = first.get_json()["link"]
    again = http.get(link)
    assert again.data == first.data
    assert again.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert first.headers["Cache-Control"] == "no-cache"


def test_every_number_a_pick_answers_with_is_read_back(http):
    picked = http.get("/v1/pick?diameter=1/8&alloy=AD&head=flush-100&stack=0.08").get_json()
    answer = http.get(f"/v1/parts/{picked['part_number']}").get_json()
    for block in ("diameter", "alloy", "head", "strength", "mass"):
        assert answer[block] == picked[block]


def test_csv_shows_the_figures_of_the_json_answer(http):
    answer = http.get("/v1/parts/MS20470AD4-4").get_json()
    text = http.get("/v1/parts/MS20470AD4-4?format=csv").get_data(as_text=True)
    header, row, *more = csv.reader(io.StringIO(text), strict=True)
    assert (more, header) == ([], list(PART_COLUMNS))
    cells = dict(zip(header, row, strict=True))
    assert cells["length_in"] == str(answer["length"]["length_in"])
    assert cells["single_shear_lbf"] == str(answer["strength"]["single_shear_lbf"])
    assert cells["each_g"] == str(answer["mass"]["each_g"])
    assert cells["same_as"].split() == [entry["number"] for entry in answer["same_as"]]


def test_text_begins_with_the_number(http):
    response = http.get("/v1/parts/AN470AD4-4", headers={"Accept": "text/plain"})
    assert response.content_type == "text/plain; charset=utf-8"
    assert response.get_data(as_text=True).splitlines()[1].strip() == "AN470AD4-4"


def test_a_reader_that_has_the_answer_gets_304(http):
    first = http.get("/v1/parts/MS20470AD4-4")
    for condition in (first.headers["ETag"], "W/" + first.headers["ETag"]):
        again = http.get("/v1/parts/MS20470AD4-4", headers={"If-None-Match": condition})
        assert (again.status_code, again.data) == (304, b"")


@pytest.mark.parametrize(
    "number",
    [
        "X",
        "MS20470",
        "MS20470AD",
        "MS20470AD7-4",
        "MS20470ZZ4-4",
        "MS20470AD4-4-5",
        "MS20470AD4-4,5",
        "MS20470AD4-4.25",
        "MS20470AD04-4",
        "MS20470AD4-0",
        "MS20470-AD-4-4",
        "MS20470AD4/4",
        "%00",
        "%ff",
        "%F0%9F%94%A9",
        "MS20470AD\u0664-4",
        "..%2f..%2fetc%2fpasswd",
        "x" * 5000,
        "MS20470AD4-" + "9" * 4000,
    ],
    ids=lambda number: ascii(number[:16]),
)
def test_what_is_no_part_number_is_404_and_shows_a_good_one(http, number):
    problem = refused(http.get(f"/v1/parts/{number}"), 404, "number")
    assert problem["type"] == "urn:bucktail:problem:not-tabulated"


def test_letters_that_only_look_alike_are_not_read(http):
    refused(http.get("/v1/parts/M\u017f20470AD4-4"), 404, "number")


def test_a_long_number_is_not_handed_back_whole(http):
    refused(http.get("/v1/parts/MS20470AD7-4" + "%20" * 2000), 404, "number")


@pytest.mark.parametrize(
    ("query", "status", "field"),
    [
        ("edition=1999.1", 404, "edition"),
        ("edition=", 422, "edition"),
        ("format=xml", 422, "format"),
        ("colour=red", 422, "colour"),
        ("format=csv&format=csv", 422, "format"),
    ],
)
def test_a_bad_parameter_is_named(http, query, status, field):
    refused(http.get(f"/v1/parts/MS20470AD4-4?{query}"), status, field)


@pytest.mark.parametrize("name", ["", "..", "x" * 3000])
def test_what_is_no_name_of_an_edition_is_422_as_for_a_pick(http, name):
    refused(http.get("/v1/parts/MS20470AD4-4", query_string={"edition": name}), 422, "edition")


def test_a_format_that_is_not_offered_is_406(http):
    refused(http.get("/v1/parts/MS20470AD4-4", headers={"Accept": "image/png"}), 406, "Accept")


@pytest.mark.parametrize("path", ["/v1/parts", "/v1/parts/"])
def test_no_number_is_no_page(http, path):
    refused(http.get(path), 404, "path")


def test_writing_to_a_part_is_405(http):
    response = http.post("/v1/parts/MS20470AD4-4", json={})
    refused(response, 405, "method")
    assert "GET" in response.headers["Allow"].split(", ")
