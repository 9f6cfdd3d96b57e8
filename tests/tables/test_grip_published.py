"""The tables of fasteners chosen by grip against what the documents print: tests/published/grip_*.csv.

Some files are grids, a row of a table each; most of the others say one cell a row: table, key, figure. A row is an
agreement (`equals`, `near` for nominal figures, `says` for the key words of a text), a bound where a stricter document
rules (`at least`, `at most`, `inches at least` for threads counted in inches), the lack of a row (`no row`), or `not
followed` with the reason beside it.
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from tests.conftest import published

from bucktail_service.engine.grip.bolt_numbers import format_bolt_number

SOURCE = ("document", "place", "basis", "comment")
GRIDS = {
    "grip_an_dashes": "bolt_grips",
    "grip_an_shanks": "bolt_shanks",
    "grip_ranges": "grip_ranges",
    "grip_holes": "grip_holes",
    "grip_heads": "grip_heads",
    "grip_torques": "torques",
    "grip_protrusions": "pin_protrusions",
}
CELLS = (
    "grip_bolt_holes",
    "grip_standards",
    "grip_strength",
    "grip_washers",
    "grip_nuts",
    "grip_cotters",
    "grip_pins",
    "grip_inspection",
    "grip_rules",
)
# better known before less: a row is never better known than what was read
RANK = {"published": 0, "second-hand": 1, "derived": 1, "memory": 2, "estimated": 3}
THOUSANDTH = Fraction(1, 1000)
# tables that only fasteners chosen by grip use
GRIP_TABLES = (
    *("grip_standards", "grip_offered", "grip_ladders", "grip_ranges", "grip_holes", "grip_heads", "grip_strength"),
    *("bolt_series", "bolt_shanks", "bolt_grips", "torques", "washers", "nuts", "nut_sizes", "cotters", "collars"),
    *("pin_protrusions", "grip_inspection"),
)


def cited(*names):
    """Return the rows of published files as cases named by file, document, place and what is printed."""
    cases = []
    for name in names:
        rows = published(f"{name}.csv")
        assert rows, name
        cases += [pytest.param(name, row, id=f"{name}: {_name(row)}") for row in rows]
    return cases


def _name(row):
    said = " ".join(value for column, value in row.items() if column not in SOURCE and value)
    return f"{said} ({row['document']} {row['place']})".replace("[", "(").replace("]", ")")


def number(text):
    """Return the exact value of a printed figure; None where it is none."""
    try:
        return Fraction(text)
    except ValueError:
        return None


def same(cell, printed):
    """True when a cell is the printed figure, whatever digits follow it, or the printed word."""
    return cell == printed or (number(cell) is not None and number(cell) == number(printed))


def check_basis(row, case):
    """Fail where a row claims more than what was read; a note that tells what is weaker is enough."""
    assert RANK[row.basis] >= RANK[case["basis"]] or case["basis"] in row.text("note"), (row, row.basis)


@pytest.mark.parametrize(("name", "case"), cited(*GRIDS))
def test_a_row_stands_as_printed(name, case, edition):
    table = edition[GRIDS[name]]
    row = table.find(*(case[column] for column in table.primary_key))
    assert row is not None
    for column, printed in case.items():
        if column in {"check", *table.primary_key, *SOURCE}:
            continue
        # an AN length the excerpt cut off is worked out; elsewhere a blank is a blank
        if printed == "" and name == "grip_an_dashes":
            continue
        assert same(row.text(column), printed) == (case["check"] == "equals"), column
    if case["check"] == "equals":
        check_basis(row, case)


@pytest.mark.parametrize(("name", "case"), cited(*CELLS))
def test_a_cell_says_what_the_document_says(name, case, edition):
    key = ["" if part == "-" else part for part in case["key"].split()]
    row = edition[case["table"]].find(*key)
    check, figure, printed = case["check"], case["figure"], case["printed"]
    if check == "no row":
        assert row is None
        return
    assert row is not None
    cell = row.text(figure)
    if check == "equals":
        assert same(cell, printed)
        check_basis(row, case)
    elif check == "says":
        assert printed in cell
        check_basis(row, case)
    elif check == "inches at least":
        assert all(
            Fraction(cell) / row.number("threads_per_inch") >= Fraction(printed) for row in edition["bolt_series"]
        )
    elif check == "near":
        assert abs(Fraction(cell) - Fraction(printed)) <= THOUSANDTH
    elif check == "not followed":
        assert not same(cell, printed)
    elif check == "at least":
        assert Fraction(cell) >= Fraction(printed)
    else:
        assert check == "at most"
        assert Fraction(cell) <= Fraction(printed)


# what a document prints for one kind of fastener and the tables take for others too: no better than derived
INFERRED = [
    # TM 1-1500-204-23-6, Figure 2-57 (a): a 5056 sleeve with a 2024 pin, self-plugging, mechanical lock
    *(("grip_strength", (offers, "B", ""), "derived") for offers in ("NAS1398", "NAS1738", "NAS1921")),
    ("grip_strength", ("M7885", "B", ""), "memory"),  # that it is such a rivet was read nowhere
    # TM 10-5410-221-14/1, rivet inspection item (6); TM 10-5410-223-24, para 2-12c note: break-stem blind rivets
    ("grip_inspection", ("blind_gap",), "derived"),
    ("grip_inspection", ("blind_hole",), "derived"),
    # TM 10-5410-229-13&P, para 5-6(3)(b): sheet-metal repairs at large
    *(
        ("spacing", (practice, distance, "threaded"), "derived")
        for practice in ("civil", "military")
        for distance in ("edge_minimum", "pitch_minimum", "row_minimum")
    ),
]


@pytest.mark.parametrize(
    ("table", "key", "basis"), INFERRED, ids=lambda part: part if isinstance(part, str) else " ".join(part)
)
def test_what_is_taken_from_another_kind_of_fastener_is_inferred_and_says_so(table, key, basis, edition):
    row = edition[table].find(*key)
    assert row.basis == basis
    assert any(word in row.text("note") for word in ("inferred", "not read", "is memory"))


PULL_STEM = [param for param in cited("grip_holes") if param.values[1]["holes"] == "break-stem"]


@pytest.mark.parametrize(("name", "case"), PULL_STEM)
def test_a_pull_stem_rivet_takes_the_hole_printed_for_a_break_stem_one_of_its_size(name, case, edition):
    pulled = [edition["grip_standards"].find(standard) for standard in ("MS20600", "MS20601")]
    assert {row.text("holes") for row in pulled} == {"pull-stem"}
    row = edition["grip_holes"].find("pull-stem", case["fraction"])
    if str(Fraction(case["fraction"]) * 32) not in pulled[0].words("sizes"):
        assert row is None
        return
    assert [row.text(column) for column in ("drill", "minimum_in", "maximum_in")] == [
        case[column] for column in ("drill", "minimum_in", "maximum_in")
    ]
    assert (row.basis, row.document) == ("derived", case["document"])
    assert "inferred" in row.text("note")


def test_no_row_tells_how_often_its_document_was_read(edition):
    for table in GRIP_TABLES:
        for row in edition[table]:
            assert not re.search(r"(first|second|third) (reading|pass)|verify before use|of ours", row.text("note")), (
                row
            )


def eighths(dash):
    """Return an AN dash as eighths: the first of two digits counts inches."""
    inches, rest = divmod(int(dash), 10)
    return 8 * inches + rest


@pytest.mark.parametrize(("name", "case"), cited("grip_an_series"))
def test_a_series_of_an_bolts_is_as_printed(name, case, edition):
    row = edition["bolt_series"].find(case["standard"])
    for column in ("nominal_in", "thread", "thread_length_in"):
        assert same(row.text(column), case[column]), column
    check_basis(row, case)


@pytest.mark.parametrize(
    ("name", "case"), [param for param in cited("grip_an_series") if param.values[1]["anchor_dash"]]
)
def test_an_grips_and_lengths_count_on_from_the_printed_anchor(name, case, edition):
    rows = [row for row in edition["bolt_grips"] if row.text("standard") == case["standard"]]
    anchor, offset = (Fraction(case[column]) for column in ("anchor_grip_in", "length_offset_in"))
    for row in rows:
        if row.text("dash") == "3":
            continue  # "shortest dash, does not follow the length ladder": printed figure by figure
        steps = eighths(row.text("dash")) - eighths(case["anchor_dash"])
        assert abs(row.number("grip_in") - anchor - steps * Fraction(case["grip_step_in"])) <= THOUSANDTH, row
        assert abs(row.number("length_in") - Fraction(eighths(row.text("dash")), 8) - offset) <= THOUSANDTH, row
    assert len(rows) > 20


@pytest.mark.parametrize(
    ("name", "case"), [param for param in cited("grip_an_series") if not param.values[1]["anchor_dash"]]
)
def test_a_series_without_a_printed_dash_row_has_no_grips_and_says_so(name, case, edition):
    assert not [row for row in edition["bolt_grips"] if row.text("standard") == case["standard"]]
    missing = edition["grip_standards"].find(case["standard"]).text("missing")
    assert f"any row of the AN3-AN20 sheet that gives a grip of {case['standard']}" in missing


def the_code(check):
    """Return the rows of the AN code of a kind."""
    rows = [row for row in published("grip_an_code.csv") if row["check"] == check]
    assert rows, check
    return rows


def test_an_bolt_numbers_count_the_diameter_in_sixteenths(edition):
    for case in the_code("diameter"):
        row = edition["bolt_series"].find(case["key"])
        assert row.text("fraction") == case["printed"]


def test_an_dashes_of_one_digit_step_by_an_eighth_of_length(edition):
    for case in the_code("eighths"):
        for standard in ("AN3", "AN4", "AN5"):
            rows = [edition["bolt_grips"].find(standard, dash) for dash in case["key"].split()]
            lengths = [row.number("length_in") for row in rows]
            assert [after - before for before, after in zip(lengths, lengths[1:], strict=False)] == [
                Fraction(case["printed"])
            ] * (len(rows) - 1)


def test_an_dashes_are_those_that_exist(edition):
    (case,) = the_code("dashes")
    exist = set()
    for run in case["printed"].split():
        first, last = run.split("-")
        exist |= {str(dash) for dash in range(int(first), int(last) + 1)}
    assert {row.text("dash") for row in edition["bolt_grips"]} == exist


def test_an_material_letters_mean_what_is_printed(edition):
    written = {row.text("letters"): row for row in edition["grip_offered"] if row.text("offers") == "AN-bolt"}
    cases = the_code("material")
    assert set(written) == {case["key"] for case in cases}
    for case in cases:
        # the card writes aluminum, the tables aluminium
        assert written[case["key"]].text("name").startswith(case["printed"].replace("aluminum", "aluminium"))
        check_basis(written[case["key"]], case)


def test_an_letters_tell_a_drilled_head_and_an_undrilled_shank(edition):
    standard = edition["grip_standards"].find("AN4")
    (head,), (shank,) = the_code("drilled head"), the_code("plain shank")
    written = {
        drilled_head: format_bolt_number(standard, "", "10", drilled_head=drilled_head, drilled_shank=False, diameter=4)
        for drilled_head in (True, False)
    }
    assert written == {True: head["key"], False: shank["key"]}


def test_an_threads_hold_a_washer_and_the_full_height_nut_with_a_thread_over(edition):
    (case,) = the_code("thread")
    for row in edition["bolt_series"]:
        nut = edition["nut_sizes"].find(case["key"], row.text("fraction"))
        if nut is None or not row.text("standard").startswith("AN"):
            continue
        (washer,) = (
            washer
            for washer in edition["washers"]
            if (washer.text("fraction"), washer.text("variant")) == (row.text("fraction"), "regular")
        )
        over = row.number("thread_length_in") - washer.number("thickness_in") - nut.number("height_in")
        assert over * row.number("threads_per_inch") >= Fraction(case["printed"]), row


SERIES = [param for param in cited("grip_nas_bolts") if param.values[1]["check"] == "equals"]


@pytest.mark.parametrize(("name", "case"), SERIES)
def test_a_nas_bolt_is_as_printed(name, case, edition):
    row, shank = (edition[table].find(case["standard"]) for table in ("bolt_series", "bolt_shanks"))
    major, pitch = case["thread"].split("-")
    # .1900 is the major diameter of a No. 10, which the tables call by 3/16
    assert (Fraction("0.1900") if row.text("fraction") == "3/16" else row.number("nominal_in")) == Fraction(major)
    assert row.text("threads_per_inch") == pitch
    assert row.text("form") == case["form"] == "UNJF"  # the heading of the column of threads
    for column in ("thread_length_in", "incomplete_thread_in", "cotter_hole_minimum_in", "cotter_hole_maximum_in"):
        assert same(row.text(column), case[column]), column
    for column in ("minimum_in", "maximum_in"):
        assert same(shank.text(column), case[f"shank_{column}"]), column
    standard = edition["grip_standards"].find(case["standard"])
    offered = [row for row in edition["grip_offered"] if row.text("offers") == standard.text("offers")]
    assert all(f"{case['ftu_ksi']} ksi" in row.text("name") for row in offered)
    check_basis(row, case)
    check_basis(shank, case)


@pytest.mark.parametrize(("name", "case"), cited("grip_nas_bolts"))
def test_a_nas_bolt_counts_its_grip_in_sixteenths(name, case, edition):
    standard = edition["grip_standards"].find(case["standard"])
    ladder = edition["grip_ladders"].find(standard.text("ladder"))
    assert Fraction(case["grip_step_in"]) == Fraction(1, 16)
    assert "the grip in sixteenths" in ladder.text("text")
    assert (ladder.number("below_in"), ladder.number("above_in")) == (0, 0)
    if case["ladder"] == "1/16 ladder":
        # where it ends is printed for NAS6203 alone: none goes on beyond what that has every number of
        assert (ladder.text("ladder"), ladder.text("last"), ladder.text("even_over")) == ("sixteenths", "32", "")
    else:
        every, last_even = re.fullmatch(r"1-(\d+) every, \d+-(\d+) even", case["ladder"]).groups()
        assert f"every number to {every}, even ones to {last_even}" in ladder.text("text")
        assert (ladder.text("first"), ladder.text("last"), ladder.text("even_over")) == ("1", last_even, every)
        assert len([*range(1, int(every) + 1), *range(int(every) + 2, int(last_even) + 1, 2)]) == 66  # as noted
    # nothing but the grip is known of these
    assert (edition["bolt_series"].find(case["standard"]) is None) == (case["check"] == "ladder only")


ENDS = {"(n-1)/16": Fraction(1, 16), "n/16-1/32": Fraction(1, 32), "n/16": Fraction(0), "n/16+1/32": Fraction(1, 32)}


@pytest.mark.parametrize(("name", "case"), cited("grip_dash_codes"))
def test_a_number_counts_diameter_and_grip_as_the_document_says(name, case, edition):
    standard = edition["grip_standards"].find(case["standard"])
    ladder = edition["grip_ladders"].find(standard.text("ladder"))
    words = {"max": "the most grip in sixteenths", "centre": "the middle of the grip in sixteenths"}
    assert words.get(case["counts"], "the grip in sixteenths") in ladder.text("text")
    assert Fraction(case["grip_unit_in"]) == Fraction(1, 16)
    # the break-stem chart rules over its pattern
    if case["from"] and ladder.text("below_in"):
        assert ladder.number("below_in") == ENDS[case["from"]]
    if case["to"] and ladder.text("above_in"):
        assert ladder.number("above_in") == ENDS[case["to"]]
    if case["counts"] == "exact":
        assert (ladder.number("below_in"), ladder.number("above_in")) == (0, 0)
    for size in standard.words("sizes"):
        inches = int(size) * Fraction(case["diameter_unit_in"])
        if standard.text("family") != "bolt":
            assert edition["diameters"].find(size).number("nominal_in") == inches
        elif (bolt := edition["bolt_series"].find(case["standard"])) is not None:
            assert bolt.number("nominal_in") == inches
    if ladder.text("ladder") != "break-stem":
        check_basis(ladder, case)


LEFT_OUT = published("grip_left_out.csv")
REASONS = {
    "battle damage",
    "contradicts the dash table",
    "no figure",
    "not an airframe rivet",
    "not asked",
    "one company's practice",
    "standard not in the tables",
    "unreliable page",
}


def test_a_row_left_out_names_its_reason_and_is_named_once():
    assert {row["reason"] for row in LEFT_OUT} == REASONS
    keys = [(row["file"], row["row"], row["document"]) for row in LEFT_OUT]
    assert len(keys) == len(set(keys))
    for row in LEFT_OUT:
        assert row["row"]
        assert row["document"]
        assert row["comment"] or row["reason"] == "battle damage", row


def test_what_a_battle_damage_manual_says_is_left_out_and_in_no_table(edition):
    manuals = {row["document"] for row in LEFT_OUT if row["reason"] == "battle damage"}
    assert manuals
    assert {row["reason"] for row in LEFT_OUT if row["document"] in manuals} == {"battle damage"}
    # the distinctive part of the manuals' numbers, however the document is written
    numbers = {re.search(r"TM [0-9-]+-BD", name)[0] for name in manuals}
    for table in (*GRIP_TABLES, "rules", "spacing"):
        for row in edition[table]:
            assert not any(number in row.document for number in numbers), row


def test_no_hole_limits_are_given_for_bolts_as_only_a_battle_damage_manual_prints_them(edition):
    assert any(row["file"] == "bolt_holes" and row["reason"] == "battle damage" for row in LEFT_OUT)
    for row in edition["grip_holes"]:
        if row.text("holes") == "an-bolt":
            assert (row.text("minimum_in"), row.text("maximum_in")) == ("", "")


def test_no_rivet_of_the_iso_table_is_a_standard_of_the_tables(edition):
    iso = [row for row in LEFT_OUT if row["file"] == "iso_blind_rivet"]
    assert {row["reason"] for row in iso} == {"not an airframe rivet"}
    assert not [row for row in edition["grip_standards"] if "ISO" in row.text("standard") or "ISO" in row.document]
