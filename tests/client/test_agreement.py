"""The two clients are two ways to one answer: in-process, over HTTP, by link, in a batch, in JSON and in CSV.

The service runs in this process, under a session of requests whose adapter calls it instead of a socket.
"""

from __future__ import annotations

import csv
import inspect
import io
import json
from decimal import Decimal
from urllib.parse import unquote, urlsplit

import pytest
import requests
from hypothesis import given, settings
from hypothesis import strategies as st
from requests.adapters import HTTPAdapter
from urllib3 import HTTPResponse
from werkzeug.test import create_environ, run_wsgi_app

from bucktail.api import Client
from bucktail.embedded import Embedded
from bucktail.errors import BucktailError, RequestRefused
from bucktail_service.app import create_app
from bucktail_service.config import Settings
from bucktail_tables.load import load_edition

QUESTION = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.040+0.040"}
NDJSON, CSV, JSON = "application/x-ndjson", "text/csv", "application/json"
# a column of the CSV -> where the same figure stands in the JSON
CELLS = {
    "part_number": "part_number",
    "length_dash": "length.dash",
    "length_in": "length.length_in",
    "length_mm": "length.length_mm",
    "ideal_in": "length.ideal_in",
    "protrusion_in": "length.protrusion_in",
    "trim_to_in": "length.trim_to_in",
    "pilot_drill": "hole.pilot.drill",
    "drill": "hole.final.drill",
    "drill_in": "hole.final.diameter_in",
    "hole_minimum_in": "hole.minimum_in",
    "hole_maximum_in": "hole.maximum_in",
    "edge_minimum_in": "spacing.edge_minimum_in",
    "pitch_minimum_in": "spacing.pitch_minimum_in",
    "pitch_maximum_in": "spacing.pitch_maximum_in",
    "row_minimum_in": "spacing.row_minimum_in",
    "formed_diameter_minimum_in": "formed_head.diameter_minimum_in",
    "formed_diameter_nominal_in": "formed_head.diameter_nominal_in",
    "formed_diameter_maximum_in": "formed_head.diameter_maximum_in",
    "formed_height_minimum_in": "formed_head.height_minimum_in",
    "formed_height_nominal_in": "formed_head.height_nominal_in",
    "formed_height_maximum_in": "formed_head.height_maximum_in",
    "single_shear_lbf": "strength.single_shear_lbf",
    "each_g": "mass.each_g",
    "pieces_per_lb": "mass.pieces_per_lb",
    "answered_practice": "practice",
    "answered_edition": "edition.name",
    "link": "link",
}


class InProcess(HTTPAdapter):
    """Calls the service instead of a socket."""

    def __init__(self, app):
        super().__init__()
        self._app = app

    def send(self, request, **_options):
        parts = urlsplit(request.url)
        body = request.body or b""
        environ = create_environ(
            query_string=parts.query,
            method=request.method,
            headers=[entry for entry in request.headers.items() if entry[0] != "Transfer-Encoding"],
            data=body if isinstance(body, bytes) else b"".join(body),
        )
        environ["PATH_INFO"] = unquote(parts.path, "latin-1")  # as a server hands it on: unquoted once
        pieces, status, headers = run_wsgi_app(self._app, environ, buffered=True)
        raw = HTTPResponse(
            io.BytesIO(b"".join(pieces)), headers=list(headers), status=int(status[:3]), preload_content=False
        )
        return self.build_response(request, raw)


def in_process():
    """Return the client over HTTP, of a service in this process."""
    session = requests.Session()
    session.mount("http://", InProcess(create_app(Settings())))
    return Client("http://desk.example", session=session)


EMBEDDED = Embedded()
OVER_HTTP = in_process()
BOTH = (EMBEDDED, OVER_HTTP)


def outcome(ask):
    """Return the answer, or the kind of exception and its problem."""
    try:
        return ask()
    except BucktailError as error:
        return type(error), error.problem


def file_results(client, body, content_type, accept):
    def ask():
        pieces = client.batch_file("pick", io.BytesIO(body), content_type=content_type, accept=accept)
        return b"".join(pieces)

    return outcome(ask)


def find(answer, path):
    for name in path.split("."):
        if answer is None:
            return None
        answer = answer[name]
    return answer


def written(value):
    return "" if value is None else value if isinstance(value, str) else json.dumps(value)


def csv_of(question):
    out = io.StringIO()
    csv.writer(out).writerows([list(question), list(question.values())])
    return out.getvalue().encode()


# --- questions


def some_of(table, column):
    return st.sampled_from(sorted({row.text(column) for row in load_edition()[table] if row.text(column)}))


