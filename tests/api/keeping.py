"""What tests of stored things share: a ship, dangers, and requests that keep and change them."""

from typing import Any

import httpx

from tests import zoo
from tests.api.conftest import Client

SHIP: dict[str, Any] = {
    "name": "Zoo carrier 200",
    "loa_m": 200.0,
    "beam_m": 32.0,
    "draught_fore_m": 10.0,
    "draught_aft_m": 10.0,
    "speed_kn": 12.0,
    "turn_radius_nm": 0.5,
}


def hazards(*places: tuple[float, float], name: str | None = None) -> dict[str, Any]:
    features = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [lon, lat]},
            "properties": {"id": f"rock-{index}", "min_clearance_m": 500.0},
        }
        for index, (lat, lon) in enumerate(places)
    ]
    return {"type": "FeatureCollection", "features": features, **({"name": name} if name else {})}


def post(client: Client, path: str, body: Any, **headers: str) -> httpx.Response:
    return client.send("POST", path, json=body, headers=headers)


def put(client: Client, path: str, body: Any, tag: str | None) -> httpx.Response:
    headers = {} if tag is None else {"If-Match": tag}
    return client.send("PUT", path, json=body, headers=headers)


def act(client: Client, path: str, tag: str | None) -> httpx.Response:
    return client.send("POST", path, headers={} if tag is None else {"If-Match": tag})


def stored_plan(client: Client, **members: Any) -> tuple[str, httpx.Response]:
    answer = post(client, "/api/v1/plans", zoo.request(**members))
    assert answer.status_code == 201, answer.text
    place = answer.headers["location"]
    return place, answer


def moved(body: dict[str, Any], index: int, north_deg: float) -> dict[str, Any]:
    waypoints = [dict(one) for one in body["route"]["waypoints"]]
    waypoints[index]["lat_deg"] += north_deg
    return {**body, "route": {**body["route"], "waypoints": waypoints}}
