"""Survey quality: what a charted depth may be wrong by, from its category of zone of confidence."""

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, columns
from wheelover.core.types.survey import Catzoc

UNSTATED: tuple[Catzoc, ...] = ("D", "U")
"""Worse than C by an amount that nobody states, and not assessed."""

_FIXED_M: dict[Catzoc, float] = {"A1": 0.5, "A2": 1.0, "B": 1.0, "C": 2.0, "D": 2.0, "U": 2.0}
_OF_DEPTH_RATIO: dict[Catzoc, float] = {
    "A1": 0.01,
    "A2": 0.02,
    "B": 0.02,
    "C": 0.05,
    "D": 0.05,
    "U": 0.05,
}


def depth_allowance_m(catzoc: Catzoc, depth_m: ArrayLike) -> Floats:
    """Return what a charted depth may be too large by, in metres.

    Parameters
    ----------
    catzoc : {"A1", "A2", "B", "C", "D", "U"}
        Category of zone of confidence.
    depth_m : array_like, shape (n,)
        Charted depth; of a height that dries the size counts.

    Returns
    -------
    ndarray, shape (n,)
        The accuracy of depths of the zone. For ``UNSTATED`` categories that of C, which is the
        least that it may be: whoever uses it says so.

    Notes
    -----
    [S57A]_, attribute CATZOC: A1 0.5 m + 1 % of the depth, A2 and B 1 m + 2 %, C 2 m + 5 %, at
    95 % confidence.

    Examples
    --------
    >>> [float(depth_allowance_m(one, 18.8)[0].round(3)) for one in ("A1", "A2", "B", "C")]
    [0.688, 1.376, 1.376, 2.94]
    """
    (depth,) = columns(depth_m)
    return _FIXED_M[catzoc] + _OF_DEPTH_RATIO[catzoc] * np.abs(depth)
