"""The loader trusts nothing: whatever the descriptor does not allow is refused, with table, row and column."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest
from tests.tables.spoiling import Copy

import bucktail_service.engine
from bucktail_tables import load
from bucktail_tables.errors import BrokenEdition, EditionNotFound, TablesError
from bucktail_tables.load import default_name, edition_names, load_edition


@pytest.fixture
def copy(tmp_path):
    return Copy(tmp_path)


def refusal(copy):
    with pytest.raises(BrokenEdition) as caught:
        copy.load()
    return caught.value


def test_a_copy_of_the_shipped_edition_loads_and_has_its_digest(copy, edition):
    assert copy.load().sha256 == edition.sha256
    assert set(copy.load().tables) == set(edition.tables)


def test_every_row_of_the_edition_has_a_document_and_a_basis(edition):
    for table in edition.tables.values():
        assert len(table) > 0
        for row in table:
            assert row.document
            assert row.basis in load.BASES


def test_every_file_of_the_edition_is_a_table_of_the_descriptor(edition):
    folder = load.HERE / edition.name
    described = {resource["path"] for resource in edition.descriptor["resources"]}
    assert {path.name for path in folder.glob("*.csv")} == described


@pytest.mark.parametrize(
    ("table", "key", "column", "cell"),
    [
        ("diameters", ("4",), "nominal_in", "0.125in"),
        ("diameters", ("4",), "nominal_in", "1e-1"),
        ("diameters", ("4",), "nominal_in", "nan"),
        ("diameters", ("4",), "nominal_in", " 0.125"),
        ("diameters", ("4",), "nominal_in", "0,125"),
        ("diameters", ("4",), "nominal_in", "\u0660.125"),
        ("diameters", ("4",), "fraction", "0.125"),
        ("diameters", ("4",), "fraction", "1/0"),
        ("diameters", ("4",), "dash", "4.0"),
        ("diameters", ("4",), "basis", "rumour"),
        ("lengths", ("1/8",), "half_sizes", "yes"),
        ("lengths", ("1/8",), "half_sizes", "True"),
        ("standards", ("MS20470",), "head", "mushroom"),
        ("holes", ("1/8", "final"), "maximum_in", "1/8"),
        ("shear", ("AD", "driven", "1/8"), "single_shear_lbf", "388 lbf"),
        ("cautions", ("lead",), "text", "bell\x07"),
        ("cautions", ("lead",), "text", " "),
        ("offered", ("MS20470", "AD"), "letters", "AD "),
        ("diameters", ("4",), "dash", "04"),
        ("diameters", ("4",), "nominal_in", "00.125"),
        ("cautions", ("lead",), "text", "two\nlines"),
        ("cautions", ("lead",), "text", "two\u2028lines"),
    ],
)
def test_a_cell_of_another_type_is_refused_by_table_row_and_column(copy, table, key, column, cell):
    line = copy.find(table, *key)
    copy.put(table, line, column, cell)
    error = refusal(copy)
    assert (error.table, error.row, error.column) == (table, line, column)
    assert str(error).startswith(f"table {table}, row {line}, column {column}: ")


@pytest.mark.parametrize("column", ["document", "basis", "nominal_in"])
def test_an_empty_cell_that_must_be_filled_is_refused(copy, column):
    line = copy.find("diameters", "4")
    copy.put("diameters", line, column, "")
    error = refusal(copy)
    assert (error.table, error.row, error.column) == ("diameters", line, column)
    assert "empty" in error.message


@pytest.mark.parametrize("table", ["diameters", "holes", "shear", "cautions"])
def test_a_key_that_stands_twice_is_refused_where_it_stands_again(copy, table):
    line = copy.repeat(table, 2)
    error = refusal(copy)
    assert (error.table, error.row) == (table, line)
    assert error.column in copy.rows(table)[0]
    assert "twice" in error.message


@pytest.mark.parametrize(
    ("table", "key", "column", "cell", "other"),
    [
        ("holes", ("1/8", "final"), "drill", "#99", "drills"),
        ("aliases", ("AN470",), "standard", "MS99999", "standards"),
        ("offered", ("MS20470", "AD"), "alloy", "ZZ", "materials"),
        ("spacing", ("civil", "row_minimum", "any"), "practice", "naval", "practices"),
        ("lengths", ("1/8",), "fraction", "7/32", "diameters"),
    ],
)
def test_a_reference_to_nothing_is_refused(copy, table, key, column, cell, other):
    line = copy.find(table, *key)
    copy.put(table, line, column, cell)
    error = refusal(copy)
    assert (error.table, error.row, error.column) == (table, line, column)
    assert cell in error.message
    assert other in error.message


def test_a_missing_table_is_refused_by_name(copy):
    copy.path("shear").unlink()
    assert refusal(copy).table == "shear"


def test_an_empty_table_is_refused_by_name(copy):
    copy.write("shear", copy.rows("shear")[:1])
    assert refusal(copy).table == "shear"


@pytest.mark.parametrize("content", [b"", b"\n", b"\xef\xbb\xbf"])
def test_a_table_without_its_header_is_refused_at_its_first_row(copy, content):
    copy.path("shear").write_bytes(content)
    error = refusal(copy)
    assert (error.table, error.row) == ("shear", 1)


def test_an_extra_column_is_refused_at_the_header(copy):
    copy.write("holes", [[*row, "x"] for row in copy.rows("holes")])
    error = refusal(copy)
    assert (error.table, error.row) == ("holes", 1)
    assert "header" in error.message


def test_columns_in_another_order_are_refused_at_the_header(copy):
    copy.write("holes", [[row[1], row[0], *row[2:]] for row in copy.rows("holes")])
    assert (refusal(copy).table, refusal(copy).row) == ("holes", 1)


@pytest.mark.parametrize("cells", [-1, 1])
def test_a_row_with_a_cell_too_few_or_too_many_is_refused(copy, cells):
    rows = copy.rows("holes")
    rows[4] = rows[4][:cells] if cells < 0 else [*rows[4], ""]
    copy.write("holes", rows)
    error = refusal(copy)
    assert (error.table, error.row) == ("holes", 5)


def test_bytes_that_are_not_utf_8_are_refused_by_table(copy):
    path = copy.path("cautions")
    path.write_bytes(path.read_bytes().replace(b"Lead:", b"L\xe9ad:"))
    assert refusal(copy).table == "cautions"


def test_a_quote_that_never_closes_is_refused_by_table(copy):
    path = copy.path("cautions")
    path.write_bytes(path.read_bytes() + b'x,"never closed')
    error = refusal(copy)
    assert error.table == "cautions"
    assert error.row is not None


@pytest.mark.parametrize("path", ["../copy/holes.csv", "/etc/hostname", "sub/holes.csv", "..", "holes.csv/"])
def test_a_path_that_leaves_the_folder_is_refused_by_table(copy, path):
    def move(descriptor):
        next(entry for entry in descriptor["resources"] if entry["name"] == "holes")["path"] = path

    copy.describe(move)
    assert refusal(copy).table == "holes"


@pytest.mark.parametrize(
    "content",
    [
        *(b"", b"{", b"\xff\xfe", None, b"[]", b"{}", b"null", b"7", b'"tables"', b'{"resources": {}}'),
        *(b'{"resources": [[]]}', b'{"resources": [{}]}', b'{"resources": [{"name": 7}]}'),
        *(b"[" * 200_000, b'{"resources": ' * 200_000, b"9" * 5000),
    ],
    ids=lambda content: repr(content)[:40],
)
def test_a_descriptor_that_cannot_be_read_is_refused(copy, content):
    path = copy.folder / "datapackage.json"
    path.unlink() if content is None else path.write_bytes(content)
    assert refusal(copy).table == "datapackage.json"


def spoil_resource(copy, table, change):
    copy.describe(lambda descriptor: change(next(it for it in descriptor["resources"] if it["name"] == table)))


def deep(levels=900):
    """As deep as JSON may be read, and deeper than it can be shown."""
    nest = []
    for _ in range(levels):
        nest = [nest]
    return nest


@pytest.mark.parametrize(
    ("key", "value"),
    [
        *(("title", value) for value in (None, 7, [], deep(), "half a pair \ud800")),
        *(("path", value) for value in (None, 7, "", ".", "holes", "holes.csv\0", "HOLES.CSV", "a\\holes.csv")),
        *(("schema", value) for value in (None, [], {}, "schema", {"fields": []}, {"fields": {}}, deep())),
    ],
    ids=lambda part: ascii(part)[:30],
)
def test_a_table_that_is_not_described_whole_is_refused_by_name(copy, key, value):
    spoil_resource(copy, "holes", lambda resource: resource.update({key: value}))
    assert refusal(copy).table == "holes"
    spoil_resource(copy, "holes", lambda resource: resource.pop(key))
    assert refusal(copy).table == "holes"


@pytest.mark.parametrize(
    "name", [None, 7, "", "Holes", "../holes", "a\0", "\ud800", deep()], ids=lambda it: ascii(it)[:20]
)
def test_a_table_without_a_name_is_refused_at_the_descriptor(copy, name):
    spoil_resource(copy, "holes", lambda resource: resource.update(name=name))
    assert refusal(copy).table == "datapackage.json"


@pytest.mark.parametrize("title", [None, 7, "\ud800"], ids=ascii)
def test_an_edition_without_a_title_is_refused_at_the_descriptor(copy, title):
    copy.describe(lambda descriptor: descriptor.update(title=title))
    assert refusal(copy).table == "datapackage.json"


@pytest.mark.parametrize(
    ("key", "value"),
    [
        *(("primaryKey", value) for value in (None, 7, [], "colour", ["fraction", "colour"], [[]], deep())),
        *(("foreignKeys", value) for value in (None, {}, [7], [{}], [{"fields": ["drill"]}], deep())),
        ("foreignKeys", [{"fields": ["colour"], "reference": {"resource": "drills", "fields": ["drill"]}}]),
        ("foreignKeys", [{"fields": [deep()], "reference": {"resource": "drills", "fields": ["drill"]}}]),
        ("foreignKeys", [{"fields": ["drill", "use"], "reference": {"resource": "drills", "fields": ["drill", "x"]}}]),
    ],
    ids=lambda part: ascii(part)[:60],
)
def test_a_key_that_is_not_made_of_columns_is_refused_by_table(copy, key, value):
    spoil_resource(copy, "holes", lambda resource: resource["schema"].update({key: value}))
    assert refusal(copy).table == "holes"


@pytest.mark.parametrize(
    ("other", "targets"),
    [
        ("spanners", ["drill"]),
        ("drills", ["colour"]),
        ("drills", [["drill"]]),
        ("drills", [None]),
        ("\ud800", ["drill"]),
    ],
    ids=ascii,
)
def test_a_foreign_key_to_nothing_is_refused_by_table_and_column(copy, other, targets):
    key = {"fields": ["drill"], "reference": {"resource": other, "fields": targets}}
    spoil_resource(copy, "holes", lambda resource: resource["schema"].update(foreignKeys=[key]))
    assert (refusal(copy).table, refusal(copy).column) == ("holes", "drill")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        *(("type", value) for value in ("float", "Number", "")),
        *(
            ("constraints", value)
            for value in ({"pattern": "#.*"}, {"enum": [7]}, {"enum": [deep()]}, {"enum": ["\ud800"]}, {"\ud800": 1})
        ),
    ],
    ids=lambda part: ascii(part)[:30],
)
def test_a_column_the_loader_cannot_hold_to_is_refused_by_table_and_column(copy, key, value):
    spoil_resource(copy, "holes", lambda resource: resource["schema"]["fields"][3].update({key: value}))
    assert (refusal(copy).table, refusal(copy).column) == ("holes", "drill")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        *(("name", value) for value in (None, 7, "", "Drill", "use")),
        *(("type", value) for value in (None, 7, [])),
        ("unit", 7),
        *(("constraints", value) for value in (None, [], {"required": "true"}, {"enum": "#30"}, deep())),
    ],
    ids=lambda part: ascii(part)[:30],
)
def test_a_column_that_is_not_described_whole_is_refused_by_table(copy, key, value):
    spoil_resource(copy, "holes", lambda resource: resource["schema"]["fields"][3].update({key: value}))
    assert refusal(copy).table == "holes"


@pytest.mark.parametrize(
    ("at", "change", "column"),
    [
        (-4, {"name": "book"}, None),
        (-4, {"constraints": {}}, "document"),
        (-2, {"constraints": {"enum": ["published"]}}, "basis"),
        (-2, {"constraints": {"required": True}}, "basis"),
        (-2, {"constraints": {"required": True, "enum": ["published", "rumour"]}}, "basis"),
    ],
)
def test_a_table_whose_rows_need_not_say_their_source_is_refused(copy, at, change, column):
    spoil_resource(copy, "holes", lambda resource: resource["schema"]["fields"][at].update(change))
    assert (refusal(copy).table, refusal(copy).column) == ("holes", column)


def test_a_table_listed_twice_is_refused_by_name(copy):
    copy.describe(lambda descriptor: descriptor["resources"].append(descriptor["resources"][0]))
    error = refusal(copy)
    assert error.table == "practices"
    assert "twice" in error.message


@pytest.mark.parametrize("table", load.NEEDED)
def test_an_edition_without_a_table_that_answers_need_is_refused_by_its_name(copy, table):
    def drop(descriptor):
        descriptor["resources"] = [entry for entry in descriptor["resources"] if entry["name"] != table]
        for entry in descriptor["resources"]:
            entry["schema"].pop("foreignKeys", None)

    copy.describe(drop)
    assert refusal(copy).table == table


def test_the_tables_needed_are_those_the_engine_names():
    folder = Path(bucktail_service.engine.__file__).parent
    text = "\n".join(path.read_text(encoding="utf-8") for path in folder.rglob("*.py"))
    named = set(re.findall(r'edition\["(\w+)"\]', text)) | set(re.findall(r'rule_row\([^"]*edition, "(\w+)"', text))
    assert set(load.NEEDED) == named


@pytest.mark.parametrize("name", ["holes.csv", "datapackage.json"])
def test_a_file_over_the_largest_size_is_refused_unread(copy, name):
    with (copy.folder / name).open("r+b") as file:
        file.truncate(load.LARGEST_FILE + 1)
    error = refusal(copy)
    assert error.table == name.removesuffix(".csv")
    assert str(load.LARGEST_FILE) in error.message


@pytest.mark.parametrize("name", ["holes.csv", "datapackage.json"])
def test_a_link_is_refused_even_to_the_right_content(copy, name):
    path = copy.folder / name
    path.symlink_to(path.rename(copy.folder.parent / name))
    assert refusal(copy).table == name.removesuffix(".csv")


@pytest.mark.parametrize("name", ["holes.csv", "datapackage.json"])
def test_a_folder_or_a_pipe_in_place_of_a_file_is_refused(copy, name):
    path = copy.folder / name
    path.unlink()
    path.mkdir()
    assert refusal(copy).table == name.removesuffix(".csv")
    path.rmdir()
    os.mkfifo(path)
    assert refusal(copy).table == name.removesuffix(".csv")


def test_numbers_are_read_exactly_and_kept_as_printed(edition):
    row = edition["holes"].find("1/8", "strength", "1")
    assert row.text("printed_in") == "0.1285"
    assert (row.number("printed_in") * 10_000).denominator == 1
    assert row.maybe("minimum_in") is None


def test_the_digest_is_the_same_at_every_load(copy):
    assert copy.load().sha256 == copy.load().sha256
    assert len(copy.load().sha256) == 64


@pytest.mark.parametrize("name", ["shear.csv", "datapackage.json", "cautions.csv"])
def test_the_digest_changes_with_one_byte(copy, name):
    before = copy.load().sha256
    path = copy.folder / name
    raw = path.read_bytes()
    at = raw.index(b"read") if b"read" in raw else raw.index(b"rivet")
    path.write_bytes(raw[:at] + raw[at : at + 1].upper() + raw[at + 1 :])
    assert copy.load().sha256 != before


def test_an_edition_is_read_once_and_the_default_is_installed():
    assert load_edition() is load_edition()
    assert default_name() in edition_names()
    assert load_edition(default_name()).name == default_name()


@pytest.mark.parametrize("name", ["1999.9", "", "../2026.1", "2026.1/", "CURRENT"])
def test_an_edition_that_is_not_installed_is_not_found_and_the_others_are_named(name):
    with pytest.raises(EditionNotFound) as caught:
        load_edition(name)
    assert default_name() in caught.value.known
    assert isinstance(caught.value, TablesError)


def index(copy, monkeypatch, sha256, status="released"):
    """Install the copy as the only edition, under its digest."""
    entry = {"name": "copy", "status": status, "sha256": sha256}
    (copy.folder.parent / "editions.json").write_text(json.dumps({"default": "copy", "editions": [entry]}))
    monkeypatch.setattr(load, "HERE", copy.folder.parent)


def test_a_released_edition_loads_under_its_digest(copy, monkeypatch):
    index(copy, monkeypatch, copy.load().sha256)
    released = load.load_packaged.__wrapped__(None)
    assert (released.name, released.status, released.is_draft) == ("copy", "released", False)


def test_a_released_edition_whose_digest_has_changed_is_refused(copy, monkeypatch):
    index(copy, monkeypatch, copy.load().sha256)
    copy.put("shear", copy.find("shear", "AD", "driven", "1/8"), "single_shear_lbf", "389")
    with pytest.raises(BrokenEdition) as caught:
        load.load_packaged.__wrapped__("copy")
    assert caught.value.table == "copy"
    assert "digest" in caught.value.message


def test_a_draft_may_change(copy, monkeypatch):
    index(copy, monkeypatch, None, status="draft")
    copy.put("shear", copy.find("shear", "AD", "driven", "1/8"), "single_shear_lbf", "389")
    assert load.load_packaged.__wrapped__(None).is_draft


def test_every_edition_of_the_index_is_a_draft_or_carries_a_digest():
    entries = json.loads((load.HERE / "editions.json").read_text(encoding="utf-8"))["editions"]
    for entry in entries:
        assert entry["status"] in {"draft", "released"}
        assert (entry["sha256"] is None) == (entry["status"] == "draft")
        assert load_edition(entry["name"]).status == entry["status"]


def test_the_noted_digest_of_a_draft_is_that_of_its_files():
    # when this fails: python -m bucktail_tables.check --stamp
    for entry in json.loads((load.HERE / "editions.json").read_text(encoding="utf-8"))["editions"]:
        if entry["status"] == "draft":
            folder = load.HERE / entry["name"]
            assert entry["checked"] == load.load_folder(folder, name=entry["name"], status="draft").sha256


def test_files_of_a_known_digest_are_read_table_by_table_and_alike(copy):
    whole = copy.load()
    lazy = load.load_folder(copy.folder, name="copy", status="draft", known=whole.sha256)
    assert lazy.sha256 == whole.sha256
    assert list(lazy.tables) == list(whole.tables)
    for name, table in whole.tables.items():
        assert [row.cells for row in lazy[name]] == [row.cells for row in table]


def test_files_of_another_digest_are_checked_whole(copy):
    known = copy.load().sha256
    copy.put("holes", copy.find("holes", "1/8", "final", "1"), "printed_in", "wide")
    with pytest.raises(BrokenEdition, match="printed_in"):
        load.load_folder(copy.folder, name="copy", status="draft", known=known)
