"""Wind: leeway and weather helm held against the force model and a hand calculation, and what the
simulated turn makes of them held against an integration in which both follow her heading.
"""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import zoo
from tests.core.test_methods import row as any_row
from tests.core.test_simulated import RESPONSE, SHIP, bend, laid, simulated
from wheelover.core.errors import InvalidConditions, InvalidShip, OutOfDomain
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.legs import feet_on_leg
from wheelover.core.manoeuvre.helm_orders import heading_for_course_deg
from wheelover.core.manoeuvre.mmg import ship_table
from wheelover.core.manoeuvre.mmg_slopes import hull_forces, stern_forces
from wheelover.core.manoeuvre.model import ship_model
from wheelover.core.manoeuvre.wind import (
    AIR_OVER_WATER_RATIO,
    ShipInWind,
    flows_together,
    in_wind,
    leeway_flow,
    ship_in_wind,
    side_push,
)
from wheelover.core.turn_card import make_turn_card
from wheelover.core.turns.placed import places_from
from wheelover.core.turns.tried import in_loading, with_tried
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.manoeuvre import NO_CURRENT, Current, InWind, SimulatedTurn, Wind
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import TurnWishes
from wheelover.core.types.ship import Loading, ShipProfile
from wheelover.core.types.track import NotApplicable, PlannedTurn
from wheelover.core.types.turn_card import Tried

# Invented: the zoo's ship in ballast.
LIGHT = replace(
    SHIP, draught_fore_m=6.0, draught_aft_m=8.0, block_coefficient=0.75, lateral_windage_m2=3500.0
)
BREEZE = Conditions(wind_from_deg=250.0, wind_kn=18.0)
KN = 1852.0 / 3600.0


def row(turn: PlannedTurn) -> Any:
    """Return the answer of the simulated method."""
    return any_row(turn, "simulated")


def windy(speed_kn: float = 12.0, **more: Any) -> ShipInWind:
    return ship_in_wind(replace(LIGHT, **more), speed_kn * KN)


def blown(
    ship: ShipInWind, from_deg: float, wind_kn: float, heading_deg: float = 0.0, **more: Current
) -> InWind:
    wind = Wind(from_deg=from_deg, speed_m_per_s=wind_kn * KN)
    return in_wind(ship, heading_deg, more.get("current", NO_CURRENT), wind)


@pytest.mark.parametrize("from_deg", [35.0, 215.0])
@pytest.mark.parametrize("wind_kn", [8.0, 20.0])
def test_wind_from_ahead_or_astern_turns_and_shifts_nothing(
    from_deg: float, wind_kn: float
) -> None:
    found = blown(windy(), from_deg, wind_kn, 35.0)
    assert found.leeway_deg == pytest.approx(0.0, abs=1e-12)
    assert found.helm_deg == pytest.approx(0.0, abs=1e-12)


@given(st.floats(0.0, 360.0), st.floats(0.0, 20.0), st.floats(0.0, 360.0))
@settings(deadline=None, max_examples=50)
def test_mirrored_wind_does_the_mirrored_thing(
    from_deg: float, wind_kn: float, heading_deg: float
) -> None:
    ship = windy(windage_centre_from_bow_m=80.0)
    one = blown(ship, heading_deg + from_deg, wind_kn, heading_deg)
    other = blown(ship, heading_deg - from_deg, wind_kn, heading_deg)
    assert one.leeway_deg == pytest.approx(-other.leeway_deg, abs=1e-9)
    assert one.helm_deg == pytest.approx(-other.helm_deg, abs=1e-9)


def test_force_goes_with_the_square_of_the_apparent_wind() -> None:
    ship = windy()
    assert side_push(ship, 16.0, 20.0) == pytest.approx(4.0 * side_push(ship, 8.0, 10.0))
    # Ship and wind twice as fast: the apparent wind is as before beside her speed.
    slow, fast = blown(windy(6.0), 300.0, 9.0), blown(windy(12.0), 300.0, 18.0)
    assert slow.leeway_deg == pytest.approx(fast.leeway_deg, rel=1e-12)
    assert slow.helm_deg == pytest.approx(fast.helm_deg, rel=1e-12)


