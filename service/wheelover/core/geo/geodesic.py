"""Shortest lines on WGS84, by PROJ's geodesics [Karney2013]_.

Azimuths at the far end are those of going on, not of looking back.
"""

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, columns
from wheelover.core.geo.angles import normal_course_deg
from wheelover.core.geo.ellipsoid import GEOD


def inverse(
    lat1_deg: ArrayLike, lon1_deg: ArrayLike, lat2_deg: ArrayLike, lon2_deg: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """Return the azimuth at both ends and the length of the geodesic between positions.

    Parameters
    ----------
    lat1_deg, lon1_deg, lat2_deg, lon2_deg : array_like, shape (n,) or broadcastable
        Positions in degrees.

    Returns
    -------
    azimuth1_deg, azimuth2_deg, distance_m : ndarray, shape (n,)
        Directions of travel in [0, 360) at the first and second position, and the distance.

    Notes
    -----
    Error about 15 nm [Karney2013]_.

    Examples
    --------
    Flinders Peak to Buninyong [GDA]_, which is on GRS80, 0.1 mm from WGS84 here:

    >>> a, _, s = inverse(-37.951033417, 144.424867889, -37.652821139, 143.926495528)
    >>> round(float(s[0]), 3), round(float(a[0]), 4)
    (54972.271, 306.8682)
    """
    lat1, lon1, lat2, lon2 = columns(lat1_deg, lon1_deg, lat2_deg, lon2_deg)
    azimuth1, back2, distance = GEOD.inv(lon1, lat1, lon2, lat2)
    return normal_course_deg(azimuth1), normal_course_deg(back2 + 180.0), np.asarray(distance)


def direct(
    lat_deg: ArrayLike, lon_deg: ArrayLike, azimuth_deg: ArrayLike, distance_m: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """Return where a geodesic arrives, and its azimuth there.

    Parameters
    ----------
    lat_deg, lon_deg, azimuth_deg, distance_m : array_like, shape (n,) or broadcastable
        Start in degrees, direction of travel there, metres; a negative distance goes backwards.

    Returns
    -------
    lat_deg, lon_deg, azimuth_deg : ndarray, shape (n,)
        Position reached and direction of travel there, in [0, 360).
    """
    lat, lon, azimuth, distance = columns(lat_deg, lon_deg, azimuth_deg, distance_m)
    lon2, lat2, back = GEOD.fwd(lon, lat, azimuth, distance)
    return np.asarray(lat2), np.asarray(lon2), normal_course_deg(back + 180.0)
