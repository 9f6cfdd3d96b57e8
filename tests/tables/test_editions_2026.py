"""Edition 2026.2 against 2026.1: what changed is what its CHANGES.md says, and nothing else."""

from __future__ import annotations

import json
from collections import Counter

import pytest

from bucktail_service.answering import answer
from bucktail_tables.check import check_edition
from bucktail_tables.load import BASES, HERE, SOURCE_COLUMNS, edition_names, load_edition

OLD, NEW = load_edition("2026.1"), load_edition("2026.2")
CHANGES = (HERE / "2026.2" / "CHANGES.md").read_text(encoding="utf-8")
# better known first; derived and second-hand are not held against each other
ORDER = {"published": 0, "second-hand": 1, "derived": 1, "memory": 2, "estimated": 3}

ADDED = {
    # FAA-H-8083-31, evaluating the rivet; TM 10-5410-221-14/1, text beside Table 4-3: both published
    ("inspection_limits", ("joggled_shank",)),
    ("inspection_limits", ("gap_curved",)),
}
# the copy read begins the 1/4 column at 0.050
REMOVED = {("unit_bearing", ("1/4", "0.045"))}
# columns that answers are made from; B basis of bare 2024-T3: memory, and in no answer
CHANGED = {("bearing_allowables", ("2024-T3 bare", "0.010"), column) for column in ("fbru_15_b_ksi", "fbru_20_b_ksi")}
# table, key, basis, document where it was read
BETTER = {
    ("bearing_allowables", ("2024-T3 bare", "0.010"), "second-hand", "MIL-HDBK-5J Table 3.2.3.0(b1), as transcribed"),
    ("cautions", ("control-surface",), "derived", "FAA AC 43.13-1B"),
}


def pairs():
    """Yield the rows of both editions that have one key."""
    for name in OLD.tables:
        for row in NEW[name]:
            before = OLD[name].find(*row.key)
            if before is not None:
                yield before, row


@pytest.mark.parametrize("name", edition_names())
def test_every_installed_edition_has_no_flaw(name):
    assert check_edition(load_edition(name)) == []


def test_both_editions_have_the_same_tables_and_columns():
    described = [
        json.loads((HERE / name / "datapackage.json").read_text(encoding="utf-8")) for name in ("2026.1", "2026.2")
    ]
    assert described[0]["resources"] == described[1]["resources"]
    assert [entry["version"] for entry in described] == ["2026.1", "2026.2"]
    assert list(OLD.tables) == list(NEW.tables)


def test_rows_added_and_removed_are_those_named():
    keys = [{(table.name, row.key) for table in edition.tables.values() for row in table} for edition in (OLD, NEW)]
    assert keys[1] - keys[0] == ADDED
    assert keys[0] - keys[1] == REMOVED
    for _, key in ADDED:
        assert key[0] in CHANGES or key[0] in {"joggled_shank", "gap_curved"}


def test_no_figure_changed_but_those_named():
    changed = {
        (row.table, row.key, column)
        for before, row in pairs()
        for column in row.cells
        if column not in SOURCE_COLUMNS and row.cells[column] != before.cells[column]
    }
    assert changed == CHANGED


def test_no_row_is_better_known_but_those_named():
    better = {
        (row.table, row.key, row.basis, row.document)
        for before, row in pairs()
        if ORDER[row.basis] < ORDER[before.basis]
    }
    assert better == BETTER


def test_rows_that_rest_on_memory_say_so():
    worse = {(row.table, row.key[0], row.basis) for before, row in pairs() if ORDER[row.basis] > ORDER[before.basis]}
    named = {table for table, _, _ in worse}
    assert named == {"cotters", "grip_offered", "grip_standards", "materials", "length_rules"}
    for _, row in ((before, row) for before, row in pairs() if ORDER[row.basis] > ORDER[before.basis]):
        told = f"{row.document} {row.cells['note']}"
        assert "memory" in told or (row.table, row.basis) == ("length_rules", "derived")
    # facts: the head styles of NAS1398 and NAS1399 are memory, the sizes of MS24665 pins are memory
    assert NEW["grip_standards"].find("NAS1398").basis == "memory"
    assert {row.basis for row in NEW["cotters"]} == {"memory"}
    # read in NAVEDTRA 14315: alloy, temper, mark; a handbook text reprinted elsewhere: used as fabricated
    assert NEW["materials"].find("B").basis == "second-hand"


