"""Checks of each turn: that it can be made, its radius, its rate and its wheel-over."""

import math

from wheelover.core.checks.helm import wheel_over
from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    leg_name,
    turn_name,
    turn_subject,
)
from wheelover.core.turns.room import LegRoom
from wheelover.core.turns.solve_arc import MOST_CHANGE_DEG
from wheelover.core.types.plan import Finding, Grade
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import nm_from_m

SPLIT_CHANGE_DEG = 120.0
"""Above this a turn should be split or made from the ship's tables (common practice)."""


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on every turn."""
    verdicts: list[Verdict] = []
    track = workings.track
    by_start = {
        leg.from_index: (leg, room) for leg, room in zip(track.legs, track.rooms, strict=True)
    }
    for turn in track.turns:
        beside = (by_start[turn.waypoint_index - 1], by_start[turn.waypoint_index])
        verdicts += [
            _arc(turn),
            _room(turn, beside),
            _radius(turn, workings.ship),
            _rate(turn, workings.ship),
            wheel_over(turn),
        ]
    return tuple(verdicts)


def _arc(turn: PlannedTurn) -> Verdict:
    """Return whether the change of course has an arc, and is not larger than it should be."""
    subject = turn_subject(turn)
    change_deg = turn.course_change_deg
    if change_deg is None:
        return Verdict(check="turn_arc", subject=subject, not_checked=turn.reason)
    size_deg = abs(change_deg)
    if size_deg > MOST_CHANGE_DEG:
        message = f"over {MOST_CHANGE_DEG:.0f}: no turn is computed. Split it."
        return _too_large(turn, "must_resolve", MOST_CHANGE_DEG, message)
    if turn.arc is None:
        return Verdict(check="turn_arc", subject=subject, not_checked=turn.reason)
    if size_deg > SPLIT_CHANGE_DEG:
        message = (
            f"over {SPLIT_CHANGE_DEG:.0f}: split it, or make it from the ship's turning tables."
        )
        return _too_large(turn, "must_explain", SPLIT_CHANGE_DEG, message)
    return Verdict(check="turn_arc", subject=subject)


def _too_large(turn: PlannedTurn, grade: Grade, limit_deg: float, remedy: str) -> Verdict:
    """Return the verdict on a change of course that is larger than it should be."""
    size_deg = abs(turn.course_change_deg or 0.0)
    found = Finding(
        code="change_too_large",
        grade=grade,
        subject=turn_subject(turn),
        message=f"The {turn_name(turn)} changes course by {size_deg:.1f} degrees, {remedy}",
        measured=size_deg,
        limit=limit_deg,
        unit="deg",
    )
    return Verdict(check="turn_arc", subject=turn_subject(turn), findings=(found,))


def _room(turn: PlannedTurn, beside: tuple[tuple[PlannedLeg, LegRoom], ...]) -> Verdict:
    """Return whether the legs around the turn leave room for it."""
    subject = turn_subject(turn)
    unknown = turn.reason or next((room.unknown for _, room in beside if room.unknown), None)
    if turn.missing_m is None:
        return Verdict(check="turn_room", subject=subject, not_checked=unknown)
    short = [
        f"{leg_name(leg)} is {math.ceil(room.missing_m)} m too short"
        for leg, room in beside
        if room.missing_m is not None
    ]
    message = (
        f"The {turn_name(turn)} does not fit between its neighbours: {' and '.join(short)} for "
        "the turns at its ends and the wheel-over before the second."
    )
    found = Finding(
        code="turn_does_not_fit",
        grade="must_resolve",
        subject=subject,
        message=message,
        measured=turn.missing_m,
        limit=0.0,
        unit="m",
    )
    return Verdict(check="turn_room", subject=subject, findings=(found,), not_checked=unknown)


def _radius(turn: PlannedTurn, ship: ShipProfile | None) -> Verdict:
    """Return whether the planned radius is one the ship can turn on."""
    subject = turn_subject(turn)
    least_nm = None if ship is None else ship.min_turn_radius_nm
    if turn.radius_m is None or turn.arc is None:
        return Verdict(check="turn_radius", subject=subject, not_checked="no turn is computed")
    if least_nm is None:
        reason = "no ship is given" if ship is None else "the ship's least radius is not given"
        return Verdict(check="turn_radius", subject=subject, not_checked=reason)
    radius_nm = nm_from_m(turn.radius_m)
    if radius_nm >= least_nm:
        return Verdict(check="turn_radius", subject=subject)
    message = (
        f"The {turn_name(turn)} is planned on {radius_nm:.3f} NM, below the ship's least "
        f"radius of {least_nm:.3f} NM."
    )
    found = Finding(
        code="radius_below_ship",
        grade="must_resolve",
        subject=subject,
        message=message,
        measured=radius_nm,
        limit=least_nm,
        unit="NM",
    )
    return Verdict(check="turn_radius", subject=subject, findings=(found,))


def _rate(turn: PlannedTurn, ship: ShipProfile | None) -> Verdict:
    """Return whether the rate of turn is one the ship may use."""
    subject = turn_subject(turn)
    most = None if ship is None else ship.max_rate_of_turn_deg_per_min
    reason = None
    if ship is None:
        reason = "no ship is given"
    elif turn.arc is None:
        reason = "no rate of turn is computed"
    elif turn.rate_deg_per_min is None:
        reason = "no speed is given for the leg that leads to the turn"
    elif most is None:
        reason = "the ship's largest rate of turn is not given"
    if reason is not None or most is None or turn.rate_deg_per_min is None:
        return Verdict(check="turn_rate", subject=subject, not_checked=reason)
    rate = abs(turn.rate_deg_per_min)
    if rate <= most:
        return Verdict(check="turn_rate", subject=subject)
    message = (
        f"The {turn_name(turn)} needs {rate:.1f} deg/min at {turn.turn_speed_kn:g} kn, "
        f"above the ship's limit of {most:g} deg/min."
    )
    found = Finding(
        code="rate_above_ship",
        grade="must_resolve",
        subject=subject,
        message=message,
        measured=rate,
        limit=most,
        unit="deg/min",
    )
    return Verdict(check="turn_rate", subject=subject, findings=(found,))
