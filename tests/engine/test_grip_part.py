"""Numbers of blind rivets, bolts and pins written, read back and told, and the misreadings that must never pass."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.conftest import published
from tests.engine.asking import agrees, exactly, figure_at, leaves
from tests.engine.gripping import EDITION, NOT_APPLICABLE, UNITS, caution, codes, empty

from bucktail_service.answering import answer
from bucktail_service.asking.part import answer_part
from bucktail_service.engine.errors import NotTabulated
from bucktail_service.engine.grip.bolt_numbers import format_bolt_number
from bucktail_service.engine.grip.choice import sizes
from bucktail_service.engine.grip.ladder import bolt_ladder
from bucktail_service.engine.grip.numbers import format_grip_number
from bucktail_service.engine.grip.ranges import find_ladder
from bucktail_service.engine.grip.reading import is_grip_number, parse_grip_number
from bucktail_service.schemas.answers import PartAnswer
from bucktail_tables.model import Row

modest = settings(max_examples=100, deadline=None)
ANSWER = PartAnswer()
# these two are known by their dashes alone
STANDARDS = [row for row in EDITION["grip_standards"] if row.text("number_format") != "dashes"]
READ = [row for row in STANDARDS if not row.text("missing")]
NAMES = {row.text("standard") for row in READ}
MISSING = [row for row in STANDARDS if row.text("missing")]


def offers(standard: Row) -> list[Row]:
    return [row for row in EDITION["grip_offered"] if row.text("offers") == standard.text("offers")]


def written(standard: Row) -> Iterator[tuple[str, tuple[Any, ...]]]:
    """Yield every number of a standard with what it was written of: letters, diameter, grip, head, shank."""
    for offered in offers(standard):
        letters = offered.text("letters")
        for size in sizes(standard, EDITION):
            if standard.text("family") == "bolt":
                yield from written_bolts(standard, letters, size.dash)
                continue
            ladder = find_ladder(standard.text("ladder"), size.dash, EDITION)
            for grip in (None, *(str(entry.number) for entry in ladder.ranges)):
                if grip is None and standard.text("number_format") == "two-digit":
                    continue  # one digit alone is no stem
                number = format_grip_number(standard, letters, size.dash, grip)
                yield number, (offered, size.dash, grip, False, None)


def written_bolts(standard: Row, letters: str, diameter: int) -> Iterator[tuple[str, tuple[Any, ...]]]:
    offered = next(row for row in offers(standard) if row.text("letters") == letters)
    an = standard.text("number_format") == "an-bolt"
    for bolt in bolt_ladder(standard, EDITION):
        for dash in (*bolt.same, bolt.dash):
            for head in (False, True) if an else (False,):
                for shank in (False, True):
                    number = format_bolt_number(
                        standard, letters, dash, drilled_head=head, drilled_shank=shank, diameter=diameter
                    )
                    yield number, (offered, diameter, dash, head, shank if an else None)


def read(number: str) -> tuple[Any, ...]:
    found = parse_grip_number(number, EDITION)
    choice = found.choice
    return choice.offered, choice.dash, found.grip, choice.drilled_head, found.drilled_shank


@pytest.mark.parametrize("standard", READ, ids=lambda row: row.text("standard"))
def test_every_number_of_the_edition_reads_back_as_its_fields(standard):
    numbers = dict(written(standard))
    assert len(numbers) > 10
    for number, fields in numbers.items():
        found = parse_grip_number(number, EDITION)
        assert (found.written_as, found.standard) == (number, standard)
        assert read(number) == fields
        assert is_grip_number(number, EDITION)


def test_no_two_fasteners_share_a_number():
    numbers = [number for standard in READ for number in dict(written(standard))]
    assert len(set(numbers)) == len(numbers)


# the form of stems: common practice, no source
@pytest.mark.parametrize(
    ("stem", "standard", "dash", "letters", "drilled_head"),
    [
        ("NAS1398B4", "NAS1398", 4, "B", False),
        ("NAS1921M06", "NAS1921", 6, "M", False),
        ("M7885/2-4", "M7885/2", 4, "", False),
        ("NAS1054-6", "NAS1054", 6, "", False),
        ("AN4", "AN4", 4, "", False),
        ("AN4DD", "AN4", 4, "DD", False),
        ("AN4H", "AN4", 4, "", True),
        ("AN4CH", "AN4", 4, "C", True),
        ("NAS6204", "NAS6204", 4, "", False),
        ("NAS464-4", "NAS464", 4, "", False),
    ],
)
def test_a_stem_says_everything_but_its_grip(stem, standard, dash, letters, drilled_head):
    found = parse_grip_number(stem, EDITION)
    assert (found.written_as, found.standard.text("standard"), found.grip) == (stem, standard, None)
    assert (found.choice.dash, found.choice.offered.text("letters")) == (dash, letters)
    assert found.choice.drilled_head is drilled_head
    told = answer_part(stem)
    assert told["grip"] is None
    assert told["length"] is None
    example = told["notes"][0].partition("; ")[2].split()[0]
    assert parse_grip_number(example, EDITION).stem == stem


# other ways to write a number -> as its standard writes it; common practice, no source
SPELLINGS = {
    "nas1398b4-3": "NAS1398B4-3",
    " NAS1398B4-3 ": "NAS1398B4-3",
    "NAS1921B4-3": "NAS1921B04-03",
    "NAS1921B04-3": "NAS1921B04-03",
    "NAS1919C6-12": "NAS1919C06-12",
    "M7885/2-4-03": "M7885/2-4-3",
    "m7885/2-4-3": "M7885/2-4-3",
    "NAS1054-6-08": "NAS1054-6-8",
    "AN4H-10A": "AN4H10A",
    "AN4DD-10A": "AN4DD10A",
    "AN4CH-10": "AN4CH10",
    "an4-10a": "AN4-10A",
    "nas464-4-10": "NAS464-4-10",
    " NAS464-4 ": "NAS464-4",
}


@pytest.mark.parametrize(("text", "as_written"), SPELLINGS.items())
def test_a_number_is_told_as_its_standard_writes_it(text, as_written):
    told = answer_part(text)
    assert told["written_as"] == told["part_number"] == as_written
    assert told == answer_part(as_written)


@pytest.mark.parametrize("row", published("grip_an_dashes.csv"), ids=lambda row: f"{row['standard']}-{row['dash']}")
def test_a_bolt_has_the_grip_and_the_length_the_dash_table_prints(row):
    told = answer_part(f"{row['standard']}-{row['dash']}A")
    if row["check"] == "not followed":
        assert not agrees(told["length"]["length_in"], row["length_in"])
        assert any(row["length_in"] in note and "misprint" in note for note in told["notes"])
        return
    assert row["grip_in"] or row["length_in"]
    if row["grip_in"]:
        assert agrees(told["grip"]["length_in"], row["grip_in"])
    if row["length_in"]:
        assert agrees(told["length"]["length_in"], row["length_in"])
    assert told["length"]["counts"] == "under-head"


AN_CODE = published("grip_an_code.csv")


def an_code(check: str) -> list[dict[str, str]]:
    rows = [row for row in AN_CODE if row["check"] == check]
    assert rows, check
    return rows


@pytest.mark.parametrize("row", an_code("diameter") + an_code("material"), ids=lambda row: row["check"] + row["key"])
def test_the_letters_before_a_dash_are_the_material_and_the_series_is_the_diameter(row):
    if row["check"] == "diameter":
        assert answer_part(f"{row['key']}-10A")["diameter"]["fraction"] == row["printed"]
        return
    told = answer_part(f"AN4{row['key'] or '-'}10A")
    assert row["printed"].replace("aluminum", "aluminium") in told["alloy"]["name"]


def test_an_h_is_a_drilled_head_and_an_a_a_plain_shank():
    (head,), (shank,) = an_code("drilled head"), an_code("plain shank")
    assert {"text": "H", "meaning": head["printed"]} in answer_part(head["key"])["fields"]
    assert "H" not in [field["text"] for field in answer_part(shank["key"])["fields"]]
    plain, drilled = (answer_part(number)["fields"][-1] for number in (shank["key"], shank["key"].removesuffix("A")))
    assert (plain["text"], drilled["text"]) == ("A", "")
    assert "not drilled" in plain["meaning"]
    assert "no A" in drilled["meaning"]
    assert "not drilled" not in drilled["meaning"]


def printed_dashes() -> set[int]:
    (row,) = an_code("dashes")
    spans = [span.split("-") for span in row["printed"].split()]
    return {dash for first, last in spans for dash in range(int(first), int(last) + 1)}


@pytest.mark.parametrize("standard", ["AN3", "AN4", "AN5", "AN6"])
def test_only_the_printed_dashes_are_read(standard):
    """8, 9, 18, 19 do not exist: kit-airplane builder manual, text (second-hand)."""
    shortest = {"AN5": 4, "AN6": 5}.get(standard, 3)  # the first rows of the dash table
    for dash in range(1, 50):
        if dash in printed_dashes() and dash >= shortest:
            assert parse_grip_number(f"{standard}-{dash}A", EDITION).grip == str(dash)
            continue
        with pytest.raises(NotTabulated) as caught:
            parse_grip_number(f"{standard}-{dash}A", EDITION)
        assert f"{standard}-{dash}A" in caught.value.detail
        if dash % 10 in (8, 9):
            assert "inches and eighths" in caught.value.detail


@pytest.mark.parametrize(
    ("text", "following"),
    [("AN4-8", "AN4-10"), ("AN4-9A", "AN4-10A"), ("AN4DD18A", "AN4DD20A"), ("AN3H29", "AN3H30"), ("AN5C18", "AN5C20")],
)
def test_a_dash_of_eight_or_nine_shows_the_one_that_follows(text, following):
    """Overall length steps by an eighth from -7 to -10: kit-airplane builder manual, text (second-hand)."""
    with pytest.raises(NotTabulated) as caught:
        answer_part(text)
    assert caught.value.example == following
    assert answer_part(following)["written_as"] == following


@pytest.mark.parametrize(
    "row",
    [row for row in published("grip_ranges.csv") if row["ladder"] == "break-stem"],
    ids=lambda row: row["diameter"] + row["number"],
)
def test_a_two_digit_number_is_a_diameter_and_a_grip_of_the_printed_chart(row):
    told = answer_part(row["diameter"] + row["number"])
    assert told["diameter"]["nominal_in"] == float(Fraction(int(row["diameter"]), 32))
    assert (told["family"], told["standard"], told["grip"]["dash"]) == ("blind", "break-stem", row["number"])
    for figure in ("minimum_in", "maximum_in"):
        assert agrees(told["grip"][figure], row[figure])
    assert agrees(told["length"]["length_in"], row["length_in"])
    assert "not-for-aircraft" in codes(told)


# numbers the chart skips -> those it prints next to them, of the same diameter: TM 10-5410-221-14/1, Table 4-3
SKIPPED = {"67": ("64", "68"), "44": ("43", "45"), "47": ("46", "48"), "613": ("612",), "31": ("32",), "89": ("88",)}


@pytest.mark.parametrize(("number", "printed"), SKIPPED.items())
def test_a_number_the_chart_skips_is_refused_with_its_neighbours(number, printed):
    with pytest.raises(NotTabulated) as caught:
        answer_part(number)
    said = caught.value.detail.split()
    assert [word for word in said if word.isdigit()] == list(printed)
    assert caught.value.example in printed


@pytest.mark.parametrize(
    "row",
    [row for row in published("grip_ranges.csv") if row["ladder"] == "mechanically-locked"],
    ids=lambda row: row["number"],
)
def test_the_grips_of_locked_rivets_are_those_of_the_printed_table(row):
    for number in (f"NAS1398B4-{row['number']}", f"NAS1921B05-{row['number'].zfill(2)}", f"M7885/2-4-{row['number']}"):
        grip = answer_part(number)["grip"]
        assert agrees(grip["maximum_in"], row["maximum_in"])
        if row["minimum_in"]:  # blank for grip 1
            assert agrees(grip["minimum_in"], row["minimum_in"])
            assert grip["minimum_included"] is False


DASH_CODES = [row for row in published("grip_dash_codes.csv") if row["standard"] in NAMES]


@pytest.mark.parametrize("row", DASH_CODES, ids=lambda row: row["standard"])
def test_the_numbers_count_what_the_documents_say(row):
    standard = EDITION["grip_standards"].find(row["standard"])
    unit, sixteenth = Fraction(row["diameter_unit_in"]), Fraction(row["grip_unit_in"])
    checked = 0
    for number, (_, dash, grip, _, _) in written(standard):
        if grip is None or standard.text("ladder") == "break-stem":
            continue
        told = answer_part(number)
        assert exactly(told["diameter"]["nominal_in"]) == dash * unit
        most = told["grip"]["length_in" if row["counts"] == "exact" else "maximum_in"]
        assert exactly(most) == int(grip) * sixteenth
        if row["from"] == "(n-1)/16" and grip != "1":
            assert exactly(told["grip"]["minimum_in"]) == (int(grip) - 1) * sixteenth
        checked += 1
    assert checked or standard.text("ladder") == "break-stem"


# some of its rows are whole series without a thread length, or standards that are refused
NAS_BOLTS = [row for row in published("grip_nas_bolts.csv") if row["standard"] in NAMES and row["thread_length_in"]]


@pytest.mark.parametrize("row", NAS_BOLTS, ids=lambda row: row["standard"])
def test_the_length_of_a_close_tolerance_bolt_is_grip_and_thread(row):
    longest = "100" if row["ladder"].endswith("34-100 even") else "32"
    for dash in ("1", "10", longest):
        length = answer_part(f"{row['standard']}-{dash}")["length"]["length_in"]
        assert exactly(length) == Fraction(int(dash), 16) + Fraction(row["thread_length_in"])


def test_over_32_only_even_grips_are_read():
    """66 grips: every one to 32, even ones to 100 (note on NAS6203 Rev 10 Table II, second-hand)."""
    grips = [*range(1, 33), *range(34, 101, 2)]
    assert len(grips) == 66
    for dash in range(1, 111):
        if dash in grips:
            assert parse_grip_number(f"NAS6203-{dash}", EDITION).grip == str(dash)
            continue
        with pytest.raises(NotTabulated) as caught:
            parse_grip_number(f"NAS6203-{dash}", EDITION)
        if dash < 100:
            assert f"-{dash - 1} and -{dash + 1}" in caught.value.detail
            assert caught.value.example == f"NAS6203-{dash + 1}"


UNREAD = [row.text("standard") for row in READ if row.text("ladder") == "sixteenths"]


@pytest.mark.parametrize("name", [name for name in UNREAD if name != "NAS464"])
def test_a_ladder_whose_end_was_not_read_ends_where_that_of_nas6203_has_every_number(name):
    """NAS6203 has every number to 32 (note on NAS6203 Rev 10 Table II, second-hand); others are grip = dash/16 only."""
    for dash in (1, 8, 31, 32):
        told = answer_part(f"{name}-{dash}")
        assert exactly(told["grip"]["length_in"]) == Fraction(dash, 16)
        assert "grip-unverified" in codes(told)
        assert not any("even" in note for note in told["notes"])
    for dash in (33, 34, 100):
        with pytest.raises(NotTabulated) as caught:
            answer_part(f"{name}-{dash}")
        assert "even" not in caught.value.detail
        assert (caught.value.example, "-1 to -32" in caught.value.detail) == (f"{name}-32", True)


def test_only_one_series_of_nas_bolts_has_a_ladder_read_to_its_end():
    exact = [row.text("standard") for row in READ if row.text("ladder") == "exact"]
    assert {name[:5] for name in exact} == {"NAS62"}
    assert {name[:5] for name in UNREAD} == {"NAS63", "NAS66", "NAS11", "NAS13", "NAS46"}
    assert any("over 32 such numbers are even" in note for note in answer_part("NAS6203-34")["notes"])


def test_the_letter_of_nas464_is_not_in_the_tables_and_refused():
    told = answer_part("NAS464-4-10")
    assert [field["text"] for field in told["fields"]] == ["NAS464", "", "4", "10"]
    assert told["diameter"]["fraction"] == "1/4"
    with pytest.raises(NotTabulated) as caught:
        answer_part("NAS464P4-10")
    assert "letters are not told by the tables" in caught.value.detail


@pytest.mark.parametrize(("number", "fraction"), [("NAS1116-8", "1"), ("NAS1316-8", "1"), ("NAS1120-8", "5/4")])
def test_a_size_of_whole_inches_is_written_without_a_denominator(number, fraction):
    """Printed for NAS1103-NAS1120 and NAS1303-NAS1320: maintenance how-to pages (second-hand)."""
    assert answer_part(number)["diameter"]["fraction"] == fraction


def test_the_same_dash_is_another_grip_in_another_series():
    """AN4-10 has 0.563 in (dash table of AN3-AN20), NAS6204-10 10/16 in (NAS6203 grip statement); both second-hand."""
    an, nas = answer_part("AN4-10"), answer_part("NAS6204-10")
    assert (an["grip"]["length_in"], nas["grip"]["length_in"]) == (0.563, 0.625)
    assert any("NAS6204-10" in note and "0.6250" in note for note in an["notes"])
    assert any("AN4-10" in note and "0.5630" in note for note in nas["notes"])


def test_the_rival_reading_of_a_dash_is_named_and_contradicted():
    """Some pages take the dash as grip in sixteenths, AN3-5 as 5/16; the dash table prints 0.250 (second-hand)."""
    told = answer_part("AN3-5A")
    assert told["grip"]["length_in"] == 0.25
    assert any("5/16" in note and "contradicts" in note and "0.2500" in note for note in told["notes"])


@pytest.mark.parametrize("row", published("grip_an_dashes.csv"), ids=lambda row: f"{row['standard']}-{row['dash']}")
def test_no_dash_is_said_to_contradict_a_table_that_agrees_with_it(row):
    """AN3-10 is printed with a grip of 0.625, which 10/16 is too (dash table of AN3-AN20, second-hand)."""
    note = answer_part(f"{row['standard']}-{row['dash']}")["notes"][0]
    if row["grip_in"]:
        agreeing = abs(Fraction(int(row["dash"]), 16) - Fraction(row["grip_in"])) < Fraction(1, 1000)
        assert ("contradicts" in note) != agreeing
        assert ("by chance" in note) == agreeing
    assert (row["standard"], row["dash"]) != ("AN3", "10") or "by chance" in note


def test_two_dashes_that_share_a_grip_name_each_other():
    """AN4-3 and AN4-4 are both printed with a grip of 0.063 (dash table of AN3-AN20, second-hand)."""
    for dash, other in (("3", "4"), ("4", "3")):
        told = answer_part(f"AN4-{dash}A")
        assert told["grip"]["length_in"] == 0.063
        assert told["grip"]["alternatives"] == [other]
        assert any("AN4-3 and AN4-4 share this grip" in note for note in told["notes"])
    assert not any("share this grip" in note for note in answer_part("AN4-5A")["notes"])


def test_a_pin_number_is_a_diameter_and_a_maximum_grip_and_its_collar_is_named():
    """NAS1054 (2013) text, CODE and note 2: -4 to -12 take NAS179 or NAS528, same dash (second-hand)."""
    told = answer_part("NAS1054-6-8")
    assert [field["text"] for field in told["fields"]] == ["NAS1054", "", "6", "8"]
    assert told["diameter"]["nominal_in"] == 0.1875
    assert (told["grip"]["minimum_in"], told["grip"]["maximum_in"]) == (0.4375, 0.5)
    assert any("NAS179-6 or NAS528-6" in note for note in told["notes"])
    assert "pin-shear-only" in codes(told)


def test_the_rule_of_the_upper_end_is_cited_where_a_number_is_the_most_grip_alone():
    """Derived from TM 9-2320-363-34-2, Table 7, whose numbers are the most grip; a chart's ranges are printed."""

    def rules(number: str) -> set[str]:
        return {source["row"][0] for source in answer_part(number)["sources"] if source["table"] == "rules"}

    for number in ("NAS1398B4-3", "NAS1054-6-8"):
        assert "grip_upper_bound" in rules(number)
    for number in ("42", "AN4-10", "NAS6204-10", "NAS1398B4"):
        assert "grip_upper_bound" not in rules(number)


