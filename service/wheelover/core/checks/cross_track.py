"""The check that no cross-track limit is wider than what the leg clears."""

from wheelover.core.checks.workings import (
    Verdict,
    Workings,
    coverage_unknown,
    leg_name,
    leg_subject,
    rule_asked,
)
from wheelover.core.clearance.corridors import with_corridor
from wheelover.core.margins import limit_for
from wheelover.core.types.clearance import Intrusion, Piece
from wheelover.core.types.plan import Finding
from wheelover.core.types.track import PlannedLeg
from wheelover.core.units import nm_from_m


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on the cross-track limits of every leg."""
    by_leg: dict[int, list[Intrusion]] = {}
    for one in workings.corridors.intrusions:
        by_leg.setdefault(one.leg_index, []).append(one)
    return tuple(
        Verdict(
            check="leg_cross_track",
            subject=leg_subject(leg),
            findings=(
                *_narrow(workings, leg),
                *(_finding(workings, leg, one) for one in by_leg.get(leg.index, ())),
            ),
            not_checked=_not_in_full(workings, with_corridor(leg, workings.limits)),
        )
        for leg in workings.track.legs
    )


def _narrow(workings: Workings, leg: PlannedLeg) -> tuple[Finding, ...]:
    """Return the findings of cross-track limits below what the limit set asks for."""
    rule = limit_for(workings.limits, "min_xtd_nm", [leg.asked]).rule
    if rule is None:
        return ()
    sides = (("port", leg.xtd_port_nm), ("starboard", leg.xtd_starboard_nm))
    return tuple(
        Finding(
            code=f"cross_track_below_set_{side}",
            grade="must_explain",
            subject=leg_subject(leg),
            message=f"The cross-track limit of {leg_name(leg)} to {side} is {given_nm:.3f} NM; "
            f"{rule_asked(rule, workings)}.",
            measured=given_nm,
            limit=rule.value,
            unit="NM",
            rules=(rule.id,),
        )
        for side, given_nm in sides
        if given_nm is not None and given_nm < rule.value
    )


def _not_in_full(workings: Workings, leg: PlannedLeg) -> str | None:
    """Return why a corridor is not simply met, None where charts cover it."""
    given = (leg.xtd_port_nm is not None, leg.xtd_starboard_nm is not None)
    missing = "starboard" if given[0] else "port"
    reasons = (
        (not any(given), "no cross-track limit is given"),
        (leg.path is None, "the leg has no length"),
        (not workings.chart.loaded, "no dangers are loaded"),
        (
            leg.index in workings.corridors.unmeasured,
            "the leg curves too sharply beside the pole for its corridor to be measured",
        ),
        (not all(given), f"no cross-track limit is given to {missing}"),
    )
    reason = next((words for holds, words in reasons if holds), None)
    return reason or coverage_unknown(workings, Piece(kind="leg", index=leg.index))


def _finding(workings: Workings, leg: PlannedLeg, one: Intrusion) -> Finding:
    """Return the finding of a limit that is wider than the clearance on its side."""
    if one.margin_m:
        return _near_edge(workings, leg, one)
    hazards = workings.chart.hazards
    danger = hazards.names[one.hazard_index] or hazards.ids[one.hazard_index]
    more = f" It is the nearest of {one.count} dangers inside." if one.count > 1 else ""
    limit_nm, clearance_nm = nm_from_m(one.limit_m), nm_from_m(max(one.clearance_m, 0.0))
    message = (
        f"The cross-track limit of {leg_name(leg)} to {one.side}, {limit_nm:.3f} NM, is wider than "
        f"its clearance there: {danger} lies {clearance_nm:.3f} NM from the leg.{more} The ship "
        "could meet it without an alarm. Measured to the loaded danger; the hull is not applied."
    )
    return Finding(
        code=f"cross_track_wider_{one.side}",
        grade="must_resolve",
        subject=leg_subject(leg),
        about=hazards.ids[one.hazard_index],
        message=message,
        measured=clearance_nm,
        limit=limit_nm,
        unit="NM",
    )


def _near_edge(workings: Workings, leg: PlannedLeg, one: Intrusion) -> Finding:
    """Return the finding of a danger from which the edge of the corridor keeps too little."""
    hazards = workings.chart.hazards
    danger = hazards.names[one.hazard_index] or hazards.ids[one.hazard_index]
    left_m = max(one.clearance_m - one.limit_m, 0.0)
    more = f" It is the nearest to its margin of {one.count} such dangers." if one.count > 1 else ""
    message = (
        f"A ship at the cross-track limit of {leg_name(leg)} to {one.side}, "
        f"{nm_from_m(one.limit_m):.3f} NM, would pass {danger} at {left_m:.0f} m, and "
        f"{one.margin_m:g} m is asked of it there.{more}"
    )
    return Finding(
        code=f"corridor_inside_margin_{one.side}",
        grade="must_explain",
        subject=leg_subject(leg),
        about=hazards.ids[one.hazard_index],
        message=message,
        measured=left_m,
        limit=one.margin_m,
        unit="m",
    )
