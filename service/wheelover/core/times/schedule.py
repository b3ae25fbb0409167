"""The schedule of a plan, put together from what the clock said and the track that was laid."""

from dataclasses import replace

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.helm_orders import heading_for_course_deg
from wheelover.core.schedule.streams import HOUR_S, Flow
from wheelover.core.times.assumed import assumed_at, rests_on_gap
from wheelover.core.times.clock import LegRun, State, TurnRun
from wheelover.core.times.made_good import over_ground_m_per_s, through_water_m_per_s
from wheelover.core.times.pieces import NO_CURRENT_NOTE, UNCOVERED_NOTE
from wheelover.core.times.settle import Timing
from wheelover.core.times.shape import Stretch
from wheelover.core.times.water import current_of
from wheelover.core.track import Track
from wheelover.core.types.clearance import Piece
from wheelover.core.types.manoeuvre import Current
from wheelover.core.types.route import Waypoint
from wheelover.core.types.schedule import (
    ArrivalWindow,
    EtaMissed,
    LegTime,
    Schedule,
    StreamStep,
    TimeSource,
    WaypointTime,
    WheelOverTime,
    WindowResult,
)
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import kn_from_m_per_s, m_per_s_from_kn

NO_DEPARTURE = "no departure_utc is given"
MOST_STEPS_TOLD = 200
GREATEST_NOTE = (
    "the speed over the ground is given and the stream changes: the greatest speed through the "
    "water is told, and fuel is summed step by step"
)
NO_LEG = State(None, "no leg leads to it")
SAME_S = 0.5
"""Times nearer than this are one time, written to the second."""


def schedule_of(timing: Timing, track: Track, times: dict[Piece, PieceTime]) -> Schedule:
    """Return the schedule of a plan.

    Parameters
    ----------
    timing : Timing
        What the clock said.
    track : Track
        The track that was laid with it; it knows the planned wheel-overs.
    times : dict of Piece to PieceTime
        When she comes to each piece.
    """
    departure_s = timing.departure_s
    along_m, assumed = _along_m(track), assumed_at(timing)
    rows = tuple(
        replace(_row(index, waypoint, timing, along_m, track.length_m), note=assumed.get(index))
        for index, waypoint in enumerate(timing.route.waypoints)
    )
    source: TimeSource | None = None
    if departure_s is not None:
        source = "given" if timing.departure_given else "computed"
    last = rows[-1]
    return Schedule(
        departure_s=departure_s,
        departure_source=source,
        duration_s=last.eta_s,
        rows=rows,
        wheel_overs=tuple(_wheel_over(one, timing, track, times, along_m) for one in track.turns),
        legs=tuple(
            _leg(leg, stretch, timing)
            for leg, stretch in zip(track.legs, timing.shape.stretches, strict=True)
        ),
        windows=arrival_windows(timing),
        missed=tuple(
            EtaMissed(
                waypoint_index=one.waypoint_index,
                off_s=one.off_s,
                needed_kn=one.needed_kn,
                by_speeds=one.kind == "missed",
            )
            for one in timing.etas
            if one.kind != "made"
        ),
        reason=None if departure_s is not None else NO_DEPARTURE,
    )


def _along_m(track: Track) -> dict[int, float]:
    """Return how far each waypoint lies along the track, to the middle of its arc.

    Only as far as the track is one: nothing is said beyond a hole or turns that overlap.
    """
    at = {turn.waypoint_index: turn for turn in track.turns}
    found = {0: 0.0}
    run_m, expected = 0.0, 0
    for leg in track.legs:
        if leg.from_index != expected or not leg.room:
            break
        expected = leg.from_index + 1
        run_m += leg.track_to_m - leg.track_from_m
        turn = at.get(expected)
        half_m = 0.0 if turn is None or turn.arc is None else turn.arc.arc_m / 2.0
        found[expected] = run_m + half_m
        run_m += 2.0 * half_m
    return found


