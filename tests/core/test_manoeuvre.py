"""The stepped model of the ship: closed forms, an independent integration, and its symmetries.

Closed forms are those of the linear first-order equation (derived; [Nomoto1957]_ names it). The
extended model is held against DOP853 of scipy at a tolerance of 1e-12, from its own equations
written out a second time here.
"""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tests import zoo
from wheelover.core.errors import InvalidInput, OutOfDomain
from wheelover.core.manoeuvre.helm_orders import heading_for_course_deg, steady_turn
from wheelover.core.manoeuvre.model import ShipModel, ship_model
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.types.manoeuvre import Current, HelmOrder, Motion, SteadyTurn
from wheelover.core.types.ship import Response
from wheelover.core.units import m_per_s_from_kn

LINEAR = Response(k_per_s=0.05, t_s=30.0, at_speed_kn=15.0)
FULL = zoo.QUICK_RESPONSE
LENGTH_M = 200.0
STREAM = Current(set_deg=30.0, drift_m_per_s=1.0)
DISTANCE_M = 1e-6

responses = st.builds(
    Response,
    k_per_s=st.floats(0.03, 0.08),
    t_s=st.floats(15.0, 120.0),
    at_speed_kn=st.just(12.0),
    alpha_s2=st.sampled_from([2000.0, 20_000.0]),
    drift_lengths=st.sampled_from([0.0, 0.45]),
    race_exponent=st.sampled_from([0.0, 1.2]),
    speed_recovery=st.just(0.075),
    speed_loss=st.sampled_from([0.0, 0.7]),
    drift_lag=st.sampled_from([0.0, 0.5]),
)


def _run(
    model: ShipModel, orders: list[tuple[float, float]], times: list[float], **more: Any
) -> Motion:
    given_orders = tuple(HelmOrder(rudder_deg=angle, at_s=at) for at, angle in orders)
    return run_orders(model, given_orders, times, heading_deg=more.pop("heading_deg", 0.0), **more)


def test_heading_of_a_held_rudder_by_its_closed_form() -> None:
    """Held: psi = K d (t - T (1 - exp(-t / T))) and r = K d (1 - exp(-t / T))."""
    times = [0.0, 10.0, 60.0, 300.0]
    motion = _run(ship_model(LINEAR, LENGTH_M, 15.0), [(0.0, 10.0)], times)
    for row, time_s in enumerate(times):
        settled = 1.0 - math.exp(-time_s / 30.0)
        wanted = 0.05 * 10.0 * (time_s - 30.0 * settled)
        assert motion.heading_deg[row] == pytest.approx(wanted % 360.0, abs=1e-6)
        assert motion.rate_deg_per_min[row] == pytest.approx(30.0 * settled, abs=1e-6)


def test_heading_of_a_running_rudder_by_its_closed_form() -> None:
    """Running at m: psi = K m (t^2 / 2 - T t) + A T (1 - exp(-t / T)) with A = K m T."""
    times = [2.0, 5.0]
    model = ship_model(LINEAR, LENGTH_M, 15.0)
    motion = _run(model, [(0.0, 35.0)], times, rudder_rate_deg_per_s=2.33)
    for row, time_s in enumerate(times):
        run = time_s**2 / 2.0 - 30.0 * time_s
        wanted = 0.05 * 2.33 * (run + 30.0**2 * (1.0 - math.exp(-time_s / 30.0)))
        assert motion.heading_deg[row] == pytest.approx(wanted, abs=1e-6)
        assert motion.rudder_deg[row] == pytest.approx(2.33 * time_s, abs=1e-9)


def test_heading_changes_by_the_area_under_the_rudder() -> None:
    """From rest to rest psi2 - psi1 is K times the integral of the rudder."""
    model = ship_model(LINEAR, LENGTH_M, 15.0)
    motion = _run(model, [(0.0, 20.0), (50.0, -10.0), (90.0, 0.0)], [0.0, 1500.0])
    assert motion.heading_deg[1] == pytest.approx(0.05 * (20.0 * 50.0 - 10.0 * 40.0), abs=1e-6)


