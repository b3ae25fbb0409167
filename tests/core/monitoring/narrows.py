"""A ship with her papers, and narrow channels on a leg north, to try where she can give up."""

from dataclasses import replace

import numpy as np

from tests import zoo
from wheelover.core.geo import geodesic
from wheelover.core.planning import make_plan
from wheelover.core.types.bridge import Bridge
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.monitoring import LegAbort
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes
from wheelover.core.types.ship import ShipProfile, StoppingTrial, TurnTable, TurnTableRow
from wheelover.core.types.watch import ActionPoint, LegMonitoring

NORTH = [(47.0, -30.0), (47.3, -30.0)]
BEND = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]
TABLE = TurnTable(
    rudder_deg=35.0,
    speed_kn=15.0,
    rows=(
        TurnTableRow(heading_change_deg=90.0, advance_m=700.0, transfer_m=300.0),
        TurnTableRow(heading_change_deg=180.0, advance_m=350.0, transfer_m=780.0),
    ),
    tactical_diameter_m=780.0,
    side="starboard",
)
TRIALS = (
    StoppingTrial(speed_kn=8.0, track_reach_m=900.0, time_s=300.0, engine_order="half ahead"),
    StoppingTrial(speed_kn=14.0, track_reach_m=2400.0, time_s=540.0, engine_order="full ahead"),
)
SHIP = replace(zoo.SHIP, stopping=TRIALS, turn_tables=(TABLE,))
PILOTAGE = LegMonitoring(stage="pilotage")


def planned(
    *points: ActionPoint,
    ship: ShipProfile = SHIP,
    chart: Chart = zoo.NO_CHART,
    places: list[tuple[float, float]] = NORTH,
    conditions: Conditions | None = None,
    speed_kn: float = 12.0,
) -> Plan:
    leg = LegWishes(line="rhumb", monitoring=PILOTAGE, speed_kn=speed_kn)
    return make_plan(
        zoo.route(places, leg=leg), ship, chart, conditions or Conditions(), Limits(),
        Bridge(points=points),
    )  # fmt: skip


def beside(along_m: float, aside_m: float) -> tuple[float, float]:
    """Return a place beside the leg north: so far along it, and to starboard of it."""
    lat, lon, _ = geodesic.direct(47.0, -30.0, 0.0, along_m)
    lat, lon, _ = geodesic.direct(float(lat[0]), float(lon[0]), 90.0, aside_m)
    return float(lat[0]), float(lon[0])


def walls(from_m: float, aside_m: float, to_m: float = 30_000.0) -> Chart:
    """Return rows of points on both sides from a place on: a channel without room to turn."""
    return zoo.chart(
        *(beside(along, side) for along in np.arange(from_m, to_m, 100.0)
          for side in (-aside_m, aside_m))
    )  # fmt: skip


def abort_of(plan: Plan) -> LegAbort:
    return plan.bridge.aborts[0]


def codes(plan: Plan) -> set[str]:
    return {one.code for one in plan.findings}
