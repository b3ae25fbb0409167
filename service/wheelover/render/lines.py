"""Lines on the ellipsoid as GeoJSON coordinates.

GeoJSON edges are straight in longitude and latitude, so legs and arcs get enough vertices, and
geometry that crosses 180 degrees is cut there (RFC 7946, 3.1.9).
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from wheelover.core.arrays import Floats, Ints, numbered
from wheelover.core.legs import in_columns, points_along
from wheelover.core.turns.arc import points_on_arcs
from wheelover.core.types.route import Position
from wheelover.core.types.track import Arc, LegLine
from wheelover.core.units import NM_M
from wheelover.render.rounding import DEGREES, rounded_array

Geometry = dict[str, Any]
Coordinates = list[list[float]]

_LEG_STEP_M = 5.0 * NM_M
_ARC_STEP_DEG = 1.0
_LEAST_STEPS = 2


def feature(layer: str, geometry: Geometry, **properties: object) -> dict[str, Any]:
    """Return one feature of a layer."""
    return {
        "type": "Feature",
        "geometry": geometry,
        "properties": {"layer": layer, **properties},
    }


def point(place: Position) -> Geometry:
    """Return a position as a Point."""
    return {"type": "Point", "coordinates": _pair(place.lon_deg, place.lat_deg)}


def along_legs(stretches: Sequence[tuple[LegLine, float, float]]) -> list[Geometry]:
    """Return stretches of legs, each from one distance to another, a vertex at least every 5 NM."""
    if not stretches:
        return []
    from_m, to_m = np.array([(start_m, end_m) for _, start_m, end_m in stretches]).T
    row, along_m = _vertices(from_m, to_m, _LEG_STEP_M)
    lat, lon, _ = points_along(in_columns([leg for leg, _, _ in stretches]).rows(row), along_m)
    return _lines(row, lat, lon)


def along_arcs(arcs: Sequence[Arc]) -> list[Geometry]:
    """Return arcs, with a vertex at least every degree of turn."""
    if not arcs:
        return []
    sweep_deg = np.array([abs(arc.sweep_deg) for arc in arcs])
    row, turned_deg = _vertices(np.zeros_like(sweep_deg), sweep_deg, _ARC_STEP_DEG)
    return _lines(row, *points_on_arcs(arcs, row, turned_deg))


def part_of_arcs(stretches: Sequence[tuple[Arc, float, float]]) -> list[Geometry]:
    """Return stretches of arcs, each from one distance along to another, metres."""
    if not stretches:
        return []
    bounds_deg = np.degrees([(a / arc.radius_m, b / arc.radius_m) for arc, a, b in stretches]).T
    row, turned_deg = _vertices(bounds_deg[0], bounds_deg[1], _ARC_STEP_DEG)
    return _lines(row, *points_on_arcs([arc for arc, _, _ in stretches], row, turned_deg))


def _vertices(start: Floats, end: Floats, step: float) -> tuple[Ints, Floats]:
    """Return places evenly on many ways, both ends included: on which way each is, and where."""
    steps = np.maximum(_LEAST_STEPS, np.ceil(np.abs(end - start) / step)).astype(np.int64)
    row, place = numbered(steps + 1)
    between_ends = place * ((end - start) / steps)[row] + start[row]
    return row, np.where(place == steps[row], end[row], between_ends)


def _lines(row: Ints, lat_deg: Floats, lon_deg: Floats) -> list[Geometry]:
    """Return the lines whose vertices stand behind one another, told apart by their numbers."""
    return lines_from(np.append(0, np.flatnonzero(np.diff(row)) + 1), lat_deg, lon_deg)


def lines_from(starts: Ints, lat_deg: Floats, lon_deg: Floats) -> list[Geometry]:
    """Return many lines, each as ``line`` returns it.

    Parameters
    ----------
    starts : ndarray of int, shape (n,)
        Where the vertices of each begin; there is at least one line, and none without vertices.
    lat_deg, lon_deg : ndarray, shape (m,)
        The vertices of all, behind one another.
    """
    pairs = rounded_array(np.stack([lon_deg, lat_deg], axis=1), DEGREES).tolist()
    span_deg = np.maximum.reduceat(lon_deg, starts) - np.minimum.reduceat(lon_deg, starts)
    stops = [*starts[1:].tolist(), lon_deg.size]
    return [
        {"type": "LineString", "coordinates": pairs[start:stop]}
        if whole
        else line(lat_deg[start:stop], lon_deg[start:stop])
        for start, stop, whole in zip(
            starts.tolist(), stops, (span_deg <= 180.0).tolist(), strict=True
        )
    ]


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
    return _line(lat_deg.tolist(), lon_deg.tolist())


def between_each(
    starts_deg: tuple[Floats, Floats], ends_deg: tuple[Floats, Floats]
) -> list[Geometry]:
    """Return the straight edges between pairs of near positions.

    Parameters
    ----------
    starts_deg, ends_deg : tuple of two ndarrays, shape (n,)
        Latitudes and longitudes of both ends.
    """
    lat, lon = (np.stack(both, axis=1).ravel() for both in zip(starts_deg, ends_deg, strict=True))
    return lines_from(np.arange(0, lat.size, 2), lat, lon) if lat.size else []


def _line(lats: list[float], lons: list[float]) -> Geometry:
    """Return vertices as a LineString, or as a MultiLineString cut at 180 degrees."""
    if max(lons) - min(lons) <= 180.0:
        # Written out: of all that is rounded in a plan these are the most.
        rows = [
            [round(lon, DEGREES) + 0.0, round(lat, DEGREES) + 0.0]
            for lon, lat in zip(lons, lats, strict=True)
        ]
        return {"type": "LineString", "coordinates": rows}
    parts: list[Coordinates] = [[_pair(lons[0], lats[0])]]
    for (lon1, lat1), (lon2, lat2) in pairwise(zip(lons, lats, strict=True)):
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