def test_a_superseded_pin_shows_the_standard_that_supersedes_it():
    """NAS178 is superseded by NAS1054: NAS1054 note 9 (second-hand)."""
    old, new = answer_part("NAS178-6-8"), answer_part("NAS1054-6-8")
    assert (old["written_as"], old["standard"], old["replaced_by"]) == ("NAS178-6-8", "NAS178", "NAS1054")
    assert old["same_as"] == [{"number": "NAS1054-6-8", "relation": "current standard"}]
    assert "NAS1054" in caution(old, "superseded-number")
    assert (new["replaced_by"], new["supersedes"]) == (None, ["NAS178"])
    assert new["same_as"] == [{"number": "NAS178-6-8", "relation": "superseded"}]
    assert "superseded-number" not in codes(new)
    assert (answer_part("NAS1055-6-8")["replaced_by"], answer_part("NAS1055-6-8")["same_as"]) == (None, [])


def test_a_pin_shorter_in_grip_than_its_diameter_is_cautioned():
    """Never where the grip is less than the shank diameter: FAA-H-8083-30 text, pin rivets (second-hand)."""
    assert "pin-grip-short" in codes(answer_part("NAS1054-6-2"))  # 2/16 against 6/32
    assert "pin-grip-short" not in codes(answer_part("NAS1054-6-3"))  # 3/16 is 6/32


