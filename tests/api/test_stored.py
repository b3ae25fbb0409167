"""Stored ships, hazard sets and plans: editions, drafts, undo and redo, revisions, conditions."""

import hashlib
from typing import Any

import httpx
import pytest
import rfc8785
from geographiclib.geodesic import Geodesic

from tests import zoo
from tests.api.conftest import Client
from wheelover.api import create_app
from wheelover.store import open_store

SHIP: dict[str, Any] = {
    "name": "Zoo carrier 200",
    "loa_m": 200.0,
    "beam_m": 32.0,
    "draught_fore_m": 10.0,
    "draught_aft_m": 10.0,
    "speed_kn": 12.0,
    "turn_radius_nm": 0.5,
}


def hazards(*places: tuple[float, float], name: str | None = None) -> dict[str, Any]:
    features = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [lon, lat]},
            "properties": {"id": f"rock-{index}", "min_clearance_m": 500.0},
        }
        for index, (lat, lon) in enumerate(places)
    ]
    return {"type": "FeatureCollection", "features": features, **({"name": name} if name else {})}


@pytest.fixture
def client() -> Client:
    return Client(create_app())


def post(client: Client, path: str, body: Any, **headers: str) -> httpx.Response:
    return client.send("POST", path, json=body, headers=headers)


def put(client: Client, path: str, body: Any, tag: str | None) -> httpx.Response:
    headers = {} if tag is None else {"If-Match": tag}
    return client.send("PUT", path, json=body, headers=headers)


def act(client: Client, path: str, tag: str | None) -> httpx.Response:
    return client.send("POST", path, headers={} if tag is None else {"If-Match": tag})


def stored_plan(client: Client, **members: Any) -> tuple[str, httpx.Response]:
    answer = post(client, "/api/v1/plans", zoo.request(**members))
    assert answer.status_code == 201, answer.text
    place = answer.headers["location"]
    return place, answer


def test_ready_says_how_the_store_writes(client: Client) -> None:
    answer = client.get("/readyz")
    assert answer.status_code == 200
    assert "SQLite" in answer.json()["store"]


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


def moved(body: dict[str, Any], index: int, north_deg: float) -> dict[str, Any]:
    waypoints = [dict(one) for one in body["route"]["waypoints"]]
    waypoints[index]["lat_deg"] += north_deg
    return {**body, "route": {**body["route"], "waypoints": waypoints}}


def test_three_edits_undone_and_made_again(client: Client) -> None:
    place, made = stored_plan(client)
    inputs = [made.json()["inputs"]]
    tag = made.headers["etag"]
    for index in range(3):
        answer = put(client, place, moved(inputs[-1], index, 0.01), tag)
        tag = answer.headers["etag"]
        inputs.append(answer.json()["inputs"])
    assert answer.json()["edit"] == 4
    assert [one["label"] for one in answer.json()["steps"]] == [
        "Moved WPT 03 0.60 NM 000 T",
        "Moved WPT 02 0.60 NM 000 T",
        "Moved WPT 01 0.60 NM 000 T",
        "Started",
    ]
    for expected in reversed(inputs[:-1]):
        answer = act(client, f"{place}/undo", tag)
        tag = answer.headers["etag"]
        assert answer.json()["inputs"] == expected
    assert answer.json()["undo"] is None
    assert answer.json()["redo"] == {"label": "Moved WPT 01 0.60 NM 000 T"}
    nothing = act(client, f"{place}/undo", tag)
    assert nothing.status_code == 409
    for expected in inputs[1:]:
        answer = act(client, f"{place}/redo", tag)
        tag = answer.headers["etag"]
        assert answer.json()["inputs"] == expected
    assert act(client, f"{place}/redo", tag).status_code == 409
    assert client.get(place).json()["inputs"] == inputs[-1]


def test_an_edit_after_undo_ends_what_could_be_redone(client: Client) -> None:
    place, made = stored_plan(client)
    body = made.json()["inputs"]
    tag = put(client, place, moved(body, 0, 0.01), made.headers["etag"]).headers["etag"]
    tag = act(client, f"{place}/undo", tag).headers["etag"]
    answer = put(client, place, moved(body, 1, 0.01), tag)
    assert answer.json()["redo"] is None
    assert [one["label"][:12] for one in answer.json()["steps"]] == ["Moved WPT 02", "Started"]


