"""POST /api/v1/plan: the shape that is promised, what is refused, and what is never said."""

import copy
import json
from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client
from wheelover.api.schemas.plan_response import PlanResponse


def test_a_plan_has_the_shape_that_is_described(client: Client) -> None:
    answer = client.plan(zoo.request())
    assert answer.status_code == 200
    PlanResponse.model_validate(answer.json())
    body = answer.json()
    assert [leg["to_id"] for leg in body["legs"]] == ["B", "C"]
    (turn,) = body["turns"]
    assert (turn["waypoint_id"], turn["waypoint_index"], turn["fits"]) == ("B", 1, True)
    assert turn["planned"]["method"] == "geometric"
    assert turn["rate_of_turn_deg_per_min"] == pytest.approx(22.9183, abs=1e-3)
    assert turn["trade_rate_of_turn_deg_per_min"] == pytest.approx(24.0)
    (row,) = body["clearances"]
    assert (row["hazard_id"], row["piece"], row["side"]) == (
        "rock", {"kind": "leg", "index": 0}, "starboard",
    )  # fmt: skip
    assert body["checks"]["done_count"] < body["checks"]["expected_count"]
    assert body["cautions"]
    assert len(body["inputs_sha256"]) == 64


def test_changes_rates_and_offsets_are_positive_to_starboard(client: Client) -> None:
    starboard, body = client.plan(zoo.request()).json()["turns"][0], zoo.request()
    body["route"]["waypoints"][2]["lon_deg"] = -30.4
    port = client.plan(body).json()["turns"][0]
    for turn, sign, side in ((starboard, 1.0, "starboard"), (port, -1.0, "port")):
        assert turn["side"] == turn["wheel_over_line"]["offset_side"] == side
        assert turn["course_change_deg"] * sign > 89.0
        assert turn["rate_of_turn_deg_per_min"] * sign == pytest.approx(22.9183, abs=1e-3)
        assert turn["trade_rate_of_turn_deg_per_min"] * sign == pytest.approx(24.0)
        assert turn["wheel_over_line"]["offset_m"] * sign > 1000.0
        assert turn["duration_s"] > 0.0


def test_the_demonstration_can_be_planned(client: Client) -> None:
    demonstration = client.get("/api/v1/demonstration").json()
    answer = client.plan(demonstration["request"])
    assert answer.status_code == 200
    body = answer.json()
    assert body["demonstration"] is True
    assert body["layers"]["demonstration"] is True
    told = {(one["grade"], one["code"], one["subject"]["id"]) for one in body["findings"]}
    assert {
        ("must_resolve", "clearance_not_met", "WP03"),
        ("must_resolve", "turns_overlap", "WP05"),
        ("must_explain", "reach_assumed", None),
        ("note", "turn_speed_assumed", None),
        ("not_checked", "dangers_loaded", None),
    } <= told
    defaults = {row["input"] for row in body["basis"] if row["source"] == "default"}
    assert defaults == {
        "line of the legs",
        "reach of Demo bulker 190",
        "speed in the turn over approach speed of Demo bulker 190",
        "method of the planned wheel-over",
        "position uncertainty of dangers",
        "lateness of the helm",
        "distance of the horizon",
        "index objects",
        "visibility",
        "cue of the wheel-over",
        "warning points before the wheel-over",
    }
    assert body["track"]["distance_nm"] is None
    crowded = body["legs"][3]["least_clearance"]
    assert crowded["met"] is None
    assert len(body["cautions"]) == len(body["layers"]["cautions"]) == 18


def test_no_undefined_number_and_no_verdict_leaves(client: Client) -> None:
    def refuse(name: str) -> float:
        raise AssertionError(f"{name} in an answer")

    for body in (zoo.request(), zoo.request(ship=None), zoo.request(hazards=None)):
        sent = {name: value for name, value in body.items() if value is not None}
        text = client.plan(sent).text
        json.loads(text, parse_constant=refuse)  # noqa: TID251
        assert not any(word in text.lower() for word in ("safely", '"safe"', "all clear"))


def test_the_same_inputs_give_the_same_bytes(client: Client) -> None:
    first, again = client.plan(zoo.request()), client.plan(zoo.request())
    assert first.content == again.content
    other = zoo.request(limits={"min_clearance_m": 501.0})
    assert client.plan(other).json()["inputs_sha256"] != first.json()["inputs_sha256"]


