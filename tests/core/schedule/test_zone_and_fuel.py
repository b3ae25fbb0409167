"""Zone time beside UTC, and fuel from the ship's own table."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import zoo
from wheelover.core.schedule.zone import zone_description_h, zones_along
from wheelover.core.times.departures import departed, retimed
from wheelover.core.times.fuel import rate_t_per_day
from wheelover.core.types.circumstances import NO_LIMITS, Conditions, ZoneFrom
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes, Route
from wheelover.core.types.ship import Consumption
from wheelover.core.units import NM_M
from wheelover.render.times import zone_time

START_S = 1_795_600_800.0
PLACES = [(47.0, -30.0), (47.5, -30.0), (47.5, -29.0)]
TABLE = (
    Consumption(speed_kn=14.0, rate_t_per_day=40.0, fuel="VLSFO"),
    Consumption(speed_kn=10.0, rate_t_per_day=20.0, fuel="VLSFO"),
    Consumption(speed_kn=0.0, rate_t_per_day=3.0, fuel="MGO"),
    Consumption(speed_kn=16.0, rate_t_per_day=3.0, fuel="MGO"),
)
BURNS = replace(zoo.SHIP, consumption=TABLE)


@given(st.floats(-180.0, 180.0))
def test_the_zone_is_within_half_an_hour_of_local_mean_time(lon_deg: float) -> None:
    zone_h = zone_description_h(lon_deg)
    assert zone_h == int(zone_h)
    assert abs(lon_deg / 15.0 + zone_h) <= 0.5 + 1e-12
    assert zone_description_h(-lon_deg) == -zone_h


def test_zones_kept_otherwise_hold_until_the_next_one() -> None:
    route = zoo.route([(10.0, 70.0), (10.0, 75.0), (10.0, 80.0), (10.0, 85.0)])
    kept = (
        ZoneFrom(from_id="W1", description_h=-5.5),
        ZoneFrom(from_id="W3", description_h=-6.0),
    )
    found = zones_along(route.waypoints, kept)
    assert [one.description_h for one in found] == [-5.0, -5.5, -5.5, -6.0]
    assert [one.given for one in found] == [False, True, True, True]
    assert zone_time(0.0, -5.5) == "1970-01-01T05:30:00+05:30"


def _plan(route: Route, consumption: tuple[Consumption, ...] = TABLE, **more: float) -> Plan:
    ship = replace(BURNS, consumption=consumption, **more)
    return zoo.make_plan(route, ship, zoo.chart(), Conditions(departure_s=START_S), NO_LIMITS)


def test_fuel_is_speed_time_and_table_and_the_turn_counts_with_the_leg_before_it() -> None:
    plan = _plan(zoo.route(PLACES))
    arc = plan.turns[0].arc
    assert arc is not None
    runs_nm = [(one.track_to_m - one.track_from_m) / NM_M for one in plan.legs]
    runs_nm[0] += arc.arc_m / NM_M
    by_leg = {(one.fuel, one.leg_index): one for one in plan.schedule.fuel}
    for fuel, rate in (("VLSFO", 30.0), ("MGO", 3.0)):
        for leg in (0, 1):
            found = by_leg[fuel, leg]
            assert found.rate_t_per_day == pytest.approx(rate)
            assert found.burnt_t == pytest.approx(rate * runs_nm[leg] / 12.0 / 24.0)
            assert found.stay_t == 0.0
    totals = {one.fuel: one.total_t for one in plan.schedule.fuel_totals}
    assert totals["VLSFO"] == pytest.approx(30.0 * sum(runs_nm) / 12.0 / 24.0)


def test_outside_the_table_fuel_is_not_known_and_no_total_hides_it() -> None:
    route = zoo.route(PLACES)
    one, two, three = route.waypoints
    route = replace(route, waypoints=(one, two, replace(three, leg=LegWishes(speed_kn=15.0))))
    plan = _plan(route)
    rows = [row for row in plan.schedule.fuel if row.fuel == "VLSFO"]
    assert rows[1].burnt_t is None
    assert "15.00 kn lies outside her table of 10 to 14 kn" in (rows[1].reason or "")
    total = next(row for row in plan.schedule.fuel_totals if row.fuel == "VLSFO")
    assert total.total_t is None
    assert total.known_t == pytest.approx(rows[0].burnt_t)
    assert "1 leg" in (total.reason or "")


@pytest.mark.parametrize(("speed_kn", "limit_kn"), [(15.0, 14.0), (9.0, 10.0)])
def test_a_speed_outside_her_table_is_a_finding_of_the_leg(
    speed_kn: float, limit_kn: float
) -> None:
    """Of two fuels the one table reaches from 10 to 14 kn, the other over all speeds."""
    plan = _plan(zoo.route(PLACES, leg=LegWishes(line="rhumb", speed_kn=speed_kn)))
    found = [one for one in plan.findings if one.code == "speed_outside_consumption"]
    assert [one.subject.id for one in found] == ["W1", "W2"]
    assert {(one.measured, one.limit, one.grade) for one in found} == {
        (speed_kn, limit_kn, "must_explain")
    }
    assert "10 to 14 kn (VLSFO)" in found[0].message
    row = next(one for one in plan.checks if one.check == "leg_schedule")
    assert row.result != "met"
    assert all(one.burnt_t is None for one in plan.schedule.fuel if one.fuel == "VLSFO")
    total = next(one for one in plan.schedule.fuel_totals if one.fuel == "VLSFO")
    assert total.total_t is None
    inside = _plan(zoo.route(PLACES, leg=LegWishes(line="rhumb", speed_kn=14.0)))
    assert "speed_outside_consumption" not in {one.code for one in inside.findings}


def test_fuel_that_is_not_known_makes_the_row_of_the_leg_not_checked() -> None:
    """A stay, and no row at 0 kn."""
    route = zoo.route(PLACES)
    stays = replace(route.waypoints[1], stay_min=60.0)
    route = replace(route, waypoints=(route.waypoints[0], stays, route.waypoints[2]))
    plan = _plan(route, TABLE[:2])
    rows = [one.not_checked or "" for one in plan.checks if one.check == "leg_schedule"]
    assert "what she burns is not known: what she burns during a stay" in rows[0]
    assert "what she burns" not in rows[1]


def test_a_departure_whose_etas_ask_for_a_speed_outside_her_table_says_so() -> None:
    route = zoo.route(PLACES)
    last = replace(route.waypoints[-1], eta_s=START_S + 21_600.0)
    route = replace(route, waypoints=(*route.waypoints[:-1], last))
    plan = _plan(route)
    base = retimed(plan, BURNS, Conditions(departure_s=START_S), NO_LIMITS)
    said = departed(base, START_S + 600.0).problems
    assert not any("outside her table" in one for one in said)
    said = departed(base, START_S + 5400.0).problems
    assert any("outside her table of consumption of 10 to 14 kn" in one for one in said)


def test_a_stay_burns_what_the_table_says_at_rest_or_is_not_known() -> None:
    route = zoo.route(PLACES)
    one, two, three = route.waypoints
    plan = _plan(replace(route, waypoints=(one, replace(two, stay_min=120.0), three)))
    free = _plan(route)
    rows = {(row.fuel, row.leg_index): row for row in plan.schedule.fuel}
    assert rows["MGO", 0].stay_t == pytest.approx(3.0 * 2.0 / 24.0)
    assert (rows["VLSFO", 0].stay_t, rows["VLSFO", 1].stay_t) == (None, 0.0)
    assert "no row at 0 kn" in (rows["VLSFO", 0].reason or "")
    assert rows["VLSFO", 0].burnt_t == pytest.approx(free.schedule.fuel[0].burnt_t)


def test_without_a_table_it_is_asked_for() -> None:
    plan = _plan(zoo.route(PLACES), ())
    assert plan.schedule.fuel == ()
    assert plan.schedule.fuel_reason == "her consumption is not given"


@given(st.floats(10.0, 14.0), st.floats(10.0, 14.0))
def test_faster_burns_no_less_a_day(one_kn: float, two_kn: float) -> None:
    rows = sorted((row for row in TABLE if row.fuel == "VLSFO"), key=lambda row: row.speed_kn)
    slow, fast = (rate_t_per_day(rows, speed_kn) for speed_kn in sorted((one_kn, two_kn)))
    assert slow is not None
    assert fast is not None
    assert slow <= fast