def decimals(least, most, places):
    return st.decimals(Decimal(least), Decimal(most), places=places, allow_nan=False, allow_infinity=False)


INCHES = decimals("0.010", "0.9", 3).map(str)
FRACTIONS = st.builds("{}/{}".format, st.integers(1, 15), st.sampled_from([16, 32, 64]))
MILLIMETRES = decimals("0.3", "20", 2).map("{}mm".format)
THICKNESSES = st.one_of(INCHES, FRACTIONS, MILLIMETRES, INCHES.map("{} in".format))
MATERIALS = st.sampled_from(["2024-T3", "6061-T6", "magnesium", "lead", "birch plywood", "5052-H32", "unheard-of"])
LAYERS = st.one_of(THICKNESSES, st.builds("{} {}".format, THICKNESSES, MATERIALS))
STACKS = st.builds(
    lambda layers, plus: plus.join(layers), st.lists(LAYERS, min_size=1, max_size=4), st.sampled_from(["+", " + "])
)
OFFERED = st.sampled_from([(row.text("standard"), row.text("alloy")) for row in load_edition()["offered"]])
PAIRS = st.one_of(
    OFFERED, st.tuples(st.one_of(some_of("standards", "head"), some_of("aliases", "alias")), st.just("AD"))
)
OPTIONS = {
    "stack_tolerance": st.sampled_from(["0", "0.003", "+/-0.005", "+0.010/-0.002", "0.1mm"]),
    "practice": some_of("practices", "practice"),
    "hole": st.one_of(
        st.sampled_from(["#40", "#30", "#F", "#21", "9/64", "3.3mm"]), decimals("0.09", "0.2", 3).map(str)
    ),
    "family": st.just("solid"),
    "edition": st.just(load_edition().name),
}
SOLID = st.builds(
    lambda pair, rest: {"head": pair[0], "alloy": pair[1], **rest},
    PAIRS,
    st.fixed_dictionaries({"diameter": some_of("diameters", "fraction"), "stack": STACKS}, optional=OPTIONS),
)
BY_GRIP = st.builds(
    lambda pair, rest: {"head": pair[0], "alloy": pair[1], **rest},
    st.one_of(
        st.sampled_from(
            [
                (standard.text("standard"), offered.text("alloy"))
                for standard in load_edition()["grip_standards"]
                for offered in load_edition()["grip_offered"]
                if standard.text("offers") == offered.text("offers")
            ]
        ),
        st.sampled_from([("AN7", "steel"), ("NAS9301", "B"), ("AN4H", "DD"), ("hex", "steel"), ("lockbolt", "any")]),
    ),
    st.fixed_dictionaries(
        {
            "diameter": st.sampled_from(["1/8", "5/32", "3/16", "0.19", "1/4", "5/16", "3/8", "6.4mm", "1/2"]),
            "stack": st.one_of(STACKS, st.sampled_from(["gauge 3", "Gauge 4.5", "0.125", "1/2", "0.5624"])),
        },
        optional={
            "stack_tolerance": OPTIONS["stack_tolerance"],
            "practice": OPTIONS["practice"],
            "hole": OPTIONS["hole"],
            "family": st.sampled_from(["blind", "bolt", "pin"]),
            "preparation": st.sampled_from(["countersunk", "dimpled"]),
            "nut": some_of("nuts", "nut"),
            "nut_height": st.sampled_from(["0.25", "7 mm"]),
            "drag": st.sampled_from(["12", "1.4 N m"]),
        },
    ),
)
TEXTS = st.one_of(SOLID, BY_GRIP)

# fields that only fasteners chosen by grip have a use for
OWN = ("preparation", "nut", "nut_height", "drag")
BAD = [
    *("", " ", "nan", "1,5", "--", "5/0", "1e3", "-1", "9" * 5000, "1/8/2", "1/8\n", "\u0661/8", "0.04+", "AD;", "#"),
    *(None, True, False, [], {}, -1, 0, 1e9, 10**400, ["0.04", None], {"thickness": "0.04"}),
    *([{"thickness": "0.04", "colour": "red"}], [["0.04"]], ["0.04"] * 21, "+".join(["0.04"] * 21), "universal"),
]
WRONG = st.builds(
    lambda question, field, value: {**question, field: value},
    TEXTS,
    st.sampled_from(["diameter", "alloy", "head", "stack", *OPTIONS, *OWN, "colour", "Stack"]),
    st.sampled_from(BAD),
)
INCOMPLETE = st.builds(
    lambda question, gone: {name: value for name, value in question.items() if name not in gone},
    TEXTS,
    st.sets(st.sampled_from(["diameter", "alloy", "head", "stack"]), min_size=1),
)


