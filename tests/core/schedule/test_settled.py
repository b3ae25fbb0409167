"""Times, speeds and given ETAs, settled with each other: found again by adding up from outside."""

from dataclasses import replace

import numpy as np
import pytest

from tests import zoo
from wheelover.core.errors import InvalidRoute
from wheelover.core.times.pieces import times_of
from wheelover.core.times.settle import settle
from wheelover.core.track import lay_track
from wheelover.core.turns.tried import with_tried
from wheelover.core.types.circumstances import NO_LIMITS, STILL_WATER, Conditions
from wheelover.core.types.clearance import Piece
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes, Route, TurnWishes
from wheelover.core.types.schedule import WaypointTime
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.turn_card import Tried
from wheelover.core.units import NM_M, m_per_s_from_kn

HOUR_S = 3600.0
START_S = 1_795_600_800.0  # 2026-11-25T10:00:00Z
NORTH_THEN_EAST = [(47.0, -30.0), (47.5, -30.0), (47.5, -29.0)]
SHIP = replace(zoo.SHIP, turn_speed_ratio=0.8)
LEAVES = Conditions(departure_s=START_S)


def _plan(route: Route, conditions: Conditions = LEAVES, ship: ShipProfile | None = SHIP) -> Plan:
    return zoo.make_plan(route, ship, zoo.chart(), conditions, NO_LIMITS)


def _route(**last: object) -> Route:
    route = zoo.route(NORTH_THEN_EAST)
    return replace(route, waypoints=(*route.waypoints[:-1], replace(route.waypoints[-1], **last)))


def _codes(plan: Plan) -> set[str]:
    return {one.code for one in plan.findings}


def _run_nm(plan: Plan, leg: int) -> float:
    return (plan.legs[leg].track_to_m - plan.legs[leg].track_from_m) / NM_M


def _last(plan: Plan) -> WaypointTime:
    return plan.schedule.rows[-1]


def test_without_anything_given_she_goes_at_the_ships_speed_and_slows_in_the_turn() -> None:
    plan = _plan(_route())
    (arc,) = [one.arc for one in plan.turns]
    assert arc is not None
    arc_h = arc.arc_m / NM_M / (12.0 * 0.8)
    hours = _run_nm(plan, 0) / 12.0 + arc_h + _run_nm(plan, 1) / 12.0
    assert _last(plan).eta_s == pytest.approx(hours * HOUR_S, rel=1e-9)
    assert _last(plan).source == "computed"
    assert plan.schedule.wheel_overs[0].lost_s == pytest.approx(
        arc.arc_m / NM_M * (1 / 9.6 - 1 / 12.0) * HOUR_S
    )
    assert plan.schedule.legs[0].over_ground_kn == pytest.approx(12.0)
    assert [one.speed_source for one in plan.schedule.legs] == ["ship", "ship"]
    row = plan.schedule.rows[1]
    assert row.eta_s == pytest.approx((_run_nm(plan, 0) / 12.0 + arc_h / 2.0) * HOUR_S)
    assert row.run_m == pytest.approx(_run_nm(plan, 0) * NM_M + arc.arc_m / 2.0)
    assert (row.run_m or 0.0) + (row.to_go_m or 0.0) == pytest.approx(plan.track_m)


def test_the_wheel_over_is_passed_before_the_arc_by_the_run_between_them() -> None:
    plan = _plan(_route())
    turn, time = plan.turns[0], plan.schedule.wheel_overs[0]
    assert turn.arc is not None
    assert turn.planned.distance_m is not None
    before_m = turn.planned.distance_m - turn.arc.tangent_in_m
    assert time.arc_start_s is not None
    assert time.at_s == pytest.approx(time.arc_start_s - before_m / m_per_s_from_kn(12.0))
    assert time.arc_end_s == pytest.approx(plan.schedule.legs[1].start_s)
    assert time.to_go_m == pytest.approx(
        (plan.track_m or 0.0) - (plan.legs[0].track_to_m - before_m)
    )