def test_leeway_and_helm_by_hand() -> None:
    """Every number from dimensions and published formulas, none from the code."""
    length_m, draught_m, speed_kn = 193.0, 7.0, 12.0
    deep, full = 2.0 * draught_m / length_m, 0.75 * 32.0 / length_m
    y_v, n_v, carried = math.pi * deep / 2.0 + 1.4 * full, deep, 3.6 * full
    # 20 kn from abeam and 12 kn of her own.
    squares = 20.0 * math.hypot(20.0, 12.0) / speed_kn**2
    push = 1.225 / 1025.0 * 3500.0 / (length_m * draught_m) * 0.85 * squares
    lever = 0.5 + 0.4 * carried
    leeway_rad = push / (y_v + (1.0 + carried) * n_v / lever)
    found = blown(windy(), 270.0, 20.0)
    assert found.leeway_deg == pytest.approx(math.degrees(leeway_rad), rel=1e-12)
    # What the rudder does not take, the hull alone would: the usual quick formula.
    assert found.leeway_deg < math.degrees(push / y_v) < 2.0 * found.leeway_deg


@pytest.mark.parametrize(
    ("speed_kn", "wind_kn", "between"), [(12.0, 20.0, (1.0, 2.0)), (7.0, 20.0, (2.0, 4.0))]
)
def test_beam_wind_in_ballast_makes_a_few_degrees(
    speed_kn: float, wind_kn: float, between: tuple[float, float]
) -> None:
    found = blown(windy(speed_kn), 270.0, wind_kn)
    assert between[0] < found.leeway_deg < between[1]
    # She luffs: wind from port, and starboard rudder holds her.
    assert 1.0 < found.helm_deg < 8.0


@pytest.mark.parametrize("centre_m", [None, 70.0, 125.0])
@pytest.mark.parametrize("from_deg", [250.0, 310.0])
def test_the_force_model_is_in_balance_there(centre_m: float | None, from_deg: float) -> None:
    """The loops of the force model, with all that is not in proportion, and the wind's force."""
    ship = windy(windage_centre_from_bow_m=centre_m)
    found = blown(ship, from_deg, 14.0)
    table, out = ship_table(ship.forces), np.zeros(3)
    drift_rad, speed = -math.radians(found.leeway_deg), ship.forces.speed_m_per_s
    state = np.array([0.0, speed * math.cos(drift_rad), -speed * math.sin(drift_rad), 0, 0, 0])
    hull_forces(table, speed, drift_rad, state, out)
    stern_forces(table, 0.0, drift_rad, speed, state[1], math.radians(found.helm_deg), out)
    across = 14.0 * KN * -math.sin(math.radians(from_deg))
    ahead = -14.0 * KN * math.cos(math.radians(from_deg)) - speed
    force = AIR_OVER_WATER_RATIO * 0.85 * 3500.0 * across * math.hypot(across, ahead)
    assert out[1] == pytest.approx(-force, rel=0.03)
    arm_m = 0.0 if centre_m is None else 100.0 - centre_m
    assert out[2] == pytest.approx(-force * arm_m, abs=0.005 * force * 193.0)


def test_windage_farther_aft_makes_her_luff_more() -> None:
    fore, middle, aft = (
        blown(windy(windage_centre_from_bow_m=one), 270.0, 15.0) for one in (40.0, 100.0, 160.0)
    )
    assert fore.helm_deg < middle.helm_deg < aft.helm_deg
    assert fore.helm_deg < 0.0
    assert blown(windy(), 270.0, 15.0) == middle


def test_a_current_carries_her_through_the_air() -> None:
    """Carried with the wind as fast as it blows, she has only the wind of her own speed."""
    along = Current(set_deg=90.0, drift_m_per_s=10.0 * KN)
    found = blown(windy(), 270.0, 10.0, current=along)
    assert found.leeway_deg == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("given_", "said"),
    [
        ({"lateral_windage_m2": None}, "windage is not given"),
        ({"block_coefficient": None}, "block coefficient is not given"),
        ({"block_coefficient": 0.4}, "0.5 to 0.9"),
        ({"draught_fore_m": 0.0, "draught_aft_m": 0.0}, "draught"),
        ({"propulsion": "twin_screw"}, "one propeller"),
    ],
)
def test_what_is_needed_is_named(given_: dict[str, Any], said: str) -> None:
    with pytest.raises(OutOfDomain, match=said):
        windy(**given_)


