"""A waypoint moved elsewhere: what is answered is what the plan with it there says."""

from typing import Any

from tests.api.conftest import Client
from tests.api.keeping import post
from wheelover.api.schemas.moved import MovedAnswer

PLACES = [(47.0, -30.0), (47.2, -30.0), (47.3, -29.7), (47.6, -29.6), (47.7, -29.2)]
DANGERS = [(-29.99, 47.1), (-29.98, 47.21), (-29.8, 47.26), (-29.64, 47.5), (-29.3, 47.69)]


def _plan(*, places: list[tuple[float, float]] = PLACES) -> dict[str, Any]:
    waypoints = [
        {
            "id": f"M{number}",
            "lat_deg": lat,
            "lon_deg": lon,
            **({"turn_radius_nm": 0.4} if 0 < number < len(places) - 1 else {}),
        }
        for number, (lat, lon) in enumerate(places)
    ]
    features = [
        {
            "type": "Feature",
            "id": f"d{number}",
            "properties": {},
            "geometry": {"type": "Point", "coordinates": [lon, lat]},
        }
        for number, (lon, lat) in enumerate(DANGERS)
    ]
    return {
        "route": {"name": "moved", "waypoints": waypoints},
        "hazards": {"type": "FeatureCollection", "features": features},
        "limits": {"min_clearance_m": 900.0},
    }


def test_the_answer_is_that_of_the_whole_plan(client: Client) -> None:
    there = {"lat_deg": 47.22, "lon_deg": -29.97}
    for waypoint in range(2):
        asked = {"plan": _plan(), "waypoint_id": f"M{waypoint}", "position": there}
        answer = post(client, "/api/v1/plan/moved", asked)
        assert answer.status_code == 200, answer.text
        found = answer.json()
        MovedAnswer.model_validate(found)
        places = [*PLACES]
        places[waypoint] = (there["lat_deg"], there["lon_deg"])
        whole = post(client, "/api/v1/plan", _plan(places=places)).json()
        legs = {one["to_id"]: one["least_clearance"] for one in whole["legs"]}
        turns = {one["waypoint_id"]: one["least_clearance"] for one in whole["turns"]}
        assert found["waypoint_id"] == f"M{waypoint}"
        assert len(found["legs"]) == 2 + waypoint
        assert all(one["checked"] for one in found["legs"])
        assert [one["least_clearance"] for one in found["legs"]] == [
            legs[one["to_id"]] for one in found["legs"]
        ]
        assert [one["least_clearance"] for one in found["turns"]] == [
            turns[one["waypoint_id"]] for one in found["turns"]
        ]
        assert any(one["least_clearance"]["met"] is False for one in found["legs"])


def test_without_dangers_nothing_is_said_to_be_checked(client: Client) -> None:
    plan = {name: one for name, one in _plan().items() if name != "hazards"}
    asked = {"plan": plan, "waypoint_id": "M1", "position": {"lat_deg": 47.2, "lon_deg": -29.9}}
    found = post(client, "/api/v1/plan/moved", asked).json()
    assert [one["checked"] for one in found["legs"]] == [False] * 3
    assert all(one["least_clearance"] is None for one in [*found["legs"], *found["turns"]])


def test_an_unknown_waypoint_and_a_bad_position_are_refused(client: Client) -> None:
    place = {"lat_deg": 47.2, "lon_deg": -29.9}
    asked = {"plan": _plan(), "waypoint_id": "elsewhere", "position": place}
    answer = post(client, "/api/v1/plan/moved", asked)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/waypoint_id"
    asked = {"plan": _plan(), "waypoint_id": "M1", "position": {**place, "lat_deg": 95.0}}
    answer = post(client, "/api/v1/plan/moved", asked)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/position/lat_deg"
