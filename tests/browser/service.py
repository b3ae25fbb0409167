"""The service asked directly, beside the page: to set a test up, and to see what was stored."""

import json
import urllib.request
from typing import Any

Document = dict[str, Any]

SHIP: Document = {
    "name": "Zoo carrier",
    "loa_m": 190.0,
    "beam_m": 32.0,
    "draught_fore_m": 10.0,
    "draught_aft_m": 10.2,
    "speed_kn": 12.0,
    "turn_radius_nm": 0.5,
}


def ask(
    server: str, method: str, path: str, body: Any = None, headers: dict[str, str] | None = None
) -> Document:
    """Return what the service answers to a request."""
    request = urllib.request.Request(  # noqa: S310  our own server
        f"{server}/api/v1{path}",
        method=method,
        data=None if body is None else json.dumps(body).encode(),
        headers={"X-Wheelover": "1", "Content-Type": "application/json", **(headers or {})},
    )
    with urllib.request.urlopen(request) as answer:  # noqa: S310  our own server
        document: Document = json.loads(answer.read())  # noqa: TID251
        return {**document, "_etag": answer.headers["ETag"]}


def waypoint(name: str, lat_deg: float, lon_deg: float, **more: Any) -> Document:
    """Return a waypoint of a request."""
    return {"id": name, "lat_deg": lat_deg, "lon_deg": lon_deg, **more}


def zigzag() -> Document:
    """Return the inputs of a plan of six waypoints in mid-ocean, with room for every turn."""
    corners = [(47.0, -30.0), (47.1, -30.0), (47.1, -29.8), (47.2, -29.8), (47.2, -29.6)]
    waypoints = [waypoint(f"Z{i}", *place) for i, place in enumerate([*corners, (47.3, -29.6)])]
    return {"route": {"name": "Zoo zigzag", "waypoints": waypoints}, "ship": SHIP}


def stored(server: str, inputs: Document | None = None) -> str:
    """Store a plan and return its id."""
    plan_id: str = ask(server, "POST", "/plans", inputs or zigzag())["id"]
    return plan_id


def draft(server: str, plan_id: str) -> Document:
    """Return a plan as it is stored."""
    return ask(server, "GET", f"/plans/{plan_id}")


def place_of(server: str, plan_id: str, name: str) -> tuple[float, float]:
    """Return where a waypoint of a stored plan lies."""
    waypoints = draft(server, plan_id)["inputs"]["route"]["waypoints"]
    found = next(one for one in waypoints if one["id"] == name)
    return found["lat_deg"], found["lon_deg"]


def ids_of(server: str, plan_id: str) -> list[str]:
    """Return the ids of the waypoints of a stored plan, in sailing order."""
    return [one["id"] for one in draft(server, plan_id)["inputs"]["route"]["waypoints"]]
