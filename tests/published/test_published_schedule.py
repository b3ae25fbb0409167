"""Published triangles of the current, and times and speeds, through whole plans.

Row numbers are those of SOURCES.md, which names the sources.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from tests import zoo
from wheelover.core.geo import rhumb
from wheelover.core.schedule.zone import zone_description_h
from wheelover.core.types.circumstances import NO_LIMITS, Conditions
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes
from wheelover.core.units import NM_M
from wheelover.core.utc import seconds_from_utc
from wheelover.render.times import zone_time

START_S = 1_795_600_800.0


def _run(course_deg: float, speed_kn: float, set_deg: float, drift_kn: float, nm: float) -> Plan:
    """One leg of so many miles from mid-ocean in a current given with it."""
    lat, lon = rhumb.direct(47.0, -30.0, course_deg, nm * NM_M)
    wishes = LegWishes(speed_kn=speed_kn, set_deg=set_deg, drift_kn=drift_kn)
    route = zoo.route([(47.0, -30.0), (float(lat[0]), float(lon[0]))], leg=wishes)
    conditions = Conditions(departure_s=START_S)
    return zoo.make_plan(route, zoo.SHIP, zoo.chart(), conditions, NO_LIMITS)


@pytest.mark.parametrize(
    ("course_deg", "speed_kn", "set_deg", "drift_kn", "steer_deg", "made_kn"),
    [
        # H10 read [S34]: the answer key says 070 and 3.7.
        (90.0, 5.0, 210.0, 2.0, 69.7, 3.69),
        # H13 read [S35]: the answer key says 085 and 11.6.
        (75.0, 10.0, 30.0, 2.5, 85.2, 11.61),
        # H14 inputs read [S34], values exact: the key is rough (025, 6.2 and 000, 6.2).
        (45.0, 6.55, 135.0, 2.0, 27.2, 6.24),
        (20.0, 5.9, 90.0, 1.9, 2.4, 6.27),
        # H15 inputs read [S36], values computed.
        (300.0, 11.0, 350.0, 2.1, 291.6, 12.23),
    ],
)
def test_triangles_of_the_current(
    course_deg: float,
    speed_kn: float,
    set_deg: float,
    drift_kn: float,
    steer_deg: float,
    made_kn: float,
) -> None:
    """To the tolerance of the rows: 0.1 degrees, 0.02 kn."""
    plan = _run(course_deg, speed_kn, set_deg, drift_kn, 20.0)
    (leg,) = plan.schedule.legs
    assert leg.steer_deg == pytest.approx(steer_deg, abs=0.1)
    assert leg.over_ground_kn == pytest.approx(made_kn, abs=0.02)
    # And the three sides close: heading and stream add up to the course made good.
    east = speed_kn * math.sin(math.radians(leg.steer_deg or 0.0)) + drift_kn * math.sin(
        math.radians(set_deg)
    )
    north = speed_kn * math.cos(math.radians(leg.steer_deg or 0.0)) + drift_kn * math.cos(
        math.radians(set_deg)
    )
    assert math.degrees(math.atan2(east, north)) % 360.0 == pytest.approx(course_deg, abs=1e-6)
    assert math.hypot(east, north) == pytest.approx(leg.over_ground_kn)


def test_twenty_miles_to_run_in_a_current() -> None:
    """H13 read [S35]: 20 NM to run take 1 h 43.4 min."""
    plan = _run(75.0, 10.0, 30.0, 2.5, 20.0)
    assert (plan.schedule.rows[-1].eta_s or 0.0) / 60.0 == pytest.approx(103.4, abs=0.05)


def test_a_current_that_cannot_be_stemmed_is_a_finding_and_no_number() -> None:
    """H18 computed: at 3 kn no heading makes good 090 in 4 kn setting 000."""
    plan = _run(90.0, 3.0, 0.0, 4.0, 20.0)
    (leg,) = plan.schedule.legs
    assert (leg.steer_deg, leg.over_ground_kn, plan.schedule.rows[-1].eta_s) == (None, None, None)
    assert "stream_not_stemmed" in {one.code for one in plan.findings}
    assert not any(
        isinstance(value, float) and math.isnan(value)
        for row in plan.schedule.rows
        for value in (row.eta_s, row.run_m, row.to_go_m)
    )


def test_the_speed_that_an_eta_asks_for() -> None:
    """S18 computed: 250 NM in 19.5 h are 12.821 kn."""
    lat, lon = rhumb.direct(40.0, -30.0, 60.0, 250.0 * NM_M)
    route = zoo.route([(40.0, -30.0), (float(lat[0]), float(lon[0]))])
    first, last = route.waypoints
    route = replace(route, waypoints=(first, replace(last, eta_s=START_S + 19.5 * 3600.0)))
    plan = zoo.make_plan(route, zoo.SHIP, zoo.chart(), Conditions(departure_s=START_S), NO_LIMITS)
    assert plan.schedule.legs[0].speed_kn == pytest.approx(12.821, abs=1e-3)


def test_what_slowing_in_a_turn_costs() -> None:
    """T8 and T26 computed: an arc of 90 degrees at 0.5 NM is 0.78540 NM; at 9 instead of 12 kn."""
    ship = replace(zoo.SHIP, turn_speed_ratio=9.0 / 12.0, turn_radius_nm=0.5)
    route = zoo.route([(0.0, -30.0), (0.2, -30.0), (0.2, -29.8)])
    plan = zoo.make_plan(route, ship, zoo.chart(), Conditions(departure_s=START_S), NO_LIMITS)
    lost_s = 0.78540 * (1.0 / 9.0 - 1.0 / 12.0) * 3600.0
    assert plan.schedule.wheel_overs[0].lost_s == pytest.approx(lost_s, rel=1e-3)
    rates = [np.degrees(speed / 60.0 / 0.5) for speed in (12.0, 9.0)]
    assert rates == pytest.approx([22.92, 17.19], abs=0.01)
    assert plan.turns[0].rate_deg_per_min == pytest.approx(rates[1], rel=1e-6)


def test_a_sunrise_in_zone_time() -> None:
    """S1 read [S37]: at 075 E sunrise at 01:41 UTC is 06:41 by the clock of zone -5."""
    at_s = seconds_from_utc("2019-01-16T01:41:00Z")
    assert zone_time(at_s, zone_description_h(75.255)) == "2019-01-16T06:41:00+05:00"
