"""Charted shapes made wider by a distance, in longitude and latitude."""

import numpy as np
import shapely

from wheelover.core.arrays import Floats
from wheelover.core.geo.ellipsoid import meridian_radius_m, normal_radius_m
from wheelover.core.types.cells import Geometries

_FARTHEST_DEG = 89.9
CHORDS = 8
"""Chords that a quarter of a circle is drawn with."""


def widened(geometries: Geometries, radius_m: Floats, chords: int = CHORDS) -> Geometries:
    """Return each geometry with all that lies within a distance of it.

    Parameters
    ----------
    geometries : ndarray of geometries, shape (n,)
        Longitude and latitude, degrees.
    radius_m : ndarray, shape (n,)
        Distance for each, metres; with none an area stays and a point or line has no extent.
    chords : int
        Into how many chords a quarter of a circle is cut.

    Returns
    -------
    ndarray of geometries, shape (n,)
        Areas, which may reach beyond 180 degrees.

    Notes
    -----
    Degrees are scaled to metres at the latitude of each shape that makes the distance longest: a
    scaling keeps edges that are straight in longitude and latitude straight [RFC7946]_. Nothing
    within the distance is left out: the chords of circles are drawn outside of them (with 8 to a
    quarter by 0.5 % of the distance, with 4 by 2 %). What is too wide grows with the height of the
    shape: by the share of tan(latitude) times its height in radians, 1 % of the distance for
    a shape of 20' at 60 degrees (tests/core/charted/test_widen.py).
    """
    if geometries.size == 0:
        return geometries
    outward_m = np.asarray(radius_m, np.float64) / np.cos(np.pi / (4 * chords))
    bounds = shapely.bounds(geometries)
    far_deg = np.maximum(np.abs(bounds[:, 1]), np.abs(bounds[:, 3]))
    near_deg = np.where(
        bounds[:, 1] * bounds[:, 3] <= 0.0,
        0.0,
        np.minimum(np.abs(bounds[:, 1]), np.abs(bounds[:, 3])),
    )
    reach_deg = np.degrees(outward_m / meridian_radius_m(np.zeros(1)))
    far_deg = np.minimum(far_deg + reach_deg, _FARTHEST_DEG)
    near_deg = np.maximum(near_deg - reach_deg, 0.0)
    north_m = np.radians(meridian_radius_m(near_deg))
    east_m = np.radians(normal_radius_m(far_deg)) * np.cos(np.radians(far_deg))
    scale = np.stack([east_m, north_m], axis=-1)
    wide = shapely.buffer(_scaled(geometries, scale), outward_m, quad_segs=chords)
    return _scaled(wide, 1.0 / scale)


def _scaled(geometries: Geometries, factor_ratio: Floats) -> Geometries:
    """Return geometries with their coordinates times a pair of factors of each."""
    coordinates, of = shapely.get_coordinates(geometries, return_index=True)
    return np.asarray(
        shapely.set_coordinates(geometries.copy(), coordinates * factor_ratio[of]), np.object_
    )
