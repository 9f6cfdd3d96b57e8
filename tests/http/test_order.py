"""`POST /v1/order`: JSON and CSV in, four formats out, what is refused whole, and the same answers in-process."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.http.asking import questions, refused
from tests.http.test_answer_schema import assert_whole

from bucktail.embedded import Embedded
from bucktail.errors import BucktailError
from bucktail_service.app import create_app
from bucktail_service.asking.order import order_csv
from bucktail_service.asking.order_sheets import order_xlsx
from bucktail_service.config import Settings
from bucktail_service.schemas.order_answer import OrderAnswer
from bucktail_service.workbook import MEDIA_TYPE, workbook
from bucktail_tables.load import load_edition

HTTP = create_app(Settings()).test_client()
ANSWER = OrderAnswer()
SCENARIO = Path(__file__).parent.parent / "scenario"
RIB = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.032+0.040", "quantity": 24}
CELLS = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


def post(body, headers=None, **query):
    data = json.dumps(body)  # members stay in their order
    return HTTP.post("/v1/order", data=data, content_type="application/json", headers=headers, query_string=query)


def post_csv(text, content_type="text/csv", **query):
    data = text if isinstance(text, bytes) else text.encode()
    return HTTP.post("/v1/order", data=data, content_type=content_type, query_string=query)


def answered(response):
    assert response.status_code == 200, response.get_data(as_text=True)
    assert_whole(ANSWER, response.get_json())
    return response.get_json()


def cells(file, sheet):
    """Return the cells of a sheet as {place: (kind, text)}, read without the library that wrote them."""
    with zipfile.ZipFile(io.BytesIO(file)) as book:
        names = [
            entry.get("name") for entry in ElementTree.fromstring(book.read("xl/workbook.xml")).iter(f"{CELLS}sheet")
        ]
        texts = ElementTree.fromstring(book.read("xl/sharedStrings.xml"))
        shared = ["".join(text.text or "" for text in entry.iter(f"{CELLS}t")) for entry in texts]
        found = ElementTree.fromstring(book.read(f"xl/worksheets/sheet{names.index(sheet) + 1}.xml"))
    assert not list(found.iter(f"{CELLS}f")), "a formula"
    read = {}
    for cell in found.iter(f"{CELLS}c"):
        value = cell.find(f"{CELLS}v")
        text = "" if value is None else value.text
        read[cell.get("r")] = (cell.get("t"), shared[int(text)] if cell.get("t") == "s" else text)
    return read


def test_an_order_is_answered_with_its_lines_and_its_totals():
    answer = answered(post({"lines": [RIB, {**RIB, "stack": "?"}], "pack": "1/4 lb", "stock": [], "prices": []}))
    assert [line["part_number"] for line in answer["lines"]] == ["MS20470AD4-4"]
    assert [line["row"] for line in answer["rejected"]] == [2]
    assert answer["totals"]["pieces_in"] == 48


def test_each_row_links_to_the_answer_of_its_own_question():
    answer = answered(post({"lines": [RIB, {"part_number": "AN470AD4-4", "quantity": 2}]}))
    for row in answer["lines"][0]["rows"]:
        assert HTTP.get(row["link"]).get_json()["part_number"] == "MS20470AD4-4"


def test_the_lines_may_come_as_csv_with_the_options_in_the_query():
    text = "ref,diameter,alloy,head,stack,quantity\r\nEL-1,1/8,AD,universal,0.032+0.040,24\r\nEL-2,,,,,\r\n"
    answer = answered(post_csv(text, spares="20", pack="100", practice="military", edition="2026.1"))
    same = {"lines": [{"ref": "EL-1", **RIB}, {"ref": "EL-2"}], "spares": 20, "pack": 100, "practice": "military"}
    same["edition"] = "2026.1"
    assert answer == answered(post(same))
    assert answer["lines"][0]["rows"][0]["carried"] == {"ref": "EL-1"}
    assert answer["lines"][0]["spares"] == 20


def test_an_option_in_the_query_goes_before_the_body():
    assert answered(post({"lines": [RIB], "spares": 1}, spares="7"))["totals"]["spares"] == 7


def test_a_row_of_csv_with_a_fault_is_rejected_in_its_place():
    text = 'part_number,quantity\nMS20470AD4-4,2\nMS20470AD4-4,2,3\n"MS20470AD4-4,2\nMS20470AD4-5,4\n'
    answer = answered(post_csv(text))
    assert [(line["row"], line["problem"]["errors"][0]["field"]) for line in answer["rejected"]] == [
        (2, "line"),
        (3, "line"),
    ]
    assert "3 cells where the header has 2" in answer["rejected"][0]["problem"]["detail"]
    assert "never closed" in answer["rejected"][1]["problem"]["detail"]
    assert answer["totals"]["pieces_accepted"] == 6


def test_csv_of_a_spreadsheet_with_a_mark_before_it_is_read():
    answer = answered(post_csv(b"\xef\xbb\xbfpart_number,quantity\nMS20470AD4-4,2\n", "text/csv; charset=utf-8"))
    assert answer["totals"]["pieces_in"] == 2


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("", "file"),
        ("part_number\nMS20470AD4-4\n", "quantity"),
        ("part_number;quantity\nMS20470AD4-4;3\n", "header"),
        ("part_number,quantity,quantity\n", "quantity"),
        ("part_number,Quantity\n", "Quantity"),
    ],
)
def test_csv_that_is_no_file_of_lines_is_refused_whole(text, field):
    refused(post_csv(text), 422, field)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"lines": None}, "lines"),
        ({"lines": {}}, "lines"),
        ({"lines": [1] * 10_001}, "lines"),
        ({"spares": "ten"}, "spares"),
        ({"spares": -1}, "spares"),
        ({"spares": 1.5}, "spares"),
        ({"spares": True}, "spares"),
        ({"spares": []}, "spares"),
        ({"spares": "1234%"}, "spares"),
        ({"pack": "0"}, "pack"),
        ({"pack": 0}, "pack"),
        ({"pack": "0.00 lb"}, "pack"),
        ({"pack": "1/4"}, "pack"),
        ({"pack": "1/0 lb"}, "pack"),
        ({"pack": "100 g"}, "pack"),
        ({"pack": None}, "pack"),
        ({"prices": {}}, "prices"),
        ({"prices": [3]}, "prices"),
        ({"prices": [{"part_number": "x", "currency": "USD"}]}, "prices"),
        ({"prices": [{"part_number": "x", "currency": "USD", "per_piece": "1", "per_lb": "1"}]}, "prices"),
        ({"prices": [{"part_number": "x", "currency": "$", "per_piece": "1"}]}, "prices"),
        ({"prices": [{"part_number": "x", "currency": "USD", "per_piece": "1,5"}]}, "prices"),
        ({"prices": [{"part_number": "x", "currency": "USD", "per_piece": -1}]}, "prices"),
        ({"prices": [{"part_number": "x", "currency": "USD", "per_piece": True}]}, "prices"),
        ({"prices": [{"part_number": " ", "currency": "USD", "per_piece": 1}]}, "prices"),
        ({"prices": [{"part_number": "x", "currency": "USD", "per_piece": 1, "per": 2}]}, "prices"),
        ({"stock": [{"part_number": "x"}]}, "stock"),
        ({"stock": [{"part_number": "x", "pieces": 1}, {"part_number": "x", "pieces": -1}]}, "stock"),
        ({"stock": [{"part_number": "x", "pieces": "many"}]}, "stock"),
        ({"practice": "naval"}, "practice"),
        ({"edition": "?"}, "edition"),
        ({"shop": "x"}, "shop"),
    ],
)
def test_what_is_wrong_beside_the_lines_refuses_the_whole_order(changes, field):
    refused(post({"lines": [RIB], **changes}), 422, field)


def test_a_bad_row_of_a_list_is_named_by_its_place():
    stock = [{"part_number": "x", "pieces": 1}, {"part_number": "x", "pieces": "1.5"}]
    assert "row 2: pieces: '1.5'" in refused(post({"lines": [], "stock": stock}), 422, "stock")["detail"]


def test_an_edition_that_is_not_there_and_bodies_that_are_none_are_refused():
    refused(post({"lines": [], "edition": "1999.1"}), 404, "edition")
    refused(post([]), 422, "body")
    refused(HTTP.post("/v1/order", data=b"{", content_type="application/json"), 400, "body")
    refused(HTTP.post("/v1/order", data=b"x", content_type="text/plain"), 415, "Content-Type")
    refused(post_csv("part_number,quantity\n", "text/csv; charset=utf-16"), 415, "Content-Type")
    refused(post({"lines": []}, colour="red"), 422, "colour")
    refused(post({"lines": []}, format="pdf"), 422, "format")
    refused(post({"lines": []}, headers={"Accept": "image/png"}), 406, "Accept")
    small = create_app(Settings(max_order_body=10)).test_client()
    refused(small.post("/v1/order", json={"lines": [RIB]}), 413)
    refused(small.post("/v1/order", data=b"part_number,quantity\n", content_type="text/csv"), 413)


def test_an_order_may_be_longer_than_a_single_question():
    lines = [{**RIB, "ref": "x" * 300} for _ in range(400)]
    assert len(json.dumps(lines)) > Settings().max_body
    assert answered(post({"lines": lines}))["totals"]["lines_accepted"] == 400


def test_the_csv_keeps_the_lines_texts_and_its_wanted_column_adds_up_to_the_pieces_in():
    body = {"lines": [{**RIB, "ref": "=1+1"}, {**RIB, "ref": "-2"}, {**RIB, "alloy": "", "quantity": 5, "place": "@x"}]}
    response = post(body, headers={"Accept": "text/csv"})
    assert response.mimetype == "text/csv"
    rows = list(csv.DictReader(io.StringIO(response.get_data(as_text=True))))
    assert [row["refs"] for row in rows] == ["=1+1; -2", "@x"]
    assert sum(int(row["wanted"]) for row in rows) == 53
    assert rows[1]["problem"].startswith("bad-question: alloy: is missing")
    assert response.get_data(as_text=True) == order_csv(answered(post(body)))


def test_the_text_shows_the_verdict_first_in_eighty_columns():
    text = post({"lines": [RIB, {}], "pack": 100, "stock": []}, format="text").get_data(as_text=True)
    assert "29 pieces to order, 1 part number; 1 line REJECTED" in text.splitlines()[1]
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "48" not in text
    assert "24 in = 24 wanted in the order + 0 rejected" in text


def test_no_text_of_a_line_reaches_a_terminal_as_a_command():
    text = post({"lines": [{"place": "\x1b[2J" + "x" * 500}, "\x1b[2J"]}, format="text").get_data(as_text=True)
    assert "\x1b" not in text
    assert all(len(line) <= 80 for line in text.splitlines())


FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", "=cmd|' /C calc'!A0", "\t=1", "http://desk.example", "_x0041_"]


def test_a_spreadsheet_holds_the_order_and_no_text_of_it_is_a_formula():
    lines = [{**RIB, "ref": text, "=column": text} for text in FORMULAS]
    response = post({"lines": [*lines, {"ref": "=9"}], "prices": [], "pack": 7}, headers={"Accept": MEDIA_TYPE})
    assert response.mimetype == MEDIA_TYPE
    assert 'filename="order.xlsx"' in response.headers["Content-Disposition"]
    found = cells(response.data, "Lines")
    assert [found[f"{column}1"][1] for column in "ABCDEF"] == [
        "row",
        "part_number",
        "quantity",
        "problem",
        "ref",
        "=column",
    ]
    for row, text in enumerate(FORMULAS, start=2):
        assert found[f"E{row}"][0] == found[f"F{row}"][0] == "s"
        assert found[f"F{row}"][1].replace("_x005F_", "_") == text
    assert found["A2"] == (None, "1")
    assert found["C2"] == (None, "24")
    assert found[f"D{len(FORMULAS) + 2}"][1].startswith("bad-question: quantity: is missing")
    assert cells(response.data, "Order")["B2"] == (None, str(24 * len(FORMULAS)))
    assert ("s", "pieces_in") in cells(response.data, "Totals").values()
    assert any(load_edition().name in text for _, text in cells(response.data, "Notes").values())


def test_the_costs_of_a_spreadsheet_are_numbers():
    prices = [{"part_number": "MS20470AD4-4", "per_piece": "0.10", "currency": "USD"}]
    found = cells(post({"lines": [RIB], "prices": prices}, format="xlsx").data, "Order")
    column = next(place[:-1] for place, (_, text) in found.items() if text == "cost")
    kind, text = found[f"{column}2"]
    assert (kind, float(text)) == (None, 2.9)


def test_the_same_answer_is_the_same_spreadsheet_byte_for_byte():
    answer = answered(post({"lines": [RIB]}))
    assert order_xlsx(answer) == order_xlsx(answer) == post({"lines": [RIB]}, format="xlsx").data


@given(
    st.lists(
        st.lists(st.one_of(st.none(), st.text(), st.integers(), st.floats(), st.booleans()), max_size=4), max_size=4
    )
)
def test_any_cells_make_a_spreadsheet_that_can_be_read(rows):
    cells(workbook({"A": [["head"], *rows]}), "A")


def test_a_text_longer_than_a_cell_is_cut():
    found = cells(workbook({"A": [["head"], ["x" * 40_000]]}), "A")
    assert len(found["A2"][1]) == 32_767


def test_halves_of_characters_do_not_fail_any_format():
    half = r"\ud800"
    line = f'{{"ref": "{half}", "{half}": 1, "part_number": "MS20470AD4-4", "quantity": 1}}'
    body = f'{{"lines": [{line}, "{half}", {{"ref": "{half}"}}]}}'
    for form in ("json", "csv", "text", "xlsx"):
        response = HTTP.post(f"/v1/order?format={form}", data=body, content_type="application/json")
        assert response.status_code == 200


carried = st.dictionaries(
    st.text(max_size=5), st.one_of(st.none(), st.text(max_size=5), st.floats(0, 9), st.lists(st.none()))
)
asked_lines = st.lists(
    st.one_of(
        st.builds(
            lambda asked, more, pieces: {**more, **asked, "quantity": pieces}, questions(), carried, st.integers(0, 99)
        ),
        carried,
        st.text(max_size=5),
    ),
    max_size=4,
)


@given(
    asked_lines, st.sampled_from([{}, {"spares": "5%", "pack": "1/4 lb"}, {"stock": [], "prices": []}, {"pack": "x"}])
)
def test_both_clients_get_the_same_answer_of_the_documented_shape(lines, options):
    response = post({"lines": lines, **options})
    if response.status_code == 200:
        assert Embedded().order(lines=lines, **options) == answered(response)
        return
    with pytest.raises(BucktailError) as refusal:
        Embedded().order(lines=lines, **options)
    assert refusal.value.problem == response.get_json()


def test_the_scenario_is_the_same_by_csv_and_by_json():
    text = (SCENARIO / "order.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert answered(post({"lines": rows, "pack": "0.25lb"})) == answered(post_csv(text, pack="0.25lb"))
