"""The force model: surge, sway and yaw from the forces of hull, propeller and rudder.

The standard method of the Manoeuvring Modelling Group [YasukawaYoshimura]_, eqs. 4 to 26, about
midships, for one propeller at constant revolutions and one rudder, in deep calm water and with
headway. Against the model test of a tanker its authors find advance and tactical diameter within 6
per cent and overshoots of a zig-zag 0.6 to 6 degrees too small
(tests/published/test_published_manoeuvres.py).
"""

import math

import numpy as np

from wheelover.core.arrays import Table
from wheelover.core.errors import OutOfDomain
from wheelover.core.types.force_model import ForceModel, HullForces, Propeller, RudderForces

_ROW_COUNT, _COLUMN_COUNT = 6, 12


def balanced_revolutions_per_s(model: ForceModel) -> float:
    """Return the revolutions whose thrust balances the resistance straight ahead.

    Raises
    ------
    OutOfDomain
        When no revolutions do.

    Examples
    --------
    >>> from wheelover.core.manoeuvre.known_ships import KVLCC2_MODEL
    >>> round(balanced_revolutions_per_s(KVLCC2_MODEL), 1)
    10.4
    """
    propeller, size_m2 = model.propeller, model.length_m * model.draught_m
    needed_ratio = model.hull.resistance * size_m2 / (2.0 * (1.0 - propeller.thrust_deduction))
    inflow_m_per_s = model.speed_m_per_s * (1.0 - propeller.wake)
    # In tip speed over inflow, s: k0 s^2 + k1 s + k2 = needed / D^2 (U / inflow)^2.
    right = needed_ratio * (model.speed_m_per_s / (inflow_m_per_s * propeller.diameter_m)) ** 2
    root = propeller.k_1**2 - 4.0 * propeller.k_0 * (propeller.k_2 - right)
    if root < 0.0 or propeller.k_0 <= 0.0:
        raise OutOfDomain(f"no revolutions of the propeller hold {model.name} at her speed")
    tip_ratio = (math.sqrt(root) - propeller.k_1) / (2.0 * propeller.k_0)
    return tip_ratio * inflow_m_per_s / propeller.diameter_m


def ship_table(model: ForceModel) -> Table:
    """Return the numbers of a ship as the compiled loops take them, shape (6, 12)."""
    rows = (
        _mass_row(model),
        *_hull_rows(model.hull),
        _propeller_row(model.propeller, balanced_revolutions_per_s(model)),
        _rudder_row(model.rudder, model),
    )
    table = np.zeros((_ROW_COUNT, _COLUMN_COUNT))
    for number, row in enumerate(rows):
        table[number, : len(row)] = row
    return table


def _mass_row(model: ForceModel) -> tuple[float, ...]:
    """Return sizes, and masses over half the density of the water."""
    masses, length_m = model.masses, model.length_m
    mass = 2.0 * masses.displacement_m3
    moment = mass * masses.centre_ahead_m
    inertia = mass * ((masses.gyration_lengths * length_m) ** 2 + masses.centre_ahead_m**2)
    size = length_m**2 * model.draught_m
    by_angle = model.hull.form == "drift_angle"
    surge, sway = mass + masses.added_surge * size, mass + masses.added_sway * size
    return (
        length_m,
        model.draught_m,
        float(by_angle),
        surge,
        sway,
        inertia + masses.added_yaw * size * length_m**2,
        moment,
        mass if by_angle else sway,
        mass if by_angle else surge,
    )


def _hull_rows(hull: HullForces) -> tuple[tuple[float, ...], ...]:
    """Return the polynomials of surge, sway and yaw."""
    return (
        (hull.resistance, hull.x_vv, hull.x_vr, hull.x_rr, hull.x_vvvv),
        (hull.y_v, hull.y_r, hull.y_vvv, hull.y_vvr, hull.y_vrr, hull.y_rrr),
        (hull.n_v, hull.n_r, hull.n_vvv, hull.n_vvr, hull.n_vrr, hull.n_rrr),
    )


def _propeller_row(propeller: Propeller, revolutions_per_s: float) -> tuple[float, ...]:
    """Return revolutions, size, wake and thrust coefficients."""
    return (
        revolutions_per_s,
        propeller.diameter_m,
        propeller.thrust_deduction,
        propeller.place_lengths,
        propeller.wake,
        propeller.wake_decay,
        propeller.wake_bend,
        propeller.wake_bow_in,
        propeller.wake_bow_out,
        propeller.k_0,
        propeller.k_1,
        propeller.k_2,
    )


def _rudder_row(rudder: RudderForces, model: ForceModel) -> tuple[float, ...]:
    """Return the rudder's area, lift, places in metres and inflow."""
    return (
        rudder.area_m2,
        rudder.lift_slope,
        rudder.place_lengths * model.length_m,
        rudder.hull_force_place_lengths * model.length_m,
        rudder.steering_deduction,
        rudder.hull_force,
        rudder.wake_over_propeller,
        rudder.race,
        model.propeller.diameter_m / rudder.height_m,
        rudder.straightening_bow_in,
        rudder.straightening_bow_out,
        rudder.flow_place_lengths,
    )
