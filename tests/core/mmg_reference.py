"""The force model written out a second time as in the paper, with density and J, for DOP853."""

import math
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from wheelover.core.manoeuvre.mmg import balanced_revolutions_per_s
from wheelover.core.types.force_model import ForceModel

RHO_KG_PER_M3 = 1025.0
TOLERANCE = 1e-11


def polynomials(model: ForceModel, v: float, r: float, along: float) -> tuple[float, float, float]:
    """Return X', Y' and N' of the hull."""
    h = model.hull
    surge = -h.resistance * along + h.x_vv * v**2 + h.x_vr * v * r + h.x_rr * r**2 + h.x_vvvv * v**4
    terms = (v, r, v**3, v**2 * r, v * r**2, r**3)
    sway = np.dot((h.y_v, h.y_r, h.y_vvv, h.y_vvr, h.y_vrr, h.y_rrr), terms)
    yaw = np.dot((h.n_v, h.n_r, h.n_vvv, h.n_vvr, h.n_vrr, h.n_rrr), terms)
    return surge, float(sway), float(yaw)


def wake_left(model: ForceModel, at_propeller: float) -> float:
    """Return 1 - wP at a drift angle at the propeller."""
    p = model.propeller
    if p.wake_bend:
        most = p.wake_bow_in if at_propeller > 0 else p.wake_bow_out
        return (1 - p.wake) * (1 + (1 - math.exp(-p.wake_bend * abs(at_propeller))) * (most - 1))
    return 1 - p.wake * math.exp(-p.wake_decay * at_propeller**2)


def stern(
    model: ForceModel, state: Any, revs: float, delta: float
) -> tuple[float, float, float, float]:
    """Return thrust on the hull, and XR, YR and NR."""
    u, v, r = state
    length, p, a = model.length_m, model.propeller, model.rudder
    speed, beta = math.hypot(u, v), math.atan2(-v, u)
    turning = r * length / speed
    left = wake_left(model, beta - p.place_lengths * turning)
    advance = u * left / (revs * p.diameter_m)
    thrust = p.k_0 + p.k_1 * advance + p.k_2 * advance**2
    push = (1 - p.thrust_deduction) * RHO_KG_PER_M3 * revs**2 * p.diameter_m**4 * thrust
    beta_r = beta - a.flow_place_lengths * turning
    gamma = a.straightening_bow_in if beta_r > 0 else a.straightening_bow_out
    eta = p.diameter_m / a.height_m
    raced = 1 + a.race * (math.sqrt(1 + 8 * thrust / (math.pi * advance**2)) - 1)
    u_r = a.wake_over_propeller * u * left * math.sqrt(eta * raced**2 + 1 - eta)
    v_r = speed * gamma * beta_r
    f_n = 0.5 * RHO_KG_PER_M3 * a.area_m2 * (u_r**2 + v_r**2) * a.lift_slope
    f_n *= math.sin(delta - math.atan2(v_r, u_r))
    lever = a.place_lengths + a.hull_force * a.hull_force_place_lengths
    return (
        push,
        -(1 - a.steering_deduction) * f_n * math.sin(delta),
        -(1 + a.hull_force) * f_n * math.cos(delta),
        -lever * length * f_n * math.cos(delta),
    )


def accelerations(model: ForceModel, state: Any, revs: float, delta: float) -> Any:
    """Return u_dot, v_dot and r_dot."""
    u, v, r = state
    length, m_ = model.length_m, model.masses
    speed, beta = math.hypot(u, v), math.atan2(-v, u)
    by_angle = model.hull.form == "drift_angle"
    surge, sway, yaw = polynomials(
        model,
        beta if by_angle else v / speed,
        r * length / speed,
        (u / speed) ** 2 if by_angle else 1.0,
    )
    size = 0.5 * RHO_KG_PER_M3 * length * model.draught_m
    mass = RHO_KG_PER_M3 * m_.displacement_m3
    m_x, m_y, j_z = (
        one * size * length for one in (m_.added_surge, m_.added_sway, m_.added_yaw * length**2)
    )
    push, x_r, y_r, n_r = stern(model, state, revs, delta)
    vr_mass, ur_mass = (mass, mass) if by_angle else (mass + m_y, mass + m_x)
    x_g = m_.centre_ahead_m
    inertia = mass * (m_.gyration_lengths * length) ** 2 + x_g**2 * mass + j_z
    matrix = np.array([[mass + m_x, 0, 0], [0, mass + m_y, x_g * mass], [0, x_g * mass, inertia]])
    right = np.array(
        [
            size * speed**2 * surge + push + x_r + vr_mass * v * r + x_g * mass * r**2,
            size * speed**2 * sway + y_r - ur_mass * u * r,
            size * length * speed**2 * yaw + n_r - x_g * mass * u * r,
        ]
    )
    return np.linalg.solve(matrix, right)


def reference(
    model: ForceModel, orders: list[tuple[str, float, float]], until_s: float, rate_deg_per_s: float
) -> Any:
    """Return heading, u, v, r, ahead and starboard after orders (kind, when, degrees), by DOP853.

    An order of kind "time" is given at a time, one of kind "heading" when a change is reached.
    """
    revs, rate = balanced_revolutions_per_s(model), math.radians(rate_deg_per_s)
    state = np.array([0.0, model.speed_m_per_s, 0.0, 0.0, 0.0, 0.0])
    now, angle, target, waiting = 0.0, 0.0, 0.0, list(orders)
    while now < until_s:
        while waiting and waiting[0][0] == "time" and waiting[0][1] <= now:
            target = math.radians(waiting.pop(0)[2])
        run = math.copysign(rate, target - angle) if target != angle else 0.0
        there = now + abs(target - angle) / rate if run else math.inf
        end = min(until_s, there)
        event = None
        if waiting and waiting[0][0] == "time":
            end = min(end, waiting[0][1])
        elif waiting:
            wanted = math.radians(waiting[0][1])

            def event(_: float, y: Any, wanted: float = wanted) -> float:
                return float(y[0] - wanted)

            event.terminal = True  # type: ignore[attr-defined]

        def slopes(t: float, y: Any, now=now, angle=angle, run=run) -> list[float]:
            psi, u, v, r = y[:4]
            u_dot, v_dot, r_dot = accelerations(model, (u, v, r), revs, angle + run * (t - now))
            return [r, u_dot, v_dot, r_dot, u * math.cos(psi) - v * math.sin(psi),
                    u * math.sin(psi) + v * math.cos(psi)]  # fmt: skip

        found = solve_ivp(
            slopes, (now, end), state, method="DOP853", rtol=TOLERANCE, atol=1e-11, events=event
        )
        state, then = found.y[:, -1], float(found.t[-1])
        angle = target if then == there else angle + run * (then - now)
        now = then
        if found.status == 1:
            target = math.radians(waiting.pop(0)[2])
    return state