def test_a_great_leeway_is_refused() -> None:
    with pytest.raises(OutOfDomain, match="degrees of leeway"):
        blown(windy(5.0, lateral_windage_m2=6000.0), 290.0, 30.0)
    with pytest.raises(OutOfDomain, match="degrees of rudder"):
        blown(windy(5.0, windage_centre_from_bow_m=190.0), 290.0, 20.0)
    ship = replace(LIGHT, speed_kn=5.0, lateral_windage_m2=9000.0)
    found = row(laid(60.0, ship, Conditions(wind_from_deg=290.0, wind_kn=20.0)).turns[0])
    assert isinstance(found, NotApplicable)
    assert "degrees of" in found.reason


def manoeuvre(
    change_deg: float, ship: ShipProfile = LIGHT, conditions: Conditions = BREEZE
) -> SimulatedTurn:
    found = simulated(laid(change_deg, ship, conditions)).manoeuvre
    assert found is not None
    return found


def _same(one: SimulatedTurn, other: SimulatedTurn) -> bool:
    names = ("east_m", "north_m", "heading_deg", "rudder_deg", "speed_m_per_s")
    columns = [(getattr(one.motion, name), getattr(other.motion, name)) for name in names]
    return one == other and all(np.array_equal(*pair) for pair in columns)


@pytest.mark.parametrize("turn", [TurnWishes(), TurnWishes(steering="rate"), None])
def test_without_wind_or_windage_nothing_changes_by_a_bit(turn: TurnWishes | None) -> None:
    route = bend(-75.0)
    corner = replace(route.waypoints[1], turn=turn)
    route = replace(route, waypoints=(route.waypoints[0], corner, route.waypoints[2]))
    calm = Conditions(set_deg=70.0, drift_kn=2.0)
    blowing = replace(calm, wind_from_deg=200.0, wind_kn=17.0)
    bare = replace(LIGHT, lateral_windage_m2=None)
    cases = [(bare, calm), (LIGHT, calm), (bare, blowing), (LIGHT, replace(blowing, wind_kn=0.0))]
    plans = [zoo.plan(route, ship=ship, conditions=around) for ship, around in cases]
    runs = [row(one.turns[0]) for one in plans]
    moved = zoo.plan(route, ship=LIGHT, conditions=blowing)
    for plan, run in zip(plans[1:], runs[1:], strict=True):
        assert run.distance_m == runs[0].distance_m
        assert _same(run.manoeuvre, runs[0].manoeuvre)
        assert plan.swept_legs == plans[0].swept_legs
    assert abs(row(moved.turns[0]).distance_m - runs[0].distance_m) > 1.0


@pytest.mark.parametrize("steering", ["rudder", "rate", "radius"])
def test_mirrored_turn_in_mirrored_wind_is_the_mirror(steering: Any) -> None:
    found = []
    for sign in (1.0, -1.0):
        route = bend(sign * 80.0)
        corner = replace(route.waypoints[1], turn=TurnWishes(steering=steering))
        route = replace(route, waypoints=(route.waypoints[0], corner, route.waypoints[2]))
        around = Conditions(wind_from_deg=sign * 70.0 % 360.0, wind_kn=18.0)
        (turn,) = zoo.plan(route, ship=LIGHT, conditions=around).turns
        found.append(row(turn))
    one, other = found
    assert one.distance_m == pytest.approx(other.distance_m, abs=1e-5)
    assert np.allclose(one.manoeuvre.motion.east_m, -other.manoeuvre.motion.east_m, atol=1e-4)
    assert np.allclose(
        one.manoeuvre.motion.rudder_deg, -other.manoeuvre.motion.rudder_deg, atol=1e-6
    )


@pytest.mark.parametrize("planned_deg", [None, 15.0])
@pytest.mark.parametrize("change_deg", [40.0, -90.0])
def test_the_rudder_stands_as_ordered_and_she_starts_with_what_she_carries(
    planned_deg: float | None, change_deg: float
) -> None:
    run = manoeuvre(change_deg, replace(LIGHT, planned_rudder_deg=planned_deg))
    carried = blown(windy(), 250.0, 18.0).helm_deg
    assert carried > 1.0
    side = math.copysign(1.0, change_deg)
    helm, counter, midships = run.orders
    assert helm.rudder_deg == pytest.approx(side * run.rudder_deg)
    assert counter.rudder_deg == pytest.approx(-side * run.rudder_deg)
    assert midships.rudder_deg == pytest.approx(carried)
    assert run.motion.rudder_deg[0] == pytest.approx(carried)
    if planned_deg is None:
        calm = manoeuvre(change_deg, conditions=Conditions())
        assert run.rudder_deg == pytest.approx(calm.rudder_deg + side * carried)
    else:
        assert run.rudder_deg == planned_deg


