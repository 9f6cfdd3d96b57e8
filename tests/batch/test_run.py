"""Every row keeps its place and comes to what its question alone comes to, whatever stands around it."""

from __future__ import annotations

import io
import json
import tracemalloc

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.batch.running import GOOD, HEADER, QUESTION, objects, run, sheet, single, single_cells, table

from bucktail_service.batch import run as run_module
from bucktail_service.batch.run import Batch
from bucktail_service.problems import BadFields

FORMATS = ["csv", "ndjson", "json"]
NAMES = [*HEADER.split(","), "stack_tolerance", "practice", "hole", "family", "edition", "note"]


def row(**changes):
    return {name: value for name, value in {**QUESTION, **changes}.items() if value is not None}


GOOD_ROWS = [
    row(),
    row(diameter="3/32", stack="0.032 2024-T3+0.040 lead", practice="military"),
    row(alloy="D", diameter="1/4", stack="0.125+0.125", stack_tolerance="+0.010/-0.005"),
    row(head="MS20426", stack="0.063+1 mm", hole="#30", edition="2026.1"),
    row(head="AN470", stack="1/16+1/16", family="solid"),
]
BAD_ROWS = [
    row(alloy="ZZ"),
    row(head=None),
    row(diameter="1/7"),
    row(stack="9"),
    row(stack="0", practice="military"),
    row(stack_tolerance="nan"),
    row(edition="1999.1"),
    row(hole="#99"),
    row(family="blind", alloy="DD"),
    row(diameter="--", alloy="M"),
]
BOTH = st.sampled_from([*GOOD_ROWS, *BAD_ROWS])
several = settings(max_examples=40, deadline=None, derandomize=True)


def as_file(rows, form):
    if form == "csv":
        return sheet(rows, NAMES)
    return "\n".join(map(json.dumps, rows)) if form == "ndjson" else json.dumps(rows)


@pytest.mark.parametrize("reads", FORMATS)
@several
@given(rows=st.lists(BOTH, min_size=1, max_size=12))
def test_every_row_is_the_single_answer_in_its_place(reads, rows):
    noted = [{**asked, "note": f"n{at}"} for at, asked in enumerate(rows)]
    source = as_file(noted, reads)
    for writes in ("ndjson", "json"):
        results = objects(run(source, reads, writes), writes)
        assert [result["row"] for result in results] == list(range(1, len(rows) + 1))
        assert [result["carried"]["note"] for result in results] == [asked["note"] for asked in noted]
        for asked, result in zip(rows, results, strict=True):
            alone = single(asked)
            assert {name: result[name] for name in ("answer", "problem") if name in result} == alone
    results = table(run(source, reads, "csv"))
    assert [int(result["row"]) for result in results] == list(range(1, len(rows) + 1))
    for asked, result in zip(noted, results, strict=True):
        expected = single_cells({name: value for name, value in asked.items() if name != "note"})
        assert {name: result[name] for name in expected} == expected
        assert all(result[name] == value for name, value in asked.items() if name != "note")
        assert asked["note"] in (result["note"] if reads == "csv" else result["carried"])


def test_a_bad_stack_is_told_alike_wherever_it_stands():
    for order in ([row(stack="nan"), row()], [row(), row(stack="nan")]):
        told = [result["problem"] for result in table(run(sheet(order, NAMES)))]
        assert told == [single_cells(asked)["problem"] for asked in order]


def test_a_bad_stack_is_a_problem_wherever_it_stands():
    for order in ([row(stack="nan"), row()], [row(), row(stack="nan")]):
        results = table(run(sheet(order, NAMES)))
        assert [bool(result["problem"]) for result in results] == [asked["stack"] == "nan" for asked in order]


@pytest.mark.parametrize("writes", FORMATS)
@pytest.mark.parametrize("reads", FORMATS)
def test_a_repeated_question_gets_identical_text(reads, writes):
    output = run(as_file([row(), row(alloy="ZZ"), row(), row(alloy="ZZ")], reads), reads, writes).decode()
    if writes == "json":
        texts = [json.dumps({**result, "row": 0}) for result in json.loads(output)]
    else:
        body = output.splitlines()[1 if writes == "csv" else 0 :]
        texts = [line.replace(f'"row": {at}', "").replace(f",{at},", ",,") for at, line in enumerate(body, start=1)]
    assert texts[0] == texts[2]
    assert texts[1] == texts[3]
    assert texts[0] != texts[1]


