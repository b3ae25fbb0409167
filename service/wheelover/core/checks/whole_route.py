"""Checks of the plan as a whole: holes in the route, and what there is to check against."""

from collections import Counter

import numpy as np

from wheelover.core.checks.warning_times import warning_findings, warnings_open
from wheelover.core.checks.workings import Verdict, Workings, plan_subject
from wheelover.core.swing import assumed
from wheelover.core.types.chart import Chart
from wheelover.core.types.plan import Finding, Subject


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdicts on holes in the route, on the loaded dangers and on the ship's data."""
    return (_route_whole(workings), _dangers_loaded(workings), _ship_data(workings))


def _route_whole(workings: Workings) -> Verdict:
    """Return a finding for every hole; nothing is computed across one."""
    findings = []
    for index, waypoint in enumerate(workings.route.waypoints):
        subject = Subject(kind="waypoint", index=index, id=waypoint.id)
        if waypoint.gap_before:
            where = "before the first waypoint" if index == 0 else f"before {waypoint.id}"
            message = (
                f"Hole in the route {where}: rows there were not understood. "
                "No leg leads across it and nothing is computed through it."
            )
            findings.append(
                Finding(code="hole_before", grade="must_resolve", subject=subject, message=message)
            )
        if waypoint.gap_after:
            message = (
                f"Rows after {waypoint.id} were not understood. The plan ends here, "
                "and what follows is not planned."
            )
            findings.append(
                Finding(code="hole_after", grade="must_resolve", subject=subject, message=message)
            )
    return Verdict(check="route_whole", subject=plan_subject(), findings=tuple(findings))


def _dangers_loaded(workings: Workings) -> Verdict:
    """Return what is known of the dangers: none loaded, uncertainty or coverage unstated."""
    chart = workings.chart
    if not chart.loaded:
        reason = "no dangers are loaded, so no clearance could be measured"
        return Verdict(check="dangers_loaded", subject=plan_subject(), not_checked=reason)
    typed = chart.hazards.count
    if workings.on_chart is not None:
        typed = workings.on_chart.typed_count
    reasons = []
    swung = int(np.sum(assumed(chart.hazards)[:typed]))
    if swung:
        reasons.append(
            f"the swing of {swung} floating marks is assumed, for want of a stated uncertainty"
        )
    unstated = int(np.sum(~chart.hazards.uncertainty_given[:typed])) - swung
    if unstated:
        reasons.append(
            f"for want of a stated uncertainty of position ({unstated} dangers), none is taken off "
            "their clearance"
        )
    if workings.on_chart is None:
        reasons.append(
            f"{chart.hazards.count} dangers are loaded ({_shapes(chart)}), and nobody stated what "
            "water they cover: a stretch with none may simply not have been looked at"
        )
    elif any(one.uncovered for one in workings.on_chart.covered):
        reasons.append(
            "the loaded charts do not cover all of the track: a stretch outside them may simply "
            "not have been looked at"
        )
    in_force = warnings_open(workings)
    if in_force is not None:
        reasons.append(in_force)
    return Verdict(
        check="dangers_loaded",
        subject=plan_subject(),
        findings=warning_findings(workings),
        not_checked="; ".join(reasons) or None,
    )


def _shapes(chart: Chart) -> str:
    """Return how many of the dangers are points, lines and areas."""
    words = {"Point": "points", "LineString": "lines", "Polygon": "areas"}
    counts = Counter(words[shape.removeprefix("Multi")] for shape in chart.hazards.shapes)
    return (
        ", ".join(_counted(counts[word], word) for word in words.values() if counts[word]) or "none"
    )


def _counted(count: int, words: str) -> str:
    """Return a number with its word, of one thing or several."""
    return f"{count} {words if count != 1 else words.removesuffix('s')}"


def _ship_data(workings: Workings) -> Verdict:
    """Return what is assumed of the ship because nobody gave it."""
    ship = workings.ship
    if ship is None:
        return Verdict(check="ship_data", subject=plan_subject(), not_checked="no ship is given")
    findings = []
    assumed = sum(1 for turn in workings.track.turns if turn.reach_source == "default")
    if assumed:
        message = (
            f"A reach of one ship's length, {ship.loa_m:.0f} m, is assumed on {assumed} of "
            f"{len(workings.track.turns)} turns: nobody measured it. A ship that answers slowly "
            "needs more."
        )
        findings.append(
            Finding(
                code="reach_assumed",
                grade="must_explain",
                subject=plan_subject(),
                message=message,
                measured=ship.loa_m,
                unit="m",
            )
        )
    if ship.turn_speed_ratio is None and workings.track.turns:
        message = (
            "No loss of speed in the turn is assumed: the ratio of speed in the turn to approach "
            "speed was not given. Rates of turn and durations hang on it."
        )
        findings.append(
            Finding(
                code="turn_speed_assumed", grade="note", subject=plan_subject(), message=message
            )
        )
    return Verdict(check="ship_data", subject=plan_subject(), findings=tuple(findings))