def _reference(
    model: ShipModel, ramps: list[tuple[float, float, float, float]], until_s: float
) -> "np.ndarray[Any, Any]":
    """Return the state at the end of rudder ramps (from, to, angle, rate), by DOP853."""
    state = np.array([0.0, 0.0, model.speed_m_per_s, 0.0, 0.0, 0.0])
    length, first = model.length_m, model.speed_m_per_s
    for start, end, angle, rate in ramps:

        def slopes(time_s: float, y: Any, start=start, angle=angle, rate=rate) -> list[float]:
            psi, r, u, b = y[:4]
            turning = r * length / u
            helm = (
                model.gain_ratio
                * (first / u) ** model.race_exponent
                * (angle + rate * (time_s - start))
            )
            drift = b if model.drift_lag else model.drift_lengths * turning
            return [
                r,
                (u / length) ** 2
                / model.lag_ratio
                * (helm - turning - model.cubic_ratio * turning**3),
                (model.speed_recovery * (first**2 - u**2) - model.speed_loss * u**2 * turning**2)
                / length,
                u / length / model.drift_lag * (model.drift_lengths * turning - b)
                if model.drift_lag
                else 0.0,
                u * math.cos(psi - drift),
                u * math.sin(psi - drift),
            ]

        span = (start, min(end, until_s))
        state = solve_ivp(slopes, span, state, method="DOP853", rtol=1e-12, atol=1e-12).y[:, -1]
    return state


@given(response=responses, speed_kn=st.floats(6.0, 22.0), angle_deg=st.floats(5.0, 35.0))
def test_the_extended_model_against_an_independent_integration(
    response: Response, speed_kn: float, angle_deg: float
) -> None:
    model = ship_model(response, LENGTH_M, speed_kn)
    rate, angle = math.radians(2.33), math.radians(angle_deg)
    over_s = angle / rate
    ramps = [(3.0, 3.0 + over_s, 0.0, rate), (3.0 + over_s, 103.0, angle, 0.0)]
    ramps += [(103.0, 103.0 + 2 * over_s, angle, -rate), (103.0 + 2 * over_s, 400.0, -angle, 0.0)]
    wanted = _reference(model, [(0.0, 3.0, 0.0, 0.0), *ramps], 400.0)
    orders = [(0.0, angle_deg), (100.0, -angle_deg)]
    motion = _run(model, orders, [0.0, 400.0], rudder_rate_deg_per_s=2.33, helm_delay_s=3.0)
    assert motion.north_m[1] == pytest.approx(wanted[4], abs=1e-5)
    assert motion.east_m[1] == pytest.approx(wanted[5], abs=1e-5)
    turned = (motion.heading_deg[1] - math.degrees(wanted[0]) + 180.0) % 360.0 - 180.0
    assert turned == pytest.approx(0.0, abs=1e-5)
    assert motion.speed_m_per_s[1] == pytest.approx(wanted[2], abs=1e-7)


@given(response=responses, angle_deg=st.floats(5.0, 35.0), heading_deg=st.floats(0.0, 359.0))
def test_mirrored_helm_gives_the_mirrored_way(
    response: Response, angle_deg: float, heading_deg: float
) -> None:
    model = ship_model(response, LENGTH_M, 12.0)
    one = _run(model, [(0.0, angle_deg)], [0.0, 300.0], rudder_rate_deg_per_s=2.33)
    other = _run(model, [(0.0, -angle_deg)], [0.0, 300.0], rudder_rate_deg_per_s=2.33)
    assert other.east_m[1] == pytest.approx(-one.east_m[1], abs=1e-9)
    assert other.north_m[1] == pytest.approx(one.north_m[1], abs=1e-9)
    turned = _run(
        model, [(0.0, angle_deg)], [0.0, 300.0], rudder_rate_deg_per_s=2.33, heading_deg=heading_deg
    )
    away_m = math.hypot(turned.east_m[1], turned.north_m[1])
    assert away_m == pytest.approx(math.hypot(one.east_m[1], one.north_m[1]), abs=1e-6)


