"""The planned turn: the circle of constant geodesic radius tangent to both legs.

A tangent length from a plane, R tan(change / 2), is up to 17 m wrong where rhumb legs curve; the
circle is solved on the ellipsoid instead.
"""

import math
from dataclasses import dataclass

from wheelover.core.arrays import require_finite
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.geo.ellipsoid import normal_radius_m
from wheelover.core.legs import points_along
from wheelover.core.turns.arc import arc_length_m
from wheelover.core.types.route import Position
from wheelover.core.types.track import Arc, LegLine

LEAST_CHANGE_DEG = 0.005
"""Below this the tangent lengths come from the curvatures at the waypoint: solving for centres
along lines that are almost one would lose digits."""

MOST_CHANGE_DEG = 150.0
"""Beyond this a waypoint construction is refused: the tangent grows without bound."""

_STEPS = 60
_TOLERANCE_M = 1e-8
_GOOD_ENOUGH_M = 1e-6
_MOST_SWEEP_OFF_DEG = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Touch:
    """A tangent point of the turn, and the centre that lies square off the leg there."""

    position: Position
    course_deg: float
    centre: Position


def _touch(leg: LegLine, along_m: float, radius_m: float, sign: float) -> _Touch:
    """Return the tangent point at a distance along a leg and the centre square off it."""
    lat, lon, course = points_along(leg, along_m)
    centre_lat, centre_lon, _ = geodesic.direct(lat, lon, course + 90.0 * sign, radius_m)
    return _Touch(
        position=Position(lat_deg=float(lat[0]), lon_deg=float(lon[0])),
        course_deg=float(course[0]),
        centre=Position(lat_deg=float(centre_lat[0]), lon_deg=float(centre_lon[0])),
    )


def _bearing_and_distance(start: Position, end: Position) -> tuple[float, float]:
    """Return bearing and geodesic distance from one position to another."""
    bearing, _, distance = geodesic.inverse(start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg)
    return float(bearing[0]), float(distance[0])


