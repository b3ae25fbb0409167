"""The response in columns: what it gives is what ``run_orders`` gives, one ship at a time."""

import math
from functools import partial
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from wheelover.core.manoeuvre.fit_columns import FINE_STEP, QUICK_STEP
from wheelover.core.manoeuvre.fit_numbers import Trials, computed, trials_of
from wheelover.core.manoeuvre.fit_readings import steady_turn
from wheelover.core.manoeuvre.helm_orders import steady_turn as three_orders
from wheelover.core.manoeuvre.model import ShipModel, ship_model
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.manoeuvre.standard import RunsOrders, turning_circle, zig_zag
from wheelover.core.types.manoeuvre import HelmOrder
from wheelover.core.types.ship import Response
from wheelover.core.types.trials import (
    CircleTrial,
    CourseChange,
    InitialTurning,
    RoundPoint,
    TrialSet,
    TrialShip,
    ZigZagTrial,
)
from wheelover.core.units import m_per_s_from_kn

LENGTH_M, SPEED_KN, RATE_DEG_PER_S = 280.0, 15.0, 2.33
SPEED_M_PER_S = m_per_s_from_kn(SPEED_KN)
LENGTH_S = LENGTH_M / SPEED_M_PER_S
SHIPS = (
    # K', T', a', q, ku, cr, kb, Tb'
    (2.5, 3.5, 11.0, 1.1, 0.075, 0.75, 0.45, 0.55),
    (1.5, 1.6, 5.0, 0.8, 0.060, 0.40, 0.40, 0.40),
    (3.0, 5.5, 15.0, 1.3, 0.075, 0.90, 0.50, 0.60),
    (0.9, 1.2, 12.0, 0.9, 0.090, 0.50, 0.30, 1.00),
)
COLUMNS = np.array(SHIPS).T
ROUND = (90.0, 180.0, 270.0, 360.0)


def _model(ship: tuple[float, ...], rudder_deg: float) -> ShipModel:
    gain, lag, cubic, race, recovery, loss, drift_gain, drift_lag = ship
    response = Response(
        k_per_s=gain / LENGTH_S,
        t_s=lag * LENGTH_S,
        at_speed_kn=SPEED_KN,
        alpha_s2=cubic * LENGTH_S**2,
        race_exponent=race,
        speed_recovery=recovery,
        speed_loss=loss,
        drift_lengths=drift_gain,
        drift_lag=drift_lag,
    )
    return ship_model(response, LENGTH_M, SPEED_KN, rudder_deg)


def _run(ship: tuple[float, ...], rudder_deg: float, delay_s: float) -> RunsOrders:
    return partial(
        run_orders,
        _model(ship, rudder_deg),
        heading_deg=0.0,
        rudder_rate_deg_per_s=RATE_DEG_PER_S,
        helm_delay_s=delay_s,
    )


def _papers(delay_s: float = 0.0, **trials: Any) -> Trials:
    ship = TrialShip(name="her", loa_m=LENGTH_M, helm_delay_s=delay_s)
    given = TrialSet(loading="laden", draught_fore_m=1.0, draught_aft_m=1.0, **trials)
    return trials_of(ship, given)


def _circle_trial(rudder_deg: float) -> CircleTrial:
    return CircleTrial(
        side="starboard",
        rudder_deg=rudder_deg,
        speed_kn=SPEED_KN,
        advance_m=1.0,
        transfer_m=1.0,
        tactical_diameter_m=1.0,
        final_diameter_m=1.0,
        points=tuple(
            RoundPoint(heading_change_deg=heading_deg, time_s=1.0, speed_kn=1.0)
            for heading_deg in ROUND
        ),
    )


@pytest.mark.parametrize("delay_s", [0.0, 4.0])
@pytest.mark.parametrize("rudder_deg", [35.0, 20.0, 10.0])
def test_circles_are_those_of_run_orders(rudder_deg: float, delay_s: float) -> None:
    """Places to 1e-4 lengths, times to 1e-4 of those in which she sails one, speeds to 1e-4."""
    trials = _papers(delay_s, circles=(_circle_trial(rudder_deg),))
    found = computed(trials, COLUMNS)
    quick = computed(trials, COLUMNS, QUICK_STEP)
    for column, ship in enumerate(SHIPS):
        circle = turning_circle(
            _run(ship, rudder_deg, delay_s),
            rudder_deg=rudder_deg,
            length_m=LENGTH_M,
            speed_m_per_s=SPEED_M_PER_S,
        )
        places = [circle.advance_m, circle.transfer_m, circle.tactical_diameter_m]
        assert found[:3, column] == pytest.approx(places, abs=1e-4 * LENGTH_M)
        assert quick[:3, column] == pytest.approx(places, abs=3e-3 * LENGTH_M)
        # The last circle is that of no end of turning; there it is read off at 720 degrees.
        assert found[3, column] == pytest.approx(circle.final_diameter_m, rel=1e-3)
        times = [point.time_s for point in circle.points]
        assert found[4::2, column] == pytest.approx(times, abs=1e-4 * LENGTH_S)
        speeds = [point.speed_m_per_s / SPEED_M_PER_S * SPEED_KN for point in circle.points]
        assert found[5::2, column] == pytest.approx(speeds, abs=1e-4 * SPEED_KN)


