"""The simulated method by JSON: what it agrees with, and what follows from where it comes from."""

import math

import pytest

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import post
from wheelover.api.schemas.plan_response import PlanResponse

RESPONSE = {
    "k_per_s": 0.0741,
    "t_s": 107.0,
    "at_speed_kn": 12.0,
    "alpha_s2": 12000.0,
    "drift_lengths": 0.45,
    "race_exponent": 1.2,
    "speed_recovery": 0.075,
    "speed_loss": 0.7,
    "drift_lag": 0.5,
}


def test_a_ship_with_a_response_is_simulated(client: Client) -> None:
    """The row agrees with what the helm orders say for the same courses, rudder and current."""
    ship = {**zoo.request()["ship"], "response": RESPONSE, "planned_rudder_deg": 15.0}
    current = {"set_deg": 40.0, "drift_kn": 1.5}
    body = zoo.request(ship=ship, conditions=current)
    plan = client.plan(body).json()
    PlanResponse.model_validate(plan)
    (turn,) = plan["turns"]
    rows = {row["method"]: row for row in turn["wheel_overs"]}
    asked = {
        "response": RESPONSE,
        "loa_m": 200.0,
        "speed_kn": 12.0,
        "course_in_deg": turn["course_in_deg"],
        "course_out_deg": turn["course_out_deg"],
        "rudder_deg": 15.0,
        "rudder_rate_deg_per_s": 2.33,
        **current,
    }
    orders = post(client, "/api/v1/turns/helm-orders", asked).json()
    run = rows["simulated"]
    assert run["status"] == "computed"
    assert run["distance_nm"] * 1852.0 == pytest.approx(
        orders["distance_to_new_course_m"], abs=2e-3
    )
    assert run["off_track_m"] == 0.0
    assert run["manoeuvre"]["orders"][1]["at_s"] == pytest.approx(orders["orders"][1]["at_s"])
    geometric = rows["geometric"]
    change = math.radians(turn["course_change_deg"])
    off_m = (geometric["distance_nm"] - run["distance_nm"]) * 1852.0 * math.sin(change)
    assert geometric["off_track_m"] == pytest.approx(off_m, abs=0.05)
    assert geometric["off_track_lengths"] == pytest.approx(abs(off_m) / 200.0, abs=1e-3)
    assert geometric["off_track_side"] == ("inside" if off_m * change > 0.0 else "outside")
    assert rows["advance_transfer"]["off_track_m"] is None
    assert turn["planned"]["off_track_m"] == geometric["off_track_m"]
    layers = [one["properties"]["layer"] for one in plan["layers"]["features"]]
    assert layers.count("simulated_track") == 1
    # The time is over the ground: the current here runs along with her.
    still_s = geometric["distance_nm"] / 12.0 * 3600.0
    assert geometric["before_waypoint_s"] < still_s


def test_an_own_distance_is_answered_like_a_method(client: Client) -> None:
    """The distance of the simulated row, given as an own one and 100 m earlier."""
    ship = {**zoo.request()["ship"], "response": RESPONSE}
    body = zoo.request(ship=ship, conditions={"set_deg": 40.0, "drift_kn": 1.5})
    (turn,) = client.plan(body).json()["turns"]
    run = next(row for row in turn["wheel_overs"] if row["method"] == "simulated")
    corner = body["route"]["waypoints"][1]
    corner["wheel_over"] = {"distance_nm": run["distance_nm"] + 100.0 / 1852.0}
    (turn,) = client.plan(body).json()["turns"]
    own = turn["planned"]
    off_m = 100.0 * math.sin(math.radians(turn["course_change_deg"]))
    assert own["method"] == "own"
    assert own["off_track_m"] == pytest.approx(off_m, abs=0.01)
    assert own["off_track_lengths"] == pytest.approx(abs(off_m) / 200.0, abs=1e-3)
    assert own["off_track_side"] == "inside"
    per_nm_s = run["before_waypoint_s"] / run["distance_nm"]
    assert own["before_waypoint_s"] == pytest.approx(own["distance_nm"] * per_nm_s, abs=0.1)


