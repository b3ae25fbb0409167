"""Legs: course, length, points along them and the foot of a perpendicular.

A leg is described from its start, so that points before its start and beyond its end can be
asked for as well: a turn that does not fit reaches beyond the leg.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Bools, Floats, Ints, columns, require_finite
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
    return leg_lines([(line, start, end)])[0]


def leg_lines(wanted: Sequence[tuple[LineKind, Position, Position]]) -> list[LegLine | None]:
    """Return many lines, each as ``leg_line`` returns it.

    Parameters
    ----------
    wanted : sequence
        Kind, start and end of each.

    Raises
    ------
    OutOfDomain
        For a rhumb line from or to a pole.
    """
    ends = np.array([(a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg) for _, a, b in wanted])
    found = np.empty((len(wanted), 3))
    is_rhumb = np.array([line == "rhumb" for line, _, _ in wanted], np.bool_)
    if bool(is_rhumb.any()):
        course, length = rhumb.inverse(*ends[is_rhumb].T)
        found[is_rhumb] = np.stack([course, course, length], axis=-1)
    if not bool(is_rhumb.all()):
        found[~is_rhumb] = np.stack(geodesic.inverse(*ends[~is_rhumb].T), axis=-1)
    require_finite("leg course and length", found)
    return [
        None
        if length_m == 0.0
        else LegLine(
            line=line,
            start=start,
            course_deg=course_deg,
            arrival_course_deg=arrival_deg,
            length_m=length_m,
        )
        for (line, start, _), (course_deg, arrival_deg, length_m) in zip(
            wanted, found.tolist(), strict=True
        )
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class LegColumns:
    """Lines of legs, n of them, in columns of shape (n,), or rows of such of shape (m, n)."""

    is_rhumb: Bools
    lat_deg: Floats
    lon_deg: Floats
    course_deg: Floats
    length_m: Floats

    def rows(self, which: Ints | Bools) -> "LegColumns":
        """Return the legs of the given numbers, one or several times each."""
        return LegColumns(
            is_rhumb=self.is_rhumb[..., which],
            lat_deg=self.lat_deg[..., which],
            lon_deg=self.lon_deg[..., which],
            course_deg=self.course_deg[..., which],
            length_m=self.length_m[..., which],
        )


def in_columns(legs: Sequence[LegLine]) -> LegColumns:
    """Return legs in columns, for questions that are asked of many at once."""
    rows = [(leg.start.lat_deg, leg.start.lon_deg, leg.course_deg, leg.length_m) for leg in legs]
    lat, lon, course, length = np.array(rows, np.float64).reshape(-1, 4).T
    return LegColumns(
        is_rhumb=np.array([leg.line == "rhumb" for leg in legs], np.bool_),
        lat_deg=lat,
        lon_deg=lon,
        course_deg=course,
        length_m=length,
    )


def points_along(leg: LegLine | LegColumns, distance_m: ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Return positions along a leg, or one along each of many, and the course there.

    Parameters
    ----------
    leg : LegLine or LegColumns
        The leg, or n legs.
    distance_m : array_like, shape (n,), or (m, n) along n legs
        Distance from the start; negative before it.

    Returns
    -------
    lat_deg, lon_deg, course_deg : ndarray, of the shape of the distances
        Positions and the true course at each.
    """
    legs = in_columns([leg]) if isinstance(leg, LegLine) else leg
    lat, lon, course, distance = columns(legs.lat_deg, legs.lon_deg, legs.course_deg, distance_m)
    if bool(legs.is_rhumb.all()):
        return *rhumb.direct(lat, lon, course, distance), course
    if not bool(legs.is_rhumb.any()):
        return geodesic.direct(lat, lon, course, distance)
    of_kind, other = legs.is_rhumb, ~legs.is_rhumb
    found = np.stack([lat, lon, course])
    found[:2, ..., of_kind] = rhumb.direct(*(one[..., of_kind] for one in (*found, distance)))
    found[..., other] = geodesic.direct(*(one[..., other] for one in (*found, distance)))
    return found[0], found[1], found[2]


def positions(lat_deg: Floats, lon_deg: Floats) -> list[Position]:
    """Return columns of latitude and longitude, shape (n,), as positions."""
    return [
        Position(lat_deg=lat, lon_deg=lon)
        for lat, lon in zip(lat_deg.tolist(), lon_deg.tolist(), strict=True)
    ]


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


def _look(leg: LegLine | LegColumns, along_m: Floats, lat_deg: Floats, lon_deg: Floats) -> Feet:
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
    leg: LegLine | LegColumns,
    low_m: ArrayLike,
    high_m: ArrayLike,
    lat_deg: ArrayLike,
    lon_deg: ArrayLike,
) -> Feet:
    """Return the nearest points of stretches of a leg, or one of each of many, to positions.

    Parameters
    ----------
    leg : LegLine or LegColumns
        The leg, or one for each position.
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
    low, high, lat, lon = columns(low_m, high_m, lat_deg, lon_deg)
    before = (low + high) / 2.0
    ahead_before = _look(leg, before, lat, lon).ahead_m
    along = np.clip(before + ahead_before, low, high)
    found = np.zeros(along.shape, np.bool_)
    for _ in range(_FOOT_STEPS):
        ahead = _look(leg, along, lat, lon).ahead_m
        step = ahead * _secant_gain(along - before, ahead - ahead_before)
        # What is found stays, so that no position's foot hangs on which others were asked for.
        following = np.where(found, along, np.clip(along + step, low, high))
        found = found | (np.abs(following - along) <= _FOOT_TOLERANCE_M)
        before, ahead_before, along = along, ahead, following
        if bool(found.all()):
            break
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
