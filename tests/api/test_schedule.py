"""POST /api/v1/plan: the schedule and its streams, and what of them is refused."""

import copy
from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import post
from wheelover.api.schemas.departures import DeparturesAnswer, DraftDepartures
from wheelover.api.schemas.plan_response import PlanResponse

STREAMS = [
    {
        "station": "Zoo bank",
        "source": "Zoo atlas, 2026",
        "to_id": "B",
        "rows": [
            {"at_utc": "2026-11-25T12:00:00Z", "set_deg": 40.0, "drift_kn": 1.5},
            {"at_utc": "2026-11-25T20:00:00Z", "set_deg": 200.0, "drift_kn": 1.0},
        ],
    },
    {
        "station": "Zoo head",
        "high_waters_utc": ["2026-11-25T15:10:00Z", "2026-11-26T03:35:00Z"],
        "hours": [
            {"hour": hour, "set_deg": 90.0, "drift_kn": 2.0, "neap_drift_kn": 1.0}
            for hour in range(-6, 7)
        ],
        "range_ratio": 0.5,
    },
]


def _request() -> dict[str, Any]:
    body: dict[str, Any] = zoo.request(
        conditions={"streams": copy.deepcopy(STREAMS)}, departure_utc="2026-11-25T14:00:00Z"
    )
    last = body["route"]["waypoints"][-1]
    last |= {
        "eta_utc": "2026-11-25T18:00:00Z",
        "arrive_to_utc": "2026-11-25T17:30:00Z",
        "stay_min": 90.0,
    }
    return body


def test_the_schedule_stands_in_the_answer_as_it_is_described(client: Client) -> None:
    answer = client.plan(_request())
    assert answer.status_code == 200, answer.text
    PlanResponse.model_validate(answer.json())
    plan = answer.json()
    schedule = plan["schedule"]
    assert (schedule["departure_utc"], schedule["departure_source"]) == (
        "2026-11-25T14:00:00Z",
        "given",
    )
    assert schedule["arrival_utc"] == "2026-11-25T18:00:00Z"
    last = schedule["rows"][-1]
    assert (last["eta_source"], last["etd_utc"], last["to_go_nm"]) == (
        "given",
        "2026-11-25T19:30:00Z",
        0.0,
    )
    assert {one["speed_source"] for one in schedule["legs"]} == {"eta"}
    assert next(one["station"] for one in schedule["legs"]) == "Zoo bank"
    assert schedule["legs"][-1]["drift_kn"] == pytest.approx(1.5)
    (window,) = schedule["windows"]
    assert (window["result"], window["off_s"]) == ("late", 1800.0)
    # The legs and turns of the plan have the same speeds and streams.
    for leg, time in zip(plan["legs"], schedule["legs"], strict=True):
        for member in ("speed_kn", "speed_source", "set_deg", "drift_kn", "current_source"):
            assert leg[member] == time[member]
    assert {one["current"]["source"] for one in plan["turns"]} == {"stream"}
    assert "window_late" in {one["code"] for one in plan["findings"]}
    assert {"stream"} <= {one["input"] for one in plan["basis"]}


def test_fuel_zones_and_areas_stand_beside_the_times(client: Client) -> None:
    body = _request()
    body["ship"]["consumption"] = [
        {"speed_kn": 0.0, "t_per_day": 2.0, "fuel": "MGO"},
        {"speed_kn": 20.0, "t_per_day": 42.0, "fuel": "MGO"},
        {"speed_kn": 2.0, "t_per_day": 5.0},
        {"speed_kn": 3.0, "t_per_day": 6.0},
    ]
    body["zones"] = [{"from_id": "B", "zone_description_h": 2.5}]
    ring = [[-30.05, 47.05], [-29.95, 47.05], [-29.95, 47.1], [-30.05, 47.1], [-30.05, 47.05]]
    body["hazards"]["features"].append(
        {
            "type": "Feature",
            "geometry": {"type": "Polygon", "coordinates": [ring]},
            "properties": {"id": "pssa", "name": "Zoo sanctuary", "kind": "special"},
        }
    )
    answer = client.plan(body)
    assert answer.status_code == 200, answer.text
    PlanResponse.model_validate(answer.json())
    schedule = answer.json()["schedule"]
    assert [one["zone_description_h"] for one in schedule["rows"]] == [2.0, 2.5, 2.5]
    assert [one["zone_source"] for one in schedule["rows"]] == ["longitude", "given", "given"]
    assert schedule["rows"][-1]["eta_zone"] == "2026-11-25T15:30:00-02:30"
    (area,) = schedule["areas"]
    assert (area["name"], area["source"]) == ("Zoo sanctuary", "you")
    assert area["enters"]["at_utc"] < area["leaves"]["at_utc"]
    by_fuel = {one["fuel"]: one for one in schedule["fuel"]["fuels"]}
    legs = [one for one in schedule["fuel"]["legs"] if one["fuel"] == "MGO"]
    speed_kn = schedule["legs"][0]["speed_kn"]
    assert legs[0]["rate_t_per_day"] == pytest.approx(2.0 + 2.0 * speed_kn)
    # Four hours under way, and the stay of an hour and a half at the end.
    hours = (schedule["duration_s"] / 3600.0, 1.5)
    burnt_t = (legs[0]["rate_t_per_day"] * hours[0] + 2.0 * hours[1]) / 24.0
    assert by_fuel["MGO"]["total_t"] == pytest.approx(burnt_t)
    assert by_fuel[None]["total_t"] is None
    assert "outside her table of 2 to 3 kn" in by_fuel[None]["reason"]
    labels = [
        one["properties"]
        for one in answer.json()["layers"]["features"]
        if one["properties"]["layer"] == "time_label"
    ]
    assert [one["text"] for one in labels] == ["1400Z", "1500Z", "1600Z", "1700Z", "1800Z"]


