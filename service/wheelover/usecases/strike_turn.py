"""Strike a turn about a fixed mark: keep one distance off it all the way round."""

from typing import Any

from wheelover.core.errors import Fault, InvalidInput
from wheelover.core.turns.about_mark import turn_about_mark
from wheelover.core.types.route import Position
from wheelover.core.units import m_from_nm
from wheelover.render.rounding import DEGREES, METRES, position, rounded


def strike_turn(
    lat_deg: float, lon_deg: float, radius_nm: float, course_in_deg: float, course_out_deg: float
) -> dict[str, Any]:
    """Return the waypoint, tangent points and lengths of a turn about a mark as JSON values.

    Raises
    ------
    InvalidInput
        For a mark on a pole.
    OutOfDomain
        For courses between which there is no such turn.
    """
    if abs(lat_deg) >= 90.0:
        message = f"latitude {lat_deg:g} is a pole, where no course exists"
        raise InvalidInput(message, (Fault(pointer="/mark/lat_deg", message=message),))
    mark = Position(lat_deg=lat_deg, lon_deg=lon_deg)
    turn = turn_about_mark(mark, m_from_nm(radius_nm), course_in_deg, course_out_deg)
    return {
        "waypoint": position(turn.waypoint),
        "start": position(turn.start),
        "end": position(turn.end),
        "course_change_deg": rounded(turn.course_change_deg, DEGREES),
        "tangent_in_m": rounded(turn.tangent_in_m, METRES),
        "tangent_out_m": rounded(turn.tangent_out_m, METRES),
        "arc_m": rounded(turn.arc_m, METRES),
    }