def test_a_speed_over_the_ground_is_made_good_and_the_speed_through_the_water_found() -> None:
    """10 kn over the ground to the north in 2 kn to the north: 8 kn through the water."""
    legs = (LegWishes(speed_over_ground_kn=10.0), LegWishes(speed_over_ground_kn=10.0))
    route = _route()
    one, two, three = route.waypoints
    route = replace(route, waypoints=(one, replace(two, leg=legs[0]), replace(three, leg=legs[1])))
    plan = _plan(route, replace(LEAVES, set_deg=0.0, drift_kn=2.0))
    first, second = plan.schedule.legs
    assert first.speed_kn == pytest.approx(8.0)
    assert (first.over_ground_kn, second.over_ground_kn) == pytest.approx((10.0, 10.0))
    assert second.speed_kn == pytest.approx(np.hypot(10.0, 2.0), rel=1e-6)
    assert plan.legs[0].speed_kn == first.speed_kn
    assert plan.turns[0].approach_speed_kn == pytest.approx(8.0)
    assert {first.speed_source, second.speed_source} == {"ground"}


@pytest.mark.parametrize("hours", [5.0, 6.5, 9.0])
@pytest.mark.parametrize("stay_min", [None, 45.0])
def test_a_given_eta_makes_the_speed(hours: float, stay_min: float | None) -> None:
    route = _route(eta_s=START_S + hours * HOUR_S)
    one, two, three = route.waypoints
    route = replace(route, waypoints=(one, replace(two, stay_min=stay_min), three))
    plan = _plan(route, replace(LEAVES, set_deg=60.0, drift_kn=1.5))
    assert _last(plan).eta_s == pytest.approx(hours * HOUR_S, abs=0.01)
    assert _last(plan).source == "given"
    first, second = plan.schedule.legs
    assert first.speed_kn == pytest.approx(second.speed_kn)
    assert first.speed_source == "eta"
    # The legs add up: what is made good along each, from the triangle of the current.
    speed = first.speed_kn or 0.0
    made = [
        np.sqrt(speed**2 - (1.5 * np.sin(np.radians(60.0 - course))) ** 2)
        + 1.5 * np.cos(np.radians(60.0 - course))
        for course in (0.0, 90.0)
    ]
    assert [first.over_ground_kn, second.over_ground_kn] == pytest.approx(made, rel=1e-6)
    stays_s = 0.0 if stay_min is None else stay_min * 60.0
    stayed_s = (plan.schedule.rows[1].etd_s or 0.0) - (plan.schedule.rows[1].eta_s or 0.0)
    assert stayed_s == pytest.approx(stays_s)
    assert "eta_not_made" not in _codes(plan)


def test_legs_with_a_speed_of_their_own_keep_it_and_the_others_make_the_eta() -> None:
    route = _route(eta_s=START_S + 7.0 * HOUR_S, leg=LegWishes(speed_kn=10.0))
    plan = _plan(route)
    assert plan.legs[1].speed_kn == 10.0
    assert plan.legs[1].speed_source == "leg"
    assert plan.legs[0].speed_source == "eta"
    assert _last(plan).eta_s == pytest.approx(7.0 * HOUR_S, abs=0.01)


def test_where_all_legs_have_speeds_they_count_and_the_missed_eta_is_found() -> None:
    route = zoo.route(NORTH_THEN_EAST, leg=LegWishes(speed_kn=12.0))
    one, two, three = route.waypoints
    eta_s = START_S + 5.0 * HOUR_S
    route = replace(route, waypoints=(one, two, replace(three, eta_s=eta_s)))
    plan = _plan(route)
    (found,) = [one for one in plan.findings if one.code == "eta_not_made"]
    assert found.grade == "must_resolve"
    assert found.measured == pytest.approx((_last(plan).eta_s or 0.0) - 5.0 * HOUR_S)
    assert "late" in found.message
    assert (_last(plan).source, _last(plan).given_s) == ("computed", eta_s)


