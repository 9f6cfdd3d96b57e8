"""The pages of an edition over HTTP: itself, its descriptor, its tables, their rows, and the search."""

from __future__ import annotations

import csv
import hashlib
import io
import json

import pytest
from tests.http.asking import refused
from tests.tables.housing import SHOP

from bucktail_service.engine.looking import row_page, table_page
from bucktail_service.schemas.editions import EditionPage, FoundRows, RowPage, TablePage
from bucktail_service.text.edition_row import edition_row_text
from bucktail_service.text.edition_table import edition_table_text
from bucktail_tables.files import files_of
from bucktail_tables.house import load_houses
from bucktail_tables.load import HERE, load_edition

EDITION = load_edition("2026.1")
FOLDER = HERE / EDITION.name
AT = f"/v1/editions/{EDITION.name}"
ROW = f"{AT}/tables/holes/row?key=1/8&key=final&key=1"
PAGES = [
    (AT, EditionPage),
    (f"{AT}/tables/holes", TablePage),
    (ROW, RowPage),
    (f"{AT}/find?text=5/32%20shear&limit=5", FoundRows),
]
YEAR = "public, max-age=31536000, immutable"


def digest(raw):
    return hashlib.sha256(raw).hexdigest()


@pytest.mark.parametrize(("path", "schema"), PAGES)
def test_a_page_has_the_documented_shape_and_may_be_kept_for_a_year(http, path, schema):
    response = http.get(path)
    assert response.status_code == 200
    assert schema().validate(response.get_json()) == {}
    assert response.headers["Cache-Control"] == YEAR
    again = http.get(path, headers={"If-None-Match": response.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


@pytest.mark.parametrize(("path", "schema"), PAGES)
def test_the_link_of_a_page_replays_it_and_the_default_is_never_kept(http, path, schema):
    first = http.get(path)
    assert http.get(first.get_json()["link"]).data == first.data
    unpinned = http.get(path.replace(AT, "/v1/editions/default"))
    assert unpinned.headers["Cache-Control"] == "no-cache"
    if load_edition() is EDITION:
        assert unpinned.data == first.data


def test_an_edition_shows_the_digest_of_every_file(http):
    page = http.get(AT).get_json()
    assert (page["name"], page["status"], page["sha256"]) == ("2026.1", "released", EDITION.sha256)
    assert {table["name"]: table["sha256"] for table in page["tables"]} == {
        entry["name"]: digest((FOLDER / entry["path"]).read_bytes()) for entry in EDITION.descriptor["resources"]
    }
    assert sum(page["basis"].values()) == sum(table["rows"] for table in page["tables"])
    assert page["changes"] == (FOLDER / "CHANGES.md").read_text(encoding="utf-8")


def test_the_descriptor_comes_byte_for_byte(http):
    response = http.get(f"{AT}/datapackage.json")
    assert response.data == (FOLDER / "datapackage.json").read_bytes()
    assert response.content_type == "application/json"
    assert response.headers["Cache-Control"] == YEAR
    assert json.loads(response.data)["profile"] == "tabular-data-package"


@pytest.mark.parametrize("table", list(EDITION.tables))
def test_a_table_as_csv_is_its_own_file_and_its_page_tells_the_digest(http, table):
    raw = http.get(f"{AT}/tables/{table}?format=csv").data
    assert raw == (FOLDER / f"{table}.csv").read_bytes()
    page = http.get(f"{AT}/tables/{table}").get_json()
    assert page["sha256"] == digest(raw)
    assert page["rows"] == list(csv.DictReader(io.StringIO(raw.decode(), newline="")))
    assert [field["name"] for field in page["fields"]] == list(page["rows"][0])


def test_a_digest_of_the_edition_can_be_worked_out_from_its_pages(http):
    whole = hashlib.sha256(http.get(f"{AT}/datapackage.json").data)
    for table in http.get(AT).get_json()["tables"]:
        whole.update(table["name"].encode() + b"\0" + http.get(f"{AT}/tables/{table['name']}?format=csv").data)
    assert whole.hexdigest() == EDITION.sha256


def test_files_are_read_once(http):
    assert files_of(EDITION) is files_of(EDITION)


@pytest.mark.parametrize(("path", "schema"), PAGES)
def test_text_is_no_wider_than_the_page_and_csv_is_a_table(http, path, schema):
    text = http.get(path, headers={"Accept": "text/plain"})
    assert text.content_type == "text/plain; charset=utf-8"
    assert all(len(line) <= 80 for line in text.get_data(as_text=True).splitlines())
    lines = list(csv.reader(io.StringIO(http.get(path, headers={"Accept": "text/csv"}).get_data(as_text=True))))
    assert len(lines) > 1
    assert {len(cells) for cells in lines} == {len(lines[0])}


@pytest.mark.parametrize("table", list(EDITION.tables))
def test_no_table_is_wider_than_the_page_and_each_row_has_its_mark(http, table):
    text = http.get(f"{AT}/tables/{table}?format=text").get_data(as_text=True)
    # a link has no blank to be broken at
    assert [line for line in text.splitlines() if len(line) > 80] == []
    page = http.get(f"{AT}/tables/{table}").get_json()
    for letter, basis in (("m", "memory"), ("e", "estimated")):
        if any(row["basis"] == basis for row in page["rows"]):
            assert any(line.startswith(f"  {letter} ") for line in text.partition("SOURCES")[2].splitlines())


def test_rows_from_memory_are_marked_in_the_text(http):
    text = http.get(f"{AT}/tables/holes?format=text").get_data(as_text=True)
    (pilot,) = [line for line in text.splitlines() if line.startswith("1/8       pilot")]
    (final,) = [line for line in text.splitlines() if line.startswith("1/8       final")]
    assert " m " in pilot
    assert " s " in final
    assert "\n  m memory: " in http.get(f"{AT}/tables/holes/row?key=1/8&key=pilot&key=1&format=text").get_data(True)
    assert "\nm shear  B  driven  5/32" in http.get(f"{AT}/find?text=5/32%20shear&format=text").get_data(as_text=True)


def test_a_row_that_is_not_there_is_404_with_keys_near_it(http):
    body = refused(http.get(f"{AT}/tables/holes/row?key=1/8&key=final&key=7"), 404, "key")
    assert body["type"] == "urn:bucktail:problem:not-tabulated"
    assert body["errors"][0]["example"].startswith("1/8 final 1, ")


@pytest.mark.parametrize(
    ("path", "status", "field"),
    [
        ("/v1/editions/1999.1", 404, "edition"),
        ("/v1/editions/%00", 404, "edition"),
        (f"/v1/editions/{'x' * 3000}", 404, "edition"),
        ("/v1/editions/1999.1/datapackage.json", 404, "edition"),
        ("/v1/editions/1999.1/tables/holes", 404, "edition"),
        ("/v1/editions/1999.1/find?text=shear", 404, "edition"),
        (f"{AT}/tables/hole", 404, "table"),
        (f"{AT}/tables/{'x' * 3000}", 404, "table"),
        (f"{AT}/tables/..%2Fholes", 404, "path"),
        (f"{AT}/tables/hole?format=csv", 404, "table"),
        (f"{AT}/tables/hole/row?key=1", 404, "table"),
        (f"{AT}/tables/holes/row", 422, "key"),
        (f"{AT}/tables/holes/row?key=", 404, "key"),
        (f"{AT}/tables/holes/row?key=1/8&edition=2026.1", 422, "edition"),
        (f"{AT}/find", 422, "text"),
        (f"{AT}/find?text=", 422, "text"),
        (f"{AT}/find?text=%20--%20", 422, "text"),
        (f"{AT}/find?text={'x' * 201}", 422, "text"),
        (f"{AT}/find?text=a&text=b", 422, "text"),
        (f"{AT}/find?text=shear&limit=0", 422, "limit"),
        (f"{AT}/find?text=shear&limit=501", 422, "limit"),
        (f"{AT}/find?text=shear&limit=5.0", 422, "limit"),
        (f"{AT}?format=xml", 422, "format"),
        (f"{AT}/datapackage.json?format=json", 422, "format"),
        (f"{AT}/", 404, "path"),
    ],
)
def test_what_is_not_there_or_cannot_be_understood_is_named(http, path, status, field):
    refused(http.get(path), status, field)


@pytest.mark.parametrize("path", [AT, f"{AT}/datapackage.json", f"{AT}/tables/holes", ROW, f"{AT}/find?text=5/32"])
def test_no_page_is_given_in_a_format_nobody_offers(http, path):
    refused(http.get(path, headers={"Accept": "image/png"}), 406, "Accept")
    refused(http.post(path), 405, "method")


def test_a_table_with_rows_of_a_house_is_written_from_its_rows_and_each_says_whose_it_is():
    (edition,) = load_houses([SHOP]).values()
    files = files_of(edition)
    own = next(row for row in edition["spacing"] if row.house)
    page = row_page("spacing", own.key, edition)
    assert page["house"] == edition.name
    assert RowPage().validate(page) == {}
    assert f"row of the house tables of {edition.name}" in edition_row_text(page)
    assert "house" not in row_page("holes", ("1/8", "final", "1"), edition)
    assert list(csv.DictReader(io.StringIO(files.tables["spacing"].decode()))) == [
        row.cells for row in edition["spacing"]
    ]
    table = table_page("spacing", "", edition)
    assert TablePage().validate(table) == {}
    assert table["house_rows"] == [list(row.key) for row in edition["spacing"] if row.house]
    (line,) = [
        line
        for line in edition_table_text(table).splitlines()
        if line.startswith("civil     edge_minimum             protruding")
    ]
    assert line.endswith("h")
    assert "house_rows" not in table_page("spacing", "", EDITION)
    assert files.tables["holes"] == (FOLDER / "holes.csv").read_bytes()
    assert json.loads(files.descriptor) == edition.descriptor
