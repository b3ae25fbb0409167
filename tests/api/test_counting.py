"""Lists of plans, the plan, its record and its paper say alike whether an approval counts."""

from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import SHIP, hazards, moved, post, put, stored_plan
from tests.api.record_keeping import approve, decide, edit, offer
from tests.api.sides import Side, keep_plan, two_sides
from tests.api.sides import approve as approve_on
from tests.api.sides import offer as offer_on
from wheelover.api.routers.plans import compute_document
from wheelover.usecases import changes, recompute
from wheelover.usecases.counting import KnownChanges

NOW = "2026-11-26T12:00:00.000Z"
NOT_COUNTED = "NOT COUNTED AS APPROVED: inputs changed since. "
STALE = "STALE: another engine has not yet computed it again. "
WORDS = {"approved": "", "stale": STALE, "changed": NOT_COUNTED}


def everywhere(client: Client, plan_id: str, number: int = 1) -> set[str]:
    """Return how the approval of a revision reads, in every place that tells of it."""
    place = f"/api/v1/plans/{plan_id}"
    listed = client.get("/api/v1/plans").json()["items"]
    listed += client.get("/api/v1/plans?in_use=true").json()["items"]
    lines = [one for one in listed if one["id"] == plan_id] + [client.get(place).json()]
    found = set()
    for line in lines:
        assert number in (line["approved_revision"], line["in_use_revision"])
        if line["approved_revision"] == number:
            found.add(_word(line["approval_stands"], stale=line["approval_stale"]))
        if line["in_use_revision"] == number:
            found.add(_word(line["in_use_stands"], stale=line["in_use_stale"]))
    (own,) = (one for one in lines[-1]["revisions"] if one["number"] == number)
    found.add(_word(own["counts_as_approved"], stale=own["stale"]))
    told = client.get(f"{place}/revisions/{number}/record").json()
    assert told["approval"]["stands"] is told["counts_as_approved"]
    marks = {one["mark"] for one in told["marks"]}
    found.add(_word(told["counts_as_approved"], stale="stale" in marks))
    paper = client.get(f"{place}/revisions/{number}/export/geojson").json()["export"]["standing"]
    found |= {word for word, start in WORDS.items() if paper[0].startswith(f"{start}State: ")}
    return found


def _word(counts: bool, *, stale: bool) -> str:
    return "stale" if counts and stale else "approved" if counts else "changed"


def _approved(client: Client) -> tuple[str, str, str]:
    """Keep an approved plan of a stored ship and hazard set; return its id and their places."""
    ship = post(client, "/api/v1/ships", SHIP).headers["location"]
    dangers = {"name": "zoo set", "hazards": hazards((47.1, -29.97))}
    kept = post(client, "/api/v1/hazard-sets", dangers).headers["location"]
    ids = [one.rpartition("/")[2] for one in (ship, kept)]
    place, _ = stored_plan(client, ship=None, hazards=None, ship_id=ids[0], hazard_set_ids=ids[1:])
    offer(client, place)
    approve(client, place, 1)
    return place.rpartition("/")[2], ship, kept


def _engine_of_tomorrow(version: str | None = None, libraries: Any = None) -> str:
    """Return today's engine for what was frozen, another for the one at work."""
    return "9.9.9 (tomorrow)" if version is None else f"{version} (today)"


def test_an_edit_and_a_new_edition_read_alike_everywhere(stored_client: Client) -> None:
    plan_id, ship, _ = _approved(stored_client)
    place = f"/api/v1/plans/{plan_id}"
    assert everywhere(stored_client, plan_id) == {"approved"}
    decide(stored_client, place, 1, "take_into_use")
    assert everywhere(stored_client, plan_id) == {"approved"}
    tag = stored_client.get(ship).headers["etag"]
    put(stored_client, ship, {**SHIP, "beam_m": 33.5}, tag)
    assert everywhere(stored_client, plan_id) == {"changed"}
    approve(stored_client, place, 1)
    assert everywhere(stored_client, plan_id) == {"approved"}
    inputs = stored_client.get(place).json()["inputs"]
    edit(stored_client, place, route=moved(inputs, 0, 0.01)["route"])
    assert everywhere(stored_client, plan_id) == {"changed"}


