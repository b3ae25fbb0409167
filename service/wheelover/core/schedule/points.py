"""The critical points of a passage, when she is there, and the light then."""

from collections.abc import Sequence
from typing import Literal

from wheelover.core.schedule.compass import leg_courses
from wheelover.core.schedule.sun import sun_days
from wheelover.core.types.compass import SkyFound
from wheelover.core.types.route import Position, Route
from wheelover.core.types.schedule import Schedule
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sky import CriticalPoint, DaylightNeed, Light, SunRow
from wheelover.core.types.track import PlannedLeg, PlannedTurn

NO_DEPARTURE = "no departure_utc is given"
NO_TIME = "when she is there is not known"
BEYOND = "the time lies beyond the year 9999"

_LAST_S = 253_402_214_400.0
"""The last day of the year 9999."""

NeedResult = Literal["met", "twilight", "dark"]


def points_of(
    route: Route, turns: Sequence[PlannedTurn], schedule: Schedule
) -> tuple[CriticalPoint, ...]:
    """Return every waypoint and planned wheel-over, and how long after the departure she is there.

    Parameters
    ----------
    route : Route
        The waypoints.
    turns : sequence of PlannedTurn
        With the planned wheel-overs.
    schedule : Schedule
        When she is where.
    """
    turn_at = {turn.waypoint_index: turn for turn in turns}
    helm_at = {one.waypoint_index: one for one in schedule.wheel_overs}
    found = []
    for row in schedule.rows:
        index = row.waypoint_index
        waypoint, turn, helm = route.waypoints[index], turn_at.get(index), helm_at.get(index)
        if turn is not None and helm is not None and turn.planned.position is not None:
            found.append(
                CriticalPoint(
                    waypoint_index=index,
                    waypoint_id=waypoint.id,
                    part="wheel_over",
                    position=turn.planned.position,
                    after_s=helm.at_s,
                    reason=helm.reason if helm.at_s is None else None,
                )
            )
        found.append(
            CriticalPoint(
                waypoint_index=index,
                waypoint_id=waypoint.id,
                part="waypoint",
                position=Position(lat_deg=waypoint.lat_deg, lon_deg=waypoint.lon_deg),
                after_s=row.eta_s,
                reason=row.reason if row.eta_s is None else None,
            )
        )
    return tuple(found)


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
    given: tuple[Route, ShipProfile | None],
    track: tuple[Sequence[PlannedLeg], Sequence[PlannedTurn]],
    schedule: Schedule,
) -> SkyFound:
    """Return the courses by compass of a planned track, and the sun at its critical points.

    Parameters
    ----------
    given : tuple of Route and ShipProfile or None
        The waypoints, and her compasses.
    track : tuple of sequences of PlannedLeg and PlannedTurn
        The planned track.
    schedule : Schedule
        When she is where, and what she steers in the stream.
    """
    (route, ship), (legs, turns) = given, track
    return SkyFound(
        courses=leg_courses(route, ship, legs, schedule),
        sun=sun_rows(points_of(route, turns, schedule), schedule.departure_s),
    )