def _changed(path: str, value: Any) -> dict[str, Any]:
    body: Any = _request()
    *way, last = path.strip("/").split("/")
    place = body
    for step in way:
        place = place[int(step)] if isinstance(place, list) else place.setdefault(step, {})
    if value is None:
        del place[last]
    else:
        place[last] = value
    return dict(body)


@pytest.mark.parametrize(
    ("path", "value", "pointer"),
    [
        ("/route/waypoints/1/eta_utc", "2026-11-25 15:00", None),
        ("/route/waypoints/1/eta_utc", "2026-11-25T13:00:00Z", None),
        ("/route/waypoints/1/eta_utc", "2026-11-25T19:00:00Z", "/route/waypoints/2/eta_utc"),
        ("/route/waypoints/0/stay_min", 5.0, None),
        ("/route/waypoints/1/stay_min", -5.0, None),
        (
            "/route/waypoints/1/leg",
            {"speed_kn": 9.0, "speed_over_ground_kn": 9.0},
            "/route/waypoints/1/leg/speed_over_ground_kn",
        ),
        ("/conditions/streams/0/to_id", "nowhere", None),
        ("/conditions/streams/0/from_id", "C", "/conditions/streams/0/to_id"),
        (
            "/conditions/streams/0/rows/1/at_utc",
            "2026-11-25T11:00:00Z",
            "/conditions/streams/0/rows/1",
        ),
        ("/conditions/streams/0/hours", STREAMS[1]["hours"], "/conditions/streams/0/rows"),
        ("/conditions/streams/1/hours", None, "/conditions/streams/1/hours"),
        ("/conditions/streams/1/hours/3/hour", 5, "/conditions/streams/1/hours/3/hour"),
        ("/conditions/streams/1/range_ratio", 9.0, None),
        ("/conditions/streams/1/knots", 9.0, None),
        ("/zones", [{"from_id": "X", "zone_description_h": 1.0}], "/zones/0/from_id"),
        ("/zones", [{"from_id": "B", "zone_description_h": 1.2}], "/zones/0/zone_description_h"),
        ("/zones", [{"from_id": "B", "zone_description_h": 1.0}] * 2, "/zones/1/from_id"),
        ("/ship/consumption", [{"speed_kn": 9.0, "t_per_day": 9.0}] * 2, None),
        (
            "/ship/consumption",
            [{"speed_kn": 9.0, "t_per_day": -9.0}],
            "/ship/consumption/0/t_per_day",
        ),
    ],
)  # fmt: skip
def test_what_no_schedule_can_be_made_of_is_a_problem_that_names_the_field(
    client: Client, path: str, value: Any, pointer: str | None
) -> None:
    problem = client.plan(_changed(path, value))
    assert problem.status_code == 422, problem.text
    assert problem.headers["content-type"] == "application/problem+json"
    assert (pointer or path) in {one["pointer"] for one in problem.json()["errors"]}


TIDE = {
    "station": "Zoo bar",
    "heights": [
        {"at_utc": "2026-11-25T12:00:00Z", "height_m": 0.5},
        {"at_utc": "2026-11-25T18:10:00Z", "height_m": 3.5},
        {"at_utc": "2026-11-26T00:20:00Z", "height_m": 0.6},
    ],
}


def _gated() -> dict[str, Any]:
    body: dict[str, Any] = zoo.request(
        conditions={"tides": [TIDE]},
        departure_utc="2026-11-25T16:00:00Z",
        limits={"min_ukc_m": 1.2},
    )
    body["ship"] |= {"block_coefficient": 0.8, "lpp_m": 194.0}
    for waypoint in body["route"]["waypoints"][1:]:
        waypoint["leg"] = {"charted_depth_m": 10.5, "catzoc": "A1"}
    body["conditions"] |= {"wave_height_m": 0.0, "wind_from_deg": 0.0, "wind_kn": 0.0}
    body["ship"] |= {"gm_m": 3.0, "kg_m": 9.0, "displacement_t": 50_000.0}
    body["ship"] |= {"lateral_windage_m2": 2000.0, "windage_centre_above_water_m": 7.0}
    body["route"]["waypoints"][-1] |= {"arrive_to_utc": "2026-11-25T20:00:00Z"}
    body["daylight_needs"] = [
        {"waypoint_id": "B", "part": "wheel_over", "reason": "The mark is not lit"}
    ]
    return body


