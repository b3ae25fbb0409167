"""Areas that hold a place."""

from dataclasses import dataclass

import numpy as np
import shapely

from wheelover.core.arrays import Floats, Ints
from wheelover.core.clearance.inside_loop import holds_loop
from wheelover.core.types.chart import Paths


@dataclass(frozen=True, slots=True, kw_only=True)
class Areas:
    """The areas among the paths, m of them: their dangers, vertices and bounds in degrees.

    The rings of area i are the paths from ``first[i]`` up to ``stop[i]``. ``tree`` finds the bounds
    that hold a place. ``lats_deg``, ``lons_deg`` and ``path_starts`` are the columns of the
    paths as a compiled loop takes them: in one piece, and not locked against writing, as those of
    stored dangers are.
    """

    lats_deg: Floats
    lons_deg: Floats
    path_starts: Ints
    hazard: Ints
    first: Ints
    stop: Ints
    south_deg: Floats
    north_deg: Floats
    west_deg: Floats
    east_deg: Floats
    tree: shapely.STRtree


_NONE = Areas(
    lats_deg=np.empty(0),
    lons_deg=np.empty(0),
    path_starts=np.empty(0, np.int64),
    hazard=np.empty(0, np.int64),
    first=np.empty(0, np.int64),
    stop=np.empty(0, np.int64),
    south_deg=np.empty(0),
    north_deg=np.empty(0),
    west_deg=np.empty(0),
    east_deg=np.empty(0),
    tree=shapely.STRtree([]),
)


def areas_of(paths: Paths) -> Areas:
    """Return the areas among the paths with their bounds."""
    rings = np.flatnonzero(paths.area >= 0)
    if rings.size == 0:
        return _NONE
    _, first = np.unique(paths.area[rings], return_index=True)
    last = np.append(first[1:], rings.size) - 1
    stop = rings[last] + 1
    spans = np.column_stack([paths.starts[rings[first]], paths.starts[stop]]).ravel()
    lat_deg, lon_deg = np.append(paths.lat_deg, 0.0), np.append(paths.lon_deg, 0.0)
    south, west = (np.minimum.reduceat(one, spans)[::2] for one in (lat_deg, lon_deg))
    north, east = (np.maximum.reduceat(one, spans)[::2] for one in (lat_deg, lon_deg))
    return Areas(
        hazard=paths.hazard[rings[first]],
        lats_deg=np.require(paths.lat_deg, np.float64, ("C", "W")),
        lons_deg=np.require(paths.lon_deg, np.float64, ("C", "W")),
        path_starts=np.require(paths.starts, np.int64, ("C", "W")),
        first=rings[first],
        stop=stop,
        south_deg=south,
        north_deg=north,
        west_deg=west,
        east_deg=east,
        tree=shapely.STRtree(shapely.box(west, south, east, north)),
    )


def dangers_around(areas: Areas, lat_deg: Floats, lon_deg: Floats) -> tuple[Ints, Ints]:
    """Return which places are held by areas of which dangers.

    A place is inside when a line from it due east crosses the rings of the area an odd number of
    times, so that a hole is outside (RFC 7946, 3.1.6) [RFC7946]_.

    Parameters
    ----------
    areas : Areas
        The areas.
    lat_deg, lon_deg : ndarray, shape (n,)
        The places. On the meridian of 180 degrees they are looked for from both sides.

    Returns
    -------
    place, hazard : ndarray, shape (m,)
        Numbers of places and dangers, each pair once, in their order.
    """
    place, lat, lon = np.arange(lat_deg.size), lat_deg, lon_deg
    turned = np.flatnonzero(np.abs(lon_deg) == 180.0)
    if turned.size:
        place = np.concatenate([place, turned])
        lat, lon = lat_deg[place], np.concatenate([lon_deg, -lon_deg[turned]])
    row, area = areas.tree.query(shapely.points(lon, lat))
    if row.size == 0:
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    holds = np.empty(row.size, dtype=np.bool_)
    holds_loop(
        areas.lats_deg, areas.lons_deg, areas.path_starts, areas.first, areas.stop,
        np.ascontiguousarray(row), np.ascontiguousarray(area), np.ascontiguousarray(lat),
        np.ascontiguousarray(lon), holds,
    )  # fmt: skip
    # A place is held once by a danger, however many of its areas hold it.
    found = set(zip(place[row[holds]].tolist(), areas.hazard[area[holds]].tolist(), strict=True))
    both = np.array(sorted(found), dtype=np.int64).reshape(-1, 2)
    return both[:, 0].copy(), both[:, 1].copy()
