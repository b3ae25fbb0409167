"""What lies ahead if the helm is late: run on straight, then turn as planned."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import zoo
from tests.core.test_margins import NORTH
from wheelover.core.geo import geodesic
from wheelover.core.sweep.late import DEFAULT_LATE_S
from wheelover.core.sweep.near import hull_clearances
from wheelover.core.types.chart import Chart, Hazards
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.limits import LimitSet, WaterLimits
from wheelover.core.types.plan import Finding, Plan
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sweep import LateHelm
from wheelover.core.units import m_per_s_from_kn

SHIP = replace(zoo.SHIP, response=zoo.RESPONSE)


def _ahead(distance_m: float, aside_m: float = 0.0) -> Hazards:
    """Return a danger so far ahead of the planned wheel-over, and to starboard of the track."""
    plan = zoo.plan(zoo.route(NORTH), ship=SHIP)
    place = plan.turns[0].planned.position
    assert place is not None
    lat, lon, _ = geodesic.direct(place.lat_deg, place.lon_deg, 0.0, distance_m)
    lat, lon, _ = geodesic.direct(lat, lon, 90.0, aside_m)
    return zoo.points([(float(lat[0]), float(lon[0]))])


def _plan(
    hazards: Hazards, ship: ShipProfile | None = SHIP, *, drift_kn: float = 0.0, **limits: object
) -> Plan:
    chart = Chart(loaded=True, hazards=hazards)
    conditions = Conditions(set_deg=0.0, drift_kn=drift_kn)
    return zoo.plan(
        zoo.route(NORTH), ship=ship, a_chart=chart, conditions=conditions,
        limits=Limits(**limits),  # type: ignore[arg-type]
    )  # fmt: skip


def _late(plan: Plan) -> LateHelm:
    (late,) = plan.late_helms
    return late


def _found(plan: Plan) -> list[Finding]:
    return [one for one in plan.findings if one.code == "late_helm_danger"]


def test_she_runs_on_at_her_speed_over_the_ground() -> None:
    late = _late(_plan(_ahead(9000.0), drift_kn=2.0, helm_late_s=45.0))
    assert late.run_on_m == pytest.approx(45.0 * m_per_s_from_kn(14.0), rel=1e-9)
    assert (late.late_s, late.assumed, late.simulated) == (45.0, False, True)
    assert late.dangers == ()


def test_the_default_is_said_to_be_one() -> None:
    plan = _plan(_ahead(9000.0))
    assert (_late(plan).late_s, _late(plan).assumed) == (DEFAULT_LATE_S, True)
    (row,) = [one for one in plan.basis if one.input == "lateness of the helm"]
    assert (row.value, row.source) == (30.0, "default")
    own = _plan(_ahead(9000.0), helm_late_s=20.0)
    (row,) = [one for one in own.basis if one.input == "lateness of the helm"]
    assert (row.value, row.source) == (20.0, "you")


def test_a_danger_right_ahead_is_met_before_the_helm() -> None:
    """Straight on at 12 kn: the bow is 100 m ahead of midships, and the rest is way to go."""
    plan = _plan(_ahead(280.0), helm_late_s=60.0)
    (danger,) = _late(plan).dangers or ()
    assert danger.touched
    assert danger.before_helm
    # She is looked at every few seconds, and a piece begins at the earlier look.
    assert danger.first_at_s == pytest.approx(180.0 / m_per_s_from_kn(12.0), abs=3.0)
    assert danger.first_ahead_m == pytest.approx(danger.first_at_s * m_per_s_from_kn(12.0))
    (found,) = _found(plan)
    assert found.grade == "must_explain"
    assert "reaches h0" in found.message


def test_what_is_met_only_late_is_told_from_what_is_met_in_time_too() -> None:
    """Beyond the corner on the old course: in time she has turned away from it."""
    wide, near = _ahead(1100.0), _ahead(250.0)
    on_time = _late(_plan(near, helm_late_s=10.0, min_clearance_m=50.0))
    (danger,) = on_time.dangers or ()
    assert danger.in_time is True
    late = _late(_plan(wide, helm_late_s=120.0, min_clearance_m=50.0))
    (danger,) = late.dangers or ()
    assert (danger.in_time, danger.limit_m, danger.limit_source) == (False, 50.0, "plan")


@settings(max_examples=25)
@given(st.floats(0.0, 2500.0), st.floats(-900.0, 900.0), st.floats(1.0, 200.0))
def test_the_clearance_is_that_of_the_hull_on_the_late_run(
    distance_m: float, aside_m: float, late_s: float
) -> None:
    """Against the same run given to the sweep, pose by pose."""
    hazards = _ahead(distance_m, aside_m)
    plan = _plan(hazards, helm_late_s=late_s, min_clearance_m=300.0)
    turn, late = plan.turns[0], _late(plan)
    row = next(one for one in turn.wheel_overs if one.method == "simulated")
    motion = row.manoeuvre.motion  # type: ignore[union-attr]
    speed = m_per_s_from_kn(12.0)
    before_s = np.arange(0.0, late_s, 0.5)
    none = np.zeros(before_s.size)
    on_m = late_s * speed
    held = replace(
        motion,
        time_s=np.concatenate([before_s, motion.time_s + late_s]),
        east_m=np.concatenate([none, motion.east_m]),
        north_m=np.concatenate([before_s * speed, motion.north_m + on_m]),
        heading_deg=np.concatenate([none, motion.heading_deg]),
    )
    assert turn.planned.position is not None
    swept = hull_clearances(
        held, turn.planned.position, SHIP.loa_m, SHIP.beam_m, hazards,
        limits=Limits(min_clearance_m=300.0),
    )  # fmt: skip
    too_near = [one for one in swept if one.met is False]
    assert late.dangers is not None
    if swept and abs(swept[0].clearance_m - 300.0) < 0.5:
        return
    assert len(late.dangers) == len(too_near)
    for one, other in zip(late.dangers, too_near, strict=True):
        assert one.clearance_m == pytest.approx(other.clearance_m, abs=0.5)
        assert one.first_at_s <= other.at_s + 2.0


def test_an_area_that_holds_her_from_the_first_is_met_at_once() -> None:
    box = [[-31.0, 46.5], [-29.0, 46.5], [-29.0, 48.0], [-31.0, 48.0], [-31.0, 46.5]]
    (danger,) = _late(_plan(zoo.dangers([("Polygon", [box])]))).dangers or ()
    assert (danger.first_at_s, danger.touched, danger.before_helm) == (0.0, True, True)


def test_a_ship_that_is_not_simulated_goes_along_the_planned_arc() -> None:
    late = _late(_plan(_ahead(280.0), zoo.SHIP, helm_late_s=60.0))
    assert late.simulated is False
    (danger,) = late.dangers or ()
    assert danger.touched
    # Beside the new course, where the arc begun late leads and that in time does not.
    plan = zoo.plan(zoo.route(NORTH), ship=zoo.SHIP)
    arc = plan.turns[0].arc
    assert arc is not None
    lat, lon, _ = geodesic.direct(arc.end.lat_deg, arc.end.lon_deg, 0.0, 370.0)
    late = _late(_plan(zoo.points([(float(lat[0]), float(lon[0]))]), zoo.SHIP, helm_late_s=60.0))
    assert len(late.dangers or ()) == 1


@pytest.mark.parametrize(
    ("ship", "reason"),
    [(None, "no ship is given"), (replace(zoo.SHIP, speed_kn=None), "no speed is given")],
)
def test_without_ship_or_speed_nothing_is_looked_at(ship: ShipProfile | None, reason: str) -> None:
    plan = _plan(_ahead(280.0), ship)
    late = _late(plan)
    assert late.dangers is None
    assert (late.reason or "").startswith(reason)
    (row,) = [one for one in plan.checks if one.check == "turn_late_helm"]
    assert (row.result, row.not_checked) == ("not_checked", late.reason)


def test_without_dangers_loaded_it_is_not_checked() -> None:
    plan = zoo.plan(zoo.route(NORTH), ship=SHIP)
    (row,) = [one for one in plan.checks if one.check == "turn_late_helm"]
    assert (row.result, row.not_checked) == ("not_checked", "no dangers are loaded")


def test_the_rule_of_the_set_is_missed_only_as_late_as_it_asks() -> None:
    of_set = LimitSet(name="X", coastal=WaterLimits(helm_late_s=20.0))
    hazards = _ahead(420.0)
    missed = _plan(_ahead(150.0), limit_set=of_set, water="coastal")
    assert _late(missed).rule_missed
    (found,) = _found(missed)
    assert (found.rules, found.grade) == (("coastal/helm_late_s",), "must_resolve")
    longer = _plan(hazards, limit_set=of_set, water="coastal", helm_late_s=60.0)
    late = _late(longer)
    assert (late.late_s, len(late.dangers or ())) == (60.0, 1)


@pytest.mark.parametrize("slower", [1.0, 0.8])
def test_along_the_planned_arc_the_hull_comes_no_nearer_than_it_does(slower: float) -> None:
    """Her outline laid down 4000 times on line and arc, measured by shapely, in metres on a plane.

    She loses speed at once where the arc begins: no step may make more of that than it is.
    """
    ship = replace(zoo.SHIP, reach_m=300.0, turn_speed_ratio=slower)
    plan = zoo.plan(zoo.route(NORTH), ship=ship)
    arc, place = plan.turns[0].arc, plan.turns[0].planned.position
    assert arc is not None
    assert place is not None
    run_m = 300.0 + 90.0 * m_per_s_from_kn(plan.turns[0].approach_speed_kn or 0.0)
    turned = np.radians(np.linspace(0.0, abs(arc.sweep_deg), 2000))
    aside = np.copysign(1.0, arc.sweep_deg)
    straight = np.linspace(0.0, run_m, 2000)
    north = np.concatenate([straight, run_m + arc.radius_m * np.sin(turned)])
    east = np.concatenate([0.0 * straight, aside * arc.radius_m * (1.0 - np.cos(turned))])
    heading = np.concatenate([0.0 * straight, aside * turned])
    half = np.array([[1, -1], [1, 1], [-1, 1], [-1, -1]]) * [ship.loa_m / 2.0, ship.beam_m / 2.0]
    sine, cosine = np.sin(heading)[:, None], np.cos(heading)[:, None]
    hulls = shapely.polygons(
        np.stack(
            [
                east[:, None] + half[:, 0] * sine + half[:, 1] * cosine,
                north[:, None] + half[:, 0] * cosine - half[:, 1] * sine,
            ],
            axis=-1,
        )
    )
    for ahead_m, aside_m in ((run_m + 400.0, -150.0), (run_m, 120.0), (300.0, -90.0)):
        lat, lon, _ = geodesic.direct(place.lat_deg, place.lon_deg, 0.0, ahead_m)
        lat, lon, _ = geodesic.direct(lat, lon, 90.0, aside_m)
        spot = zoo.points([(float(lat[0]), float(lon[0]))])
        late = _late(_plan(spot, ship, min_clearance_m=2000.0, helm_late_s=90.0))
        assert late.dangers is not None
        want_m = float(shapely.distance(hulls, shapely.Point(aside_m, ahead_m)).min())
        assert want_m - 2.5 < late.dangers[0].clearance_m < want_m + 0.1
