"""Checks of the schedule: times known, speeds that can be made, streams that are known, windows."""

from wheelover.core.checks.workings import Verdict, Workings, leg_name, leg_subject
from wheelover.core.times.pieces import NO_CURRENT_NOTE
from wheelover.core.types.plan import Finding, Subject
from wheelover.core.types.schedule import ArrivalWindow, EtaMissed, LegTime
from wheelover.core.types.track import PlannedLeg
from wheelover.core.utc import utc_from_seconds

HOUR_S = 3600


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the times, speeds and streams of every leg."""
    schedule = workings.schedule
    windows = {one.waypoint_index: one for one in schedule.windows}
    missed = {one.waypoint_index: one for one in schedule.missed}
    verdicts = []
    times = {one.leg_index: one for one in schedule.legs}
    for leg in workings.track.legs:
        time = times.get(leg.index)
        if time is None:
            continue
        to_index = leg.from_index + 1
        found = [
            *_stemmed(leg, time),
            *_top_speed(workings, leg),
            *_outside_table(workings, leg),
            *_eta(workings, missed.get(to_index), to_index),
            *_window(workings, windows.get(to_index)),
        ]
        verdicts.append(
            Verdict(
                check="leg_schedule",
                subject=leg_subject(leg),
                findings=tuple(found),
                not_checked=_left_out(workings, leg, time, windows.get(to_index)),
            )
        )
    return tuple(verdicts)


def _stemmed(leg: PlannedLeg, time: LegTime) -> list[Finding]:
    """Return the finding of a stream that cannot be stemmed on a leg."""
    if not time.fails_here:
        return []
    return [
        Finding(
            code="stream_not_stemmed",
            grade="must_resolve",
            subject=leg_subject(leg),
            message=f"On the {leg_name(leg)} {time.reason}. From there on no time is known.",
            measured=leg.drift_kn,
            limit=leg.speed_kn,
            unit="kn",
        )
    ]


def _top_speed(workings: Workings, leg: PlannedLeg) -> list[Finding]:
    """Return the finding of a leg whose speed is above the most that she makes."""
    most_kn = None if workings.ship is None else workings.ship.max_speed_kn
    if most_kn is None or leg.speed_kn is None or leg.speed_kn <= most_kn:
        return []
    why = {"eta": "the ETA asks for", "ground": "the speed over the ground asks for"}
    asks = why.get(leg.speed_source or "", "the plan has")
    return [
        Finding(
            code="speed_over_most",
            grade="must_resolve",
            subject=leg_subject(leg),
            message=f"On the {leg_name(leg)} {asks} {leg.speed_kn:.2f} kn through the water; "
            f"she makes {most_kn:g} kn at most.",
            measured=leg.speed_kn,
            limit=most_kn,
            unit="kn",
        )
    ]


def _outside_table(workings: Workings, leg: PlannedLeg) -> list[Finding]:
    """Return the finding of a leg whose speed lies outside her own table of consumption."""
    used = [one for one in workings.schedule.fuel if one.leg_index == leg.index]
    outside = [one for one in used if one.outside_kn is not None]
    if not outside:
        return []
    first = outside[0]
    ship = workings.ship
    table = [] if ship is None else [one for one in ship.consumption if one.fuel == first.fuel]
    speeds = [one.speed_kn for one in table]
    over = bool(speeds) and (first.outside_kn or 0.0) > max(speeds)
    of = ", ".join(one.fuel for one in outside if one.fuel is not None)
    return [
        Finding(
            code="speed_outside_consumption",
            grade="must_explain",
            subject=leg_subject(leg),
            message=f"On the {leg_name(leg)} {first.reason}{f' ({of})' if of else ''}: what she "
            "burns there is not known, and the fuel of the passage is not known in all.",
            measured=first.outside_kn,
            limit=None if not speeds else (max(speeds) if over else min(speeds)),
            unit="kn",
        )
    ]


def _eta(workings: Workings, missed: EtaMissed | None, index: int) -> list[Finding]:
    """Return the finding of a given ETA that is not made."""
    if missed is None:
        return []
    waypoint = workings.route.waypoints[index]
    asks = "no mean speed makes it"
    if missed.needed_kn is not None:
        asks = f"it asks for a mean of {missed.needed_kn:.2f} kn over the ground"
    came = "when she comes there is not known"
    if missed.off_s is not None:
        came = f"she comes {_span(abs(missed.off_s))} {'late' if missed.off_s > 0.0 else 'early'}"
    why = "all legs to it have speeds of their own, which count" if missed.by_speeds else asks
    return [
        Finding(
            code="eta_not_made",
            grade="must_resolve",
            subject=Subject(kind="waypoint", index=index, id=waypoint.id),
            message=f"The ETA given at {waypoint.id} is not made: {why}; {came}.",
            measured=missed.off_s,
            limit=0.0 if missed.off_s is not None else None,
            unit="s",
        )
    ]


def _window(workings: Workings, window: ArrivalWindow | None) -> list[Finding]:
    """Return the finding of a window of arrival that is not met."""
    if window is None or window.off_s is None or window.result not in ("early", "late"):
        return []
    waypoint = workings.route.waypoints[window.waypoint_index]
    edge_s = window.from_s if window.result == "early" else window.to_s
    edge = "" if edge_s is None else f" ({utc_from_seconds(edge_s)})"
    word = "before it opens" if window.result == "early" else "after it closes"
    return [
        Finding(
            code=f"window_{window.result}",
            grade="must_explain" if window.result == "early" else "must_resolve",
            subject=Subject(kind="waypoint", index=window.waypoint_index, id=waypoint.id),
            message=f"The window of arrival at {waypoint.id} is not met: she comes "
            f"{_span(window.off_s)} {word}{edge}.",
            measured=window.off_s,
            limit=0.0,
            unit="s",
        )
    ]


def _left_out(
    workings: Workings, leg: PlannedLeg, time: LegTime, window: ArrivalWindow | None
) -> str | None:
    """Return what of the schedule of a leg is not known."""
    reasons = []
    if time.start_s is None:
        reasons.append(f"when she is on it is not known: {time.reason}")
    elif workings.schedule.departure_s is None:
        reasons.append("no departure_utc is given, so no time of the clock is known")
    if time.station is not None and not time.covered:
        when = "" if time.start_s is not None else ", as when she is there is not known"
        reasons.append(
            f"the table of streams of {time.station} does not cover the time that she is there"
            f"{when}: still water is assumed for it"
        )
    elif time.current_source is None and time.start_s is not None:
        reasons.append(NO_CURRENT_NOTE)
    if window is not None and window.result == "not_known":
        reasons.append(f"whether she meets the window of arrival is not known: {window.reason}")
    elif window is not None and window.reason is not None and window.reason not in reasons:
        reasons.append(f"on the way to the window of arrival {window.reason}")
    burnt = [one.reason for one in workings.schedule.fuel if one.leg_index == leg.index]
    reasons += [
        f"what she burns is not known: {one}"
        for one in dict.fromkeys(burnt)
        if one is not None and not any(one in told for told in reasons)
    ]
    if leg.speed_source == "eta" and (workings.ship is None or workings.ship.max_speed_kn is None):
        reasons.append("whether she makes the speed that the ETA asks for: her most is not given")
    return "; ".join(reasons) or None


def _span(time_s: float) -> str:
    """Return a time in words, hours and minutes and seconds, to the second above."""
    whole = int(-(-time_s // 1))
    hours, rest = divmod(whole, HOUR_S)
    minutes, seconds = divmod(rest, 60)
    parts = [(hours, "h"), (minutes, "min"), (seconds, "s")]
    return " ".join(f"{count} {unit}" for count, unit in parts if count) or "under a second"
