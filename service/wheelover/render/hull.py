"""The swept hull and the window of a wheel-over as JSON values."""

from typing import Any

from wheelover.core.types.chart import Chart
from wheelover.core.types.sweep import (
    Bound,
    HullClearance,
    LateDanger,
    LateHelm,
    SweptLeg,
    SweptTurn,
    Window,
    WindowEnd,
)
from wheelover.core.units import nm_from_m
from wheelover.render.rounding import METRES, MILES, OTHER, SECONDS, position, rounded

Document = dict[str, Any]

MOST_LATE = 12
"""Of the dangers that are met with late helm no more are told of one turn."""


def leg_hull(strip: SweptLeg | None) -> Document | None:
    """Return the strip that the hull sweeps along a leg; ``reason`` says why there is none."""
    if strip is None:
        return None
    return {
        "crab_deg": rounded(strip.crab_deg, OTHER),
        "half_width_m": rounded(strip.half_width_m, METRES),
        "clearance_m": rounded(strip.clearance_m, METRES),
        "reason": strip.reason,
    }


def turn_hull(swept: SweptTurn | None, chart: Chart) -> Document | None:
    """Return what the hull sweeps in a turn: the danger that matters most, and the window."""
    if swept is None:
        return None
    least = None if swept.clearances is None else swept.clearances.least()
    return {
        "least": hull_clearance(least, chart),
        "window": window_document(swept.window, chart),
        "reason": swept.reason,
        "window_reason": swept.window_reason,
    }


def hull_clearance(one: HullClearance | None, chart: Chart) -> Document | None:
    """Return how near the hull comes to a danger."""
    if one is None:
        return None
    return {
        "hazard_id": one.hazard_id,
        "hazard_name": chart.hazards.names[one.hazard_index],
        "distance_m": rounded(one.distance_m, METRES),
        "clearance_m": rounded(one.clearance_m, METRES),
        "at_s": rounded(one.at_s, SECONDS),
        "hull_point": position(one.hull_point),
        "hazard_point": position(one.hazard_point),
        "limit_m": rounded(one.limit_m, METRES),
        "limit_source": one.limit_source,
        "met": one.met,
    }


def window_document(window: Window | None, chart: Chart) -> Document | None:
    """Return between which wheel-overs every limit is held."""
    if window is None:
        return None
    return {
        "earliest": _end(window.earliest, chart),
        "latest": _end(window.latest, chart),
        "planned_inside": window.planned_inside,
        "window_count": window.window_count,
        "off_track_m_per_s": rounded(window.off_track_m_per_s, OTHER),
        "tightest": None if window.tightest is None else _bound(window.tightest, chart),
        "not_checked": window.not_checked,
        "on_coast": window.on_coast,
    }


def _end(end: WindowEnd | None, chart: Chart) -> Document | None:
    """Return one end of a window."""
    if end is None:
        return None
    return {
        "distance_nm": rounded(nm_from_m(end.distance_m), MILES),
        "later_m": rounded(end.later_m, METRES),
        "later_s": rounded(end.later_s, SECONDS),
        "bound": _bound(end.bound, chart),
    }


def _bound(bound: Bound, chart: Chart) -> Document:
    """Return what ends a window."""
    name = None if bound.hazard_index is None else chart.hazards.names[bound.hazard_index]
    return {
        "kind": bound.kind,
        "limit_m": rounded(bound.limit_m, METRES),
        "hazard_id": bound.hazard_id,
        "hazard_name": name,
        "leg": bound.leg,
        "side": bound.side,
    }


def late_helm(late: LateHelm | None, chart: Chart) -> Document | None:
    """Return what lies ahead in a turn if the helm is late."""
    if late is None:
        return None
    names = chart.hazards.names
    dangers = late.dangers
    return {
        "late_s": rounded(late.late_s, SECONDS),
        "assumed": late.assumed,
        "run_on_m": rounded(late.run_on_m, METRES),
        "simulated": late.simulated,
        "dangers": None
        if dangers is None
        else [_late_danger(one, names[one.hazard_index]) for one in dangers[:MOST_LATE]],
        "danger_count": None if dangers is None else len(dangers),
        "reason": late.reason,
        "rule": None if late.rule is None else late.rule.id,
        "rule_missed": late.rule_missed,
        "not_checked": late.not_checked,
        "on_coast": late.on_coast,
    }


def _late_danger(one: LateDanger, name: str | None) -> Document:
    """Return a danger that she comes too near to when the helm is late."""
    return {
        "hazard_id": one.hazard_id,
        "hazard_name": name,
        "clearance_m": rounded(one.clearance_m, METRES),
        "limit_m": rounded(one.limit_m, METRES),
        "limit_source": one.limit_source,
        "touched": one.touched,
        "first_at_s": rounded(one.first_at_s, SECONDS),
        "first_ahead_m": rounded(one.first_ahead_m, METRES),
        "before_helm": one.before_helm,
        "in_time": one.in_time,
    }
