"""412: the present tag, who holds the pen, and both values of what was changed meanwhile."""

from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import SHIP, act, hazards, moved, post, put, stored_plan
from tests.api.record_keeping import edit, offer


@pytest.fixture
def client(stored_client: Client) -> Client:
    return stored_client


def stale(client: Client, place: str, body: Any, tag: str | None) -> dict[str, Any]:
    answer = put(client, place, body, tag)
    assert answer.status_code == 412, answer.text
    problem: dict[str, Any] = answer.json()
    assert problem["etag"] == answer.headers["etag"] == client.get(place).headers["etag"]
    return problem


def test_a_draft_is_told_with_both_values(client: Client) -> None:
    place, kept = stored_plan(client)
    read = kept.headers["etag"]
    inputs = kept.json()["inputs"]
    limits = {"min_clearance_m": 600.0, "max_off_track_m": 100.0}
    edit(client, place, route=moved(inputs, 1, 0.01)["route"], limits=limits)
    edit(client, place, departure_utc="2026-11-25T08:00:00Z")
    problem = stale(client, place, moved(inputs, 2, 0.1), read)
    said = " | ".join(one["sentence"] for one in problem["changes"])
    # 0.01 degrees of latitude are 0.6 NM.
    assert "WPT 02 moved 0.60 NM 000" in said
    assert "500 m, now 600 m" in said
    assert "2026-11-25T08:00:00Z" in said
    values = [(one["was"], one["now"]) for one in problem["changes"]]
    assert (500.0, 600.0) in values
    assert problem["held_by"] is None
    assert problem["changes_left_out_count"] == 0
    undone = act(client, f"{place}/undo", read)
    assert undone.status_code == 412
    assert len(undone.json()["changes"]) == len(problem["changes"])


def test_a_revision_frozen_meanwhile_hides_nothing(client: Client) -> None:
    place, kept = stored_plan(client)
    offer(client, place)
    edit(client, place, limits={"min_clearance_m": 600.0})
    problem = stale(client, place, kept.json()["inputs"], kept.headers["etag"])
    assert [(one["was"], one["now"]) for one in problem["changes"]] == [(500.0, 600.0)]


def test_many_changes_are_counted(client: Client) -> None:
    inputs = zoo.request()
    inputs["route"]["waypoints"] = [
        {"id": f"W{i}", "lat_deg": 40.0 + i, "lon_deg": -30.0} for i in range(30)
    ]
    kept = post(client, "/api/v1/plans", inputs)
    place = kept.headers["location"]
    east = [{**one, "lon_deg": -29.9} for one in inputs["route"]["waypoints"]]
    edit(client, place, route={**inputs["route"], "waypoints": east})
    problem = stale(client, place, inputs, kept.headers["etag"])
    assert len(problem["changes"]) == 20
    assert problem["changes_left_out_count"] == 10


def test_what_nobody_knows_any_more_is_not_told(client: Client) -> None:
    place, kept = stored_plan(client)
    problem = stale(client, place, kept.json()["inputs"], '"7-' + "0" * 32 + '"')
    assert problem["changes"] is None


def test_editions_of_stored_things_are_told(client: Client) -> None:
    ship = post(client, "/api/v1/ships", SHIP)
    place, tag = ship.headers["location"], ship.headers["etag"]
    put(client, place, {**SHIP, "beam_m": 33.0}, tag)
    (change,) = stale(client, place, {**SHIP, "beam_m": 34.0}, tag)["changes"]
    assert (change["was"], change["now"], change["unit"]) == (32.0, 33.0, "m")
    body = {"name": "zoo set", "hazards": hazards((47.1, -29.97))}
    dangers = post(client, "/api/v1/hazard-sets", body)
    place, tag = dangers.headers["location"], dangers.headers["etag"]
    put(client, place, {**body, "hazards": hazards((47.1, -29.97), (47.2, -29.9))}, tag)
    told = stale(client, place, body, tag)["changes"]
    assert [one["sentence"].partition(";")[0] for one in told] == ["Dangers: 1 added"]
