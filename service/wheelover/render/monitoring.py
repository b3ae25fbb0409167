"""What is planned for the bridge team on each leg, as JSON values."""

import math
from typing import Any

from wheelover.core.checks.monitoring import missing_words
from wheelover.core.monitoring.fixing import shared
from wheelover.core.types.chart import Chart
from wheelover.core.types.monitoring import LegFixing, Reachable
from wheelover.core.types.plan import Plan
from wheelover.core.types.watch import Fixing, LegMonitoring
from wheelover.core.units import kn_from_m_per_s, nm_from_m
from wheelover.render.points import abort_rows
from wheelover.render.rounding import METRES, MILES, OTHER, rounded

Document = dict[str, Any]

RULE = (
    "She must not be able to reach a danger between two fixes: common practice of the trade; "
    "A.893(21) asks for method and frequency and gives no number. The error of a fix is not taken "
    "off."
)


def monitoring_rows(plan: Plan, chart: Chart) -> dict[int, Document]:
    """Return what is planned for the bridge team on each leg, by its index.

    Parameters
    ----------
    plan : Plan
        The plan.
    chart : Chart
        All dangers that it was checked against.
    """
    found = {one.leg_index: one for one in plan.bridge.fixings}
    aborts = abort_rows(plan)
    rows = {}
    for leg in plan.legs:
        wishes = plan.route.waypoints[leg.from_index + 1].leg
        given = (wishes and wishes.monitoring) or LegMonitoring()
        rows[leg.index] = {
            "stage": given.stage,
            "watch": given.watch,
            "machinery": given.machinery,
            "pilot": given.pilot,
            "tugs": given.tugs,
            "call_master": given.call_master,
            "notes": given.notes,
            "missing": list(missing_words(given)),
            "fixing": _fixing(given.fixing or Fixing(), found.get(leg.index), chart),
            "abort": aborts.get(leg.index),
        }
    return rows


def _fixing(given: Fixing, found: LegFixing | None, chart: Chart) -> Document:
    """Return how a leg is fixed, and how often it wants a fix."""
    one = found or LegFixing(leg_index=0, reason="nothing was computed")
    both = (
        ()
        if given.primary is None or given.secondary is None
        else shared(given.primary, given.secondary)
    )
    in_time = None
    if given.interval_min is not None and one.longest_s is not None:
        in_time = given.interval_min * 60.0 < one.longest_s
        if one.reached is None and not in_time:
            in_time = None
    return {
        "primary": given.primary,
        "secondary": given.secondary,
        "interval_min": rounded(given.interval_min, OTHER),
        "shared": list(both),
        "longest_interval_s": _floor_s(one.longest_s),
        "from_track_s": _floor_s(one.from_track_s),
        "speed_over_ground_kn": rounded(
            None if one.speed_m_per_s is None else kn_from_m_per_s(one.speed_m_per_s), OTHER
        ),
        "reaches": None if one.reached is None else _reached(one.reached, chart),
        "searched_nm": rounded(
            None if one.searched_m is None else nm_from_m(one.searched_m), MILES
        ),
        "in_time": in_time,
        "reason": one.reason,
        "working": list(one.working),
        "notes": list(one.notes),
    }


def _floor_s(time_s: float | None) -> float | None:
    """Return a time in whole seconds, rounded down: the careful way of an interval."""
    return None if time_s is None else float(math.floor(time_s))


def _reached(one: Reachable, chart: Chart) -> Document:
    """Return what she could reach first."""
    index = one.hazard_index
    return {
        "what": one.what,
        "hazard_id": None if index is None else chart.hazards.ids[index],
        "hazard_name": None if index is None else chart.hazards.names[index],
        "side": one.side,
        "clearance_m": rounded(one.clearance_m, METRES),
        "xtd_nm": rounded(one.xtd_nm, MILES),
        "left_m": rounded(one.left_m, METRES),
    }
