"""The check of the planned wheel-over: that there is one, and that it comes early enough."""

from wheelover.core.checks.workings import METHOD_NAMES, Verdict, turn_name, turn_subject
from wheelover.core.types.plan import Finding
from wheelover.core.types.track import Arc, NotApplicable, PlannedTurn
from wheelover.core.units import nm_from_m


def wheel_over(turn: PlannedTurn) -> Verdict:
    """Return whether the planned wheel-over could be computed, and comes early enough."""
    subject = turn_subject(turn)
    if turn.planned.distance_m is not None:
        if turn.arc is None:
            return Verdict(check="turn_wheel_over", subject=subject, not_checked=turn.reason)
        late = _late(turn, turn.planned.distance_m)
        unknown = None
        if turn.reach_m is None:
            unknown = "the ship's reach is not known, so whether the helm comes in time is not"
        return Verdict(check="turn_wheel_over", subject=subject, findings=late, not_checked=unknown)
    rows = [row for row in turn.wheel_overs if row.method == turn.planned.method]
    reason = rows[0].reason if rows and isinstance(rows[0], NotApplicable) else turn.reason
    reason = reason or "the inbound leg run back by this distance would pass a pole"
    if turn.planned.source == "default" or turn.course_change_deg is None:
        return Verdict(check="turn_wheel_over", subject=subject, not_checked=reason)
    message = (
        f"The {turn_name(turn)} is planned by {METHOD_NAMES[turn.planned.method]}, "
        f"which gives no wheel-over here: {reason}. Choose another method or a distance."
    )
    found = Finding(
        code="planned_method_missing", grade="must_resolve", subject=subject, message=message
    )
    return Verdict(check="turn_wheel_over", subject=subject, findings=(found,))


def _late(turn: PlannedTurn, distance_m: float) -> tuple[Finding, ...]:
    """Return the finding of an own wheel-over too late for the planned arc, if it is."""
    if turn.arc is None:
        return ()
    if turn.planned.method != "own":
        return _after_arc(turn, turn.arc, distance_m)
    needed_m = turn.arc.tangent_in_m + (turn.reach_m or 0.0)
    if distance_m >= needed_m:
        return ()
    past_arc = distance_m < turn.arc.tangent_in_m
    message = (
        f"The {turn_name(turn)} has its planned wheel-over {nm_from_m(distance_m):.3f} NM before "
        f"the waypoint; the planned arc{'' if turn.reach_m is None else ' and her reach'} takes "
        f"{nm_from_m(needed_m):.3f} NM. "
        + ("The arc has begun by then. " if past_arc else "")
        + "She would end outside the new track."
    )
    return (
        Finding(
            code="wheel_over_late",
            grade="must_resolve" if past_arc else "must_explain",
            subject=turn_subject(turn),
            message=message,
            measured=nm_from_m(distance_m),
            limit=nm_from_m(needed_m),
            unit="NM",
        ),
    )


def _after_arc(turn: PlannedTurn, arc: Arc, distance_m: float) -> tuple[Finding, ...]:
    """Return the finding of a method whose helm comes after the planned arc has begun, if so.

    A ship whose table turns more tightly than the plan may be right to wait; the arc drawn and
    cleared is then not the way she goes.
    """
    if distance_m >= arc.tangent_in_m:
        return ()
    message = (
        f"The {turn_name(turn)} is planned by {METHOD_NAMES[turn.planned.method]}, which puts the "
        f"helm over {arc.tangent_in_m - distance_m:.0f} m after the planned arc has begun: she "
        "does not follow that arc, and what was measured from it does not hold for her."
    )
    return (
        Finding(
            code="helm_after_arc",
            grade="must_explain",
            subject=turn_subject(turn),
            message=message,
            measured=nm_from_m(distance_m),
            limit=nm_from_m(arc.tangent_in_m),
            unit="NM",
        ),
    )
