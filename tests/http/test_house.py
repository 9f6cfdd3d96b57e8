"""House tables over HTTP: which figures they gave, two instances alike, and what stops a start."""

from __future__ import annotations

import os
from itertools import product

import pytest
from tests.tables.housing import NAME, SHOP, Shop

from bucktail.embedded import Embedded, known
from bucktail.errors import NoAnswer, ServiceFault
from bucktail_service.app import create_app
from bucktail_service.config import Settings
from bucktail_service.schemas.answers import EditionsAnswer, PartAnswer, PickAnswer
from bucktail_service.schemas.joint import JointAnswer
from bucktail_tables import house
from bucktail_tables.errors import BrokenEdition, EditionNotFound
from bucktail_tables.load import load_edition, packaged_names

ASKED = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.04+0.04"}
KINDS = ("application/json", "text/plain", "text/csv")


@pytest.fixture
def start(monkeypatch):
    """Start a service over folders: `start(folder, ...)`."""

    def begin(*folders, default=""):
        monkeypatch.setattr(house, "_kept", {})
        monkeypatch.setenv("BUCKTAIL_TABLES", os.pathsep.join(map(str, folders)))
        monkeypatch.setenv("BUCKTAIL_EDITION", default)
        return create_app(Settings()).test_client()

    return begin


def pick(http, accept="application/json", **asked):
    return http.get("/v1/pick", query_string={**ASKED, **asked}, headers={"Accept": accept})


def figures_of_the_house(answer):
    return {figure for source in answer["sources"] if source.get("house") == NAME for figure in source["figures"]}


def test_a_manufacturers_edge_distance_is_the_houses_and_says_so(start):
    answer = pick(start(SHOP), edition=NAME).get_json()
    assert answer["spacing"]["edge_minimum_in"] == 0.28125  # 2.25 D of 1/8, as the invented manual has it
    assert {"spacing.edge_minimum", "spacing.edge_layout", "length.length"} <= figures_of_the_house(answer)
    assert not {"hole.final", "strength.single_shear"} & figures_of_the_house(answer)
    (source,) = [source for source in answer["sources"] if "spacing.edge_minimum" in source["figures"]]
    assert source["document"] == "Invented manufacturer's repair manual"
    assert (source["basis"], source["table"]) == ("published", "spacing")
    assert answer["edition"]["extends"] == {"name": "2026.1", "sha256": load_edition("2026.1").sha256}
    assert sorted(answer["edition"]["house_tables"]) == ["lengths", "offered", "spacing"]
    assert answer["edition"]["status"] == "house"
    assert answer["link"].endswith(f"edition={NAME}")
    assert PickAnswer().load(answer)


def test_an_answer_out_of_the_programs_edition_is_the_same_bytes_with_and_without_house_tables(start):
    with_house, without = start(SHOP), start()
    for accept in KINDS:
        assert pick(with_house, accept, edition="2026.1").data == pick(without, accept, edition="2026.1").data
        assert pick(with_house, accept).data == pick(without, accept).data
    assert b"house" not in pick(with_house, edition="2026.1").data


def test_an_alloy_the_shop_does_not_use_is_not_offered(start):
    http = start(SHOP)
    reply = pick(http, alloy="B", edition=NAME)
    assert reply.status_code == 404
    assert reply.get_json()["type"].endswith("not-tabulated")
    assert pick(http, alloy="B", edition="2026.1").status_code == 200


def test_a_length_that_is_not_on_the_shelf_is_outside_the_table(start):
    http = start(SHOP)
    assert pick(http, stack="0.5", edition="2026.1").get_json()["length"]["dash"] == "11"
    reply = pick(http, stack="0.5", edition=NAME)
    assert (reply.status_code, reply.get_json()["type"].rpartition(":")[2]) == (404, "outside-table")


def test_the_text_names_the_figures_of_the_house_within_the_page(start):
    text = pick(start(SHOP), "text/plain", edition=NAME).get_data(as_text=True)
    told = " ".join(text.partition("house tables over edition 2026.1 gave:")[2].split())
    assert told.startswith("spacing.edge_minimum, spacing.edge_layout, length.length")
    before_the_link = text.rstrip("\n").splitlines()[:-1]
    assert max(map(len, before_the_link)) <= 80


