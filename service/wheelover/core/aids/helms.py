"""What is asked of cues at each turn: where the helm is given, on which courses, and when."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wheelover.core.geo import geodesic
from wheelover.core.types.clearance import Piece
from wheelover.core.types.route import Position
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import LegLine, PlannedLeg, PlannedTurn
from wheelover.core.units import m_per_s_from_kn


@dataclass(frozen=True, slots=True, kw_only=True)
class Helm:
    """One planned wheel-over. Courses are true, the change starboard positive.

    ``along_m`` is where it lies on its leg, ``speed_m_per_s`` how fast she goes there over the
    ground, None where that is not known; ``at_s`` when, from the start of the plan.
    """

    turn: PlannedTurn
    leg: PlannedLeg
    at: Position
    distance_m: float
    along_m: float
    course_in_deg: float
    course_out_deg: float
    change_deg: float
    speed_m_per_s: float | None
    at_s: float | None


def helms_of(
    turns: Sequence[PlannedTurn], legs: Sequence[PlannedLeg], times: Mapping[Piece, PieceTime]
) -> dict[int, Helm]:
    """Return the planned wheel-overs, by the index of their turns; none for turns without.

    Parameters
    ----------
    turns : sequence of PlannedTurn
        The turns.
    legs : sequence of PlannedLeg
        The legs.
    times : mapping
        When she comes to each piece of the track.
    """
    to_waypoint = {leg.from_index + 1: leg for leg in legs}
    found = {}
    for turn in turns:
        leg = to_waypoint[turn.waypoint_index]
        planned, path = turn.planned, leg.path
        if planned.position is None or planned.distance_m is None or path is None:
            continue
        if turn.course_out_deg is None or turn.course_change_deg is None:
            continue
        along_m = path.length_m - planned.distance_m
        time = times.get(Piece(kind="leg", index=leg.index))
        found[turn.index] = Helm(
            turn=turn,
            leg=leg,
            at=planned.position,
            distance_m=planned.distance_m,
            along_m=along_m,
            course_in_deg=_course_at(path, planned.position, along_m),
            course_out_deg=turn.course_out_deg,
            change_deg=turn.course_change_deg,
            speed_m_per_s=_speed_m_per_s(turn),
            at_s=None if time is None or along_m < time.from_m else time.at_s(along_m),
        )
    return found


def _course_at(path: LegLine, place: Position, along_m: float) -> float:
    """Return the course on a leg at a place on it."""
    if path.line == "rhumb" or along_m == path.length_m:
        return path.arrival_course_deg
    start = path.start
    course = geodesic.inverse(start.lat_deg, start.lon_deg, place.lat_deg, place.lon_deg)[1]
    return path.course_deg if along_m <= 0.0 else float(course[0])


def _speed_m_per_s(turn: PlannedTurn) -> float | None:
    """Return her speed over the ground before a turn, else through the water where none is known.

    The run to the waypoint over the ground holds the current already.
    """
    planned = turn.planned
    if planned.before_waypoint_s and planned.distance_m:
        return planned.distance_m / planned.before_waypoint_s
    return None if turn.approach_speed_kn is None else m_per_s_from_kn(turn.approach_speed_kn)
