"""Frozen revisions for tests of differences: made by the service itself, one rich and one small."""

import copy
from collections.abc import Iterator
from typing import Any

from fastapi import FastAPI

from tests import zoo
from tests.api.conftest import Client

Document = dict[str, Any]

RESPONSE: Document = {
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
TABLE: Document = {
    "loading": "laden",
    "side": "starboard",
    "rudder_deg": 15.0,
    "speed_kn": 12.0,
    "rows": [
        {"heading_change_deg": 30.0, "advance_m": 380.0, "transfer_m": 60.0},
        {"heading_change_deg": 90.0, "advance_m": 700.0, "transfer_m": 350.0},
    ],
}
SHIP: Document = {
    **zoo.request()["ship"],
    "response": RESPONSE,
    "turn_tables": [TABLE],
    "block_coefficient": 0.8,
    "lateral_windage_m2": 2400.0,
    "max_rate_of_turn_deg_per_min": 18.0,
    "stopping": [
        {"engine_order": "full ahead", "speed_kn": 12.0, "track_reach_m": 2300.0, "time_s": 500.0}
    ],
    "pilot_card": {
        "call_sign": "ZZZZ1",
        "imo_number": "1234567",
        "bulbous_bow": True,
        "chain_port_shackles_count": 12.0,
        "engine_type": "diesel",
        "max_power_kw": 9000.0,
        "engine_orders": [{"order": "half ahead", "propeller_rpm": 60.0, "laden_speed_kn": 9.0}],
        "thrusters": [{"place": "bow", "power_kw": 800.0}],
        "equipment": [{"item": "Anchors", "checked": True}],
        "defects": "None known",
    },
    "loadings": [{"name": "ballast", "draught_fore_m": 6.0, "draught_aft_m": 7.0}],
}


def danger(one: str, lat_deg: float, lon_deg: float, **more: Any) -> Document:
    """Return a point danger."""
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [lon_deg, lat_deg]},
        "properties": {"id": one, **more},
    }


def collection(*features: Document, **more: Any) -> Document:
    """Return dangers as a collection."""
    return {"type": "FeatureCollection", "features": list(features), **more}


GAT = collection(
    danger("gat-rock", 47.195, -29.985, name="Gat Rock", min_clearance_m=900.0),
    danger("far-rock", 41.0, -20.0, name="Far Rock"),
)