def test_an_eta_that_no_speed_makes_is_found_and_a_speed_above_her_most() -> None:
    plan = _plan(_route(eta_s=START_S + 600.0))
    (found,) = [one for one in plan.findings if one.code == "eta_not_made"]
    assert "a mean of" in found.message
    assert plan.legs[0].speed_kn == 12.0
    fast = _plan(_route(eta_s=START_S + 3.5 * HOUR_S), ship=replace(SHIP, max_speed_kn=15.0))
    over = [one for one in fast.findings if one.code == "speed_over_most"]
    assert [one.subject.id for one in over] == ["W1", "W2"]
    assert over[0].measured == pytest.approx(fast.legs[0].speed_kn)
    assert "ETA asks for" in over[0].message


def test_without_a_departure_it_is_counted_back_from_the_first_given_eta() -> None:
    plan = _plan(_route(eta_s=START_S), STILL_WATER)
    by_ship = _plan(_route())
    assert plan.schedule.departure_s == pytest.approx(START_S - (_last(by_ship).eta_s or 0.0))
    assert plan.schedule.departure_source == "computed"
    assert plan.legs[0].speed_source == "ship"
    assert _last(plan).source == "given"


def test_between_two_etas_only_the_legs_between_them_change() -> None:
    route = _route(eta_s=START_S + 10.0 * HOUR_S)
    one, two, three = route.waypoints
    two = replace(two, eta_s=START_S + 3.0 * HOUR_S, stay_min=60.0)
    plan = _plan(replace(route, waypoints=(one, two, three)))
    speeds = [one.speed_kn or 0.0 for one in plan.schedule.legs]
    (arc,) = [one.arc for one in plan.turns]
    assert arc is not None
    half_nm = arc.arc_m / NM_M / 2.0
    assert speeds[0] == pytest.approx((_run_nm(plan, 0) + half_nm / 0.8) / 3.0, rel=1e-6)
    # After the stay she turns on at the speed of the leg that led there.
    left_h = 6.0 - half_nm / 0.8 / speeds[0]
    assert speeds[1] == pytest.approx(_run_nm(plan, 1) / left_h, rel=1e-6)
    assert _last(plan).eta_s == pytest.approx(10.0 * HOUR_S, abs=0.01)


def test_after_a_hole_a_given_eta_makes_times_known_again() -> None:
    route = zoo.route([*NORTH_THEN_EAST, (47.9, -29.0)])
    points = list(route.waypoints)
    points[2] = replace(points[2], gap_before=True, eta_s=START_S + 9.0 * HOUR_S, leg=None)
    plan = _plan(replace(route, waypoints=tuple(points)))
    rows = plan.schedule.rows
    assert [one.eta_s is not None for one in rows] == [True, True, True, True]
    assert rows[3].eta_s == pytest.approx(9.0 * HOUR_S + _run_nm(plan, 1) / 12.0 * HOUR_S)
    points[2] = replace(points[2], eta_s=None)
    silent = _plan(replace(route, waypoints=tuple(points))).schedule.rows
    assert [one.eta_s is None for one in silent] == [False, False, True, True]
    assert "hole" in (silent[3].reason or "")