@pytest.mark.parametrize("number", ["NAS1055-6-8", "NAS177-8-8"])
def test_a_flush_pin_has_no_head_diameter_and_says_so(number):
    """The flush heads read are of blind rivets: US Army TM 9-2320-363-34-2 (cab body repair), published."""
    told = answer_part(number)
    assert told["head"]["cone_angle_deg"] == 100
    assert told["head"]["diameter_in"] is None
    assert "head.diameter" in empty(told)
    assert answer_part("NAS1399B6-8")["head"]["diameter_in"] is not None


# number -> a caution that its documents ask for
CAUTIONED = {
    "NAS1398B4-3": "grip-unverified",  # the ladder is memory
    "NAS1738B4-3": "oversize-shank",  # single-engine airplane structural repair manual, 51 series, 4.A.(d)
    "NAS1399B4-3": "preparation-unsaid",  # TM 9-2320-363-34-2, page 22-21
    "42": "not-for-aircraft",  # FAA AC 43.13-1B 4-57f(9)
    "AN3DD5A": "bolt-too-small",  # FAA AC 43.13-1B 7-41: aluminium under 1/4 in
    "NAS6304-10": "grip-unverified",  # no sheet read tells how its ladder goes on
    "NAS6603-8": "grip-unverified",
    "NAS1103-8": "grip-unverified",
    "NAS1303-8": "grip-unverified",
    "NAS464-4-10": "grip-unverified",
    "NAS6204-10": "close-tolerance",  # FAA AC 43.13-1B 7-44
    "AN4-10": "bolt-step",
    "MS20600AD4-3": "blind-limits",  # single-engine airplane structural repair manual, Fasteners 4.D
}