def _changed(path: str, value: Any) -> dict[str, Any]:
    body = copy.deepcopy(zoo.request())
    *steps, last = path.strip("/").split("/")
    here: Any = body
    for step in steps:
        here = here[int(step)] if isinstance(here, list) else here.setdefault(step, {})
    if isinstance(here, list):
        here[int(last)] = value
    else:
        here[last] = value
    return body


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("/route/waypoints/1/lat_deg", 91.0),
        ("/route/waypoints/1/lat_deg", 90.0),
        ("/route/waypoints/1/lat_deg", "47.2"),
        ("/route/waypoints/1/lat_deg", True),
        ("/route/waypoints/1/lat_deg", None),
        ("/route/waypoints/2/lon_deg", -180.5),
        ("/route/waypoints/2/id", "A"),
        ("/route/waypoints/2/id", 7),
        ("/route/waypoints/1/turn_radius_nm", 0.0),
        ("/route/waypoints/1/leg/line", "curve"),
        ("/route/waypoints/1/leg/min_clearance_m", 200_001),
        ("/route/waypoints/1/leg/speed_kn", -1),
        ("/route/waypoints/1/leg/set_deg", 360.0),
        ("/route/waypoints/1/leg/drift_kn", 30.1),
        ("/route/waypoints/1/leg/drift_kn", "1"),
        ("/route/waypoints/1/turn/steering", "autopilot"),
        ("/route/waypoints/1/turn/rudder_deg", 0),
        ("/route/waypoints/1/turn/rudder_deg", 90.1),
        ("/route/waypoints/1/turn/set_deg", -1.0),
        ("/route/waypoints/1/turn/drift_kn", -0.1),
        ("/route/waypoints/1/turn/drift_kn", True),
        ("/route/waypoints/1/turn/rate_deg_per_min", 10.0),
        ("/route/waypoints/1/turn", []),
        ("/route/waypoints/1/wheel_over/method", "guess"),
        ("/route/waypoints/1/colour", "red"),
        ("/route/waypoints/0/leg", {"line": "rhumb"}),
        ("/ship/loa_m", 0),
        ("/ship/beam", 32.0),
        ("/ship/response", {"k_per_s": 0.1, "t_s": 5.0}),
        ("/hazards/features/0/properties/min_clearence_m", 900),
        ("/hazards/features/0/properties/min_clearance_m", -1),
        ("/hazards/features/0/geometry/coordinates", [181.0, 0.0]),
        ("/hazards/features/0/geometry/coordinates", [10.0]),
        ("/hazards/features/0/geometry/type", "Circle"),
        ("/hazards/type", "Features"),
        ("/conditions/set_deg", 360.0),
        ("/limits/min_clearance_m", 1e6),
        ("/departure_utc", "2026-11-25 14:02"),
        ("/departure_utc", "2026-13-25T14:02:00Z"),
        ("/check_land", "yes"),
        ("/colour", "red"),
    ],
)
def test_a_bad_member_is_named(client: Client, path: str, value: Any) -> None:
    answer = client.plan(_changed(path, value))
    assert answer.status_code == 422
    pointers = [error["pointer"] for error in answer.json()["errors"]]
    assert any(pointer.startswith(path) or path == pointer for pointer in pointers), pointers


def test_missing_members_are_named(client: Client) -> None:
    body = zoo.request()
    del body["route"]["waypoints"][1]["lon_deg"]
    pointers = [error["pointer"] for error in client.plan(body).json()["errors"]]
    assert pointers == ["/route/waypoints/1/lon_deg"]
    assert client.plan({}).json()["errors"][0]["pointer"] == "/route"


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({"reach_m": 1.0, "reach_s": 1.0}, "/ship/reach_m"),
    ],
)
def test_a_reach_given_twice(client: Client, members: dict[str, float], pointer: str) -> None:
    body = zoo.request()
    body["ship"].update(members)
    answer = client.plan(body)
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/invalid-ship"
    assert pointer in [error["pointer"] for error in answer.json()["errors"]]


def test_half_a_current(client: Client) -> None:
    answer = client.plan(zoo.request(conditions={"set_deg": 10.0}))
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/conditions/drift_kn"


