"""Checks of the simulated turn: what it rests on, and where the planned wheel-over leaves her."""

from wheelover.core.checks.workings import METHOD_NAMES, Verdict, Workings, turn_name, turn_subject
from wheelover.core.margins import limit_for
from wheelover.core.sweep.of_turns import legs_beside
from wheelover.core.turns.compare import simulated_row
from wheelover.core.turns.windage import why_not_applied
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.plan import Finding, Grade
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import NotApplicable, PlannedTurn, WheelOver


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the simulated turn and on the current, for every turn."""
    verdicts = []
    beside = legs_beside(workings.track.legs)
    stations = {one.turn_index: one.station for one in workings.schedule.wheel_overs}
    for turn in workings.track.turns:
        legs = tuple(leg.asked for leg in beside[turn.waypoint_index])
        station = stations.get(turn.index)
        verdicts += [_response(turn, workings, legs), _current(turn, station)]
    return tuple(verdicts)


def _response(turn: PlannedTurn, workings: Workings, legs: tuple[LegAsked, ...]) -> Verdict:
    """Return where the planned wheel-over leaves her, and what the simulation rests on."""
    subject = turn_subject(turn)
    run = simulated_row(turn.wheel_overs)
    ship = workings.ship
    if run is None or ship is None:
        return Verdict(check="turn_response", subject=subject, not_checked=_why_not(turn))
    findings = (
        *_off_track(turn, ship, workings.limits, legs),
        *_estimated(turn, ship, run),
        *_small_rudder(turn, run),
    )
    unknown = []
    if workings.conditions.depth_m is None:
        unknown.append("the depth in the turns is not given: deep water is assumed")
    wind = why_not_applied(ship, workings.conditions)
    if wind is not None:
        unknown.append(wind)
    reason = "; ".join(unknown) or None
    return Verdict(check="turn_response", subject=subject, findings=findings, not_checked=reason)


def _why_not(turn: PlannedTurn) -> str:
    """Return why a turn is not simulated."""
    row = next((one for one in turn.wheel_overs if one.method == "simulated"), None)
    reason = row.reason if isinstance(row, NotApplicable) else None
    return reason or turn.reason or "the turn is not simulated"


def _off_track(
    turn: PlannedTurn, ship: ShipProfile, limits: Limits, legs: tuple[LegAsked, ...]
) -> tuple[Finding, ...]:
    """Return the finding of a planned wheel-over that leaves her too far beside the new track.

    Without a limit of the plan it is her beam: less than that no bridge team would see.
    """
    off_m = turn.planned.off_track_m
    asked = limit_for(limits, "max_off_track_m", legs, limits.max_off_track_m)
    limit_m = asked.value
    most_m = ship.beam_m if limit_m is None else limit_m
    if off_m is None or turn.course_change_deg is None or abs(off_m) <= most_m:
        return ()
    inside = (off_m > 0.0) == (turn.course_change_deg > 0.0)
    grade: Grade = "must_explain" if limit_m is None else "must_resolve"
    of_set = asked.rule is not None and asked.rule.value == limit_m
    whose = "the limit set's" if of_set else "the plan's"
    whose = "her beam" if limit_m is None else f"{whose} limit"
    message = (
        f"The {turn_name(turn)}, begun at the wheel-over planned by "
        f"{METHOD_NAMES[turn.planned.method]}, leaves her {abs(off_m):.0f} m "
        f"({abs(off_m) / ship.loa_m:.1f} lengths) {'inside' if inside else 'outside'} the new "
        f"track as simulated, more than {whose} of {most_m:.0f} m. The manoeuvre brings her onto "
        f"it when helm is given {_when(turn)}."
    )
    return (
        Finding(
            code="helm_off_track",
            grade=grade,
            subject=turn_subject(turn),
            message=message,
            measured=abs(off_m),
            limit=most_m,
            unit="m",
            rules=asked.missed_rule(abs(off_m)),
        ),
    )


def _when(turn: PlannedTurn) -> str:
    """Return how much earlier or later the simulated wheel-over is than the planned one."""
    run = simulated_row(turn.wheel_overs)
    if run is None or turn.planned.distance_m is None:
        return "at the simulated wheel-over"
    by_m = run.distance_m - turn.planned.distance_m
    return f"{abs(by_m):.0f} m {'earlier' if by_m > 0.0 else 'later'}"


def _estimated(turn: PlannedTurn, ship: ShipProfile, run: WheelOver) -> tuple[Finding, ...]:
    """Return the finding that a simulation rests on an estimate and stands beside the plan."""
    response = ship.response
    if response is None or response.origin != "estimated" or turn.planned.distance_m is None:
        return ()
    by_m = run.distance_m - turn.planned.distance_m
    message = (
        f"At the {turn_name(turn)} the simulated wheel-over lies {abs(by_m):.0f} m "
        f"{'before' if by_m >= 0.0 else 'after'} the planned one. Her response is only estimated "
        "from her dimensions: take it as a hint, and have her own trials."
    )
    return (
        Finding(
            code="response_estimated",
            grade="note",
            subject=turn_subject(turn),
            message=message,
            measured=abs(by_m),
            unit="m",
        ),
    )


def _small_rudder(turn: PlannedTurn, run: WheelOver) -> tuple[Finding, ...]:
    """Return the finding of a rudder so small that no papers say how she answers it."""
    said = [note for note in run.notes if "small rudder" in note]
    if not said:
        return ()
    message = f"At the {turn_name(turn)}, {said[0]}."
    return (
        Finding(code="small_rudder", grade="note", subject=turn_subject(turn), message=message),
    )


def _current(turn: PlannedTurn, station: str | None) -> Verdict:
    """Return whether the current has been applied to the turn: only the simulation does."""
    subject = turn_subject(turn)
    if turn.current_drift_kn is None:
        reason = "no current is given; turns are computed in still water"
        if station is not None:
            reason = (
                f"the table of streams of {station} does not cover the time of the turn, or that "
                "time is not known; it is computed in still water"
            )
    elif turn.current_drift_kn > 0.0:
        current = (
            "the stream that runs then"
            if turn.current_source == "stream"
            else (
                f"the current given, {turn.current_drift_kn:g} kn setting "
                f"{turn.current_set_deg:03.0f} T,"
            )
        )
        reason = f"{current} is not applied: turns are computed in still water"
        if simulated_row(turn.wheel_overs) is not None:
            reason = (
                f"{current} is applied to the simulated turn only: the other methods, the arc and "
                "its clearances are for still water"
            )
    else:
        return Verdict(check="turn_current", subject=subject)
    return Verdict(check="turn_current", subject=subject, not_checked=reason)
