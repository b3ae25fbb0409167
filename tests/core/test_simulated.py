"""The simulated wheel-over: held against the helm orders it is made of, run and laid on the earth.

The helm orders themselves and the motion are held against closed forms and an independent
integration in test_manoeuvre.py; here it is what the plan makes of them.
"""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import zoo
from tests.core.test_methods import computed, row
from wheelover.core.geo import geodesic
from wheelover.core.legs import feet_on_leg
from wheelover.core.manoeuvre.helm_orders import steady_turn
from wheelover.core.manoeuvre.model import ship_model
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.track import Track, lay_track
from wheelover.core.turns.placed import places_from
from wheelover.core.turns.simulated import rudder_for_radius_deg
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.manoeuvre import Current, HelmOrder
from wheelover.core.types.plan import Finding, Plan
from wheelover.core.types.route import LegWishes, Route, TurnWishes, WheelOverChoice
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import NotApplicable, WheelOver
from wheelover.core.units import m_from_nm, m_per_s_from_kn

RESPONSE = zoo.RESPONSE
SHIP = replace(zoo.SHIP, response=RESPONSE)
STREAM = Conditions(set_deg=70.0, drift_kn=2.0)


def bend(change_deg: float, lat_deg: float = 45.0) -> Route:
    """Return a route north to a corner, and away from it after a change of course."""
    out = geodesic.direct(lat_deg, 0.0, change_deg, 20_000.0)
    places = [(lat_deg - 0.2, 0.0), (lat_deg, 0.0), (float(out[0][0]), float(out[1][0]))]
    return zoo.route(places)


def laid(
    change_deg: float, ship: ShipProfile | None = SHIP, conditions: Conditions | None = None
) -> Track:
    return lay_track(bend(change_deg), ship, conditions or Conditions())


def simulated(track: Track) -> WheelOver:
    return computed(track.turns[0], "simulated")


@pytest.mark.parametrize("change_deg", [20.0, -60.0, 90.0, -115.0])
@pytest.mark.parametrize("conditions", [Conditions(), STREAM])
def test_a_planned_rudder_gives_the_distance_of_the_helm_orders(
    change_deg: float, conditions: Conditions
) -> None:
    ship = replace(SHIP, planned_rudder_deg=15.0, helm_delay_s=3.0)
    track = laid(change_deg, ship, conditions)
    turn = track.turns[0]
    model = ship_model(RESPONSE, 200.0, 12.0, 35.0)
    orders = steady_turn(
        model,
        turn.course_in_deg or 0.0,
        turn.course_out_deg or 0.0,
        15.0,
        rudder_rate_deg_per_s=2.33,
        helm_delay_s=3.0,
        current=Current(
            set_deg=conditions.set_deg or 0.0,
            drift_m_per_s=m_per_s_from_kn(conditions.drift_kn or 0.0),
        ),
    )
    assert simulated(track).distance_m == pytest.approx(orders.distance_to_new_course_m, abs=1e-9)


@pytest.mark.parametrize("radius_nm", [0.2, 0.5, 1.5])
def test_the_rudder_for_a_radius_holds_it(radius_nm: float) -> None:
    """Run on with that rudder until all is steady: speed through the water over rate is it."""
    model = ship_model(RESPONSE, 200.0, 12.0, 35.0)
    rudder_deg = rudder_for_radius_deg(model, m_from_nm(radius_nm))
    motion = run_orders(
        model,
        (HelmOrder(rudder_deg=rudder_deg, at_s=0.0),),
        [0.0, 6000.0],
        heading_deg=0.0,
    )
    rate_rad_per_s = math.radians(float(motion.rate_deg_per_min[-1])) / 60.0
    held_m = float(motion.speed_m_per_s[-1]) / rate_rad_per_s
    assert held_m == pytest.approx(m_from_nm(radius_nm), rel=1e-6)


@pytest.mark.parametrize("change_deg", [12.0, -35.0, 90.0, -140.0])
@pytest.mark.parametrize("conditions", [Conditions(), STREAM])
def test_each_methods_off_track_is_where_its_run_ends_on_the_earth(
    change_deg: float, conditions: Conditions
) -> None:
    """The motion is begun at the method's wheel-over and laid on the ellipsoid: its end lies that
    far beside the outbound leg, starboard positive.
    """
    track = laid(change_deg, conditions=conditions)
    turn, leg_out = track.turns[0], track.legs[1].path
    assert leg_out is not None
    run = simulated(track).manoeuvre
    assert run is not None
    for method in ("geometric", "rule_of_thumb", "simulated"):
        over = computed(turn, method)
        lat, lon = places_from(over.position, [run.motion.east_m[-1]], [run.motion.north_m[-1]])
        feet = feet_on_leg(leg_out, -3000.0, leg_out.length_m, lat, lon)
        aside_m = math.copysign(
            float(feet.distance_m[0]), math.sin(math.radians(float(feet.bearing_off_deg[0])))
        )
        assert over.off_track_m is not None
        # The plane at the helm order and the rhumb lines on the earth differ by decimetres.
        assert over.off_track_m == pytest.approx(aside_m, abs=0.6), method
    # Earlier than simulated leaves her inside the bend.
    geometric = computed(turn, "geometric")
    early = geometric.distance_m > simulated(track).distance_m
    inside = (geometric.off_track_m or 0.0) * change_deg > 0.0
    assert early == inside