def _tangent_steps(first: _Touch, second: _Touch) -> tuple[float, float, float]:
    """Return the changes of both tangent lengths that bring the centres together, and their gap.

    Moving a tangent point along its leg carries the centre along with it on a parallel course,
    so the gap between the centres is resolved along the two courses.
    """
    bearing_deg, gap_m = _bearing_and_distance(first.centre, second.centre)
    gap_rad = math.radians(bearing_deg)
    in_rad, out_rad = math.radians(first.course_deg), math.radians(second.course_deg)
    turning = math.sin(out_rad - in_rad)
    if turning == 0.0:
        raise OutOfDomain("the legs run parallel at the tangent points")
    step_in_m = -gap_m * math.sin(out_rad - gap_rad) / turning
    step_out_m = -gap_m * math.sin(gap_rad - in_rad) / turning
    return step_in_m, step_out_m, gap_m


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
    >>> corner = Position(lat_deg=0.0, lon_deg=0.0)
    >>> north = leg_line("rhumb", Position(lat_deg=-0.1, lon_deg=0.0), corner)
    >>> east = leg_line("rhumb", corner, Position(lat_deg=0.0, lon_deg=0.1))
    >>> round(solve_arc(north, east, 926.0, 90.0).tangent_in_m, 2)
    926.0
    """
    if abs(course_change_deg) > MOST_CHANGE_DEG + 1e-9:
        raise OutOfDomain(f"a change of {course_change_deg:g} degrees has no waypoint construction")
    sign = math.copysign(1.0, course_change_deg)
    if abs(course_change_deg) < LEAST_CHANGE_DEG:
        tangents_m = _small_tangents_m(leg_in, leg_out, radius_m, course_change_deg)
        first = _touch(leg_in, leg_in.length_m - tangents_m[0], radius_m, sign)
        second = _touch(leg_out, tangents_m[1], radius_m, sign)
    else:
        plane_m = radius_m * math.tan(math.radians(abs(course_change_deg)) / 2.0)
        found = _bring_together(leg_in, leg_out, radius_m, sign, plane_m)
        if found is None:
            return None
        first, second, tangents_m = found
    return _arc(first, second, radius_m, tangents_m, course_change_deg)


def _bring_together(
    leg_in: LegLine, leg_out: LegLine, radius_m: float, sign: float, plane_m: float
) -> tuple[_Touch, _Touch, tuple[float, float]] | None:
    """Return tangent points whose centres coincide, from the plane's tangent length on.

    On long legs rounding leaves the centres some 1e-7 m apart however long one looks, so the best
    look counts, if it is good enough.
    """
    tangent_in_m = tangent_out_m = plane_m
    best: tuple[_Touch, _Touch, tuple[float, float]] | None = None
    best_gap_m = math.inf
    for _ in range(_STEPS):
        first = _touch(leg_in, leg_in.length_m - tangent_in_m, radius_m, sign)
        second = _touch(leg_out, tangent_out_m, radius_m, sign)
        step_in_m, step_out_m, gap_m = _tangent_steps(first, second)
        if gap_m < best_gap_m:
            best, best_gap_m = (first, second, (tangent_in_m, tangent_out_m)), gap_m
        elif best_gap_m <= _GOOD_ENOUGH_M:
            break
        if gap_m <= _TOLERANCE_M:
            break
        tangent_in_m += step_in_m
        tangent_out_m += step_out_m
    return best if best_gap_m <= _GOOD_ENOUGH_M else None


def _small_tangents_m(
    leg_in: LegLine, leg_out: LegLine, radius_m: float, course_change_deg: float
) -> tuple[float, float]:
    """Return the tangent lengths of a change so small that the centres lie on almost one line.

    Half the change over the curvature of the arc relative to the leg's own.
    """
    half_rad = math.radians(abs(course_change_deg)) / 2.0
    sign = math.copysign(1.0, course_change_deg)
    curves_per_m = (
        _curve_per_m(leg_in, leg_in.length_m) * sign,
        _curve_per_m(leg_out, 0.0) * sign,
    )
    relative = [1.0 / radius_m - curve_per_m for curve_per_m in curves_per_m]
    if min(relative) <= 0.0:
        raise OutOfDomain("the legs curve more sharply than the turn")
    return half_rad / relative[0], half_rad / relative[1]


def _curve_per_m(leg: LegLine, along_m: float) -> float:
    """Return how much a leg curves off the geodesic at a place, to starboard, radians a metre.

    A rhumb line curves towards the nearer pole, by tan(latitude) sin(course) over the normal
    radius; a geodesic does not curve.
    """
    if leg.line == "geodesic":
        return 0.0
    lat, _, course = points_along(leg, along_m)
    bend = math.tan(math.radians(float(lat[0]))) * math.sin(math.radians(float(course[0])))
    return -bend / float(normal_radius_m(lat[0]))


def _arc(
    first: _Touch,
    second: _Touch,
    radius_m: float,
    tangents_m: tuple[float, float],
    course_change_deg: float,
) -> Arc | None:
    """Return the arc between two tangent points, or None where it is not the turn that was asked.

    The angle at the centre is close to the change of course; where it is not, another circle was
    found that touches the legs run on, as happens beside a pole.
    """
    from_deg, _ = _bearing_and_distance(first.centre, first.position)
    to_deg, _ = _bearing_and_distance(first.centre, second.position)
    sign = math.copysign(1.0, course_change_deg)
    # Noise of a bearing may turn the angle of no turn at all a little backwards.
    sweep_deg = max(sign * float(signed_change_deg(from_deg, to_deg)), 0.0)
    if abs(sweep_deg - abs(course_change_deg)) > _MOST_SWEEP_OFF_DEG:
        return None
    arc_m = arc_length_m(first.centre.lat_deg, radius_m, sweep_deg)
    require_finite("arc of a turn", [*tangents_m, sweep_deg, arc_m])
    return Arc(
        centre=first.centre,
        start=first.position,
        end=second.position,
        radius_m=radius_m,
        tangent_in_m=tangents_m[0],
        tangent_out_m=tangents_m[1],
        arc_m=arc_m,
        from_bearing_deg=from_deg,
        sweep_deg=sign * sweep_deg,
    )
