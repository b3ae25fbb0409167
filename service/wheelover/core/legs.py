"""Legs: course, length, points along them and the foot of a perpendicular.

A leg is described from its start, so that points before its start and beyond its end can be
asked for as well: a turn that does not fit reaches beyond the leg.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, Ints, as_floats, require_finite
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo import geodesic, rhumb
from wheelover.core.geo.angles import signed_change_deg, sin_cos_deg
from wheelover.core.types.route import LineKind, Position
from wheelover.core.types.track import LegLine

_FOOT_STEPS = 40
_FOOT_TOLERANCE_M = 1e-7
_FOOT_GOOD_ENOUGH_M = 1e-3


def leg_line(line: LineKind, start: Position, end: Position) -> LegLine | None:
    """Return the line between two waypoints, or None when they are one and the same place.

    Parameters
    ----------
    line : {"rhumb", "geodesic"}
        Constant true course, or shortest line.
    start, end : Position
        The waypoints, none on a pole.

    Raises
    ------
    OutOfDomain
        For a rhumb line from or to a pole.

    Notes
    -----
    Rhumb lines go the shorter way in longitude; geodesics are the shortest line [Karney2013]_.
    """
    if line == "geodesic":
        course, arrival, length = geodesic.inverse(
            start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg
        )
    else:
        course, length = rhumb.inverse(start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg)
        arrival = course
    require_finite("leg course and length", [course, arrival, length])
    if float(length[0]) == 0.0:
        return None
    return LegLine(
        line=line,
        start=start,
        course_deg=float(course[0]),
        arrival_course_deg=float(arrival[0]),
        length_m=float(length[0]),
    )


def points_along(leg: LegLine, distance_m: ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Return positions along a leg and the course there.

    Parameters
    ----------
    leg : LegLine
        The leg.
    distance_m : array_like, shape (n,)
        Distance from its start; negative before it.

    Returns
    -------
    lat_deg, lon_deg, course_deg : ndarray, shape (n,)
        Positions and the true course at each.
    """
    distances = as_floats(distance_m)
    lat, lon = leg.start.lat_deg, leg.start.lon_deg
    if leg.line == "geodesic":
        return geodesic.direct(lat, lon, leg.course_deg, distances)
    lats, lons = rhumb.direct(lat, lon, leg.course_deg, distances)
    return lats, lons, np.full(lats.shape, leg.course_deg)


def points_along_each(
    legs: Sequence[LegLine], which: Ints, distance_m: Floats
) -> tuple[Floats, Floats, Floats]:
    """Return positions along several legs at once, and the course there.

    Parameters
    ----------
    legs : sequence of LegLine
        The legs.
    which : ndarray, shape (n,)
        The number of the leg that each position is wanted on.
    distance_m : ndarray, shape (n,)
        Distance from the start of that leg; negative before it.

    Returns
    -------
    lat_deg, lon_deg, course_deg : ndarray, shape (n,)
        The same numbers as leg by leg.
    """
    columns = np.array(
        [(leg.start.lat_deg, leg.start.lon_deg, leg.course_deg) for leg in legs], dtype=np.float64
    ).reshape(-1, 3)
    shortest = np.array([leg.line == "geodesic" for leg in legs], dtype=np.bool_)[which]
    lat, lon, course = columns[which].T.copy()
    if bool(np.any(shortest)):
        lat[shortest], lon[shortest], course[shortest] = geodesic.direct(
            lat[shortest], lon[shortest], course[shortest], distance_m[shortest]
        )
    steady = ~shortest
    if bool(np.any(steady)):
        lat[steady], lon[steady] = rhumb.direct(
            lat[steady], lon[steady], course[steady], distance_m[steady]
        )
    return lat, lon, course