@settings(max_examples=60, deadline=None)
@given(TEXTS)
def test_one_question_has_one_answer_whichever_way_it_is_asked(question):
    told = outcome(lambda: EMBEDDED.pick(**question))
    assert outcome(lambda: OVER_HTTP.pick(**question)) == told
    answered = isinstance(told, dict)
    row = {"row": 1, "answer": told} if answered else {"row": 1, "problem": told[1]}
    for client in BOTH:
        assert list(client.batch_pick([question])) == [row]
        if answered:
            assert client.follow(told["link"]) == told
    here, there = (file_results(client, csv_of(question), CSV, CSV) for client in BOTH)
    assert here == there
    (cells,) = csv.DictReader(io.StringIO(here.decode()))
    if answered:
        assert cells["problem"] == ""
        assert {name: cells[name] for name in CELLS} == {
            name: written(find(told, path)) for name, path in CELLS.items()
        }
        assert cells["alternatives"].split() == (told["grip"] or told["length"])["alternatives"]
        codes = [caution["code"] for caution in told["cautions"]]
        known_to_differ = {"no-figure"}  # see the expected failure below
        assert [code for code in cells["cautions"].split() if code not in known_to_differ] == [
            code for code in codes if code not in known_to_differ
        ]
    else:
        assert cells["problem"].startswith(told[1]["type"].rpartition(":")[2])
        assert all(cells[name] == "" for name in CELLS)


@settings(max_examples=60, deadline=None)
@given(st.one_of(WRONG, INCOMPLETE))
def test_one_question_has_one_problem_whichever_way_it_is_asked(question):
    told = outcome(lambda: EMBEDDED.pick(**question))
    assert outcome(lambda: OVER_HTTP.pick(**question)) == told
    here, there = (list(client.batch_pick([question])) for client in BOTH)
    assert here == there
    if not isinstance(told, dict) and not set(question) - {"diameter", "alloy", "head", "stack", *OPTIONS, *OWN}:
        assert here == [{"row": 1, "problem": told[1]}]


@settings(max_examples=20, deadline=None)
@given(st.lists(st.one_of(TEXTS, WRONG, INCOMPLETE), min_size=1, max_size=4), st.sampled_from([CSV, NDJSON, JSON]))
def test_a_file_has_the_same_results_byte_by_byte(questions, accept):
    body = "".join(json.dumps(question) + "\n" for question in questions).encode()
    here, there = (file_results(client, body, NDJSON, accept) for client in BOTH)
    assert here == there


@pytest.mark.parametrize(
    "stack",
    [0.08, 1, ["0.040", 0.04], [{"thickness": "1.0mm", "material": "2024-T3"}, {"thickness": 0.04}]],
    ids=str,
)
def test_what_only_json_can_say_is_answered_alike(stack):
    here, there = (outcome(lambda client=client: client.pick(**{**QUESTION, "stack": stack})) for client in BOTH)
    assert here == there
    assert isinstance(here, dict)
    assert all(client.follow(here["link"]) == here for client in BOTH)


NUMBERS = [
    *("MS20470AD4-4", "AN426DD5-6", "MS20615-4M", "ms20470ad4-4", " MS20470AD4-4 ", "MS20470AD4"),
    *("MS20470AD4-4-5", "MS20470-AD-4-4", "MS20470AD4-04", "nonsense", "MS20470AD4-99", "NAS1241AD4-4"),
    *("a/b", "../editions", "a?b#c", "100%", "%2F", "é", "x" * 500, "MS20470AD4-4/", "a//b", "a/../b"),
    "\u0661",
]


@pytest.mark.parametrize("edition", [None, load_edition().name, "1999.1", "a b"], ids=str)
@pytest.mark.parametrize("number", NUMBERS, ids=lambda number: ascii(number)[:30])
def test_a_part_number_means_the_same_to_both(number, edition):
    here, there = (outcome(lambda client=client: client.part(number, edition=edition)) for client in BOTH)
    assert here == there


@pytest.mark.parametrize("number", ["", " ", ".", ".."])
def test_a_number_that_is_none_is_refused_by_both(number):
    for client in BOTH:
        with pytest.raises(BucktailError):
            client.part(number)


def test_both_list_the_same_editions():
    assert EMBEDDED.editions() == OVER_HTTP.editions()


