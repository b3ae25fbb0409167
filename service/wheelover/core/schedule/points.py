"""The critical points of a passage, when she is there, and the light then."""

from collections.abc import Mapping, Sequence
from typing import Literal

from wheelover.core.schedule.compass import leg_courses
from wheelover.core.schedule.sun import sun_days
from wheelover.core.types.clearance import Piece
from wheelover.core.types.compass import SkyFound
from wheelover.core.types.route import Position, Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sky import CriticalPoint, DaylightNeed, Light, SunRow
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg, PlannedTurn

NO_DEPARTURE = "no departure_utc is given"
NO_LEG = "no leg leads there"
BEYOND = "the time lies beyond the year 9999"

_LAST_S = 253_402_214_400.0
"""The last day of the year 9999."""

NeedResult = Literal["met", "twilight", "dark"]


def points_of(
    route: Route,
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    times: Mapping[Piece, PieceTime],
) -> tuple[CriticalPoint, ...]:
    """Return every waypoint and planned wheel-over, and how long after the departure she is there.

    Parameters
    ----------
    route : Route
        The waypoints.
    legs, turns : sequences of PlannedLeg and PlannedTurn
        The planned track. At a turn she is at the waypoint in the middle of the arc.
    times : mapping of Piece to PieceTime
        When she comes to each piece.
    """
    to_leg = {leg.from_index + 1: leg for leg in legs}
    from_leg = {leg.from_index: leg for leg in legs}
    at = {turn.waypoint_index: turn for turn in turns}
    found = []
    for index, waypoint in enumerate(route.waypoints):
        turn, leg, after = at.get(index), to_leg.get(index), from_leg.get(index)
        if turn is not None and leg is not None and turn.planned.position is not None:
            time = times.get(Piece(kind="leg", index=leg.index))
            along_m = leg.length_m - (turn.planned.distance_m or 0.0)
            found.append(
                _point(
                    index,
                    waypoint.id,
                    turn.planned.position,
                    time,
                    along_m,
                    part="wheel_over",
                )
            )
        place = Position(lat_deg=waypoint.lat_deg, lon_deg=waypoint.lon_deg)
        if turn is not None and turn.arc is not None:
            time, along_m = times.get(Piece(kind="turn", index=turn.index)), turn.arc.arc_m / 2.0
        elif leg is not None:
            time, along_m = times.get(Piece(kind="leg", index=leg.index)), leg.length_m
        else:
            time = None if after is None else times.get(Piece(kind="leg", index=after.index))
            along_m = 0.0
        found.append(_point(index, waypoint.id, place, time, along_m))
    return tuple(found)


def _point(
    index: int,
    waypoint_id: str,
    position: Position,
    time: PieceTime | None,
    along_m: float,
    *,
    part: Literal["waypoint", "wheel_over"] = "waypoint",
) -> CriticalPoint:
    """Return one point, with the time that she is there or why it is not known."""
    after_s = None if time is None else time.at_s(along_m)
    reason = None
    if after_s is None:
        reason = NO_LEG if time is None else time.reason or "no time is known"
    return CriticalPoint(
        waypoint_index=index,
        waypoint_id=waypoint_id,
        part=part,
        position=position,
        after_s=after_s,
        reason=reason,
    )


def sun_rows(points: Sequence[CriticalPoint], departure_s: float | None) -> tuple[SunRow, ...]:
    """Return the sun at critical points for a departure.

    Parameters
    ----------
    points : sequence of CriticalPoint
        With times after the departure.
    departure_s : float or None
        Seconds since 1970 UTC.
    """
    if departure_s is None:
        return tuple(SunRow(point=one, reason=one.reason or NO_DEPARTURE) for one in points)
    timed = [
        (one, departure_s + one.after_s)
        for one in points
        if one.after_s is not None and departure_s + one.after_s < _LAST_S
    ]
    known, at_s = [one for one, _ in timed], [when for _, when in timed]
    days = sun_days(
        [one.position.lat_deg for one in known], [one.position.lon_deg for one in known], at_s
    )
    found = {
        (one.waypoint_index, one.part): SunRow(point=one, at_s=when, day=day)
        for one, when, day in zip(known, at_s, days, strict=True)
    }
    return tuple(
        found.get((one.waypoint_index, one.part), SunRow(point=one, reason=one.reason or BEYOND))
        for one in points
    )


def row_of(rows: Sequence[SunRow], need: DaylightNeed) -> SunRow | None:
    """Return the row that a need of daylight is about; None where no such point is planned."""
    return next(
        (
            one
            for one in rows
            if one.point.waypoint_id == need.waypoint_id and one.point.part == need.part
        ),
        None,
    )


def need_met(light: Light) -> NeedResult:
    """Return whether a need of daylight is met: from sunrise to sunset, and not in twilight.

    Examples
    --------
    >>> need_met("day"), need_met("civil"), need_met("nautical")
    ('met', 'twilight', 'dark')
    """
    if light == "day":
        return "met"
    return "twilight" if light == "civil" else "dark"


def sky_of(
    route: Route,
    ship: ShipProfile | None,
    track: tuple[Sequence[PlannedLeg], Sequence[PlannedTurn]],
    times: Mapping[Piece, PieceTime],
    departure_s: float | None,
) -> SkyFound:
    """Return the courses by compass of a planned track, and the sun at its critical points.

    Parameters
    ----------
    route : Route
        The waypoints.
    ship : ShipProfile or None
        Her compasses.
    track : tuple of sequences of PlannedLeg and PlannedTurn
        The planned track.
    times : mapping of Piece to PieceTime
        When she comes to each piece.
    departure_s : float or None
        Seconds since 1970 UTC.
    """
    legs, turns = track
    return SkyFound(
        courses=leg_courses(route, ship, legs, times, departure_s),
        sun=sun_rows(points_of(route, legs, turns, times), departure_s),
    )