@pytest.mark.parametrize(("number", "code"), CAUTIONED.items())
def test_a_fastener_carries_its_own_cautions(number, code):
    assert code in codes(answer_part(number))


@pytest.mark.parametrize(
    ("number", "code"),
    [
        ("AN3-5A", "bolt-too-small"),  # No. 10 steel is the floor itself
        ("AN4DD10A", "bolt-too-small"),  # and 1/4 in aluminium
        ("AN4-10", "close-tolerance"),
        ("NAS1398B4-3", "oversize-shank"),
        ("NAS1398B4-3", "preparation-unsaid"),
        ("NAS1054-6-8", "grip-unverified"),  # read at second hand
        ("NAS6204-10", "grip-unverified"),  # so is its ladder, to the end
        ("AN4-10", "grip-unverified"),
        ("NAS1398B4", "grip-unverified"),  # a stem tells no grip
        ("NAS6304", "grip-unverified"),
        ("NAS1398B4-3", "not-for-aircraft"),
    ],
)
def test_a_caution_of_another_fastener_does_not_fire(number, code):
    assert code not in codes(answer_part(number))


@pytest.mark.parametrize("standard", MISSING, ids=lambda row: row.text("standard"))
def test_a_standard_that_lacks_data_says_which_and_from_what_document(standard):
    name = standard.text("standard")
    for number in (name, f"{name}-4-10", f"{name}-10A", f"{name}B4-3"):
        with pytest.raises(NotTabulated) as caught:
            answer_part(number)
        assert caught.value.field == "number"
        assert standard.text("missing") in caught.value.detail
        assert parse_grip_number(caught.value.example, EDITION)


