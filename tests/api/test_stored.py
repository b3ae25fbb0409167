"""Stored plans: drafts, undo and redo, revisions, conditions, and a store that fails."""

import hashlib

import pytest
import rfc8785

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import SHIP, act, hazards, moved, post, put, stored_plan
from wheelover.api import create_app
from wheelover.store import open_store


@pytest.fixture
def client(stored_client: Client) -> Client:
    return stored_client


def test_ready_says_how_the_store_writes(client: Client, engine: str) -> None:
    answer = client.get("/readyz")
    assert answer.status_code == 200
    assert {"sqlite": "SQLite 3.", "postgresql": "PostgreSQL "}[engine] in answer.json()["store"]


def test_a_name_with_nul_is_refused_and_not_half_kept(client: Client) -> None:
    answer = post(client, "/api/v1/ships", {**SHIP, "name": "a\0b"})
    assert answer.status_code == 422
    assert client.get("/api/v1/ships/%00").status_code in (400, 404, 422)
    assert client.get("/api/v1/ships").json()["items"] == []


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


@pytest.fixture
def sqlite_client() -> Client:
    return Client(create_app())


def test_a_store_that_is_gone_is_503_with_retry(
    sqlite_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another process holds the write lock longer than we wait."""
    client = sqlite_client
    store = client.app.state.store
    other = open_store(f"sqlite:///{store._writer.url.database}")
    monkeypatch.setattr("wheelover.store.sqlite._BUSY_MS", 50)
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
    held = {"If-None-Match": made.headers["etag"]}
    assert client.get(place, headers=held).status_code == 304
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


def test_parallel_freezes_each_make_a_revision(client: Client) -> None:
    from concurrent.futures import ThreadPoolExecutor  # noqa: PLC0415

    place, _made = stored_plan(client)
    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(lambda _: act(client, f"{place}/revisions", None), range(4)))
    assert [one.status_code for one in answers] == [201] * 4
    assert sorted(one.json()["number"] for one in answers) == [1, 2, 3, 4]