def test_the_same_inputs_make_no_step(client: Client) -> None:
    place, made = stored_plan(client)
    same = put(client, place, made.json()["inputs"], made.headers["etag"])
    assert same.headers["etag"] == made.headers["etag"]
    assert same.json()["edit"] == 1


def test_a_draft_changed_by_another_is_not_overwritten(client: Client) -> None:
    place, made = stored_plan(client)
    body, tag = made.json()["inputs"], made.headers["etag"]
    put(client, place, moved(body, 0, 0.01), tag)
    for late in (
        put(client, place, moved(body, 1, 0.01), tag),
        act(client, f"{place}/undo", tag),
        act(client, f"{place}/redo", tag),
        act(client, f"{place}/revisions", tag),
    ):
        assert late.status_code == 412
    for bare in (put(client, place, body, None), act(client, f"{place}/undo", None)):
        assert bare.status_code == 428
    assert put(client, place, body, "not a tag").status_code == 422
    assert client.get(place).json()["edit"] == 2


def test_undo_to_the_same_inputs_still_has_another_tag(client: Client) -> None:
    """Else a sender who missed two changes would take the draft for the one it knows."""
    place, made = stored_plan(client)
    body, tag = made.json()["inputs"], made.headers["etag"]
    changed = put(client, place, moved(body, 0, 0.01), tag).headers["etag"]
    back = act(client, f"{place}/undo", changed)
    assert back.json()["inputs"] == body
    assert back.headers["etag"] != tag


def test_dangers_given_with_the_plan_stay_in_the_draft(client: Client) -> None:
    given = hazards((47.05, -30.0))
    place, made = stored_plan(client, hazards=given)
    assert made.json()["inputs"]["hazards"] == given
    tag = put(client, place, moved(made.json()["inputs"], 0, 0.01), made.headers["etag"])
    assert client.get(place).json()["inputs"]["hazards"] == given
    assert act(client, f"{place}/undo", tag.headers["etag"]).json()["inputs"]["hazards"] == given


def test_a_revision_is_frozen_under_its_digest(client: Client) -> None:
    ship_id = post(client, "/api/v1/ships", SHIP).json()["id"]
    set_id = post(client, "/api/v1/hazard-sets", hazards((47.05, -30.0), name="Gat")).json()["id"]
    body = zoo.request(hazard_set_ids=[set_id], ship_id=ship_id)
    del body["ship"]
    made = post(client, "/api/v1/plans", body)
    place = made.headers["location"]
    frozen = act(client, f"{place}/revisions", made.headers["etag"])
    assert frozen.status_code == 201
    document = frozen.json()
    sha256 = document.pop("sha256")
    assert hashlib.sha256(rfc8785.dumps(document)).hexdigest() == sha256
    assert frozen.headers["etag"] == f'"{sha256}"'
    assert document["loaded"]["ship"]["ship"] == SHIP
    assert document["loaded"]["hazard_sets"][0]["edition"] == 1
    computed = client.get(f"{place}/computed").json()
    assert {**document["result"], "plan_id": computed["plan_id"], "edit": 1} == computed
    read = client.get(f"{place}/revisions/1")
    assert read.content == frozen.content
    assert "immutable" in read.headers["cache-control"]
    held = client.send("GET", f"{place}/revisions/1", headers={"If-None-Match": f'"{sha256}"'})
    assert held.status_code == 304


def test_a_revision_outlives_every_change(client: Client) -> None:
    made = post(client, "/api/v1/ships", SHIP)
    body = zoo.request(ship_id=made.json()["id"])
    del body["ship"]
    plan = post(client, "/api/v1/plans", body)
    place = plan.headers["location"]
    frozen = act(client, f"{place}/revisions", None).content
    put(client, made.headers["location"], {**SHIP, "loa_m": 300.0}, made.headers["etag"])
    put(client, place, moved(plan.json()["inputs"], 0, 0.1), plan.headers["etag"])
    assert client.get(f"{place}/revisions/1").content == frozen
    second = act(client, f"{place}/revisions", None).json()
    assert second["number"] == 2
    assert [one["number"] for one in client.get(f"{place}/revisions").json()["items"]] == [2, 1]
    for verb in ("PUT", "DELETE", "PATCH"):
        assert client.send(verb, f"{place}/revisions/1", json={}).status_code == 405


