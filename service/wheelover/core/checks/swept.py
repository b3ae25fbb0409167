"""Checks of the swept hull in turns and on legs, and of the window of each wheel-over."""

from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    coverage_unknown,
    leg_name,
    leg_subject,
    turn_name,
    turn_subject,
)
from wheelover.core.margins import limit_for
from wheelover.core.sweep.of_turns import legs_beside
from wheelover.core.turns.windage import why_not_applied, wind_of
from wheelover.core.types.clearance import Piece
from wheelover.core.types.plan import Finding, Grade
from wheelover.core.types.sweep import Bound, HullClearance, SweptLeg, SweptTurn, Window
from wheelover.core.types.track import PlannedLeg, PlannedTurn

_LISTED = 2


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the hull in every turn and on every leg, and on every window."""
    verdicts = []
    for turn, swept in zip(workings.track.turns, workings.swept_turns, strict=True):
        verdicts += [_turn(turn, swept, workings), _window(turn, swept, workings)]
    for leg, strip in zip(workings.track.legs, workings.swept_legs, strict=True):
        verdicts.append(_leg(leg, strip, workings))
    return tuple(verdicts)


def _turn(turn: PlannedTurn, swept: SweptTurn, workings: Workings) -> Verdict:
    """Return whether the hull keeps clear of the dangers in the simulated turn."""
    subject = turn_subject(turn)
    if not workings.chart.loaded:
        return Verdict(check="turn_swept", subject=subject, not_checked="no dangers are loaded")
    if swept.clearances is None:
        return Verdict(check="turn_swept", subject=subject, not_checked=swept.reason)
    inside = list(swept.clearances.too_near())
    return Verdict(
        check="turn_swept",
        subject=subject,
        findings=_hull_near(turn, inside, workings),
        not_checked=coverage_unknown(workings, Piece(kind="turn", index=turn.index))
        or swept.not_checked,
    )


def _hull_near(
    turn: PlannedTurn, inside: list[HullClearance], workings: Workings
) -> tuple[Finding, ...]:
    """Return the finding of a hull too near to dangers, if it is: the worst of them, and others."""
    if not inside:
        return ()
    worst = min(inside, key=lambda one: one.clearance_m - (one.limit_m or 0.0))
    hazards = workings.chart.hazards
    name = hazards.names[worst.hazard_index] or worst.hazard_id
    limit = "" if worst.limit_m is None else f", limit {worst.limit_m:.0f} m"
    others = [one.hazard_id for one in inside if one is not worst]
    also = ""
    if others:
        more = f" and {len(others) - _LISTED} more" if len(others) > _LISTED else ""
        also = f" Too near as well: {', '.join(others[:_LISTED])}{more}."
    message = (
        f"In the {turn_name(turn)}, begun at its planned wheel-over, the hull passes {name} at "
        f"{max(worst.clearance_m, 0.0):.0f} m{limit}, {worst.at_s:.0f} s after the first order, as "
        f"simulated.{also}"
    )
    touches = worst.clearance_m <= 0.0
    grade: Grade = "must_resolve" if touches else "must_explain"
    return (
        Finding(
            code="hull_touches_danger" if touches else "hull_inside_limit",
            grade=grade,
            subject=turn_subject(turn),
            about=worst.hazard_id,
            message=message,
            measured=worst.clearance_m,
            limit=worst.limit_m,
            unit="m",
        ),
    )


def _window(turn: PlannedTurn, swept: SweptTurn, workings: Workings) -> Verdict:
    """Return whether the planned wheel-over lies in a window, and how long before it closes."""
    subject = turn_subject(turn)
    window = swept.window
    if window is None:
        reason = swept.reason or swept.window_reason
        return Verdict(check="turn_window", subject=subject, not_checked=reason)
    left_out = window.not_checked
    if not workings.chart.loaded:
        left_out = "no dangers are loaded: the window holds the other limits only"
    findings: tuple[Finding, ...]
    if window.earliest is None or window.latest is None:
        findings = (_empty(turn, window, workings),)
    elif not window.planned_inside:
        findings = (_outside(turn, window, workings),)
    else:
        findings = _closing(turn, window, workings)
    findings = (*findings, *_window_on_coast(turn, window))
    return Verdict(check="turn_window", subject=subject, findings=findings, not_checked=left_out)


def _window_on_coast(turn: PlannedTurn, window: Window) -> tuple[Finding, ...]:
    """Return the finding of a window whose runs lead onto the coastline, which does not end it."""
    if not window.on_coast:
        return ()
    message = (
        f"From a part of the window of the {turn_name(turn)} the hull comes onto the coastline, "
        "which is not among the limits that end the window. Helm given there is not clear of land."
    )
    return (
        Finding(
            code="window_on_land",
            grade="must_explain",
            subject=turn_subject(turn),
            message=message,
        ),
    )


def _empty(turn: PlannedTurn, window: Window, workings: Workings) -> Finding:
    """Return the finding of a turn that no wheel-over looked at makes within its limits."""
    tightest = "" if window.tightest is None else f": {_bound(window.tightest, workings)}"
    message = (
        f"At the {turn_name(turn)} no wheel-over was found from which the simulated turn holds "
        f"every limit. The tightest is{tightest or ' not known'}. Change the radius, the speed or "
        "the track."
    )
    return Finding(
        code="window_empty",
        grade="must_resolve",
        subject=turn_subject(turn),
        message=message,
        limit=None if window.tightest is None else window.tightest.limit_m,
        unit="m",
    )


def _outside(turn: PlannedTurn, window: Window, workings: Workings) -> Finding:
    """Return the finding of a planned wheel-over outside its window."""
    early = window.earliest is not None and window.earliest.later_m > 0.0
    end = window.earliest if early else window.latest
    by_m = 0.0 if end is None else abs(end.later_m)
    bound = "" if end is None else f" ({_bound(end.bound, workings)})"
    message = (
        f"The wheel-over planned at the {turn_name(turn)} is {by_m:.0f} m too "
        f"{'early' if early else 'late'}: the simulated turn does not hold every limit from "
        f"there{bound}."
    )
    return Finding(
        code="wheel_over_outside_window",
        grade="must_resolve",
        subject=turn_subject(turn),
        message=message,
        measured=by_m,
        limit=0.0,
        unit="m",
    )


def _closing(turn: PlannedTurn, window: Window, workings: Workings) -> tuple[Finding, ...]:
    """Return the finding of a wheel-over with too little time before its window closes."""
    legs = legs_beside(workings.track.legs)[turn.waypoint_index]
    asked = limit_for(
        workings.limits,
        "min_to_close_s",
        [leg.asked for leg in legs],
        workings.limits.min_to_close_s,
    )
    least_s = asked.value
    latest = window.latest
    if least_s is None or latest is None or latest.later_s >= least_s:
        return ()
    message = (
        f"At the {turn_name(turn)} there are {latest.later_s:.0f} s from the planned wheel-over to "
        f"the latest, less than the limit of {least_s:.0f} s; it closes by "
        f"{_bound(latest.bound, workings)}."
    )
    return (
        Finding(
            code="window_closes_soon",
            grade="must_explain",
            subject=turn_subject(turn),
            message=message,
            measured=latest.later_s,
            limit=least_s,
            unit="s",
            rules=asked.missed_rule(latest.later_s),
        ),
    )


def _bound(bound: Bound, workings: Workings) -> str:
    """Return what ends a window, in words."""
    limit = "" if bound.limit_m is None else f" of {bound.limit_m:.0f} m"
    if bound.kind == "off_track":
        return f"the limit off the new track{limit}"
    if bound.kind == "danger" and bound.hazard_index is not None:
        name = workings.chart.hazards.names[bound.hazard_index] or bound.hazard_id
        return f"the clearance{limit} from {name}"
    if bound.kind == "corridor":
        return f"the cross-track limit{limit} to {bound.side} of the {bound.leg} leg"
    if bound.kind == "leg_start":
        return "the start of the inbound leg"
    return "the end of what was looked at"


def _leg(leg: PlannedLeg, strip: SweptLeg, workings: Workings) -> Verdict:
    """Return whether the hull keeps its limit along a leg where the centre line does."""
    subject = leg_subject(leg)
    if not workings.chart.loaded:
        return Verdict(check="leg_swept", subject=subject, not_checked="no dangers are loaded")
    if strip.reason is not None:
        return Verdict(check="leg_swept", subject=subject, not_checked=strip.reason)
    piece = Piece(kind="leg", index=leg.index)
    open_reasons = (coverage_unknown(workings, piece), *_leeway_unknown(workings))
    return Verdict(
        check="leg_swept",
        subject=subject,
        findings=_strip_near(leg, strip, workings),
        not_checked="; ".join(one for one in open_reasons if one) or None,
    )


def _leeway_unknown(workings: Workings) -> tuple[str, ...]:
    """Return that the hull's strip is that of calm though a wind is given, if it is."""
    if wind_of(workings.conditions) is None:
        return ()
    reason = why_not_applied(workings.ship, workings.conditions)
    return () if reason is None else (reason,)


