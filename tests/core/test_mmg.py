"""The force model: an independent integration, its symmetries, and orders in their sequence."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.mmg_reference import reference
from wheelover.core.errors import InvalidInput, OutOfDomain
from wheelover.core.manoeuvre import known_ships, run_forces
from wheelover.core.manoeuvre.force_circle import run_one_order
from wheelover.core.manoeuvre.mmg import balanced_revolutions_per_s
from wheelover.core.manoeuvre.model import ship_model
from wheelover.core.manoeuvre.run_forces import run_force_model
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.manoeuvre import Current, HelmOrder, Motion
from wheelover.core.types.ship import Response

SHIPS = {
    "kvlcc2_model": known_ships.KVLCC2_MODEL,
    "kvlcc2": known_ships.KVLCC2,
    "kcs": known_ships.KCS,
    "container_280": known_ships.CONTAINER_SHIP_280,
    "coaster": known_ships.COASTER_84,
    "tanker_333": known_ships.TANKER_333,
}
TANKER = known_ships.KVLCC2
Orders = list[tuple[str, float, float]]
HARD_OVER: Orders = [("time", 0.0, 35.0)]
ZIG_ZAG: Orders = [
    ("time", 0.0, 10.0),
    ("heading", 10.0, -10.0),
    ("heading", -10.0, 10.0),
    ("heading", 10.0, -10.0),
]
MIXED: Orders = [("time", 0.0, -20.0), ("heading", -50.0, 20.0), ("time", 400.0, 0.0)]


def _orders(rows: Orders) -> tuple[HelmOrder, ...]:
    return tuple(
        HelmOrder(rudder_deg=rudder, at_s=when)
        if kind == "time"
        else HelmOrder(rudder_deg=rudder, at_heading_change_deg=when)
        for kind, when, rudder in rows
    )


def _run(model: ForceModel, rows: Orders, times: list[float], **more: Any) -> Motion:
    more = {"heading_deg": 0.0, "rudder_rate_deg_per_s": 2.32, **more}
    return run_force_model(model, _orders(rows), times, **more)


def _symmetric(model: ForceModel) -> ForceModel:
    """Return the ship with the same flow to propeller and rudder from either side."""
    return replace(
        model,
        propeller=replace(model.propeller, wake_bow_out=model.propeller.wake_bow_in),
        rudder=replace(model.rudder, straightening_bow_out=model.rudder.straightening_bow_in),
    )


@pytest.mark.parametrize("rows", [HARD_OVER, ZIG_ZAG, MIXED], ids=["circle", "zig-zag", "mixed"])
@pytest.mark.parametrize("model", SHIPS.values(), ids=SHIPS.keys())
def test_against_an_independent_integration(model: ForceModel, rows: Orders) -> None:
    """DOP853 at a tolerance of 1e-11 with the equations written out a second time. Measured: at
    most 3.3e-6 lengths, where the flow to the rudder changes side within a step.
    """
    rate = 2.32 * math.sqrt(320.0 / model.length_m) if model.length_m < 10.0 else 2.32
    until_s = 15.0 * model.length_m / model.speed_m_per_s
    wanted = reference(model, rows, until_s, rate)
    motion = _run(model, rows, [0.0, until_s], rudder_rate_deg_per_s=rate)
    off_m = math.hypot(motion.north_m[-1] - wanted[4], motion.east_m[-1] - wanted[5])
    assert off_m < 1e-5 * model.length_m
    turn = motion.heading_deg[-1] - math.degrees(wanted[0])
    assert abs((turn + 180.0) % 360.0 - 180.0) < 1e-4
    rate_rad_per_s = math.radians(motion.rate_deg_per_min[-1] / 60.0)
    length_s = model.length_m / model.speed_m_per_s
    assert rate_rad_per_s * length_s == pytest.approx(wanted[3] * length_s, abs=1e-5)
    assert motion.speed_m_per_s[-1] == pytest.approx(math.hypot(wanted[1], wanted[2]), rel=1e-6)


def test_the_method_is_of_fourth_order(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nothing changes side: half the step, a sixteenth of the error."""
    model = known_ships.COASTER_84
    until_s = 15.0 * model.length_m / model.speed_m_per_s
    wanted = reference(model, HARD_OVER, until_s, 2.32)
    off = []
    for step in (0.16, 0.08):
        monkeypatch.setattr(run_forces, "_STEP_LENGTHS", step)
        motion = _run(model, HARD_OVER, [0.0, until_s])
        off.append(math.hypot(motion.north_m[-1] - wanted[4], motion.east_m[-1] - wanted[5]))
    assert 10.0 < off[0] / off[1] < 25.0


