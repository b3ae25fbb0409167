"""How often a leg wants a fix, and what is said of the methods.

The rule (she cannot reach a danger between two fixes) is common practice of the trade; A.893(21)
asks for method and frequency. Distances are made with geodesics of PROJ, times by hand.
"""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import zoo
from wheelover.core.clearance.passing import LEAST_SEARCH_M
from wheelover.core.geo import geodesic
from wheelover.core.monitoring.fixing import HANGS_ON, shared
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.monitoring import LegFixing
from wheelover.core.types.plan import Finding, Plan
from wheelover.core.types.route import LegWishes, Route
from wheelover.core.types.stream import Stream, StreamAt
from wheelover.core.types.watch import FIX_METHODS, Fixing, FixMethod, LegMonitoring, Stage
from wheelover.core.units import m_from_nm, m_per_s_from_kn

NORTH = [(47.0, -30.0), (47.3, -30.0)]
KN_M_PER_S = 1852.0 / 3600.0


def beside(*distances_m: float, bearing_deg: float = 90.0) -> Chart:
    """Return points square off the middle of the leg north: to starboard, or to port."""
    places = []
    for distance_m in distances_m:
        lat, lon, _ = geodesic.direct(47.15, -30.0, bearing_deg, distance_m)
        places.append((float(lat[0]), float(lon[0])))
    return Chart(loaded=True, hazards=zoo.points(places))


def planned(
    chart: Chart,
    monitoring: LegMonitoring | None = None,
    conditions: Conditions | None = None,
    **wishes: float,
) -> Plan:
    leg = LegWishes(line="rhumb", monitoring=monitoring, **wishes)  # type: ignore[arg-type]
    return zoo.plan(zoo.route(NORTH, leg=leg), a_chart=chart, conditions=conditions)


def fixing_of(plan: Plan, index: int = 0) -> LegFixing:
    return plan.bridge.fixings[index]


def found(plan: Plan, code: str) -> list[Finding]:
    return [one for one in plan.findings if one.code == code]


def asked(primary: FixMethod | None = "gnss", secondary: FixMethod | None = "radar_ranges",
          interval_min: float | None = 6.0) -> LegMonitoring:  # fmt: skip
    return LegMonitoring(
        stage="coastal",
        fixing=Fixing(primary=primary, secondary=secondary, interval_min=interval_min),
    )


def test_the_time_is_the_way_left_beside_the_limit_and_the_hull_over_the_speed() -> None:
    """1000 m to starboard, XTD 0.1 NM there, half of 32 m of hull, 12 kn: 798.8 m / 6.17 m/s."""
    one = fixing_of(planned(beside(1000.0), xtd_port_nm=0.4, xtd_starboard_nm=0.1))
    assert one.longest_s == pytest.approx((1000.0 - 185.2 - 16.0) / (12.0 * KN_M_PER_S), abs=0.1)
    assert one.from_track_s == pytest.approx((1000.0 - 16.0) / (12.0 * KN_M_PER_S), abs=0.1)
    assert one.reached is not None
    assert (one.reached.side, one.reached.xtd_nm) == ("starboard", 0.1)


def test_each_side_has_its_own_limit() -> None:
    """The danger farther off counts where the limit to its side leaves less of the way."""
    near, far = beside(700.0, bearing_deg=270.0), beside(900.0)
    both = Chart(
        loaded=True,
        hazards=zoo.points(
            [
                *zip(near.hazards.points.lat_deg.tolist(), near.hazards.points.lon_deg.tolist(),
                     strict=True),
                *zip(far.hazards.points.lat_deg.tolist(), far.hazards.points.lon_deg.tolist(),
                     strict=True),
            ]
        ),
    )  # fmt: skip
    one = fixing_of(planned(both, xtd_port_nm=0.05, xtd_starboard_nm=0.4))
    assert one.reached is not None
    assert one.reached.side == "starboard"
    assert one.reached.left_m == pytest.approx(900.0 - 740.8 - 16.0, abs=0.5)


def test_a_following_current_brings_the_danger_nearer_in_time() -> None:
    still = fixing_of(planned(beside(1500.0)))
    helped = fixing_of(planned(beside(1500.0), conditions=Conditions(set_deg=0.0, drift_kn=3.0)))
    assert still.longest_s is not None
    assert helped.longest_s == pytest.approx(still.longest_s * 12.0 / 15.0, rel=1e-6)
    assert "still water is assumed" in still.notes[0]
    assert not any("still water" in one for one in helped.notes)


