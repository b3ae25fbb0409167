"""The turn struck about a fixed mark: the waypoint whose planned turn keeps one distance off it.

Planning gives the waypoint and finds the circle; here the circle is given and the waypoint found.
"""

import math
from dataclasses import dataclass

from wheelover.core.arrays import require_finite
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo import geodesic, rhumb
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.legs import positions
from wheelover.core.turns.arc import arc_length_m
from wheelover.core.turns.solve_arc import LEAST_CHANGE_DEG, MOST_CHANGE_DEG
from wheelover.core.types.route import Position

_STEPS = 50
_TOLERANCE_DEG = 1e-13
_TOLERANCE_M = 1e-8
_GOOD_ENOUGH_M = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnAboutMark:
    """A turn about a mark. Tangent lengths are along the legs, from the waypoint."""

    waypoint: Position
    start: Position
    end: Position
    course_change_deg: float
    tangent_in_m: float
    tangent_out_m: float
    arc_m: float


def turn_about_mark(
    mark: Position, radius_m: float, course_in_deg: float, course_out_deg: float
) -> TurnAboutMark:
    """Return the turn at one geodesic distance about a mark, between two rhumb courses.

    The turn goes the shorter way round, and the mark lies inside it.

    Parameters
    ----------
    mark : Position
        What the turn is struck about.
    radius_m : float
        Distance to keep off it, metres, above zero.
    course_in_deg, course_out_deg : float
        True courses of the legs, the same all along them.

    Raises
    ------
    OutOfDomain
        For a change of course beyond 150 degrees, or none at all, and beside a pole, where the
        legs do not meet.

    Notes
    -----
    A leg touches the circle where the mark bears square off its course, so both tangent points are
    found by themselves; the legs run on from them meet at the waypoint. A plane construction
    passes up to 8 m too close at 2 NM and high latitude.

    Examples
    --------
    Half a mile about a mark on the equator, north to east; on a plane the tangent is 926 m [T7]_:

    >>> mark = Position(lat_deg=0.0, lon_deg=0.0)
    >>> round(turn_about_mark(mark, 926.0, 0.0, 90.0).tangent_in_m, 2)
    926.0
    """
    change_deg = float(signed_change_deg(course_in_deg, course_out_deg))
    _refuse_change(abs(change_deg))
    sign = math.copysign(1.0, change_deg)
    start, from_deg = _touching(mark, radius_m, course_in_deg, sign)
    end, to_deg = _touching(mark, radius_m, course_out_deg, sign)
    waypoint, tangent_in_m, tangent_out_m = _meeting(
        (start, course_in_deg), (end, course_out_deg), radius_m
    )
    sweep_deg = sign * float(signed_change_deg(from_deg, to_deg))
    arc_m = float(arc_length_m(mark.lat_deg, radius_m, sweep_deg)[0])
    require_finite("turn about a mark", [tangent_in_m, tangent_out_m, arc_m])
    if min(tangent_in_m, tangent_out_m, sweep_deg) <= 0.0:
        raise OutOfDomain("so near a pole these courses do not meet outside the circle")
    return TurnAboutMark(
        waypoint=waypoint,
        start=start,
        end=end,
        course_change_deg=change_deg,
        tangent_in_m=tangent_in_m,
        tangent_out_m=tangent_out_m,
        arc_m=arc_m,
    )


def turn_between(
    mark: Position, radius_m: float, before: Position, after: Position
) -> TurnAboutMark:
    """Return the turn about a mark whose rhumb legs come from one place and lead to another.

    The mark lies inside the bend: it is left on the side to which the way over it turns.

    Parameters
    ----------
    mark : Position
        What the turn is struck about.
    radius_m : float
        Distance to keep off it, metres, above zero.
    before, after : Position
        The waypoints before and after.

    Raises
    ------
    OutOfDomain
        When one of them lies inside the circle, the way over the mark does not turn or turns too
        far, or no legs from and to them touch the circle.

    Notes
    -----
    From the way over the mark itself the courses are taken again and again over the waypoint that
    they give, until it stays where it is; each look brings it closer by the radius over the length
    of a leg.
    """
    for place in (before, after):
        off = geodesic.inverse(mark.lat_deg, mark.lon_deg, place.lat_deg, place.lon_deg)
        if float(off[2][0]) <= radius_m:
            raise OutOfDomain("a neighbouring waypoint lies inside the circle about the mark")
    waypoint = mark
    sign = 0.0
    for _ in range(_STEPS):
        course_in_deg = _course_deg(before, waypoint)
        course_out_deg = _course_deg(waypoint, after)
        turn = turn_about_mark(mark, radius_m, course_in_deg, course_out_deg)
        sign = sign or turn.course_change_deg
        if sign * turn.course_change_deg < 0.0:
            break
        moved = geodesic.inverse(
            waypoint.lat_deg, waypoint.lon_deg, turn.waypoint.lat_deg, turn.waypoint.lon_deg
        )
        waypoint = turn.waypoint
        if float(moved[2][0]) <= _GOOD_ENOUGH_M:
            return turn
    raise OutOfDomain("no legs from and to the neighbouring waypoints touch the circle")


