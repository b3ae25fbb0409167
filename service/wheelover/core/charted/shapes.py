"""Charted geometries as the columns of points and paths that distances are measured to."""

import numpy as np
import shapely

from wheelover.core.types.cells import Geometries
from wheelover.core.types.chart import Paths, Points


def columns_of(geometries: Geometries) -> tuple[Points, Paths, tuple[str, ...]]:
    """Return geometries as points and paths, numbered as they stand, and their GeoJSON types.

    Parameters
    ----------
    geometries : ndarray of geometries, shape (n,)
        Points, lines and areas, also several in one; longitude and latitude in degrees.
    """
    kind = shapely.get_dimensions(geometries)
    return (
        _points(geometries, np.flatnonzero(kind == 0)),
        _paths(geometries, np.flatnonzero(kind == 1), np.flatnonzero(kind == 2)),
        tuple(one.geom_type for one in geometries),
    )


def _points(geometries: Geometries, rows: np.ndarray) -> Points:
    """Return the points among geometries."""
    places, of = shapely.get_coordinates(geometries[rows], return_index=True)
    return Points(
        hazard=rows[of].astype(np.int64), lat_deg=places[:, 1].copy(), lon_deg=places[:, 0].copy()
    )


def _paths(geometries: Geometries, lines: np.ndarray, areas: np.ndarray) -> Paths:
    """Return the lines among geometries, then the rings of the areas."""
    parts, of_line = shapely.get_parts(geometries[lines], return_index=True)
    surfaces, of_area = shapely.get_parts(geometries[areas], return_index=True)
    rings, of_surface = shapely.get_rings(surfaces, return_index=True)
    paths = np.concatenate([parts, rings])
    places = shapely.get_coordinates(paths)
    counts = shapely.get_num_coordinates(paths)
    return Paths(
        hazard=np.concatenate([lines[of_line], areas[of_area][of_surface]]).astype(np.int64),
        area=np.concatenate([np.full(parts.size, -1), of_surface]).astype(np.int64),
        starts=np.concatenate([[0], np.cumsum(counts)]).astype(np.int64),
        lat_deg=places[:, 1].copy(),
        lon_deg=places[:, 0].copy(),
    )
