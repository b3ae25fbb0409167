"""Which stored chart cells a route touches."""

import math
from itertools import pairwise
from typing import Any

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.units import NM_M
from wheelover.store.charts import ChartEdition
from wheelover.usecases.search_boxes import near_boxes, routes_of, wanted_clearance_m

LEAST_REACH_M = 2.0 * NM_M

_PIECES = 64
_PAD_DEG = 0.2

Document = dict[str, Any]


def reach_m(inputs: Document) -> float:
    """Return how far beside its legs a plan looks for what is charted, metres."""
    limits = inputs.get("limits") or {}
    wanted = [LEAST_REACH_M, wanted_clearance_m(inputs), float(limits.get("max_off_track_m") or 0)]
    for one in (waypoint for route in routes_of(inputs) for waypoint in route["waypoints"]):
        leg = one.get("leg") or {}
        wanted += [
            float(leg.get(side) or 0.0) * NM_M for side in ("xtd_port_nm", "xtd_starboard_nm")
        ]
    return max(wanted)


def route_boxes(inputs: Document) -> Floats:
    """Return the boxes around the legs of a route and its contingencies, before any distance.

    Returns
    -------
    ndarray, shape (n, 4)
        South, west, north and east edge, degrees; east is beyond 180 where a leg crosses it.
    """
    rows = []
    for route in routes_of(inputs):
        points = route["waypoints"]
        rows += [_box(before, after) for before, after in pairwise(points)]
        if len(points) == 1:
            rows.append(_box(points[0], points[0]))
    return np.array(rows, dtype=np.float64).reshape(-1, 4)


def _box(before: Document, after: Document) -> tuple[float, float, float, float]:
    """Return the box of a leg the shorter way round; a geodesic leg's is a little larger."""
    lat, lon = float(before["lat_deg"]), float(before["lon_deg"])
    end_lat = float(after["lat_deg"])
    end_lon = lon + (float(after["lon_deg"]) - lon + 180.0) % 360.0 - 180.0
    lats = [lat, end_lat]
    pad_deg = 0.0
    if (after.get("leg") or {}).get("line") == "geodesic":
        lats += _arc_latitudes(lat, end_lat, end_lon - lon)
        pad_deg = _PAD_DEG
    return (
        min(lats) - pad_deg,
        min(lon, end_lon) - pad_deg,
        max(lats) + pad_deg,
        max(lon, end_lon) + pad_deg,
    )


def _arc_latitudes(lat: float, end_lat: float, apart_deg: float) -> list[float]:
    """Return latitudes along a great circle on a sphere, degrees."""
    a, b, span = math.radians(lat), math.radians(end_lat), math.radians(apart_deg)
    start = (math.cos(a), 0.0, math.sin(a))
    end = (math.cos(b) * math.cos(span), math.cos(b) * math.sin(span), math.sin(b))
    found = []
    for piece in range(1, _PIECES):
        share = piece / _PIECES
        x, y, z = (p * (1.0 - share) + q * share for p, q in zip(start, end, strict=True))
        found.append(math.degrees(math.atan2(z, math.hypot(x, y))))
    return found


def touched(cells: list[ChartEdition], inputs: Document) -> list[ChartEdition]:
    """Return those cells whose box comes as near to a route as it looks for what is charted."""
    if not cells:
        return []
    boxes = np.array([[one.south_deg, one.west_deg, one.north_deg, one.east_deg] for one in cells])
    near = near_boxes(route_boxes(inputs), boxes, np.full(len(cells), reach_m(inputs)))
    return [one for one, is_near in zip(cells, near.tolist(), strict=True) if is_near]


def heights(inputs: Document) -> tuple[float, float]:
    """Return the latitudes between which a route looks for what is charted, degrees."""
    boxes = route_boxes(inputs)
    if not len(boxes):
        return 90.0, -90.0
    beside_deg = reach_m(inputs) / NM_M / 60.0 * 1.01
    return float(boxes[:, 0].min()) - beside_deg, float(boxes[:, 2].max()) + beside_deg
