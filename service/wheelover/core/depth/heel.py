"""Heel: how far she leans in a turn and to a steady wind, and how much deeper that makes her."""

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, columns
from wheelover.core.units import GRAVITY_M_PER_S2, m_per_s_from_kn

CODE_WIND_M_PER_S = 26.0
CODE_WIND_PRESSURE_PA = 504.0
"""The steady wind of the intact stability code and its pressure [ISCode]_."""


def heel_in_turn_deg(
    speed_kn: ArrayLike, radius_m: ArrayLike, bg_m: ArrayLike, gm_m: ArrayLike
) -> Floats:
    """Return the steady outward heel in a turn, in degrees.

    Parameters
    ----------
    speed_kn : array_like, shape (n,) or broadcastable
        Speed along the arc.
    radius_m : array_like, shape (n,) or broadcastable
        Radius of the turn, above zero.
    bg_m : array_like, shape (n,) or broadcastable
        Centre of gravity above centre of buoyancy.
    gm_m : array_like, shape (n,) or broadcastable
        Metacentric height, above zero.

    Notes
    -----
    tan(heel) = V^2 BG / (g R GM) [DerrettBarrass]_, for small angles. The inward heel when the
    rudder goes over, and what she rolls beyond the steady angle, are not in it.

    Examples
    --------
    >>> heel_in_turn_deg(15.0, [500.0, 100.0], [4.0, 1.0], [1.0, 2.0 / 3.0]).round(2)
    array([2.78, 5.2 ])
    """
    speed, radius, bg, gm = columns(speed_kn, radius_m, bg_m, gm_m)
    lever = m_per_s_from_kn(speed) ** 2 * bg / (GRAVITY_M_PER_S2 * radius)
    return np.asarray(np.degrees(np.arctan(lever / gm)))


def wind_lever_m(
    wind_m_per_s: ArrayLike, area_m2: ArrayLike, arm_m: ArrayLike, displacement_t: ArrayLike
) -> Floats:
    """Return the heeling lever of a steady wind from abeam, in metres.

    Parameters
    ----------
    wind_m_per_s : array_like, shape (n,) or broadcastable
        Mean speed of the wind.
    area_m2 : array_like, shape (n,) or broadcastable
        Lateral area above the water, deck cargo included.
    arm_m : array_like, shape (n,) or broadcastable
        From its centre down to half the draught.
    displacement_t : array_like, shape (n,) or broadcastable
        Displacement in tonnes, above zero.

    Notes
    -----
    P A Z / (1000 g D), where P is 504 Pa in a wind of 26 m/s [ISCode]_ and goes with the square of
    the speed. Gusts, which the code takes as half as much again, are not in it.

    Examples
    --------
    >>> wind_lever_m(26.0, 3000.0, 12.0, 60_000.0).round(4)
    array([0.0308])
    """
    wind, area, arm, displacement = columns(wind_m_per_s, area_m2, arm_m, displacement_t)
    pressure_pa = CODE_WIND_PRESSURE_PA * (wind / CODE_WIND_M_PER_S) ** 2
    return np.asarray(pressure_pa * area * arm / (1000.0 * GRAVITY_M_PER_S2 * displacement))


def wind_heel_deg(lever_m: ArrayLike, gm_m: ArrayLike) -> Floats:
    """Return the steady heel to a heeling lever, in degrees.

    Parameters
    ----------
    lever_m, gm_m : array_like, shape (n,) or broadcastable
        Lever, and metacentric height, above zero.

    Notes
    -----
    tan(heel) = lever / GM, for small angles [DerrettBarrass]_.

    Examples
    --------
    >>> wind_heel_deg(0.0308, 1.5).round(2)
    array([1.18])
    """
    lever, gm = columns(lever_m, gm_m)
    return np.asarray(np.degrees(np.arctan(lever / gm)))


def deeper_by_heel_m(beam_m: ArrayLike, heel_deg: ArrayLike) -> Floats:
    """Return how much deeper her low side lies when she is heeled, in metres.

    Parameters
    ----------
    beam_m : array_like, shape (n,) or broadcastable
        Her beam.
    heel_deg : array_like, shape (n,) or broadcastable
        Heel to either side.

    Notes
    -----
    (B / 2) sin(heel) [HeelDraught]_. The rise of the keel and a rounded bilge are not credited.

    Examples
    --------
    A beam of 78 ft heeled 8 degrees, in feet:

    >>> deeper_by_heel_m(78.0, 8.0).round(2)
    array([5.43])
    """
    beam, heel = columns(beam_m, heel_deg)
    return np.asarray(beam / 2.0 * np.sin(np.radians(np.abs(heel))))
