"""Points near short curves and near arcs, found in a grid of points.

Everything is reckoned with earth-centred vectors, so that neither the meridian of 180 degrees nor
a high latitude needs anything special, and no projection stands in for the ellipsoid.
"""

from typing import NamedTuple

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.geo.cubic import Cubics
from wheelover.core.geo.ellipsoid import A_M, E2
from wheelover.core.geo.near_loops import circles_loop, curves_loop
from wheelover.core.geo.point_grid import PointGrid

LONGEST_M = 9_260.0
"""Up to this distance, 5 NM, the series from chord to geodesic is good to 1e-7 m."""

_LEAST_M_PER_DEG = 110_500.0
_POLAR_DEG = 89.0


class Near(NamedTuple):
    """Pairs of a curve or an arc and a point near it, in columns of shape (m,).

    ``group`` is that of the curve, ``point`` the number of the point and ``distance_m`` the
    geodesic distance. ``along_m`` is where the nearest place lies, by the bounds of the curve.
    ``ahead_m`` is what is left along the curve from there to abeam of the point, zero but
    at an end, and ``right_m`` is above zero where the point lies to the right of it.
    """

    group: Ints
    point: Ints
    distance_m: Floats
    along_m: Floats
    ahead_m: Floats
    right_m: Floats

    def rows(self, which: Ints) -> "Near":
        """Return the pairs of the given numbers."""
        return Near(
            self.group[which],
            self.point[which],
            self.distance_m[which],
            self.along_m[which],
            self.ahead_m[which],
            self.right_m[which],
        )


class Boxes(NamedTuple):
    """Where to look for the points near each of s curves: bounds in degrees, shape (s,).

    ``west_deg`` lies in -180 to 180 and ``east_deg`` at most 360 degrees east of it.
    """

    south_deg: Floats
    north_deg: Floats
    west_deg: Floats
    east_deg: Floats


def boxes_around(
    lat_deg: tuple[Floats, Floats], lon_deg: tuple[Floats, Floats], margin_m: Floats
) -> Boxes:
    """Return boxes that hold all that is within a margin of lines between two positions.

    Parameters
    ----------
    lat_deg, lon_deg : tuple of two ndarrays, shape (s,)
        Both ends of each line, which runs the shorter way in longitude and leaves the box of its
        ends by less than the margin has in hand.
    margin_m : ndarray, shape (s,)
        Margin in metres.
    """
    margin_deg = margin_m / _LEAST_M_PER_DEG
    south = np.minimum(*lat_deg) - margin_deg
    north = np.maximum(*lat_deg) + margin_deg
    farthest = np.maximum(np.abs(south), np.abs(north))
    polar = farthest >= _POLAR_DEG
    wide = margin_deg / np.cos(np.radians(np.where(polar, 0.0, farthest))) + 1e-8
    east_run = np.mod(lon_deg[1] - lon_deg[0] + 180.0, 360.0) - 180.0
    west = lon_deg[0] + np.minimum(east_run, 0.0) - wide
    width = np.abs(east_run) + 2.0 * wide
    all_round = polar | (width >= 360.0)
    west = np.where(all_round, -180.0, np.mod(west + 180.0, 360.0) - 180.0)
    return Boxes(south, north, west, west + np.where(all_round, 360.0, width))


