"""No danger that a plan would look at lies outside its reach; far ones do.

Held against the plan itself: every danger with a clearance row must be found by it, and without
those that are not found no finding changes.
"""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import zoo
from tests.api.conftest import Client
from wheelover.api import create_app
from wheelover.usecases.reach import known_as, met_dangers, reach_of

CLIENT = Client(create_app())


def _feature(index: int, kind: str, coordinates: Any, **properties: Any) -> dict[str, Any]:
    return {
        "type": "Feature",
        "geometry": {"type": kind, "coordinates": coordinates},
        "properties": {"id": f"h{index}", **properties},
    }


def _scattered(seed: int, lat_deg: float, lon_deg: float) -> list[dict[str, Any]]:
    """Return dangers of all shapes around a place, some with limits of their own."""
    chance = np.random.default_rng(seed)
    found = []
    for index in range(60):
        lat = lat_deg + chance.uniform(-0.6, 0.6)
        lon = (lon_deg + chance.uniform(-0.9, 0.9) + 180.0) % 360.0 - 180.0
        more: dict[str, Any] = {}
        if index % 3 == 0:
            more = {"min_clearance_m": float(chance.uniform(0.0, 30_000.0))}
        if index % 4 == 0:
            more["position_uncertainty_m"] = float(chance.uniform(0.0, 2000.0))
        reach = chance.uniform(0.001, 0.02)
        if index % 5 == 0 and abs(lon) < 179.9:
            found.append(_feature(index, "LineString", [[lon, lat], [lon + reach, lat]], **more))
        else:
            found.append(_feature(index, "Point", [lon, lat], **more))
    return found


@pytest.mark.parametrize("line", ["rhumb", "geodesic"])
@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    lat=st.floats(-75.0, 75.0),
    lon=st.sampled_from([-180.0, -179.8, -30.0, 0.0, 179.7, 180.0]),
    wide_nm=st.sampled_from([0.5, 6.0]),
    late_s=st.sampled_from([30.0, 600.0]),
)
def test_no_danger_that_the_plan_looks_at_is_missed(
    line: str, seed: int, lat: float, lon: float, wide_nm: float, late_s: float
) -> None:
    def east(by: float) -> float:
        return (lon + by + 180.0) % 360.0 - 180.0

    waypoints = [
        {"id": "A", "lat_deg": lat - 0.3, "lon_deg": east(-0.3)},
        {"id": "B", "lat_deg": lat, "lon_deg": east(0.0), "turn_radius_nm": 0.4},
        {
            "id": "C",
            "lat_deg": lat + 0.05,
            "lon_deg": east(0.6),
            "leg": {"line": line, "xtd_port_nm": wide_nm},
        },
    ]
    hazards: dict[str, Any] = {"type": "FeatureCollection", "features": _scattered(seed, lat, lon)}
    body = zoo.request(
        route={"name": "zoo", "waypoints": waypoints},
        hazards=hazards,
        limits={"min_clearance_m": 500.0, "helm_late_s": late_s},
    )
    answer = CLIENT.plan(body)
    assert answer.status_code == 200, answer.text
    result = answer.json()
    reach = reach_of({"inputs": body, "result": result})
    near = met_dangers(reach, known_as(hazards["features"]))
    found = {one["properties"]["id"] for one in near}
    assert {one["hazard_id"] for one in result["clearances"]} <= found
    without = CLIENT.plan({**body, "hazards": {**hazards, "features": near}}).json()
    assert _judged(without) == _judged(result)


def _judged(result: dict[str, Any]) -> list[tuple[Any, ...]]:
    """Return every finding and every danger that a plan tells of its track.

    How many dangers are loaded in all is no figure of the track.
    """
    told: list[tuple[Any, ...]] = [
        (one["id"], one["grade"], one["message"])
        for one in result["findings"]
        if one["code"] != "dangers_loaded"
    ]
    told += [(one["hazard_id"], one["clearance_m"]) for one in result["clearances"]]
    return told + [(turn["late_helm"], turn["hull"]) for turn in result["turns"]]


def test_a_danger_on_the_other_side_of_the_world_is_not_near() -> None:
    body = zoo.request()
    reach = reach_of({"inputs": body, "result": CLIENT.plan(body).json()})
    far = [_feature(0, "Point", [100.0, -60.0]), _feature(1, "Point", [-29.0, 48.0])]
    assert met_dangers(reach, known_as(far)) == []
