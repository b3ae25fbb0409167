"""Plans on small charted cells: a leg due east along 50.5 N, and others."""

from collections.abc import Sequence
from typing import Any

from tests.zoo import NO_CHART, SHIP
from wheelover.core.planning import make_plan
from wheelover.core.types.cells import Cell
from wheelover.core.types.chart import Chart, Hazards
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.plan import CheckRow, Finding, Plan
from wheelover.core.types.route import LegWishes, Route, Waypoint

LIMITS = Limits(min_clearance_m=100.0, safety_contour_m=10.0, safety_depth_m=10.0)
EAST = ((50.5, 0.2), (50.5, 0.8))


def plan_over(
    cells: Sequence[Cell],
    places: Sequence[tuple[float, float]] = EAST,
    limits: Limits = LIMITS,
    typed: Hazards | None = None,
    **leg: Any,
) -> Plan:
    """Return the plan of a route over cells; ``leg`` is asked of each leg."""
    waypoints = tuple(
        Waypoint(
            id=f"W{number}",
            lat_deg=lat,
            lon_deg=lon,
            turn_radius_nm=0.5 if 0 < number < len(places) - 1 else None,
            leg=LegWishes(**leg) if number else None,
        )
        for number, (lat, lon) in enumerate(places)
    )
    return make_plan(
        Route(name="over cells", waypoints=waypoints),
        SHIP,
        Chart(loaded=typed is not None, hazards=typed or NO_CHART.hazards, cells=tuple(cells)),
        Conditions(),
        limits,
    )


def row(plan: Plan, check: str, subject_id: str | None = "W1") -> CheckRow:
    """Return one row of the check register."""
    return next(one for one in plan.checks if one.check == check and one.subject.id == subject_id)


def found(plan: Plan, *codes: str) -> list[Finding]:
    """Return the findings of some codes."""
    return [one for one in plan.findings if one.code in codes]