def position_along(leg: LegLine, distance_m: float) -> Position:
    """Return one position along a leg, at a distance in metres from its start."""
    lat, lon, _ = points_along(leg, distance_m)
    return Position(lat_deg=float(lat[0]), lon_deg=float(lon[0]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Feet:
    """Nearest points of a leg to n positions, in columns of shape (n,).

    ``along_m`` is the place on the leg and ``distance_m`` the geodesic distance from it.
    ``ahead_m`` is what is left along the course from the nearest point to abeam: zero but where
    the foot lies beyond an end. ``bearing_off_deg`` is the bearing of the position from the
    nearest point relative to the course there, starboard positive.
    """

    along_m: Floats
    lat_deg: Floats
    lon_deg: Floats
    distance_m: Floats
    ahead_m: Floats
    bearing_off_deg: Floats

    def rows(self, which: Ints) -> "Feet":
        """Return the feet of the given numbers."""
        return Feet(
            along_m=self.along_m[which],
            lat_deg=self.lat_deg[which],
            lon_deg=self.lon_deg[which],
            distance_m=self.distance_m[which],
            ahead_m=self.ahead_m[which],
            bearing_off_deg=self.bearing_off_deg[which],
        )


def _look(leg: LegLine, along_m: Floats, lat_deg: Floats, lon_deg: Floats) -> Feet:
    """Return what is seen from points of a leg: distance and relative bearing of positions."""
    lat, lon, course = points_along(leg, along_m)
    bearing, _, distance = geodesic.inverse(lat, lon, lat_deg, lon_deg)
    off = signed_change_deg(course, bearing)
    return Feet(
        along_m=along_m,
        lat_deg=lat,
        lon_deg=lon,
        distance_m=distance,
        ahead_m=distance * sin_cos_deg(off)[1],
        bearing_off_deg=off,
    )


def feet_on_leg(
    leg: LegLine, low_m: ArrayLike, high_m: ArrayLike, lat_deg: ArrayLike, lon_deg: ArrayLike
) -> Feet:
    """Return the nearest points of stretches of a leg to positions.

    Parameters
    ----------
    leg : LegLine
        The leg.
    low_m, high_m : array_like, shape (n,) or broadcastable
        The stretch of the leg looked at for each position, in metres from its start. It must be
        short enough to hold one nearest point only: less than a radius of the leg's own curve.
    lat_deg, lon_deg : array_like, shape (n,)
        The positions.

    Returns
    -------
    Feet
        The nearest points, in columns of shape (n,).

    Raises
    ------
    OutOfDomain
        Where a leg curves so sharply, beside a pole, that no nearest point is closed in on.

    Notes
    -----
    At the nearest point the position bears abeam. The run to abeam is driven to zero by secant
    steps with the exact geodesic inverse, so neither a sphere nor a plane stands in for the
    ellipsoid. Error in distance below 1e-6 m (tests/core/test_clearance.py).
    """
    low, high, lat, lon = (
        np.array(column)
        for column in np.broadcast_arrays(
            *(as_floats(v) for v in (low_m, high_m, lat_deg, lon_deg))
        )
    )
    before = (low + high) / 2.0
    ahead_before = _look(leg, before, lat, lon).ahead_m
    along = np.clip(before + ahead_before, low, high)
    for _ in range(_FOOT_STEPS):
        ahead = _look(leg, along, lat, lon).ahead_m
        step = ahead * _secant_gain(along - before, ahead - ahead_before)
        following = np.clip(along + step, low, high)
        if bool(np.all(np.abs(following - along) <= _FOOT_TOLERANCE_M)):
            along = following
            break
        before, ahead_before, along = along, ahead, following
    else:
        # Beside a pole a stretch may curve too sharply to close in on one place.
        if bool(np.any(np.abs(along - before) > _FOOT_GOOD_ENOUGH_M)):
            raise OutOfDomain(
                "the nearest point of a leg was not found; the leg curves too sharply"
            )
    return _look(leg, along, lat, lon)


def _secant_gain(step_m: Floats, change_m: Floats) -> Floats:
    """Return the factor from run-to-abeam to step; 1 on a straight line in a plane.

    Far inside the curve of a leg near a pole it grows; it is held, because a quotient of two
    nearly equal runs would say anything.
    """
    usable = (np.abs(step_m) > 1e-3) & (np.abs(change_m) > 1e-6)
    quotient = np.divide(-step_m, change_m, out=np.ones_like(step_m), where=usable)
    return np.clip(quotient, 0.2, 20.0)
