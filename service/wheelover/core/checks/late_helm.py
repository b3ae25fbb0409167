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
_ASSUMED = "nobody said how late the helm may be, so what is assumed is shown and not judged"
_ALONG_ARC = "the turn is not simulated, so she was taken along the planned arc"


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
    findings = (_finding(turn, late, late.dangers, workings),) if late.dangers else ()
    return Verdict(
        check="turn_late_helm",
        subject=subject,
        findings=(*findings, *_on_coast(turn, late)),
        not_checked=_not_in_full(turn, late, workings),
    )


def _not_in_full(turn: PlannedTurn, late: LateHelm, workings: Workings) -> str | None:
    """Return why what lies ahead is not simply met, None where it was looked at and judged."""
    if not workings.chart.loaded:
        return "no dangers are loaded"
    if late.dangers is None:
        return late.reason or "nothing was looked at"
    uncovered = coverage_unknown(workings, Piece(kind="turn", index=turn.index))
    reasons = (
        uncovered or late.not_checked,
        None if late.simulated else _ALONG_ARC,
        _ASSUMED if late.assumed else None,
    )
    return "; ".join(one for one in reasons if one) or None


def _on_coast(turn: PlannedTurn, late: LateHelm) -> tuple[Finding, ...]:
    """Return the finding of a late helm with which the hull comes onto the coastline."""
    if not late.on_coast:
        return ()
    message = (
        f"If the helm at the {turn_name(turn)} is up to {late.late_s:g} s late, the hull comes "
        "onto the coastline."
    )
    return (
        Finding(
            code="late_helm_land",
            grade="must_explain",
            subject=turn_subject(turn),
            message=message,
            limit=late.late_s,
            unit="s",
        ),
    )


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
