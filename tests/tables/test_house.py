"""House tables: what a folder makes of an edition, and every folder that is refused."""

from __future__ import annotations

import hashlib
import json
import os
import shutil

import pytest
from tests.tables.housing import NAME, SHOP, Shop

from bucktail_tables import house, load
from bucktail_tables.check import check_edition
from bucktail_tables.errors import BrokenEdition, BrokenHouse, EditionNotFound
from bucktail_tables.house import load_houses
from bucktail_tables.load import LARGEST_FILE, load_edition

BASE = load_edition("2026.1")


@pytest.fixture
def shop(tmp_path):
    return Shop(tmp_path / "shop")


@pytest.fixture
def in_place(monkeypatch):
    """Install folders for this test: `in_place(folder, ...)`, read when they are first asked for."""
    monkeypatch.setattr(house, "_kept", {})

    def install(*folders, default=""):
        monkeypatch.setenv("BUCKTAIL_TABLES", os.pathsep.join(map(str, folders)))
        monkeypatch.setenv("BUCKTAIL_EDITION", default)

    return install


def refused(*folders):
    with pytest.raises(BrokenHouse) as caught:
        load_houses(folders)
    flaw = caught.value
    assert str(flaw).startswith(f"house tables in {flaw.folder}: table {flaw.table}")
    assert flaw.folder in map(str, folders)
    return flaw


def where(flaw):
    return flaw.table, flaw.row, flaw.column


# what a whole folder gives


def test_a_row_with_a_known_key_stands_in_its_place_and_says_whose_it_is(shop):
    edition = shop.load()
    row = edition["spacing"].find("civil", "edge_minimum", "protruding")
    assert (row.text("times_d"), row.house, row.basis, row.line) == ("2.25", NAME, "published", 2)
    assert [row.key for row in edition["spacing"]] == [row.key for row in BASE["spacing"]]


def test_a_row_with_a_new_key_stands_at_the_end(shop):
    rows = shop.rows("spacing")
    shop.write("spacing", [*rows, ["civil", "edge_maximum", "threaded", "4", *rows[1][4:]]])
    edition = shop.load()
    assert len(edition["spacing"]) == len(BASE["spacing"]) + 1
    assert edition["spacing"].rows[-1].key == ("civil", "edge_maximum", "threaded")
    assert edition["spacing"].find("civil", "edge_maximum", "threaded").house == NAME


def test_a_withdrawn_row_is_gone_and_the_rest_is_the_bases(shop):
    edition = shop.load()
    assert BASE["offered"].find("MS20470", "B") is not None
    assert edition["offered"].find("MS20470", "B") is None
    assert [row for row in BASE["offered"] if row.key != ("MS20470", "B")] == list(edition["offered"])


def test_tables_a_house_says_nothing_of_are_the_bases(shop):
    edition = shop.load()
    untouched = set(BASE.tables) - {"spacing", "offered", "lengths"}
    assert all(edition[name] is BASE[name] for name in untouched)
    assert edition.house_tables == tuple(name for name in BASE.tables if name not in untouched)


def test_a_house_edition_is_named_after_its_folder_and_no_release(shop):
    edition = shop.load()
    assert (edition.name, edition.status, edition.is_house, edition.is_draft) == (NAME, "house", True, False)
    assert edition.extends.name == "2026.1"
    assert not BASE.is_house
    assert check_edition(edition) == []


def test_the_same_folder_elsewhere_has_the_same_digest_and_any_other_byte_another(shop, tmp_path):
    here, there = shop.load(), Shop(tmp_path / "elsewhere").load()
    assert here.sha256 == there.sha256 != BASE.sha256
    shop.put("lengths", 2, "note", "moved to rack 9")
    moved = shop.load().sha256
    shop.describe(lambda descriptor: descriptor.update(title="Another title"))
    assert len({here.sha256, moved, shop.load().sha256}) == 3


def test_a_digest_and_a_size_that_are_told_are_held_to(shop):
    raw = shop.path("spacing").read_bytes()
    digest = hashlib.sha256(raw).hexdigest()
    told = {"bytes": len(raw), "hash": f"sha256:{digest}"}
    shop.describe(lambda descriptor: descriptor["resources"][0].update(told))
    shop.load()
    shop.path("spacing").write_bytes(raw.replace(b"2.25", b"2.30"))
    assert "sha256" in refused(shop.folder).message
    shop.path("spacing").write_bytes(raw + raw.split(b"\n", 1)[1].replace(b"protruding", b"any"))
    assert "bytes" in refused(shop.folder).message