@pytest.mark.parametrize("writes", FORMATS)
@pytest.mark.parametrize("room", [1, 2, 3])
def test_the_bound_on_what_is_kept_changes_no_result(monkeypatch, writes, room):
    rows = [*GOOD_ROWS, *BAD_ROWS, *GOOD_ROWS, *GOOD_ROWS[::-1]]
    wide = run(as_file(rows, "csv"), "csv", writes)
    monkeypatch.setattr(run_module, "MAX_KEPT", room)
    batch = Batch("pick", io.BytesIO(as_file(rows, "csv").encode()), "csv", writes)
    assert b"".join(batch) == wide
    assert len(batch._kept) <= room


def test_the_batch_counts_its_rows_and_those_refused():
    batch = Batch("pick", io.BytesIO(as_file([*GOOD_ROWS, *BAD_ROWS], "csv").encode()), "csv", "json")
    assert (batch.rows, batch.refused) == (0, 0)
    b"".join(batch)
    assert (batch.rows, batch.refused) == (len(GOOD_ROWS) + len(BAD_ROWS), len(BAD_ROWS))


def test_a_failure_of_ours_is_a_problem_in_its_row(monkeypatch, caplog):
    def fail(asked, edition):
        raise RuntimeError("secret")

    monkeypatch.setattr("bucktail_service.asking.pick.work_out", fail)
    (result,) = table(run(f"{HEADER}\n{GOOD}\n"))
    assert result["problem"].startswith("internal: ")
    assert "secret" not in result["problem"]
    assert "secret" in caplog.text


# what is carried


def test_other_columns_are_carried_in_their_place():
    (result,) = table(run(f'id,{HEADER},note\n7,{GOOD},"say ""x"", and\nmore"\n'))
    assert list(result)[:6] == ["id", *HEADER.split(","), "note"]
    assert (result["id"], result["note"]) == ("7", 'say "x", and\nmore')


def test_cells_that_are_not_utf8_are_carried_byte_for_byte():
    output = run(HEADER.encode() + b",note\n" + GOOD.encode() + b",\xff\xfe\x00\n")
    assert output.splitlines()[1].startswith(GOOD.encode() + b",\xff\xfe\x00,1,MS20470AD4-4,")


def test_cells_that_are_not_utf8_are_readable_in_json():
    for writes in ("ndjson", "json"):
        (result,) = objects(run(HEADER.encode() + b",note\n" + GOOD.encode() + b",\xff\n", "csv", writes), writes)
        assert result["carried"] == {"note": "\ufffd"}


@pytest.mark.parametrize("writes", ["ndjson", "json"])
def test_a_column_name_that_is_not_utf8_is_readable_in_json(writes):
    objects(run(HEADER.encode() + b",\xff\n" + GOOD.encode() + b",x\n", "csv", writes), writes)


@pytest.mark.parametrize("header", [b"diameter,alloy,head,st\xffack", HEADER.encode() + b",\xff,\xff"])
def test_a_refused_header_can_be_told(header):
    with pytest.raises(BadFields) as refused:
        run(header + b"\n")
    assert all(error.field.encode() and error.detail.encode() for error in refused.value.errors)


def test_columns_named_as_the_added_ones_are_told_apart():
    header, line = f"row,problem,part_number,{HEADER}", f"5,none,MINE,{GOOD}"
    (result,) = table(run(f"{header}\n{line}\n"))
    assert (result["row"], result["problem"], result["part_number"]) == ("5", "none", "MINE")
    assert (result["bucktail_row"], result["bucktail_problem"]) == ("1", "")
    assert result["bucktail_part_number"] == "MS20470AD4-4"


def test_the_output_can_be_asked_again():
    once = run(f"{HEADER}\n{GOOD}\n")
    (result,) = table(run(once))
    assert result["bucktail_part_number"] == result["part_number"]