# misreading -> the number meant; common practice, no source
MEANT = {
    "NAS1398B04-03": "NAS1398B4-3",
    "NAS1398-B-4-3": "NAS1398B4-3",
    "NAS1398 B4 3": "NAS1398B4-3",
    "NAS1921-B-04-03": "NAS1921B04-03",
    "MS20600AD4W3": "MS20600AD4-3",
    "NAS1054 6 8": "NAS1054-6-8",
    "NAS1054-06-08": "NAS1054-6-8",
    "AN4 10A": "AN4-10A",
    "AN4--10A": "AN4-10A",
    "AN4-10-A": "AN4-10A",
    "AN4-C10A": "AN4C10A",
    "AN4-DD-10A": "AN4DD10A",
    "AN4HC10A": "AN4CH10A",
    "AN4A-10": "AN4-10A",
    "AN4DDA10": "AN4DD10A",
    "AN4-10H": "AN4H10",
    "AN4-10AH": "AN4H10A",
    "AN4-10HA": "AN4H10A",
    "AN4-05A": "AN4-5A",
    "NAS6204-08": "NAS6204-8",
    "NAS6204 10": "NAS6204-10",
    "NAS6204-10D": "NAS6204-10",
    "NAS464P4-10": "NAS464-4-10",
    "NAS464P4A10": "NAS464-4-10",
    "NAS464P410": "NAS464-4-10",
    "NAS464 4 10": "NAS464-4-10",
    "NAS464-04-10": "NAS464-4-10",
    "NAS464P4": "NAS464-4",
    "NAS464P10": "NAS464-10",
}


