"""Turning circle and zig-zag: closed forms of the first-order model, and what cannot be made."""

import math
from functools import partial

import numpy as np
import pytest
from scipy.optimize import brentq

from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.estimate_forces import Dimensions, estimated_forces
from wheelover.core.manoeuvre.known_ships import KCS, KVLCC2
from wheelover.core.manoeuvre.model import ship_model
from wheelover.core.manoeuvre.run_forces import run_force_model
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.manoeuvre.standard import RunsOrders, turning_circle, zig_zag
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.ship import Response
from wheelover.core.units import m_per_s_from_kn

K_PER_S, T_S, LENGTH_M, SPEED_M_PER_S = 0.05, 30.0, 200.0, m_per_s_from_kn(15.0)


def _linear(heading_deg: float = 0.0) -> RunsOrders:
    model = ship_model(Response(k_per_s=K_PER_S, t_s=T_S, at_speed_kn=15.0), LENGTH_M, 15.0)
    return partial(run_orders, model, heading_deg=heading_deg)


def _force(model: ForceModel) -> RunsOrders:
    return partial(run_force_model, model, heading_deg=0.0, rudder_rate_deg_per_s=2.32)


@pytest.mark.parametrize("rudder_deg", [15.0, -15.0])
@pytest.mark.parametrize("heading_deg", [0.0, 200.0])
def test_circle_of_the_linear_model_by_its_closed_form(
    rudder_deg: float, heading_deg: float
) -> None:
    """Held: psi = K d (t - T (1 - exp(-t / T))); at the end a circle of diameter 2 U / (K d)."""
    circle = turning_circle(
        _linear(heading_deg),
        rudder_deg=rudder_deg,
        length_m=LENGTH_M,
        speed_m_per_s=SPEED_M_PER_S,
    )
    rate_deg_per_s = K_PER_S * 15.0

    def heading(at_s: float) -> float:
        return rate_deg_per_s * (at_s - T_S * (1.0 - math.exp(-at_s / T_S)))

    for point in circle.points:
        wanted_s = brentq(lambda at_s, p=point: heading(at_s) - p.heading_change_deg, 1.0, 2000.0)
        assert point.time_s == pytest.approx(wanted_s, abs=1e-4)
        assert point.speed_m_per_s == pytest.approx(SPEED_M_PER_S, rel=1e-9)
    times = np.linspace(0.0, circle.points[1].time_s, 200_001)
    psi = np.radians([heading(at_s) for at_s in times])
    quarter = times <= circle.points[0].time_s
    east = np.trapezoid(SPEED_M_PER_S * np.sin(psi), times)
    assert circle.tactical_diameter_m == pytest.approx(east, abs=0.05)
    advance = np.trapezoid(SPEED_M_PER_S * np.cos(psi[quarter]), times[quarter])
    assert circle.advance_m == pytest.approx(advance, abs=0.05)
    assert circle.final_diameter_m == pytest.approx(
        2.0 * SPEED_M_PER_S / math.radians(rate_deg_per_s), rel=1e-6
    )
    assert circle.rate_max_deg_per_min == pytest.approx(60.0 * rate_deg_per_s, rel=1e-6)


@pytest.mark.parametrize("rudder_deg", [10.0, -10.0])
def test_zig_zag_of_the_linear_model_by_its_closed_form(rudder_deg: float) -> None:
    """After an order at rate r1 she swings T r1 - K d tau on, with tau = T ln(1 + r1 / (K d))."""
    found = zig_zag(
        _linear(),
        rudder_deg=rudder_deg,
        heading_change_deg=10.0,
        length_m=LENGTH_M,
        speed_m_per_s=SPEED_M_PER_S,
    )
    held = K_PER_S * 10.0
    first_s = brentq(
        lambda at_s: held * (at_s - T_S * (1.0 - math.exp(-at_s / T_S))) - 10.0, 1.0, 1000.0
    )
    rate = held * (1.0 - math.exp(-first_s / T_S))
    tau = T_S * math.log(1.0 + rate / held)
    swing = found.swings[0]
    assert swing.order_at_s == pytest.approx(first_s, abs=1e-4)
    assert swing.peak_at_s == pytest.approx(first_s + tau, abs=1e-3)
    assert swing.overshoot_deg == pytest.approx(T_S * rate - held * tau, abs=1e-5)
    assert found.heading_change_deg == rudder_deg
    # From rest at the first peak she turns back through it and 10 degrees to the other side.
    back = 20.0 + swing.overshoot_deg
    second_s = brentq(
        lambda at_s: held * (at_s - T_S * (1.0 - math.exp(-at_s / T_S))) - back, 1.0, 1000.0
    )
    assert found.swings[1].order_at_s == pytest.approx(swing.peak_at_s + second_s, abs=1e-2)