def test_an_answer_no_house_row_gave_a_figure_of_says_so(start):
    http = start(SHOP)
    reply = http.get(f"/v1/parts/MS20426AD4?edition={NAME}", headers={"Accept": "text/plain"})
    assert "house tables over edition 2026.1 gave:" in reply.get_data(as_text=True)
    answer = http.get(f"/v1/parts/MS20426AD4?edition={NAME}").get_json()
    assert PartAnswer().load(answer)
    assert bool(figures_of_the_house(answer)) == (
        "none of these figures" not in " ".join(reply.get_data(as_text=True).split())
    )


def test_every_question_asked_of_a_house_edition_holds_to_its_schema(start):
    http = start(SHOP)
    asked = {"diameter": "1/8", "alloy": "AD", "head": "universal", "stack": "0.04 2024-T3+0.04 2024-T3"}
    reply = http.post("/v1/joint", json={**asked, "edition": NAME})
    answer = reply.get_json()
    assert reply.status_code == 200, answer
    assert JointAnswer().load(answer)
    assert figures_of_the_house(answer)


def test_the_list_shows_house_editions_after_the_programs(start):
    body = start(SHOP).get("/v1/editions").get_json()
    assert EditionsAnswer().load(body)
    last = body["editions"][-1]
    assert (last["name"], last["status"], last["default"]) == (NAME, "house", False)
    assert last["extends"]["name"] == "2026.1"
    assert body["default"] == load_edition().name
    text = start(SHOP).get("/v1/editions", headers={"Accept": "text/plain"}).get_data(as_text=True)
    assert "extends 2026.1; house tables: " in text


def test_one_setting_makes_a_house_edition_the_default(start):
    http = start(SHOP, default=NAME)
    assert http.get("/readyz").get_json()["edition"] == NAME
    assert http.get("/v1/editions").get_json()["default"] == NAME
    answer = pick(http).get_json()
    assert (answer["edition"]["name"], answer["spacing"]["edge_minimum_in"]) == (NAME, 0.28125)
    assert pick(http, alloy="B").status_code == 404, "the question is understood: the alloy is known, not offered"


def many_answers(http):
    """Return status, headers and bytes of many answers, those of refused questions too."""
    replies = [http.get(path) for path in ("/v1/editions", "/readyz", "/v1/parts/MS20470AD4-4")]
    asked = product(
        ("3/32", "1/8", "5/32", "3/16"), ("AD", "B", "2117"), ("universal", "MS20426"), ("0.064", "0.04+0.05"), KINDS
    )
    for diameter, alloy, head, stack, accept in asked:
        replies.append(pick(http, accept, diameter=diameter, alloy=alloy, head=head, stack=stack))
    return [(reply.status_code, list(reply.headers), reply.data) for reply in replies]


def test_two_instances_with_copies_of_the_folder_answer_byte_for_byte_alike(start, tmp_path):
    first = many_answers(start(SHOP, default=NAME))
    second = many_answers(start(Shop(tmp_path / "copy").folder, default=NAME))
    assert first == second
    assert {200, 404} <= {status for status, _, _ in first}


def test_the_client_in_process_answers_as_the_service_does(start):
    http = start(SHOP, default=NAME)
    with Embedded() as client:
        assert client.pick(**ASKED) == pick(http).get_json()
        assert client.editions() == http.get("/v1/editions").get_json()
        with pytest.raises(NoAnswer):
            client.pick(**{**ASKED, "alloy": "B"})


def test_a_house_edition_may_change_so_its_answers_are_asked_for_again(start):
    http = start(SHOP)
    assert pick(http, edition=NAME).headers["Cache-Control"] == "no-cache"
    assert "immutable" in pick(http, edition="2026.1").headers["Cache-Control"]


def test_a_broken_folder_stops_the_start_and_the_client(start, tmp_path):
    shop = Shop(tmp_path / "shop")
    shop.put("spacing", 2, "times_d", "two")
    with pytest.raises(BrokenEdition, match=r"shop: table spacing, row 2, column times_d: 'two' is not a number"):
        start(shop.folder)
    with pytest.raises(ServiceFault, match="table spacing, row 2, column times_d"):
        Embedded()
    assert known("edition") == list(packaged_names()), "completion goes on"


def test_a_default_that_is_not_installed_stops_the_start_and_the_client(start):
    with pytest.raises(EditionNotFound, match=r"no edition 'shop'; there are .*shop-2026-11"):
        start(SHOP, default="shop")
    with pytest.raises(ServiceFault, match="no edition 'shop'"):
        Embedded()
