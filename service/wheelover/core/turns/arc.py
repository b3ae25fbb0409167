"""The arc of a turn: its length, and points along it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, Ints, as_floats
from wheelover.core.geo import geodesic
from wheelover.core.geo.ellipsoid import gaussian_curvature_per_m2
from wheelover.core.legs import in_columns, points_along, positions
from wheelover.core.types.route import Position
from wheelover.core.types.track import Arc, LegLine


def arc_length_m(centre_lat_deg: ArrayLike, radius_m: ArrayLike, sweep_deg: ArrayLike) -> Floats:
    """Return the length of arcs of constant geodesic radius, metres.

    Parameters
    ----------
    centre_lat_deg : array_like, shape (n,)
        Latitude of the centre.
    radius_m : array_like, shape (n,) or broadcastable
        Geodesic radius.
    sweep_deg : array_like, shape (n,) or broadcastable
        Angle at the centre, either way.

    Notes
    -----
    The reduced length, the spread of neighbouring geodesics, is sin(R sqrt(K)) / sqrt(K) where
    the Gaussian curvature K is constant [Karney2013]_. K at the centre stands for it: at a radius
    of 2 NM the error is below 1e-8 m, at 50 NM below 1 mm.
    """
    root = np.sqrt(gaussian_curvature_per_m2(centre_lat_deg))
    return np.sin(as_floats(radius_m) * root) / root * np.radians(np.abs(as_floats(sweep_deg)))


def points_on_arc(arc: Arc, turned_deg: ArrayLike) -> tuple[Floats, Floats]:
    """Return positions on an arc.

    Parameters
    ----------
    arc : Arc
        The arc.
    turned_deg : array_like, shape (n,)
        Angle at the centre from the arc's start, in the direction of the turn, from 0 to the
        arc's sweep.

    Returns
    -------
    lat_deg, lon_deg : ndarray, shape (n,)
        Positions.
    """
    turned = as_floats(turned_deg)
    return points_on_arcs([arc], np.zeros(turned.shape, np.int64), turned)


def points_on_arcs(arcs: Sequence[Arc], which: Ints, turned_deg: Floats) -> tuple[Floats, Floats]:
    """Return positions on many arcs.

    Parameters
    ----------
    arcs : sequence of Arc
        The arcs.
    which : ndarray of int, shape (n,)
        On which of them each position is.
    turned_deg : ndarray, shape (n,)
        Angle at the centre from that arc's start, as in ``points_on_arc``.

    Returns
    -------
    lat_deg, lon_deg : ndarray, shape (n,)
        Positions.
    """
    rows = [
        (one.centre.lat_deg, one.centre.lon_deg, one.radius_m, one.from_bearing_deg, one.sweep_deg)
        for one in arcs
    ]
    lat, lon, radius_m, from_deg, sweep_deg = np.array(rows)[which].T
    bearing_deg = from_deg + np.copysign(turned_deg, sweep_deg)
    found_lat, found_lon, _ = geodesic.direct(lat, lon, bearing_deg, radius_m)
    return found_lat, found_lon


def before_waypoint(runs: Sequence[tuple[LegLine, float]]) -> list[Position]:
    """Return the positions at distances in metres before waypoints, back along inbound legs.

    Raises
    ------
    OutOfDomain
        When one of the legs run back would pass a pole.
    """
    legs = in_columns([leg for leg, _ in runs])
    lat, lon, _ = points_along(legs, legs.length_m - [distance_m for _, distance_m in runs])
    return positions(lat, lon)
