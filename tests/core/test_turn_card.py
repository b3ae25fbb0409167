"""The turn card: its band, its window, the turn hard over, what is tried, cases and loadings.

The kernel, the window and the hull are held against closed forms and other libraries in
test_steady_turns.py and test_sweep.py; here it is what a card makes of them.
"""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests import zoo
from tests.core.test_methods import computed
from tests.core.test_simulated import RESPONSE, SHIP, bend
from wheelover.core.errors import InvalidInput, InvalidShip
from wheelover.core.manoeuvre.fit import members
from wheelover.core.turn_card import case_found, make_turn_card
from wheelover.core.turns.band import uncertain_of
from wheelover.core.turns.tried import in_loading, with_tried
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.route import TurnWishes
from wheelover.core.types.ship import Loading, Response, ShipProfile
from wheelover.core.types.turn_card import Case, Tried, TurnCard

# One in ten of K', T' and so on, independent of each other.
COVARIANCE = tuple(tuple(0.01 if row == one else 0.0 for one in range(8)) for row in range(8))
FITTED = replace(RESPONSE, origin="fitted", covariance=COVARIANCE)
FITTED_SHIP = replace(SHIP, response=FITTED)
LIMITS = Limits(max_off_track_m=80.0)


def card(
    change_deg: float = 60.0,
    ship: ShipProfile | None = FITTED_SHIP,
    chart: Chart = zoo.NO_CHART,
    conditions: Conditions | None = None,
    limits: Limits = LIMITS,
    **more: Any,
) -> TurnCard:
    route = bend(change_deg)
    return make_turn_card(route, ship, chart, conditions or Conditions(), limits, "W1", **more)


def test_the_band_is_that_of_the_members_run_one_by_one() -> None:
    """Percentiles 5 and 95 of the distances of the same members, each as a ship of its own."""
    found = card()
    assert found.band is not None
    run = computed(found.turn, "simulated").manoeuvre
    assert run is not None
    uncertain = uncertain_of(FITTED, SHIP.loa_m)
    assert uncertain is not None
    length_s = SHIP.loa_m / (12.0 * 1852.0 / 3600.0)
    distances = []
    for gain, lag, cubic, race, recovery, loss, drift, drift_lag in members(uncertain, 40).T:
        response = Response(
            k_per_s=gain / length_s,
            t_s=lag * length_s,
            at_speed_kn=12.0,
            alpha_s2=cubic * length_s**2,
            drift_lengths=drift,
            race_exponent=race,
            speed_recovery=recovery,
            speed_loss=loss,
            drift_lag=drift_lag,
        )
        alone = replace(SHIP, response=response, planned_rudder_deg=run.rudder_deg)
        turn = card(ship=alone, member_count=0).turn
        distances.append(computed(turn, "simulated").distance_m)
    band = card(member_count=40).band
    assert band is not None
    low, high = np.percentile(distances, [5.0, 95.0])
    assert band.distance.low_m == pytest.approx(low, abs=1e-3)
    assert band.distance.high_m == pytest.approx(high, abs=1e-3)
    assert band.member_count == 40


def test_the_band_of_off_track_is_wider_by_the_floor() -> None:
    found = card()
    assert found.band is not None
    change = math.sin(math.radians(found.turn.course_change_deg or 0.0))
    planned_m = computed(found.turn, "simulated").distance_m
    off = found.band.off_track["simulated"]
    assert found.band.floor_m == pytest.approx(0.08 * SHIP.loa_m)
    needed = found.band.distance
    assert off.low_m == pytest.approx((planned_m - needed.high_m) * change - found.band.floor_m)
    assert off.high_m == pytest.approx((planned_m - needed.low_m) * change + found.band.floor_m)
    assert off.low_m < 0.0 < off.high_m


def test_without_a_covariance_the_width_is_the_stated_one() -> None:
    plain, estimated = RESPONSE, replace(RESPONSE, origin="estimated")
    widths = []
    for response in (plain, estimated):
        found = card(ship=replace(SHIP, response=response))
        assert found.band is not None
        assert found.band.member_count == 0
        widths.append(found.band.distance.high_m - found.band.distance.low_m)
    assert widths[0] == pytest.approx(
        2.0 * max(0.3 * 200.0, 0.1 * computed(card().turn, "simulated").distance_m)
    )
    assert widths[1] == pytest.approx(2.0 * widths[0])


