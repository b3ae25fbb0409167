"""Dangers of a request: their shapes, what is measured of them, and what is refused."""

from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client


def _feature(name: str, kind: str, coordinates: object, **more: object) -> dict[str, Any]:
    geometry = {"type": kind, "coordinates": coordinates}
    return {"type": "Feature", "geometry": geometry, "properties": {"id": name, **more}}


_CLEARANCE = ("danger_crossed", "clearance_not_met")


def test_a_line_that_is_crossed_and_an_area_that_is_entered(client: Client) -> None:
    body = zoo.request()
    ring = [[-30.01, 47.15], [-29.9, 47.15], [-29.9, 47.25], [-30.01, 47.25], [-30.01, 47.15]]
    body["hazards"]["features"] += [
        _feature("cable", "LineString", [[-30.1, 47.1], [-29.9, 47.1]]),
        _feature("field", "Polygon", [ring], min_clearance_m=100),
        _feature("piles", "MultiPoint", [[-30.02, 47.05], [-30.01, 47.05]]),
    ]
    body["hazards"]["features"][0]["properties"].pop("min_clearance_m", None)
    body["limits"] = {}
    answer = client.plan(body).json()
    rows = {row["hazard_id"]: row for row in answer["clearances"]}
    for name in ("cable", "field"):
        assert rows[name]["distance_m"] == 0.0
        assert rows[name]["side"] == "crossed"
        assert rows[name]["nearest"] == pytest.approx(rows[name]["hazard_point"], abs=1e-8)
    assert (rows["cable"]["limit_m"], rows["cable"]["met"]) == (None, None)
    assert (rows["field"]["limit_m"], rows["field"]["met"]) == (100.0, False)
    assert rows["piles"]["hazard_point"] == {"lat_deg": 47.05, "lon_deg": -30.01}
    codes = {one["about"]: one for one in answer["findings"] if one["code"] in _CLEARANCE}
    assert codes["cable"]["code"] == "danger_crossed"
    assert codes["cable"]["grade"] == "must_resolve"
    assert "crosses cable" in codes["cable"]["message"]
    assert codes["field"]["code"] == "clearance_not_met"
    assert "crosses field" in codes["field"]["message"]
    drawn = {
        one["properties"]["id"]: one["geometry"]["type"]
        for one in answer["layers"]["features"]
        if one["properties"]["layer"] == "hazard"
    }
    assert drawn["cable"] == "LineString"
    assert drawn["field"] == "Polygon"
    assert drawn["piles"] == "MultiPoint"
    loaded = next(one for one in answer["findings"] if one["code"] == "dangers_loaded")
    assert "4 dangers are loaded (2 points, 1 line, 1 area)" in loaded["message"]


def test_an_edge_not_cut_at_180_degrees_is_refused(client: Client) -> None:
    body = zoo.request()
    line = [[170.0, 47.0], [179.0, 47.0], [-179.0, 47.0]]
    body["hazards"]["features"].append(_feature("reef", "LineString", line))
    problem = client.plan(body)
    assert problem.status_code == 422
    error = problem.json()["errors"][0]
    assert error["pointer"] == "/hazards/features/1/geometry/coordinates"
    assert "edge after position 1" in error["message"]
    assert "358 degrees" in error["message"]


WIDE = [[-100.0, -60.0], [100.0, -60.0], [100.0, 60.0], [-100.0, 60.0], [-100.0, -60.0]]


def test_an_area_wider_than_half_the_world_is_taken_as_it_is_wound(client: Client) -> None:
    """Edges are straight in longitude and latitude, outer rings anticlockwise (RFC 7946, 3.1.6).

    Wound the other way it has the corners of an area across 180 degrees that was not cut there.
    """
    hole = [[-100.0, 40.0], [-100.0, 50.0], [100.0, 50.0], [100.0, 40.0], [-100.0, 40.0]]
    sides = {}
    for name, rings in (("whole", [WIDE]), ("hole", [WIDE, hole])):
        body = zoo.request()
        body["hazards"]["features"] = [_feature(name, "Polygon", rings)]
        body["limits"] = {"min_clearance_m": 200_000.0}
        answer = client.plan(body)
        assert answer.status_code == 200, answer.text
        sides[name] = [one["side"] for one in answer.json()["clearances"]]
    assert sides == {"whole": ["crossed"], "hole": []}
    for rings in ([WIDE[::-1]], [WIDE, hole[::-1]]):
        for kind, coordinates in (("Polygon", rings), ("MultiPolygon", [rings])):
            body = zoo.request()
            body["hazards"]["features"] = [_feature("wide", kind, coordinates)]
            problem = client.plan(body)
            assert problem.status_code == 422
            assert "spans 200 degrees" in problem.json()["errors"][0]["message"]


def test_open_rings_and_doubled_ids_of_dangers(client: Client) -> None:
    body = zoo.request()
    ring = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]
    body["hazards"]["features"][0]["geometry"] = {"type": "Polygon", "coordinates": [ring]}
    assert client.plan(body).json()["errors"][0]["pointer"].endswith("/coordinates/0")
    body = zoo.request()
    body["hazards"]["features"].append(body["hazards"]["features"][0])
    assert client.plan(body).json()["errors"][0]["pointer"] == "/hazards/features/1/properties/id"
