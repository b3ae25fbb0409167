"""The hull in its own axes: forward of midships, and to starboard."""

import math

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats
from wheelover.core.errors import InvalidShip
from wheelover.core.geo.angles import signed_change_deg, sin_cos_deg
from wheelover.core.manoeuvre.helm_orders import heading_for_course_deg
from wheelover.core.types.manoeuvre import Current

_SHAPE = (
    (0.5, 0.0),
    (0.43, 0.28),
    (0.33, 0.44),
    (0.22, 0.5),
    (-0.42, 0.5),
    (-0.5, 0.38),
)
"""The starboard half of the outline to draw, in lengths forward and beams to starboard."""


def _require_size(loa_m: float, beam_m: float) -> None:
    """Refuse a hull that is not one."""
    for name, value in (("length", loa_m), ("beam", beam_m)):
        if not (math.isfinite(value) and value > 0.0):
            raise InvalidShip(f"the {name} of the hull is {value:g} m; it must be above 0")


def hull_box_m(loa_m: float, beam_m: float) -> Floats:
    """Return the rectangle around the hull, from which clearances are measured.

    No part of a hull lies outside it: what is clear of the box is clear of the ship. Off the bow
    and off the quarters the ship is farther away than said, by up to half her beam.

    Parameters
    ----------
    loa_m, beam_m : float
        Length overall and greatest breadth, both above zero.

    Returns
    -------
    ndarray, shape (4, 2)
        Metres forward of midships and to starboard: starboard bow, starboard quarter, port
        quarter, port bow.

    Raises
    ------
    InvalidShip
        When a dimension is not above zero.

    Examples
    --------
    >>> hull_box_m(200.0, 32.0).tolist()
    [[100.0, 16.0], [-100.0, 16.0], [-100.0, -16.0], [100.0, -16.0]]
    """
    _require_size(loa_m, beam_m)
    half_l, half_b = loa_m / 2.0, beam_m / 2.0
    return np.array([[half_l, half_b], [-half_l, half_b], [-half_l, -half_b], [half_l, -half_b]])


def hull_shape_m(loa_m: float, beam_m: float) -> Floats:
    """Return a plain outline with a pointed bow, for drawing only; it lies inside the box.

    Parameters
    ----------
    loa_m, beam_m : float
        Length overall and greatest breadth, both above zero.

    Returns
    -------
    ndarray, shape (11, 2)
        Metres forward of midships and to starboard, from the stem down the starboard side. It is
        convex, and a shape of ours: no ship's lines.

    Raises
    ------
    InvalidShip
        When a dimension is not above zero.
    """
    _require_size(loa_m, beam_m)
    half = np.array(_SHAPE)
    whole = np.concatenate([half, half[:0:-1] * [1.0, -1.0]])
    return whole * [loa_m, beam_m]


def half_width_m(loa_m: ArrayLike, beam_m: ArrayLike, crab_deg: ArrayLike) -> Floats:
    """Return half the width of the strip that the hull sweeps on a straight track.

    Parameters
    ----------
    loa_m, beam_m : array_like, shape (n,) or broadcastable
        Length overall and greatest breadth.
    crab_deg : array_like, shape (n,) or broadcastable
        Angle between heading and course over the ground, either way.

    Notes
    -----
    Half of B cos c + L sin c [UFC415006]_. Midships keeps to the track, so it is the same on both
    sides.

    Examples
    --------
    >>> half_width_m(200.0, 32.0, [0.0, 5.0, -5.0]).round(3).tolist()
    [16.0, 24.655, 24.655]
    """
    sine, cosine = sin_cos_deg(crab_deg)
    length_m, breadth_m = np.asarray(loa_m, np.float64), np.asarray(beam_m, np.float64)
    return np.asarray(breadth_m / 2.0 * np.abs(cosine) + length_m / 2.0 * np.abs(sine))


def crab_deg(course_deg: float, speed_m_per_s: float, current: Current) -> float:
    """Return the angle from course to heading that makes good a course, starboard positive.

    Raises
    ------
    OutOfDomain
        When the course cannot be made good.
    """
    heading_deg = heading_for_course_deg(course_deg, speed_m_per_s, current)
    return float(signed_change_deg(course_deg, heading_deg))


def clear_of_leg_m(
    distance_m: ArrayLike, half_width_m: ArrayLike, beyond_end_m: ArrayLike = 0.0
) -> Floats:
    """Return how far dangers are from the hull on a leg, from their distances to its line.

    Parameters
    ----------
    distance_m : array_like, shape (n,)
        Least distance from the centre line of the leg.
    half_width_m : array_like, shape (n,) or broadcastable
        Half the strip's width.
    beyond_end_m : array_like, shape (n,) or broadcastable
        What else to take off where an end of the leg is nearest: half the diagonal of the hull
        less the half width covers bow and stern there. Abeam of the leg zero.

    Returns
    -------
    ndarray, shape (n,)
        Never more than the true distance from the strip, never below zero. Abeam of the leg it is
        that distance; off an end it is too small, and a turn's own sweep begins there.
    """
    off_m = np.asarray(distance_m, np.float64) - np.asarray(half_width_m, np.float64)
    return np.asarray(np.maximum(off_m - np.asarray(beyond_end_m, np.float64), 0.0))