def test_a_wider_fit_gives_a_wider_band() -> None:
    wide = tuple(tuple(4.0 * one for one in row) for row in COVARIANCE)
    bands = [
        card(ship=replace(SHIP, response=replace(FITTED, covariance=rows))).band
        for rows in (COVARIANCE, wide)
    ]
    widths = [one.distance.high_m - one.distance.low_m for one in bands if one is not None]
    assert widths[1] > 1.5 * widths[0]


@pytest.mark.parametrize("steering", ["rate", "radius"])
def test_a_steered_turn_is_surer_than_one_by_rudder(steering: Any) -> None:
    """Feedback takes away most of what is not known of the ship."""
    route = bend(60.0)
    corner = replace(route.waypoints[1], turn=TurnWishes(steering=steering))
    steered = replace(route, waypoints=(route.waypoints[0], corner, route.waypoints[2]))
    found = make_turn_card(steered, FITTED_SHIP, zoo.NO_CHART, Conditions(), LIMITS, "W1")
    by_rudder = card()
    assert found.band is not None
    assert by_rudder.band is not None
    run = computed(found.turn, "simulated").manoeuvre
    assert run is not None
    assert run.steering == steering
    width = found.band.distance.high_m - found.band.distance.low_m
    assert width < by_rudder.band.distance.high_m - by_rudder.band.distance.low_m


def test_the_window_of_an_off_track_limit_in_closed_form() -> None:
    """Without dangers the ends are the limit over the sine of the change, to either side."""
    found = card(70.0)
    window = found.swept.window
    assert window is not None
    assert window.earliest is not None
    assert window.latest is not None
    half_m = 80.0 / math.sin(math.radians(abs(found.turn.course_change_deg or 0.0)))
    # The leg is a rhumb line on the earth: the straight way errs by centimetres.
    assert window.latest.later_m == pytest.approx(half_m, abs=0.5)
    assert window.earliest.later_m == pytest.approx(-half_m, abs=0.5)
    speed = 12.0 * 1852.0 / 3600.0
    assert window.latest.later_s == pytest.approx(window.latest.later_m / speed)


def test_hard_over_may_be_given_later() -> None:
    found = card(70.0)
    assert found.hard_over is not None
    assert found.hard_over.turn.rudder_deg == SHIP.max_rudder_deg
    assert found.hard_over.window is not None
    assert found.hard_over.window.latest is not None
    assert found.swept.window is not None
    assert found.swept.window.latest is not None
    assert found.hard_over.window.latest.later_m > found.swept.window.latest.later_m


def test_a_danger_beside_the_turn_closes_the_window() -> None:
    route = bend(90.0)
    corner = route.waypoints[1]
    chart = zoo.chart((corner.lat_deg + 0.002, corner.lon_deg))
    found = make_turn_card(
        route, FITTED_SHIP, chart, Conditions(), Limits(min_clearance_m=100.0), "W1"
    )
    assert found.swept.window is not None
    assert found.swept.window.latest is not None
    assert found.swept.window.latest.bound.kind == "danger"
    assert found.swept.window.latest.bound.hazard_id == "h0"
    assert found.hull["simulated"] is not None
    plan = zoo.plan(
        route,
        ship=FITTED_SHIP,
        a_chart=chart,
        limits=Limits(min_clearance_m=2000.0, max_off_track_m=80.0),
    )
    codes = {one.code for one in plan.findings}
    assert "window_empty" in codes
    assert "hull_inside_limit" in codes


def test_too_little_time_before_the_window_closes_is_found() -> None:
    asked = replace(LIMITS, min_to_close_s=60.0)
    plan = zoo.plan(bend(90.0), ship=FITTED_SHIP, limits=asked)
    (found,) = (one for one in plan.findings if one.code == "window_closes_soon")
    assert found.grade == "must_explain"
    assert found.measured is not None
    assert found.measured < 60.0


def test_an_own_wheel_over_outside_its_window_must_be_resolved() -> None:
    route, _, _ = with_tried(bend(90.0), FITTED_SHIP, Conditions(), "W1", Tried(distance_nm=0.05))
    plan = zoo.plan(route, ship=FITTED_SHIP, limits=LIMITS)
    (found,) = (one for one in plan.findings if one.code == "wheel_over_outside_window")
    assert found.grade == "must_resolve"
    assert "too late" in found.message


