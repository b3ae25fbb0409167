"""Warning points: back along the leg, through turns before it, and before the start."""

from dataclasses import replace

import pytest

from tests import zoo
from tests.core.aids.made import RIGHT, WATCHING, plan_of
from wheelover.core.geo import geodesic
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.cues import WarningPoint, WarningWish
from wheelover.core.types.plan import Plan
from wheelover.core.types.stream import Stream, StreamAt

SPEED_M_PER_S = 12.0 * 1852.0 / 3600.0
CLOSE = ((47.0, -30.0), (47.1, -30.0), (47.1, -29.95), (47.2, -29.95))
"""Two turns about two miles apart."""


def warned(plan: Plan, turn: int = 0) -> tuple[WarningPoint, ...]:
    """The warning points of a turn."""
    return plan.cues[turn].warnings


def test_three_minutes_and_half_a_minute_before_where_nobody_says():
    plan = plan_of()
    early, late = warned(plan)
    assert (early.before_s, late.before_s) == (180.0, 30.0)
    assert early.assumed
    assert early.distance_m == pytest.approx(180.0 * SPEED_M_PER_S)
    helm = plan.turns[0].planned.position
    assert helm is not None
    assert early.position is not None
    off = geodesic.inverse(
        helm.lat_deg, helm.lon_deg, early.position.lat_deg, early.position.lon_deg
    )
    assert float(off[2][0]) == pytest.approx(180.0 * SPEED_M_PER_S, abs=1e-3)
    assert plan.cues[0].at_s is not None
    assert early.at_s == pytest.approx(plan.cues[0].at_s - 180.0)
    row = next(one for one in plan.basis if one.input == "warning points before the wheel-over")
    assert (row.source, row.value) == ("default", "180 s, 30 s")


def test_by_distance_and_in_order():
    limits = Limits(warning_points=(WarningWish(before_nm=0.1), WarningWish(before_s=240.0)))
    first, second = warned(plan_of(limits=limits))
    assert (first.before_s, second.before_nm) == (240.0, 0.1)
    assert second.distance_m == pytest.approx(185.2)
    assert not first.assumed
    assert second.at_s == pytest.approx((first.at_s or 0.0) + 240.0 - 185.2 / SPEED_M_PER_S)


def test_in_a_current_the_time_is_over_the_ground():
    still = warned(plan_of())[0].distance_m
    fair = warned(plan_of(conditions=Conditions(set_deg=0.0, drift_kn=2.0)))[0].distance_m
    assert still is not None
    assert fair == pytest.approx(still * 14.0 / 12.0)


def test_back_through_the_turn_before():
    limits = Limits(
        warning_points=tuple(WarningWish(before_nm=miles) for miles in (0.5, 1.3, 2.2, 3.5))
    )
    plan = plan_of(CLOSE, limits=limits)
    points = warned(plan, 1)
    assert [one.on for one in points] == ["leg", "leg", "turn", "leg"]
    assert [one.on_index for one in points] == [0, 0, 0, 1]
    arc = plan.turns[0].arc
    helm = plan.turns[1].planned
    assert arc is not None
    assert helm.distance_m is not None
    leg = plan.legs[1]
    on_arc = points[2]
    assert on_arc.position is not None
    off = geodesic.inverse(
        arc.centre.lat_deg, arc.centre.lon_deg, on_arc.position.lat_deg, on_arc.position.lon_deg
    )
    assert float(off[2][0]) == pytest.approx(arc.radius_m, abs=1e-3)
    along_m = leg.length_m - helm.distance_m - leg.track_from_m
    back_m = 1.3 * 1852.0 - along_m
    turned_deg = arc.sweep_deg * (1.0 - back_m / arc.arc_m)
    expected_deg = (arc.from_bearing_deg + turned_deg) % 360.0
    assert float(off[0][0]) == pytest.approx(expected_deg, abs=1e-6)
    on_first = points[0]
    assert on_first.position is not None
    assert on_first.position.lon_deg == pytest.approx(-30.0, abs=1e-9)


