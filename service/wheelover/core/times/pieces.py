"""When she comes to each leg and turn, as depth, tide and clearances ask it."""

from wheelover.core.times.clock import LegRun, TurnRun
from wheelover.core.times.settle import Timing, settle
from wheelover.core.times.shape import Bend, Stretch, shape_of
from wheelover.core.track import Track
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.clearance import Piece
from wheelover.core.types.route import Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.times import PieceTime

NO_CURRENT_NOTE = "no current is given on the way: still water is assumed"
UNCOVERED_NOTE = "a table of streams does not cover the way: still water is assumed there"


def piece_times(
    track: Track, route: Route, ship: ShipProfile | None, conditions: Conditions
) -> dict[Piece, PieceTime]:
    """Return when she comes to each leg and turn of a planned track, counted from its start.

    Parameters
    ----------
    track : Track
        The track.
    route, ship, conditions
        As for the plan.

    Notes
    -----
    Along a leg she goes at the speed that is made good along its course, in the stream that runs
    then; through a turn at the speed of the turn through the water. After a hole in the route, a
    leg without speed, a stream that cannot be stemmed, or turns that overlap, no time is known
    until the next given ETA.
    """
    return times_of(settle(route, ship, conditions, shape_of(track)))


def times_of(timing: Timing) -> dict[Piece, PieceTime]:
    """Return the times of each leg and turn as the clock found them."""
    found: dict[Piece, PieceTime] = {}
    note: str | None = None
    for stretch in timing.shape.stretches:
        run = timing.log.legs[stretch.index]
        note = _note(note, run)
        stay_s = timing.route.waypoints[stretch.from_index + 1].stay_s
        bend = timing.shape.bends.get(stretch.from_index + 1)
        has_arc = bend is not None and bend.arc is not None
        found[Piece(kind="leg", index=stretch.index)] = _on_leg(
            stretch, run, note, 0.0 if has_arc else stay_s
        )
        if bend is not None:
            turn = timing.log.turns[stretch.from_index + 1]
            found[Piece(kind="turn", index=bend.index)] = _in_turn(bend, turn, run, note)
    return found


def _note(note: str | None, run: LegRun) -> str | None:
    """Return what is assumed of times from here on."""
    if run.run is not None and run.water.source is None:
        return NO_CURRENT_NOTE
    if run.run is not None and not run.covered:
        return UNCOVERED_NOTE
    return note


def _on_leg(stretch: Stretch, leg: LegRun, note: str | None, stay_s: float) -> PieceTime:
    """Return the times on a leg."""
    if leg.run is None or leg.start_s is None or stretch.to_m <= stretch.from_m:
        reason = leg.reason or "the track follows nothing of it"
        return PieceTime(from_m=stretch.from_m, reason=reason)
    start_s, run = leg.start_s, leg.run
    end_s = start_s + run.duration_s
    return PieceTime(
        from_m=stretch.from_m,
        start_s=start_s,
        speed_m_per_s=(stretch.to_m - stretch.from_m) / run.duration_s,
        note=note,
        knots=tuple((stretch.from_m + at_m, start_s + at_s) for at_m, at_s in run.knots),
        leaves_s=end_s + stay_s if stay_s > 0.0 else None,
    )


def _in_turn(bend: Bend, turn: TurnRun, leg: LegRun, note: str | None) -> PieceTime:
    """Return the times in a turn; a corner without an arc takes no time but that of a stop."""
    start_s, middle_s, leaves_s, end_s = (
        turn.start_s,
        turn.at_waypoint_s,
        turn.leaves_s,
        turn.end_s,
    )
    if start_s is None or middle_s is None or leaves_s is None or end_s is None:
        return PieceTime(from_m=0.0, reason=turn.reason or leg.reason or "no time is known")
    if bend.arc is None:
        speed = None if leg.run is None else leg.run.speed_m_per_s
        return PieceTime(
            from_m=0.0,
            start_s=start_s,
            speed_m_per_s=speed,
            note=note,
            leaves_s=leaves_s if leaves_s > start_s else None,
        )
    arc_m, taken_s = bend.arc.arc_m, middle_s - start_s + end_s - leaves_s
    if taken_s <= 0.0:
        return PieceTime(from_m=0.0, reason="the arc has no length")
    return PieceTime(
        from_m=0.0,
        start_s=start_s,
        speed_m_per_s=arc_m / taken_s,
        note=note,
        knots=((0.0, start_s), (arc_m / 2.0, middle_s), (arc_m / 2.0, leaves_s), (arc_m, end_s)),
    )
