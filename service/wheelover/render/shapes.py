"""Shapes of dangers as GeoJSON geometry (RFC 7946), as they were given."""

from collections.abc import Iterable
from itertools import groupby
from typing import Any

import numpy as np

from wheelover.core.arrays import Ints, numbered
from wheelover.core.types.chart import Hazards
from wheelover.render.lines import Coordinates, Geometry
from wheelover.render.rounding import DEGREES

DENSE_DEG = 0.05
"""Slanting edges get a vertex at least so often: a chart's projection would bend them else."""


def shapes_of(hazards: Hazards, drawn: Iterable[int]) -> dict[int, Geometry]:
    """Return the geometry of the given dangers.

    Lines and areas get more vertices on their edges, so that they are drawn where they are.
    """
    wanted = np.zeros(hazards.count, np.bool_)
    wanted[list(drawn)] = True
    points, paths = hazards.points, hazards.paths
    places: dict[int, Coordinates] = {}
    for row in np.flatnonzero(wanted[points.hazard]):
        pair = _pair(float(points.lon_deg[row]), float(points.lat_deg[row]))
        places.setdefault(int(points.hazard[row]), []).append(pair)
    runs: dict[int, list[int]] = {}
    for row in np.flatnonzero(wanted[paths.hazard]):
        runs.setdefault(int(paths.hazard[row]), []).append(int(row))
    return {
        hazard: _geometry(hazards, hazard, places.get(hazard, []), runs.get(hazard, []))
        for hazard in np.flatnonzero(wanted).tolist()
    }


def vertex_count(hazards: Hazards) -> Ints:
    """Return how many vertices the shape of each danger has, shape (n,)."""
    counts = np.bincount(hazards.points.hazard, minlength=hazards.count)
    lengths = np.diff(hazards.paths.starts)
    counts += np.bincount(hazards.paths.hazard, lengths, minlength=hazards.count).astype(np.int64)
    return counts


def _geometry(hazards: Hazards, hazard: int, places: Coordinates, rows: list[int]) -> Geometry:
    """Return the geometry of one danger, of the type it was given in."""
    shape = hazards.shapes[hazard]
    lines = {row: _line(hazards, row) for row in rows}
    areas = [
        [lines[row] for row in ring]
        for _, ring in groupby(rows, lambda row: int(hazards.paths.area[row]))
    ]
    coordinates: list[Any]
    if shape in {"Point", "MultiPoint"}:
        coordinates = places
    elif shape in {"LineString", "MultiLineString"}:
        coordinates = list(lines.values())
    else:
        coordinates = areas
    if not shape.startswith("Multi"):
        return {"type": shape, "coordinates": coordinates[0]}
    return {"type": shape, "coordinates": coordinates}


def _line(hazards: Hazards, row: int) -> Coordinates:
    """Return the vertices of one path, more of them on its slanting edges."""
    paths = hazards.paths
    span = slice(int(paths.starts[row]), int(paths.starts[row + 1]))
    lat, lon = paths.lat_deg[span], paths.lon_deg[span]
    north, east = np.abs(np.diff(lat)), np.abs(np.diff(lon))
    steps = np.where(east > 0.0, np.ceil(north / DENSE_DEG), 1.0).clip(1.0).astype(np.int64)
    edge, place = numbered(steps)
    share = place / steps[edge]
    dense_lat = np.append(lat[edge] + share * (lat[edge + 1] - lat[edge]), lat[-1])
    dense_lon = np.append(lon[edge] + share * (lon[edge + 1] - lon[edge]), lon[-1])
    return [_pair(x, y) for x, y in zip(dense_lon.tolist(), dense_lat.tolist(), strict=True)]


def _pair(lon_deg: float, lat_deg: float) -> list[float]:
    """Return one rounded coordinate pair."""
    return [round(lon_deg, DEGREES) + 0.0, round(lat_deg, DEGREES) + 0.0]