@pytest.mark.parametrize("set_deg", [0.0, 90.0, 180.0, 270.0])
def test_the_stream_may_carry_her_onto_the_danger_whatever_it_does_along_the_track(
    set_deg: float,
) -> None:
    """By hand: 10 kn through the water and 8 kn of stream close at 18 kn at most, off the track.

    With a head stream of 8 kn she makes 2 kn along the track, and yet, heading across, 10 kn
    toward a danger abeam.
    """
    chart = beside(2217.0)
    stream = Conditions(set_deg=set_deg, drift_kn=8.0)
    one = fixing_of(planned(chart, conditions=stream, speed_kn=10.0))
    assert one.reached is not None
    left_m = 2217.0 - one.reached.half_width_m
    assert one.longest_s == pytest.approx(left_m / (18.0 * KN_M_PER_S), abs=0.1)
    assert any("18.0 kn" in note for note in one.notes) == (set_deg != 0.0)
    late = planned(chart, asked(interval_min=5.0), stream, speed_kn=10.0)
    (finding,) = found(late, "fix_interval_long")
    assert "18.0 kn over the ground" in finding.message


def test_of_a_stream_that_changes_the_fastest_while_she_is_on_the_leg_counts() -> None:
    """18 NM at 12 kn, the stream across growing from 0 to 4 kn within the two hours about them."""
    rows = tuple(
        StreamAt(at_s=3600.0 * hour, set_deg=90.0, drift_kn=drift_kn)
        for hour, drift_kn in ((0, 0.0), (1, 4.0), (2, 0.0), (9, 9.0))
    )
    stream = Stream(station="x", rows=rows)
    one = fixing_of(
        planned(beside(2000.0), conditions=Conditions(streams=(stream,), departure_s=0.0))
    )
    assert one.toward_m_per_s == pytest.approx(16.0 * KN_M_PER_S)
    untimed = fixing_of(planned(beside(2000.0), conditions=Conditions(streams=(stream,))))
    assert untimed.toward_m_per_s == pytest.approx(21.0 * KN_M_PER_S)


def test_a_speed_over_the_ground_is_made_good_with_more_through_the_water() -> None:
    """8 kn over the ground against 4 kn are 12 kn through the water, and 16 kn with the stream."""
    head = Conditions(set_deg=180.0, drift_kn=4.0)
    one = fixing_of(planned(beside(2000.0), conditions=head, speed_over_ground_kn=8.0))
    assert one.toward_m_per_s == pytest.approx(16.0 * KN_M_PER_S)


def test_a_limit_that_reaches_the_danger_leaves_no_time() -> None:
    plan = planned(beside(300.0), asked(), xtd_port_nm=0.2, xtd_starboard_nm=0.2)
    assert fixing_of(plan).longest_s == 0.0
    (finding,) = found(plan, "fix_interval_long")
    assert "in 0 s" in finding.message


@given(
    distance_m=st.floats(60.0, 3500.0),
    speed_kn=st.floats(3.0, 25.0),
    interval_min=st.floats(0.5, 30.0),
)
def test_fixes_that_let_her_reach_a_danger_are_found(
    distance_m: float, speed_kn: float, interval_min: float
) -> None:
    plan = planned(beside(distance_m), asked(interval_min=interval_min), speed_kn=speed_kn)
    runs_m = interval_min * 60.0 * m_per_s_from_kn(speed_kn)
    if abs(runs_m - (distance_m - 16.0)) < 1.0:
        return
    assert bool(found(plan, "fix_interval_long")) == (runs_m > distance_m - 16.0)


def test_in_time_is_not_yet_met_where_no_chart_covers_the_water() -> None:
    plan = planned(beside(3000.0), asked(interval_min=3.0))
    row = next(one for one in plan.checks if one.check == "leg_fixing")
    assert row.result == "not_checked"
    assert "loaded dangers" in (row.reason or "")


