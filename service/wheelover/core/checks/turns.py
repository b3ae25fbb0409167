"""Checks of each turn: that it can be made, its radius, its rate and its wheel-over."""

from wheelover.core.checks.workings import Verdict, Workings, turn_name, turn_subject
from wheelover.core.turns.arc import MOST_CHANGE_DEG
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.plan import Finding, NotApplicable, PlannedTurn
from wheelover.core.types.ship import ShipProfile
from wheelover.core.units import nm_from_m, rate_of_turn_deg_per_min

SPLIT_CHANGE_DEG = 120.0
"""Above this a turn should be split or made from the ship's tables (common practice)."""


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on every turn."""
    verdicts: list[Verdict] = []
    for turn in workings.track.turns:
        verdicts += [
            _arc(turn),
            _room(turn),
            _radius(turn, workings.ship),
            _rate(turn, workings.ship),
            _wheel_over(turn),
            _current(turn, workings.conditions),
        ]
    return tuple(verdicts)


def _arc(turn: PlannedTurn) -> Verdict:
    """Return whether the change of course has an arc, and is not larger than it should be."""
    subject = turn_subject(turn)
    change_deg = turn.course_change_deg
    if change_deg is None:
        return Verdict(check="turn_arc", subject=subject, not_checked=turn.reason)
    size_deg = abs(change_deg)
    if turn.arc is None and size_deg > MOST_CHANGE_DEG:
        message = (
            f"The {turn_name(turn)} changes course by {size_deg:.1f} degrees, over "
            f"{MOST_CHANGE_DEG:.0f}: no turn is computed. Split it."
        )
        grade_of, limit = "must_resolve", MOST_CHANGE_DEG
    elif turn.arc is None:
        return Verdict(check="turn_arc", subject=subject, not_checked=turn.reason)
    elif size_deg > SPLIT_CHANGE_DEG:
        message = (
            f"The {turn_name(turn)} changes course by {size_deg:.1f} degrees, over "
            f"{SPLIT_CHANGE_DEG:.0f}: split it, or make it from the ship's turning tables."
        )
        grade_of, limit = "must_explain", SPLIT_CHANGE_DEG
    else:
        return Verdict(check="turn_arc", subject=subject)
    found = Finding(
        code="change_too_large",
        grade="must_resolve" if grade_of == "must_resolve" else "must_explain",
        subject=subject,
        message=message,
        measured=size_deg,
        limit=limit,
        unit="deg",
    )
    return Verdict(check="turn_arc", subject=subject, findings=(found,))


def _room(turn: PlannedTurn) -> Verdict:
    """Return whether the legs around the turn leave room for it."""
    subject = turn_subject(turn)
    if turn.arc is None and turn.missing_m is None:
        return Verdict(check="turn_room", subject=subject, not_checked=turn.reason)
    if turn.missing_m is None:
        return Verdict(check="turn_room", subject=subject)
    message = (
        f"The {turn_name(turn)} does not fit between its neighbours: "
        f"a leg beside it is {turn.missing_m:.0f} m too short."
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
    return Verdict(check="turn_room", subject=subject, findings=(found,))


def _radius(turn: PlannedTurn, ship: ShipProfile | None) -> Verdict:
    """Return whether the planned radius is one the ship can turn on."""
    subject = turn_subject(turn)
    least_nm = None if ship is None else ship.min_turn_radius_nm
    if turn.radius_m is None:
        return Verdict(check="turn_radius", subject=subject, not_checked="no radius is planned")
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
    elif turn.radius_m is None or turn.course_change_deg is None:
        reason = "no rate of turn is computed"
    elif turn.turn_speed_kn is None:
        reason = "no speed is given for the leg that leads to the turn"
    elif most is None:
        reason = "the ship's largest rate of turn is not given"
    if reason is not None or most is None or turn.turn_speed_kn is None or turn.radius_m is None:
        return Verdict(check="turn_rate", subject=subject, not_checked=reason)
    rate = rate_of_turn_deg_per_min(turn.turn_speed_kn, nm_from_m(turn.radius_m))
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


def _wheel_over(turn: PlannedTurn) -> Verdict:
    """Return whether the planned wheel-over could be computed."""
    subject = turn_subject(turn)
    if turn.planned.distance_m is not None:
        return Verdict(check="turn_wheel_over", subject=subject)
    rows = [row for row in turn.wheel_overs if row.method == turn.planned.method]
    reason = rows[0].reason if rows and isinstance(rows[0], NotApplicable) else turn.reason
    if turn.planned.source == "default" or turn.course_change_deg is None:
        return Verdict(check="turn_wheel_over", subject=subject, not_checked=reason)
    message = (
        f"The {turn_name(turn)} is planned by {turn.planned.method.replace('_', ' ')}, "
        f"which gives no wheel-over here: {reason}. Choose another method or a distance."
    )
    found = Finding(
        code="planned_method_missing", grade="must_resolve", subject=subject, message=message
    )
    return Verdict(check="turn_wheel_over", subject=subject, findings=(found,))


def _current(turn: PlannedTurn, conditions: Conditions) -> Verdict:
    """Return whether the current has been applied to the turn. No method applies one yet."""
    subject = turn_subject(turn)
    if conditions.drift_kn is None:
        reason = "no current is given; turns are computed in still water"
    elif conditions.drift_kn > 0.0:
        reason = (
            f"the current given, {conditions.drift_kn:g} kn setting {conditions.set_deg:03.0f} T, "
            "is not applied: turns are computed in still water"
        )
    else:
        return Verdict(check="turn_current", subject=subject)
    return Verdict(check="turn_current", subject=subject, not_checked=reason)
