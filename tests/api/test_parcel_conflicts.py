"""What two sides hold differently is kept twice, shown as a conflict, and settled by the master."""

import shutil
from pathlib import Path
from typing import Any

from tests.api.forging import forged
from tests.api.sides import MASTER, Side, Sides, approve, edit, keep_plan, offer, two_sides
from wheelover.formats.parcel import CarriedEvent, CarriedPlan, Index


def settle(side: Side, plan_id: str, pick: str) -> Any:
    (conflict,) = side.sync(plan_id)["conflicts"]
    place = f"/api/v1/plans/{plan_id}/conflicts/{conflict['id']}"
    body = {"pick": pick, "by": MASTER, "words": "As the bridge has it."}
    return side.send("POST", place, json=body)


def gone_back(folder: Path) -> tuple[Sides, str]:
    """Return sides of which the ship froze revision 2 twice: her store was set back between."""
    sides = two_sides(folder)
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    sides.shore.taken(sides.ship.parcel(sides.shore, plan_id))
    sides.ship.taken(sides.shore.parcel(sides.ship))
    sides.ship.store.close()
    shutil.copy(folder / "ship.sqlite3", folder / "backup.sqlite3")
    edit(sides.ship, plan_id, limits={"min_clearance_m": 111.0})
    offer(sides.ship, plan_id)
    sides.shore.taken(sides.ship.parcel(sides.shore))
    sides.ship.store.close()
    for old in folder.glob("ship.sqlite3*"):
        if old.suffix != ".key":
            # The key file is no part of the database; without it she could sign nothing.
            old.unlink()
    shutil.copy(folder / "backup.sqlite3", folder / "ship.sqlite3")
    ship = Side(f"sqlite:///{folder / 'ship.sqlite3'}", "MV Zoo", "ship")
    edit(ship, plan_id, limits={"min_clearance_m": 222.0})
    offer(ship, plan_id)
    assert approve(ship, plan_id, 2).status_code == 201
    return Sides(ship=ship, shore=sides.shore), plan_id


def test_two_revisions_of_one_number_are_both_kept_and_the_master_picks(tmp_path: Path) -> None:
    sides, plan_id = gone_back(tmp_path)
    ship, shore = sides.ship, sides.shore
    place = f"/api/v1/plans/{plan_id}/revisions/2"
    was, now = shore.get(place).content, ship.get(place).content
    assert was != now

    # Her next parcel has the number of one that came before: it is refused, and a parcel from
    # ashore tells her so.
    refused = shore.take(ship.parcel(shore))
    assert refused.status_code == 422
    assert "came from MV Zoo before" in refused.json()["detail"]
    told = ship.taken(shore.parcel(ship))
    assert told["state"] == "taken"
    (differs,) = told["carries"]["audit_differs"]
    assert differs["vessel_id"] == "own"
    assert shore.taken(ship.parcel(shore))["state"] == "taken"

    (conflict,) = shore.sync(plan_id)["conflicts"]
    assert (conflict["what"], conflict["revision"]) == ("revision", 2)
    assert [one["kind"] for one in conflict["parts"]] == ["offered", "approved"]
    assert shore.get(place).content == was
    other = shore.get(f"/api/v1/plans/{plan_id}/other-revisions/{conflict['other']}")
    assert other.content[1:] in now
    (listed,) = shore.get("/api/v1/plans").json()["items"]
    assert listed["conflict"] is True
    assert shore.record(plan_id, 2)["counts_as_approved"] is False
    assert settle(shore, plan_id, "here").status_code == 409

    # Back aboard: both are there too, the approval has lapsed, and she decides.
    assert ship.record(plan_id, 2)["counts_as_approved"] is True
    ship.taken(shore.parcel(ship))
    assert ship.record(plan_id, 2)["counts_as_approved"] is False
    assert [one["id"] for one in ship.sync(plan_id)["conflicts"]] == [conflict["id"]]
    listed = ship.get(f"/api/v1/plans/{plan_id}/conflicts").json()
    (kept,) = listed["other_revisions"]
    there = ship.get(f"/api/v1/plans/{plan_id}/other-revisions/{kept['sha256']}").content
    assert there[1:] in was
    assert settle(ship, plan_id, "here").status_code == 200
    assert ship.sync(plan_id)["conflicts"] == []
    assert ship.record(plan_id, 2)["counts_as_approved"] is True
    assert ship.get(f"/api/v1/plans/{plan_id}").json()["conflict"] is False
    shore.taken(ship.parcel(shore))
    assert shore.sync(plan_id)["conflicts"] == []
    listed = shore.get(f"/api/v1/plans/{plan_id}/conflicts").json()
    assert [one["stands"] for one in listed["other_revisions"]] == [True]
    for side in (ship, shore):
        assert side.get(place).status_code == 200


def test_picking_the_other_makes_it_the_draft_and_the_approval_stays_lapsed(tmp_path: Path) -> None:
    sides, plan_id = gone_back(tmp_path)
    ship, shore = sides.ship, sides.shore
    shore.take(ship.parcel(shore))
    ship.taken(shore.parcel(ship))
    shore.taken(ship.parcel(shore))
    ship.taken(shore.parcel(ship))
    assert settle(ship, plan_id, "other").status_code == 200
    draft = ship.get(f"/api/v1/plans/{plan_id}").json()
    assert draft["inputs"]["limits"]["min_clearance_m"] == 111.0
    assert draft["steps"][0]["label"] == "Took the other revision 2"
    assert ship.record(plan_id, 2)["counts_as_approved"] is False
    assert ship.sync(plan_id)["conflicts"] == []


def decided_ashore(kind: str) -> CarriedEvent:
    """Return a decision of the master's as if made ashore."""
    return CarriedEvent(
        number=900,
        revision=1,
        kind=kind,
        at_utc="2026-11-26T04:00:00.000Z",
        name="S. Lund",
        rank="superintendent",
        claimed=False,
        body={"words": "x", "sha256": "0" * 64, "inputs_sha256": "0" * 64, "engine": "e"},
    )


def test_a_decision_of_the_other_side_decides_nothing_and_stands_as_a_conflict() -> None:
    sides = two_sides()
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer(ship, plan_id)
    shore.taken(ship.parcel(shore, plan_id))
    plan = CarriedPlan(id=plan_id, events=(decided_ashore("approved"),))
    body = forged(shore, ship, Index(plans=(plan,)))
    assert ship.taken(body)["state"] == "taken"
    record = ship.record(plan_id)
    assert (record["state"], record["approval"]) == ("offered", None)
    (conflict,) = ship.sync(plan_id)["conflicts"]
    assert conflict["what"] == "decision"
    assert conflict["other"]["kind"] == "approved"
    assert ship.record(plan_id)["counts_as_approved"] is False

    assert approve(ship, plan_id).status_code == 201
    assert ship.record(plan_id)["counts_as_approved"] is True
    returned = CarriedPlan(id=plan_id, events=(decided_ashore("returned"),))
    again = forged(shore, ship, Index(plans=(returned,)), sequence=7)
    assert ship.taken(again)["state"] == "taken"
    assert ship.record(plan_id)["state"] == "approved"
    assert ship.record(plan_id)["counts_as_approved"] is False
    found = ship.sync(plan_id)["conflicts"]
    assert [one["other"]["kind"] for one in found] == ["approved", "returned"]
