"""Amending a plan under way: its time, what it starts from, and what is refused unkept."""

from typing import Any

import httpx
import pytest

from tests.api.conftest import Client
from tests.api.keeping import moved, post, stored_plan
from tests.api.record_keeping import approve, decide, edit, offer
from wheelover.api.schemas.zones import ZoneIn, zones_on
from wheelover.core.errors import InvalidInput
from wheelover.usecases.amend import Amendment
from wheelover.usecases.amend import amend as amend_plan

NOON = "2026-11-25T12:00:00Z"
FROM_HERE: dict[str, Any] = {
    "reason": "fishing fleet",
    "lat_deg": 47.2,
    "lon_deg": -29.8,
    "next_waypoint_id": "C",
    "at_utc": NOON,
}


@pytest.fixture
def client(stored_client: Client) -> Client:
    return stored_client


def in_use(client: Client, **members: Any) -> str:
    """Keep a plan of which r1 is in use."""
    place, _ = stored_plan(client, departure_utc="2026-11-25T08:00:00Z", **members)
    offer(client, place)
    approve(client, place, 1)
    assert decide(client, place, 1, "take_into_use").status_code == 201
    return place


def amend(client: Client, place: str, **members: Any) -> httpx.Response:
    body = {name: value for name, value in {**FROM_HERE, **members}.items() if value is not None}
    tag = client.get(place).headers["etag"]
    return post(client, f"{place}/amendments", body, **{"If-Match": tag})


def test_times_count_from_when_she_is_there(client: Client) -> None:
    place = in_use(client)
    undated = amend(client, place, at_utc=None)
    assert undated.status_code == 422
    assert undated.json()["errors"][0]["pointer"] == "/at_utc"
    made = amend(client, place)
    assert made.status_code == 201, made.text
    assert made.json()["amended"]["departure_utc"] == NOON
    first, last = client.get(f"{place}/computed").json()["schedule"]["rows"]
    assert first["eta_utc"] == NOON
    # 0.2 degrees of longitude in 47.2 N on WGS84 are 15.155 km, 8.18 NM: 40.9 minutes at 12 kn.
    assert "12:40:4" in last["eta_utc"] or "12:40:5" in last["eta_utc"]


def test_a_plan_without_times_needs_none(client: Client) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    made = amend(client, place, at_utc=None)
    assert made.status_code == 201, made.text
    assert made.json()["amended"]["departure_utc"] is None


def test_what_is_stated_behind_is_carried_or_dropped_and_named(client: Client) -> None:
    draughts = [{"from_id": "B", "reason": "river", "draught_fore_m": 9.0, "draught_aft_m": 9.0}]
    needs = [{"waypoint_id": "B", "reason": "narrow"}]
    zones = [{"from_id": "B", "zone_description_h": 1.0}]
    place = in_use(client, draughts=draughts, daylight_needs=needs, zones=zones)
    made = amend(client, place)
    assert made.status_code == 201, made.text
    said = made.json()["amended"]
    assert said["left_behind"] == ["waypoints A, B", "daylight at B"]
    assert len(said["carried"]) == 2
    label = made.json()["steps"][0]["label"]
    assert label.startswith("Amended under way: fishing fleet; left behind: waypoints A, B; dayl")
    computed = client.get(f"{place}/computed")
    assert computed.status_code == 200
    assert computed.json()["schedule"]["rows"][0]["zone_source"] == "given"
    assert offer(client, place) == 2


def test_it_starts_from_the_revision_in_use(client: Client) -> None:
    place = in_use(client)
    edit(client, place, limits={"min_clearance_m": 600.0})
    asked = amend(client, place)
    assert asked.status_code == 409
    (fault,) = asked.json()["errors"]
    assert fault["pointer"] == "/start_from"
    assert "the draft holds what r1 does not ('Limits changed')" in fault["message"]
    made = amend(client, place, start_from="revision")
    assert made.status_code == 201, made.text
    assert made.json()["inputs"]["limits"] == {"min_clearance_m": 500.0}
    assert made.json()["amended"]["start_from"] == "revision"
    again = amend(client, place, start_from="draft", at_utc="2026-11-25T12:30:00Z")
    assert again.status_code == 201, again.text
    ids = [one["id"] for one in again.json()["inputs"]["route"]["waypoints"]]
    assert ids == ["AMEND-2", "C"]


def test_a_revision_that_is_only_offered_is_not_sailed(client: Client) -> None:
    place = in_use(client)
    before = client.get(place).json()["inputs"]
    edit(client, place, route=moved(before, 2, 0.05)["route"])
    offer(client, place)
    asked = amend(client, place)
    assert asked.status_code == 409
    assert "r2, offered since" in asked.json()["detail"]
    made = amend(client, place, start_from="draft")
    assert made.json()["inputs"]["amendment"]["of_revision"] == 1
    bare, _ = stored_plan(client)
    offer(client, bare)
    refused = amend(client, bare)
    assert refused.status_code == 409
    assert "r1 is not approved" in refused.json()["detail"]


def test_where_no_plan_can_be_made_nothing_is_kept_and_nothing_lapses(client: Client) -> None:
    place = in_use(client)
    before = client.get(place)
    refused = amend(client, place, lat_deg=90.0, lon_deg=0.0)
    assert refused.status_code == 422, refused.text
    assert "nothing lapses" in refused.json()["detail"]
    after = client.get(place)
    assert after.json()["in_use_stands"] is True
    assert after.headers["etag"] == before.headers["etag"]
    stale = post(client, f"{place}/amendments", FROM_HERE, **{"If-Match": '"0-0"'})
    assert stale.status_code == 412


def test_what_the_plan_refuses_is_refused_before_it_is_kept(client: Client) -> None:
    place = in_use(client)
    before = client.get(place)

    def planned(inputs: dict[str, Any]) -> dict[str, Any]:
        zones = [ZoneIn(from_id="gone", zone_description_h=0.0)]
        ids = [one["id"] for one in inputs["route"]["waypoints"]]
        return {"zones": zones_on(zones, ids)}

    amendment = Amendment(kind="deviation", **FROM_HERE)
    store, plan_id = client.app.state.store, place.rpartition("/")[2]
    with pytest.raises(InvalidInput, match="nothing lapses: /zones/0/from_id: 'gone' is no way"):
        amend_plan(store, plan_id, amendment, (before.headers["etag"],), NOON, planned)
    assert client.get(place).headers["etag"] == before.headers["etag"]
