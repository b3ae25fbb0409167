"""Moving the departure of a plan of 200 waypoints, beside the whole plan.

``python -m tests.bench.departures`` with ``PYTHONPATH=service``: medians of one run. The plan has
simulated turns, a table of tides with a depth on every leg, and tidal streams; it is re-timed as
the page asks it, by the API. The first time a plan is asked for it is computed once.
"""

import asyncio
import statistics
from typing import Any

from tests.bench.turn_card import _one_s, passage
from wheelover.api import create_app
from wheelover.core.types.stream import LEAST_HOUR, MOST_HOUR

WAYPOINTS = 200
_ROUNDS = 9


def request() -> dict[str, Any]:
    """Return the plan."""
    plan = passage(WAYPOINTS - 2)
    for waypoint in plan["route"]["waypoints"][1:]:
        waypoint["leg"] = {**waypoint.get("leg", {}), "charted_depth_m": 16.0, "catzoc": "A1"}
    days = [f"2026-11-{day:02d}" for day in range(20, 31)]
    plan["conditions"] = {
        "tides": [
            {
                "station": "Bench bar",
                "heights": [
                    {
                        "at_utc": f"{day}T{hour:02d}:00:00Z",
                        "height_m": 0.5 + 3.0 * (hour in (6, 18)),
                    }
                    for day in days
                    for hour in (0, 6, 12, 18)
                ],
            }
        ],
        "streams": [
            {
                "station": "Bench bank",
                "high_waters_utc": [
                    f"{day}T{hour}:00:00Z" for day in days for hour in ("06", "18")
                ],
                "hours": [
                    {"hour": hour, "set_deg": 30.0 * hour % 360.0, "drift_kn": 1.5}
                    for hour in range(LEAST_HOUR, MOST_HOUR + 1)
                ],
            }
        ],
    }
    plan["ship"] = {**plan["ship"], "block_coefficient": 0.7}
    plan["limits"] = {**plan["limits"], "min_ukc_m": 1.5}
    plan["departure_utc"] = "2026-11-21T08:00:00Z"
    return plan


async def measure() -> None:
    """Print medians of one run."""
    app, plan = create_app(), request()
    moved = {"plan": plan, "shifts_s": [18_000.0]}
    first_s = await _one_s(app, "/api/v1/plan/departures", moved)
    moved_s = [await _one_s(app, "/api/v1/plan/departures", moved) for _ in range(_ROUNDS)]
    plans_s = [await _one_s(app, "/api/v1/plan", plan) for _ in range(3)]
    whole_s, again_s = statistics.median(plans_s), statistics.median(moved_s)
    print(f"plan of {WAYPOINTS} waypoints{1e3 * whole_s:28.1f} ms")
    print(f"moved, the plan not computed here before{1e3 * first_s:10.1f} ms")
    print(f"moved, was and now{1e3 * again_s:32.1f} ms, 1/{whole_s / again_s:.0f} of the plan")


if __name__ == "__main__":
    asyncio.run(measure())
