"""Part numbers written and read back, and the misreadings that must never pass."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bucktail_service.engine.designation import format_number, parse_number
from bucktail_service.engine.errors import NotTabulated
from bucktail_tables.load import load_edition

EDITION = load_edition()
modest = settings(max_examples=100, deadline=None)
OFFERED = list(EDITION["offered"])


def length_numbers(fraction):
    """Every length number of a diameter, half sizes and none at all included."""
    row = EDITION["lengths"].find(fraction)
    first, last = int(row.number("shortest_dash")), int(row.number("longest_dash"))
    return [None, *(f"{dash}{half}" for dash in range(first, last + 1) for half in ("", ".5"))]


@pytest.mark.parametrize("offered", OFFERED, ids=lambda row: "/".join(row.key))
def test_every_number_of_the_edition_reads_back_as_its_fields(offered):
    for diameter in EDITION["diameters"]:
        for dash in length_numbers(diameter.text("fraction")):
            number = format_number(offered, diameter.text("dash"), dash)
            read = parse_number(number, EDITION)
            assert read.part_number == read.written_as == number
            assert (read.offered, read.diameter, read.dash, read.alias) == (offered, diameter, dash, None)
            assert read.sixteenths == (None if dash is None else Fraction(dash))


@pytest.mark.parametrize("alias", list(EDITION["aliases"]), ids=lambda row: row.text("alias"))
def test_a_superseded_number_reads_as_its_standard_and_keeps_what_was_written(alias):
    for offered in (row for row in OFFERED if row.text("standard") == alias.text("standard")):
        for dash in (None, "4", "3.5", "16"):
            number = format_number(offered, "4", dash, alias.text("alias"))
            assert number.startswith(alias.text("alias"))
            read = parse_number(number, EDITION)
            assert (read.written_as, read.alias, read.offered, read.dash) == (number, alias, offered, dash)
            assert read.part_number == format_number(offered, "4", dash)


def test_no_two_rivets_share_a_number():
    numbers = [format_number(row, "4", "4") for row in OFFERED]
    assert len(set(numbers)) == len(numbers)


@pytest.mark.parametrize("text", ["ms20470ad4-4", "  MS20470AD4-4 ", "Ms20470Ad4-4"])
def test_case_and_blanks_around_do_not_matter(text):
    assert parse_number(text, EDITION).part_number == "MS20470AD4-4"


# misreading -> the number meant; common practice, no source
MEANT = {
    "MS20470AD4-3-5": "MS20470AD4-3.5",
    "AN426AD3-3,5": "AN426AD3-3.5",
    "MS20470AD4-3 1/2": "MS20470AD4-3.5",
    "MS20470AD4-3-1/2": "MS20470AD4-3.5",
    "MS20470AD4-3\u00bd": "MS20470AD4-3.5",
    "MS20427-4-3-5": "MS20427-4-3.5",
    "MS20470 AD 4 4": "MS20470AD4-4",
    "MS20470-AD-4-4": "MS20470AD4-4",
    "AN470 AD 4-4": "AN470AD4-4",
    "MS20470 AD 5-12": "MS20470AD5-12",
}


@pytest.mark.parametrize(("text", "meant"), MEANT.items())
def test_a_likely_misreading_is_refused_and_the_number_meant_is_shown(text, meant):
    with pytest.raises(NotTabulated) as caught:
        parse_number(text, EDITION)
    assert caught.value.field == "number"
    assert caught.value.example == meant
    assert parse_number(meant, EDITION).written_as == meant


BAD = [
    *("MS20470AD4-3.25", "MS20470AD4-3.0", "MS20470AD4-3.", "MS20470AD4-.5", "MS20470AD4-3.55", "MS20470AD4-3.5.5"),
    *("MS20470AD04-4", "MS20470AD4-04", "MS20470AD4-0", "MS20470AD0-4", "MS20470AD4-03.5", "MS20470AD4-00"),
    *("MS20470", "MS20470-4-4", "MS20470AD", "MS20470AD4-", "MS20470AD-4-4", "MS20470AD4--4", "MS20470AD4-4-4-4"),
    *("MS20470ADD4-4", "MS20470XX4-4", "MS204704-4", "MS20470AD4.5-4", "MS20470AD7-4", "MS20470AD99-4"),
    *("MS20470AD4-4 ; rm", "MS20470AD4/4", "MS20470AD4_4", "MS20470AD4-4A", "MS20470AD4-1e3", "MS20470AD4-nan"),
    *("MS20613AD4-4", "MS20613-4-4", "MS20613-4C4-4", "MS20613C4-4", "MS20427P4-4", "NAS1198AD4-4", "AN470-4-4"),
    *("", " ", "\n", "\x00", "-", "4-4", "AD4-4", "XX20470AD4-4", "MS2047", "M", "MS204700AD4-4"),
    *("MS20470AD\u0664-4", "MS20470AD4-\uff14", "MS\u0662\u0660470AD4-4", "MS20470AD4\u20114", "MS20470\u00a0AD4-4"),
    *("MS20470AD4-" + "9" * 5000, "M" * 5000, "MS20470" + "A" * 5000, "MS20470AD" + "4" * 5000, "MS20470AD4-4" * 400),
]


@pytest.mark.parametrize("text", BAD, ids=lambda text: ascii(text[:24]))
def test_a_number_that_cannot_be_read_is_refused_with_a_good_example(text):
    with pytest.raises(NotTabulated) as caught:
        parse_number(text, EDITION)
    problem = caught.value
    assert problem.field == "number"
    assert len(problem.detail) < 300
    if not problem.example.startswith("one of"):
        assert parse_number(problem.example.split(" or ")[0], EDITION)


@modest
@given(st.text(max_size=40) | st.from_regex(r"(MS20470|AN426|MS20613|NAS1198)[A-Z0-9 .,/-]{0,14}", fullmatch=True))
def test_no_text_makes_the_reader_fail_otherwise(text):
    try:
        read = parse_number(text, EDITION)
    except NotTabulated:
        return
    assert parse_number(read.part_number, EDITION).part_number == read.part_number