@pytest.mark.parametrize("delay_s", [0.0, 4.0])
@pytest.mark.parametrize("angle_deg", [20.0, 10.0])
def test_zig_zags_are_those_of_run_orders(angle_deg: float, delay_s: float) -> None:
    trial = ZigZagTrial(
        side="starboard",
        rudder_deg=angle_deg,
        heading_change_deg=angle_deg,
        speed_kn=SPEED_KN,
        first_overshoot_deg=1.0,
        second_overshoot_deg=1.0,
    )
    found = computed(_papers(delay_s, zig_zags=(trial,)), COLUMNS)
    for column, ship in enumerate(SHIPS):
        swings = zig_zag(
            _run(ship, angle_deg, delay_s),
            rudder_deg=angle_deg,
            heading_change_deg=angle_deg,
            length_m=LENGTH_M,
            speed_m_per_s=SPEED_M_PER_S,
        ).swings
        wanted = [swing.overshoot_deg for swing in swings[:2]]
        assert found[:, column] == pytest.approx(wanted, abs=1e-3)


def test_initial_turning_is_where_run_orders_is_at_that_heading() -> None:
    trial = InitialTurning(
        side="port", rudder_deg=10.0, heading_change_deg=10.0, speed_kn=SPEED_KN, distance_m=1.0
    )
    found = computed(_papers(initial_turnings=(trial,)), COLUMNS)[0]
    for column, ship in enumerate(SHIPS):
        run = _run(ship, 10.0, 0.0)
        order = (HelmOrder(rudder_deg=10.0, at_s=0.0),)

        def turned(at_s: float, run: RunsOrders = run, order: Any = order) -> float:
            return float(run(order, [0.0, at_s]).heading_deg[-1]) - 10.0

        at_s = brentq(turned, 1.0, 300.0)
        assert found[column] == pytest.approx(
            float(run(order, [0.0, at_s]).north_m[-1]), abs=1e-4 * LENGTH_M
        )


@pytest.mark.parametrize("change_deg", [30.0, 60.0, 90.0, 120.0])
def test_course_changes_are_near_those_of_three_orders(change_deg: float) -> None:
    """There the rudder comes back amidships as she steadies, here she steadies on opposite helm:
    up to 0.1 lengths later or earlier.
    """
    trial = CourseChange(
        side="starboard", rudder_deg=20.0, change_deg=change_deg, speed_kn=SPEED_KN, distance_m=1.0
    )
    found = computed(_papers(course_changes=(trial,)), COLUMNS)[0]
    for column, ship in enumerate(SHIPS):
        turn = three_orders(
            _model(ship, 20.0), 0.0, change_deg, 20.0, rudder_rate_deg_per_s=RATE_DEG_PER_S
        )
        assert found[column] == pytest.approx(turn.distance_to_new_course_m, abs=0.1 * LENGTH_M)


def test_the_steady_turn_balances() -> None:
    rudder = np.full(4, math.radians(35.0))
    turning, speed_ratio = steady_turn(COLUMNS, rudder)
    gain, _, cubic, race, recovery, loss, _, _ = COLUMNS
    assert gain * rudder * speed_ratio**-race == pytest.approx(turning + cubic * turning**3)
    assert recovery * (1.0 - speed_ratio**2) == pytest.approx(loss * (turning * speed_ratio) ** 2)


def test_a_point_ahead_moves_otherwise_than_midships() -> None:
    """Advance at 90 degrees less by its distance, transfer more; the tactical diameter alike."""
    ship = TrialShip(name="her", loa_m=LENGTH_M)
    given = {"loading": "laden", "draught_fore_m": 1.0, "draught_aft_m": 1.0}
    circles = (_circle_trial(35.0),)
    at_bridge = trials_of(ship, TrialSet(**given, circles=circles, reference_from_bow_m=240.0))
    amidships = trials_of(ship, TrialSet(**given, circles=circles))
    off = computed(at_bridge, COLUMNS) - computed(amidships, COLUMNS)
    assert off[0] == pytest.approx(np.full(4, 100.0))
    assert off[1] == pytest.approx(np.full(4, -100.0))
    assert off[2] == pytest.approx(np.zeros(4), abs=1e-9)
    turning, _ = steady_turn(COLUMNS, np.full(4, math.radians(35.0)))
    # Behind midships she swings out: the last circle of the bridge is the larger.
    assert np.all(off[3] > 0.0)
    drift = COLUMNS[6] * turning
    aft = 100.0 / LENGTH_M
    wanted = np.sqrt(1.0 / turning**2 + 2.0 / turning * aft * np.sin(drift) + aft**2)
    assert computed(at_bridge, COLUMNS)[3] == pytest.approx(2.0 * LENGTH_M * wanted)


def test_shorter_steps_change_nothing_that_matters() -> None:
    """Fourth order: from a step of 0.4 to 0.2 the error falls about sixteenfold."""
    trials = _papers(circles=(_circle_trial(35.0),))
    exact = computed(trials, COLUMNS, FINE_STEP / 8.0)[:3]
    coarse, fine = (
        float(np.max(np.abs(computed(trials, COLUMNS, share)[:3] - exact))) for share in (0.4, 0.2)
    )
    assert fine < coarse / 8.0