def rich_request() -> Document:
    """Return a request in which every kind of input stands."""
    body = zoo.request(
        conditions={"set_deg": 40.0, "drift_kn": 1.5, "wind_from_deg": 300.0, "wind_kn": 20.0},
        limits={"min_clearance_m": 500.0, "max_off_track_m": 300.0, "min_to_close_s": 30.0},
        departure_utc="2026-11-25T14:02:00Z",
        hazards=collection(
            danger("rock", 47.19, -29.99, name="Zoo rock", depth_m=4.0), name="Survey"
        ),
    )
    del body["ship"]
    leg = {"line": "rhumb", "speed_kn": 11.0, "xtd_port_nm": 0.2, "xtd_starboard_nm": 0.3,
           "min_clearance_m": 400.0, "set_deg": 20.0, "drift_kn": 1.0, "charted_depth_m": 13.0,
           "catzoc": "B", "channel_width_m": 300.0,
           "monitoring": {
               "stage": "pilotage", "watch": "Two officers", "machinery": "Standby, 30 min notice",
               "pilot": "None", "tugs": "None", "call_master": "Visibility under 3 NM",
               "notes": "Fishing fleet", "fixing": {
                   "primary": "gnss", "secondary": "radar_ranges", "interval_min": 6.0}},
           }  # fmt: skip
    turn = {"steering": "rudder", "rudder_deg": 15.0, "set_deg": 30.0, "drift_kn": 0.5}
    body["route"]["waypoints"][1] |= {
        "name": "Gat", "wheel_over": {"method": "geometric"}, "leg": leg, "turn": turn
    }  # fmt: skip
    body["route"]["waypoints"] += [
        {"id": "D", "lat_deg": 47.4, "lon_deg": -29.5, "turn_radius_nm": 0.6},
        {"id": "E", "lat_deg": 47.4, "lon_deg": -29.1, "wheel_over": {"distance_nm": 0.4}},
    ]
    body["route"]["waypoints"][4].pop("wheel_over")
    body["route"]["waypoints"][3]["wheel_over"] = {"distance_nm": 0.4}
    body["route"]["carried"] = [
        {"format": "gpx", "into": "rte", "kind": "extension", "xml": "<seen>by</seen>"}
    ]
    other = {"name": "outside", "waypoints": copy.deepcopy(body["route"]["waypoints"][:3])}
    body["alternatives"] = [{"id": "alt-1", "route": other, "remark": "In heavy weather"}]
    body["amendment"] = {
        "of_revision": 1, "kind": "pilot", "reason": "Berth changed", "lat_deg": 47.0,
        "lon_deg": -30.0, "at_utc": "2026-11-25T14:02:00Z",
    }  # fmt: skip
    body["draughts"] = [
        {"from_id": "B", "reason": "ballast taken", "draught_fore_m": 10.2, "draught_aft_m": 10.4}
    ]
    body["conditions"]["tides"] = [
        {
            "station": "Gat bar",
            "heights": [
                {"at_utc": "2026-11-25T12:00:00Z", "height_m": 0.5},
                {"at_utc": "2026-11-26T06:00:00Z", "height_m": 2.5},
            ],
        }
    ]
    body["points"] = [
        {"id": "P1", "kind": "pilot", "leg_to_id": "B", "before_nm": 4.0, "notice_min": 20.0,
         "channel": "VHF 12", "text": "Ladder to leeward"},
        {"id": "P2", "kind": "report", "lat_deg": 47.1, "lon_deg": -29.98},
        {"id": "P3", "kind": "ukc", "leg_to_id": "gone", "before_nm": 1.0},
    ]  # fmt: skip
    roads = {"name": "roads", "waypoints": [
        {"id": "r1", "lat_deg": 47.1, "lon_deg": -30.0},
        {"id": "r2", "lat_deg": 47.15, "lon_deg": -29.95},
    ]}  # fmt: skip
    body["contingencies"] = [
        {"id": "C1", "kind": "anchorage", "from_id": "B", "route": roads, "remark": "12 m, mud"}
    ]
    body["limits"]["sources_max_age_days"] = 14.0
    body["sources"] = [
        {"id": "S1", "kind": "chart", "title": "Gat and approaches", "number": "1234",
         "edition": "3", "corrected_to_utc": "2026-10-01T00:00:00Z", "leg_to_ids": ["B"],
         "consulted": True, "remark": "Paper"},
        {"id": "S2", "kind": "weather", "title": "Forecast", "consulted": False},
    ]  # fmt: skip
    body["checklists"] = {
        "planning": {"wheel_overs": {"state": "done", "who": "2/O", "remark": "By hand",
                                     "at_utc": "2026-11-25T10:00:00Z"}},
        "appraisal": {"people": {"state": "not_done"}},
    }  # fmt: skip
    body["cases"] = [{"name": "slow", "waypoint_id": "B", "tried": {"speed_kn": 9.0}}]
    return body


def frozen(app: FastAPI, body: Document, **kept: Document) -> Document:
    """Return a request as the service freezes it; ``ship`` and ``hazards`` are stored before."""
    client = Client(app)
    body = copy.deepcopy(body)
    if "ship" in kept:
        made = client.send("POST", "/api/v1/ships", json=kept["ship"])
        body["ship_id"] = made.json()["id"]
    if "hazards" in kept:
        named = {"name": "Gat ed", "hazards": kept["hazards"]}
        made = client.send("POST", "/api/v1/hazard-sets", json=named)
        body["hazard_set_ids"] = [made.json()["id"]]
    made = client.send("POST", "/api/v1/plans", json=body)
    assert made.status_code == 201, made.text
    answer = client.send("POST", f"{made.headers['location']}/revisions")
    assert answer.status_code == 201, answer.text
    document: Document = answer.json()
    del document["sha256"]
    return document


def leaves_of(value: Any, pointer: str = "") -> Iterator[tuple[str, Any]]:
    """Yield every leaf of a JSON value with its pointer."""
    if isinstance(value, dict) and value:
        for member, one in value.items():
            yield from leaves_of(one, f"{pointer}/{member.replace('~', '~0').replace('/', '~1')}")
    elif isinstance(value, list) and value:
        for index, one in enumerate(value):
            yield from leaves_of(one, f"{pointer}/{index}")
    else:
        yield pointer, value


def parent_of(document: Document, pointer: str) -> tuple[Any, Any]:
    """Return what a pointer's last step is taken in, and that step."""
    steps = [one.replace("~1", "/").replace("~0", "~") for one in pointer.split("/")[1:]]
    here: Any = document
    for step in steps[:-1]:
        here = here[int(step)] if isinstance(here, list) else here[step]
    last = steps[-1]
    return here, int(last) if isinstance(here, list) else last
