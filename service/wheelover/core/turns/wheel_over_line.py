"""The wheel-over line: through the wheel-over point, parallel to the new course.

Helm given on the line, not at the point, ends on the new track whatever the cross-track error on
the old one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.geo import geodesic
from wheelover.core.legs import feet_on_leg, in_columns, positions
from wheelover.core.types.route import Position
from wheelover.core.types.track import LegLine, WheelOverLine
from wheelover.core.units import NM_M

_HALF_LENGTH_M = 0.25 * NM_M


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAsked:
    """A wheel-over line that is asked for.

    ``leg_out`` is the outbound leg; its course at the waypoint is the line's. ``reach_back_m`` is
    how far before the waypoint that leg, run backwards, must be searched for the point abeam: not
    less than the wheel-over distance.
    """

    wheel_over: Position
    leg_out: LegLine
    reach_back_m: float


def wheel_over_lines(asked: Sequence[LineAsked]) -> list[WheelOverLine]:
    """Return wheel-over lines and their offsets from the outbound legs.

    Parameters
    ----------
    asked : sequence of LineAsked
        The planned wheel-over points and the legs that follow them.

    Raises
    ------
    OutOfDomain
        Where, beside a pole, a leg cannot be run back far enough to measure the offset from it.

    Notes
    -----
    On a plane the offset is the wheel-over distance times the sine of the change of course
    (common practice of the trade [WO]_); here it is the geodesic distance to the outbound line.
    """
    legs = in_columns([one.leg_out for one in asked])
    lat = np.array([one.wheel_over.lat_deg for one in asked])
    lon = np.array([one.wheel_over.lon_deg for one in asked])
    reach_m = 1.5 * np.array([one.reach_back_m for one in asked])
    feet = feet_on_leg(legs, -reach_m, reach_m, lat, lon)
    runs_m = np.array([[-_HALF_LENGTH_M], [_HALF_LENGTH_M]])
    end_lat, end_lon, _ = geodesic.direct(lat, lon, legs.course_deg, runs_m)
    return [
        WheelOverLine(
            course_deg=one.leg_out.course_deg,
            offset_m=offset_m,
            offset_side="starboard" if offset_m >= 0.0 else "port",
            start=start,
            end=end,
        )
        for one, offset_m, start, end in zip(
            asked,
            np.copysign(feet.distance_m, feet.bearing_off_deg).tolist(),
            positions(end_lat[0], end_lon[0]),
            positions(end_lat[1], end_lon[1]),
            strict=True,
        )
    ]