@given(response=responses, sets=st.floats(0.0, 359.0), drift=st.floats(0.0, 2.0))
def test_a_current_carries_ship_and_water_alike(
    response: Response, sets: float, drift: float
) -> None:
    model = ship_model(response, LENGTH_M, 12.0)
    still = _run(model, [(0.0, 20.0)], [0.0, 240.0])
    moved = _run(
        model, [(0.0, 20.0)], [0.0, 240.0], current=Current(set_deg=sets, drift_m_per_s=drift)
    )
    carried = math.radians(sets)
    assert moved.east_m[1] - still.east_m[1] == pytest.approx(
        240 * drift * math.sin(carried), abs=1e-9
    )
    assert moved.north_m[1] - still.north_m[1] == pytest.approx(
        240 * drift * math.cos(carried), abs=1e-9
    )
    assert moved.heading_deg[1] == still.heading_deg[1]


@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_in_lengths_the_way_is_the_same_at_every_speed(factor: float) -> None:
    """With a rudder that needs no time, K scales with the speed and T with its inverse."""
    slow = _run(ship_model(FULL, LENGTH_M, 15.0), [(0.0, 20.0)], [0.0, 400.0])
    fast = _run(ship_model(FULL, LENGTH_M, 15.0 * factor), [(0.0, 20.0)], [0.0, 400.0 / factor])
    assert fast.east_m[1] == pytest.approx(slow.east_m[1], abs=1e-3)
    assert fast.north_m[1] == pytest.approx(slow.north_m[1], abs=1e-3)


def test_orders_at_headings_make_a_zig_zag() -> None:
    model = ship_model(FULL, LENGTH_M, 15.0)
    orders = (
        HelmOrder(rudder_deg=10.0, at_s=0.0),
        HelmOrder(rudder_deg=-10.0, at_heading_change_deg=10.0),
        HelmOrder(rudder_deg=10.0, at_heading_change_deg=-10.0),
    )
    times = [float(one) for one in np.arange(0.0, 400.0, 0.5)]
    motion = run_orders(model, orders, times, heading_deg=0.0, rudder_rate_deg_per_s=1000.0)
    change = (motion.heading_deg + 180.0) % 360.0 - 180.0
    first = int(np.argmax(motion.rudder_deg < 0.0))
    assert change[first - 1] < 10.0 <= change[first] + 0.6
    assert np.max(change) > 10.0
    second = first + int(np.argmax(motion.rudder_deg[first:] > 9.9))
    assert change[second] == pytest.approx(-10.0, abs=0.6)


def test_orders_that_go_backwards_are_refused() -> None:
    model = ship_model(LINEAR, LENGTH_M, 15.0)
    with pytest.raises(InvalidInput) as refused:
        _run(model, [(10.0, 5.0), (5.0, 0.0)], [0.0, 20.0])
    assert refused.value.faults[0].pointer == "/orders/1/at_s"


def test_a_ship_that_answers_at_once_is_not_run_for_hours() -> None:
    model = ship_model(replace(LINEAR, t_s=0.02), LENGTH_M, 15.0)
    with pytest.raises(OutOfDomain, match="too long"):
        _run(model, [(0.0, 5.0)], [0.0, 36_000.0])


def _turn(model: ShipModel, change_deg: float, **more: Any) -> SteadyTurn:
    return steady_turn(model, 0.0, change_deg % 360.0, more.pop("rudder_deg", 15.0), **more)


@pytest.mark.parametrize("change_deg", [5.0, 40.0, 90.0, 150.0, -60.0])
@pytest.mark.parametrize("response", [LINEAR, FULL], ids=["linear", "full"])
def test_the_orders_leave_her_steady_on_the_new_course(
    response: Response, change_deg: float
) -> None:
    """Run through the orders she has no rate, the rudder amidships, and the line she is on crosses
    the inbound course where it is said.
    """
    model = ship_model(response, LENGTH_M, 12.0)
    more = {"rudder_rate_deg_per_s": 2.33, "helm_delay_s": 4.0, "current": STREAM}
    turn = _turn(model, change_deg, counter_rudder_deg=20.0, **more)
    orders = [(one.at_s, one.rudder_deg) for one in turn.orders]
    times = [0.0, *(one.at_s for one in turn.orders[1:]), turn.steady_at_s]
    motion = _run(model, orders, times, heading_deg=turn.heading_in_deg, **more)
    assert motion.rate_deg_per_min[-1] == pytest.approx(0.0, abs=1e-6)
    assert motion.rudder_deg[-1] == pytest.approx(0.0, abs=1e-6)
    assert motion.heading_deg[-1] == pytest.approx(turn.heading_out_deg, abs=1e-6)
    for row, one in zip((0, 1, 2), turn.orders, strict=True):
        assert motion.east_m[row] == pytest.approx(one.east_m, abs=1e-3)
        assert motion.north_m[row] == pytest.approx(one.north_m, abs=1e-3)
        assert motion.heading_deg[row] == pytest.approx(one.heading_deg, abs=1e-5)
    change = math.radians(change_deg)
    line_m = motion.north_m[-1] - motion.east_m[-1] / math.tan(change)
    assert turn.distance_to_new_course_m == pytest.approx(line_m, abs=1e-3)
    each = _run(
        model,
        orders,
        list(np.linspace(0, turn.steady_at_s, 4000)),
        heading_deg=turn.heading_in_deg,
        **more,
    )
    most = float(np.max(np.abs(each.rate_deg_per_min)))
    assert turn.rate_max_deg_per_min == pytest.approx(most, rel=1e-3)