def test_the_hull_crabbing_along_a_leg_reaches_further() -> None:
    across = Conditions(set_deg=90.0, drift_kn=2.0)
    (leg, *_) = zoo.plan(bend(60.0), ship=SHIP, conditions=across).swept_legs
    crab = math.asin(2.0 / 12.0)
    assert leg.crab_deg == pytest.approx(-math.degrees(crab), abs=1e-6)
    half_m = 16.0 * math.cos(crab) + 100.0 * math.sin(crab)
    assert leg.half_width_m == pytest.approx(half_m, abs=1e-6)


def test_what_is_tried_is_what_a_plan_with_it_would_give() -> None:
    tried = Tried(speed_kn=9.0, set_deg=70.0, drift_kn=1.0, turn_radius_nm=0.6, helm_delay_s=4.0)
    route, ship, conditions = with_tried(bend(60.0), FITTED_SHIP, Conditions(), "W1", tried)
    found = make_turn_card(route, ship, zoo.NO_CHART, conditions, LIMITS, "W1")
    assert found.turn.approach_speed_kn == 9.0
    assert found.turn.current_source == "turn"
    assert found.turn.radius_m == pytest.approx(0.6 * 1852.0)
    run, planned = computed(found.turn, "simulated"), computed(card().turn, "simulated")
    assert abs(run.distance_m - planned.distance_m) > 10.0
    case = case_found(
        Case(name="flood", waypoint_id="W1", tried=tried),
        bend(60.0),
        FITTED_SHIP,
        zoo.NO_CHART,
        Conditions(),
        LIMITS,
    )
    assert case.turn is not None
    assert computed(case.turn, "simulated").distance_m == run.distance_m


def test_a_case_that_cannot_be_says_why() -> None:
    gone = Case(name="gone", waypoint_id="W9", tried=Tried(speed_kn=9.0))
    other = Case(name="ballast", waypoint_id="W1", tried=Tried(loading="ballast"))
    for case, said in ((gone, "no turn at 'W9'"), (other, "no loading 'ballast'")):
        found = case_found(case, bend(60.0), SHIP, zoo.NO_CHART, Conditions(), Limits())
        assert found.turn is None
        assert said in (found.reason or "")


def test_a_ship_in_another_loading_answers_otherwise() -> None:
    ballast = Loading(
        name="ballast",
        draught_fore_m=5.0,
        draught_aft_m=7.0,
        response=replace(RESPONSE, t_s=60.0),
    )
    bare = Loading(name="light")
    ship = replace(FITTED_SHIP, loadings=(ballast, bare))
    in_ballast = in_loading(ship, "ballast", "/ship/loading")
    assert (in_ballast.draught_fore_m, in_ballast.draught_aft_m) == (5.0, 7.0)
    loaded, light = computed(card(ship=ship).turn, "simulated"), card(ship=in_ballast)
    assert computed(light.turn, "simulated").distance_m < loaded.distance_m
    # The response of one loading is never taken for another.
    assert in_loading(ship, "light", "/ship/loading").response is None
    with pytest.raises(InvalidShip, match="'ballast', 'light'"):
        in_loading(ship, "full", "/ship/loading")


def test_a_card_without_a_simulation_says_why() -> None:
    found = card(ship=replace(SHIP, response=None))
    assert "no response" in (found.swept.reason or "")
    assert (found.run, found.band, found.hard_over) == (None, None, None)
    with pytest.raises(InvalidInput, match="no turn at 'W0'"):
        make_turn_card(bend(60.0), SHIP, zoo.NO_CHART, Conditions(), Limits(), "W0")


def test_drift_on_the_card_is_that_of_the_model() -> None:
    """In the steady part of a long turn the drift is kb r': bow inside the turn."""
    found = card(140.0, ship=replace(SHIP, planned_rudder_deg=20.0))
    assert found.run is not None
    motion = found.run.motion
    middle = int(np.argmin(np.abs(motion.time_s - 0.55 * motion.time_s[-1])))
    rate = math.radians(float(motion.rate_deg_per_min[middle])) / 60.0
    by_model = 0.45 * rate * 200.0 / float(motion.speed_m_per_s[middle])
    assert math.radians(found.run.drift_deg[middle]) == pytest.approx(by_model, abs=0.01)
    assert found.run.drift_deg[middle] > 3.0
