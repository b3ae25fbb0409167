"""Rounding of what leaves the service.

Finer than the accuracy of the results, coarser than what differs between processors, so that the
same inputs give the same bytes. No undefined number may leave: it would read as nothing wrong.
"""

from math import isfinite
from typing import overload

import numpy as np

from wheelover.core.arrays import Floats, require_finite
from wheelover.core.types.route import Position

DEGREES = 10
METRES = 4
MILES = 8
SECONDS = 4
OTHER = 8

_MOST_SCALED, _DOUBT = 2.0**42, 1e-3
"""Up to the first a product is off by half of the second at most."""


@overload
def rounded(value: float, digits: int) -> float: ...
@overload
def rounded(value: None, digits: int) -> None: ...
@overload
def rounded(value: float | None, digits: int) -> float | None: ...


def rounded(value: float | None, digits: int) -> float | None:
    """Return a number rounded to so many decimals, or None as it is.

    Raises
    ------
    OutOfDomain
        For a number that is not finite.

    Examples
    --------
    >>> rounded(-0.00001, 4)
    0.0
    """
    if value is None:
        return None
    shown = float(value)
    if not isfinite(shown):
        require_finite("a number of the answer", value)
    return round(shown, digits) + 0.0


def rounded_array(values: Floats, digits: int) -> Floats:
    """Return many numbers rounded to so many decimals, to the last bit as ``rounded`` does.

    Where a number lies too near the middle between two decimals for a product to tell which is the
    nearer, or is too large for that, Python's own rounding is asked.

    Parameters
    ----------
    values : ndarray, any shape
        The numbers.
    digits : int
        How many decimals.

    Examples
    --------
    >>> rounded_array(np.array([2.675, -0.00001]), 2)
    array([2.67, 0.  ])
    """
    scale = 10.0**digits
    scaled = values * scale
    whole = np.rint(scaled)
    shown = np.asarray(whole / scale + 0.0)
    with np.errstate(invalid="ignore"):
        off = np.abs(scaled - whole)
    sure = (np.abs(scaled) <= _MOST_SCALED) & (off < 0.5 - _DOUBT)
    if not bool(sure.all()):
        doubtful = ~sure
        shown[doubtful] = [round(one, digits) + 0.0 for one in values[doubtful].tolist()]
    return shown


def course(value: float | None) -> float | None:
    """Return a course rounded and still below 360.

    Examples
    --------
    >>> course(359.99999999999)
    0.0
    """
    shown = rounded(value, DEGREES)
    return 0.0 if shown is not None and shown >= 360.0 else shown


def position(place: Position | None) -> dict[str, float] | None:
    """Return a position as the API writes it."""
    if place is None:
        return None
    return {
        "lat_deg": rounded(place.lat_deg, DEGREES),
        "lon_deg": rounded(place.lon_deg, DEGREES),
    }
