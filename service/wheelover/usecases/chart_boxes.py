"""Which stored chart cells a route touches."""

import math
from itertools import pairwise
from typing import Any

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.sweep.late import DEFAULT_LATE_S
from wheelover.core.units import NM_M, m_per_s_from_kn
from wheelover.store.charts import ChartEdition
from wheelover.usecases.search_boxes import (
    asking_of,
    near_boxes,
    routes_of,
    wanted_clearance_m,
)

LEAST_REACH_M = 2.0 * NM_M

_PIECES = 64
_PAD_DEG = 0.2
_WIDTHS = ("xtd_port_nm", "xtd_starboard_nm", "min_xtd_nm")

Document = dict[str, Any]


def reach_m(inputs: Document) -> float:
    """Return how far beside its legs a plan looks for what is charted, metres."""
    return max(beside_m(inputs), wanted_clearance_m(inputs))


def beside_m(inputs: Document) -> float:
    """Return how far beside its legs a plan looks, whatever is asked of a danger, metres.

    As far as dangers are listed, to the widest cross-track limit, and as far as she would run on
    with the helm as late as anybody asks to be looked at, at her greatest speed over the ground.
    """
    found = [LEAST_REACH_M]
    for one in asking_of(inputs):
        found.append(float(one.get("max_off_track_m") or 0.0))
        found += [float(one.get(width) or 0.0) * NM_M for width in _WIDTHS]
    return max(*found, _late_run_m(inputs))


def _late_run_m(inputs: Document) -> float:
    """Return how far she runs on with a late helm at most, as far as the inputs tell."""
    asking = asking_of(inputs)
    late_s = max(float(one.get("helm_late_s") or DEFAULT_LATE_S) for one in asking)
    streams = [inputs.get("conditions") or {}, *asking]
    streams += [one.get("turn") or {} for route in routes_of(inputs) for one in route["waypoints"]]
    speeds_kn = [float(one.get("speed_kn") or 0.0) for one in (inputs.get("ship") or {}, *streams)]
    drifts_kn = [float(one.get("drift_kn") or 0.0) for one in streams]
    return late_s * m_per_s_from_kn(max(speeds_kn) + max(drifts_kn))


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