@pytest.mark.parametrize("change_deg", [25.0, -60.0, 90.0])
@pytest.mark.parametrize("steering", ["rudder", "rate"])
def test_she_ends_on_the_outbound_leg(change_deg: float, steering: Any) -> None:
    route = bend(change_deg)
    corner = replace(route.waypoints[1], turn=TurnWishes(steering=steering))
    route = replace(route, waypoints=(route.waypoints[0], corner, route.waypoints[2]))
    plan = zoo.plan(route, ship=LIGHT, conditions=BREEZE)
    run, leg_out = row(plan.turns[0]), plan.legs[1].path
    assert leg_out is not None
    motion = run.manoeuvre.motion
    lat, lon = places_from(run.position, [motion.east_m[-1]], [motion.north_m[-1]])
    feet = feet_on_leg(leg_out, -3000.0, leg_out.length_m, lat, lon)
    assert float(feet.distance_m[0]) < 1.0


@pytest.mark.parametrize(
    ("change_deg", "lengths"), [(30.0, 0.03), (-60.0, 0.08), (90.0, 0.20), (120.0, 0.40)]
)
@pytest.mark.parametrize("from_deg", [10.0, 80.0, 230.0, 300.0])
def test_beside_a_run_in_which_leeway_and_rudder_follow_the_heading(
    change_deg: float, lengths: float, from_deg: float
) -> None:
    """The mean leeway and the rudder of the inbound leg held through the turn, against both taken
    anew at every moment: what that leaves her beside the track, which no other test would see.
    """
    conditions = Conditions(wind_from_deg=from_deg, wind_kn=20.0, set_deg=140.0, drift_kn=1.0)
    track = laid(change_deg, replace(LIGHT, planned_rudder_deg=15.0), conditions)
    turn, found = track.turns[0], simulated(track)
    assert found.manoeuvre is not None
    course_in, course_out = (
        math.radians(one or 0.0) for one in (turn.course_in_deg, turn.course_out_deg)
    )
    east_m, north_m = _followed(found.manoeuvre, conditions, turn.course_in_deg or 0.0)
    east_m -= found.distance_m * math.sin(course_in)
    north_m -= found.distance_m * math.cos(course_in)
    off_m = east_m * math.cos(course_out) - north_m * math.sin(course_out)
    assert abs(off_m) < lengths * LIGHT.loa_m


def _followed(
    run: SimulatedTurn, conditions: Conditions, course_deg: float, step_s: float = 0.2
) -> tuple[float, float]:
    """Return where the orders leave her, stepped through from the model's equations."""
    model, ship = ship_model(RESPONSE, 200.0, 12.0, 35.0), windy()
    length, speed = model.length_m, model.speed_m_per_s
    wind = Wind(from_deg=conditions.wind_from_deg or 0.0, speed_m_per_s=20.0 * KN)
    stream = Current(set_deg=140.0, drift_m_per_s=1.0 * KN)

    def at(heading_deg: float) -> tuple[InWind, Current]:
        found = in_wind(ship, heading_deg, stream, wind)
        return found, flows_together(stream, leeway_flow(found, heading_deg, speed))

    heading_deg = course_deg
    for _ in range(20):
        heading_deg = heading_for_course_deg(course_deg, speed, at(heading_deg)[1])
    rudder = sent = math.radians(at(heading_deg)[0].helm_deg)
    psi, rate, now, drift, east, north, time_s = math.radians(heading_deg), 0.0, speed, 0, 0, 0, 0
    to_come = [(one.at_s, math.radians(one.rudder_deg or 0.0)) for one in run.orders]
    while time_s < run.steady_at_s:
        while to_come and time_s >= to_come[0][0] - 1e-9:
            sent = to_come.pop(0)[1]
        most = math.radians(2.33) * step_s
        rudder += max(-most, min(most, sent - rudder))
        found, flow = at(math.degrees(psi))
        turning = rate * length / now
        helm = rudder - math.radians(found.helm_deg)
        push = model.gain_ratio * (speed / now) ** model.race_exponent * helm
        slope = (now / length) ** 2 / model.lag_ratio
        set_rad = math.radians(flow.set_deg)
        east += step_s * (now * math.sin(psi - drift) + flow.drift_m_per_s * math.sin(set_rad))
        north += step_s * (now * math.cos(psi - drift) + flow.drift_m_per_s * math.cos(set_rad))
        psi += step_s * rate
        rate += step_s * slope * (push - turning - model.cubic_ratio * turning**3)
        drift += step_s * now / length / model.drift_lag * (model.drift_lengths * turning - drift)
        lost = model.speed_loss * now**2 * turning**2
        now += step_s * (model.speed_recovery * (speed**2 - now**2) - lost) / length
        time_s += step_s
    return east, north


