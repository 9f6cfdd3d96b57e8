"""Whose answers move between two editions: only those whose rows changed, by exactly what changed."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engine.moving import BEFORE, QUESTIONS, edited, other_figure, past

from bucktail_service.asking.moves import Past, moves_between, moves_csv
from bucktail_service.engine.moves import Outcome, move
from bucktail_service.text.moves import moves_text

UNIVERSAL = QUESTIONS[0]
SHEAR = ("AD", "driven", "1/8")
# figures of every kind of fastener the questions ask for
CHANGED = [(table, row) for table in BEFORE.tables.values() for row in table if other_figure(row, table) is not None]


def only(questions, after, before=BEFORE):
    return moves_between(before, after, past(questions))


@settings(max_examples=120, deadline=None)
@given(st.sampled_from(CHANGED))
def test_a_figure_moves_only_where_a_row_that_an_answer_names_has_changed(changed):
    table, row = changed
    told = only(QUESTIONS, edited(table.name, put=[(row.key, *other_figure(row, table))]))
    for entry in told["moves"]:
        columns = {figure["column"] for figure in entry["figures"]}
        # rows that decide nothing but whether a caution fires are not among an answer's sources
        if not entry["why"]:
            assert columns <= {"cautions"}
            assert entry["outcome"] in ("same", "figures")
        else:
            assert [(cause["table"], cause["row"]) for cause in entry["why"]] == [(table.name, list(row.key))]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(CHANGED))
def test_mirrored_the_moves_are_those_the_other_way_round(changed):
    table, row = changed
    after = edited(table.name, put=[(row.key, *other_figure(row, table))])
    there, back = only(QUESTIONS, after), only(QUESTIONS, BEFORE, after)
    turned = {"only-before": "only-after", "only-after": "only-before"}
    for one, other in zip(there["moves"], back["moves"], strict=True):
        assert turned.get(one["outcome"], one["outcome"]) == other["outcome"]
        assert [(f["column"], f["before"], f["after"]) for f in one["figures"]] == [
            (f["column"], f["after"], f["before"]) for f in other["figures"]
        ]
        assert [f["by"] for f in one["figures"]] == [None if f["by"] is None else -f["by"] for f in other["figures"]]


def test_nothing_moves_from_an_edition_to_itself():
    told = only(QUESTIONS, BEFORE)
    assert told["summary"]["outcomes"]["same"] == len(QUESTIONS)
    assert told["summary"]["moved"] == 0
    assert all(entry["figures"] == entry["why"] == [] for entry in told["moves"])


def test_a_figure_moves_by_exactly_what_its_row_does():
    # shear strength of the row, MIL-HDBK-5F in the table, raised by 12.5 lbf
    was = BEFORE["shear"].find(*SHEAR)
    after = edited("shear", put=[(SHEAR, "single_shear_lbf", str(was.number("single_shear_lbf") + 12) + ".5")])
    (entry,) = only([UNIVERSAL], after)["moves"]
    assert entry["outcome"] == "figures"
    (figure,) = entry["figures"]
    assert (figure["column"], figure["by"]) == ("single_shear_lbf", 12.5)
    assert entry["part_number_before"] == entry["part_number_after"] == "MS20470AD4-4"
    (cause,) = entry["why"]
    assert (cause["table"], cause["row"]) == ("shear", list(SHEAR))


def test_another_shortest_length_moves_the_part_number():
    (entry,) = only([UNIVERSAL], edited("lengths", put=[(("1/8",), "shortest_dash", "5")]))["moves"]
    assert entry["outcome"] == "part-number"
    assert (entry["part_number_before"], entry["part_number_after"]) == ("MS20470AD4-4", "MS20470AD4-5")
    assert {"part_number", "length_in", "each_g"} <= {figure["column"] for figure in entry["figures"]}
    assert [cause["table"] for cause in entry["why"]] == ["lengths"]


def test_an_answer_that_went_is_told_with_its_problem_and_came_back_mirrored():
    after = edited("offered", drop=[("MS20470", "AD")])
    (gone,) = only([UNIVERSAL], after)["moves"]
    assert gone["outcome"] == "only-before"
    assert gone["problem_before"] is None
    assert gone["problem_after"]["type"].endswith("not-tabulated")
    assert [(cause["table"], cause["state"]) for cause in gone["why"]] == [("offered", "removed")]
    (back,) = only([UNIVERSAL], BEFORE, after)["moves"]
    assert back["outcome"] == "only-after"
    assert [(cause["table"], cause["state"]) for cause in back["why"]] == [("offered", "added")]


def test_a_row_known_better_is_told_though_its_figure_stays():
    key = ("civil", "row_minimum", "any")
    told = only([UNIVERSAL], edited("spacing", put=[(key, "basis", "published")]))
    assert told["summary"]["outcomes"]["same"] == told["summary"]["same_on_changed_rows"] == 1
    assert told["moves"][0]["why"][0]["after"]["basis"] == "published"


def test_a_draft_moves_nothing_by_being_one(tmp_path):
    from dataclasses import replace  # noqa: PLC0415

    draft = replace(BEFORE, name="draft", status="draft")
    assert only(QUESTIONS, draft)["summary"]["moved"] == 0


def test_a_row_that_cannot_be_asked_is_answered_in_neither_and_the_others_go_on():
    rows = [
        Past(1, {**UNIVERSAL, "stack": "nan"}, {}, None),
        Past(2, {}, {"line": "?"}, {"type": "urn:bucktail:problem:bad-question", "detail": "why"}),
        Past(3, UNIVERSAL, {"job": "7"}, None),
    ]
    told = moves_between(BEFORE, BEFORE, rows)
    assert [entry["outcome"] for entry in told["moves"]] == ["unanswered", "unanswered", "same"]
    assert told["moves"][0]["problem_before"] == told["moves"][0]["problem_after"]
    assert told["moves"][2]["carried"] == {"job": "7"}


def test_a_fault_of_ours_is_the_problem_of_its_row(monkeypatch, caplog):
    def fail(*_):
        raise ZeroDivisionError

    monkeypatch.setattr("bucktail_service.asking.moves.answer_read", fail)
    (entry,) = only([UNIVERSAL], BEFORE)["moves"]
    assert entry["problem_after"]["status"] == 500
    assert "ZeroDivisionError" in caplog.text


def test_a_repeated_question_is_asked_once(monkeypatch):
    from bucktail_service.asking import moves  # noqa: PLC0415

    asked = []
    answer = moves.answer_read
    monkeypatch.setattr(moves, "answer_read", lambda *args: asked.append(1) or answer(*args))
    assert only([UNIVERSAL] * 50, BEFORE)["summary"]["questions"] == 50
    assert len(asked) == 2


@pytest.mark.parametrize(
    ("before", "after", "by"),
    [(0.1, 0.3, 0.2), (388, 388.5, 0.5), (0.3, 0.1, -0.2), (None, 0.1, None), ("4", "5", None), (True, 2, None)],
)
def test_numbers_move_by_exact_decimals_and_nothing_else_by_a_number(before, after, by):
    outcomes = [Outcome({"part_number": "A", "x": value}) for value in (before, after)]
    assert move(*outcomes, {})["figures"] == [{"column": "x", "before": before, "after": after, "by": by}]


def test_the_summary_counts_what_moves_and_how_far():
    after = edited(
        "shear", put=[(SHEAR, "single_shear_lbf", "400"), (("AD", "driven", "5/32"), "single_shear_lbf", "1")]
    )
    told = only([UNIVERSAL, {**UNIVERSAL, "diameter": "5/32"}, {**UNIVERSAL, "diameter": "3/16"}], after)["summary"]
    assert told["outcomes"]["figures"] == told["moved"] == 2
    (column,) = [entry for entry in told["columns"] if entry["column"] == "single_shear_lbf"]
    assert column["questions"] == 2
    assert column["largest"] == 1 - float(BEFORE["shear"].find("AD", "driven", "5/32").text("single_shear_lbf"))
    assert told["tables"] == [{"table": "shear", "questions": 2}]
    assert told["unexplained"] == 0


def test_text_stays_within_the_page_and_tells_how_far_and_why():
    text = moves_text(only(QUESTIONS, edited("lengths", put=[(("1/8",), "shortest_dash", "5")])))
    assert max(map(len, text.splitlines())) <= 80
    for told in ("1 another part number", "MS20470AD4-4 -> MS20470AD4-5", "(+0.0625)", "shortest_dash: 3 -> 5"):
        assert told in text


def test_csv_has_a_line_for_each_figure_and_one_for_an_answer_that_stays():
    told = only([UNIVERSAL, QUESTIONS[4]], edited("shear", put=[(SHEAR, "single_shear_lbf", "400")]))
    header, first, second = moves_csv(told).splitlines()
    assert header.startswith("row,carried,outcome,column,before,after,by,why")
    assert first.startswith("1,,figures,single_shear_lbf,388,400,12.0,shear AD/driven/1/8")
    assert second == "2,,same,,,,,,,"
