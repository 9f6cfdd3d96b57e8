"""The pages of the tables are the same in-process and over HTTP: answers, problems, links and files."""

from __future__ import annotations

import pytest
from tests.client.test_agreement import BOTH, EMBEDDED, OVER_HTTP, outcome

from bucktail.errors import BadQuestion, NotTabulated, UnknownEdition
from bucktail_tables.load import load_edition

ROW = ("holes", "1/8", "final", "1")
EDITIONS = [None, "2026.1", "default", "1999.1", "a b", "é", "x" * 500, "%2F", "?", "#"]
WORDS = ["5/32 shear", "#30", "1 1/8", "a+b & c", "100%", "é 1", "xyzzy", "\ud800 1", "a\nb", "\x00a"]
NO_WORDS = ["", " ", "--", "x" * 201]


def alike(ask):
    here, there = (outcome(lambda client=client: ask(client)) for client in BOTH)
    assert here == there
    return here


@pytest.mark.parametrize("edition", EDITIONS, ids=ascii)
def test_a_page_of_an_edition_is_the_same_to_both(edition):
    told = alike(lambda client: client.edition(edition))
    assert isinstance(told, dict) == (edition in (None, "2026.1", "default"))
    alike(lambda client: client.table(edition, "holes"))
    alike(lambda client: client.row(edition, *ROW))
    alike(lambda client: client.find("5/32 shear", edition, limit=3))
    alike(lambda client: client.table_file(edition, "holes"))


@pytest.mark.parametrize("table", [*load_edition("2026.1").tables, "hole", "HOLES", "a b", "%", "row"])
def test_a_table_is_the_same_to_both(table):
    told = alike(lambda client: client.table("2026.1", table))
    raw = alike(lambda client: client.table_file("2026.1", table))
    assert isinstance(told, dict) == isinstance(raw, bytes)


@pytest.mark.parametrize(
    "key",
    [
        *((), ("1/8", "final", "1"), ("1/8", "final", "9"), ("1/8",), ("", "")),
        *(("\ud800",), ("a&key=b",), ("1/8 final 1",)),
    ],
)
def test_a_row_is_the_same_to_both(key):
    told = alike(lambda client: client.row("2026.1", "holes", *key))
    assert isinstance(told, dict) == (key == ROW[1:])


@pytest.mark.parametrize("text", [*WORDS, *NO_WORDS], ids=ascii)
def test_rows_found_are_the_same_to_both(text):
    assert isinstance(alike(lambda client: client.find(text)), dict) == (text in WORDS)
    alike(lambda client: client.find(text, "2026.1", limit=2))


@pytest.mark.parametrize("limit", [0, 1, 500, 501, -1, 10**30])
def test_how_many_rows_are_shown_is_the_same_to_both(limit):
    alike(lambda client: client.find("5/32", limit=limit))


def test_the_links_of_pages_are_followed_alike():
    links = [
        EMBEDDED.edition()["link"],
        EMBEDDED.table(None, "shear")["link"],
        EMBEDDED.row(None, *ROW)["link"],
        EMBEDDED.find("#30 hole & 100% a+b", limit=2)["link"],
        *(row["link"] for row in EMBEDDED.find("clad 2024", limit=20)["rows"]),
    ]
    for link in links:
        told = alike(lambda client, link=link: client.follow(link))
        assert told["link"] == link


@pytest.mark.parametrize(
    "link",
    [
        "/v1/editions/2026.1/datapackage.json",
        "/v1/editions/1999.1/datapackage.json",
        "/v1/editions/2026.1/find?text=shear",
        "/v1/editions/2026.1/find?text=shear&limit=x",
        "/v1/editions/2026.1/find?text=",
        "/v1/editions/2026.1/tables/hole",
        "/v1/editions/2026.1/tables/holes/row?key=1/8&key=final&key=1",
        "/v1/editions/2026.1/tables/holes/row/1",
        "/v1/editions/2026.1/tables/holes/row",
        "/v1/editions/2026.1/find",
        "/v1/editions/2026.1/tables",
        "/v1/editions/2026.1/tables/a%2Fb",
        "/v1/editions/",
    ],
)
def test_a_link_to_a_page_written_by_hand_is_followed_alike(link):
    alike(lambda client: client.follow(link))


@pytest.mark.parametrize("name", ["", ".", "..", "a/b", "a\n"], ids=ascii)
def test_what_cannot_be_a_name_is_refused_by_both(name):
    for client in BOTH:
        for ask in (client.edition, lambda name, client=client: client.table("2026.1", name)):
            with pytest.raises(BadQuestion):
                ask(name)


def test_what_is_not_there_is_told_by_its_own_exception():
    for client in (EMBEDDED, OVER_HTTP):
        with pytest.raises(UnknownEdition):
            client.edition("1999.1")
        with pytest.raises(NotTabulated):
            client.table(None, "hole")
        with pytest.raises(NotTabulated):
            client.row(None, "holes", "1/8")
