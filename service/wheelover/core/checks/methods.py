"""Checks of the wheel-over methods: how far they are apart, and what the ship's table is for."""

from wheelover.core.checks.workings import METHOD_NAMES, Verdict, Workings, turn_name, turn_subject
from wheelover.core.types.plan import Finding, Grade
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import NotApplicable, PlannedTurn, WheelOver


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the methods and the table of every turn."""
    verdicts = []
    for turn in workings.track.turns:
        verdicts += [_apart(turn, workings.ship), _table(turn, workings.ship)]
    return tuple(verdicts)


def _apart(turn: PlannedTurn, ship: ShipProfile | None) -> Verdict:
    """Return whether the methods are further apart than the ship is long.

    One length is what the trade itself takes for a reach that nobody measured, so a spread beyond
    it cannot be put down to that.
    """
    subject = turn_subject(turn)
    spread = turn.spread
    if spread is None or ship is None:
        reason = "fewer than two methods give a wheel-over here, so there is nothing to compare"
        return Verdict(check="turn_methods", subject=subject, not_checked=reason)
    if spread.distance_m <= ship.loa_m:
        return Verdict(check="turn_methods", subject=subject)
    seconds = "" if spread.time_s is None else f", {spread.time_s:.0f} s at her approach speed"
    message = (
        f"The methods are {spread.distance_m:.0f} m apart at the {turn_name(turn)}{seconds}, more "
        f"than her length of {ship.loa_m:.0f} m: {METHOD_NAMES[spread.earliest]} puts the helm "
        f"over first, {METHOD_NAMES[spread.latest]} last. Say why the planned one is right here."
    )
    found = Finding(
        code="methods_apart",
        grade="must_explain",
        subject=subject,
        message=message,
        measured=spread.distance_m,
        limit=ship.loa_m,
        unit="m",
    )
    return Verdict(check="turn_methods", subject=subject, findings=(found,))


def _table(turn: PlannedTurn, ship: ShipProfile | None) -> Verdict:
    """Return whether the ship's table covers the turn, and was taken as it is planned."""
    subject = turn_subject(turn)
    if ship is None:
        return Verdict(check="turn_table", subject=subject, not_checked="no ship is given")
    if not ship.turn_tables:
        none = "the ship's papers give no turning table"
        return Verdict(check="turn_table", subject=subject, not_checked=none)
    row = next((one for one in turn.wheel_overs if one.method == "advance_transfer"), None)
    if isinstance(row, WheelOver):
        return Verdict(check="turn_table", subject=subject, findings=_other_setting(turn, row))
    reason: str | None = row.reason if isinstance(row, NotApplicable) else None
    if turn.course_change_deg is None:
        return Verdict(check="turn_table", subject=subject, not_checked=reason or turn.reason)
    message = f"The {turn_name(turn)} gets no wheel-over from the ship's table: {reason}."
    found = Finding(code="beyond_table", grade="must_explain", subject=subject, message=message)
    return Verdict(check="turn_table", subject=subject, findings=(found,))


def _other_setting(turn: PlannedTurn, row: WheelOver) -> tuple[Finding, ...]:
    """Return the finding of a table for another rudder or speed than those of the turn.

    It must be explained where the turn is planned from that table, and is a note elsewhere: then
    the result only stands beside the others.
    """
    said = [note for note in row.notes if note.startswith("the table is for")]
    if not said:
        return ()
    planned = turn.planned.method == "advance_transfer"
    grade: Grade = "must_explain" if planned else "note"
    message = (
        f"The turning table beside the {turn_name(turn)} was taken otherwise than the turn is "
        f"planned: {'; '.join(said)}. Its wheel-over holds for the trial, not for this turn."
    )
    return (
        Finding(
            code="table_other_setting", grade=grade, subject=turn_subject(turn), message=message
        ),
    )