def test_the_schema_of_the_base_may_be_repeated_and_no_other_given(shop):
    entry = next(entry for entry in BASE.descriptor["resources"] if entry["name"] == "spacing")
    shop.describe(lambda descriptor: descriptor["resources"][0].update(schema=entry["schema"]))
    shop.load()
    looser = {**entry["schema"], "primaryKey": ["practice", "figure"]}
    shop.describe(lambda descriptor: descriptor["resources"][0].update(schema=looser))
    assert where(refused(shop.folder)) == ("spacing", None, None)


def test_a_house_may_extend_another_houses_edition_whichever_folder_is_named_first(shop, tmp_path):
    night = Shop(tmp_path / "night")
    night.describe(lambda descriptor: descriptor.update(name="night", extends={"edition": NAME}))
    night.put("spacing", 2, "times_d", "2.5")
    night.put("spacing", 3, "times_d", "2.5")
    shutil.rmtree(shop.folder)
    shop = Shop(shop.folder)
    night.describe(lambda descriptor: descriptor["resources"].pop(1))
    for folders in ([shop.folder, night.folder], [night.folder, shop.folder]):
        houses = load_houses(folders)
        assert [*houses] == [NAME if folder == shop.folder else "night" for folder in folders]
        assert houses["night"].extends is houses[NAME]
        row = houses["night"]["spacing"].find("civil", "edge_minimum", "protruding")
        assert (row.text("times_d"), row.house) == ("2.5", "night")
        assert houses["night"]["offered"].find("MS20470", "B") is None
        assert "offered" in houses["night"].house_tables


# what is refused, and where it is said to be wrong


@pytest.mark.parametrize(
    ("table", "line", "column", "cell"),
    [
        ("spacing", 2, "times_d", "two"),
        ("spacing", 2, "times_d", "1e3"),
        ("spacing", 3, "plus_in", "0,0625"),
        ("spacing", 2, "practice", ""),
        ("spacing", 2, "document", ""),
        ("spacing", 3, "basis", ""),
        ("spacing", 2, "basis", "approved"),
        ("lengths", 3, "shortest_dash", "4.5"),
        ("lengths", 4, "half_sizes", "no"),
        ("lengths", 4, "fraction", "0.125"),
        ("offered", 2, "withdrawn", "yes"),
        ("offered", 2, "alloy", ""),
        ("offered", 2, "document", ""),
    ],
)
def test_a_cell_of_the_wrong_kind_is_named(shop, table, line, column, cell):
    shop.put(table, line, column, cell)
    assert where(refused(shop.folder)) == (table, line, column)


def test_a_key_that_stands_twice_is_named(shop):
    rows = shop.rows("spacing")
    shop.write("spacing", [*rows, rows[1]])
    flaw = refused(shop.folder)
    assert where(flaw) == ("spacing", 4, "practice")
    assert "civil/edge_minimum/protruding stands twice" in flaw.message


def test_a_row_withdrawn_and_given_is_a_key_that_stands_twice(shop):
    rows = shop.rows("offered")
    shop.write("offered", [*rows, ["MS20470", "B", "B", "letters-diameter", "sheet 7", "", "published", "", "false"]])
    assert where(refused(shop.folder)) == ("offered", 3, "standard")


def test_a_row_that_is_not_there_cannot_be_withdrawn(shop):
    shop.put("offered", 2, "alloy", "ZZ")
    assert where(refused(shop.folder)) == ("offered", 2, "standard")


def test_a_row_that_refers_to_none_is_named(shop):
    shop.put("lengths", 2, "fraction", "7/32")
    flaw = refused(shop.folder)
    assert where(flaw) == ("lengths", 2, "fraction")
    assert f"[row of {NAME}" in flaw.message


def test_a_withdrawn_row_that_others_refer_to_is_refused(shop):
    shop.describe(lambda descriptor: descriptor["resources"].append({"name": "materials", "path": "materials.csv"}))
    columns = [field.name for field in BASE["materials"].fields]
    cells = {"alloy": "B", "document": "sheet 7", "basis": "published"}
    shop.write("materials", [[*columns, "withdrawn"], [*(cells.get(column, "") for column in columns), "true"]])
    assert refused(shop.folder).table in {"offered", "materials", "shear", "length_rules"}