def _strip_near(leg: PlannedLeg, strip: SweptLeg, workings: Workings) -> tuple[Finding, ...]:
    """Return the finding of a leg whose hull comes too near where its centre line does not."""
    least = next(
        (
            one
            for one in workings.clearances.least
            if one.piece.kind == "leg" and one.piece.index == leg.index
        ),
        None,
    )
    if least is None or strip.clearance_m is None or least.met is False:
        return ()
    limit_m = least.limit_m or 0.0
    if strip.clearance_m > limit_m or least.clearance_m <= 0.0:
        return ()
    hazards = workings.chart.hazards
    name = hazards.names[least.hazard_index] or hazards.ids[least.hazard_index]
    crab = "" if not strip.crab_deg else f", crabbing {abs(strip.crab_deg):.1f} degrees"
    limit = "" if least.limit_m is None else f", limit {least.limit_m:.0f} m"
    message = (
        f"On {leg_name(leg)} the hull{crab} reaches {strip.half_width_m:.0f} m to either side of "
        f"the track and passes {name} at {max(strip.clearance_m, 0.0):.0f} m{limit}."
    )
    touches = strip.clearance_m <= 0.0
    return (
        Finding(
            code="hull_touches_danger" if touches else "hull_inside_limit",
            grade="must_resolve" if touches else "must_explain",
            subject=leg_subject(leg),
            about=hazards.ids[least.hazard_index],
            message=message,
            measured=strip.clearance_m,
            limit=least.limit_m,
            unit="m",
        ),
    )