@pytest.mark.parametrize("model", SHIPS.values(), ids=SHIPS.keys())
def test_straight_ahead_she_holds_her_speed(model: ForceModel) -> None:
    motion = _run(model, [], [0.0, 2000.0], heading_deg=37.0)
    assert motion.speed_m_per_s[-1] == pytest.approx(model.speed_m_per_s, rel=1e-12)
    assert motion.heading_deg[-1] == pytest.approx(37.0, abs=1e-9)
    sailed_m = 2000.0 * model.speed_m_per_s
    assert motion.east_m[-1] == pytest.approx(sailed_m * math.sin(math.radians(37.0)), rel=1e-9)
    assert motion.north_m[-1] == pytest.approx(sailed_m * math.cos(math.radians(37.0)), rel=1e-9)


def test_revolutions_balance_thrust_and_resistance() -> None:
    model = known_ships.KCS
    revs, p = balanced_revolutions_per_s(model), model.propeller
    advance = model.speed_m_per_s * (1.0 - p.wake) / (revs * p.diameter_m)
    thrust = (p.k_0 + p.k_1 * advance + p.k_2 * advance**2) * revs**2 * p.diameter_m**4
    drag = 0.5 * model.length_m * model.draught_m * model.speed_m_per_s**2 * model.hull.resistance
    assert (1.0 - p.thrust_deduction) * thrust == pytest.approx(drag, rel=1e-12)
    with pytest.raises(OutOfDomain, match="no revolutions"):
        balanced_revolutions_per_s(replace(model, propeller=replace(p, k_0=-0.1)))


@settings(max_examples=20)
@given(
    set_deg=st.floats(0.0, 360.0),
    drift_m_per_s=st.floats(0.0, 3.0),
    heading_deg=st.floats(0.0, 359.0),
    rudder_deg=st.sampled_from([-35.0, -10.0, 5.0, 20.0]),
)
def test_a_current_shifts_her_and_does_nothing_else(
    set_deg: float, drift_m_per_s: float, heading_deg: float, rudder_deg: float
) -> None:
    times = [0.0, 60.0, 500.0]
    rows: Orders = [("time", 10.0, rudder_deg), ("heading", math.copysign(30.0, rudder_deg), 0.0)]
    still = _run(TANKER, rows, times, heading_deg=heading_deg)
    stream = Current(set_deg=set_deg, drift_m_per_s=drift_m_per_s)
    carried = _run(TANKER, rows, times, heading_deg=heading_deg, current=stream)
    sets = math.radians(set_deg)
    way_m = drift_m_per_s * np.array(times)
    np.testing.assert_allclose(carried.east_m, still.east_m + way_m * math.sin(sets), atol=1e-8)
    np.testing.assert_allclose(carried.north_m, still.north_m + way_m * math.cos(sets), atol=1e-8)
    for name in ("heading_deg", "rate_deg_per_min", "speed_m_per_s", "rudder_deg"):
        np.testing.assert_array_equal(getattr(carried, name), getattr(still, name))


@pytest.mark.parametrize("model", [TANKER, known_ships.KCS], ids=["kvlcc2", "kcs"])
def test_to_port_she_mirrors_a_turn_to_starboard_only_if_she_is_symmetric(
    model: ForceModel,
) -> None:
    times = [0.0, 200.0, 900.0]
    port: Orders = [(kind, when if kind == "time" else -when, -d) for kind, when, d in ZIG_ZAG]

    def off_m(ship: ForceModel) -> float:
        one, other = _run(ship, ZIG_ZAG, times), _run(ship, port, times)
        return float(
            np.max(np.abs(one.east_m + other.east_m) + np.abs(one.north_m - other.north_m))
        )

    assert off_m(_symmetric(model)) < 1e-7
    assert off_m(model) > 20.0


def test_of_the_same_form_and_froude_number_she_makes_the_same_track_in_lengths() -> None:
    small, large = known_ships.scaled(TANKER, 80.0), TANKER
    times = np.array([0.0, 100.0, 400.0, 900.0])
    one = _run(large, ZIG_ZAG, times.tolist(), helm_delay_s=4.0)
    other = _run(
        small, ZIG_ZAG, (times / 2.0).tolist(), helm_delay_s=2.0, rudder_rate_deg_per_s=4.64
    )
    np.testing.assert_allclose(one.north_m / 320.0, other.north_m / 80.0, atol=1e-9)
    np.testing.assert_allclose(one.east_m / 320.0, other.east_m / 80.0, atol=1e-9)
    np.testing.assert_allclose(one.rudder_deg, other.rudder_deg, atol=1e-9)


