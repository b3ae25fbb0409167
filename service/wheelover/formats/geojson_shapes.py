"""GeoJSON geometries as points and paths in columns (RFC 7946)."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import chain
from typing import Any

import numpy as np

from wheelover.core.types.chart import NO_PATHS, NO_POINTS, Paths, Points

Coordinates = Sequence[Any]
Ring = tuple[int, int, Sequence[Sequence[float]]]

_POINTS = frozenset({"Point", "MultiPoint"})


def shapes_of(geometries: Iterable[tuple[str, Coordinates]]) -> tuple[Points, Paths]:
    """Return the points and the paths of geometries, numbered by the geometry they belong to.

    Parameters
    ----------
    geometries : iterable of (type, coordinates)
        Good GeoJSON of the six types that hold coordinates: longitude, latitude, and whatever else
        a position may carry, which is left out.
    """
    owners: list[int] = []
    places: list[Sequence[float]] = []
    rings: list[Ring] = []
    area_count = 0
    for hazard, (kind, coordinates) in enumerate(geometries):
        if kind in _POINTS:
            some = [coordinates] if kind == "Point" else coordinates
            places.extend(some)
            owners.extend([hazard] * len(some))
        elif kind in {"LineString", "MultiLineString"}:
            lines = [coordinates] if kind == "LineString" else coordinates
            rings.extend((hazard, -1, line) for line in lines)
        else:
            areas = [coordinates] if kind == "Polygon" else coordinates
            for area in areas:
                rings.extend((hazard, area_count, ring) for ring in area)
                area_count += 1
    return _points(owners, places), _paths(rings)


def joined_shapes(parts: Sequence[tuple[int, Points, Paths]]) -> tuple[Points, Paths]:
    """Return the points and the paths of several lists of geometries behind one another.

    Parameters
    ----------
    parts : sequence of (count, points, paths)
        How many geometries a list has, and their shapes as ``shapes_of`` gives them.
    """
    hazard = area = vertex = 0
    points, paths, starts = [NO_POINTS], [NO_PATHS], [NO_PATHS.starts]
    for count, some_points, some_paths in parts:
        points.append(replace(some_points, hazard=some_points.hazard + hazard))
        areas = np.where(some_paths.area < 0, some_paths.area, some_paths.area + area)
        paths.append(replace(some_paths, hazard=some_paths.hazard + hazard, area=areas))
        starts.append(some_paths.starts[1:] + vertex)
        hazard += count
        area += int(some_paths.area.max(initial=-1)) + 1
        vertex += len(some_paths.lat_deg)
    return (
        Points(
            hazard=np.concatenate([one.hazard for one in points]),
            lat_deg=np.concatenate([one.lat_deg for one in points]),
            lon_deg=np.concatenate([one.lon_deg for one in points]),
        ),
        Paths(
            hazard=np.concatenate([one.hazard for one in paths]),
            area=np.concatenate([one.area for one in paths]),
            starts=np.concatenate(starts),
            lat_deg=np.concatenate([one.lat_deg for one in paths]),
            lon_deg=np.concatenate([one.lon_deg for one in paths]),
        ),
    )


def _points(owners: list[int], places: list[Sequence[float]]) -> Points:
    """Return single places in columns."""
    columns = _columns(places)
    return Points(
        hazard=np.array(owners, dtype=np.int64), lat_deg=columns[:, 1], lon_deg=columns[:, 0]
    )


def _paths(rings: list[Ring]) -> Paths:
    """Return lines and rings with their vertices behind one another."""
    lengths = [len(line) for _, _, line in rings]
    columns = _columns(list(chain.from_iterable(line for _, _, line in rings)))
    return Paths(
        hazard=np.array([hazard for hazard, _, _ in rings], dtype=np.int64),
        area=np.array([area for _, area, _ in rings], dtype=np.int64),
        starts=np.concatenate([np.zeros(1, np.int64), np.cumsum(lengths, dtype=np.int64)]),
        lat_deg=columns[:, 1],
        lon_deg=columns[:, 0],
    )


def _columns(places: list[Sequence[float]]) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return longitude and latitude of places as two columns."""
    flat = np.array([place[:2] for place in places], dtype=np.float64).reshape(-1, 2)
    return np.ascontiguousarray(flat)
