"""The tables looked into: pages of an edition, a table, a row, and rows found by words."""

from __future__ import annotations

import pytest

from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.looking import found_rows, row_page, table_page, written_key
from bucktail_service.engine.searching import words_of
from bucktail_tables.load import edition_names, load_edition

PINNED = load_edition("2026.1")


@pytest.fixture
def edition():
    return PINNED


def found(text, edition, limit=50):
    return found_rows(text, limit, edition)


def places(answer):
    return [(row["table"], tuple(row["key"])) for row in answer["rows"]]


# printed: aircraft maintenance trade journal, Oct 2001, table headed hole size for standard rivets (second-hand):
# 1/8: drill #30, 0.128, hole 0.125 to 0.135
def test_a_row_stands_as_printed_with_its_unit_document_and_basis(edition):
    row = row_page("holes", ("1/8", "final", "1"), edition)
    wanted = {"drill": "#30", "printed_in": "0.128", "minimum_in": "0.125", "maximum_in": "0.135"}
    assert {column: row["cells"][column] for column in wanted} == wanted
    assert {row["units"][column] for column in ("printed_in", "minimum_in", "maximum_in")} == {"in"}
    assert row["document"].startswith("aircraft maintenance trade journal, Oct 2001")
    assert row["basis"] == "second-hand"


@pytest.mark.parametrize("name", edition_names())
def test_every_row_of_every_table_is_found_by_its_key(name):
    edition = load_edition(name)
    for table in edition.tables.values():
        page = table_page(table.name, "", edition)
        assert len(page["rows"]) == len(table)
        for shown, row in zip(page["rows"], table, strict=True):
            one = row_page(table.name, tuple(shown[column] for column in page["primary_key"]), edition)
            source = {column: one[column] for column in ("document", "place", "basis", "note")}
            assert {**one["cells"], **source} == shown == row.cells


def test_a_table_tells_the_unit_and_the_meaning_of_its_columns(edition):
    fields = {field["name"]: field for field in table_page("diameters", "", edition)["fields"]}
    assert (fields["dash"]["type"], fields["dash"]["unit"]) == ("integer", "1/32 in")
    assert fields["fraction"]["type"] == "size"
    assert fields["metric_name_mm"]["unit"] == "mm"
    assert "not its measure" in fields["metric_name_mm"]["description"]
    assert fields["note"]["required"] is False


def test_pages_with_memory_in_them_say_so_and_all_name_the_manufacturer_first(edition):
    recalled = next(row for row in edition["shear"] if row.basis == "memory")
    read = next(row for row in edition["rules"] if row.basis == "published")
    codes = [[c["code"] for c in row_page(row.table, row.key, edition)["cautions"]] for row in (recalled, read)]
    assert codes == [["not-published", "approved-data"], ["approved-data"]]


@pytest.mark.parametrize(
    ("key", "near"),
    [
        (("1/8", "final", "2"), "1/8 final 1"),
        (("1/8", "Final", "1"), "1/8 final 1"),
        (("5/32",), "5/32 final 1"),
        (("5/32", "final", "1", "more"), "5/32 final 1"),
        ((), ""),
        (("\x00", "", "x" * 5000), ""),
    ],
)
def test_a_row_that_is_not_there_names_the_keys_near_it(key, near, edition):
    with pytest.raises(NotTabulated) as caught:
        row_page("holes", key, edition)
    assert caught.value.field == "key"
    assert "fraction, use, rank" in caught.value.detail
    assert caught.value.example.startswith(near)
    assert len(caught.value.detail) < 300


def test_a_table_that_is_not_there_names_those_like_it(edition):
    with pytest.raises(NotTabulated) as caught:
        table_page("hole", "", edition)
    assert caught.value.field == "table"
    assert caught.value.example.split(", ")[0] == "holes"


def test_a_key_is_written_for_a_shell():
    assert written_key(("#30", "clad 2024", "1/8")) == "'#30' 'clad 2024' 1/8"