def test_undo_stops_at_a_revision(client: Client) -> None:
    place, made = stored_plan(client)
    tag = put(client, place, moved(made.json()["inputs"], 0, 0.01), made.headers["etag"])
    act(client, f"{place}/revisions", tag.headers["etag"])
    answer = act(client, f"{place}/undo", tag.headers["etag"])
    assert answer.status_code == 409
    assert "revision 1" in answer.json()["detail"]


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/api/v1/plans/none", 404),
        ("/api/v1/plans/none/computed", 404),
        ("/api/v1/plans/none/revisions", 404),
        ("/api/v1/plans/none/revisions/1", 404),
        ("/api/v1/ships/none", 404),
        ("/api/v1/hazard-sets/none", 404),
        ("/api/v1/ships/x/editions/0", 422),
    ],
)
def test_unknown_places(client: Client, path: str, status: int) -> None:
    assert client.get(path).status_code == status


def test_a_ship_is_no_hazard_set(client: Client) -> None:
    ship_id = post(client, "/api/v1/ships", SHIP).json()["id"]
    assert client.get(f"/api/v1/hazard-sets/{ship_id}").status_code == 404
    assert client.plan(zoo.request(hazard_set_ids=[ship_id])).status_code == 404


def test_plans_are_listed_last_changed_first(client: Client) -> None:
    places = [stored_plan(client)[0] for _ in range(2)]
    tag = client.get(places[0]).headers["etag"]
    put(client, places[0], zoo.request(departure_utc="2026-11-25T14:00:00Z"), tag)
    items = client.get("/api/v1/plans").json()["items"]
    assert [f"/api/v1/plans/{one['id']}" for one in items] == places
    assert items[0]["waypoint_count"] == len(zoo.request()["route"]["waypoints"])


def test_the_same_inputs_freeze_to_the_same_result(client: Client) -> None:
    results = []
    for _ in range(2):
        place, _made = stored_plan(client, hazards=hazards((47.05, -30.0)))
        results.append(rfc8785.dumps(act(client, f"{place}/revisions", None).json()["result"]))
    assert results[0] == results[1]


@pytest.mark.parametrize(
    "text",
    [
        # The five spellings of one place; the echo is what the bridge reads.
        "51 23.456 N 001 12.345 E",
        "51-23.456N 001-12.345E",
        "51°23.456'N 001°12.345'E",
        "51°23'27.36\"N, 001°12'20.7\"E",
        "+51.3909333 +1.20575",
        "N 51 23.456 E 001 12.345",
        "51 23.456 N/001 12.345 E",
    ],
)
def test_a_typed_position_is_read(client: Client, text: str) -> None:
    answer = post(client, "/api/v1/positions/read", {"text": text})
    assert answer.status_code == 200, answer.text
    assert answer.json()["echo"] == "51-23.456N 001-12.345E"


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("51 23.456 1 12.345 E", "parted"),
        ("51 61.2 N, 1 20.1 E", "minutes"),
        ("51 23.4, 1 20.1", "hemisphere"),
        ("91 00.0 N 001 00.0 E", "over 90"),
        ("51.39 1.2", "hemisphere"),
        ("somewhere", "parted"),
    ],
)
def test_a_typed_position_that_could_mean_two_is_refused(
    client: Client, text: str, word: str
) -> None:
    answer = post(client, "/api/v1/positions/read", {"text": text})
    assert answer.status_code == 422
    assert word in answer.json()["detail"]
    assert answer.json()["errors"][0]["pointer"] == "/text"


