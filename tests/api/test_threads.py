"""Threads by JSON: anchored by stable ids, added only, and what became of their subject since."""

import sqlite3
import uuid
from pathlib import Path
from typing import Any

import httpx
import pytest

from tests.api.conftest import Client
from tests.api.keeping import SHIP, moved, post, put, stored_plan
from tests.api.record_keeping import NAVIGATOR, edit, offer
from wheelover.api import create_app
from wheelover.api.schemas.review import ThreadList, ThreadOut
from wheelover.core.errors import InvalidInput
from wheelover.store import open_store
from wheelover.usecases.audit import verify
from wheelover.usecases.people import LOCAL_ACTOR, Actor
from wheelover.usecases.threads import side_of

SUPERINTENDENT = {"name": "E. Lund", "rank": "superintendent"}


@pytest.fixture
def client() -> Client:
    return Client(create_app())


@pytest.fixture
def place(client: Client) -> str:
    """Return a plan with one revision."""
    found, _ = stored_plan(client)
    offer(client, found)
    return found


def ask(client: Client, place: str, kind: str = "turn", one: str = "B", **more: Any) -> Any:
    body = {
        "anchor": {"kind": kind, "id": one},
        "revision": 1,
        "side": "shore",
        "words": "10 s to close is short. Why R 0.50?",
        "by": SUPERINTENDENT,
        **more,
    }
    return post(client, f"{place}/threads", {k: v for k, v in body.items() if v is not None})


def say(client: Client, place: str, thread: str, what: str = "notes", **more: Any) -> Any:
    body = {"revision": 1, "words": "R now 0.60.", "by": NAVIGATOR, **more}
    return post(client, f"{place}/threads/{thread}/{what}", body)


def threads(client: Client, place: str) -> dict[str, Any]:
    answer = client.get(f"{place}/threads")
    assert answer.status_code == 200
    ThreadList.model_validate(answer.json())
    return dict(answer.json())


def frozen_again(client: Client, place: str, change: Any) -> int:
    draft = client.get(place)
    assert put(client, place, change(draft.json()["inputs"]), draft.headers["etag"]).is_success
    return offer(client, place)


def inserted_before(inputs: dict[str, Any]) -> dict[str, Any]:
    """Return the same track with one waypoint more on the first leg."""
    waypoints = list(inputs["route"]["waypoints"])
    new = {"id": "N", "lat_deg": 47.1, "lon_deg": -30.0}
    return {
        **inputs,
        "route": {**inputs["route"], "waypoints": [waypoints[0], new, *waypoints[1:]]},
    }


def test_asked_answered_resolved_and_opened_again(client: Client, place: str) -> None:
    made = ask(client, place)
    assert made.status_code == 201
    ThreadOut.model_validate(made.json())
    thread = made.json()
    assert (thread["state"], thread["label"], thread["index"]) == ("open", "turn 02", 0)
    assert thread["notes"][0]["by"] == {**SUPERINTENDENT, "account_id": None, "claimed": True}
    assert thread["notes"][0]["side"] == "shore"
    assert threads(client, place)["waiting_count"] == 1
    assert say(client, place, thread["id"]).json()["state"] == "answered"
    assert threads(client, place)["waiting_count"] == 0
    settled = say(client, place, thread["id"], "resolve", by=SUPERINTENDENT, words="")
    assert (settled.status_code, settled.json()["state"]) == (201, "resolved")
    assert say(client, place, thread["id"], "resolve").status_code == 409
    again = say(client, place, thread["id"], "reopen", words="Still short.")
    assert again.json()["state"] == "reopened"
    assert say(client, place, thread["id"], "reopen").status_code == 409
    (kept,) = threads(client, place)["items"]
    assert [one["kind"] for one in kept["notes"]] == ["note", "note", "resolved", "reopened"]
    assert [one["number"] for one in kept["notes"]] == [1, 2, 3, 4]


def test_a_waypoint_put_in_before_leaves_the_thread_where_it_was(
    client: Client, place: str
) -> None:
    ask(client, place)
    ask(client, place, "leg", "C")
    assert frozen_again(client, place, inserted_before) == 2
    turn, leg = threads(client, place)["items"]
    assert (turn["anchor"]["id"], turn["label"], turn["index"]) == ("B", "turn 03", 1)
    assert turn["subject"] == {
        "state": "same", "since_revision": 1, "newest_revision": 2, "change_count": 0,
        "changes": [],
    }  # fmt: skip
    assert (leg["label"], leg["subject"]["state"]) == ("leg 03-04", "same")


