"""A speed over the ground given in a stream that turns, and the mean that an ETA asks for.

The sums of speeds along one line, and areas under straight lines, are worked here by hand.
"""

from dataclasses import replace

import pytest

from tests import zoo
from wheelover.core.planning import make_plan
from wheelover.core.types.circumstances import NO_LIMITS, Conditions
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes
from wheelover.core.types.ship import Consumption
from wheelover.core.types.stream import Stream, StreamAt
from wheelover.core.units import NM_M

HOUR_S = 3600.0
START_S = 1_795_600_800.0  # 2026-11-25T10:00:00Z
TABLE = tuple(
    Consumption(speed_kn=speed_kn, rate_t_per_day=rate)
    for speed_kn, rate in ((7.9, 9.75), (12.0, 20.0), (16.1, 50.75))
)
SHIP = replace(zoo.SHIP, max_speed_kn=14.0, consumption=TABLE)


def _against_a_turning_stream() -> tuple[Plan, float]:
    """Return 72 miles east at 12 kn over the ground, 4 kn fair at first and 4 kn foul at last."""
    one, two = zoo.route([(0.0, 10.0), (0.0, 11.2)]).waypoints
    route = replace(
        zoo.route([(0.0, 10.0), (0.0, 11.2)]),
        waypoints=(one, replace(two, leg=LegWishes(speed_over_ground_kn=12.0))),
    )
    still = make_plan(route, SHIP, zoo.chart(), Conditions(departure_s=START_S), NO_LIMITS)
    hours = still.legs[0].length_m / NM_M / 12.0
    rows = (
        StreamAt(at_s=START_S, set_deg=90.0, drift_kn=4.0),
        StreamAt(at_s=START_S + 2.0 * hours * HOUR_S, set_deg=270.0, drift_kn=12.0),
    )
    conditions = Conditions(departure_s=START_S, streams=(Stream(station="Zoo", rows=rows),))
    return make_plan(route, SHIP, zoo.chart(), conditions, NO_LIMITS), hours


def test_the_greatest_speed_through_the_water_counts_and_not_that_of_the_middle() -> None:
    """8 kn through the water at first, 16 kn at last; 12 kn in the middle asks for nothing."""
    plan, hours = _against_a_turning_stream()
    (leg,) = plan.schedule.legs
    assert leg.over_ground_kn == pytest.approx(12.0)
    assert leg.speed_kn == pytest.approx(16.0, rel=1e-6)
    assert plan.legs[0].speed_kn == leg.speed_kn
    (found,) = [one for one in plan.findings if one.code == "speed_over_most"]
    assert found.measured == pytest.approx(16.0, rel=1e-6)
    assert "greatest" in (leg.note or "")
    assert (leg.end_s or 0.0) / HOUR_S == pytest.approx(hours)


def test_fuel_is_summed_over_the_speeds_that_are_asked_for() -> None:
    """From 8 to 12 kn 10 to 20 t a day, 15 in the mean; to 16 kn 20 to 50, 35: 25 in all."""
    plan, hours = _against_a_turning_stream()
    (used,) = plan.schedule.fuel
    assert used.rate_t_per_day == pytest.approx(25.0, rel=1e-3)
    assert used.burnt_t == pytest.approx(25.0 * hours / 24.0, rel=1e-3)


def test_fuel_is_not_known_where_one_step_lies_outside_the_table() -> None:
    short = replace(SHIP, consumption=TABLE[:2])
    route = _against_a_turning_stream()[0].route
    conditions = Conditions(
        departure_s=START_S,
        streams=(
            Stream(
                station="Zoo",
                rows=(
                    StreamAt(at_s=START_S, set_deg=90.0, drift_kn=4.0),
                    StreamAt(at_s=START_S + 13.0 * HOUR_S, set_deg=270.0, drift_kn=12.0),
                ),
            ),
        ),
    )
    plan = make_plan(route, short, zoo.chart(), conditions, NO_LIMITS)
    (used,) = plan.schedule.fuel
    assert used.burnt_t is None
    assert "outside her table" in (used.reason or "")


def test_the_mean_that_an_eta_asks_for_leaves_out_what_she_stays() -> None:
    """Some 300 miles in 12 h of which she lies still for 10: 150 kn is asked for, and not 25."""
    one, two, three = zoo.route([(0.0, 10.0), (0.0, 11.0), (0.0, 15.0)]).waypoints
    route = zoo.route([(0.0, 10.0), (0.0, 11.0), (0.0, 15.0)])
    legs = LegWishes(speed_kn=12.0)
    eta_s = START_S + 12.0 * HOUR_S
    route = replace(
        route,
        waypoints=(
            one,
            replace(two, leg=legs, stay_min=600.0),
            replace(three, eta_s=eta_s),
        ),
    )
    plan = make_plan(route, SHIP, zoo.chart(), Conditions(departure_s=START_S), NO_LIMITS)
    (missed,) = plan.schedule.missed
    miles = sum(one.track_to_m - one.track_from_m for one in plan.legs) / NM_M
    assert missed.needed_kn == pytest.approx(miles / 2.0, rel=1e-6)