def test_what_no_engine_has_looked_at_is_stale_everywhere(
    stored_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan_id, _, _ = _approved(stored_client)
    place = f"/api/v1/plans/{plan_id}"
    tag = stored_client.get(place).headers["etag"]
    for module in (changes, recompute):
        monkeypatch.setattr(module, "engine_id", _engine_of_tomorrow)
    # Another engine is another process: it has worked nothing out yet.
    monkeypatch.setattr("wheelover.usecases.counting._KNOWN", KnownChanges())
    assert everywhere(stored_client, plan_id) == {"stale"}
    asked = stored_client.get(place, headers={"If-None-Match": tag})
    assert asked.status_code == 200, "the plan reads otherwise than it did"
    again = edit(stored_client, place, limits=stored_client.get(place).json()["inputs"]["limits"])
    assert again.status_code == 200, "a tag with marks is good for an edit"
    store = stored_client.app.state.store
    assert recompute.recheck_engine(store, compute_document, lambda: NOW) == 1
    assert everywhere(stored_client, plan_id) == {"approved"}


def test_the_second_wall_holds_everywhere(
    stored_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Were a lapse forgotten with its change, nothing would call the plan approved all the same."""
    plan_id, ship, _ = _approved(stored_client)
    assert everywhere(stored_client, plan_id) == {"approved"}
    monkeypatch.setattr("wheelover.usecases.library.lapse_by_edition", lambda *_: None)
    tag = stored_client.get(ship).headers["etag"]
    put(stored_client, ship, {**SHIP, "beam_m": 33.5}, tag)
    assert everywhere(stored_client, plan_id) == {"changed"}


def test_a_lapse_on_board_reads_alike_ashore(tmp_path: Path) -> None:
    """The edition that made it lapse comes ashore with another plan, and the lapse with it."""
    sides = two_sides(tmp_path)
    ship, shore = sides.ship, sides.shore
    plan_id = keep_plan(ship)
    offer_on(ship, plan_id)
    assert approve_on(ship, plan_id).status_code == 201
    shore.taken(ship.parcel(shore, plan_id))
    assert everywhere(shore, plan_id) == {"approved"}
    (set_id,) = ship.get(f"/api/v1/plans/{plan_id}").json()["inputs"]["hazard_set_ids"]
    place = f"/api/v1/hazard-sets/{set_id}"
    body = {"name": "Gat", "hazards": hazards((0.05, 0.1), (47.1, -29.99))}
    tag = {"If-Match": ship.get(place).headers["etag"]}
    assert ship.send("PUT", place, json=body, headers=tag).status_code == 200
    inputs = zoo.request(hazards=None, hazard_set_ids=[set_id])
    other = str(ship.send("POST", "/api/v1/plans", json=inputs).json()["id"])
    offer_on(ship, other)
    shore.taken(ship.parcel(shore, other))
    assert everywhere(shore, plan_id) == {"changed"}
    for side in (ship, shore):
        _close(side)


def test_a_revision_that_cannot_be_read_does_not_count_and_hides_no_other(tmp_path: Path) -> None:
    side = Side(f"sqlite:///{tmp_path / 'own.sqlite3'}", "MV Zoo", "ship")
    plan_id, _, _ = _approved(side)
    other, _, _ = _approved(side)
    with side.store._database.writer.begin() as connection:
        for (name,) in connection.execute(
            text("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        ).all():
            connection.execute(text(f"DROP TRIGGER {name}"))
        frozen = "SELECT sha256 FROM plan_revision WHERE plan_id = :plan_id"
        (sha256,) = connection.execute(text(frozen), {"plan_id": plan_id}).scalars()
        spoil = text("UPDATE blob SET body = x'00' WHERE sha256 = :sha256")
        connection.execute(spoil, {"sha256": sha256})
    items = side.get("/api/v1/plans").json()["items"]
    stands = {one["id"]: one["approval_stands"] for one in items}
    assert (stands[plan_id], stands[other]) == (False, True)
    _close(side)


def _close(side: Side) -> None:
    side.app.state.imports.close()
    side.store.close()
