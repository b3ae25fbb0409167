"""Needs of daylight and wheel-overs at another departure: when she is there, the light then."""

from collections.abc import Mapping, Sequence

from wheelover.core.schedule.points import NO_TIME, need_met, sun_rows
from wheelover.core.times.assumed import assumed_at, rests_on_gap
from wheelover.core.times.settle import Timing
from wheelover.core.types.clearance import Piece
from wheelover.core.types.cues import TurnCues
from wheelover.core.types.departures import DaylightThen, Outcome, WheelOverThen
from wheelover.core.types.route import Position
from wheelover.core.types.sky import (
    DARK,
    CriticalPoint,
    DaylightNeed,
    Light,
    PointPart,
    SunRow,
)
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg, PlannedTurn

NO_WHEEL_OVER = "no wheel-over is planned there"


def daylight_then(
    needs: Sequence[DaylightNeed],
    timing: Timing,
    times: Mapping[Piece, PieceTime],
    track: tuple[Sequence[PlannedLeg], Sequence[PlannedTurn]],
) -> tuple[DaylightThen, ...]:
    """Return what comes of each need of daylight.

    Parameters
    ----------
    needs : sequence of DaylightNeed
        Where daylight is needed.
    timing : Timing
        What the clock said.
    times : mapping of Piece to PieceTime
        When she comes to each piece.
    track : tuple of sequences of PlannedLeg and PlannedTurn
        The planned track, with its wheel-overs.
    """
    assumed = assumed_at(timing)
    points = [_point((one.waypoint_id, one.part), timing, times, track) for one in needs]
    known = [one for one in points if one is not None]
    rows = iter(sun_rows(known, timing.departure_s) if known else ())
    return tuple(
        DaylightThen(need=need, outcome="not_known", reason=NO_WHEEL_OVER)
        if point is None
        else _then(need, next(rows), assumed.get(point.waypoint_index))
        for need, point in zip(needs, points, strict=True)
    )


def wheel_overs_then(
    cues: Sequence[TurnCues],
    timing: Timing,
    times: Mapping[Piece, PieceTime],
    track: tuple[Sequence[PlannedLeg], Sequence[PlannedTurn]],
) -> tuple[WheelOverThen, ...]:
    """Return the light at every planned wheel-over, and the cues that are not seen in it.

    Parameters
    ----------
    cues : sequence of TurnCues
        As planned, with the sight of each by day and by night.
    timing, times, track
        As for the needs of daylight.
    """
    asked = [_point((one.waypoint_id, "wheel_over"), timing, times, track) for one in track[1]]
    points = [one for one in asked if one is not None]
    turns = {one.waypoint_index: one.index for one in track[1]}
    planned = {one.turn_index: one for one in cues}
    gaps = {index: note for index, note in assumed_at(timing).items() if rests_on_gap(note)}
    return tuple(
        WheelOverThen(
            waypoint_index=row.point.waypoint_index,
            at_s=row.at_s,
            light=None if row.day is None else row.day.light,
            lost_cues=()
            if row.day is None
            else _lost(planned.get(turns[row.point.waypoint_index]), row.day.light),
            reason=row.reason or gaps.get(row.point.waypoint_index),
        )
        for row in (sun_rows(points, timing.departure_s) if points else ())
    )


def _lost(planned: TurnCues | None, light: Light) -> tuple[str, ...]:
    """Return the first and second cue of a turn, where by eye they are not seen in a light."""
    if planned is None:
        return ()
    picked = dict.fromkeys(one for one in (planned.first, planned.second) if one is not None)
    rows = [planned.rows[one] for one in picked]
    return tuple(
        row.id
        for row in rows
        if row.means != "radar"
        and (row.by_night if light in DARK else row.by_day).seen != "yes"
        and (row.means == "eye" or row.by_radar.seen != "yes")
    )


def _point(
    about: tuple[str, PointPart],
    timing: Timing,
    times: Mapping[Piece, PieceTime],
    track: tuple[Sequence[PlannedLeg], Sequence[PlannedTurn]],
) -> CriticalPoint | None:
    """Return the part of a waypoint, with when she is there; None where none is planned."""
    waypoint_id, part = about
    index = next(n for n, one in enumerate(timing.route.waypoints) if one.id == waypoint_id)
    waypoint = timing.route.waypoints[index]
    position = Position(lat_deg=waypoint.lat_deg, lon_deg=waypoint.lon_deg)
    state = timing.log.at.get(index)
    after_s = None if state is None else state.now_s
    reason = None if state is None else state.reason
    if part == "wheel_over":
        turn = next((one for one in track[1] if one.waypoint_index == index), None)
        leg = next((one for one in track[0] if one.from_index + 1 == index), None)
        if turn is None or leg is None or turn.planned.position is None:
            return None
        time = times[Piece(kind="leg", index=leg.index)]
        position = turn.planned.position
        after_s = time.at_s(leg.length_m - (turn.planned.distance_m or 0.0))
        reason = time.reason
    return CriticalPoint(
        waypoint_index=index,
        waypoint_id=waypoint.id,
        part=part,
        position=position,
        after_s=after_s,
        reason=(reason or NO_TIME) if after_s is None else None,
    )


def _then(need: DaylightNeed, row: SunRow, note: str | None) -> DaylightThen:
    """Return what comes of a need, from the sun at its point and what her time there rests on."""
    if row.day is None:
        return DaylightThen(need=need, outcome="not_known", reason=row.reason)
    met = need_met(row.day.light) == "met"
    outcome: Outcome = "holds" if met else "fails"
    return DaylightThen(
        need=need,
        outcome="not_known" if met and rests_on_gap(note) else outcome,
        at_s=row.at_s,
        light=row.day.light,
        reason=note,
    )
