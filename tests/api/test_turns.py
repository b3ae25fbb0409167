"""POST /api/v1/turns/about-mark."""

from typing import Any

import pytest

from tests.api.conftest import Client

BODY: dict[str, Any] = {
    "mark": {"lat_deg": 47.2, "lon_deg": -30.0},
    "radius_nm": 1.0,
    "course_in_deg": 10.0,
    "course_out_deg": 100.0,
}


def test_the_planned_turn_at_that_waypoint_is_about_the_mark(client: Client) -> None:
    answer = client.send("POST", "/api/v1/turns/about-mark", json=BODY).json()
    assert set(answer) >= {"waypoint", "start", "end", "tangent_in_m", "tangent_out_m", "arc_m"}
    steps = {10.0: answer["tangent_in_m"] + 9000.0, 100.0: answer["tangent_out_m"] + 9000.0}
    ends = []
    for course, length_m in steps.items():
        bearing = (course + 180.0) % 360.0 if course == 10.0 else course
        offset = {
            "from": answer["waypoint"],
            "bearing_deg": bearing,
            "distance_nm": length_m / 1852,
        }
        ends.append(client.send("POST", "/api/v1/positions/offset", json=offset).json()["position"])
    places = [ends[0], answer["waypoint"], ends[1]]
    waypoints = [{"id": str(index), **place} for index, place in enumerate(places)]
    waypoints[1]["turn_radius_nm"] = 1.0
    (turn,) = client.plan({"route": {"name": "x", "waypoints": waypoints}}).json()["turns"]
    assert turn["centre"]["lat_deg"] == pytest.approx(47.2, abs=2e-9)
    assert turn["centre"]["lon_deg"] == pytest.approx(-30.0, abs=3e-9)
    assert turn["tangent_in_m"] == pytest.approx(answer["tangent_in_m"], abs=2e-3)
    assert turn["arc_m"] == pytest.approx(answer["arc_m"], abs=2e-3)


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({"radius_nm": 0.0}, "/radius_nm"),
        ({"radius_nm": "1"}, "/radius_nm"),
        ({"course_in_deg": 360.0}, "/course_in_deg"),
        ({"mark": {"lat_deg": 91.0, "lon_deg": 0.0}}, "/mark/lat_deg"),
        ({"mark": {"lat_deg": 90.0, "lon_deg": 0.0}}, "/mark/lat_deg"),
        ({"side": "port"}, "/side"),
        ({"course_out_deg": None}, "/course_out_deg"),
    ],
)
def test_a_bad_member_is_named(client: Client, members: dict[str, Any], pointer: str) -> None:
    answer = client.send("POST", "/api/v1/turns/about-mark", json={**BODY, **members})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize("out_deg", [10.0, 161.0, 190.0])
def test_no_such_turn(client: Client, out_deg: float) -> None:
    body = {**BODY, "course_out_deg": out_deg}
    answer = client.send("POST", "/api/v1/turns/about-mark", json=body)
    assert answer.status_code == 422
    assert "change of course" in answer.json()["detail"]