@pytest.mark.parametrize(("text", "meant"), MEANT.items())
def test_a_likely_misreading_is_refused_and_the_number_meant_is_shown(text, meant):
    with pytest.raises(NotTabulated) as caught:
        answer_part(text)
    assert (caught.value.field, caught.value.example) == ("number", meant)
    assert meant in caught.value.detail
    assert parse_grip_number(meant, EDITION).written_as == meant


BAD = [
    *("NAS1398", "NAS1398B", "NAS1398B4-", "NAS1398-4-3", "NAS1398Q4-3", "NAS1398B7-3", "NAS1398B4-0", "NAS1398B4-13"),
    *("NAS1398B4-3-3", "NAS1398B4-3.5", "NAS1398B4--3", "NAS1398BB4-3", "NAS1398B4-3A", "NAS1398B4/3", "NAS1398B4-1e1"),
    *(
        "NAS1921B4-003",
        "NAS1921B004-3",
        "NAS1738B8-3",
        "M7885/2",
        "M7885/2-4-13",
        "M7885/2B4-3",
        "M7885/4-4-3",
        "M7885",
    ),
    *("AN4-", "AN4-A", "AN4-0", "AN4-10B", "AN4X10", "AN4D10A", "AN4-10AA", "AN410A", "AN4-100", "AN4-40", "AN4-2"),
    *("NAS6204-", "NAS6204-0", "NAS6204-102", "NAS6204A10", "NAS464", "NAS464P", "NAS464P11-10", "NAS464-4-10-1"),
    *("NAS1054", "NAS1054-6-0", "NAS1054-7-8", "NAS1054-6-17", "NAS1054B6-8", "NAS1054-6-8-8"),
    *("4", "400", "402", "77", "20", "00", "1234", "4.2", "-42", "42A", "-8-5", "8-5", "lockbolt-8-5", "LOCKBOLT"),
    *("NAS1398B\u0664-3", "NAS1398B4-\uff13", "\uff2e\uff21\uff331398B4-3", "NA\u017f1398B4-3", "\u0664\u0662"),
    *("AN4\u201110A", "AN4\u00a010A", "\u0410N4-10A", "NAS1398\u0412" + "4-3", "4\u00b2", "AN4-10A;", "AN4-10A\x00"),
    *("", " ", "\n", "\x00", "-", "--", "A", "AN", "NAS", "M7885/"),
    *(
        "4" * 5000,
        "AN4-" + "1" * 5000,
        "NAS1398B4-" + "9" * 5000,
        "N" * 5000,
        "AN4" + "-" * 5000,
        "NAS1054" + " 6" * 2500,
    ),
    *("AN4-10A" * 700, "M7885/2-" + "4-" * 2500, "NAS464" + "P" * 5000, "NAS6204" + " " * 5000 + "10"),
    *(
        "AN960-416L",
        "AN365-428A",
        "AN310-4",
        "AN380-2-2",
        "MS24665-132",
        "NAS528A6",
    ),  # washers, nuts, cotters, a collar
]