def test_the_relations_of_an_edition_hold_for_house_tables_too(shop):
    shop.put("spacing", 2, "times_d", "0.5")
    flaw = refused(shop.folder)
    assert where(flaw) == ("spacing", 2, "times_d")
    shop.put("spacing", 2, "times_d", "2.5")  # now the house's own layout figure falls below its minimum
    assert where(refused(shop.folder)) == ("spacing", 3, "times_d")


@pytest.mark.parametrize("header", ["practice,figure", "withdrawn", ""])
def test_other_columns_are_refused(shop, header):
    rows = shop.rows("spacing")
    shop.write("spacing", [header.split(","), *rows[1:]])
    assert where(refused(shop.folder)) == ("spacing", 1, None)


def test_a_column_of_the_houses_own_is_refused(shop):
    rows = shop.rows("spacing")
    shop.write("spacing", [[*rows[0], "approved_by"], *([*row, "us"] for row in rows[1:])])
    assert where(refused(shop.folder)) == ("spacing", 1, None)


def test_a_table_no_edition_has_is_refused(shop):
    shop.describe(lambda descriptor: descriptor["resources"][0].update(name="edges"))
    assert where(refused(shop.folder)) == ("edges", None, None)


def test_cautions_are_not_a_houses_to_change(shop):
    shop.describe(lambda descriptor: descriptor["resources"][0].update(name="cautions"))
    assert where(refused(shop.folder)) == ("cautions", None, None)


def test_a_new_name_that_no_question_could_say_is_refused(shop):
    shop.describe(lambda descriptor: descriptor["resources"].append({"name": "materials", "path": "materials.csv"}))
    columns = [field.name for field in BASE["materials"].fields]
    cells = {**BASE["materials"].find("AD").cells, "alloy": "XX"}
    shop.write("materials", [columns, [cells[column] for column in columns]])
    assert where(refused(shop.folder)) == ("materials", 2, "alloy")


def test_a_table_listed_twice_is_refused(shop):
    shop.describe(lambda descriptor: descriptor["resources"].append(descriptor["resources"][0]))
    assert where(refused(shop.folder)) == ("spacing", None, None)


@pytest.mark.parametrize(
    "path",
    ["../spacing.csv", "/etc/passwd", "a/spacing.csv", "..\\spacing.csv", "spacing.CSV", ".csv", "spacing.csv\n", ""],
)
def test_a_path_out_of_the_folder_is_refused(shop, path):
    shop.describe(lambda descriptor: descriptor["resources"][0].update(path=path))
    assert where(refused(shop.folder)) == ("spacing", None, None)


@pytest.mark.parametrize("file", ["spacing.csv", "datapackage.json"])
def test_a_link_is_refused_wherever_it_leads(shop, file):
    path = shop.folder / file
    path.rename(shop.folder / "kept")
    path.symlink_to(shop.folder / "kept")
    assert "not a plain file" in refused(shop.folder).message


@pytest.mark.parametrize("file", ["spacing.csv", "datapackage.json"])
def test_a_huge_file_is_refused_unread(shop, file):
    with (shop.folder / file).open("r+b") as opened:
        opened.truncate(1 << 30)
    assert f"at most {LARGEST_FILE} bytes" in refused(shop.folder).message


def test_more_rows_than_any_table_has_are_refused(shop):
    rows = shop.rows("spacing")
    shop.write("spacing", [rows[0], *([rows[1]] * (house.MOST_ROWS + 1))])
    assert where(refused(shop.folder)) == ("spacing", house.MOST_ROWS + 2, None)


def test_what_is_no_file_is_refused_and_never_waited_for(shop):
    shop.path("spacing").unlink()
    assert where(refused(shop.folder)) == ("spacing", None, None)
    os.mkfifo(shop.path("spacing"))
    assert "not a plain file" in refused(shop.folder).message
    shop.path("spacing").unlink()
    shop.path("spacing").mkdir()
    assert "not a plain file" in refused(shop.folder).message


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    assert where(refused(tmp_path / "nowhere")) == ("datapackage.json", None, None)


def test_a_half_copied_file_is_refused_wherever_it_breaks_off_within_a_line(shop):
    raw = shop.path("spacing").read_bytes()
    breaks = [at for at in range(len(raw)) if raw[at - 1 : at] != b"\n"]
    for at in breaks[::7]:
        shop.path("spacing").write_bytes(raw[:at])
        assert refused(shop.folder).table == "spacing"


def test_a_half_copied_descriptor_is_refused(shop):
    path = shop.folder / "datapackage.json"
    raw = path.read_bytes().rstrip()
    for at in range(0, len(raw), 50):
        path.write_bytes(raw[:at])
        assert refused(shop.folder).table == "datapackage.json"


