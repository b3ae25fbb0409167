"""What is given for the bridge team, over HTTP: refused by name, answered as described."""

from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client
from tests.revision_documents import SHIP, rich_request
from wheelover.api.schemas.plan_response import PlanResponse

ROUTE: dict[str, Any] = {
    "name": "roads",
    "waypoints": [
        {"id": "r1", "lat_deg": 47.1, "lon_deg": -30.0},
        {"id": "r2", "lat_deg": 47.15, "lon_deg": -29.95},
    ],
}


def rich() -> dict[str, Any]:
    body = {**rich_request(), "ship": SHIP}
    body["contingencies"][0]["route"]["waypoints"][0]["turn_radius_nm"] = 0.3
    return body


def test_the_answer_is_as_it_is_described(client: Client) -> None:
    answer = client.send("POST", "/api/v1/plan", json=rich())
    assert answer.status_code == 200, answer.text
    document = PlanResponse.model_validate(answer.json()).model_dump(by_alias=True)
    assert {one["id"] for one in document["points"]} == {"P1", "P2", "P3"}
    (contingency,) = document["contingencies"]
    assert contingency["plan"]["legs"][0]["to_id"] == "r2"
    assert document["legs"][0]["monitoring"]["abort"] is not None


def test_times_of_the_clock_stand_beside_those_from_the_start(client: Client) -> None:
    document = client.send("POST", "/api/v1/plan", json=rich()).json()
    point = document["points"][0]
    assert point["place"]["at_utc"].startswith("2026-11-25T")
    assert point["notice_at_utc"] < point["place"]["at_utc"]
    (contingency,) = document["contingencies"]
    assert contingency["leaves"]["at_utc"].startswith("2026-11-25T")
    leaving = contingency["leaving"]
    begins_utc, decide_utc = leaving["begins"]["at_utc"], leaving["decide"]["at_utc"]
    assert begins_utc < decide_utc < contingency["leaves"]["at_utc"]


def test_layers_hold_points_and_the_tracks_of_contingencies(client: Client) -> None:
    features = client.send("POST", "/api/v1/plan", json=rich()).json()["layers"]["features"]
    layers = {one["properties"]["layer"] for one in features}
    assert {"point", "contingency"} <= layers
    tracks = [one for one in features if one["properties"]["layer"] == "contingency"]
    parts = {one["properties"]["part"] for one in tracks}
    assert parts == {"leg", "waypoint", "leaving_turn", "leaving_wheel_over"}


POINT = {"id": "p", "kind": "report", "leg_to_id": "B", "before_nm": 1.0}
SOURCE = {"id": "s", "kind": "chart", "title": "Gat", "consulted": True}
CONTINGENCY = {"id": "c", "kind": "refuge", "from_id": "B", "route": ROUTE}


@pytest.mark.parametrize(
    ("member", "value", "pointer"),
    [
        ("points", [{**POINT, "kind": "party"}], "/points/0/kind"),
        ("points", [{**POINT, "before_nm": None}], "/points/0"),
        ("points", [{**POINT, "leg_to_id": None}], "/points/0"),
        ("points", [{**POINT, "lat_deg": 47.0, "lon_deg": -30.0}], "/points/0"),
        ("points", [{**POINT, "before_nm": -1.0}], "/points/0/before_nm"),
        ("points", [{**POINT, "notice_min": -1.0}], "/points/0/notice_min"),
        ("points", [POINT, POINT], "/points"),
        ("points", [{**POINT, "text": "  "}], "/points/0/text"),
        ("contingencies", [{**CONTINGENCY, "route": None}], "/contingencies/0/route"),
        ("contingencies", [{**CONTINGENCY, "kind": "beach"}], "/contingencies/0/kind"),
        ("contingencies", [CONTINGENCY, CONTINGENCY], "/contingencies"),
        ("sources", [{**SOURCE, "consulted": None}], "/sources/0/consulted"),
        ("sources", [{**SOURCE, "corrected_to_utc": "last week"}], "/sources/0/corrected_to_utc"),
        ("sources", [{**SOURCE, "kind": "rumour"}], "/sources/0/kind"),
        ("checklists", {"planning": {"gone": {"state": "done"}}}, "/checklists/planning"),
        (
            "checklists",
            {"planning": {"turns": {"state": "perhaps"}}},
            "/checklists/planning/turns/state",
        ),
    ],
)
def test_what_is_wrong_is_named(client: Client, member: str, value: Any, pointer: str) -> None:
    answer = client.send("POST", "/api/v1/plan", json=zoo.request(**{member: value}))
    assert answer.status_code == 422
    assert pointer in [one["pointer"] for one in answer.json()["errors"]]


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({"stage": "harbour"}, "stage"),
        ({"fixing": {"primary": "guess"}}, "fixing/primary"),
        ({"fixing": {"interval_min": 0.0}}, "fixing/interval_min"),
        ({"watch": ""}, "watch"),
        ({"unknown": 1}, "unknown"),
    ],
)
def test_a_leg_is_told_what_is_wrong(client: Client, members: Any, pointer: str) -> None:
    body = zoo.request()
    body["route"]["waypoints"][1]["leg"] = {"monitoring": members}
    answer = client.send("POST", "/api/v1/plan", json=body)
    assert answer.status_code == 422
    wanted = f"/route/waypoints/1/leg/monitoring/{pointer}"
    assert wanted in [one["pointer"] for one in answer.json()["errors"]]