def test_the_simulated_wheel_over_leaves_her_on_the_track() -> None:
    assert simulated(laid(70.0)).off_track_m == 0.0


def test_an_own_distance_says_where_it_leaves_her() -> None:
    route = bend(90.0)
    run_m = simulated(laid(90.0)).distance_m
    choice = WheelOverChoice(distance_nm=(run_m + 100.0) / 1852.0)
    corner = replace(route.waypoints[1], wheel_over=choice)
    route = replace(route, waypoints=(route.waypoints[0], corner, route.waypoints[2]))
    (turn,) = lay_track(route, SHIP).turns
    change = math.radians(turn.course_change_deg or 0.0)
    assert turn.planned.off_track_m == pytest.approx(100.0 * math.sin(change), abs=1e-6)


@settings(deadline=None, max_examples=15)
@given(
    change_deg=st.floats(8.0, 140.0),
    rudder_deg=st.floats(8.0, 35.0),
    drift_kn=st.sampled_from([0.0, 1.5]),
)
def test_a_mirrored_turn_is_the_mirror(
    change_deg: float, rudder_deg: float, drift_kn: float
) -> None:
    ship = replace(SHIP, planned_rudder_deg=rudder_deg)
    there = simulated(laid(change_deg, ship, Conditions(set_deg=50.0, drift_kn=drift_kn)))
    back = simulated(laid(-change_deg, ship, Conditions(set_deg=310.0, drift_kn=drift_kn)))
    # The rhumb courses of the two legs mirror each other to rounding.
    assert there.distance_m == pytest.approx(back.distance_m, abs=1e-5)
    assert there.manoeuvre is not None
    assert back.manoeuvre is not None
    assert np.allclose(there.manoeuvre.motion.east_m, -back.manoeuvre.motion.east_m, atol=1e-5)


@settings(deadline=None, max_examples=15)
@given(change_deg=st.floats(15.0, 110.0), earlier_m=st.floats(1.0, 500.0))
def test_the_earlier_the_helm_the_farther_inside(change_deg: float, earlier_m: float) -> None:
    run = simulated(laid(change_deg))
    route = bend(change_deg)
    found = []
    for distance_m in (run.distance_m + earlier_m, run.distance_m + 2.0 * earlier_m):
        corner = replace(
            route.waypoints[1], wheel_over=WheelOverChoice(distance_nm=distance_m / 1852.0)
        )
        moved = replace(route, waypoints=(route.waypoints[0], corner, route.waypoints[2]))
        found.append(lay_track(moved, SHIP).turns[0].planned.off_track_m or 0.0)
    assert 0.0 < found[0] < found[1]


@pytest.mark.parametrize(
    ("ship", "conditions", "said"),
    [
        ({"response": None}, {}, "no response to the helm"),
        ({"speed_kn": 4.9}, {}, "under 5"),
        ({"speed_kn": None}, {}, "no speed"),
        ({"turn_radius_nm": None}, {}, "neither a radius nor a rudder"),
        ({"turn_radius_nm": 0.05}, {}, "degrees of rudder, more than her 35"),
        ({"propulsion": "azimuthing"}, {}, "azimuthing"),
        ({"propulsion": "twin_screw"}, {}, "trial data of her own"),
        ({}, {"thrusters_in_use": True}, "thrusters"),
        ({}, {"wind_force_bft": 6.0}, "force 6"),
        ({}, {"depth_m": 14.9}, "1.49 times her draught"),
        ({}, {"set_deg": 90.0, "drift_kn": 13.0}, "cannot be made good"),
    ],
)
def test_where_the_models_do_not_reach_there_is_a_reason_and_no_number(
    ship: dict[str, Any], conditions: dict[str, Any], said: str
) -> None:
    track = laid(60.0, replace(SHIP, **ship), Conditions(**conditions))
    found = row(track.turns[0], "simulated")
    assert isinstance(found, NotApplicable)
    assert said in found.reason
    for other in track.turns[0].wheel_overs:
        assert isinstance(other, NotApplicable) or other.off_track_m is None


def test_her_own_data_reach_further() -> None:
    own = replace(RESPONSE, origin="recorded", at_depth_m=14.0)
    assert simulated(laid(60.0, replace(SHIP, response=own), Conditions(depth_m=14.0)))
    twin = replace(SHIP, response=own, propulsion="twin_screw")
    assert simulated(laid(60.0, twin))