def test_where_a_response_comes_from_sets_the_default(client: Client) -> None:
    for origin, method in (("fitted", "simulated"), ("estimated", "geometric")):
        ship = {**zoo.request()["ship"], "response": {**RESPONSE, "origin": origin}}
        plan = client.plan(zoo.request(ship=ship)).json()
        assert plan["turns"][0]["planned"]["method"] == method
        assert plan["turns"][0]["planned"]["source"] == "default"


def test_an_origin_of_another_name_is_refused(client: Client) -> None:
    ship = {**zoo.request()["ship"], "response": {**RESPONSE, "origin": "guessed"}}
    answer = client.plan(zoo.request(ship=ship))
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/ship/response/origin"


WINDAGE = {"block_coefficient": 0.8, "lateral_windage_m2": 2600.0}


def test_a_wind_moves_the_wheel_over_of_a_ship_whose_windage_is_given(client: Client) -> None:
    ship = {**zoo.request()["ship"], "response": RESPONSE}
    wind = {"wind_from_deg": 250.0, "wind_kn": 18.0, "depth_m": 60.0}
    plans = [
        client.plan(zoo.request(ship=one, conditions=wind)).json()
        for one in (ship, {**ship, **WINDAGE}, {**ship, **WINDAGE, "windage_centre_from_bow_m": 90})
    ]
    distances = []
    for plan in plans:
        PlanResponse.model_validate(plan)
        rows = plan["turns"][0]["wheel_overs"]
        distances.append(next(row for row in rows if row["method"] == "simulated")["distance_nm"])
    assert len(set(distances)) == 3
    said = [one["message"] for one in plans[0]["findings"] if one["code"] == "turn_response"]
    assert any("the wind is not applied: the ship's windage is not given" in one for one in said)
    assert "turn_response" not in [one["code"] for one in plans[1]["findings"]]
    assert plans[1]["legs"][0]["hull"]["crab_deg"] != 0.0


@pytest.mark.parametrize(
    ("half", "missing"),
    [({"wind_from_deg": 10.0}, "wind_kn"), ({"wind_kn": 0.0}, "wind_from_deg")],
)
def test_half_a_wind(client: Client, half: dict[str, float], missing: str) -> None:
    answer = client.plan(zoo.request(conditions=half))
    assert answer.status_code == 422
    (fault,) = answer.json()["errors"]
    assert fault["pointer"] == f"/conditions/{missing}"
    assert f"{missing} is missing" in fault["message"]


@pytest.mark.parametrize(
    ("section", "member", "value"),
    [
        ("conditions", "wind_from_deg", 360.0),
        ("conditions", "wind_kn", -1.0),
        ("ship", "lateral_windage_m2", 0.0),
        ("ship", "windage_centre_from_bow_m", 201.0),
    ],
)
def test_a_wind_or_windage_out_of_range(
    client: Client, section: str, member: str, value: float
) -> None:
    body = zoo.request(conditions={"wind_from_deg": 10.0, "wind_kn": 10.0})
    body[section] = {**body[section], **WINDAGE} if section == "ship" else body[section]
    body[section][member] = value
    answer = client.plan(body)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == f"/{section}/{member}"


def test_a_wind_is_tried_on_the_card(client: Client) -> None:
    ship = {**zoo.request()["ship"], **WINDAGE, "response": RESPONSE}
    body = {"plan": zoo.request(ship=ship), "waypoint_id": "B"}
    wind = {"wind_from_deg": 250.0, "wind_kn": 18.0}
    planned, tried = (
        post(client, "/api/v1/turns/card", {**body, "tried": one}).json()
        for one in ({"depth_m": 60.0}, {"depth_m": 60.0, **wind})
    )
    assert planned["methods"][3]["distance_nm"] != tried["methods"][3]["distance_nm"]
    half = post(client, "/api/v1/turns/card", {**body, "tried": {"wind_kn": 5.0}})
    assert half.status_code == 422
    assert "wind_from_deg and wind_kn belong together" in half.text