def _row(
    index: int,
    waypoint: Waypoint,
    timing: Timing,
    along_m: dict[int, float],
    length_m: float | None,
) -> WaypointTime:
    """Return the times of a waypoint."""
    state = timing.log.at.get(index, NO_LEG)
    run_m, eta_s = along_m.get(index), state.now_s
    departure_s = timing.departure_s
    given_s = waypoint.eta_s
    made = (
        given_s is not None
        and eta_s is not None
        and departure_s is not None
        and abs(departure_s + eta_s - given_s) < 1.0
    )
    source: TimeSource | None = None
    if eta_s is not None:
        source = "given" if made or (index == 0 and timing.departure_given) else "computed"
    return WaypointTime(
        waypoint_index=index,
        eta_s=eta_s,
        source=source,
        given_s=given_s,
        stay_s=waypoint.stay_s,
        etd_s=None if eta_s is None else eta_s + waypoint.stay_s,
        run_m=run_m,
        to_go_m=None if run_m is None or length_m is None else length_m - run_m,
        reason=state.reason if eta_s is None else None,
    )


def _wheel_over(
    turn: PlannedTurn,
    timing: Timing,
    track: Track,
    times: dict[Piece, PieceTime],
    along_m: dict[int, float],
) -> WheelOverTime:
    """Return when she is at the planned wheel-over of a turn and on its arc."""
    run = timing.log.turns.get(turn.waypoint_index, TurnRun())
    leg = next(one for one in track.legs if one.from_index + 1 == turn.waypoint_index)
    distance_m = turn.planned.distance_m
    at_s, reason, to_go_m = None, "there is no planned wheel-over", None
    if distance_m is not None:
        time = times[Piece(kind="leg", index=leg.index)]
        helm_m = leg.length_m - distance_m
        at_s, reason = time.at_s(helm_m), time.reason or ""
        run_m = along_m.get(turn.waypoint_index)
        if run_m is not None and track.length_m is not None:
            half_m = 0.0 if turn.arc is None else turn.arc.arc_m / 2.0
            to_go_m = track.length_m - run_m + half_m + leg.track_to_m - helm_m
    return WheelOverTime(
        turn_index=turn.index,
        waypoint_index=turn.waypoint_index,
        at_s=at_s,
        arc_start_s=None if turn.arc is None else run.start_s,
        arc_end_s=None if turn.arc is None else run.end_s,
        lost_s=run.lost_s,
        to_go_m=to_go_m,
        station=run.water.station,
        reason=None if at_s is not None else reason,
        arc_reason=turn.reason if turn.arc is None else run.reason,
    )


def _leg(leg: PlannedLeg, stretch: Stretch, timing: Timing) -> LegTime:
    """Return the times of a leg, with what is steered and made good on it."""
    found = timing.log.legs[stretch.index]
    length_m = stretch.to_m - stretch.from_m if stretch.room else None
    plain = LegTime(
        leg_index=leg.index,
        length_m=length_m,
        speed_kn=leg.speed_kn,
        speed_source=leg.speed_source,
        set_deg=leg.set_deg,
        drift_kn=leg.drift_kn,
        current_source=leg.current_source,
        station=found.water.station,
        covered=found.covered,
        fails_here=found.not_stemmed,
        reason=found.reason,
        note=_note(found),
    )
    run = found.run
    if run is None or found.start_s is None or leg.path is None or leg.speed_kn is None:
        return plain
    return LegTime(
        leg_index=leg.index,
        length_m=length_m,
        speed_kn=leg.speed_kn,
        speed_source=leg.speed_source,
        start_s=found.start_s,
        end_s=found.start_s + run.duration_s,
        over_ground_kn=_mean_kn(stretch, run.duration_s),
        steer_deg=_steer_deg(leg.path.course_deg, run.speed_m_per_s, run.flow)
        if found.covered
        else None,
        set_deg=leg.set_deg if found.covered else None,
        drift_kn=leg.drift_kn if found.covered else None,
        current_source=leg.current_source,
        station=found.water.station,
        covered=found.covered,
        steps=_steps(found, leg.path.course_deg, timing.departure_s),
        steps_kn=tuple(kn_from_m_per_s(one) for one in run.steps_m_per_s),
        note=plain.note,
    )