def test_the_output_can_be_asked_again_and_again():
    output = f"{HEADER}\n{GOOD}\n".encode()
    for _ in range(4):
        output = run(output)
        table(output)


def test_the_header_is_carried_untouched():
    assert run(f"{HEADER}, note \n{GOOD},x\n").startswith(f"{HEADER}, note ,row,".encode())


# rows that are no rows


@pytest.mark.parametrize("writes", FORMATS)
@pytest.mark.parametrize(
    "bad",
    ['"1/8,AD', '"1/8"x,AD,universal,0.08', f"{GOOD},x,y,z", "x" * 1_000_000, "\x00", ",,,", "a;b;c;d", "1/8,AD"],
    ids=lambda bad: repr(bad[:12]),
)
def test_a_bad_line_is_a_problem_in_its_place_and_the_others_go_on(bad, writes):
    output = run(f"{HEADER}\n{GOOD}\n{bad}\n\n{GOOD}\n", "csv", writes)
    results = table(output) if writes == "csv" else objects(output, writes)
    assert [int(result["row"]) for result in results] == [1, 2, 3]
    assert [bool(result.get("problem")) for result in results] == [False, True, False]
    assert len(output) < 200_000


def test_a_short_row_lacks_its_last_columns():
    result, short = table(run(f"{HEADER},note\n{GOOD},x\n{GOOD}\n"))
    assert (short["note"], short["part_number"]) == ("", result["part_number"])


def test_a_long_row_is_refused_and_says_how_many_cells():
    (result,) = table(run(f"{HEADER}\n{GOOD},x\n"))
    assert "5 cells where the header has 4" in result["problem"]


@pytest.mark.parametrize(
    ("header", "field"),
    [
        ("", "file"),
        ("\n\r\n\n", "file"),
        ("\ufeff", "file"),
        ("diameter;alloy;head;stack", "header"),
        ("diameter\talloy\thead\tstack", "header"),
        ('"diameter,alloy', "header"),
        ("x" * 100_000, "header"),
        ("diameter,alloy,head", "stack"),
        (f"{HEADER},stack", "stack"),
        (f"{HEADER},note,note", "note"),
        (f"{HEADER},stack_tolerence", "stack_tolerence"),
        ("diameter,alloy,head,Stack", "Stack"),
        (f"{HEADER},Stack", "Stack"),
        (f"{HEADER},stack tolerance", "stack tolerance"),
        (f"{HEADER},practise", "practise"),
        ("nothing,of,it", "diameter"),
    ],
)
def test_a_header_that_cannot_be_is_refused_before_any_row(header, field):
    with pytest.raises(BadFields) as refused:
        run(f"{header}\n{GOOD}\n" if header.strip("\r\n\ufeff") else header)
    assert field in [error.field for error in refused.value.errors]
    assert all(error.detail and error.example for error in refused.value.errors)


@pytest.mark.parametrize(("writes", "empty"), [("csv", None), ("ndjson", b""), ("json", b"[]\n")])
def test_a_header_alone_is_a_file_without_rows(writes, empty):
    for text in (HEADER, HEADER + "\n", "\ufeff" + HEADER + "\r\n"):
        output = run(text, "csv", writes)
        assert output == empty if empty is not None else output.decode().startswith(HEADER + ",row,part_number,")
        assert output.count(b"\n") <= 1


@pytest.mark.parametrize(
    ("form", "text"), [("json", ""), ("json", " \n"), ("json", "{}"), ("json", "[1"), ("ndjson", "\n")]
)
def test_a_file_that_is_no_list_of_objects_is_refused(form, text):
    with pytest.raises(BadFields) as refused:
        run(text, form)
    assert refused.value.errors[0].field == "file"


@pytest.mark.parametrize(
    "bad", ["", "null", "1", "[]", '"x"', "{", "nonsense", '{"a":NaN}', '{"a":1,"a":2}', "[" * 5000]
)
def test_a_line_that_is_no_object_is_a_problem_in_its_place(bad):
    good = json.dumps(QUESTION)
    results = objects(run(f"{good}\n{bad or '[1]'}\n\n{good}", "ndjson"), "ndjson")
    assert [(result["row"], "problem" in result) for result in results] == [(1, False), (2, True), (3, False)]


