"""Parcels between a ship and a shore office: what is sent, taken, held, refused and known."""

import sqlite3
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests import zoo
from tests.api.keeping import hazards
from tests.api.sides import (
    MATE,
    OFFICE,
    Side,
    Sides,
    approve,
    edit,
    keep_plan,
    offer,
    two_sides,
)
from wheelover.api.examples import EXAMPLES

NOW = "2026-11-26T05:00:00.000Z"


@pytest.fixture
def sides(store_url: str) -> Iterator[Sides]:
    """Give a ship, whose store is a file, and a shore office on each engine in turn."""
    both = two_sides(shore_url=store_url)
    yield both
    both.ship.store.close()
    both.shore.store.close()


def ask_ashore(side: Side, plan_id: str, words: str = "Wider at B?") -> dict[str, Any]:
    """Open a thread about the turn at a waypoint of revision 1."""
    body = {
        "anchor": {"kind": "turn", "id": "B"},
        "words": words,
        "revision": 1,
        "side": "shore",
        "by": OFFICE,
    }
    made = side.send("POST", f"/api/v1/plans/{plan_id}/threads", json=body)
    assert made.status_code == 201, made.text
    return dict(made.json())


def say_ashore(side: Side, plan_id: str, kind: str = "agree", words: str = "Agreed.") -> None:
    """Say something from ashore of revision 1."""
    place = f"/api/v1/plans/{plan_id}/revisions/1/shore-decisions"
    made = side.send("POST", place, json={"kind": kind, "words": words, "by": OFFICE})
    assert made.status_code == 201, made.text


def states(side: Side, plan_id: str) -> dict[str, list[str]]:
    """Return where revisions and events of a plan are, for the one peer it goes to."""
    (peer,) = side.sync(plan_id)["peers"]
    return {
        "revisions": [one["state"] for one in peer["revisions"]],
        "events": [f"{one['kind']} {one['state']}" for one in peer["events"]],
        "notes": [one["state"] for one in peer["notes"]],
    }


def test_a_plan_goes_ashore_and_the_answer_comes_back(sides: Sides) -> None:
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offered = offer(ship, plan_id)
    assert ship.sync(plan_id)["here"]["revisions"][0]["state"] == "on_this_side_only"
    body = ship.parcel(shore, plan_id)
    assert states(ship, plan_id) == {
        "revisions": ["sent"], "events": ["offered sent"], "notes": []
    }  # fmt: skip

    assert shore.taken(body)["state"] == "taken"
    place = f"/api/v1/plans/{plan_id}/revisions/1"
    assert shore.get(place).content == ship.get(place).content
    assert shore.get(place).headers["etag"] == f'"{offered["sha256"]}"'
    draft = shore.get(f"/api/v1/plans/{plan_id}").json()
    assert draft["inputs"] == ship.get(f"/api/v1/plans/{plan_id}").json()["inputs"]
    assert draft["steps"][0]["label"] == "Revision 1 came from MV Zoo"
    assert shore.record(plan_id)["author"]["name"] == MATE["name"]
    assert shore.record(plan_id)["state"] == "offered"
    assert shore.sync(plan_id)["home"]["name"] == "MV Zoo"
    assert states(shore, plan_id) == {
        "revisions": ["received"], "events": ["offered received"], "notes": []
    }  # fmt: skip

    thread = ask_ashore(shore, plan_id)
    say_ashore(shore, plan_id, "return", "Wider at B.")
    assert states(shore, plan_id)["events"][1] == "shore_returned on_this_side_only"
    assert states(shore, plan_id)["notes"] == ["on_this_side_only"]
    answer = shore.parcel(ship)
    assert states(shore, plan_id)["events"][1] == "shore_returned sent"
    assert states(shore, plan_id)["notes"] == ["sent"]
    assert ship.taken(answer)["state"] == "taken"
    (said,) = ship.record(plan_id)["shore"]
    assert (said["kind"], said["words"], said["by"]["name"]) == (
        "shore_returned", "Wider at B.", OFFICE["name"],
    )  # fmt: skip
    (there,) = ship.get(f"/api/v1/plans/{plan_id}/threads").json()["items"]
    assert (there["id"], there["anchor"], there["label"]) == (
        thread["id"], {"kind": "turn", "id": "B"}, thread["label"],
    )  # fmt: skip
    assert (there["notes"][0]["side"], there["notes"][0]["words"]) == ("shore", "Wider at B?")
    assert states(ship, plan_id) == {
        "revisions": ["received"],
        "events": ["offered received", "shore_returned received"],
        "notes": ["received"],
    }

    # She answers in the same thread; the answer is the only thing that goes.
    reply = {"words": "0.2 NM wider now.", "by": MATE, "side": "ship"}
    place = f"/api/v1/plans/{plan_id}/threads/{thread['id']}/notes"
    assert ship.send("POST", place, json=reply).status_code == 201
    made = ship.make(shore)
    (carried,) = made["carries"]["plans"]
    assert (carried["revisions"], carried["events_count"], carried["notes_count"]) == ([], 0, 1)
    shore.taken(ship.get(made["href"]).content)
    (ashore,) = shore.get(f"/api/v1/plans/{plan_id}/threads").json()["items"]
    assert [one["words"] for one in ashore["notes"]] == ["Wider at B?", "0.2 NM wider now."]
    assert ashore["state"] == "answered"
    assert states(shore, plan_id)["events"][1] == "shore_returned received"
    assert states(shore, plan_id)["notes"] == ["received", "received"]


