"""What differs between two editions: nothing from one to itself, and mirrored it is the other way round."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engine.moving import BEFORE, edited, other_figure, with_rows
from tests.tables.spoiling import Copy

from bucktail_service.engine.changes import change_cautions, changed_rows, changes
from bucktail_tables.load import load_edition
from bucktail_tables.model import Row

SPACING = ("civil", "row_minimum", "any")


@st.composite
def editions(draw):
    """The released edition with rows of one table dropped, changed and added."""
    table = BEFORE[draw(st.sampled_from(sorted(BEFORE.tables)))]
    rows = draw(st.lists(st.sampled_from(table.rows), max_size=6, unique_by=lambda row: row.key))
    drop = [row.key for row in rows[::3]]
    put = [(row.key, *(other_figure(row, table) or ("note", row.text("note") + "x"))) for row in rows[1::3]]
    first = table.primary_key[0]
    add = [{**row.cells, first: f"{row.text(first)}-other"} for row in rows[2::3]]
    return edited(table.name, drop=drop, put=put, add=add), len(drop), len(put), len(add)


def mirrored(told):
    """Return what `changes` told, the two editions changing places."""
    other = {"added": "removed", "removed": "added", "changed": "changed"}

    def turned(entry):
        return {**entry, "before": entry["after"], "after": entry["before"]}

    tables = [
        {
            **table,
            "state": other[table["state"]],
            "key_before": table["key_after"],
            "key_after": table["key_before"],
            "added": table["removed"],
            "removed": table["added"],
            "columns": [{**turned(entry), "state": other[entry["state"]]} for entry in table["columns"]],
            "rows": [
                {**turned(row), "state": other[row["state"]], "cells": [turned(cell) for cell in row["cells"]]}
                for row in table["rows"]
            ],
        }
        for table in told["tables"]
    ]
    counts = {**told["counts"], "added": told["counts"]["removed"], "removed": told["counts"]["added"]}
    return {"from": told["to"], "to": told["from"], "counts": counts, "tables": tables}


@settings(max_examples=60, deadline=None)
@given(editions())
def test_mirrored_the_changes_are_those_the_other_way_round(made):
    after, *_ = made
    assert mirrored(changes(BEFORE, after)) == changes(after, BEFORE)


@settings(max_examples=60, deadline=None)
@given(editions())
def test_what_was_changed_is_told_and_nothing_else(made):
    after, dropped, put, added = made
    counts = changes(BEFORE, after)["counts"]
    assert (counts["removed"], counts["changed"], counts["added"]) == (dropped, put, added)
    assert counts["cells"] == put
    assert counts["tables"] == (dropped + put + added > 0)


@settings(max_examples=30, deadline=None)
@given(editions())
def test_an_edition_does_not_differ_from_itself(made):
    for edition in (BEFORE, made[0]):
        told = changes(edition, edition)
        assert told["tables"] == []
        assert set(told["counts"].values()) == {0}


def test_a_changed_cell_is_told_with_both_sources(tmp_path):
    default, copy = load_edition(), Copy(tmp_path)
    was = default["spacing"].find(*SPACING)
    other = "derived" if was.basis == "memory" else "memory"
    line = copy.find("spacing", *SPACING)
    copy.put("spacing", line, "basis", other)
    copy.put("spacing", line, "note", "read again")
    told = changes(default, copy.load())
    (table,) = told["tables"]
    (row,) = table["rows"]
    assert (table["table"], row["row"], row["state"]) == ("spacing", list(SPACING), "changed")
    assert [cell["column"] for cell in row["cells"]] == ["basis", "note"]
    assert row["cells"][0] == {"column": "basis", "before": was.basis, "after": other}
    assert (row["before"]["basis"], row["after"]["basis"]) == (was.basis, other)
    assert row["before"]["document"] == was.document
    assert changed_rows(told) == {("spacing", SPACING): {"table": "spacing", **row}}


def test_rows_in_another_order_have_not_changed(tmp_path):
    copy = Copy(tmp_path)
    header, *rows = copy.rows("spacing")
    copy.write("spacing", [header, *reversed(rows)])
    assert changes(load_edition(), copy.load())["tables"] == []


def test_a_row_that_came_shows_its_cells_and_no_source_before():
    row = {**BEFORE["spacing"].find(*SPACING).cells, "heads": "dimpled"}
    added = BEFORE["spacing"].primary_key.index("heads")
    told = changes(BEFORE, edited("spacing", add=[row]))["tables"][0]["rows"][0]
    assert told["row"][added] == "dimpled"
    assert told["before"] is None
    assert {cell["column"]: cell["after"] for cell in told["cells"]} == {
        name: text for name, text in row.items() if text
    }
    assert all(cell["before"] is None for cell in told["cells"])


def table_like(change):
    table = BEFORE["spacing"]
    return replace(BEFORE, name="other", tables={**BEFORE.tables, "spacing": change(table)})


def test_a_column_of_another_unit_is_told_though_no_cell_differs():
    fields = [field for field in BEFORE["spacing"].fields if field.type == "number"]
    after = table_like(
        lambda table: replace(
            table, fields=tuple(replace(field, unit="furlong") if field in fields else field for field in table.fields)
        )
    )
    (table,) = changes(BEFORE, after)["tables"]
    assert table["rows"] == []
    told = {
        entry["column"]: (entry["state"], entry["before"]["unit"], entry["after"]["unit"]) for entry in table["columns"]
    }
    assert told == {field.name: ("changed", field.unit, "furlong") for field in fields} != {}


def test_a_column_that_came_empty_changes_no_row_and_a_filled_one_does():
    def wider(table):
        rows = [
            Row("spacing", row.line, row.key, {**row.cells, "more": "x" if row.key == SPACING else ""}) for row in table
        ]
        more = replace(table.fields[0], name="more", type="string", unit=None)
        return with_rows(replace(table, fields=(*table.fields, more)), rows)

    (table,) = changes(BEFORE, table_like(wider))["tables"]
    assert [(column["column"], column["state"]) for column in table["columns"]] == [("more", "added")]
    assert [(row["row"], row["cells"]) for row in table["rows"]] == [
        (list(SPACING), [{"column": "more", "before": None, "after": "x"}])
    ]


def test_a_table_that_went_is_told_with_all_its_rows():
    after = replace(BEFORE, tables={name: table for name, table in BEFORE.tables.items() if name != "cotters"})
    (table,) = changes(BEFORE, after)["tables"]
    assert (table["table"], table["state"], table["removed"]) == ("cotters", "removed", len(BEFORE["cotters"]))
    assert all(row["state"] == "removed" for row in table["rows"])


def test_with_another_primary_key_no_old_row_is_one_of_the_new():
    after = table_like(lambda table: replace(table, primary_key=tuple(reversed(table.primary_key))))
    (table,) = changes(BEFORE, after)["tables"]
    assert (table["removed"], table["added"]) == (len(BEFORE["spacing"]), len(BEFORE["spacing"]))
    there, back = mirrored(changes(BEFORE, after)), changes(after, BEFORE)
    in_order = [[(row["row"], row["state"]) for row in told["tables"][0]["rows"]] for told in (there, back)]
    assert sorted(in_order[0]) == in_order[1]


def test_doubt_on_either_side_is_told():
    memory = next(row for row in BEFORE["spacing"] if row.basis == "memory")
    after = edited("spacing", put=[(memory.key, "basis", "published")])
    codes = [entry["code"] for entry in change_cautions(changes(BEFORE, after), BEFORE, after)]
    assert codes == ["not-published", "approved-data"]
    none = change_cautions(changes(BEFORE, BEFORE), BEFORE, BEFORE)
    assert [entry["code"] for entry in none] == ["approved-data"]