def test_before_the_start_of_the_track_it_says_so():
    limits = Limits(warning_points=(WarningWish(before_nm=50.0),))
    point = warned(plan_of(limits=limits))[0]
    assert (point.position, point.reason) == (None, "it lies before the start of the track")


def test_without_a_speed_only_distances_have_a_place():
    slow = replace(WATCHING, speed_kn=None)
    limits = Limits(warning_points=(WarningWish(before_nm=0.3), WarningWish(before_s=60.0)))
    points = {one.before_nm: one for one in warned(plan_of(RIGHT, ship=slow, limits=limits))}
    assert points[0.3].distance_m == pytest.approx(555.6)
    assert points[0.3].at_s is None
    assert points[None].reason == "no speed over the ground is known on the way to it"


def test_a_stay_on_the_way_counts():
    """Worked by hand: ten minutes at the waypoint before are ten minutes more before the helm."""
    wishes = (WarningWish(before_nm=2.5), WarningWish(before_s=900.0))
    plain = zoo.route(CLOSE, radii_nm=[0.5, 0.5])
    points = list(plain.waypoints)
    points[1] = replace(points[1], stay_min=10.0)
    staying = replace(plain, waypoints=tuple(points))
    limits = Limits(warning_points=wishes)
    found = {}
    for name, route in (("on", plain), ("stay", staying)):
        plan = zoo.plan(route, ship=WATCHING, limits=limits)
        helm_s = plan.cues[1].at_s
        assert helm_s is not None
        for one in plan.cues[1].warnings:
            assert one.at_s is not None
            found[name, one.before_nm] = (helm_s - one.at_s, one)
    assert found["stay", 2.5][0] == pytest.approx(found["on", 2.5][0] + 600.0)
    assert found["on", None][1].on == "leg"
    while_there = found["stay", None][1]
    assert while_there.on == "turn", "a quarter of an hour before she lies at the waypoint"
    arc = plan.turns[0].arc
    assert arc is not None
    run_m = plan.legs[1].length_m - (plan.turns[1].planned.distance_m or 0.0)
    run_m += arc.arc_m / 2.0 - plan.legs[1].track_from_m
    assert while_there.distance_m == pytest.approx(run_m)


def test_in_a_stream_that_changes_on_the_leg_the_speed_is_that_of_the_time():
    """No stream for 40 minutes, four knots with her from 41 on: 12 kn then 16 kn, by hand."""
    start_s = 1_795_564_800.0
    drifts = ((0.0, 0.0), (2400.0, 0.0), (2460.0, 4.0), (9000.0, 4.0))
    rows = tuple(StreamAt(at_s=start_s + at, set_deg=0.0, drift_kn=kn) for at, kn in drifts)
    conditions = Conditions(departure_s=start_s, streams=(Stream(station="Zoo bank", rows=rows),))
    limits = Limits(warning_points=(WarningWish(before_s=1500.0),))
    plan = plan_of(conditions=conditions, limits=limits)
    helm_s = plan.cues[0].at_s
    assert helm_s is not None
    assert 2460.0 + 300.0 < helm_s < 2400.0 + 1400.0
    early = warned(plan)[0]
    slack_s, turning_s, fair_s = 1500.0 - (helm_s - 2400.0), 60.0, helm_s - 2460.0
    run_nm = (12.0 * slack_s + 14.0 * turning_s + 16.0 * fair_s) / 3600.0
    assert early.distance_m == pytest.approx(run_nm * 1852.0, abs=60.0)
    assert early.at_s == pytest.approx(helm_s - 1500.0)
    same = Limits(warning_points=(WarningWish(before_nm=(early.distance_m or 0.0) / 1852.0),))
    by_distance = warned(plan_of(conditions=conditions, limits=same))[0]
    assert by_distance.at_s == pytest.approx(early.at_s, abs=1e-3)