@pytest.mark.parametrize("place", ["leg", "turn"])
@pytest.mark.parametrize(
    ("given", "missing"), [({"set_deg": 10.0}, "drift_kn"), ({"drift_kn": 0.0}, "set_deg")]
)
def test_half_a_current_at_a_waypoint(
    client: Client, place: str, given: dict[str, float], missing: str
) -> None:
    answer = client.plan(_changed(f"/route/waypoints/1/{place}", given))
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/invalid-route"
    (error,) = answer.json()["errors"]
    assert error["pointer"] == f"/route/waypoints/1/{place}/{missing}"
    assert missing in error["message"]


def test_the_current_says_where_it_comes_from(client: Client) -> None:
    body = zoo.request(conditions={"set_deg": 10.0, "drift_kn": 0.5})
    last = body["route"]["waypoints"][-1]
    body["route"]["waypoints"].insert(2, {"id": "B2", "lat_deg": 47.2, "lon_deg": -29.8})
    second, third = body["route"]["waypoints"][1:3]
    last["lat_deg"] = 47.0
    second.update(leg={"set_deg": 20.0, "drift_kn": 1.5}, turn={"steering": "radius"})
    third["turn"] = {"set_deg": 359.5, "drift_kn": 0.0, "rudder_deg": 90}
    answer = client.plan(body)
    assert answer.status_code == 200
    plan = answer.json()
    PlanResponse.model_validate(plan)
    keys = ("set_deg", "drift_kn", "current_source")
    assert [tuple(leg[key] for key in keys) for leg in plan["legs"]] == [
        (20.0, 1.5, "leg"),
        (10.0, 0.5, "plan"),
        (10.0, 0.5, "plan"),
    ]
    assert [(turn["steering"], turn["current"]) for turn in plan["turns"]] == [
        ("radius", {"set_deg": 20.0, "drift_kn": 1.5, "source": "leg"}),
        ("rudder", {"set_deg": 359.5, "drift_kn": 0.0, "source": "turn"}),
    ]
    still = client.plan(zoo.request()).json()
    assert [tuple(leg[key] for key in keys) for leg in still["legs"]] == [(None, None, None)] * 2
    assert (still["turns"][0]["steering"], still["turns"][0]["current"]) == ("rudder", None)


def test_one_waypoint_is_no_route(client: Client) -> None:
    body = zoo.request()
    body["route"]["waypoints"] = body["route"]["waypoints"][:1]
    answer = client.plan(body)
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/invalid-route"


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"{",
        b"[1, 2]",
        b"null",
        b'{"route": NaN}',
        b'{"route": Infinity}',
        b'{"route": 1e999}',
        b'{"route": {}, "route": {}}',
        b'{"route": "\\ud800"}',
        b'{"route": "\xff"}',
        b"\xff\xfe{\x00}\x00",
        b"[" * 100_000,
        b'{"route": ' + b"9" * 400 + b"}",
    ],
)
def test_malformed_json(client: Client, raw: bytes) -> None:
    assert client.plan_raw(raw).status_code == 422


@pytest.mark.parametrize("number", [b"1e999", b"9007199254740993", b"-1e400"])
def test_numbers_that_json_does_not_carry_are_named(client: Client, number: bytes) -> None:
    raw = json.dumps(zoo.request()).encode().replace(b"47.19", number)
    answer = client.plan_raw(raw)
    assert answer.status_code == 422
    pointer = answer.json()["errors"][0]["pointer"]
    assert pointer == "/hazards/features/0/geometry/coordinates/1"


def test_other_content_types(client: Client) -> None:
    raw = json.dumps(zoo.request()).encode()
    assert client.plan_raw(raw, "text/plain").status_code == 415
    assert client.plan_raw(raw, "").status_code == 415
    assert client.plan_raw(raw, "application/json; charset=utf-8").status_code == 200


@pytest.mark.parametrize("missing", ["turn_radius_nm", "ship"])
def test_unknown_turns_make_room_that_is_not_checked(client: Client, missing: str) -> None:
    """Taking the radius or the ship away must not turn overlapping turns into room enough."""
    body = zoo.request()
    places = [(50.0, 0.0), (50.1, 0.0), (50.1, 0.0262), (50.2, 0.0262)]
    body["route"]["waypoints"] = [
        {"id": f"W{index}", "lat_deg": lat, "lon_deg": lon, "turn_radius_nm": 0.5}
        for index, (lat, lon) in enumerate(places)
    ]
    body["ship"]["reach_m"] = 500.0

    def room(answer: dict[str, Any]) -> list[str]:
        rows = answer["checks"]["rows"]
        beside = [row for row in rows if row["check"] in ("leg_room", "turn_room")]
        # The last leg has only the turn before it, whose arc may well be known.
        return [row["result"] for row in beside if row["subject"] != _last_leg(answer)]

    assert "must_resolve" in room(client.plan(body).json())
    if missing == "ship":
        del body["ship"]
    else:
        for waypoint in body["route"]["waypoints"]:
            del waypoint["turn_radius_nm"]
    assert set(room(client.plan(body).json())) == {"not_checked"}