def test_explanations_and_the_masters_answers_go_ashore(sides: Sides) -> None:
    """An explanation has the same id on both sides, and another number."""
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    shore.taken(ship.parcel(shore, plan_id))
    say_ashore(shore, plan_id, "read")
    finding = ship.get(f"/api/v1/plans/{plan_id}/revisions/1").json()["result"]["findings"][0]
    place = f"/api/v1/plans/{plan_id}/explanations"
    body = {"finding_id": finding["id"], "words": "Seen.", "revision": 1, "by": MATE}
    made = ship.send("POST", place, json=body)
    assert made.status_code == 201, made.text
    answer = {"answer": "accepted", "by": {"name": "R. Holm", "rank": "master"}}
    answers = f"{place}/{made.json()['id']}/answers"
    assert ship.send("POST", answers, json=answer).status_code == 201
    shore.taken(ship.parcel(shore))
    (aboard,), (ashore,) = (side.get(place).json()["items"] for side in (ship, shore))
    assert aboard["id"] == ashore["id"]
    assert aboard["number"] != ashore["number"]
    for side in (aboard, ashore):
        assert (side["words"], side["answer"]["answer"]) == ("Seen.", "accepted")


def test_what_came_computes_to_the_same(sides: Sides) -> None:
    """Ship, hazard and limit sets came along by digest: the shore computes what the ship did."""
    limits = sides.ship.send("POST", "/api/v1/limit-sets", json=EXAMPLES["LimitSetIn"]).json()
    plan_id = keep_plan(sides.ship, limit_set_id=limits["id"])
    offer(sides.ship, plan_id)
    sides.shore.taken(sides.ship.parcel(sides.shore, plan_id))
    place = f"/api/v1/plans/{plan_id}/revisions/1/recomputed"
    again = sides.shore.get(place).json()
    assert (again["same"], again["difference_count"]) == (True, 0)
    inputs = sides.shore.get(f"/api/v1/plans/{plan_id}").json()["inputs"]
    for item in (
        f"ships/{inputs['ship_id']}",
        f"hazard-sets/{inputs['hazard_set_ids'][0]}",
        f"limit-sets/{inputs['limit_set_id']}",
    ):
        assert sides.shore.get(f"/api/v1/{item}").json() == sides.ship.get(f"/api/v1/{item}").json()