def test_counter_helm_by_its_closed_form() -> None:
    """Linear and without delay: tau = T ln(1 + r1 / (K dc)) stops a rate r1."""
    turn = _turn(ship_model(LINEAR, LENGTH_M, 15.0), 90.0, rudder_deg=20.0, counter_rudder_deg=10.0)
    helm, counter, midships = (one.at_s for one in turn.orders)
    assert helm == 0.0
    rate = 0.05 * 20.0 * (1.0 - math.exp(-counter / 30.0))
    tau = 30.0 * math.log(1.0 + rate / (0.05 * 10.0))
    assert midships - counter == pytest.approx(tau, abs=1e-5)
    assert 0.05 * 20.0 * counter - 0.05 * 10.0 * tau == pytest.approx(90.0, abs=1e-6)
    assert turn.steady_at_s == pytest.approx(midships, abs=1e-9)


def test_the_heading_change_in_a_current_is_not_the_course_change() -> None:
    """H10, read [S34]: course 090 at 5 kn, current 2 kn setting 210: steer 069.7."""
    stream = Current(set_deg=210.0, drift_m_per_s=m_per_s_from_kn(2.0))
    found = heading_for_course_deg(90.0, m_per_s_from_kn(5.0), stream)
    assert found == pytest.approx(69.7, abs=0.1)
    turn = steady_turn(ship_model(LINEAR, LENGTH_M, 5.0), 0.0, 90.0, 15.0, current=stream)
    assert turn.heading_out_deg == pytest.approx(found, abs=1e-9)
    assert turn.heading_out_deg - turn.heading_in_deg != pytest.approx(90.0, abs=5.0)


def test_what_cannot_be_steered_is_said() -> None:
    """H18, computed: a current across the course faster than the ship has no solution."""
    model = ship_model(LINEAR, LENGTH_M, 3.0)
    with pytest.raises(OutOfDomain, match="cannot be made good"):
        _turn(model, 90.0, current=Current(set_deg=0.0, drift_m_per_s=m_per_s_from_kn(4.0)))
    with pytest.raises(OutOfDomain, match="against the course"):
        _turn(model, 90.0, current=Current(set_deg=180.0, drift_m_per_s=m_per_s_from_kn(4.0)))
    for change_deg in (0.0, 180.0):
        with pytest.raises(OutOfDomain, match="along one line"):
            _turn(model, change_deg)
    with pytest.raises(OutOfDomain, match="above zero"):
        ship_model(replace(LINEAR, t_s=-5.0), LENGTH_M, 12.0)


@settings(max_examples=15)
@given(response=responses, change_deg=st.floats(3.0, 175.0), angle_deg=st.floats(5.0, 35.0))
def test_a_turn_to_port_is_the_mirror_of_one_to_starboard(
    response: Response, change_deg: float, angle_deg: float
) -> None:
    model = ship_model(response, LENGTH_M, 12.0)
    one, other = (_turn(model, sign * change_deg, rudder_deg=angle_deg) for sign in (1.0, -1.0))
    assert one.distance_to_new_course_m == pytest.approx(other.distance_to_new_course_m, abs=1e-3)
    assert one.steady_at_s == pytest.approx(other.steady_at_s, abs=1e-5)
    assert one.orders[1].rudder_deg == -other.orders[1].rudder_deg