@pytest.mark.parametrize(
    ("content_type", "body"),
    [
        (CSV, b""),
        (CSV, b"diameter;alloy;head;stack\n"),
        (CSV, b"diameter,alloy,head\n1/8,AD,universal\n"),
        (CSV, b"diameter,alloy,head,stack,stack\n"),
        (CSV, b"Diameter,alloy,head,stack\n"),
        (CSV, b'diameter,alloy,head,stack\n1/8,AD,universal,0.08\n"never closed\n1/8,AD,universal,0.08,more\n1/8\n'),
        (CSV, b"\xef\xbb\xbfdiameter,alloy,head,stack,note\r\n1/8,AD,universal,0.08,caf\xe9\r\n"),
        (NDJSON, b""),
        (NDJSON, b"{}\n[]\nnull\n{\n\n" + b'{"diameter": NaN}\n' + b'{"a": 1, "a": 2}\n'),
        (JSON, b""),
        (JSON, b"{}"),
        (JSON, b"[1, {}, null]"),
        (JSON, b"[" * 5000),
    ],
    ids=str,
)
@pytest.mark.parametrize("accept", [CSV, NDJSON, JSON])
def test_a_bad_file_is_the_same_to_both(content_type, body, accept):
    here, there = (file_results(client, body, content_type, accept) for client in BOTH)
    assert here == there


def methods(client):
    return {name: inspect.signature(method) for name, method in inspect.getmembers(client, callable) if name[0] != "_"}


def test_both_have_the_same_methods():
    assert methods(Embedded) == methods(Client)


@pytest.mark.parametrize(
    "wrong",
    [
        {"stack": "nope"},
        {"diameter": "1,5"},
        {"alloy": "tin"},
        {"stack_tolerance": "--"},
        {"stack": ""},
        {"stack": "9"},
    ],
    ids=str,
)
def test_a_problem_in_csv_has_the_words_of_the_problem(wrong):
    question = {**QUESTION, **wrong}
    asked = {name: text for name, text in question.items() if text}  # an empty cell is a field left out
    problem = outcome(lambda: EMBEDDED.pick(**asked))[1]
    (cells,) = csv.DictReader(io.StringIO(file_results(EMBEDDED, csv_of(question), CSV, CSV).decode()))
    assert cells["problem"] == f"{problem['type'].rpartition(':')[2]}: {problem['detail']}"


# --- where they are known to differ


def both_tell(ask):
    here, there = (outcome(lambda client=client: ask(client)) for client in BOTH)
    assert here == there


@pytest.mark.parametrize("number", ["MS20470AD4-4\n", "/MS20470AD4-4"], ids=ascii)
def test_a_number_with_what_does_not_belong_is_taken_alike(number):
    both_tell(lambda client: client.part(number))


def test_a_line_of_a_batch_has_every_caution_of_the_answer():
    question = {**QUESTION, "diameter": "3/32", "stack": "0.010+0.010+0.654"}
    codes = [caution["code"] for caution in EMBEDDED.pick(**question)["cautions"]]
    (cells,) = csv.DictReader(io.StringIO(file_results(EMBEDDED, csv_of(question), CSV, CSV).decode()))
    assert cells["cautions"].split() == codes


def test_a_tuple_of_layers_is_a_list_to_both():
    both_tell(lambda client: client.pick(**{**QUESTION, "stack": ("0.040", "0.040")}))


@pytest.mark.parametrize("value", [float("nan"), Decimal("0.08"), b"0.08"], ids=str)
def test_what_json_cannot_say_is_refused_alike(value):
    both_tell(lambda client: client.pick(**{**QUESTION, "stack": value}))


@pytest.mark.parametrize("value", [float("nan"), Decimal("0.08")], ids=str)
def test_a_row_that_json_cannot_say_is_refused_alike(value):
    both_tell(lambda client: list(client.batch_pick([{**QUESTION, "stack": value}])))


def test_no_rows_have_no_results_from_both():
    both_tell(lambda client: list(client.batch_pick([])))


@pytest.mark.parametrize(
    "link",
    ["", "nonsense", "/v1/editions", "/v1/pick?diameter=1/8&alloy=AD&head=universal&stack=.04+.04"],
)
def test_a_link_written_by_hand_is_followed_alike(link):
    both_tell(lambda client: client.follow(link))


@pytest.mark.parametrize(("question", "accept"), [("weld", CSV), ("pick", "text/html")])
def test_a_batch_of_no_question_or_format_is_refused_by_both(question, accept):
    for client in BOTH:
        with pytest.raises(RequestRefused):
            list(client.batch_file(question, io.BytesIO(csv_of(QUESTION)), content_type=CSV, accept=accept))


def test_a_file_that_was_lent_stays_open():
    for client in (OVER_HTTP, EMBEDDED):
        body = io.BytesIO(csv_of(QUESTION))
        list(client.batch_file("pick", body, content_type=CSV, accept=CSV))
        assert not body.closed