def test_the_subject_changed_since_is_told_with_both_values(client: Client, place: str) -> None:
    made = ask(client, place)

    def wider(inputs: dict[str, Any]) -> dict[str, Any]:
        waypoints = [dict(one) for one in inputs["route"]["waypoints"]]
        waypoints[1]["turn_radius_nm"] = 0.6
        return {**inputs, "route": {**inputs["route"], "waypoints": waypoints}}

    frozen_again(client, place, wider)
    say(client, place, made.json()["id"], revision=2)
    (thread,) = threads(client, place)["items"]
    assert thread["subject"]["state"] == "changed"
    said = {one["id"]: one["sentence"] for one in thread["subject"]["changes"]}
    assert (
        said["turn/B/circle"] == "Turn 02: R was 0.50 NM, 22.9 deg/min, now 0.60 NM, 19.1 deg/min"
    )
    assert [one["subject_since"] for one in thread["notes"]] == ["changed", "same"]


def test_a_subject_that_is_gone_is_told(client: Client, place: str) -> None:
    ask(client, place)
    finding = next(
        one["id"]
        for one in client.get(f"{place}/revisions/1").json()["result"]["findings"]
        if one["id"].startswith("reach_assumed")
    )
    ask(client, place, "finding", finding)

    def without(inputs: dict[str, Any]) -> dict[str, Any]:
        waypoints = [one for one in inputs["route"]["waypoints"] if one["id"] != "B"]
        return {**inputs, "route": {**inputs["route"], "waypoints": waypoints}}

    frozen_again(client, place, without)
    for thread in threads(client, place)["items"]:
        assert thread["subject"]["state"] == "gone"
        assert thread["index"] is None
        assert thread["subject"]["changes"]
    assert threads(client, place)["items"][0]["label"] == "turn 02"


def test_inputs_by_pointer_and_by_their_name_in_the_basis(client: Client) -> None:
    ship = post(client, "/api/v1/ships", SHIP)
    place, _ = stored_plan(client, ship=None, ship_id=ship.json()["id"])
    offer(client, place)
    for one in ("/ship/beam_m", "/limits/min_clearance_m", "speed of Zoo carrier 200"):
        assert ask(client, place, "input", one).status_code == 201, one
    put(client, ship.headers["location"], {**SHIP, "beam_m": 33.0}, ship.headers["etag"])
    inputs = client.get(place).json()["inputs"]
    edit(client, place, **{k: v for k, v in inputs.items() if k != "ship_edition"})
    draft = client.get(place)
    newest = {k: v for k, v in draft.json()["inputs"].items() if k != "ship_edition"}
    put(client, place, newest, draft.headers["etag"])
    offer(client, place)
    states = [one["subject"]["state"] for one in threads(client, place)["items"]]
    assert states == ["changed", "same", "same"]
    changes = threads(client, place)["items"][0]["subject"]["changes"]
    assert [one["sentence"] for one in changes] == ["Ship beam was 32 m, now 33 m"]


def test_a_note_on_the_draft_is_held_against_the_next_revision(client: Client) -> None:
    place, _ = stored_plan(client)
    made = ask(client, place, revision=None)
    assert made.status_code == 201
    assert made.json()["revision"] is None
    assert made.json()["subject"]["state"] == "not_known"
    on_finding = ask(client, place, "finding", "leg_land/plan", revision=None)
    assert on_finding.status_code == 201
    assert ask(client, place, "finding", "no/such", revision=None).status_code == 422
    offer(client, place)
    (thread, _) = threads(client, place)["items"]
    assert thread["subject"] == {
        "state": "same", "since_revision": 1, "newest_revision": 1, "change_count": 0,
        "changes": [],
    }  # fmt: skip
    frozen_again(client, place, lambda inputs: moved(inputs, 1, 0.01))
    (thread, _) = threads(client, place)["items"]
    assert thread["subject"]["state"] == "changed"


def test_a_note_sent_twice_is_one_note(client: Client, place: str) -> None:
    one, other = str(uuid.uuid4()), str(uuid.uuid4())
    first = ask(client, place, id=one)
    again = ask(client, place, id=one)
    assert (first.status_code, again.status_code) == (201, 200)
    assert again.json() == first.json()
    thread = first.json()["id"]
    assert thread == f"thread-{one}"
    replies = [say(client, place, thread, id=other) for _ in range(3)]
    assert [one.status_code for one in replies] == [201, 200, 200]
    assert len(threads(client, place)["items"][0]["notes"]) == 2
    for changed in (
        ask(client, place, id=one, words="Something else"),
        ask(client, place, "turn", "B", id=other),
        ask(client, place, "leg", "B", id=one),
        say(client, place, thread, id=one),
        say(client, place, thread, "resolve", id=other),
    ):
        assert changed.status_code == 409
    assert len(threads(client, place)["items"]) == 1


