"""Shapes made wider by a distance."""

import numpy as np
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from wheelover.core.charted.widen import widened


def shapes(*geometries: object) -> np.ndarray:
    """Return geometries in an array."""
    found = np.empty(len(geometries), np.object_)
    found[:] = geometries
    return found


def around(lat: float, lon: float, distance_m: float) -> list[Point]:
    """Return places all round a place at a geodesic distance."""
    found = [Geodesic.WGS84.Direct(lat, lon, a, distance_m) for a in range(0, 360, 5)]
    return [Point(one["lon2"], one["lat2"]) for one in found]


@given(lat=st.floats(-75.0, 75.0), lon=st.floats(-170.0, 170.0), radius_m=st.floats(5.0, 2000.0))
def test_all_within_the_distance_is_inside_and_little_more(
    lat: float, lon: float, radius_m: float
) -> None:
    wide = widened(shapes(Point(lon, lat)), np.array([radius_m]))[0]
    assert shapely.covers(wide, around(lat, lon, radius_m * 0.9999)).all()
    assert not shapely.intersects(wide, around(lat, lon, radius_m * 1.013)).any()


def test_a_tall_shape_is_widened_by_less_than_a_hundredth_too_much() -> None:
    line = LineString([(5.0, 60.0), (5.0, 60.0 + 20.0 / 60.0)])
    wide = widened(shapes(line), np.array([500.0]))[0]
    foot = Geodesic.WGS84.Direct(60.01, 5.0, 90.0, 499.9)
    beyond = Geodesic.WGS84.Direct(60.01, 5.0, 90.0, 500.0 * 1.016)
    assert wide.covers(Point(foot["lon2"], foot["lat2"]))
    assert not wide.covers(Point(beyond["lon2"], beyond["lat2"]))


def test_nothing_of_nothing() -> None:
    assert widened(shapes(), np.empty(0)).size == 0