@pytest.mark.parametrize(
    ("opens_h", "closes_h", "result"),
    [(4.0, 6.0, "met"), (7.0, None, "early"), (None, 2.0, "late"), (5.0, None, "met")],
)
def test_windows_of_arrival(opens_h: float | None, closes_h: float | None, result: str) -> None:
    ends = {
        "arrive_from_s": None if opens_h is None else START_S + opens_h * HOUR_S,
        "arrive_to_s": None if closes_h is None else START_S + closes_h * HOUR_S,
    }
    plan = _plan(_route(**ends))
    (window,) = plan.schedule.windows
    arrives_h = (_last(plan).eta_s or 0.0) / HOUR_S
    assert window.result == result
    found = [one for one in plan.findings if one.code.startswith("window_")]
    if result == "met":
        assert found == []
        return
    edge_h = opens_h if result == "early" else closes_h
    assert window.off_s == pytest.approx(abs(arrives_h - (edge_h or 0.0)) * HOUR_S)
    assert [one.code for one in found] == [f"window_{result}"]
    undated = _plan(_route(**ends), STILL_WATER)
    assert undated.schedule.windows[0].result == "not_known"
    row = next(one for one in undated.checks if one.check == "leg_schedule" and one.not_checked)
    assert row.result == "not_checked"


def test_a_stop_counts_in_the_turn_and_at_a_corner() -> None:
    route = _route()
    one, two, three = route.waypoints
    for radius_nm in (0.5, None):
        ship = replace(SHIP, turn_radius_nm=None)
        stop = replace(two, stay_min=30.0, turn_radius_nm=radius_nm)
        timing = settle(replace(route, waypoints=(one, stop, three)), ship, LEAVES)
        none = settle(
            replace(route, waypoints=(one, replace(two, turn_radius_nm=radius_nm), three)),
            ship,
            LEAVES,
        )
        last = Piece(kind="leg", index=1)
        later_s = (times_of(timing)[last].start_s or 0.0) - (times_of(none)[last].start_s or 0.0)
        assert later_s == pytest.approx(1800.0)
        leg = times_of(timing)[Piece(kind="leg", index=0)]
        assert (leg.leaves_s is None) == (radius_nm is not None)


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ([{}, {"eta_s": START_S - 1.0}], "/route/waypoints/1/eta_utc"),
        ([{}, {"eta_s": START_S + 9.0}, {"eta_s": START_S + 9.0}], "/route/waypoints/2/eta_utc"),
        (
            [{}, {"eta_s": START_S + 9.0, "stay_min": 60.0}, {"eta_s": START_S + 3600.0}],
            "/route/waypoints/2/eta_utc",
        ),
        ([{"stay_min": 1.0}], "/route/waypoints/0/stay_min"),
        ([{"eta_s": 1.0}], "/route/waypoints/0/eta_utc"),
        ([{}, {"arrive_from_s": 2.0, "arrive_to_s": 1.0}], "/route/waypoints/1/arrive_to_utc"),
        (
            [{}, {"leg": LegWishes(speed_kn=9.0, speed_over_ground_kn=9.0)}],
            "/route/waypoints/1/leg/speed_over_ground_kn",
        ),
    ],
)
def test_times_against_the_order_of_time_are_refused(
    members: list[dict[str, object]], pointer: str
) -> None:
    route = _route()
    points = [
        replace(one, **more)  # type: ignore[arg-type]
        for one, more in zip(route.waypoints, [*members, {}, {}], strict=False)
    ]
    with pytest.raises(InvalidRoute) as refused:
        _plan(replace(route, waypoints=tuple(points)))
    assert refused.value.faults[0].pointer == pointer


def test_what_is_tried_in_a_turn_goes_before_what_the_schedule_settled() -> None:
    settled = settle(_route(eta_s=START_S + 8.0 * HOUR_S), SHIP, LEAVES).route
    tried, _, _ = with_tried(settled, SHIP, LEAVES, "W1", Tried(speed_kn=7.0))
    track = lay_track(tried, SHIP, LEAVES)
    assert track.turns[0].approach_speed_kn == 7.0
    assert lay_track(settled, SHIP, LEAVES).turns[0].approach_speed_kn != 7.0
    own = replace(settled.waypoints[1], turn=TurnWishes(set_deg=10.0, drift_kn=3.0))
    given = replace(settled, waypoints=(settled.waypoints[0], own, settled.waypoints[2]))
    assert lay_track(given, SHIP, LEAVES).turns[0].current_source == "turn"
