"""Cues set to what can be read: where on the track that is, and what the turn does there."""

import math
from dataclasses import replace

import pytest

from tests import zoo
from tests.core.aids.made import RIGHT, SLIGHT, WATCHING, helm_of, mark_at, plan_of
from tests.core.aids.test_cues import across, seen_after
from wheelover.core.aids.helms import helms_of
from wheelover.core.legs import feet_on_leg, points_along
from wheelover.core.turns.compare import simulated_row
from wheelover.core.turns.placed import places_from
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.cues import Rounded
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import Position, Route, TurnWishes, WheelOverChoice

STEERED = replace(WATCHING, response=zoo.RESPONSE)


def set_of(plan: Plan) -> Rounded:
    """What the first cue is set to."""
    cues = plan.cues[0]
    assert cues.first is not None
    found = cues.rows[cues.first].set_to
    assert found is not None
    return found


@pytest.mark.parametrize("places", [RIGHT, SLIGHT])
@pytest.mark.parametrize("relative_deg", [33.3, 77.7, -101.0, 140.0])
@pytest.mark.parametrize("kind", ["bearing", "range", "index"])
def test_the_mark_stands_at_the_set_value_where_it_is_said(places, relative_deg, kind):
    """Against the ellipsoid: at the place said, the mark has the value set."""
    helm = helm_of(places)
    mark = mark_at("M", helm, relative_deg, 2345.0)
    plan = plan_of(places, [mark], cue_ids=(f"{kind}/M",))
    if plan.cues[0].unknown_ids:
        assert kind == "index" or abs(abs(relative_deg) - 90.0) < 12.0
        return
    found = set_of(plan)
    bearing_deg, range_m = seen_after(helm, mark, found.later_m)
    if kind == "bearing":
        assert found.value * 2.0 == pytest.approx(round(found.value * 2.0))
        assert bearing_deg == pytest.approx(found.value, abs=2e-3)
    else:
        assert found.value * 100.0 == pytest.approx(round(found.value * 100.0))
        off_m = across(helm, bearing_deg, range_m) if kind == "index" else range_m
        assert off_m == pytest.approx(found.value * 1852.0, abs=0.05)
    assert found.distance_to_go_m == pytest.approx(helm.distance_m - found.later_m)
    assert found.later_s == pytest.approx(found.later_m / helm.speed_m_per_s)


def test_a_range_that_the_track_never_comes_down_to_is_set_longer():
    helm = helm_of()
    mark = mark_at("M", helm, 79.0, 0.1349 * 1852.0)
    found = set_of(plan_of(marks=[mark], cue_ids=("range/M",)))
    assert found.value == pytest.approx(0.14)
    assert seen_after(helm, mark, found.later_m)[1] == pytest.approx(0.14 * 1852.0, abs=0.05)


def test_the_simulation_run_from_the_set_distance():
    """The off-track distance is that of the plan whose wheel-over is given at the set distance."""
    plan = plan_of(ship=STEERED)
    found = plan.cues[0].distance_set
    assert found is not None
    assert found.value * 100.0 == pytest.approx(round(found.value * 100.0))
    route = zoo.route(RIGHT, radii_nm=[0.5])
    chosen = WheelOverChoice(distance_nm=found.value)
    points = list(route.waypoints)
    points[1] = replace(points[1], wheel_over=chosen)
    again = zoo.plan(replace(route, waypoints=tuple(points)), ship=STEERED)
    assert found.off_track_m == pytest.approx(again.turns[0].planned.off_track_m, abs=1e-6)
    assert again.turns[0].planned.distance_m == pytest.approx(found.distance_to_go_m)
    window = again.swept_turns[0].window
    assert window is not None
    assert found.inside_window is window.planned_inside
    assert simulated_row(plan.turns[0].wheel_overs) is not None


def test_without_a_simulation_nothing_is_said_of_it():
    found = plan_of().cues[0].distance_set
    assert found is not None
    assert (found.off_track_m, found.inside_window) == (None, None)
    helm = helms_of(plan_of().turns, plan_of().legs, {})[0]
    assert helm.at_s is None


def test_the_run_laid_on_the_ellipsoid_from_the_set_distance():
    """Where the simulated run ends beside the outbound leg, begun where the set value says."""
    helm = helm_of()
    plan = plan_of(marks=[mark_at("M", helm, 77.7, 2345.0)], ship=STEERED)
    run = simulated_row(plan.turns[0].wheel_overs)
    leg_in, leg_out = plan.legs[0].path, plan.legs[1].path
    assert run is not None
    assert run.manoeuvre is not None
    assert leg_in is not None
    assert leg_out is not None
    motion = run.manoeuvre.motion
    cues = plan.cues[0]
    sets = [cues.distance_set, *(one.set_to for one in cues.rows if one.set_to)]
    assert len(sets) == 3
    for found in sets:
        assert found is not None
        lat, lon, _ = points_along(leg_in, leg_in.length_m - found.distance_to_go_m)
        place = Position(lat_deg=float(lat[0]), lon_deg=float(lon[0]))
        end_lat, end_lon = places_from(place, motion.east_m[-1:], motion.north_m[-1:])
        foot = feet_on_leg(leg_out, 0.0, 5000.0, end_lat, end_lon)
        side = math.sin(math.radians(float(foot.bearing_off_deg[0])))
        assert found.off_track_m == pytest.approx(side * float(foot.distance_m[0]), abs=0.2)


@pytest.mark.parametrize("limit_m", [0.5, 500.0])
def test_a_value_set_outside_the_window_is_a_finding(limit_m):
    """A window of one metre holds none of these readings; one of a kilometre holds them all."""
    helm = helm_of()
    there = [mark_at("M", helm, 77.7, 2345.0), mark_at("N", helm, 40.3, 3456.0)]
    points = list(zoo.route(RIGHT, radii_nm=[0.5]).waypoints)
    points[1] = replace(
        points[1],
        wheel_over=WheelOverChoice(method="simulated"),
        turn=TurnWishes(cue_ids=("bearing/M", "range/N")),
    )
    plan = zoo.plan(
        Route(name="zoo", waypoints=tuple(points)),
        ship=STEERED,
        a_chart=replace(zoo.NO_CHART, marks=tuple(there)),
        limits=Limits(max_off_track_m=limit_m),
    )
    window = plan.swept_turns[0].window
    assert window is not None
    assert window.planned_inside
    found = [one for one in plan.findings if one.code == "cue_outside_window"]
    row = next(one for one in plan.checks if one.check == "turn_cue")
    if limit_m > 1.0:
        assert (found, row.result) == ([], "met")
        return
    assert row.result == "must_explain"
    assert [one.about for one in found] == [None, "bearing/M", "range/N"]
    assert "outside the window of the wheel-over" in found[0].message