def _mean_kn(stretch: Stretch, duration_s: float) -> float | None:
    """Return the mean speed over the ground, None on a leg of which the track follows nothing."""
    if duration_s <= 0.0:
        return None
    return kn_from_m_per_s((stretch.to_m - stretch.from_m) / duration_s)


def _note(leg: LegRun) -> str | None:
    """Return what is assumed of the stream on a leg, or what its speed is the greatest of."""
    if leg.water.source is None:
        return NO_CURRENT_NOTE
    if not leg.covered:
        return UNCOVERED_NOTE
    return None if leg.run is None or leg.run.most_m_per_s is None else GREATEST_NOTE


def _steer_deg(course_deg: float, speed_m_per_s: float, flow: Flow) -> float | None:
    """Return the heading that makes good a course in a flow."""
    given = current_of(flow, "stream")
    toward = Current(set_deg=given.set_deg, drift_m_per_s=m_per_s_from_kn(given.drift_kn))
    try:
        return heading_for_course_deg(course_deg, speed_m_per_s, toward)
    except OutOfDomain:
        return None  # a mean over hours in which each step is stemmed and the mean is not


def _steps(leg: LegRun, course_deg: float, departure_s: float | None) -> tuple[StreamStep, ...]:
    """Return the stream hour by hour on a leg whose stream comes from a table."""
    if leg.run is None or leg.start_s is None or leg.water.table is None or departure_s is None:
        return ()
    end_s = leg.start_s + leg.run.duration_s
    hours = min(int(leg.run.duration_s // HOUR_S), MOST_STEPS_TOLD)
    found = []
    for at_s in (*(leg.start_s + hour * HOUR_S for hour in range(hours + 1)), end_s):
        flow = leg.water.table.flow_at(departure_s + at_s)
        if flow is None or leg.asked is None:
            continue
        made = over_ground_m_per_s(course_deg, leg.asked.wish, flow)
        speed = through_water_m_per_s(course_deg, made, flow)
        steer_deg = _steer_deg(course_deg, speed, flow)
        if steer_deg is None:
            continue
        given = current_of(flow, "stream")
        found.append(
            StreamStep(
                at_s=at_s,
                set_deg=given.set_deg,
                drift_kn=given.drift_kn,
                steer_deg=steer_deg,
                over_ground_kn=kn_from_m_per_s(made),
            )
        )
    return tuple(found)


def arrival_windows(timing: Timing) -> tuple[ArrivalWindow, ...]:
    """Return the windows of arrival, and whether she meets them.

    Parameters
    ----------
    timing : Timing
        What the clock said.

    Notes
    -----
    Where a table of streams does not cover the way to it, a window is not said to be met.
    """
    found, assumed = [], assumed_at(timing)
    for index, waypoint in enumerate(timing.route.waypoints):
        if waypoint.arrive_from_s is None and waypoint.arrive_to_s is None:
            continue
        state = timing.log.at.get(index, NO_LEG)
        one = _window(index, waypoint, state, timing.departure_s)
        note = assumed.get(index)
        if one.reason is None and note is not None:
            unsure = one.result == "met" and rests_on_gap(note)
            one = replace(one, reason=note, result="not_known" if unsure else one.result)
        found.append(one)
    return tuple(found)


def _window(
    index: int, waypoint: Waypoint, state: State, departure_s: float | None
) -> ArrivalWindow:
    """Return whether she meets the window of arrival at a waypoint."""
    from_s, to_s = waypoint.arrive_from_s, waypoint.arrive_to_s
    if state.now_s is None or departure_s is None:
        return ArrivalWindow(
            waypoint_index=index,
            from_s=from_s,
            to_s=to_s,
            result="not_known",
            reason=state.reason or NO_DEPARTURE,
        )
    at_s = departure_s + state.now_s
    early_s = 0.0 if from_s is None else from_s - at_s
    late_s = 0.0 if to_s is None else at_s - to_s
    result: WindowResult = "met"
    if max(early_s, late_s) > SAME_S:
        result = "early" if early_s > late_s else "late"
    return ArrivalWindow(
        waypoint_index=index,
        from_s=from_s,
        to_s=to_s,
        result=result,
        off_s=max(early_s, late_s, 0.0) if result != "met" else None,
    )
