"""The planned turn: the circle of constant geodesic radius tangent to both legs.

A tangent length from a plane, R tan(change / 2), is up to 17 m wrong where rhumb legs curve; the
circle is solved on the ellipsoid instead.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, require_finite
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.geo.ellipsoid import normal_radius_m
from wheelover.core.legs import LegColumns, in_columns, points_along, positions
from wheelover.core.turns.arc import arc_length_m
from wheelover.core.types.track import Arc, LegLine

LEAST_CHANGE_DEG = 0.005
"""Below this the tangent lengths come from the curvatures at the waypoint: solving for centres
along lines that are almost one would lose digits."""

MOST_CHANGE_DEG = 150.0
"""Beyond this a waypoint construction is refused: the tangent grows without bound."""

_KEPT = 32
_STEPS = 60
_TOLERANCE_M = 1e-8
_GOOD_ENOUGH_M = 1e-6
_MOST_SWEEP_OFF_DEG = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A turn to be solved: the legs that meet, the radius and the change of course there."""

    leg_in: LegLine
    leg_out: LegLine
    radius_m: float
    course_change_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bends:
    """Bends, n of them, in columns.

    ``legs`` and whatever else is of shape (2, n) holds the inbound side first and the outbound
    second. ``sign`` is 1 for turns to starboard and -1 for turns to port.
    """

    legs: LegColumns
    radius_m: Floats
    change_deg: Floats
    sign: Floats

    def rows(self, which: Ints | Bools) -> "_Bends":
        """Return the bends of the given numbers."""
        return _Bends(
            legs=self.legs.rows(which),
            radius_m=self.radius_m[which],
            change_deg=self.change_deg[which],
            sign=self.sign[which],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Touches:
    """Tangent points, the courses there and the centres square off the legs, shape (2, n)."""

    lat_deg: Floats
    lon_deg: Floats
    course_deg: Floats
    centre_lat_deg: Floats
    centre_lon_deg: Floats


def solve_arc(
    leg_in: LegLine, leg_out: LegLine, radius_m: float, course_change_deg: float
) -> Arc | None:
    """Return the arc tangent to both legs, or None where the iteration finds none.

    Parameters
    ----------
    leg_in, leg_out : LegLine
        The legs that meet at the waypoint.
    radius_m : float
        Geodesic radius, above zero.
    course_change_deg : float
        Change of course at the waypoint, starboard positive, at most 150 degrees either way.

    Returns
    -------
    Arc or None
        Tangent lengths are measured along the legs from the waypoint. They differ on the two
        sides, and reach beyond a leg that is too short.

    Raises
    ------
    OutOfDomain
        For a change beyond 150 degrees.

    Notes
    -----
    Unknowns are the two tangent lengths. From the plane's R tan(change / 2) they are moved until
    the centres square off both legs coincide; two or three looks reach 1e-8 m.

    Examples
    --------
    A 90 degree turn of half a mile on the equator; on a plane the tangent is 926 m [T7]_:

    >>> from wheelover.core.legs import leg_line
    >>> from wheelover.core.types.route import Position
    >>> corner = Position(lat_deg=0.0, lon_deg=0.0)
    >>> north = leg_line("rhumb", Position(lat_deg=-0.1, lon_deg=0.0), corner)
    >>> east = leg_line("rhumb", corner, Position(lat_deg=0.0, lon_deg=0.1))
    >>> round(solve_arc(north, east, 926.0, 90.0).tangent_in_m, 2)
    926.0
    """
    bend = Bend(
        leg_in=leg_in, leg_out=leg_out, radius_m=radius_m, course_change_deg=course_change_deg
    )
    return solve_arcs([bend])[0]


def solve_arcs(turns: Sequence[Bend]) -> list[Arc | None]:
    """Return the arcs of many turns, each as ``solve_arc`` returns it.

    Parameters
    ----------
    turns : sequence of Bend
        The turns. None has an influence on another.

    Raises
    ------
    OutOfDomain
        When one of them cannot be solved for.
    """
    return list(_solved(tuple(turns)))


@lru_cache(maxsize=_KEPT)
def _solved(turns: tuple[Bend, ...]) -> tuple[Arc | None, ...]:
    """Return the arcs of many turns; clock, track and what is beside it ask for the same ones."""
    bends = _in_columns(turns)
    size_deg = np.abs(bends.change_deg)
    if bool((size_deg > MOST_CHANGE_DEG + 1e-9).any()):
        raise OutOfDomain(
            f"a change of {float(size_deg.max()):g} degrees has no waypoint construction"
        )
    found = np.ones(size_deg.shape, np.bool_)
    tangents_m = np.empty((2, size_deg.size))
    small = size_deg < LEAST_CHANGE_DEG
    if bool(small.any()):
        tangents_m[:, small] = _small_tangents_m(bends.rows(small))
    if not bool(small.all()):
        tangents_m[:, ~small], found[~small] = _bring_together(bends.rows(~small))
    arcs: list[Arc | None] = [None] * size_deg.size
    for index, arc in _arcs(bends, tangents_m, np.flatnonzero(found)):
        arcs[index] = arc
    return tuple(arcs)


def _in_columns(turns: Sequence[Bend]) -> _Bends:
    """Return turns in columns."""
    legs = in_columns([*(turn.leg_in for turn in turns), *(turn.leg_out for turn in turns)])
    change_deg = np.array([turn.course_change_deg for turn in turns], np.float64)
    return _Bends(
        legs=legs.rows(np.arange(2 * len(turns)).reshape(2, -1)),
        radius_m=np.array([turn.radius_m for turn in turns], np.float64),
        change_deg=change_deg,
        sign=np.copysign(1.0, change_deg),
    )


def _touches(bends: _Bends, tangents_m: Floats) -> _Touches:
    """Return the tangent points at distances from the waypoints, and the centres off the legs."""
    along_m = np.stack([bends.legs.length_m[0] - tangents_m[0], tangents_m[1]])
    lat, lon, course = points_along(bends.legs, along_m)
    centre_lat, centre_lon, _ = geodesic.direct(
        lat, lon, course + 90.0 * bends.sign, bends.radius_m
    )
    return _Touches(
        lat_deg=lat,
        lon_deg=lon,
        course_deg=course,
        centre_lat_deg=centre_lat,
        centre_lon_deg=centre_lon,
    )


def _tangent_steps_m(touches: _Touches) -> tuple[Floats, Floats]:
    """Return the changes of the tangent lengths that bring the centres together, and their gaps.

    Moving a tangent point along its leg carries the centre along with it on a parallel course,
    so the gap between the centres is resolved along the two courses.
    """
    (lat1, lat2), (lon1, lon2) = touches.centre_lat_deg, touches.centre_lon_deg
    bearing_deg, _, gap_m = geodesic.inverse(lat1, lon1, lat2, lon2)
    gap_rad = np.radians(bearing_deg)
    in_rad, out_rad = np.radians(touches.course_deg)
    turning = np.sin(out_rad - in_rad)
    if bool((turning == 0.0).any()):
        raise OutOfDomain("the legs run parallel at the tangent points")
    steps = np.stack([np.sin(out_rad - gap_rad), np.sin(gap_rad - in_rad)])
    return -gap_m * steps / turning, gap_m


def _bring_together(bends: _Bends) -> tuple[Floats, Bools]:
    """Return the tangent lengths at which the centres coincide, shape (2, n), and where they do.

    They are sought from the plane's on. On long legs rounding leaves the centres some 1e-7 m apart
    however long one looks, so the best look counts, if it is good enough. Whatever is found is not
    looked at again: no turn hangs on which others were asked for.
    """
    plane_m = bends.radius_m * np.tan(np.radians(np.abs(bends.change_deg)) / 2.0)
    tangents_m = np.stack([plane_m, plane_m])
    best_m, best_gap_m = tangents_m.copy(), np.full(plane_m.shape, np.inf)
    left = np.arange(plane_m.size)
    for _ in range(_STEPS):
        steps_m, gap_m = _tangent_steps_m(_touches(bends.rows(left), tangents_m[:, left]))
        better = gap_m < best_gap_m[left]
        best_m[:, left[better]] = tangents_m[:, left[better]]
        best_gap_m[left[better]] = gap_m[better]
        good = best_gap_m[left] <= _GOOD_ENOUGH_M
        more = ~((good & ~better) | (gap_m <= _TOLERANCE_M))
        left = left[more]
        if not left.size:
            break
        tangents_m[:, left] += steps_m[:, more]
    return best_m, best_gap_m <= _GOOD_ENOUGH_M


def _small_tangents_m(bends: _Bends) -> Floats:
    """Return the tangent lengths of changes so small that the centres lie on almost one line.

    Half the change over the curvature of the arc relative to the leg's own.
    """
    half_rad = np.radians(np.abs(bends.change_deg)) / 2.0
    relative_per_m = 1.0 / bends.radius_m - _curves_per_m(bends.legs) * bends.sign
    if bool((relative_per_m <= 0.0).any()):
        raise OutOfDomain("the legs curve more sharply than the turn")
    return half_rad / relative_per_m


def _curves_per_m(legs: LegColumns) -> Floats:
    """Return how much legs curve off the geodesic at the waypoint, to starboard, radians a metre.

    A rhumb line curves towards the nearer pole, by tan(latitude) sin(course) over the normal
    radius; a geodesic does not curve.
    """
    at_waypoint_m = np.stack([legs.length_m[0], np.zeros_like(legs.length_m[1])])
    lat, _, course = points_along(legs, at_waypoint_m)
    bend = np.tan(np.radians(lat)) * np.sin(np.radians(course))
    return np.where(legs.is_rhumb, -bend / normal_radius_m(lat), 0.0)


def _arcs(bends: _Bends, tangents_m: Floats, which: Ints) -> list[tuple[int, Arc]]:
    """Return the arcs between tangent points, with their numbers, where they are what was asked.

    The angle at the centre is close to the change of course; where it is not, another circle was
    found that touches the legs run on, as happens beside a pole.
    """
    if not which.size:
        return []
    bends, tangents_m = bends.rows(which), tangents_m[:, which]
    touches = _touches(bends, tangents_m)
    lat, lon = touches.centre_lat_deg[0], touches.centre_lon_deg[0]
    from_deg, to_deg = geodesic.inverse(lat, lon, touches.lat_deg, touches.lon_deg)[0]
    # Noise of a bearing may turn the angle of no turn at all a little backwards.
    sweep_deg = np.maximum(bends.sign * signed_change_deg(from_deg, to_deg), 0.0)
    arc_m = arc_length_m(lat, bends.radius_m, sweep_deg)
    asked = np.abs(sweep_deg - np.abs(bends.change_deg)) <= _MOST_SWEEP_OFF_DEG
    numbers = np.stack([bends.radius_m, *tangents_m, arc_m, from_deg, bends.sign * sweep_deg])
    require_finite("arc of a turn", numbers[:, asked])
    rows = zip(
        which.tolist(),
        asked.tolist(),
        positions(lat, lon),
        positions(touches.lat_deg[0], touches.lon_deg[0]),
        positions(touches.lat_deg[1], touches.lon_deg[1]),
        numbers.T.tolist(),
        strict=True,
    )
    return [
        (
            index,
            Arc(
                centre=centre,
                start=start,
                end=end,
                radius_m=row[0],
                tangent_in_m=row[1],
                tangent_out_m=row[2],
                arc_m=row[3],
                from_bearing_deg=row[4],
                sweep_deg=row[5],
            ),
        )
        for index, is_asked, centre, start, end, row in rows
        if is_asked
    ]
