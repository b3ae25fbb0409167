"""Strike a turn about a fixed mark: keep one distance off it all the way round."""

from typing import Any

from wheelover.core.errors import Fault, InvalidInput
from wheelover.core.turns.about_mark import TurnAboutMark, turn_about_mark, turn_between
from wheelover.core.types.route import Position
from wheelover.core.units import m_from_nm
from wheelover.render.rounding import DEGREES, METRES, position, rounded


def strike_turn(
    mark: Position, radius_nm: float, course_in_deg: float, course_out_deg: float
) -> dict[str, Any]:
    """Return the turn about a mark between two courses as JSON values.

    Raises
    ------
    InvalidInput
        For a mark on a pole.
    OutOfDomain
        For courses between which there is no such turn.
    """
    _refuse_pole(mark, "mark")
    return _document(turn_about_mark(mark, m_from_nm(radius_nm), course_in_deg, course_out_deg))


def strike_turn_between(
    mark: Position, radius_nm: float, before: Position, after: Position
) -> dict[str, Any]:
    """Return the turn about a mark between two waypoints as JSON values.

    Raises
    ------
    InvalidInput
        For a position on a pole.
    OutOfDomain
        For waypoints between which there is no such turn.
    """
    for name, place in (("mark", mark), ("before", before), ("after", after)):
        _refuse_pole(place, name)
    return _document(turn_between(mark, m_from_nm(radius_nm), before, after))


def _refuse_pole(place: Position, member: str) -> None:
    """Refuse a position on a pole."""
    if abs(place.lat_deg) >= 90.0:
        message = f"latitude {place.lat_deg:g} is a pole, where no course exists"
        raise InvalidInput(message, (Fault(pointer=f"/{member}/lat_deg", message=message),))


def _document(turn: TurnAboutMark) -> dict[str, Any]:
    """Return a turn about a mark as JSON values."""
    return {
        "waypoint": position(turn.waypoint),
        "start": position(turn.start),
        "end": position(turn.end),
        "course_change_deg": rounded(turn.course_change_deg, DEGREES),
        "tangent_in_m": rounded(turn.tangent_in_m, METRES),
        "tangent_out_m": rounded(turn.tangent_out_m, METRES),
        "arc_m": rounded(turn.arc_m, METRES),
    }