def _course_deg(start: Position, end: Position) -> float:
    """Return the rhumb course from one position to another."""
    course, _ = rhumb.inverse(start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg)
    return float(course[0])


def _refuse_change(size_deg: float) -> None:
    """Refuse a change of course for which there is no such turn."""
    if size_deg > MOST_CHANGE_DEG + 1e-9:
        raise OutOfDomain(
            f"a change of course of {size_deg:.1f} degrees is over {MOST_CHANGE_DEG:.0f}: no "
            "waypoint construction exists"
        )
    if size_deg < LEAST_CHANGE_DEG:
        raise OutOfDomain(f"a change of course of {size_deg:.3f} degrees is no turn")


def _touching(
    mark: Position, radius_m: float, course_deg: float, sign: float
) -> tuple[Position, float]:
    """Return where a course touches the circle, and how that point bears from the mark.

    The line from the mark arrives there square to the course: on a starboard turn the mark lies to
    starboard, so the line goes on to port.
    """
    wanted_deg = course_deg - 90.0 * sign
    bearing_deg = wanted_deg
    for _ in range(_STEPS):
        lat, lon, arriving = geodesic.direct(mark.lat_deg, mark.lon_deg, bearing_deg, radius_m)
        off_deg = float(signed_change_deg(arriving[0], wanted_deg))
        if abs(off_deg) <= _TOLERANCE_DEG:
            break
        bearing_deg += off_deg
    if abs(off_deg) > 1e-9 or abs(float(lat[0])) >= 90.0:
        raise OutOfDomain("the circle lies too near a pole for a course to touch it")
    return Position(lat_deg=float(lat[0]), lon_deg=float(lon[0])), bearing_deg


def _meeting(
    first: tuple[Position, float], second: tuple[Position, float], radius_m: float
) -> tuple[Position, float, float]:
    """Return where one rhumb line run on meets another run back, and how far from their points.

    From the plane's tangent length both runs are moved until their ends coincide.
    """
    (start, course_in_deg), (end, course_out_deg) = first, second
    in_rad, out_rad = math.radians(course_in_deg), math.radians(course_out_deg)
    turning = math.sin(out_rad - in_rad)
    plane_m = radius_m * math.tan(
        math.radians(abs(float(signed_change_deg(course_in_deg, course_out_deg)))) / 2.0
    )
    in_m = out_m = plane_m
    best: tuple[float, Position, float, float] | None = None
    for _ in range(_STEPS):
        lat, lon = rhumb.direct(
            [start.lat_deg, end.lat_deg],
            [start.lon_deg, end.lon_deg],
            [course_in_deg, course_out_deg],
            [in_m, -out_m],
        )
        gap = geodesic.inverse(lat[0], lon[0], lat[1], lon[1])
        gap_rad, gap_m = math.radians(float(gap[0][0])), float(gap[2][0])
        if best is None or gap_m < best[0]:
            best = (gap_m, positions(lat, lon)[0], in_m, out_m)
        if gap_m <= _TOLERANCE_M:
            break
        in_m += gap_m * math.sin(out_rad - gap_rad) / turning
        out_m += gap_m * math.sin(gap_rad - in_rad) / turning
    if best is None or best[0] > _GOOD_ENOUGH_M:
        raise OutOfDomain("the courses do not meet near the mark")
    return best[1], best[2], best[3]
