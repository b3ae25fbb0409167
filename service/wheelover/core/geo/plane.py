"""A plane about a place: azimuthal equidistant, distance and direction from the place are true.

Between two other places of the plane distance across the line of sight is too long by the share
rho^2 / (6 R^2) at a distance rho from the middle [Snyder1987]_: 0.1 mm in a kilometre at 2 NM.
"""

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, side_by_side
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import sin_cos_deg


def to_plane_m(
    middle_deg: tuple[ArrayLike, ArrayLike], lat_deg: ArrayLike, lon_deg: ArrayLike
) -> Floats:
    """Return places in the plane about a place.

    Parameters
    ----------
    middle_deg : tuple of float, or of ndarrays of shape (n,)
        Latitude and longitude of the middle, or of one for each place.
    lat_deg, lon_deg : array_like, shape (n,)
        Positions.

    Returns
    -------
    ndarray, shape (n, 2)
        Metres east and north of the middle.

    Notes
    -----
    Distances between places within 2 NM of the middle are those of the ellipsoid to a millimetre
    (tests/core/test_sweep.py).
    """
    azimuth_deg, _, distance_m = geodesic.inverse(*middle_deg, lat_deg, lon_deg)
    sine, cosine = sin_cos_deg(azimuth_deg)
    return side_by_side(distance_m * sine, distance_m * cosine)


def from_plane_deg(
    middle_deg: tuple[ArrayLike, ArrayLike], place_m: Floats
) -> tuple[Floats, Floats]:
    """Return the positions of places in the plane about a place.

    Parameters
    ----------
    middle_deg : tuple of float, or of ndarrays of shape (n,)
        Latitude and longitude of the middle, or of one for each place.
    place_m : ndarray, shape (n, 2)
        Metres east and north of the middle.

    Returns
    -------
    lat_deg, lon_deg : ndarray, shape (n,)
        Positions.
    """
    azimuth_deg = np.degrees(np.arctan2(place_m[:, 0], place_m[:, 1]))
    distance_m = np.hypot(place_m[:, 0], place_m[:, 1])
    lat_deg, lon_deg, _ = geodesic.direct(*middle_deg, azimuth_deg, distance_m)
    return lat_deg, lon_deg