def test_a_change_beyond_150_is_not_simulated() -> None:
    assert isinstance(row(laid(160.0).turns[0], "simulated"), NotApplicable)


def test_simulation_is_the_default_where_it_rests_on_her_own_data() -> None:
    origins = (None, "estimated", "recorded", "fitted")
    found = [
        laid(60.0, replace(SHIP, response=replace(RESPONSE, origin=origin))).turns[0].planned
        for origin in origins
    ]
    assert [one.method for one in found] == ["geometric", "geometric", "simulated", "simulated"]
    assert {one.source for one in found} == {"default"}
    # Where it gives nothing, geometry is left.
    own = replace(SHIP, response=replace(RESPONSE, origin="fitted"), speed_kn=4.0)
    assert laid(60.0, own).turns[0].planned.method == "geometric"


def _plan(ship: ShipProfile, conditions: Conditions, limits: Limits | None = None) -> Plan:
    route = bend(90.0)
    return zoo.plan(route, ship=ship, conditions=conditions, limits=limits)


def _finding(plan: Plan, code: str) -> Finding | None:
    return next((one for one in plan.findings if one.code == code), None)


def test_unknown_depth_is_not_checked_beside_the_number() -> None:
    plan = _plan(SHIP, Conditions())
    found = _finding(plan, "turn_response")
    assert found is not None
    assert found.grade == "not_checked"
    assert "deep water is assumed" in found.message
    deep = _plan(SHIP, Conditions(depth_m=60.0))
    assert _finding(deep, "turn_response") is None


def test_a_wheel_over_that_leaves_her_off_the_track_is_found() -> None:
    """In a 2 kn following stream radius and reach put her outside the new track."""
    following = Conditions(set_deg=0.0, drift_kn=2.0, depth_m=60.0)
    found = _finding(_plan(SHIP, following), "helm_off_track")
    assert found is not None
    assert found.grade == "must_explain"
    assert "outside the new track" in found.message
    assert "earlier" in found.message
    assert found.limit == zoo.SHIP.beam_m
    strict = _plan(SHIP, following, Limits(max_off_track_m=20.0))
    found = _finding(strict, "helm_off_track")
    assert found is not None
    assert (found.grade, found.limit) == ("must_resolve", 20.0)
    wide = _plan(SHIP, following, Limits(max_off_track_m=5000.0))
    assert _finding(wide, "helm_off_track") is None


def test_an_estimate_is_said_to_be_one() -> None:
    estimated = replace(SHIP, response=replace(RESPONSE, origin="estimated"))
    assert _finding(_plan(estimated, Conditions()), "response_estimated") is not None
    assert _finding(_plan(SHIP, Conditions()), "response_estimated") is None


def test_a_small_rudder_is_said_to_be_extrapolated() -> None:
    wide = replace(SHIP, turn_radius_nm=3.0)
    assert _finding(_plan(wide, Conditions()), "small_rudder") is not None
    hard = replace(SHIP, planned_rudder_deg=20.0)
    assert _finding(_plan(hard, Conditions()), "small_rudder") is None


@pytest.mark.parametrize(
    ("leg", "turn", "conditions", "says"),
    [
        ((90.0, 1.5), None, Conditions(), "1.5 kn setting 090 T, is applied to the simulated"),
        ((90.0, 1.5), (45.0, 0.5), Conditions(), "0.5 kn setting 045 T, is applied to"),
        ((90.0, 0.0), None, STREAM, None),
        ((90.0, 0.0), None, Conditions(), None),
        (None, None, Conditions(), "no current is given"),
    ],
)
def test_the_nearest_current_counts_in_a_turn(
    leg: tuple[float, float] | None,
    turn: tuple[float, float] | None,
    conditions: Conditions,
    says: str | None,
) -> None:
    start, corner, end = bend(60.0).waypoints
    asked = replace(
        corner,
        leg=leg and LegWishes(set_deg=leg[0], drift_kn=leg[1]),
        turn=turn and TurnWishes(set_deg=turn[0], drift_kn=turn[1]),
    )
    route = Route(name="zoo", waypoints=(start, asked, end))
    plan = zoo.plan(route, ship=SHIP, conditions=conditions)
    found = _finding(plan, "turn_current")
    assert (found is None) == (says is None)
    assert found is None or (says or "") in found.message


def test_a_current_stays_not_checked_for_the_other_methods() -> None:
    plan = _plan(SHIP, STREAM)
    found = _finding(plan, "turn_current")
    assert found is not None
    assert "applied to the simulated turn only" in found.message
    current = next(one for one in plan.basis if one.input == "current")
    assert current.note == "applied to simulated turns only"