def test_an_item_that_is_no_object_is_a_problem_in_its_place():
    results = objects(run(json.dumps([QUESTION, None, 5, [QUESTION], {}, QUESTION]), "json"), "json")
    assert ["problem" in result for result in results] == [False, True, True, True, True, False]


@pytest.mark.parametrize("form", ["json", "ndjson"])
def test_a_name_that_is_nearly_a_field_is_refused_not_carried(form):
    asked = {**QUESTION, "stack_tolerence": "0.01"}
    (result,) = objects(run(as_file([asked], form), form), form)
    assert result["problem"]["errors"][0]["field"] == "stack_tolerence"


@pytest.mark.parametrize("writes", ["json", "ndjson"])
@pytest.mark.parametrize("text", ['{"note": 1e400}', "[1e400]"])
def test_a_number_beyond_all_bounds_is_carried_as_json(writes, text):
    objects(run(text + "\n", "ndjson", writes), writes)


@pytest.mark.parametrize("text", ['{"note": "\\ud800"}', '{"\\ud800": 1}', '{"st\\ud800ack": 1}', '["\\ud800"]'])
def test_half_a_surrogate_pair_does_not_end_the_batch(text):
    good = json.dumps(QUESTION)
    assert len(objects(run(f"{text}\n{good}\n", "ndjson"), "ndjson")) == 2


def test_an_escaped_low_surrogate_does_not_come_out_as_a_bare_byte():
    objects(run('{"note": "\\udcff"}\n', "ndjson"), "ndjson")


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.binary(max_size=120), st.sampled_from(FORMATS))
def test_no_bytes_whatever_in_the_rows_end_the_batch(data, writes):
    output = run(f"{HEADER}\n{GOOD}\n".encode() + data + f"\n\n{GOOD}\n".encode(), "csv", writes)
    if writes == "csv":
        assert output.count(b",MS20470AD4-4,") >= 1
    else:
        assert objects(output, writes)[0]["answer"]["part_number"] == "MS20470AD4-4"


# memory


class Lines(io.RawIOBase):
    """A CSV file made while it is read, so that it is never in memory itself."""

    def __init__(self, count, line):
        self.count = count
        self.line = line
        self.made = 0
        self.rest = f"{HEADER},id\n".encode()

    def readable(self):
        return True

    def readinto(self, buffer):
        while len(self.rest) < len(buffer) and self.made < self.count:
            chunk = range(self.made, min(self.made + 200, self.count))
            self.rest += b"".join(self.line(at) + b"\n" for at in chunk)
            self.made = chunk.stop
        size = min(len(buffer), len(self.rest))
        buffer[:size], self.rest = self.rest[:size], self.rest[size:]
        return size


def streamed(source):
    """Return newlines written, the largest piece, and the most memory held at once. [bytes]"""
    run(f"{HEADER}\n{GOOD}\n")  # the tables are loaded once per process
    newlines = largest = 0
    tracemalloc.start()
    try:
        for piece in Batch("pick", io.BufferedReader(source), "csv", "csv"):
            newlines += piece.count(b"\n")
            largest = max(largest, len(piece))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    return newlines, largest, peak


def test_two_hundred_thousand_lines_stream_with_flat_memory():
    newlines, largest, peak = streamed(
        Lines(200_000, lambda at: b"1/8,AD,universal,0.04+0.0%d,%d" % (10 + at % 900, at))
    )
    assert newlines == 200_001
    assert largest < 200_000
    assert peak < 30_000_000


def test_long_cells_stream_with_flat_memory_too():
    newlines, _, peak = streamed(Lines(1500, lambda at: b"1/8,AD,universal,%030000d,1" % at))
    assert newlines == 1501
    assert peak < 30_000_000


def test_the_first_results_come_before_the_last_rows_are_read():
    source = Lines(50_000, lambda at: b"%s,%d" % (GOOD.encode(), at))
    next(iter(Batch("pick", io.BufferedReader(source), "csv", "csv")))
    assert source.made < 5_000
