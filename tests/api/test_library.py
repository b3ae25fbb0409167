"""Stored ships and hazard sets: editions, lists, and plans that use them."""

import hashlib
from typing import Any

import pytest
import rfc8785

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import SHIP, hazards, post, put, stored_plan


@pytest.fixture
def client(stored_client: Client) -> Client:
    return stored_client


def test_a_ship_has_editions(client: Client) -> None:
    made = post(client, "/api/v1/ships", SHIP)
    assert made.status_code == 201
    place, tag = made.headers["location"], made.headers["etag"]
    assert made.json()["ship"] == SHIP
    assert client.get(place).headers["etag"] == tag
    longer = {**SHIP, "loa_m": 210.0}
    assert put(client, place, longer, None).status_code == 428
    assert put(client, place, longer, '"1-other"').status_code == 412
    changed = put(client, place, longer, tag)
    assert changed.status_code == 200
    assert changed.json()["edition"] == 2
    assert put(client, place, longer, tag).status_code == 412
    again = put(client, place, longer, changed.headers["etag"])
    assert again.json()["edition"] == 2  # the same contents make no edition
    assert client.get(f"{place}/editions/1").json()["ship"]["loa_m"] == 200.0
    assert client.get(f"{place}/editions/1").json()["newest_edition"] == 2
    assert client.get(f"{place}/editions/3").status_code == 404
    assert client.get(place).json()["ship"]["loa_m"] == 210.0
    digest = hashlib.sha256(rfc8785.dumps(longer)).hexdigest()
    assert client.get(place).json()["sha256"] == digest


def test_not_modified(client: Client) -> None:
    made = post(client, "/api/v1/ships", SHIP)
    place, tag = made.headers["location"], made.headers["etag"]
    same = client.send("GET", place, headers={"If-None-Match": f'"a", {tag}'})
    assert (same.status_code, same.content, same.headers["etag"]) == (304, b"", tag)
    assert client.send("GET", place, headers={"If-None-Match": '"a"'}).status_code == 200


@pytest.mark.parametrize(
    ("place", "body", "pointer"),
    [
        ("ships", {**SHIP, "loa_m": "200"}, "/loa_m"),
        ("ships", {**SHIP, "funnel": 1}, "/funnel"),
        ("ships", {**SHIP, "reach_m": 1.0, "reach_s": 1.0}, "/reach_m"),
        ("hazard-sets", hazards((91.0, 0.0)), "/features/0/geometry/coordinates"),
        ("hazard-sets", {"name": "a", "hazards": hazards((91.0, 0.0))}, "/hazards/features/0"),
        ("hazard-sets", {"name": "", "hazards": hazards((1.0, 0.0))}, "/name"),
        ("plans", {"route": {"name": "x", "waypoints": []}}, "/route/waypoints"),
    ],
)
def test_what_is_not_valid_is_not_kept(client: Client, place: str, body: Any, pointer: str) -> None:
    answer = post(client, f"/api/v1/{place}", body)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"].startswith(pointer)
    assert client.get(f"/api/v1/{place}").json()["items"] == []


def test_pointers_into_a_bare_collection(client: Client) -> None:
    twice = hazards((1.0, 0.0), (2.0, 0.0))
    twice["features"][1]["properties"]["id"] = "rock-0"
    bare = post(client, "/api/v1/hazard-sets", twice).json()
    named = post(client, "/api/v1/hazard-sets", {"name": "a", "hazards": twice}).json()
    assert bare["errors"][0]["pointer"] == "/features/1/properties/id"
    assert named["errors"][0]["pointer"] == "/hazards/features/1/properties/id"


def test_hazard_sets_are_kept_named_or_bare(client: Client) -> None:
    bare = post(client, "/api/v1/hazard-sets", hazards((47.05, -30.0), name="Gat"))
    named = post(
        client,
        "/api/v1/hazard-sets",
        {"name": "Own marks", "source": "pencil", "hazards": hazards((47.05, -30.0))},
    )
    assert (bare.status_code, named.status_code) == (201, 201)
    assert (bare.json()["name"], bare.json()["item_count"]) == ("Gat", 1)
    assert named.json()["source"] == "pencil"
    assert client.get(named.headers["location"]).json()["hazards"] == hazards((47.05, -30.0))
    listed = client.get("/api/v1/hazard-sets").json()["items"]
    assert [one["name"] for one in listed] == ["Own marks", "Gat"]
    assert "hazards" not in listed[0]


def test_lists_come_in_pages_without_loss(client: Client) -> None:
    made = [post(client, "/api/v1/ships", {**SHIP, "name": f"S{n}"}).json()["id"] for n in range(7)]
    seen: list[str] = []
    cursor: str | None = None
    for _ in range(4):
        query = "?limit=2" + (f"&cursor={cursor}" if cursor else "")
        page = client.get(f"/api/v1/ships{query}").json()
        seen += [one["id"] for one in page["items"]]
        cursor = page["next_cursor"]
    assert cursor is None
    assert seen == made[::-1]


