"""Fits to published manoeuvres, and the limits of the standard. Sources stand in SOURCES.md."""

from dataclasses import replace

import numpy as np
import pytest

from tests.core.trial_ships import fitted, misses, trial_set
from wheelover.core.manoeuvre.fit import response_of
from wheelover.core.manoeuvre.fit_standard import (
    first_overshoot_limit_deg,
    second_overshoot_limit_deg,
    standard_checks,
)
from wheelover.core.manoeuvre.model import ship_model
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.types.manoeuvre import HelmOrder
from wheelover.core.types.ship import Response
from wheelover.core.types.trials import (
    CircleTrial,
    InitialTurning,
    Side,
    Stopping,
    TrialShip,
    ZigZagTrial,
)
from wheelover.core.units import kn_from_m_per_s, m_per_s_from_kn

LENGTH_M, SPEED_KN = 320.0, 15.5


def _circle(
    length_m: float,
    speed_kn: float,
    rudder_deg: float,
    lengths: tuple[float, float | None, float],
    side: Side = "starboard",
) -> CircleTrial:
    """Return a circle of which advance, transfer and tactical diameter are printed in lengths."""
    advance, transfer, diameter = lengths
    return CircleTrial(
        side=side,
        rudder_deg=rudder_deg,
        speed_kn=speed_kn,
        advance_m=advance * length_m,
        transfer_m=None if transfer is None else transfer * length_m,
        tactical_diameter_m=diameter * length_m,
    )


def _zig_zag(side: Side, angle_deg: float, first: float, second: float | None) -> ZigZagTrial:
    return ZigZagTrial(
        side=side,
        rudder_deg=angle_deg,
        heading_change_deg=angle_deg,
        speed_kn=SPEED_KN,
        first_overshoot_deg=first,
        second_overshoot_deg=second,
    )


def test_a_fit_to_the_model_test_of_the_tanker() -> None:
    """F7: circles to both sides and zig-zags as they were measured, at full size.

    Her sides differ by 8 % in tactical diameter, so one response is half of that off either:
    advance within 3 %, tactical diameter 4.5 %, first overshoots 2.5 degrees. The force model is 6
    degrees off the second overshoot to starboard; the response is 7.9.
    """
    trials = trial_set(
        _circle(LENGTH_M, SPEED_KN, 35.0, (3.25, None, 3.34)),
        _circle(LENGTH_M, SPEED_KN, 35.0, (3.11, None, 3.08), "port"),
        zig_zags=(
            _zig_zag("starboard", 10.0, 8.2, 21.9),
            _zig_zag("port", 10.0, 9.5, 15.0),
            _zig_zag("starboard", 20.0, 13.7, None),
            _zig_zag("port", 20.0, 15.1, None),
        ),
    )
    ship = TrialShip(name="KVLCC2", loa_m=LENGTH_M, rudder_rate_deg_per_s=2.34)
    goals = {
        "advance": 3.0,
        "tactical_diameter": 4.5,
        "first_overshoot": 2.5,
        "second_overshoot": 8.0,
    }
    for number, off in misses(ship, trials, fitted(ship, trials)):
        assert abs(off) < goals[number.quantity], (number.trial, number.side, off)


def test_less_helm_of_a_ship_that_set_no_prior() -> None:
    """F8 [C]: SR108 at 16.3 kn. From the circle at 35 degrees those at 20 and 10 within 7 %."""
    ship = TrialShip(name="SR108", loa_m=175.0)
    rows = (
        (35.0, (3.39, 1.82, 4.10)),
        (20.0, (4.12, 2.50, 5.65)),
        (10.0, (5.65, 3.73, 8.20)),
    )
    every = trial_set(*(_circle(175.0, 16.3, rudder_deg, row) for rudder_deg, row in rows))
    uncertain = fitted(ship, replace(every, circles=every.circles[:1]))
    for number, off in misses(ship, every, uncertain):
        assert abs(off) < 7.0, (number.quantity, number.rudder_deg, off)


def test_less_helm_of_a_full_tanker() -> None:
    """F9 [C]: the tanker of 190 000 dwt at 16 kn, a ship that did set the priors.

    Advance within 4 %, but transfer and tactical diameter at 10 degrees are 15 to 17 % too large:
    she is unstable on her course, which hard over does not show. An initial turning or a circle at
    20 degrees brings them within 12.
    """
    ship = TrialShip(name="190 000 dwt", loa_m=304.8)
    rows = ((35.0, (3.24, 1.36, 3.13)), (20.0, (4.14, 1.91, 4.10)), (10.0, (5.74, 2.86, 5.78)))
    every = trial_set(*(_circle(304.8, 16.0, rudder_deg, row) for rudder_deg, row in rows))

    def worst(circle_count: int) -> dict[str, float]:
        trials = replace(every, circles=every.circles[:circle_count])
        found: dict[str, float] = {}
        for number, off in misses(ship, every, fitted(ship, trials)):
            found[number.quantity] = max(abs(off), found.get(number.quantity, 0.0))
        return found

    alone, two = worst(1), worst(2)
    assert alone["advance"] < 4.0
    assert 12.0 < alone["tactical_diameter"] < 18.0
    assert max(two.values()) < 12.0


