"""WGS84: its constants, its radii, and positions as earth-centred vectors."""

import numpy as np
from numpy.typing import ArrayLike
from pyproj import Geod

from wheelover.core.arrays import Floats, side_by_side

A_M = 6378137.0
"""Semi-major axis, metres [WGS84]_."""

FLATTENING = 1.0 / 298.257223563
"""Flattening [WGS84]_."""

E2 = FLATTENING * (2.0 - FLATTENING)
"""First eccentricity squared."""

GEOD = Geod(a=A_M, f=FLATTENING)
"""Geodesics on WGS84 by the method of Karney [Karney2013]_, as PROJ carries it."""


def meridian_radius_m(lat_deg: ArrayLike) -> Floats:
    """Return the radius of curvature along the meridian, metres [Rapp]_.

    Examples
    --------
    >>> round(float(meridian_radius_m(0.0)), 3)
    6335439.327
    """
    sin2 = np.sin(np.radians(np.asarray(lat_deg, dtype=np.float64))) ** 2
    return np.asarray(A_M * (1.0 - E2) / (1.0 - E2 * sin2) ** 1.5)


def normal_radius_m(lat_deg: ArrayLike) -> Floats:
    """Return the radius of curvature across the meridian, metres [Rapp]_.

    Examples
    --------
    A minute of longitude at 60 degrees is 930.000 m [Bowditch7]_:

    >>> import math
    >>> round(float(normal_radius_m(60.0)) * 0.5 * math.radians(1 / 60), 3)
    930.0
    """
    sin2 = np.sin(np.radians(np.asarray(lat_deg, dtype=np.float64))) ** 2
    return np.asarray(A_M / np.sqrt(1.0 - E2 * sin2))


def gaussian_curvature_per_m2(lat_deg: ArrayLike) -> Floats:
    """Return the Gaussian curvature, the inverse product of both radii, per square metre."""
    return np.asarray(1.0 / (meridian_radius_m(lat_deg) * normal_radius_m(lat_deg)))


def earth_centred_m(lat_deg: ArrayLike, lon_deg: ArrayLike) -> Floats:
    """Return positions on the ellipsoid as earth-centred vectors.

    Parameters
    ----------
    lat_deg, lon_deg : array_like, shape (n,)
        Positions in degrees.

    Returns
    -------
    ndarray, shape (n, 3)
        Metres: through 0 N 0 E, through 0 N 90 E, through the north pole.
    """
    lat = np.atleast_1d(np.asarray(lat_deg, dtype=np.float64))
    phi = np.radians(lat)
    lam = np.radians(np.atleast_1d(np.asarray(lon_deg, dtype=np.float64)))
    normal = normal_radius_m(lat)
    across = normal * np.cos(phi)
    return side_by_side(
        across * np.cos(lam), across * np.sin(lam), normal * (1.0 - E2) * np.sin(phi)
    )