def test_a_contingency_that_no_plan_can_be_made_of_is_named_by_its_place(client: Client) -> None:
    short = {"name": "short", "waypoints": ROUTE["waypoints"][:1]}
    body = zoo.request(contingencies=[{**CONTINGENCY, "route": short}])
    answer = client.send("POST", "/api/v1/plan", json=body)
    assert answer.status_code == 422
    pointers = [one["pointer"] for one in answer.json()["errors"]]
    assert pointers == ["/contingencies/0/route/waypoints"]


def test_a_contingency_whose_eta_is_past_does_not_refuse_the_plan(client: Client) -> None:
    first, *rest = ROUTE["waypoints"]
    last = {**rest[-1], "eta_utc": "2026-06-01T00:00:00Z"}
    route = {**ROUTE, "waypoints": [first, *rest[:-1], last]}
    body = zoo.request(
        contingencies=[{**CONTINGENCY, "route": route}], departure_utc="2026-06-02T00:00:00Z"
    )
    answer = client.send("POST", "/api/v1/plan", json=body)
    assert answer.status_code == 200, answer.text
    (finding,) = [one for one in answer.json()["findings"] if one["code"] == "contingency_eta_past"]
    assert finding["grade"] == "must_resolve"


def test_a_stored_ship_keeps_her_stopping_trials(client: Client) -> None:
    made = client.send("POST", "/api/v1/ships", json=SHIP)
    assert made.status_code == 201, made.text
    kept = client.send("GET", f"/api/v1/ships/{made.json()['id']}").json()
    assert "track_reach_m" in str(kept)
    assert "ZZZZ1" in str(kept)


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({"critical_from_rpm": 90.0, "critical_to_rpm": 50.0}, "/ship/pilot_card"),
        ({"imo_number": "1234568"}, "/ship/pilot_card"),
        ({"imo_number": "123"}, "/ship/pilot_card/imo_number"),
        ({"call_sign": "no sign"}, "/ship/pilot_card/call_sign"),
        ({"engine_orders": [{}]}, "/ship/pilot_card/engine_orders/0/order"),
        ({"thrusters": [{"place": "midships"}]}, "/ship/pilot_card/thrusters/0/place"),
        ({"equipment": [{"item": "Anchors"}]}, "/ship/pilot_card/equipment/0/checked"),
        ({"astern_power_ratio": -1.0}, "/ship/pilot_card/astern_power_ratio"),
    ],
)
def test_a_pilot_card_is_told_what_is_wrong(client: Client, members: Any, pointer: str) -> None:
    """The check digit of IMO numbers: resolution A.1117(30), from memory; 1234567 adds up."""
    body = zoo.request()
    body["ship"]["pilot_card"] = members
    answer = client.send("POST", "/api/v1/plan", json=body)
    assert answer.status_code == 422
    assert pointer in [one["pointer"] for one in answer.json()["errors"]]
    body["ship"]["pilot_card"] = {"imo_number": "1234567"}
    assert client.send("POST", "/api/v1/plan", json=body).status_code == 200