def test_the_turn_at_the_end_of_a_leg_counts_for_it() -> None:
    bend = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]
    legs = zoo.plan(zoo.route(bend))
    arc = legs.turns[0].arc
    assert arc is not None
    place = arc.centre
    centre = Chart(loaded=True, hazards=zoo.points([(place.lat_deg, place.lon_deg)]))
    plan = zoo.plan(zoo.route(bend), a_chart=centre)
    for index in (0, 1):
        one = fixing_of(plan, index).reached
        assert one is not None
        assert one.clearance_m == pytest.approx(m_from_nm(0.5), abs=1.0)


def test_nothing_near_says_how_far_was_looked_and_no_more() -> None:
    plan = planned(beside(9000.0), asked(interval_min=60.0))
    one = fixing_of(plan)
    assert one.reached is None
    assert one.longest_s == pytest.approx(LEAST_SEARCH_M / (12.0 * KN_M_PER_S))
    assert not found(plan, "fix_interval_long")
    row = next(one for one in plan.checks if one.check == "leg_fixing")
    assert row.result == "not_checked"
    assert "nothing loaded lies within 2 NM" in (row.reason or "")


def test_without_dangers_or_speed_no_time_is_given() -> None:
    assert fixing_of(planned(zoo.NO_CHART)).reason == "no dangers are loaded"
    slow = zoo.plan(zoo.route(NORTH), ship=replace(zoo.SHIP, speed_kn=None), a_chart=beside(900.0))
    one = fixing_of(slow)
    assert one.longest_s is None
    assert one.reason is not None
    assert "speed" in one.reason


@pytest.mark.parametrize("method", FIX_METHODS)
def test_no_method_checks_itself(method: FixMethod) -> None:
    assert shared(method, method) == tuple(sorted(HANGS_ON[method]))
    assert HANGS_ON[method]


def test_methods_on_one_sensor_are_told() -> None:
    """Common practice: the secondary method must not fail together with the primary one."""
    (one,) = found(planned(beside(3000.0), asked("visual_bearings", "radar_bearings")),
                   "fixing_not_independent")  # fmt: skip
    assert "both hang on the compass" in one.message
    assert not found(planned(beside(3000.0), asked()), "fixing_not_independent")
    assert found(planned(beside(3000.0), asked(secondary=None)), "fixing_no_second")


def test_what_nobody_has_said_is_asked_for() -> None:
    plan = planned(beside(3000.0))
    row = next(one for one in plan.checks if one.check == "leg_monitoring")
    assert row.result == "not_checked"
    assert row.reason == "nobody has said: stage, watch condition, when the master is called"
    pilotage = planned(beside(3000.0), LegMonitoring(stage="pilotage", watch="x", call_master="y"))
    row = next(one for one in pilotage.checks if one.check == "leg_monitoring")
    assert row.reason == "nobody has said: machinery and its notice, pilot"


def staged(*stages: Stage | None) -> Plan:
    route = zoo.route([(47.0 + 0.1 * i, -30.0) for i in range(len(stages) + 1)])
    waypoints = [
        replace(one, leg=LegWishes(monitoring=LegMonitoring(stage=stages[index - 1])))
        if index
        else one
        for index, one in enumerate(route.waypoints)
    ]
    return zoo.plan(Route(name="staged", waypoints=tuple(waypoints)))


def test_a_plan_that_does_not_run_berth_to_berth_says_so() -> None:
    """Source: A.893(21) 3.1, berth to berth, those areas included where a pilot is used."""
    plan = staged("pilotage", "coastal", "open")
    assert found(plan, "plan_begins_off_berth")
    assert found(plan, "plan_ends_off_berth")
    whole = staged("berth", "coastal", "berth")
    row = next(one for one in whole.checks if one.check == "berth_to_berth")
    assert row.result == "met"
    silent = staged(None, "open", "berth")
    row = next(one for one in silent.checks if one.check == "berth_to_berth")
    assert row.result == "not_checked"


def test_a_stage_against_the_limits_of_another_water_is_told() -> None:
    monitoring = LegMonitoring(stage="open")
    leg = LegWishes(line="rhumb", monitoring=monitoring, water="confined")
    plan = zoo.plan(zoo.route(NORTH, leg=leg))
    assert found(plan, "stage_and_water_differ")
    plan = zoo.plan(zoo.route(NORTH, leg=replace(leg, water="open")))
    assert not found(plan, "stage_and_water_differ")