def test_numbers_of_a_circle_hang_together() -> None:
    circle = turning_circle(
        _force(KVLCC2), rudder_deg=-35.0, length_m=320.0, speed_m_per_s=KVLCC2.speed_m_per_s
    )
    assert [point.heading_change_deg for point in circle.points] == [90.0, 180.0, 270.0, 360.0]
    assert [p.time_s for p in circle.points] == sorted(p.time_s for p in circle.points)
    assert circle.advance_m == circle.points[0].advance_m
    assert circle.transfer_m == circle.points[0].transfer_m
    assert circle.tactical_diameter_m == circle.points[1].transfer_m
    assert circle.final_diameter_m < circle.tactical_diameter_m
    assert circle.final_rate_deg_per_min < circle.rate_max_deg_per_min


def test_manoeuvres_that_are_not_made_are_refused() -> None:
    more = {"length_m": LENGTH_M, "speed_m_per_s": SPEED_M_PER_S}
    with pytest.raises(OutOfDomain, match="does not turn"):
        turning_circle(_linear(), rudder_deg=0.01, **more)
    with pytest.raises(OutOfDomain, match="overshoots"):
        zig_zag(_linear(), rudder_deg=0.001, heading_change_deg=10.0, **more)


@pytest.mark.parametrize(
    ("known", "block", "advances", "diameters"),
    [
        (KCS, 0.651, (0.0, -2.0, -3.0), (6.0, 1.0, 0.0)),
        (KVLCC2, 0.810, (3.0, 4.0, 10.0), (5.0, 7.0, 20.0)),
    ],
    ids=["kcs", "kvlcc2"],
)
def test_the_regression_against_ships_that_are_known(
    known: ForceModel, block: float, advances: tuple[float, ...], diameters: tuple[float, ...]
) -> None:
    """At 35, 20 and 10 degrees, per cent off the published set, as computed elsewhere and rounded
    to one per cent: the size of rudder and propeller, wake, resistance and centre are known.
    """
    guessed = estimated_forces(
        Dimensions(
            name="guess",
            length_m=known.length_m,
            beam_m=known.beam_m,
            draught_m=known.draught_m,
            block_coefficient=block,
            rudder_area_m2=known.rudder.area_m2,
            rudder_height_m=known.rudder.height_m,
            propeller_diameter_m=known.propeller.diameter_m,
            centre_ahead_m=known.masses.centre_ahead_m,
            wake=known.propeller.wake,
            resistance=known.hull.resistance,
        ),
        speed_m_per_s=known.speed_m_per_s,
    )
    for rudder_deg, advance, diameter in zip((35.0, 20.0, 10.0), advances, diameters, strict=True):
        one, other = (
            turning_circle(
                _force(ship),
                rudder_deg=rudder_deg,
                length_m=ship.length_m,
                speed_m_per_s=ship.speed_m_per_s,
            )
            for ship in (guessed, known)
        )
        off = one.advance_m / other.advance_m - 1.0
        assert off * 100.0 == pytest.approx(advance, abs=0.6)
        off = one.tactical_diameter_m / other.tactical_diameter_m - 1.0
        assert off * 100.0 == pytest.approx(diameter, abs=0.6)


def test_the_regression_is_kept_to_ships_like_those_it_was_made_from() -> None:
    barge = Dimensions(name="", length_m=84.0, beam_m=14.0, draught_m=5.5, block_coefficient=0.95)
    with pytest.raises(OutOfDomain, match=r"block coefficient 0\.95"):
        estimated_forces(barge, speed_m_per_s=5.0)