def test_a_folder_that_changes_while_it_is_read_is_refused(shop, monkeypatch):
    read = house.read_plain

    def slowly(file, table):
        raw = read(file, table)
        if table == "offered":
            shop.put("spacing", 2, "times_d", "2.2")
        return raw

    monkeypatch.setattr(house, "read_plain", slowly)
    assert "changed while it was read" in refused(shop.folder).message


@pytest.mark.parametrize(
    "raw", [b"\xff\n", b"practice,\x00\n", b'"', b"\xef\xbb\xbfpractice\n", b"\n", b'"' + b"x" * 200_000 + b'"\n']
)
def test_what_is_no_table_is_refused(shop, raw):
    shop.path("spacing").write_bytes(raw)
    assert refused(shop.folder).table == "spacing"


@pytest.mark.parametrize(
    "change",
    [
        {"name": "2026.1"},
        {"name": "default"},
        {"name": ""},
        {"name": "a b"},
        {"name": "../x"},
        {"name": "x" * 33},
        {"name": 7},
        {"name": None},
        {"title": 7},
        {"extends": "2026.1"},
        {"extends": {}},
        {"extends": {"edition": "1999.1"}},
        {"extends": {"edition": ["2026.1"]}},
        {"extends": {"edition": "2026.1", "sha256": "0" * 64}},
        {"extends": {"edition": "2026.1", "sha256": 0}},
        {"extends": {"edition": "2026.1", "digest": BASE.sha256}},
        {"extends": {"edition": NAME}},
        {"resources": []},
        {"resources": {}},
        {"resources": [7]},
        {"resources": [{"name": "../spacing", "path": "spacing.csv"}]},
    ],
    ids=str,
)
def test_a_descriptor_that_is_not_whole_is_refused(shop, change):
    shop.describe(lambda descriptor: descriptor.update(change))
    assert where(refused(shop.folder)) == ("datapackage.json", None, None)


@pytest.mark.parametrize("entry", [{"withdraw": True}, {"schema": None}, {"schema": []}, {"path": 7}, {"hash": None}])
def test_an_entry_that_is_not_whole_is_refused(shop, entry):
    shop.describe(lambda descriptor: descriptor["resources"][0].update(entry))
    assert where(refused(shop.folder)) == ("spacing", None, None)


@pytest.mark.parametrize("text", ["", "[]", "null", "{", "NaN", "[" * 100_000, '"\\ud800"'])
def test_a_descriptor_that_is_no_object_is_refused(shop, text):
    (shop.folder / "datapackage.json").write_text(text)
    assert where(refused(shop.folder)) == ("datapackage.json", None, None)


def test_editions_that_extend_each_other_are_refused(shop, tmp_path):
    night = Shop(tmp_path / "night")
    night.describe(lambda descriptor: descriptor.update(name="night", extends={"edition": NAME}))
    shop.describe(lambda descriptor: descriptor.update(extends={"edition": "night"}))
    flaw = refused(shop.folder, night.folder)
    assert f"extends itself: {NAME} -> night -> {NAME}" in flaw.message


def test_two_folders_of_one_name_are_refused(shop, tmp_path):
    again = Shop(tmp_path / "again")
    flaw = refused(shop.folder, again.folder)
    assert (flaw.folder, where(flaw)) == (str(again.folder), ("datapackage.json", None, None))


# as they are installed


def test_the_environment_lists_the_folders_and_each_becomes_an_edition(in_place, shop, tmp_path):
    night = Shop(tmp_path / "night")
    night.describe(lambda descriptor: descriptor.update(name="night"))
    in_place(shop.folder, night.folder)
    assert load.edition_names() == (*load.packaged_names(), NAME, "night")
    assert load_edition(NAME) is load_edition(NAME)
    with pytest.raises(EditionNotFound) as caught:
        load_edition("1999.1")
    assert caught.value.known == load.edition_names()


def test_an_empty_environment_installs_none(in_place):
    in_place()
    assert load.edition_names() == load.packaged_names()


def test_the_default_is_the_programs_unless_the_environment_names_another(in_place, shop):
    in_place(shop.folder)
    packaged = json.loads((load.HERE / "editions.json").read_text(encoding="utf-8"))["default"]
    assert load.default_name() == load_edition().name == packaged
    in_place(shop.folder, default=NAME)
    assert load.default_name() == NAME
    assert load_edition().name == packaged, "questions keep the names they take"