@pytest.mark.parametrize("text", BAD, ids=lambda text: ascii(text[:24]))
def test_a_number_that_cannot_be_read_is_refused_with_a_good_example(text):
    for refused in (lambda: parse_grip_number(text, EDITION), lambda: answer_part(text)):
        with pytest.raises(NotTabulated) as caught:
            refused()
        problem = caught.value
        assert problem.field == "number"
        assert len(problem.detail) < 300
        assert answer_part(problem.example.split(" or ")[0])


@modest
@given(
    st.text(max_size=40)
    | st.from_regex(
        r"(NAS1398|NAS1921|M7885/2|AN4|AN5|NAS6204|NAS464|NAS1054|MS20600)[A-Z0-9 ./-]{0,14}", fullmatch=True
    )
    | st.from_regex(r"[0-9-]{1,5}", fullmatch=True)
)
def test_no_text_makes_the_reader_fail_otherwise(text):
    try:
        found = parse_grip_number(text, EDITION)
    except NotTabulated:
        return
    assert is_grip_number(text, EDITION)
    assert parse_grip_number(found.written_as, EDITION) == found


def test_letters_that_only_look_alike_are_not_read():
    assert not is_grip_number("A\u039d4-10A", EDITION)
    assert not is_grip_number("NA\u017f1398B4-3", EDITION)


def test_numbers_of_solid_rivets_are_not_taken_for_others():
    for row in EDITION["offered"]:
        assert not is_grip_number(f"{row.text('standard')}{row.text('letters')}4-4", EDITION)
    for row in EDITION["aliases"]:
        assert not is_grip_number(f"{row.text('alias')}AD4-4", EDITION)
    assert answer_part("AN470AD4-4")["family"] == answer_part("AN426AD3-3.5")["family"] == "solid"