def test_gain_and_lag_of_mariner() -> None:
    """F10 [C]: by Nomoto's integral method her zig-zags give K' 1.31, T' 1.53 (10/10) and 0.77,
    1.11 (20/20). A response fitted to their overshoots alone makes zig-zags that give the same
    within 12 %. Her linear K of 0.185 and T of 107.3 s (3.86, 5.15) no zig-zag shows: those of
    the fit lie between.
    """
    length_m, speed_kn = 160.93, 15.0
    ship = TrialShip(name="Mariner", loa_m=length_m)
    zig_zags = (
        replace(_zig_zag("starboard", 10.0, 6.0, 5.3), speed_kn=speed_kn),
        replace(_zig_zag("starboard", 20.0, 10.5, None), speed_kn=speed_kn),
    )
    response = response_of(fitted(ship, trial_set(zig_zags=zig_zags)))
    for angle_deg, wanted in ((10.0, (1.31, 1.53)), (20.0, (0.77, 1.11))):
        found = _gain_and_lag(response, angle_deg, length_m, speed_kn)
        assert found == pytest.approx(wanted, rel=0.12)
    length_s = length_m / m_per_s_from_kn(speed_kn)
    assert 1.31 < response.k_per_s * length_s < 3.86
    assert 1.53 < response.t_s / length_s < 5.15


def _gain_and_lag(
    response: Response, angle_deg: float, length_m: float, speed_kn: float
) -> tuple[float, float]:
    """Return K' and T' of a zig-zag of 300 s: psi = K Int(rudder) + c t - T r, least squares."""
    orders = (
        HelmOrder(rudder_deg=angle_deg, at_s=0.0),
        *(
            HelmOrder(rudder_deg=-side * angle_deg, at_heading_change_deg=side * angle_deg)
            for side in (1.0, -1.0, 1.0, -1.0, 1.0, -1.0)
        ),
    )
    time_s = np.arange(0.0, 300.0, 0.5)
    motion = run_orders(
        ship_model(response, length_m, speed_kn, angle_deg),
        orders,
        time_s.tolist(),
        heading_deg=0.0,
        rudder_rate_deg_per_s=2.33,
    )
    rudder = np.radians(motion.rudder_deg)
    helm = np.concatenate([[0.0], np.cumsum(0.25 * (rudder[1:] + rudder[:-1]))])
    rows = np.column_stack([helm, time_s, -np.radians(motion.rate_deg_per_min / 60.0)])
    turned = np.unwrap(np.radians(motion.heading_deg))
    gain_per_s, _, lag_s = np.linalg.lstsq(rows, turned, rcond=None)[0]
    length_s = length_m / m_per_s_from_kn(speed_kn)
    return float(gain_per_s * length_s), float(lag_s / length_s)


def test_limits_of_the_standard() -> None:
    """F11: MSC.137(76), 5.3: limits of overshoot over L/V, and lengths between perpendiculars."""
    limits = (
        # L/V in seconds, first and second overshoot of 10/10
        (5.0, 10.0, 25.0),
        (10.0, 10.0, 25.0),
        (20.0, 15.0, 32.5),
        (30.0, 20.0, 40.0),
        (50.0, 20.0, 40.0),
    )
    for ratio_s, first_deg, second_deg in limits:
        assert first_overshoot_limit_deg(ratio_s * 8.0, 8.0) == pytest.approx(first_deg)
        assert second_overshoot_limit_deg(ratio_s * 8.0, 8.0) == pytest.approx(second_deg)
    # 160 m between perpendiculars at 8 m/s: L/V is 20 s.
    ship = TrialShip(name="her", loa_m=170.0, lpp_m=160.0)
    speed_kn = float(kn_from_m_per_s(8.0))
    trials = replace(
        trial_set(
            _circle(160.0, speed_kn, 35.0, (4.51, 2.0, 4.99)),
            _circle(160.0, speed_kn, 20.0, (9.0, 5.0, 12.0)),
        ),
        zig_zags=(
            replace(_zig_zag("starboard", 10.0, 15.1, 32.4), speed_kn=speed_kn),
            replace(_zig_zag("starboard", 20.0, 24.9, 60.0), speed_kn=speed_kn),
        ),
        initial_turnings=(
            InitialTurning(
                side="port",
                rudder_deg=10.0,
                heading_change_deg=10.0,
                speed_kn=speed_kn,
                distance_m=2.51 * 160.0,
            ),
        ),
        stoppings=(Stopping(order="full astern", speed_kn=15.5, track_reach_m=14.9 * 160.0),),
    )
    found = {check.criterion: check for check in standard_checks(ship, trials, None)}
    assert {name: (check.limit, check.met) for name, check in found.items()} == {
        "5.3.1 advance": (4.5, False),
        "5.3.1 tactical diameter": (5.0, True),
        "5.3.2 initial turning": (2.5, False),
        "5.3.3 first overshoot 10/10": (15.0, False),
        "5.3.3 second overshoot 10/10": (32.5, True),
        "5.3.3 first overshoot 20/20": (25.0, True),
        "5.3.4 stopping": (15.0, True),
    }
    assert found["5.3.1 advance"].measured == pytest.approx(4.51)