def test_orders_by_time_move_the_rudder_as_those_of_the_first_order_model_do() -> None:
    rows: Orders = [("time", 5.0, 20.0), ("time", 8.0, -15.0), ("time", 8.0, -5.0), ("time", 40, 0)]
    times = np.linspace(0.0, 60.0, 601).tolist()
    response = Response(k_per_s=0.05, t_s=30.0, at_speed_kn=15.0)
    for more in (
        {"rudder_rate_deg_per_s": 2.32, "helm_delay_s": 4.5},
        {"rudder_rate_deg_per_s": None, "helm_delay_s": 0.0},
    ):
        wanted = run_orders(
            ship_model(response, 320.0, 15.0), _orders(rows), times, heading_deg=0.0, **more
        )
        found = _run(TANKER, rows, times, **more)
        np.testing.assert_allclose(found.rudder_deg, wanted.rudder_deg, atol=1e-9)


def test_an_order_by_heading_is_given_at_that_heading() -> None:
    """Whatever the delay, and one after it at the same heading at the same moment."""
    times = np.linspace(0.0, 300.0, 30_001).tolist()
    rows: Orders = [("time", 0.0, 20.0), ("heading", 25.0, -20.0)]
    motion = _run(TANKER, rows, times, helm_delay_s=5.0)
    moment = int(np.flatnonzero(motion.heading_deg >= 25.0)[0])
    back = int(np.flatnonzero(np.diff(motion.rudder_deg) < 0.0)[0])
    assert times[back] - times[moment] == pytest.approx(5.0, abs=0.02)
    doubled = _run(TANKER, [*rows, ("heading", 25.0, -12.0)], times, helm_delay_s=5.0)
    assert float(np.min(doubled.rudder_deg)) == pytest.approx(-12.0, abs=1e-9)
    assert doubled.rudder_deg[back + 20] < 20.0


def test_rows_wanted_between_change_nothing() -> None:
    close = _run(TANKER, ZIG_ZAG, np.linspace(0.0, 800.0, 1601).tolist())
    far = _run(TANKER, ZIG_ZAG, [0.0, 400.0, 800.0])
    for name in ("east_m", "north_m", "heading_deg"):
        np.testing.assert_allclose(
            getattr(close, name)[::800], getattr(far, name), rtol=0, atol=2e-3
        )


def test_what_cannot_be_run_is_refused() -> None:
    with pytest.raises(InvalidInput, match="order 2") as refused:
        _run(TANKER, [("time", 10.0, 5.0), ("time", 5.0, 0.0)], [0.0, 60.0])
    assert refused.value.faults[0].pointer == "/orders/1/at_s"
    with pytest.raises(OutOfDomain, match="too long"):
        _run(TANKER, HARD_OVER, [0.0, 1e9])
    draggy = replace(TANKER, hull=replace(TANKER.hull, x_rr=-1.0))
    with pytest.raises(OutOfDomain, match="headway"):
        _run(draggy, HARD_OVER, [0.0, 3600.0])


@pytest.mark.parametrize("model", [known_ships.KVLCC2, known_ships.CONTAINER_SHIP_280])
@pytest.mark.parametrize(("rudder_deg", "delay_s"), [(35.0, 0.0), (-10.0, 7.0)])
def test_one_order_by_the_library_is_that_of_the_loops(
    model: ForceModel, rudder_deg: float, delay_s: float
) -> None:
    times = [0.0, 3.0, 20.0, 100.0, 400.0, 900.0]
    helm = {"rudder_rate_deg_per_s": 2.33, "helm_delay_s": delay_s}
    plain = run_one_order(model, rudder_deg, times, **helm)
    order = (HelmOrder(rudder_deg=rudder_deg, at_s=0.0),)
    loops = run_force_model(model, order, times, heading_deg=0.0, **helm)
    close_m = 1e-5 * model.length_m
    assert plain.east_m == pytest.approx(loops.east_m, abs=close_m)
    assert plain.north_m == pytest.approx(loops.north_m, abs=close_m)
    assert plain.rate_deg_per_min == pytest.approx(loops.rate_deg_per_min, abs=1e-2)
    assert plain.rudder_deg == pytest.approx(loops.rudder_deg, abs=1e-6)