def test_headings_allow_for_the_mean_leeway_of_both_legs() -> None:
    run = manoeuvre(90.0, conditions=Conditions(wind_from_deg=270.0, wind_kn=18.0))
    # From abeam before, from astern after: half of the leeway, to the wind's side.
    half_deg = 0.5 * blown(windy(), 270.0, 18.0).leeway_deg
    allowed = float(signed_change_deg(0.0, run.heading_in_deg))
    assert allowed == pytest.approx(-half_deg, abs=1e-3)
    assert run.heading_out_deg == pytest.approx(90.0, abs=0.3)


def test_a_leg_is_swept_with_its_own_leeway() -> None:
    around = Conditions(wind_from_deg=270.0, wind_kn=18.0)
    (north, east) = zoo.plan(bend(90.0), ship=LIGHT, conditions=around).swept_legs
    leeway_deg = blown(windy(), 270.0, 18.0).leeway_deg
    assert north.crab_deg == pytest.approx(-leeway_deg, rel=2e-3)
    assert east.crab_deg == pytest.approx(0.0, abs=0.01)
    half_m = 16.0 * math.cos(math.radians(leeway_deg)) + 100.0 * math.sin(math.radians(leeway_deg))
    assert north.half_width_m == pytest.approx(half_m, rel=1e-3)
    (strong, _) = zoo.plan(
        bend(90.0), ship=LIGHT, conditions=replace(around, wind_kn=30.0)
    ).swept_legs
    assert strong.half_width_m is None
    assert "force 7" in (strong.reason or "")


def _message(plan: Plan, code: str = "turn_response") -> str:
    return next((one.message for one in plan.findings if one.code == code), "")


@pytest.mark.parametrize(
    ("ship", "conditions", "said"),
    [
        ({"lateral_windage_m2": None}, {}, "the wind is not applied: the ship's windage is not"),
        ({"block_coefficient": None}, {}, "the ship's block coefficient is not given"),
        ({}, {"wind_kn": None, "wind_from_deg": None, "wind_force_bft": 4.0}, "direction and"),
        ({}, {}, None),
    ],
)
def test_a_wind_that_is_not_applied_is_said(
    ship: dict[str, Any], conditions: dict[str, Any], said: str | None
) -> None:
    around = replace(Conditions(wind_from_deg=200.0, wind_kn=15.0, depth_m=60.0), **conditions)
    plan = zoo.plan(bend(60.0), ship=replace(LIGHT, **ship), conditions=around)
    notes = " ".join(row(plan.turns[0]).notes)
    basis = [one.note for one in plan.basis if one.input == "wind"]
    if said is None:
        assert _message(plan) == ""
        assert "applied as leeway and weather helm" in notes
        assert basis == ["applied to simulated turns only, as leeway and weather helm"]
        return
    assert said in _message(plan)
    assert said in notes
    assert around.wind_kn is None or "not applied" in (basis[0] or "")


def test_a_leg_says_that_its_strip_is_that_of_calm() -> None:
    chart = zoo.chart((44.9, 0.02))
    plans = [
        zoo.plan(bend(60.0), ship=one, a_chart=chart, conditions=BREEZE)
        for one in (LIGHT, replace(LIGHT, lateral_windage_m2=None))
    ]
    said = ["windage is not given" in _message(plan, "leg_swept") for plan in plans]
    assert said == [False, True]


