"""Units and the factors between them. Factors live here and nowhere else.

Inside the service lengths are metres, times seconds and angles degrees. Knots, nautical miles
and degrees per minute appear where sailors give or read them.
"""

from bisect import bisect_right
from typing import TypeVar

from wheelover.core.arrays import Floats

Number = TypeVar("Number", float, Floats)

NM_M = 1852.0
"""One nautical mile in metres, exactly [SI]_."""

HOUR_S = 3600.0
MINUTE_S = 60.0

GRAVITY_M_PER_S2 = 9.81
"""Acceleration of gravity, as the formulas of ships' squat and heel take it."""

EXACT_ROT_FACTOR = 57.29577951308232 / MINUTE_S
"""Rate of turn in deg/min of one knot on a radius of one nautical mile: (180 / pi) / 60 [T1]_."""


def nm_from_m(length_m: Number) -> Number:
    """Return a length in nautical miles.

    Examples
    --------
    >>> nm_from_m(1852.0)
    1.0
    """
    return length_m / NM_M


def m_from_nm(length_nm: Number) -> Number:
    """Return a length in metres.

    Examples
    --------
    >>> m_from_nm(0.5)
    926.0
    """
    return length_nm * NM_M


def m_per_s_from_kn(speed_kn: Number) -> Number:
    """Return a speed in metres per second; one knot is one nautical mile an hour [SI]_.

    Examples
    --------
    >>> round(m_per_s_from_kn(1.0), 9)
    0.514444444
    """
    return speed_kn * NM_M / HOUR_S


def kn_from_m_per_s(speed_m_per_s: Number) -> Number:
    """Return a speed in knots.

    Examples
    --------
    >>> kn_from_m_per_s(1852.0 / 3600.0)
    1.0
    """
    return speed_m_per_s * (3600.0 / NM_M)


def rate_of_turn_deg_per_min(speed_kn: float, radius_nm: float) -> float:
    """Return the rate of turn that holds a radius at a speed, in degrees per minute.

    Parameters
    ----------
    speed_kn : float
        Speed along the arc, knots, not negative.
    radius_nm : float
        Radius of the arc, nautical miles, above zero.

    Notes
    -----
    The exact factor, not the bridge rule V / R, which is 4.7 per cent high [T1]_.

    Examples
    --------
    Twelve knots on half a mile [T1]_:

    >>> round(rate_of_turn_deg_per_min(12.0, 0.5), 4)
    22.9183
    """
    return EXACT_ROT_FACTOR * speed_kn / radius_nm


def trade_rate_of_turn_deg_per_min(speed_kn: float, radius_nm: float) -> float:
    """Return the bridge rule for the rate of turn, V / R, in degrees per minute.

    Common practice of the trade. It stands beside the exact rate so that the difference is seen.

    Examples
    --------
    >>> trade_rate_of_turn_deg_per_min(12.0, 0.5)
    24.0
    """
    return speed_kn / radius_nm


_BEAUFORT_KN = (0.5, 3.5, 6.5, 10.5, 16.5, 21.5, 27.5, 33.5, 40.5, 47.5, 55.5, 63.5)
"""Where each force from 1 on begins: the scale names whole knots, between which these lie."""


def beaufort_from_kn(speed_kn: float) -> float:
    """Return the force on the Beaufort scale of a mean wind speed [Beaufort]_.

    Examples
    --------
    >>> [beaufort_from_kn(speed_kn) for speed_kn in (0.0, 16.0, 17.0, 21.0, 22.0, 90.0)]
    [0.0, 4.0, 5.0, 5.0, 6.0, 12.0]
    """
    return float(bisect_right(_BEAUFORT_KN, speed_kn))