def test_reloading_takes_a_whole_folder_and_leaves_the_last_good_one_in_place_of_a_broken(in_place, shop):
    in_place(shop.folder)
    first = load_edition(NAME)
    shop.put("spacing", 2, "times_d", "2")
    house.reload()
    second = load_edition(NAME)
    assert second is not first
    assert second["spacing"].find("civil", "edge_minimum", "protruding").text("times_d") == "2"
    shop.put("spacing", 2, "times_d", "many")
    with pytest.raises(BrokenHouse):
        house.reload()
    assert load_edition(NAME) is second


def test_reloading_never_loses_the_edition_that_answers_by_default(in_place, shop):
    in_place(shop.folder, default=NAME)
    edition = load_edition(NAME)
    shop.describe(lambda descriptor: descriptor.update(name="renamed"))
    with pytest.raises(EditionNotFound):
        house.reload()
    assert load_edition(NAME) is edition


def test_the_editions_of_the_program_are_answered_from_whatever_the_folders_hold(in_place, tmp_path):
    in_place(tmp_path / "nowhere")
    assert load_edition("2026.1") is BASE
    with pytest.raises(BrokenEdition):
        load.edition_names()


def test_a_folder_can_be_checked_before_a_service_reads_it(shop, capsys):
    assert house.main([str(SHOP)]) == 0
    assert capsys.readouterr().out.startswith(f"{NAME} on 2026.1 ")
    shop.put("spacing", 2, "times_d", "two")
    assert house.main([str(shop.folder)]) == 1
    assert "table spacing, row 2, column times_d" in capsys.readouterr().err


def test_a_sealed_folder_takes_no_other_byte_nor_a_file_broken_off_at_the_end_of_a_line(shop, capsys):
    assert house.main(["--seal", str(shop.folder)]) == 0
    assert sorted(path.name for path in shop.folder.iterdir()) == sorted(path.name for path in SHOP.iterdir())
    shop.load()
    raw = shop.path("spacing").read_bytes()
    shop.path("spacing").write_bytes(raw[: raw.rindex(b"\n", 0, -1) + 1])
    assert where(refused(shop.folder)) == ("spacing", None, None)
    shop.path("spacing").write_bytes(raw)
    shop.load()
    capsys.readouterr()


def test_a_folder_that_cannot_be_read_is_not_sealed(shop, capsys):
    shop.describe(lambda descriptor: descriptor["resources"][0].update(path="../spacing.csv"))
    before = (shop.folder / "datapackage.json").read_bytes()
    assert house.main(["--seal", str(shop.folder)]) == 1
    assert "table spacing" in capsys.readouterr().err
    assert (shop.folder / "datapackage.json").read_bytes() == before


# a house asks for more, never lets less do


@pytest.mark.parametrize("table", ["shear", "rules", "cautions", "torques", "bearing_allowables"])
def test_strengths_rules_and_cautions_stay_the_editions(shop, table):
    header = [field.name for field in BASE[table].fields]
    cells = list(BASE[table].rows[0].cells.values())
    shop.write(table, [header, cells])
    shop.describe(lambda descriptor: descriptor["resources"].append({"name": table, "path": f"{table}.csv"}))
    flaw = refused(shop.folder)
    assert flaw.table == table
    assert "cannot change this table" in str(flaw)


def test_a_distance_looser_than_the_editions_is_refused_at_its_cell(shop):
    # FAA AC 43.13-1B par 4-57c, as carried: 2 D
    shop.put("spacing", 2, "times_d", "1.5")
    flaw = refused(shop.folder)
    assert where(flaw) == ("spacing", 2, "times_d")
    assert "looser than 2" in str(flaw)


def test_a_limit_is_not_withdrawn(shop):
    rows = shop.rows("spacing")
    shop.write("spacing", [[*rows[0], "withdrawn"], [*rows[1], "true"]])
    assert where(refused(shop.folder)) == ("spacing", 2, "withdrawn")


def test_a_name_that_stands_twice_in_the_descriptor_is_refused(shop):
    file = shop.folder / "datapackage.json"
    file.write_text(
        file.read_text(encoding="utf-8").rstrip().removesuffix("}") + ', "name": "other"}', encoding="utf-8"
    )
    assert "stands twice" in str(refused(shop.folder))


def test_a_huge_cell_is_shown_short(shop):
    shop.put("spacing", 2, "times_d", "9" * 5000)
    assert len(str(refused(shop.folder))) < 400