def test_lines_say_how_the_wind_was_applied() -> None:
    found = simulated(laid(60.0, LIGHT, BREEZE))
    text = "\n".join(found.working)
    assert "wind 18 kn from 250.0: leeway to starboard" in text
    assert "rudder carried before: starboard" in text
    calm = simulated(laid(60.0, LIGHT))
    assert "wind" not in "\n".join(calm.working)
    assert "calm is assumed; no wind is given" in calm.notes


def test_the_band_and_hard_over_are_in_the_same_wind() -> None:
    covariance = tuple(
        tuple(1e-12 if row_ == column else 0.0 for column in range(8)) for row_ in range(8)
    )
    sure = replace(LIGHT, response=replace(RESPONSE, covariance=covariance))
    for steering in ("rudder", "rate"):
        route = bend(60.0)
        corner = replace(route.waypoints[1], turn=TurnWishes(steering=steering))
        route = replace(route, waypoints=(route.waypoints[0], corner, route.waypoints[2]))
        card = make_turn_card(route, sure, zoo.NO_CHART, BREEZE, Limits(), "W1")
        assert card.band is not None
        assert card.hard_over is not None
        assert card.band.member_count > 0
        assert card.band.distance.low_m == pytest.approx(row(card.turn).distance_m, abs=0.5)
        assert max(abs(card.hard_over.turn.motion.rudder_deg)) == pytest.approx(35.0, abs=1e-9)


def test_a_little_rudder_does_not_turn_her_against_the_wind() -> None:
    ship = replace(LIGHT, planned_rudder_deg=1.0)
    found = row(laid(30.0, ship, Conditions(wind_from_deg=270.0, wind_kn=20.0)).turns[0])
    assert isinstance(found, NotApplicable)
    assert "carries against the wind" in found.reason


def test_the_force_follows_from_the_speed() -> None:
    found = row(laid(60.0, LIGHT, Conditions(wind_from_deg=0.0, wind_kn=22.0)).turns[0])
    assert isinstance(found, NotApplicable)
    assert "force 6" in found.reason
    both = Conditions(wind_from_deg=0.0, wind_kn=30.0, wind_force_bft=3.0)
    assert both.most_wind_bft == 7.0
    assert Conditions(wind_force_bft=4.0).most_wind_bft == 4.0
    assert Conditions().most_wind_bft is None


@pytest.mark.parametrize(
    ("half", "missing"), [({"wind_kn": 5.0}, "wind_from_deg"), ({"wind_from_deg": 5.0}, "wind_kn")]
)
def test_half_a_wind_is_refused(half: dict[str, float], missing: str) -> None:
    with pytest.raises(InvalidConditions, match=f"{missing} is missing") as caught:
        Conditions(**half)
    assert caught.value.faults[0].pointer == f"/conditions/{missing}"


def test_a_centre_of_windage_beside_the_ship_is_refused() -> None:
    with pytest.raises(InvalidShip, match="200 m") as caught:
        replace(LIGHT, windage_centre_from_bow_m=200.5)
    assert caught.value.faults[0].pointer == "/ship/windage_centre_from_bow_m"


def test_what_is_tried_takes_the_place_of_the_planned_wind() -> None:
    planned = Conditions(wind_from_deg=10.0, wind_kn=9.0, wind_force_bft=3.0, depth_m=50.0)

    def tried(**given_: float) -> Conditions:
        return with_tried(bend(60.0), LIGHT, planned, "W1", Tried(**given_))[2]

    assert tried(depth_m=40.0) == replace(planned, depth_m=40.0)
    other = tried(wind_from_deg=200.0, wind_kn=25.0)
    assert (other.wind_from_deg, other.wind_kn, other.most_wind_bft) == (200.0, 25.0, 6.0)
    assert tried(wind_force_bft=4.0) == Conditions(wind_force_bft=4.0, depth_m=50.0)


def test_another_loading_has_the_windage_that_is_given_for_it() -> None:
    ship = replace(
        LIGHT, loadings=(Loading(name="laden"), Loading(name="light", lateral_windage_m2=4000.0))
    )
    assert in_loading(ship, "laden", "/tried/loading").lateral_windage_m2 is None
    assert in_loading(ship, "light", "/tried/loading").lateral_windage_m2 == 4000.0
