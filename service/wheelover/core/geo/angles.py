"""Courses, bearings and changes of course in degrees; starboard is positive."""

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats


def normal_course_deg(course_deg: ArrayLike) -> Floats:
    """Return courses in [0, 360), never 360.

    Parameters
    ----------
    course_deg : array_like
        Any angles in degrees, clockwise positive.

    Examples
    --------
    >>> normal_course_deg([-10.0, 360.0, 725.0])
    array([350.,   0.,   5.])
    """
    wrapped = np.mod(np.asarray(course_deg, dtype=np.float64), 360.0)
    # The remainder of a tiny negative angle rounds up to 360 itself.
    return np.where(wrapped >= 360.0, 0.0, wrapped)


def signed_change_deg(from_deg: ArrayLike, to_deg: ArrayLike) -> Floats:
    """Return the turn from one direction to another, in (-180, 180], starboard positive.

    Examples
    --------
    >>> signed_change_deg([350.0, 10.0, 0.0], [10.0, 350.0, 180.0])
    array([ 20., -20., 180.])
    """
    difference = np.asarray(to_deg, dtype=np.float64) - np.asarray(from_deg, dtype=np.float64)
    wrapped = np.mod(difference + 180.0, 360.0) - 180.0
    # Differences already inside keep every digit; adding and taking 180 would cost some.
    inside = np.abs(difference) < 180.0
    return np.where(inside, difference, np.where(wrapped == -180.0, 180.0, wrapped))


def normal_longitude_deg(lon_deg: ArrayLike) -> Floats:
    """Return longitudes in [-180, 180], leaving those already there as they are.

    Examples
    --------
    >>> normal_longitude_deg([180.0, -180.0, 181.0])
    array([ 180., -180., -179.])
    """
    lon = np.asarray(lon_deg, dtype=np.float64)
    return np.where(np.abs(lon) <= 180.0, lon, np.mod(lon + 180.0, 360.0) - 180.0)


def sin_cos_deg(angle_deg: ArrayLike) -> tuple[Floats, Floats]:
    """Return sine and cosine, exact at every multiple of 90 degrees.

    A course of 090 then has a cosine of zero and stays on its parallel.

    Examples
    --------
    >>> s, c = sin_cos_deg([0.0, 90.0, 180.0, 270.0])
    >>> c
    array([ 1.,  0., -1.,  0.])
    """
    angle = np.asarray(angle_deg, dtype=np.float64)
    quarter = np.rint(angle / 90.0)
    rest = np.radians(angle - 90.0 * quarter)
    sin, cos = np.sin(rest), np.cos(rest)
    turn = np.mod(quarter, 4.0)
    # Adding zero makes a negative zero plain.
    if turn.size == 1:
        # Most ask of one angle, for which numpy's own time counts.
        one = turn.item()
        sine, cosine = (cos, sin) if one in (1.0, 3.0) else (sin, cos)
        return (
            (-sine if one >= 2.0 else sine) + 0.0,
            (-cosine if one in (1.0, 2.0) else cosine) + 0.0,
        )
    first, third = turn == 1.0, turn == 3.0
    odd = first | third
    sine, cosine = np.where(odd, cos, sin), np.where(odd, sin, cos)
    np.negative(sine, out=sine, where=turn >= 2.0)
    np.negative(cosine, out=cosine, where=first | (turn == 2.0))
    return sine + 0.0, cosine + 0.0