def test_a_position_off_another(client: Client) -> None:
    start = {"lat_deg": 51.0, "lon_deg": 1.0}
    body = {"from": start, "bearing_deg": 0.0, "distance_nm": 0.03}
    answer = post(client, "/api/v1/positions/offset", body).json()["position"]
    north = Geodesic.WGS84.Direct(51.0, 1.0, 0.0, 0.03 * 1852.0)  # geographiclib
    assert answer["lat_deg"] == pytest.approx(north["lat2"], abs=1e-10)
    assert answer["lon_deg"] == pytest.approx(1.0, abs=1e-12)
    assert (
        post(client, "/api/v1/positions/offset", {**body, "bearing_deg": 360.0}).status_code == 422
    )
    over = {**body, "from": {"lat_deg": 89.9, "lon_deg": 0.0}, "distance_nm": 60.0}
    assert post(client, "/api/v1/positions/offset", over).status_code == 422


def test_a_full_disk_keeps_nothing_and_reads_go_on(client: Client) -> None:
    """SQLite's own SQLITE_FULL, by its page limit (F7, short form)."""
    place, made = stored_plan(client)
    store = client.app.state.store
    pragma = "PRAGMA max_page_count"

    def limit_pages(count: int) -> None:
        with store._writer.connect() as connection:
            connection.exec_driver_sql(f"{pragma}={count}")

    with store._writer.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
    limit_pages(pages)
    big = hazards(*((1.0 + n * 1e-4, n * 1.7e-4) for n in range(4000)))
    full = post(client, "/api/v1/hazard-sets", big)
    assert full.status_code == 507
    assert client.get("/api/v1/hazard-sets").json()["items"] == []
    assert client.get(place).headers["etag"] == made.headers["etag"]
    assert client.get("/healthz").status_code == 200
    limit_pages(1_000_000)
    assert post(client, "/api/v1/hazard-sets", big).status_code == 201


def test_a_store_that_is_gone_is_503_with_retry(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another process holds the write lock longer than we wait."""
    store = client.app.state.store
    other = open_store(f"sqlite:///{store._writer.url.database}")
    monkeypatch.setattr("wheelover.store.open._BUSY_MS", 50)
    store._writer.dispose()
    with other.writing() as unit:
        unit.blobs.put(b"something")
        late = post(client, "/api/v1/ships", SHIP)
    other.close()
    assert late.status_code == 503
    assert late.headers["retry-after"]
    assert post(client, "/api/v1/ships", SHIP).status_code == 201


def test_a_tag_stands_for_one_answer(client: Client) -> None:
    place, made = stored_plan(client)
    act(client, f"{place}/revisions", None)
    after = client.get(place)
    assert after.headers["etag"] != made.headers["etag"]
    # The draft itself is what it was: the tag from before the freeze still names its edit.
    body = moved(made.json()["inputs"], 0, 0.01)
    assert put(client, place, body, made.headers["etag"]).status_code == 200
    ship = post(client, "/api/v1/ships", SHIP)
    old = f"{ship.headers['location']}/editions/1"
    before = client.get(old)
    put(client, ship.headers["location"], {**SHIP, "loa_m": 210.0}, ship.headers["etag"])
    later = client.get(old)
    assert later.content != before.content
    assert later.headers["etag"] != before.headers["etag"]
    held = {"If-None-Match": later.headers["etag"]}
    assert client.get(old, headers=held).status_code == 304


@pytest.mark.parametrize(
    "members", [{"ship_edition": 2}, {"hazard_set_editions": {"x": 1}, "hazard_set_ids": []}]
)
def test_an_edition_of_what_is_not_named_is_refused(
    client: Client, members: dict[str, Any]
) -> None:
    assert post(client, "/api/v1/plans", zoo.request(**members)).status_code == 422
    assert client.plan(zoo.request(**members)).status_code == 422


def test_parallel_freezes_each_make_a_revision(client: Client) -> None:
    from concurrent.futures import ThreadPoolExecutor  # noqa: PLC0415

    place, _made = stored_plan(client)
    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(lambda _: act(client, f"{place}/revisions", None), range(4)))
    assert [one.status_code for one in answers] == [201] * 4
    assert sorted(one.json()["number"] for one in answers) == [1, 2, 3, 4]
