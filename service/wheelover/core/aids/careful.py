"""Rounding of ranges and bearings to what can be set, each in the careful direction."""

import math

from wheelover.core.units import nm_from_m

RANGE_STEPS_PER_NM = 100.0
"""A range ring or an index line is set to a hundredth of a mile."""

BEARING_STEPS_PER_DEG = 2.0
"""A bearing is read to half a degree: common practice of the trade."""

_LEAST_RANGE = 0.01
"""What is less than this part of a step over, 0.2 m, makes no further step of a range."""

_LEAST = 1e-6


def up_nm(range_m: float) -> float:
    """Return a range in miles, up to the next hundredth.

    Examples
    --------
    >>> up_nm(1852.0), up_nm(1853.0)
    (1.0, 1.01)
    """
    return math.ceil(nm_from_m(range_m) * RANGE_STEPS_PER_NM - _LEAST_RANGE) / RANGE_STEPS_PER_NM


def down_nm(range_m: float) -> float:
    """Return a range in miles, down to the next hundredth."""
    return math.floor(nm_from_m(range_m) * RANGE_STEPS_PER_NM + _LEAST_RANGE) / RANGE_STEPS_PER_NM


def nearest_nm(range_m: float) -> float:
    """Return a range in miles, to the nearest hundredth."""
    return math.floor(nm_from_m(range_m) * RANGE_STEPS_PER_NM + 0.5) / RANGE_STEPS_PER_NM


def bearing_up_deg(bearing_deg: float) -> float:
    """Return a bearing up to the next half degree, in [0, 360).

    Examples
    --------
    >>> bearing_up_deg(359.8), bearing_up_deg(45.1)
    (0.0, 45.5)
    """
    steps = math.ceil(bearing_deg * BEARING_STEPS_PER_DEG - _LEAST)
    return (steps / BEARING_STEPS_PER_DEG) % 360.0


def bearing_down_deg(bearing_deg: float) -> float:
    """Return a bearing down to the next half degree, in [0, 360)."""
    steps = math.floor(bearing_deg * BEARING_STEPS_PER_DEG + _LEAST)
    return (steps / BEARING_STEPS_PER_DEG) % 360.0
