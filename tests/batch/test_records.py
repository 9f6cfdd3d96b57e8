"""Records are those the csv module reads; one bad line costs itself and no other."""

from __future__ import annotations

import csv
import io
from typing import NamedTuple

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bucktail_service.batch.lines import MAX_LINE, lines
from bucktail_service.batch.records import MAX_LINES_IN_RECORD, records

ENDINGS = st.sampled_from(["\n", "\r\n", "\r"])
TEXT = st.text(st.sampled_from("ab \",;\t\n'é\u2028\x0b\x1c\x85\x00"), max_size=8)
ROWS = st.lists(st.lists(TEXT, min_size=1, max_size=5), max_size=8)


class Read(NamedTuple):
    cells: list[str]
    raw: str
    fault: str | None


def read(data):
    return [Read(*record) for record in records(lines(io.BytesIO(data)))]


def cells(data):
    return [record.cells for record in read(data)]


def written(rows, ending, quoting=csv.QUOTE_MINIMAL):
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator=ending, quoting=quoting).writerows(rows)
    return out.getvalue()


def as_the_csv_module_reads(text):
    return [row for row in csv.reader(io.StringIO(text, newline=""), strict=True) if row]


@settings(max_examples=300, deadline=None, derandomize=True)
@given(ROWS, ENDINGS, st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]), st.booleans(), st.booleans())
def test_records_are_those_of_the_csv_module(rows, ending, quoting, bom, last_line_ends):
    text = written(rows, ending, csv.QUOTE_ALL if ending == "\r" else quoting)
    if not last_line_ends:
        text = text.removesuffix(ending)
    data = ("\ufeff" if bom else "").encode() + text.encode()
    assert cells(data) == as_the_csv_module_reads(text)
    assert all(record.fault is None for record in read(data))


@pytest.mark.parametrize("cell", ["a\r\nb", "a\rb", "\r\n", "a\r\r\nb"])
def test_line_ends_inside_quotes_are_kept_as_they_are(cell):
    text = written([[cell, "x"], ["y", "z"]], "\r\n", csv.QUOTE_ALL)
    assert cells(text.encode()) == as_the_csv_module_reads(text)


@given(st.binary(max_size=200))
@settings(max_examples=300, deadline=None, derandomize=True)
def test_no_bytes_whatever_make_the_reader_fail_or_lose_bytes(data):
    assume(data not in (b"\xef", b"\xef\xbb"))  # the start of a byte-order mark alone: as good as empty
    found = read(data)
    assert len(found) <= data.count(b"\n") + data.count(b"\r") + 1
    told = b"".join(record.raw.encode("utf-8", "surrogateescape") for record in found)
    keep = bytes.maketrans(b"", b"")
    assert told.translate(keep, b"\r\n") == data.removeprefix(b"\xef\xbb\xbf").translate(keep, b"\r\n")


def test_blank_lines_are_no_records():
    assert cells(b"\n\na,b\n\r\n\nc,d\n\n") == [["a", "b"], ["c", "d"]]


def test_bytes_that_are_not_utf8_pass_through():
    (record,) = read(b"a\xff,\xfe\x00b\n")
    assert [cell.encode("utf-8", "surrogateescape") for cell in record.cells] == [b"a\xff", b"\xfe\x00b"]


@pytest.mark.parametrize("opened", ['"a,b', 'a,"b', 'a,b,"', '"""'])
def test_a_quote_never_closed_costs_its_own_line_only(opened):
    found = read(f"{opened}\nc,d\ne,f\n".encode())
    assert [record.cells for record in found] == [[], ["c", "d"], ["e", "f"]]
    assert found[0].fault is not None
    assert found[0].raw == opened


def test_a_quote_never_closed_in_a_long_file_costs_its_own_line_only():
    found = read(b'a,"b\n' + b"c,d\n" * 1000)
    assert len(found) == 1001
    assert [record.fault is None for record in found] == [False] + [True] * 1000


def test_a_quote_out_of_place_is_told_and_reading_goes_on():
    found = read(b'"a"b,c\nd,e\n')
    assert "quote" in found[0].fault
    assert found[1].cells == ["d", "e"]


def test_a_cell_may_span_as_many_lines_as_the_limit_and_no_more():
    fits, too_many = (b'"' + b"\n" * (count - 1) + b'",x\n' for count in (MAX_LINES_IN_RECORD, MAX_LINES_IN_RECORD + 1))
    assert cells(fits) == [["\n" * (MAX_LINES_IN_RECORD - 1), "x"]]
    assert read(too_many)[0].fault is not None


def test_a_line_of_a_megabyte_is_told_and_never_held():
    found = read(b"a,b\n" + b"x" * 1_000_000 + b"\nc,d\n")
    assert [record.cells for record in found] == [["a", "b"], [], ["c", "d"]]
    assert "longer" in found[1].fault
    assert len(found[1].raw) <= 80


@pytest.mark.parametrize("ending", [b"\n", b"\r\n", b"\r", b""])
@pytest.mark.parametrize("size", [MAX_LINE - 2, MAX_LINE - 1])
def test_a_line_as_long_as_the_limit_is_whole(size, ending):
    text = b"x," + b"y" * (size - 2)
    found = cells(text + ending + b"c,d" if ending else text)
    assert found[0] == ["x", "y" * (size - 2)]
    assert found[1:] == ([["c", "d"]] if ending else [])


def test_a_megabyte_inside_a_quote_is_bounded():
    found = read(b'"' + b"x" * 1_000_000 + b'",a\nc,d\n')
    assert found[0].fault is not None
    assert found[-1].cells == ["c", "d"]
    assert len(found) == 2
