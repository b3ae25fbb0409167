"""The forces of the force model and what they do, for compiled loops and for others.

What they take and give are tables of numbers; core/manoeuvre/mmg.py gives them their names. A state
is heading, surge, sway, rate of turn, and place ahead and to starboard; all in metres, seconds and
radians. Forces are over half the density of the water.
"""

import math

from wheelover.core.arrays import Table
from wheelover.core.compiled import inlined


@inlined
def hull_forces(
    ship: Table, speed_m_per_s: float, drift_rad: float, state: Table, out: Table
) -> None:
    """Put surge force, sway force and yaw moment of the hull into ``out``."""
    length_m, draught_m, by_angle = ship[0, :3]
    x_0, x_vv, x_vr, x_rr, x_vvvv = ship[1, :5]
    y_v, y_r, y_vvv, y_vvr, y_vrr, y_rrr = ship[2, :6]
    n_v, n_r, n_vvv, n_vvr, n_vrr, n_rrr = ship[3, :6]
    r = state[3] * length_m / speed_m_per_s
    v = state[2] / speed_m_per_s
    along = 1.0
    if by_angle != 0.0:
        along = (state[1] / speed_m_per_s) ** 2
        v = drift_rad
    size = length_m * draught_m * speed_m_per_s * speed_m_per_s
    out[0] = size * (
        -x_0 * along + x_vv * v * v + x_vr * v * r + x_rr * r * r + x_vvvv * v * v * v * v
    )
    out[1] = size * (
        v * (y_v + y_vvv * v * v + y_vvr * v * r + y_vrr * r * r) + r * (y_r + y_rrr * r * r)
    )
    out[2] = (
        size
        * length_m
        * (v * (n_v + n_vvv * v * v + n_vvr * v * r + n_vrr * r * r) + r * (n_r + n_rrr * r * r))
    )


@inlined
def stern_forces(
    ship: Table, turning: Table, drift_rad: float, speed_m_per_s: float, surge_m_per_s: float,
    rudder_rad: float, out: Table,
) -> None:  # fmt: skip
    """Add the forces of propeller and rudder to ``out``; ``turning`` is r L / U.

    The race at the rudder is written so that it holds down to no headway: the product of the
    inflow and the square root of 1 + 8 KT / (pi J^2) is one square root.
    """
    revs, diameter_m, thrust, place, wake, decay, bend, bow_in, bow_out, k_0, k_1, k_2 = ship[4]
    (area_m2, slope, rudder_x, hull_x, deduction, hull_part,
     wake_over, race, share, bow_in_flow, bow_out_flow, flow_place) = ship[5]  # fmt: skip
    at_propeller = drift_rad - place * turning
    side = bow_in if at_propeller > 0.0 else bow_out
    wake_left = (1.0 - wake * math.exp(-decay * at_propeller * at_propeller)) * (
        1.0 + (1.0 - math.exp(-bend * abs(at_propeller))) * (side - 1.0)
    )
    inflow = surge_m_per_s * wake_left
    tip = revs * diameter_m
    ratio = inflow / tip
    coefficient = k_0 + ratio * (k_1 + ratio * k_2)
    push = 2.0 * coefficient * tip * tip * diameter_m * diameter_m
    behind = math.sqrt(max(inflow * inflow + 8.0 / math.pi * coefficient * tip * tip, 0.0))
    raced = inflow + race * (behind - inflow)
    along = wake_over * math.sqrt(share * raced * raced + (1.0 - share) * inflow * inflow)
    at_rudder = drift_rad - flow_place * turning
    across = speed_m_per_s * at_rudder * (bow_in_flow if at_rudder > 0.0 else bow_out_flow)
    angle = rudder_rad - math.atan2(across, along)
    normal = area_m2 * (along * along + across * across) * slope * math.sin(angle)
    out[0] += (1.0 - thrust) * push - (1.0 - deduction) * normal * math.sin(rudder_rad)
    out[1] -= (1.0 + hull_part) * normal * math.cos(rudder_rad)
    out[2] -= (rudder_x + hull_part * hull_x) * normal * math.cos(rudder_rad)


@inlined
def slopes_of(ship: Table, state: Table, rudder_rad: float, force: Table, out: Table) -> None:
    """Put how fast everything changes into ``out``."""
    length_m = ship[0, 0]
    surge_mass, sway_mass, yaw_mass, moment, mass_vr, mass_ur = ship[0, 3:9]
    heading, u, v, r = state[:4]
    speed = math.sqrt(u * u + v * v)
    drift = math.atan2(-v, u)
    hull_forces(ship, speed, drift, state, force)
    stern_forces(ship, r * length_m / speed, drift, speed, u, rudder_rad, force)
    sway = force[1] - mass_ur * u * r
    yaw = force[2] - moment * u * r
    whole = sway_mass * yaw_mass - moment * moment
    sine, cosine = math.sin(heading), math.cos(heading)
    out[0] = r
    out[1] = (force[0] + mass_vr * v * r + moment * r * r) / surge_mass
    out[2] = (yaw_mass * sway - moment * yaw) / whole
    out[3] = (sway_mass * yaw - moment * sway) / whole
    out[4] = u * cosine - v * sine
    out[5] = u * sine + v * cosine
