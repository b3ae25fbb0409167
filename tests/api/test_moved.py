"""A waypoint moved elsewhere: what is answered is what the plan with it there says."""

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from tests.api.conftest import Client
from tests.api.keeping import post
from wheelover.api import create_app
from wheelover.api.rates import COSTS, Rate, Rates
from wheelover.api.schemas.moved import MovedAnswer
from wheelover.core.moved import base_of
from wheelover.usecases import moved_waypoint as module

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


def _whole(client: Client, plan: dict[str, Any]) -> dict[str, Any]:
    """Return what the whole plan says of each leg and turn, by the waypoint it leads to."""
    found = post(client, "/api/v1/plan", plan).json()
    legs = {one["to_id"]: one["least_clearance"] for one in found["legs"]}
    turns = {one["waypoint_id"]: one["least_clearance"] for one in found["turns"]}
    return {"legs": legs, "turns": turns}


@pytest.mark.parametrize("radii", [True, False])
@pytest.mark.parametrize("there", [(47.3, -29.7), (47.31, -29.71)])
def test_what_did_not_change_is_told_as_the_whole_plan_tells_it(
    client: Client, there: tuple[float, float], *, radii: bool
) -> None:
    """Also of a waypoint put back where it was; a turn without an arc was not measured."""
    plan = _plan()
    for one in plan["route"]["waypoints"]:
        if not radii:
            one.pop("turn_radius_nm", None)
    place = {"lat_deg": there[0], "lon_deg": there[1]}
    asked = {"plan": plan, "waypoint_id": "M2", "position": place}
    found = post(client, "/api/v1/plan/moved", asked).json()
    plan["route"]["waypoints"][2].update(place)
    whole = _whole(client, plan)
    assert {one["to_id"]: one["least_clearance"] for one in found["legs"]} == whole["legs"]
    assert {one["waypoint_id"]: one["least_clearance"] for one in found["turns"]} == whole["turns"]
    assert all(one["checked"] for one in found["legs"])
    assert [one["checked"] for one in found["turns"]] == [radii] * 3
    assert sum(one["least_clearance"]["met"] is False for one in found["legs"]) == 3


def test_what_has_no_piece_and_an_empty_set_are_not_checked(client: Client) -> None:
    place = {"lat_deg": PLACES[0][0], "lon_deg": PLACES[0][1]}
    asked: dict[str, Any] = {"plan": _plan(), "waypoint_id": "M1", "position": place}
    found = post(client, "/api/v1/plan/moved", asked).json()
    assert [one["checked"] for one in found["legs"]] == [False, True, True]
    assert [one["checked"] for one in found["turns"]] == [False, True, True]
    asked["plan"]["hazards"]["features"] = []
    found = post(client, "/api/v1/plan/moved", asked).json()
    assert not any(one["checked"] for one in [*found["legs"], *found["turns"]])


def _counted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return a list of the names of routes, one more each time one is laid whole."""
    laid: list[str] = []

    def counting(route: Any, *others: Any) -> Any:
        laid.append(route.name)
        return base_of(route, *others)

    monkeypatch.setattr(module, "base_of", counting)
    monkeypatch.setattr(module, "_BASES", type(module._BASES)())
    return laid


def test_two_plans_are_kept_and_each_is_laid_by_one_question(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    laid = _counted(monkeypatch)

    def ask(name: str) -> int:
        plan = _plan()
        plan["route"]["name"] = name
        place = {"lat_deg": 47.2, "lon_deg": -29.9}
        asked = {"plan": plan, "waypoint_id": "M1", "position": place}
        return post(client, "/api/v1/plan/moved", asked).status_code

    with ThreadPoolExecutor(6) as threads:
        assert set(threads.map(ask, ["a"] * 6)) == {200}
    assert laid == ["a"]
    for name in ("b", "a", "c", "a"):
        ask(name)
    assert laid == ["a", "b", "c"]
    ask("b")
    assert laid == ["a", "b", "c", "b"]
    assert len(module._BASES) == 2


def test_the_question_that_lays_the_plan_costs_as_a_plan_more(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    client = Client(create_app())
    laid = _counted(monkeypatch)
    place = {"lat_deg": 47.2, "lon_deg": -29.9}
    asked = {"plan": _plan(), "waypoint_id": "M1", "position": place}

    def statuses(burst: int, count: int) -> list[int]:
        client.app.state.rates = Rates(Rate(burst=burst, per_minute=1), lambda: 0.0)
        return [post(client, "/api/v1/plan/moved", asked).status_code for _ in range(count)]

    assert statuses(2, 1) == [429]
    assert laid == []
    cost = COSTS["POST", "/api/v1/plan/moved"]
    assert statuses(COSTS["POST", "/api/v1/plan"] + 3 * cost, 4) == [200, 200, 200, 429]
    assert laid == ["moved"]


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
