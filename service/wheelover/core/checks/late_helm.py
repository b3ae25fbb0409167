"""The check of what lies ahead in each turn if the helm is late."""

from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    coverage_unknown,
    rule_asked,
    turn_name,
    turn_subject,
)
from wheelover.core.types.clearance import Piece
from wheelover.core.types.plan import Finding, Grade
from wheelover.core.types.sweep import LateDanger, LateHelm
from wheelover.core.types.track import PlannedTurn

_LISTED = 3
_RUNS_ON = "whether the loaded charts cover the water that she runs on into is not looked at"


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on late helm in every turn."""
    late = {one.turn_index: one for one in workings.late_helms}
    return tuple(
        _verdict(turn, late[turn.index], workings)
        for turn in workings.track.turns
        if turn.index in late
    )


def _verdict(turn: PlannedTurn, late: LateHelm, workings: Workings) -> Verdict:
    """Return what lies ahead in one turn."""
    subject = turn_subject(turn)
    reason = coverage_unknown(workings, Piece(kind="turn", index=turn.index)) or _RUNS_ON
    if not workings.chart.loaded:
        reason = "no dangers are loaded"
    elif late.dangers is None:
        reason = late.reason or "nothing was looked at"
    findings = (_finding(turn, late, late.dangers, workings),) if late.dangers else ()
    return Verdict(check="turn_late_helm", subject=subject, findings=findings, not_checked=reason)


def _finding(
    turn: PlannedTurn, late: LateHelm, dangers: tuple[LateDanger, ...], workings: Workings
) -> Finding:
    """Return the finding of a turn in which something lies ahead."""
    first = dangers[0]
    listed = "; ".join(_said(one, workings) for one in dangers[:_LISTED])
    more = f"; and {len(dangers) - _LISTED} more" if len(dangers) > _LISTED else ""
    how = "as simulated" if late.simulated else "along the planned arc, for it is not simulated"
    rule = ""
    if late.rule is not None and late.rule_missed:
        rule = f" {rule_asked(late.rule, workings)} with nothing in the way."
    worst: Grade = (
        "must_resolve" if any(one.touched for one in dangers) and rule else "must_explain"
    )
    assumed = ", which is assumed" if late.assumed else ""
    message = (
        f"If the helm at the {turn_name(turn)} is {late.late_s:g} s late{assumed}, she runs on "
        f"{late.run_on_m or 0.0:.0f} m, then turns {how}. From the planned wheel-over the hull "
        f"{listed}{more}.{rule}"
    )
    return Finding(
        code="late_helm_danger",
        grade=worst,
        subject=turn_subject(turn),
        about=first.hazard_id,
        message=message,
        measured=first.first_at_s,
        limit=late.late_s,
        unit="s",
        rules=(late.rule.id,) if late.rule is not None and late.rule_missed else (),
    )


def _said(one: LateDanger, workings: Workings) -> str:
    """Return what happens with one danger."""
    name = workings.chart.hazards.names[one.hazard_index] or one.hazard_id
    when = f"after {one.first_at_s:.0f} s and {one.first_ahead_m:.0f} m"
    in_time = ", as it does with the helm in time" if one.in_time else ""
    if one.touched:
        return f"reaches {name} {when}{in_time}"
    limit = "" if one.limit_m is None else f" of {one.limit_m:g} m"
    return f"is inside the limit{limit} from {name} {when}, at {one.clearance_m:.0f} m{in_time}"