@pytest.mark.parametrize("query", ["limit=0", "limit=501", "limit=x", "cursor=x", "cursor=-1"])
def test_bad_paging_is_named(client: Client, query: str) -> None:
    answer = client.get(f"/api/v1/plans?{query}")
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"].endswith(query.split("=", maxsplit=1)[0])


def test_a_plan_is_checked_against_stored_hazards_by_edition(client: Client) -> None:
    on_track, far = hazards((47.05, -30.0)), hazards((40.0, -20.0))
    made = post(client, "/api/v1/hazard-sets", {"name": "Gat", "hazards": on_track})
    set_id = made.json()["id"]
    place, answer = stored_plan(client, hazard_set_ids=[set_id], hazards=None)
    assert answer.json()["inputs"]["hazard_set_editions"] == {set_id: 1}
    first = client.get(f"{place}/computed").json()
    assert [row["hazard_id"] for row in first["clearances"]] == ["rock-0"]
    assert any("Gat, edition 1" in str(row["note"]) for row in first["basis"])
    put(client, made.headers["location"], {"name": "Gat", "hazards": far}, made.headers["etag"])
    still = client.get(f"{place}/computed").json()
    assert still["clearances"] == first["clearances"]
    assert still["inputs_sha256"] == first["inputs_sha256"]
    newest = client.plan(zoo.request(hazard_set_ids=[set_id], hazards=None)).json()
    assert newest["clearances"] == []
    assert newest["inputs_sha256"] != first["inputs_sha256"]


def test_dangers_of_several_sets_that_share_an_id_are_told_apart(client: Client) -> None:
    ids = [
        post(client, "/api/v1/hazard-sets", hazards((47.05, -30.0 + lon), name="x")).json()["id"]
        for lon in (0.0, 0.001)
    ]
    answer = client.plan(zoo.request(hazard_set_ids=ids, hazards=hazards((47.05, -29.999))))
    found = {row["hazard_id"] for row in answer.json()["clearances"]}
    assert found == {"rock-0", *(f"{one}/rock-0" for one in ids)}


def test_an_id_that_looks_told_apart_already_takes_no_place_of_another(client: Client) -> None:
    set_id = post(client, "/api/v1/hazard-sets", hazards((47.05, -30.0), name="x")).json()["id"]
    own = hazards((47.05, -29.999), (47.05, -29.998))
    own["features"][1]["properties"]["id"] = f"{set_id}/rock-0"
    answer = client.plan(zoo.request(hazard_set_ids=[set_id], hazards=own)).json()
    found = {row["hazard_id"] for row in answer["clearances"]}
    assert found == {"rock-0", f"{set_id}/rock-0", f"{set_id}/{set_id}/rock-0"}
    (loaded,) = (row for row in answer["basis"] if row["input"] == "dangers")
    assert loaded["value"] == 3.0


def test_a_plan_uses_a_stored_ship(client: Client) -> None:
    ship_id = post(client, "/api/v1/ships", SHIP).json()["id"]
    body = zoo.request()
    del body["ship"]
    by_id = client.plan({**body, "ship_id": ship_id}).json()
    whole = client.plan({**body, "ship": SHIP}).json()
    assert by_id["turns"] == whole["turns"]
    both = client.plan({**body, "ship": SHIP, "ship_id": ship_id})
    assert both.status_code == 422
    assert both.json()["errors"][0]["pointer"] == "/ship_id"


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({"ship": None, "ship_id": "none"}, "/ship_id"),
        ({"hazard_set_ids": ["none"]}, "/hazard_set_ids/0"),
    ],
)
def test_an_unknown_id_is_named(client: Client, members: dict[str, Any], pointer: str) -> None:
    answer = client.plan(zoo.request(**members))
    assert answer.status_code == 404
    assert answer.json()["errors"][0]["pointer"] == pointer
    assert post(client, "/api/v1/plans", zoo.request(**members)).status_code == 404
    assert client.get("/api/v1/plans").json()["items"] == []


def test_a_ship_is_no_hazard_set(client: Client) -> None:
    ship_id = post(client, "/api/v1/ships", SHIP).json()["id"]
    assert client.get(f"/api/v1/hazard-sets/{ship_id}").status_code == 404
    assert client.plan(zoo.request(hazard_set_ids=[ship_id])).status_code == 404


@pytest.mark.parametrize(
    "members", [{"ship_edition": 2}, {"hazard_set_editions": {"x": 1}, "hazard_set_ids": []}]
)
def test_an_edition_of_what_is_not_named_is_refused(
    client: Client, members: dict[str, Any]
) -> None:
    assert post(client, "/api/v1/plans", zoo.request(**members)).status_code == 422
    assert client.plan(zoo.request(**members)).status_code == 422