def test_only_what_is_lacking_is_sent(sides: Sides) -> None:
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    first = ship.make(shore, plan_id)
    shore.taken(ship.get(first["href"]).content)
    assert first["carries"]["editions"] != []
    place = f"/api/v1/plans/{plan_id}/revisions/1/checks"
    checker = {"by": {"name": "L. Vik", "rank": "third officer"}, "words": "By hand."}
    assert ship.send("POST", place, json=checker).status_code == 201
    second = ship.make(shore)
    assert second["carries"]["editions"] == []
    assert second["carries"]["plans"] == [
        {"id": plan_id, "name": "Zoo passage", "revisions": [], "events_count": 1, "notes_count": 0}
    ]
    assert second["previous_sha256"] == first["manifest_sha256"]
    assert second["size_count"] < 2_000 < first["size_count"]
    shore.taken(ship.get(second["href"]).content)
    assert shore.record(plan_id)["checks"][0]["by"]["name"] == "L. Vik"
    answer = ship.send("POST", f"/api/v1/peers/{shore.id}/parcels", json={})
    assert answer.status_code == 409


def dump(path: Path, *aside: str) -> dict[str, list[Any]]:
    """Return every row of a database, but for some tables."""
    connection = sqlite3.connect(path)
    names = [
        row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type='table'")
    ]
    rows = {
        name: sorted(map(repr, connection.execute(f"SELECT * FROM {name}")))  # noqa: S608
        for name in names
        if name not in aside
    }
    connection.close()
    return rows


def test_the_same_parcel_twice_changes_nothing(tmp_path: Path) -> None:
    sides = two_sides(tmp_path)
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    body = sides.ship.parcel(sides.shore, plan_id)
    taken = sides.shore.taken(body)
    sides.shore.store.close()
    before = dump(tmp_path / "shore.sqlite3")
    again = sides.shore.taken(body)
    assert again["state"] == "already_taken"
    assert again["taken_utc"] == taken["taken_utc"]
    sides.shore.store.close()
    assert dump(tmp_path / "shore.sqlite3") == before


