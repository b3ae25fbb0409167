"""Lines on the ellipsoid as GeoJSON coordinates.

GeoJSON edges are straight in longitude and latitude, so legs and arcs get enough vertices, and
geometry that crosses 180 degrees is cut there (RFC 7946, 3.1.9).
"""

from itertools import pairwise
from typing import Any

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.legs import points_along
from wheelover.core.turns.arc import points_on_arc
from wheelover.core.types.route import Position
from wheelover.core.types.track import Arc, LegLine
from wheelover.core.units import NM_M
from wheelover.render.rounding import DEGREES

Geometry = dict[str, Any]
Coordinates = list[list[float]]

_LEG_STEP_M = 5.0 * NM_M
_ARC_STEP_DEG = 1.0
_LEAST_LEG_STEPS = 2


def point(place: Position) -> Geometry:
    """Return a position as a Point."""
    return {"type": "Point", "coordinates": _pair(place.lon_deg, place.lat_deg)}


def along_leg(leg: LegLine, from_m: float, to_m: float) -> Geometry:
    """Return a stretch of a leg, with a vertex at least every 5 NM."""
    steps = max(_LEAST_LEG_STEPS, int(np.ceil(abs(to_m - from_m) / _LEG_STEP_M)))
    lat, lon, _ = points_along(leg, np.linspace(from_m, to_m, steps + 1))
    return line(lat, lon)


def along_arc(arc: Arc) -> Geometry:
    """Return an arc, with a vertex at least every degree of turn."""
    sweep = abs(arc.sweep_deg)
    steps = max(_LEAST_LEG_STEPS, int(np.ceil(sweep / _ARC_STEP_DEG)))
    lat, lon = points_on_arc(arc, np.linspace(0.0, sweep, steps + 1))
    return line(lat, lon)


def between(start: Position, end: Position) -> Geometry:
    """Return the straight edge between two near positions."""
    return line(np.array([start.lat_deg, end.lat_deg]), np.array([start.lon_deg, end.lon_deg]))


def line(lat_deg: Floats, lon_deg: Floats) -> Geometry:
    """Return vertices as a LineString, or as a MultiLineString cut at 180 degrees.

    Examples
    --------
    >>> line(np.array([0.0, 2.0]), np.array([179.0, -179.0]))["coordinates"]
    [[[179.0, 0.0], [180.0, 1.0]], [[-180.0, 1.0], [-179.0, 2.0]]]
    """
    parts: list[Coordinates] = [[_pair(float(lon_deg[0]), float(lat_deg[0]))]]
    ends = zip(lon_deg.tolist(), lat_deg.tolist(), strict=True)
    for (lon1, lat1), (lon2, lat2) in pairwise(ends):
        if abs(lon2 - lon1) > 180.0:
            edge = float(np.copysign(180.0, lon1))
            unwrapped = lon2 + 2.0 * edge
            share = (edge - lon1) / (unwrapped - lon1) if unwrapped != lon1 else 0.0
            lat = lat1 + share * (lat2 - lat1)
            parts[-1].append(_pair(edge, lat))
            parts.append([_pair(-edge, lat)])
        parts[-1].append(_pair(lon2, lat2))
    if len(parts) == 1:
        return {"type": "LineString", "coordinates": parts[0]}
    return {"type": "MultiLineString", "coordinates": parts}


def _pair(lon_deg: float, lat_deg: float) -> list[float]:
    """Return one rounded coordinate pair."""
    return [round(lon_deg, DEGREES) + 0.0, round(lat_deg, DEGREES) + 0.0]