def _last_leg(answer: dict[str, Any]) -> dict[str, Any]:
    legs = answer["legs"]
    return {"kind": "leg", "index": len(legs) - 1, "id": legs[-1]["to_id"]}


@pytest.mark.parametrize(
    ("distance_nm", "grade"), [(0.0, "must_resolve"), (0.55, "must_explain"), (0.65, None)]
)
def test_an_own_wheel_over_too_late_for_the_arc(
    client: Client, distance_nm: float, grade: str | None
) -> None:
    body = zoo.request()
    body["route"]["waypoints"][1]["wheel_over"] = {"distance_nm": distance_nm}
    findings = client.plan(body).json()["findings"]
    found = [one["grade"] for one in findings if one["code"] == "wheel_over_late"]
    assert found == ([] if grade is None else [grade])


def test_without_a_reach_an_own_wheel_over_is_not_checked(client: Client) -> None:
    body = zoo.request()
    del body["ship"]
    body["route"]["waypoints"][1]["wheel_over"] = {"distance_nm": 0.9}
    rows = client.plan(body).json()["checks"]["rows"]
    assert [row["result"] for row in rows if row["check"] == "turn_wheel_over"] == ["not_checked"]


def test_slashes_in_ids_lose_no_finding(client: Client) -> None:
    body = zoo.request()
    for waypoint, name in zip(body["route"]["waypoints"], ("S", "A", "A/B"), strict=True):
        waypoint["id"] = name
    body["hazards"]["features"] = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [lon, lat]},
            "properties": {"id": name},
        }
        for name, lat, lon in (("B/C", 47.1, -29.999), ("C", 47.201, -29.8))
    ]
    findings = client.plan(body).json()["findings"]
    ids = [one["id"] for one in findings if one["code"] == "clearance_not_met"]
    assert ids == ["clearance_not_met/leg/A/B~1C", "clearance_not_met/leg/A~1B/C"]


def test_many_dangers_inside_many_limits_stay_readable(client: Client) -> None:
    """A zig-zag of 40 legs under a limit of 200 km with 100 dangers: no message names them all."""
    body = zoo.request(limits={"min_clearance_m": 200_000.0})
    body["route"]["waypoints"] = [
        {"id": f"W{n}", "lat_deg": 50.0 + 0.1 * (n % 2), "lon_deg": 0.1 * n} for n in range(40)
    ]
    body["hazards"]["features"] = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [0.04 * n, 50.3]},
            "properties": {"id": f"d{n}"},
        }
        for n in range(100)
    ]
    answer = client.plan(body)
    assert len(answer.content) < 1_000_000
    assert len(answer.json()["clearances"]) == 100
    assert all(row["met"] is False for row in answer.json()["clearances"])


def test_a_hazard_set_that_is_not_stored(client: Client) -> None:
    assert client.plan(zoo.request(hazard_set_ids=["gat"])).status_code == 404


def test_layers_draw_the_track_from_tangent_to_tangent(client: Client) -> None:
    body = client.plan(zoo.request()).json()
    by_layer: dict[str, list[Any]] = {}
    for feature in body["layers"]["features"]:
        by_layer.setdefault(feature["properties"]["layer"], []).append(feature)
    (turn,) = body["turns"]
    first, arc = by_layer["leg"][0], by_layer["turn"][0]
    for place, corner in (
        (first["geometry"]["coordinates"][-1], "start"),
        (arc["geometry"]["coordinates"][0], "start"),
        (arc["geometry"]["coordinates"][-1], "end"),
    ):
        assert place[1] == pytest.approx(turn[corner]["lat_deg"], abs=1e-9)
        assert place[0] == pytest.approx(turn[corner]["lon_deg"], abs=1e-9)
    planned = [one for one in by_layer["wheel_over"] if one["properties"]["planned"]]
    assert [one["properties"]["method"] for one in planned] == ["geometric"]
    assert len(by_layer["waypoint"]) == 3
    assert len(by_layer["clearance"]) == len(body["clearances"]) == 1