def test_what_is_not_there_or_says_nothing_is_refused(client: Client, place: str) -> None:
    refused: list[tuple[httpx.Response, int]] = [
        (ask(client, place, "turn", "A"), 422),
        (ask(client, place, "turn", "C"), 422),
        (ask(client, place, "leg", "A"), 422),
        (ask(client, place, "waypoint", "Z"), 422),
        (ask(client, place, "finding", "no/such"), 422),
        (ask(client, place, "hazard", "nothing"), 422),
        (ask(client, place, "input", "/limits/nothing"), 422),
        (ask(client, place, "input", "/route/waypoints/1/lat_deg"), 422),
        (ask(client, place, "plan", "x"), 422),
        (ask(client, place, "turn", ""), 422),
        (ask(client, place, words=" "), 422),
        (ask(client, place, words=""), 422),
        (ask(client, place, by=None), 422),
        (ask(client, place, id="not a uuid"), 422),
        (ask(client, place, revision=2), 404),
        (ask(client, "/api/v1/plans/nowhere"), 404),
        (say(client, place, "thread-none"), 404),
    ]
    for index, (answer, status) in enumerate(refused):
        assert answer.status_code == status, (index, answer.text)
    assert refused[0][0].json()["errors"][0]["pointer"] == "/anchor/id"
    assert threads(client, place)["items"] == []
    assert client.get("/api/v1/plans/nowhere/threads").status_code == 404
    for kind, one in (("plan", ""), ("waypoint", "A"), ("hazard", "rock")):
        assert ask(client, place, kind, one).status_code == 201, kind


def test_a_thread_of_another_plan_is_not_found(client: Client, place: str) -> None:
    other, _ = stored_plan(client)
    made = ask(client, place)
    assert say(client, other, made.json()["id"], revision=1).status_code == 404
    taken = ask(client, other, revision=None, id=made.json()["notes"][0]["id"])
    assert taken.status_code == 409


def test_markup_in_notes_is_text(client: Client, place: str) -> None:
    words = "<script>alert(1)</script> & \u202e"
    made = ask(client, place, words=words)
    assert made.headers["content-type"] == "application/json"
    assert threads(client, place)["items"][0]["notes"][0]["words"] == words


def test_notes_are_never_changed_and_verified(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'threads.sqlite3'}"
    client = Client(create_app(url))
    place, _ = stored_plan(client)
    offer(client, place)
    made = ask(client, place)
    say(client, place, made.json()["id"])
    client.app.state.store.close()
    with sqlite3.connect(tmp_path / "threads.sqlite3") as connection:
        for change in (
            "DELETE FROM thread",
            "DELETE FROM thread_note",
            "UPDATE thread SET id = 'x'",
            "UPDATE thread_note SET id = 'x'",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="never changed"):
                connection.execute(change)
    connection.close()
    store = open_store(url)
    sound = verify(store)
    store.close()
    assert (sound.faults, sound.note_count) == ([], 2)
    alterations = (
        ("thread_note", "UPDATE thread_note SET words = 'No remarks.' WHERE number = 1"),
        ("thread", "UPDATE thread SET anchor_id = 'A'"),
        ("thread_note", "DELETE FROM thread_note WHERE number = 2"),
    )
    for count, (table, alteration) in enumerate(alterations, 1):
        with sqlite3.connect(tmp_path / "threads.sqlite3") as connection:
            for what in ("update", "delete"):
                connection.execute(f"DROP TRIGGER IF EXISTS {table}_no_{what}")
            connection.execute(alteration)
        connection.close()
        store = open_store(url)
        faults = verify(store).faults
        store.close()
        assert len(faults) >= min(count, 2), (alteration, faults)
        assert all(one.startswith("note ") for one in faults)


def test_the_side_is_that_of_the_role() -> None:
    def with_role(*actions: str) -> Actor:
        return Actor(vessel_id="v", allowed={"v": frozenset(actions)})

    mate, superintendent = with_role("read", "sign"), with_role("read", "shore_decide")
    both = with_role("sign", "shore_decide")
    assert side_of(mate, None) == side_of(mate, "ship") == "ship"
    assert side_of(superintendent, None) == side_of(superintendent, "shore") == "shore"
    assert (side_of(both, "shore"), side_of(both, None)) == ("shore", "ship")
    assert (side_of(LOCAL_ACTOR, "shore"), side_of(LOCAL_ACTOR, None)) == ("shore", "ship")
    for actor, other in ((mate, "shore"), (superintendent, "ship")):
        with pytest.raises(InvalidInput, match="leave side out"):
            side_of(actor, other)
