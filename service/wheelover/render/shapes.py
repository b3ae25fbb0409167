"""Shapes of dangers as GeoJSON geometry (RFC 7946), as they were given."""

from collections.abc import Iterable
from itertools import groupby, pairwise
from typing import Any

import numpy as np

from wheelover.core.arrays import Floats, Ints, numbered, side_by_side
from wheelover.core.types.chart import Hazards, Paths
from wheelover.render.lines import Coordinates, Geometry
from wheelover.render.rounding import DEGREES, rounded_array

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
    single = np.flatnonzero(wanted[points.hazard])
    pairs = _pairs(points.lon_deg[single], points.lat_deg[single])
    for hazard, pair in zip(points.hazard[single].tolist(), pairs, strict=True):
        places.setdefault(hazard, []).append(pair)
    rows = np.flatnonzero(wanted[paths.hazard])
    runs: dict[int, list[tuple[int, Coordinates]]] = {}
    drawn_lines = zip(
        paths.hazard[rows].tolist(), paths.area[rows].tolist(), _lines(paths, rows), strict=True
    )
    for hazard, area, line in drawn_lines:
        runs.setdefault(hazard, []).append((area, line))
    return {
        hazard: _geometry(hazards.shapes[hazard], places.get(hazard, []), runs.get(hazard, []))
        for hazard in np.flatnonzero(wanted).tolist()
    }


def vertex_count(hazards: Hazards) -> Ints:
    """Return how many vertices the shape of each danger has, shape (n,)."""
    counts = np.bincount(hazards.points.hazard, minlength=hazards.count)
    lengths = np.diff(hazards.paths.starts)
    counts += np.bincount(hazards.paths.hazard, lengths, minlength=hazards.count).astype(np.int64)
    return counts


def _geometry(shape: str, places: Coordinates, runs: list[tuple[int, Coordinates]]) -> Geometry:
    """Return the geometry of one danger, of the type it was given in.

    ``runs`` are its lines and rings, each with the number of the area that it bounds.
    """
    coordinates: list[Any]
    if shape in {"Point", "MultiPoint"}:
        coordinates = places
    elif shape in {"LineString", "MultiLineString"}:
        coordinates = [line for _, line in runs]
    else:
        coordinates = [
            [line for _, line in rings] for _, rings in groupby(runs, lambda one: one[0])
        ]
    if not shape.startswith("Multi"):
        return {"type": shape, "coordinates": coordinates[0]}
    return {"type": shape, "coordinates": coordinates}


def _lines(paths: Paths, rows: Ints) -> list[Coordinates]:
    """Return the vertices of paths, more of them on slanting edges; all are rounded at once."""
    count = np.diff(paths.starts)[rows]
    path, at = numbered(count)
    vertex = paths.starts[rows][path] + at
    last = at == count[path] - 1
    # The last vertex of a path has no edge after it: it stands for itself.
    after = np.where(last, vertex, vertex + 1)
    lat, lon = paths.lat_deg, paths.lon_deg
    north, east = np.abs(lat[after] - lat[vertex]), np.abs(lon[after] - lon[vertex])
    slants = (east > 0.0) & ~last
    steps = np.where(slants, np.ceil(north / DENSE_DEG), 1.0).clip(1.0).astype(np.int64)
    edge, place = numbered(steps)
    share = place / steps[edge]
    start, end = vertex[edge], after[edge]
    pairs = _pairs(
        lon[start] + share * (lon[end] - lon[start]), lat[start] + share * (lat[end] - lat[start])
    )
    ends = np.cumsum(np.bincount(path, steps, minlength=rows.size)).astype(np.int64).tolist()
    return [pairs[first:stop] for first, stop in pairwise([0, *ends])]


def _pairs(lon_deg: Floats, lat_deg: Floats) -> Coordinates:
    """Return rounded coordinate pairs."""
    pairs: Coordinates = rounded_array(side_by_side(lon_deg, lat_deg), DEGREES).tolist()
    return pairs
