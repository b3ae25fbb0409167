"""The wheel-over line: through the wheel-over point, parallel to the new course.

Helm given on the line, not at the point, ends on the new track whatever the cross-track error on
the old one.
"""

import math

from wheelover.core.geo import geodesic
from wheelover.core.legs import feet_on_leg
from wheelover.core.types.route import Position
from wheelover.core.types.track import LegLine, WheelOverLine
from wheelover.core.units import NM_M

_HALF_LENGTH_M = 0.25 * NM_M


def wheel_over_line(
    wheel_over: Position, leg_out: LegLine, course_out_deg: float, reach_back_m: float
) -> WheelOverLine:
    """Return the wheel-over line and its offset from the outbound leg.

    Parameters
    ----------
    wheel_over : Position
        The planned wheel-over point.
    leg_out : LegLine
        The outbound leg.
    course_out_deg : float
        Its course at the waypoint.
    reach_back_m : float
        How far before the waypoint the outbound line, run backwards, must be searched for the
        point abeam: not less than the wheel-over distance.

    Notes
    -----
    On a plane the offset is the wheel-over distance times the sine of the change of course
    (common practice of the trade [WO]_); here it is the geodesic distance to the outbound line.
    """
    foot = feet_on_leg(
        leg_out, -1.5 * reach_back_m, 1.5 * reach_back_m, wheel_over.lat_deg, wheel_over.lon_deg
    )
    ends = [
        geodesic.direct(wheel_over.lat_deg, wheel_over.lon_deg, course_out_deg, run_m)
        for run_m in (-_HALF_LENGTH_M, _HALF_LENGTH_M)
    ]
    start, end = (Position(lat_deg=float(lat[0]), lon_deg=float(lon[0])) for lat, lon, _ in ends)
    offset_m = math.copysign(float(foot.distance_m[0]), float(foot.bearing_off_deg[0]))
    return WheelOverLine(
        course_deg=course_out_deg,
        offset_m=offset_m,
        offset_side="starboard" if offset_m >= 0.0 else "port",
        start=start,
        end=end,
    )