def near_curves(
    curves: Cubics,
    boxes: Boxes,
    bow_m: Floats,
    bounds_m: tuple[Floats, Floats],
    group: Ints,
    grid: PointGrid,
    search_m: Floats,
    widest_m: float,
) -> Near:
    """Return the points within their search distance of groups of short curves.

    Parameters
    ----------
    curves : Cubics
        Curves, s of them, each so short that it has one nearest place only.
    boxes : Boxes
        Where to look for the points near each.
    bow_m : ndarray, shape (s,)
        How far each leaves its chord at most.
    bounds_m : tuple of two ndarrays, shape (s,)
        The measure of the way at both ends of each curve.
    group : ndarray, shape (s,)
        What each curve is a part of, ascending: a point is given once for each.
    grid : PointGrid
        The points, n of them.
    search_m : ndarray, shape (k,) or (1,)
        Search distance of each of the owners of points, or one for all: that is faster, for those
        of a million dangers do not fit the cache of a processor.
    widest_m : float
        The largest of them.

    Returns
    -------
    Near
        Beyond ``LONGEST_M`` the distances are rough and want one exact look.
    """
    leap_m = curves.end_m - curves.start_m
    square_m = 3.0 * leap_m - 2.0 * curves.start_run_m - curves.end_run_m
    cube_m = curves.start_run_m + curves.end_run_m - 2.0 * leap_m
    way2_m2 = np.maximum(np.sum(leap_m * leap_m, axis=1), 1e-12)
    terms = [curves.start_m, curves.start_run_m, square_m, cube_m, leap_m]
    table = np.stack([*terms, np.broadcast_to(way2_m2[:, None], leap_m.shape)], axis=1)
    levels = _levels_at(curves.start_m + 0.5 * leap_m)
    shape = np.stack([bow_m, *bounds_m, *boxes], axis=1)
    seen = np.zeros(grid.order.size, dtype=np.int64)
    return _near(
        *curves_loop(
            table, levels, shape, group, grid.places_m, grid.lon_deg, grid.first_band_index,
            grid.cell_starts, grid.order, grid.owner, search_m, widest_m, seen,
        )
    )  # fmt: skip


class Circles(NamedTuple):
    """Arcs of circles, c of them.

    ``frame`` of shape (c, 3, 3) holds the earth-centred place of the centre, the direction from
    there to the middle of the arc, and the direction a quarter of a circle on in its sense.
    ``ends_m`` of shape (c, 2, 3) holds the places of both ends, ``radius_m`` and ``half_rad``, of
    shape (c,), the geodesic radius and half the angle at the centre.
    """

    frame: Table
    ends_m: Floats
    radius_m: Floats
    half_rad: Floats


def near_circles(
    circles: Circles,
    boxes: Boxes,
    group: Ints,
    grid: PointGrid,
    search_m: Floats,
    widest_m: float,
) -> Near:
    """Return the points within their search distance of arcs.

    Parameters
    ----------
    circles : Circles
        The arcs, c of them.
    boxes : Boxes
        Where to look for the points near each.
    group : ndarray, shape (c,)
        The number under which each is answered.
    grid : PointGrid
        The points, n of them.
    search_m : ndarray, shape (k,) or (1,)
        Search distance of each of the owners of points, or one for all: that is faster, for those
        of a million dangers do not fit the cache of a processor.
    widest_m : float
        The largest of them.

    Returns
    -------
    Near
        ``along_m`` is the angle from the start of the arc times its radius, ``right_m`` how far
        outside the circle the point lies, negative inside.
    """
    shape = np.stack([circles.radius_m, circles.half_rad, *boxes], axis=1)
    return _near(
        *circles_loop(
            circles.frame, _levels_at(circles.frame[:, 0]), circles.ends_m, shape, group,
            grid.places_m, grid.lon_deg, grid.first_band_index, grid.cell_starts, grid.order,
            grid.owner, search_m, widest_m,
        )
    )  # fmt: skip


def _levels_at(places_m: Floats) -> Table:
    """Return the direction of north and the curvatures along and across the meridian, (n, 5)."""
    up = places_m / [1.0, 1.0, 1.0 - E2]
    up /= np.linalg.norm(up, axis=1)[:, None]
    sine = up[:, 2]
    # At a pole every direction is north: both curvatures are one there.
    cosine = np.sqrt(np.maximum(1.0 - sine * sine, 1e-24))
    north = ([0.0, 0.0, 1.0] - sine[:, None] * up) / cosine[:, None]
    w2 = 1.0 - E2 * sine * sine
    return np.column_stack([north, w2**1.5 / (A_M * (1.0 - E2)), np.sqrt(w2) / A_M])


def _near(numbers: Ints, values: Table, count: int) -> Near:
    """Return the rows of tables that count, in columns."""
    columns = (*numbers[:count].T, *values[:count].T)
    group, point, *rest = (np.ascontiguousarray(column) for column in columns)
    return Near(group, point, *rest)