def test_a_parcel_that_was_tampered_with_changes_nothing_but_the_audit_log(tmp_path: Path) -> None:
    sides = two_sides(tmp_path)
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    body = sides.ship.parcel(sides.shore, plan_id)
    sides.shore.store.close()
    before = dump(tmp_path / "shore.sqlite3", "audit")
    places = (0, 9, 12, 20, 60, 200, len(body) // 2, len(body) - 1)
    for at in places:
        other = bytearray(body)
        other[at] ^= 0x10
        answer = sides.shore.take(bytes(other))
        assert answer.status_code == 422
        assert answer.json()["type"] == "/problems/parcel-refused"
    sides.shore.store.close()
    assert dump(tmp_path / "shore.sqlite3", "audit") == before
    own = [one for one in sides.shore.audit() if one["what"] == "parcel.refused"]
    theirs = [one for one in sides.shore.audit(sides.vessel_id) if one["what"] == "parcel.refused"]
    assert len(own) + len(theirs) == len(places)
    assert {one["peer_id"] for one in theirs} == {sides.ship.id}
    assert sides.shore.taken(body)["state"] == "taken"


def test_parcels_out_of_order_are_held_until_the_gap_is_filled(sides: Sides) -> None:
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    bodies = [ship.parcel(shore, plan_id)]
    for number in range(2, 5):
        edit(ship, plan_id, limits={"min_clearance_m": 100.0 + number})
        offer(ship, plan_id)
        bodies.append(ship.parcel(shore))
    assert shore.taken(bodies[3])["state"] == "held"
    assert shore.taken(bodies[1])["state"] == "held"
    assert shore.taken(bodies[1])["state"] == "held"
    assert shore.get("/api/v1/plans").json()["items"] == []
    first = shore.taken(bodies[0])
    assert (first["state"], first["released"]) == ("taken", [2])
    third = shore.taken(bodies[2])
    assert (third["state"], third["released"]) == ("taken", [4])
    listed = shore.get(f"/api/v1/plans/{plan_id}/revisions").json()["items"]
    assert [one["number"] for one in listed] == [4, 3, 2, 1]
    for number in range(1, 5):
        place = f"/api/v1/plans/{plan_id}/revisions/{number}"
        assert shore.get(place).content == ship.get(place).content


def test_a_parcel_lost_for_good_is_made_again_from_what_was_acknowledged(sides: Sides) -> None:
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    shore.taken(ship.parcel(shore, plan_id))
    ship.taken(shore.parcel(ship))
    edit(ship, plan_id, limits={"min_clearance_m": 101.0})
    offer(ship, plan_id)
    lost = ship.parcel(shore)
    edit(ship, plan_id, limits={"min_clearance_m": 102.0})
    offer(ship, plan_id)
    made = ship.make(shore, since="acknowledged")
    assert made["carries"]["plans"][0]["revisions"] == [2, 3]
    assert shore.taken(ship.get(made["href"]).content)["state"] == "taken"
    assert shore.taken(lost)["state"] == "taken"
    assert len(shore.get(f"/api/v1/plans/{plan_id}/revisions").json()["items"]) == 3


def test_everything_is_sent_anew_to_a_side_that_lost_its_store(sides: Sides) -> None:
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    first = ship.make(shore, plan_id)
    again = ship.make(shore, since="nothing")
    assert again["previous_sha256"] is None
    assert again["carries"]["plans"] == first["carries"]["plans"]
    assert shore.taken(ship.get(again["href"]).content)["state"] == "taken"
    assert shore.taken(ship.get(first["href"]).content)["state"] == "taken"
    assert len(shore.record(plan_id)["decisions"]) == 1


def test_decisions_and_use_are_seen_ashore(sides: Sides) -> None:
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    shore.taken(ship.parcel(shore, plan_id))
    assert approve(ship, plan_id).status_code == 201
    shore.taken(ship.parcel(shore))
    there = shore.record(plan_id)
    assert (there["state"], there["counts_as_approved"]) == ("approved", True)
    assert there["approval"]["by"]["name"] == "R. Holm"
    edit(ship, plan_id, limits={"min_clearance_m": 333.0})
    assert ship.record(plan_id)["counts_as_approved"] is False
    shore.taken(ship.parcel(shore))
    assert shore.record(plan_id)["counts_as_approved"] is False


@pytest.mark.parametrize(
    ("method", "path", "body"),
    [
        ("POST", "/undo", None),
        ("POST", "/revisions", {"by": OFFICE}),
        ("POST", "/revisions/1/decisions", {"kind": "return", "words": "no", "by": OFFICE}),
        ("POST", "/revisions/1/decisions", {"kind": "close", "by": OFFICE}),
        ("POST", "/revisions/1/checks", {"by": OFFICE}),
        ("POST", "/revisions/1/log", {"words": "x", "by": OFFICE}),
    ],
)
def test_a_plan_from_elsewhere_is_edited_and_decided_at_its_home(
    sides: Sides, method: str, path: str, body: Any
) -> None:
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    shore.taken(ship.parcel(shore, plan_id))
    edit(ship, plan_id, limits={"min_clearance_m": 101.0})
    offer(ship, plan_id)
    shore.taken(ship.parcel(shore))
    place = f"/api/v1/plans/{plan_id}"
    read = f"{place}/revisions/1" if "decisions" in path else place
    tag = {"If-Match": shore.get(read).headers["etag"]}
    answer = shore.send(method, place + path, json=body, headers=tag)
    assert answer.status_code == 409, answer.text
    if path != "/undo":
        assert f"MV Zoo ({ship.id})" in answer.json()["detail"]
    assert len(shore.record(plan_id)["decisions"]) == 1


def test_a_draft_from_elsewhere_is_not_edited(sides: Sides) -> None:
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    sides.shore.taken(sides.ship.parcel(sides.shore, plan_id))
    answer = edit(sides.shore, plan_id, limits={"min_clearance_m": 5.0})
    assert answer.status_code == 409
    assert "at home at MV Zoo" in answer.json()["detail"]
    inputs = sides.shore.get(f"/api/v1/plans/{plan_id}").json()["inputs"]
    place = f"/api/v1/ships/{inputs['ship_id']}"
    read = sides.shore.get(place)
    renewed = sides.shore.send(
        "PUT",
        place,
        json={**read.json()["ship"], "beam_m": 33.0},
        headers={"If-Match": read.headers["etag"]},
    )
    assert renewed.status_code == 409


def test_what_cannot_go_is_refused_with_the_reason(sides: Sides) -> None:
    ship, shore = sides.ship, sides.shore

    def refused(plan_id: str) -> Any:
        return ship.send("POST", f"/api/v1/peers/{shore.id}/parcels", json={"plans": [plan_id]})

    draft = keep_plan(ship)
    assert refused(draft).status_code == 409
    assert "Offer its draft first" in refused(draft).json()["detail"]
    assert refused("plan-nowhere").status_code == 404
    shown = keep_plan(ship, demonstration=True)
    offer(ship, shown)
    assert refused(shown).status_code == 422
    with ship.store.writing() as unit:
        other = unit.vessels.add("Other", "", NOW)
        row = unit.plans.get(draft)
        unit.plans.add("plan-of-another", _draft_like(unit, row), NOW, other.id)
    assert refused("plan-of-another").status_code == 404
    assert ship.get(f"/api/v1/peers/{shore.id}").json()["sent"] == []


def _draft_like(unit: Any, row: Any) -> Any:
    from wheelover.store.plans import Draft  # noqa: PLC0415

    return Draft(
        name=row.name,
        waypoint_count=2,
        demonstration=False,
        label="x",
        inputs=unit.plans.inputs(row),
    )


def test_two_ships_do_not_meet_ashore(sides: Sides) -> None:
    """Each ship's plans belong to a vessel of its own, and to nobody else does it answer."""
    shore = sides.shore
    other = Side(None, "MV Other", "ship")
    assert other.pair(shore).is_success
    assert shore.pair(other).is_success
    plans = {}
    for ship in (sides.ship, other):
        plans[ship.id] = keep_plan(ship)
        offer(ship, plans[ship.id])
        shore.taken(ship.parcel(shore, plans[ship.id]))
    vessels = {
        shore.get(f"/api/v1/peers/{ship.id}").json()["vessel_id"] for ship in (sides.ship, other)
    }
    assert len(vessels) == 2
    body = shore.parcel(other)
    assert other.taken(body)["state"] == "taken"
    assert sides.ship.take(body).status_code == 422
    say_ashore(shore, plans[other.id])
    assert shore.make(other)["carries"]["plans"][0]["id"] == plans[other.id]
    assert shore.make(sides.ship)["carries"]["plans"] == []


def test_a_download_goes_on_where_it_stopped(sides: Sides) -> None:
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    made = sides.ship.make(sides.shore, plan_id)
    whole = sides.ship.get(made["href"])
    assert whole.headers["etag"] == f'"{made["sha256"]}"'
    assert whole.headers["content-type"] == "application/vnd.wheelover.parcel"
    assert ".woparcel" in whole.headers["content-disposition"]
    assert "content-encoding" not in whole.headers
    head = sides.ship.get(made["href"], headers={"Range": "bytes=0-999"})
    rest = sides.ship.get(
        made["href"], headers={"Range": "bytes=1000-", "If-Range": whole.headers["etag"]}
    )
    assert (head.status_code, rest.status_code) == (206, 206)
    assert (
        rest.headers["content-range"] == f"bytes 1000-{made['size_count'] - 1}/{made['size_count']}"
    )
    assert head.content + rest.content == whole.content
    last = sides.ship.get(made["href"], headers={"Range": "bytes=-10"})
    assert last.content == whole.content[-10:]
    stale = sides.ship.get(made["href"], headers={"Range": "bytes=5-", "If-Range": '"other"'})
    assert (stale.status_code, stale.content) == (200, whole.content)
    beyond = sides.ship.get(made["href"], headers={"Range": "bytes=99999999-"})
    assert beyond.status_code == 416
    held = sides.ship.get(made["href"], headers={"If-None-Match": whole.headers["etag"]})
    assert held.status_code == 304


def test_bytes_are_kept_until_they_are_received(sides: Sides) -> None:
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    made = ship.make(shore, plan_id)
    shore.taken(ship.get(made["href"]).content)
    assert ship.get(made["href"]).status_code == 200
    ship.taken(shore.parcel(ship))
    assert ship.get(made["href"]).status_code == 404
    (sent,) = ship.get(f"/api/v1/peers/{shore.id}").json()["sent"]
    assert sent["state"] == "received"


def test_an_edition_that_comes_by_parcel_lets_approvals_lapse(sides: Sides) -> None:
    """A plan of the shore's own hangs on a hazard set at home on board; a rock comes with it."""
    ship, shore = sides.ship, sides.shore
    carried = keep_plan(ship)
    offer(ship, carried)
    shore.taken(ship.parcel(shore, carried))
    inputs = ship.get(f"/api/v1/plans/{carried}").json()["inputs"]
    (set_id,) = inputs["hazard_set_ids"]
    own = zoo.request(hazards=None, hazard_set_ids=[set_id])
    plan_id = shore.send("POST", "/api/v1/plans", json=own).json()["id"]
    offer(shore, plan_id)
    approve(shore, plan_id)
    assert shore.record(plan_id)["counts_as_approved"] is True
    place = f"/api/v1/hazard-sets/{set_id}"
    body = {"name": "Gat", "hazards": hazards((0.05, 0.1), (47.1, -29.99))}
    tag = {"If-Match": ship.get(place).headers["etag"]}
    assert ship.send("PUT", place, json=body, headers=tag).status_code == 200
    edit(ship, carried, hazard_set_editions={set_id: 2})
    offer(ship, carried)
    shore.taken(ship.parcel(shore))
    found = shore.record(plan_id)
    assert (found["counts_as_approved"], len(found["lapses"])) == (False, 1)
    assert "edition 1 to 2" in found["lapses"][0]["words"]
    assert found["lapses"][0]["by"]["rank"] == "by parcel"


def _moved(side: Side, plan_id: str) -> None:
    """Move a waypoint of a draft and offer it."""
    inputs = side.get(f"/api/v1/plans/{plan_id}").json()["inputs"]
    waypoints = [dict(one) for one in inputs["route"]["waypoints"]]
    waypoints[1]["lat_deg"] += 0.002
    assert edit(side, plan_id, route={**inputs["route"], "waypoints": waypoints}).status_code == 200
    offer(side, plan_id)


def test_a_second_revision_goes_as_its_difference(sides: Sides) -> None:
    """A moved waypoint costs little more than half, head and index and all."""
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    first = sides.ship.parcel(sides.shore, plan_id)
    sides.shore.taken(first)
    _moved(sides.ship, plan_id)
    second = sides.ship.parcel(sides.shore)
    sides.shore.taken(second)
    place = f"/api/v1/plans/{plan_id}/revisions/2/document"
    made, came = sides.ship.get(place), sides.shore.get(place)
    assert came.content == made.content
    whole = sides.ship.parcel(sides.shore, since="nothing")
    assert len(second) < 0.6 * len(zlib.compress(made.content, 9))
    assert sides.shore.taken(whole)["state"] == "taken"


def test_revisions_that_go_together_are_built_on_each_other(sides: Sides) -> None:
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    alone = len(sides.ship.parcel(sides.shore, plan_id))
    for _ in range(4):
        _moved(sides.ship, plan_id)
    body = sides.ship.parcel(sides.shore, since="nothing")
    assert len(body) < 2.5 * alone
    sides.shore.taken(body)
    for number in range(1, 6):
        place = f"/api/v1/plans/{plan_id}/revisions/{number}/document"
        assert sides.shore.get(place).content == sides.ship.get(place).content


def test_a_difference_that_comes_too_early_is_held(sides: Sides) -> None:
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    first = sides.ship.parcel(sides.shore, plan_id)
    _moved(sides.ship, plan_id)
    second = sides.ship.parcel(sides.shore)
    assert sides.shore.taken(second)["state"] == "held"
    assert sides.shore.taken(first)["released"] == [2]
    place = f"/api/v1/plans/{plan_id}/revisions/2/document"
    assert sides.shore.get(place).content == sides.ship.get(place).content
