"""Compasses, daylight and harmonic constants through the API: what is taken, said and refused."""

from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client
from wheelover.api.schemas.plan_response import PlanResponse

CARD = {
    "rows": [
        {"heading_deg": 45.0 * step, "deviation_deg": deviation}
        for step, deviation in enumerate((1.0, 2.5, 2.0, 0.5, -1.0, -2.0, -1.5, 0.0))
    ],
    "by": "compass",
    "swung_utc": "2026-03-01T10:00:00Z",
}
HARMONICS = {
    "mean_level_m": 2.0,
    "lat_deg": 47.0,
    "constituents": [
        {"name": "M2", "amplitude_m": 1.5, "phase_deg": 30.0},
        {"name": "K1", "amplitude_m": 0.2, "phase_deg": 300.0},
    ],
}


def body(**more: Any) -> dict[str, Any]:
    """Return a request with compasses, a departure and a need of daylight."""
    asked = zoo.request(departure_utc="2026-11-25T14:02:00Z", **more)
    asked["ship"] = {**asked["ship"], "deviation_card": CARD, "gyro_error_deg": 1.0}
    return asked


def refused(client: Client, asked: dict[str, Any]) -> dict[str, Any]:
    """Return the problem of a request that is refused."""
    answer = client.plan(asked)
    assert answer.status_code == 422, answer.text
    problem: dict[str, Any] = answer.json()
    return problem


def test_a_plan_says_courses_by_compass_and_the_sun(client: Client) -> None:
    answer = client.plan(body()).json()
    PlanResponse.model_validate(answer)
    courses = answer["legs"][0]["courses"]
    assert courses["gyro_deg"] == pytest.approx((courses["true_deg"] - 1.0) % 360.0)
    by_hand = courses["true_deg"] - courses["variation_deg"] - courses["deviation_deg"]
    assert courses["compass_deg"] == pytest.approx(by_hand % 360.0, abs=1e-6)
    assert courses["model"] == "WMM2025"
    assert courses["uncertainty_deg"] > 0.26
    sun = answer["schedule"]["sun"]
    assert [(one["waypoint_id"], one["part"]) for one in sun] == [
        ("A", "waypoint"), ("B", "wheel_over"), ("B", "waypoint"), ("C", "waypoint"),
    ]  # fmt: skip
    assert sun[0]["at_utc"] == "2026-11-25T14:02:00Z"
    assert sun[0]["light"] == "day"
    assert sun[0]["civil"]["from_utc"] < sun[0]["up"]["from_utc"] < sun[0]["noon_utc"]


def test_polar_night_and_midnight_sun_are_answers(client: Client) -> None:
    for day, lasting, light in (("06-21", "always", "day"), ("12-21", "never", "civil")):
        asked = body()
        asked["departure_utc"] = f"2026-{day}T13:50:00Z"
        for waypoint, lat_deg in zip(asked["route"]["waypoints"], (70.0, 70.2, 70.2), strict=True):
            waypoint["lat_deg"] = lat_deg
        first = client.plan(asked).json()["schedule"]["sun"][0]
        assert first["up"] == {"from_utc": None, "to_utc": None, "lasting": lasting}
        assert first["light"] == light


def test_without_a_departure_nothing_of_the_sky_is_known(client: Client) -> None:
    asked = body()
    del asked["departure_utc"]
    answer = client.plan(asked).json()
    assert answer["legs"][0]["courses"]["variation_deg"] is None
    assert {one["reason"] for one in answer["schedule"]["sun"]} == {"no departure_utc is given"}
    assert all(one["light"] is None for one in answer["schedule"]["sun"])


def test_harmonic_constants_stand_for_a_table_of_tides(client: Client) -> None:
    asked = body(conditions={"tides": [{"station": "Zoo roads", "harmonics": HARMONICS}]})
    for waypoint in asked["route"]["waypoints"][1:]:
        waypoint["leg"] = {"charted_depth_m": 20.0, "catzoc": "A1"}
    keel = client.plan(asked).json()["depths"]["keel"][0]
    tide = next(one for one in keel["terms"] if one["term"] == "tide")
    assert 0.3 <= tide["value_m"] <= 3.7
    assert "2 harmonic constituents" in tide["reason"]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"constituents": []}, "/conditions/tides/0/harmonics/constituents"),
        ({"constituents": [{"name": "QQ7", "amplitude_m": 1.0, "phase_deg": 1.0}]},
         "/conditions/tides/0/harmonics/constituents/0/name"),
        ({"lat_deg": 91.0}, "/conditions/tides/0/harmonics/lat_deg"),
        ({"mean_level_m": None}, "/conditions/tides/0/harmonics/mean_level_m"),
    ],
)  # fmt: skip
def test_bad_constants_are_refused_by_their_place(
    client: Client, change: dict[str, Any], pointer: str
) -> None:
    tide = {"station": "Zoo roads", "harmonics": {**HARMONICS, **change}}
    problem = refused(client, body(conditions={"tides": [tide]}))
    assert pointer in [one["pointer"] for one in problem["errors"]]


def test_a_tide_in_two_ways_or_none_is_refused(client: Client) -> None:
    heights = [{"at_utc": f"2026-11-25T{hour}:00:00Z", "height_m": 1.0} for hour in (12, 18)]
    for tide in (
        {"station": "x"},
        {"station": "x", "heights": heights, "harmonics": HARMONICS},
    ):
        problem = refused(client, body(conditions={"tides": [tide]}))
        assert "heights or harmonics" in str(problem["errors"])


@pytest.mark.parametrize(
    ("need", "words"),
    [
        ([{"waypoint_id": "X", "reason": "a"}], "no waypoint of the route"),
        ([{"waypoint_id": "B", "reason": "a"}] * 2, "given twice"),
    ],
)
def test_needs_of_daylight_are_refused_by_their_place(
    client: Client, need: list[dict[str, Any]], words: str
) -> None:
    problem = refused(client, body(daylight_needs=need))
    last = problem["errors"][-1]
    assert last["pointer"] == f"/daylight_needs/{len(need) - 1}/waypoint_id"
    assert words in last["message"]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([(10.0, 1.0), (5.0, 1.0)], "in order"),
        ([(0.0, 30.0), (20.0, 1.0), (200.0, 0.0)], "changes by more than the heading"),
    ],
)
def test_a_bad_deviation_card_is_refused(
    client: Client, rows: list[tuple[float, float]], words: str
) -> None:
    asked = body()
    made = [{"heading_deg": one, "deviation_deg": other} for one, other in rows]
    asked["ship"]["deviation_card"] = {"rows": made}
    problem = refused(client, asked)
    (error,) = problem["errors"]
    assert error["pointer"] == "/ship/deviation_card/rows"
    assert words in error["message"]