def test_every_word_stands_in_every_row_found(edition):
    answer = found("5/32 shear", edition)
    assert places(answer)[0][0] == "shear"
    for row in answer["rows"]:
        words = set(words_of(" ".join([row["table"], row["title"], *row["cells"].values(), row["note"]])))
        words |= set(words_of(f"{row['document']} {row['place']}"))
        assert "5/32" in words
        assert any(word.startswith("shear") or "shear" in word for word in words)


def test_a_fraction_is_found_in_no_other_number(edition):
    answer = found("5/32", edition, limit=500)
    assert answer["more"] == 0
    assert {row.key for row in edition["holes"] if row.text("fraction") == "5/32"} == {
        key for table, key in places(answer) if table == "holes"
    }
    names = {key for table, key in places(answer) if table == "drills"}
    assert ("fraction", "5/32") in names
    assert ("fraction", "15/32") not in names
    assert ("fraction", "25/64") not in names


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("5/32 Shear", ("5/32", "shear")),
        ("15/32", ("15/32",)),
        ("1 5/32", ("1-5/32",)),
        ("1-5/32", ("1-5/32",)),
        (".040 0.0400", ("0.04", "0.04")),
        ("0.1285", ("0.1285",)),
        ("10.0 010", ("10", "010")),
        ("#30", ("#30",)),
        ("MS20470AD4-4", ("ms20470ad4-4",)),
        ("grip_ladders", ("grip", "ladders")),
        ("AC 43.13-1B, par 4-57", ("ac", "43.13-1b", "par", "4-57")),
        ("?!", ()),
    ],
)
def test_words_are_read_as_mechanics_write_them(text, words):
    assert words_of(text) == words


def test_a_decimal_is_the_same_whatever_zeros_it_carries_and_no_part_of_another(edition):
    plain, padded = found("0.04 flush", edition, 500), found(".0400 flush", edition, 500)
    assert places(plain) == places(padded)
    assert plain["found"] > 0
    # from memory: the #30 drill is 0.1285; 0.12 and 0.128 are other numbers
    assert ("drills", ("number", "#30")) in places(found("0.1285", edition))
    assert ("drills", ("number", "#30")) not in places(found("0.12", edition, 500))
    assert ("drills", ("number", "#30")) not in places(found("0.128", edition, 500))


def test_a_whole_cell_goes_before_a_word_and_a_word_before_a_part(edition):
    answer = found("lead", edition, 500)
    assert places(answer)[0] == ("layer_materials", ("lead",))
    drills = [key for table, key in places(found("11/32", edition, 500)) if table == "drills"]
    assert drills[0] == ("fraction", "11/32")


def test_a_plural_is_found_where_the_singular_stands(edition):
    one, many = found("AN365 nut", edition), found("AN365 nuts", edition)
    assert places(one) == places(many)
    assert places(one)[0] == ("nuts", ("AN365",))
    assert many["words"] == ["an365", "nuts"]


def test_short_words_are_found_whole_alone(edition):
    for row in found("AD", edition, 500)["rows"]:
        texts = " ".join([row["title"], *row["cells"].values(), row["document"], row["place"], row["note"]])
        assert any(word == "ad" or word.split("-")[0] == "ad" or "ad" in word.split("-") for word in words_of(texts))


def test_words_of_the_source_are_found_too(edition):
    answer = found("MIL-HDBK-5J memory shear", edition, 500)
    assert ("shear", ("AD", "driven", "5/32")) in places(answer)
    assert all("MIL-HDBK-5J" in row["document"] + row["note"] for row in answer["rows"])
    (noted,) = [row for row in edition["holes"] if row.key == ("3/32", "final", "1")]
    assert "MIL-R-47196A" in noted.text("note")
    assert ("holes", noted.key) in places(found("MIL-R-47196A 3/32", edition, 500))


def test_the_best_come_first_and_the_rest_are_counted(edition):
    whole, cut = found("5/32", edition, 500), found("5/32", edition, 3)
    assert places(cut) == places(whole)[:3]
    assert (cut["found"], cut["more"]) == (whole["found"], whole["found"] - 3)


def test_words_that_stand_nowhere_find_nothing(edition):
    answer = found("xyzzy 5/32", edition)
    assert (answer["found"], answer["more"], answer["rows"]) == (0, 0, [])