def test_no_note_speaks_of_a_draft_before():
    notes = [row.cells["note"] for table in NEW.tables.values() for row in table]
    assert not [note for note in notes if "read again" in note or "WRONG" in note or "computed column" in note]


def told(before, after):
    return str(before) if before == after else f"{before} -> {after}"


def line(words, counts):
    cells = [told(*(count[basis] for count in counts)) for basis in BASES]
    return f"| {words} | {' | '.join(cells)} |"


def test_the_count_table_is_that_of_the_files():
    rest = [Counter(), Counter()]
    others = 0
    for name in OLD.tables:
        counts = [Counter(row.basis for row in edition[name]) for edition in (OLD, NEW)]
        if counts[0] == counts[1]:
            others += 1
            rest = [total + count for total, count in zip(rest, counts, strict=True)]
        else:
            assert line(f"`{name}`", counts) in CHANGES
    assert line(f"the other {others} tables", rest) in CHANGES
    every = [Counter(row.basis for table in edition.tables.values() for row in table) for edition in (OLD, NEW)]
    assert line("**all rows**", every) in CHANGES


@pytest.mark.parametrize("practice", ["civil", "military"])
def test_the_figures_of_one_pick_are_counted_as_it_answers(practice):
    counts = []
    for edition in ("2026.1", "2026.2"):
        asked = {"diameter": "1/8", "alloy": "AD", "head": "MS20470", "stack": "0.040+0.040", "practice": practice}
        sources = answer("pick", {**asked, "edition": edition})["sources"]
        counts.append(Counter(source["basis"] for source in sources for _ in source["figures"]))
    assert line(practice, counts) in CHANGES


def test_the_changes_stand_under_their_three_headings():
    assert [text for text in CHANGES.splitlines() if text.startswith("#")] == [
        *("# 2026.2", "## Changes answers", "## Adds answers", "## Commentary")
    ]
    assert max(map(len, CHANGES.splitlines())) <= 150


def test_a_sheet_that_is_no_cell_has_no_unit_bearing_and_the_same_bearing():
    asked = {"diameter": "1/4", "alloy": "AD", "head": "universal", "stack": "0.045 clad 2024-T3+0.045 clad 2024-T3"}
    before, after = (answer("joint", {**asked, "edition": edition}) for edition in ("2026.1", "2026.2"))
    # 0.257 x 0.045 x 100 ksi, computed: 1156 lbf
    assert [layer["unit_lbf"] for layer in before["layers"]] == [1156, 1156]
    assert [layer["unit_lbf"] for layer in after["layers"]] == [None, None]
    assert [layer["bearing_lbf"] for layer in before["layers"]] == [layer["bearing_lbf"] for layer in after["layers"]]


def test_an_inspection_tells_to_look_for_a_joggled_shank():
    asked = {"fastener": "MS20470AD4-4", "stack": "0.040+0.040", "formed_diameter": "0.19", "formed_height": "0.06"}
    before, after = (answer("inspect", {**asked, "edition": edition}) for edition in ("2026.1", "2026.2"))
    texts = [[entry["text"] for entry in found["look_for"]] for found in (before, after)]
    assert [text for text in texts[1] if text not in texts[0]] == [
        "a shank found joggled when the rivet is taken out: the joint failed in shear",
        "on a curved surface a head may show a gap in part while it bears at its tangent points",
    ]
    assert before["verdict"] == after["verdict"]
