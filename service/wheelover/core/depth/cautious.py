"""Rounding to the centimetre in the cautious direction, so that printed sums add up."""

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats

_CENTIMETRES = 100.0
_SLACK = 1e-6
"""Of a centimetre: a number that somebody gave to the centimetre keeps it."""


def down_m(values: ArrayLike) -> Floats:
    """Return depths and clearances rounded down to the centimetre.

    Parameters
    ----------
    values : array_like
        Metres.

    Examples
    --------
    >>> down_m([4.35, 4.359, -0.001])
    array([ 4.35,  4.35, -0.01])
    """
    given = np.asarray(values, dtype=np.float64)
    return np.asarray(np.floor(given * _CENTIMETRES + _SLACK) / _CENTIMETRES)


def up_m(values: ArrayLike) -> Floats:
    """Return draughts, squat and allowances rounded up to the centimetre.

    Parameters
    ----------
    values : array_like
        Metres.

    Examples
    --------
    >>> up_m([4.35, 4.351, 0.688])
    array([4.35, 4.36, 0.69])
    """
    return -down_m(-np.asarray(values, dtype=np.float64))