def some(standard: Row) -> list[str]:
    """Return numbers of a standard: a first, some between, a last, and a stem where it has one."""
    numbers = [number for number, _ in written(standard)]
    return [*dict.fromkeys([*numbers[:2], *numbers[2 :: max(1, len(numbers) // 8)], numbers[-1]])]


def without_unit(path: str) -> str:
    for unit in UNITS:
        path = path.removesuffix(unit)
    return path


_NULL_MEANS_NONE = NOT_APPLICABLE | {"grip", "length", "replaced_by", "mass.pieces_per_lb"}


@pytest.mark.parametrize("standard", READ, ids=lambda row: row.text("standard"))
def test_every_answer_has_the_documented_shape_a_source_for_each_figure_and_a_name_for_each_that_is_empty(standard):
    for number in some(standard):
        told = answer_part(number)
        assert ANSWER.validate(told) == {}
        assert told["link"] == f"/v1/parts/{number}?edition={EDITION.name}"
        assert all(field["meaning"] for field in told["fields"])
        figures = {figure for source in told["sources"] for figure in source["figures"]}
        blocks = ("diameter", "head", "length", "grip", "strength", "mass")
        for path, value in leaves({name: told[name] for name in blocks}):
            figure = without_unit(path)
            if value is None and figure not in _NULL_MEANS_NONE:
                assert figure in empty(told), (number, path)
            if isinstance(value, int | float) and not isinstance(value, bool):
                assert any(figure == cited or figure.startswith(f"{cited}.") for cited in figures), (number, path)
        for source in told["sources"]:
            row = EDITION[source["table"]].find(*source["row"])
            assert (source["document"], source["basis"]) == (row.document, row.basis)
        doubtful = any(source["basis"] in ("memory", "estimated") for source in told["sources"])
        assert doubtful == ("not-published" in codes(told))
        assert {"approved-data", "licensed-sign-off"} <= codes(told)


PICKED = [
    {"family": "blind", "head": "NAS1398", "alloy": "B", "diameter": "1/8", "stack": "0.100"},
    {"family": "blind", "head": "NAS1399", "alloy": "M", "diameter": "3/16", "stack": "0.100"},
    {"family": "blind", "head": "NAS1921", "alloy": "B", "diameter": "5/32", "stack": "0.150"},
    {"family": "blind", "head": "NAS1738", "alloy": "B", "diameter": "1/8", "stack": "0.100"},
    {"family": "blind", "head": "M7885/3", "alloy": "B", "diameter": "1/8", "stack": "0.300"},
    {"family": "blind", "head": "MS20600", "alloy": "AD", "diameter": "1/8", "stack": "0.100"},
    {"family": "blind", "head": "break-stem", "alloy": "any", "diameter": "3/16", "stack": "0.55"},
    {"family": "bolt", "head": "AN4", "alloy": "steel", "diameter": "1/4", "stack": "0.50"},
    {"family": "bolt", "head": "AN4H", "alloy": "C", "diameter": "1/4", "stack": "1.0", "nut": "AN310"},
    {"family": "bolt", "head": "AN5", "alloy": "DD", "diameter": "5/16", "stack": "0.50"},
    {"family": "bolt", "head": "NAS6204", "alloy": "steel", "diameter": "1/4", "stack": "0.60"},
    {"family": "bolt", "head": "NAS464", "alloy": "steel", "diameter": "1/4", "stack": "0.30"},
    {"family": "pin", "head": "NAS1054", "alloy": "steel", "diameter": "3/16", "stack": "0.45"},
    {"family": "pin", "head": "NAS178", "alloy": "steel", "diameter": "1/4", "stack": "0.45"},
]


@pytest.mark.parametrize("asked", PICKED, ids=lambda asked: asked["head"])
def test_every_number_a_pick_answers_with_is_read_back_with_its_figures(asked):
    picked = answer("pick", asked)
    told = answer_part(picked["part_number"])
    for block in ("part_number", "family", "standard", "diameter", "alloy", "head", "strength", "mass"):
        assert told[block] == picked[block], block
    for block in ("grip", "length"):
        assert (told[block] is None) == (picked[block] is None), block
        shared = set(told[block] or ()) & set(picked[block] or ()) - {"alternatives"}
        for name in shared:
            assert figure_at(told, f"{block}.{name}") == figure_at(picked, f"{block}.{name}"), name