def test_moving_the_departure_tells_was_and_now(client: Client) -> None:
    body = _gated()
    asked = {"plan": body, "shifts_s": [18_000.0], "departures_utc": ["2026-11-25T16:30:00Z"]}
    answer = post(client, "/api/v1/plan/departures", asked)
    assert answer.status_code == 200, answer.text
    found = answer.json()
    DeparturesAnswer.model_validate(found)
    assert found["was"]["departure_utc"] == "2026-11-25T16:00:00Z"
    half, late = found["moved"]
    assert (half["shift_s"], late["departure_utc"]) == (1800.0, "2026-11-25T21:00:00Z")
    assert {one["outcome"] for one in found["was"]["gates"]} == {"holds"}
    assert "fails" in {one["outcome"] for one in late["gates"]}
    assert {one["was"] for one in late["gates"]} == {"holds"}
    assert [(one["was"], one["result"]) for one in late["windows"]] == [("met", "late")]
    assert [(one["was"], one["outcome"]) for one in late["daylight"]] == [("holds", "fails")]
    assert late["daylight"][0]["light"] == "night"
    assert "not simulated again" in found["note"]
    # The plan as it stands says the same of its gates, its window and its arrival.
    plan = client.plan(body).json()
    met = {
        (one["piece"]["kind"], one["piece"]["index"]): one["met"] for one in plan["depths"]["keel"]
    }
    then = {(one["piece"]["kind"], one["piece"]["index"]): one for one in found["was"]["gates"]}
    assert {key: one["outcome"] == "holds" for key, one in then.items()} == met
    assert found["was"]["arrival_utc"] == plan["schedule"]["arrival_utc"]
    again = post(client, "/api/v1/plan/departures", asked)
    assert again.json() == found


@pytest.mark.parametrize(
    ("asked", "pointer"),
    [
        ({}, ""),
        ({"shifts_s": []}, ""),
        ({"shifts_s": [1.0] * 51}, "/shifts_s"),
        ({"shifts_s": ["5"]}, "/shifts_s/0"),
        ({"departures_utc": ["tomorrow"]}, "/departures_utc/0"),
    ],
)
def test_departures_that_are_none_are_refused(
    client: Client, asked: dict[str, Any], pointer: str
) -> None:
    problem = post(client, "/api/v1/plan/departures", {"plan": _gated(), **asked})
    assert problem.status_code == 422, problem.text
    assert pointer in {one["pointer"] for one in problem.json()["errors"]}


def test_a_plan_without_a_departure_has_none_to_move(client: Client) -> None:
    body = _gated()
    del body["departure_utc"]
    problem = post(client, "/api/v1/plan/departures", {"plan": body, "shifts_s": [3600.0]})
    assert problem.status_code == 422, problem.text
    assert problem.json()["errors"][0]["pointer"] == "/plan/departure_utc"
    refused = post(
        client,
        "/api/v1/plan/departures",
        {"plan": _changed("/conditions/streams/0/to_id", "nowhere"), "shifts_s": [1.0]},
    )
    assert refused.json()["errors"][0]["pointer"].endswith("/conditions/streams/0/to_id")


def test_the_draft_of_a_stored_plan_is_moved_by_its_id(client: Client) -> None:
    """The same answer as for the whole request, with the edit it belongs to; nothing changes."""
    body = _gated()
    place = post(client, "/api/v1/plans", body).headers["Location"]
    asked = {"shifts_s": [18_000.0], "departures_utc": ["2026-11-25T16:30:00Z"]}
    answer = post(client, f"{place}/departures", asked)
    assert answer.status_code == 200, answer.text
    found = answer.json()
    DraftDepartures.model_validate(found)
    whole = post(client, "/api/v1/plan/departures", {"plan": body, **asked}).json()
    assert {**whole, "plan_id": place.rpartition("/")[2], "edit": found["edit"]} == found
    assert client.get(place).json()["edit"] == found["edit"]
    refused = post(client, f"{place}/departures", {"shifts_s": []})
    assert refused.status_code == 422, refused.text
    assert post(client, "/api/v1/plans/none/departures", asked).status_code == 404


def test_a_stored_plan_without_a_departure_has_none_to_move(client: Client) -> None:
    body = _gated()
    del body["departure_utc"]
    place = post(client, "/api/v1/plans", body).headers["Location"]
    problem = post(client, f"{place}/departures", {"shifts_s": [3600.0]})
    assert problem.status_code == 422, problem.text
    (error,) = problem.json()["errors"]
    assert error["pointer"] == ""
    assert "no departure to move" in error["message"]
