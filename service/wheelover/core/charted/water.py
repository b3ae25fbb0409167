"""Strips of water held against charted areas, also around 180 degrees."""

import numpy as np
import shapely

from wheelover.core.arrays import Bools, Ints
from wheelover.core.types.cells import Geometries

SLIVER_DEG = 1e-6
"""Half the width of gaps that come of rounding where areas meet, some 0.1 m: they are none."""


def whole_tree(geometries: Geometries, rows: Ints) -> shapely.STRtree:
    """Return a tree of areas that others can be cut with, also where their rings cross.

    Parameters
    ----------
    geometries : ndarray of geometries, shape (n,)
        Charted geometries.
    rows : ndarray
        The numbers of those that are areas and wanted.
    """
    mine = geometries[rows]
    crossed = np.flatnonzero(~shapely.is_valid(mine) & ~shapely.is_missing(mine))
    mine[crossed] = shapely.make_valid(mine[crossed])
    return shapely.STRtree(mine)


def meets(tree: shapely.STRtree, strips: Geometries) -> tuple[Ints, Ints]:
    """Return which areas meet which things of a tree, also around 180 degrees.

    Parameters
    ----------
    tree : STRtree
        Things between -180 and 180 degrees.
    strips : ndarray of geometries, shape (n,)
        Areas, which may reach beyond.

    Returns
    -------
    strip, thing : ndarray, shape (pairs,)
        Numbers of strips and things.
    """
    found = [
        tree.query(_turned(strips, by_deg), predicate="intersects")
        for by_deg in (0.0, -360.0, 360.0)
        if by_deg == 0.0 or bool(_beyond(strips).any())
    ]
    pairs = np.concatenate(found, axis=1)
    return pairs[0].astype(np.int64), pairs[1].astype(np.int64)


def _beyond(strips: Geometries) -> Bools:
    """Return which areas reach beyond 180 degrees."""
    bounds = shapely.bounds(strips)
    return np.asarray((bounds[:, 0] < -180.0) | (bounds[:, 2] > 180.0))


def _turned(strips: Geometries, by_deg: float) -> Geometries:
    """Return areas turned in longitude."""
    if by_deg == 0.0:
        return strips
    turned = shapely.transform(strips, lambda places: np.add(places, (by_deg, 0.0)))
    return np.asarray(turned, np.object_)


def bare_of(tree: shapely.STRtree, strips: Geometries) -> Geometries:
    """Return what of strips the areas of a tree leave uncovered, empty where nothing.

    Parameters
    ----------
    tree : STRtree
        Valid areas.
    strips : ndarray of geometries, shape (n,)
        Areas, which may reach beyond 180 degrees.
    """
    rest = strips.copy()
    reaches = bool(_beyond(strips).any())
    for by_deg in (0.0, -360.0, 360.0) if reaches else (0.0,):
        turned = _turned(rest, by_deg).copy()
        # Most strips lie within one area: that is told without cutting anything.
        whole, _ = tree.query(turned, predicate="covered_by")
        turned[whole] = shapely.Polygon()
        pairs = tree.query(turned, predicate="intersects")
        for row, area in zip(*pairs.tolist(), strict=True):
            if not turned[row].is_empty:
                turned[row] = shapely.difference(turned[row], tree.geometries[area])
        rest = _turned(turned, -by_deg)
    return np.asarray(shapely.buffer(rest, -SLIVER_DEG), np.object_)