def test_speed_in_the_turn_is_that_of_the_inbound_leg_times_the_ratio(client: Client) -> None:
    body = zoo.request()
    body["ship"]["turn_speed_ratio"] = 0.75
    body["route"]["waypoints"][1]["leg"] = {"speed_kn": 16.0}
    body["route"]["waypoints"][2]["leg"] = {"speed_kn": 8.0}
    (turn,) = client.plan(body).json()["turns"]
    assert turn["speed_kn"] == pytest.approx(12.0)
    assert turn["rate_of_turn_deg_per_min"] == pytest.approx(22.9183, abs=1e-3)


def test_an_unknown_uncertainty_is_no_zero(client: Client) -> None:
    body = client.plan(zoo.request()).json()
    assert body["clearances"][0]["position_uncertainty_m"] is None
    known = zoo.request()
    known["hazards"]["features"][0]["properties"]["position_uncertainty_m"] = 0.0
    assert client.plan(known).json()["clearances"][0]["position_uncertainty_m"] == 0.0
    loaded = next(one for one in body["findings"] if one["code"] == "dangers_loaded")
    assert "uncertainty" in loaded["message"]


@pytest.mark.parametrize("member", ["ship", "hazards", "limits"])
def test_less_given_is_less_checked(client: Client, member: str) -> None:
    whole, body = client.plan(zoo.request()).json(), zoo.request()
    del body[member]
    less = client.plan(body).json()
    assert less["checks"]["done_count"] <= whole["checks"]["done_count"]
    open_now = [one for one in less["findings"] if one["grade"] == "not_checked"]
    open_before = [one for one in whole["findings"] if one["grade"] == "not_checked"]
    assert len(open_now) >= len(open_before)


def test_zero_length_and_crowded_legs_leave_the_rest_standing(client: Client) -> None:
    body = zoo.request()
    body["route"]["waypoints"].insert(2, {"id": "B2", "lat_deg": 47.2, "lon_deg": -30.0})
    body["route"]["waypoints"].append({"id": "D", "lat_deg": 47.4, "lon_deg": -29.4})
    body["ship"]["turn_radius_nm"] = 0.5
    answer = client.plan(body).json()
    PlanResponse.model_validate(answer)
    assert answer["legs"][1]["course_deg"] is None
    assert answer["turns"][2]["planned"]["distance_nm"] is not None


def test_geometry_is_cut_at_180_degrees(client: Client) -> None:
    body = zoo.request()
    for index, (lat, lon) in enumerate([(10.0, 179.0), (10.2, -179.5), (11.0, -179.0)]):
        body["route"]["waypoints"][index].update(lat_deg=lat, lon_deg=lon)
    layers = client.plan(body).json()["layers"]
    legs = [one for one in layers["features"] if one["properties"]["layer"] == "leg"]
    assert legs[0]["geometry"]["type"] == "MultiLineString"
    for part in legs[0]["geometry"]["coordinates"]:
        assert max(lon for lon, _ in part) - min(lon for lon, _ in part) < 180.0
    assert legs[0]["geometry"]["coordinates"][0][-1][0] == 180.0
    assert legs[0]["geometry"]["coordinates"][1][0][0] == -180.0
    assert layers["cautions"]


def test_a_hundred_thousand_dangers_in_the_body(client: Client) -> None:
    """About 15 MB, as the API promises to take."""
    body = zoo.request()
    body["hazards"]["features"] = [
        {
            "type": "Feature",
            "geometry": {
                "type": "Point",
                "coordinates": [-30.5 + 1e-5 * index, 46.7 + 7e-6 * (index % 90_000)],
            },
            "properties": {"id": f"danger-{index}", "name": f"Zoo danger number {index}"},
        }
        for index in range(100_000)
    ]
    raw = json.dumps(body).encode()
    assert len(raw) > 14_000_000
    answer = client.plan_raw(raw)
    assert answer.status_code == 200
    found = answer.json()
    assert 0 < len(found["clearances"]) < 100_000
    assert found["layers"]["hazards_not_drawn_count"] == 100_000 - len(found["clearances"])
