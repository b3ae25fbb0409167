"""Lines of constant true course on WGS84.

Course by isometric latitude, length by the meridian arc. Both enter as mean slopes between the
two latitudes, so that a leg east-west, or nearly so, needs no special case: the textbook quotient
of meridian arc by cosine of the course loses up to 167 m there.
"""

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Floats, columns
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import (
    normal_course_deg,
    normal_longitude_deg,
    signed_change_deg,
)
from wheelover.core.geo.ellipsoid import E2, GEOD
from wheelover.core.geo.line_loops import easting_loop, run_loop, slopes_loop

_E = float(np.sqrt(E2))
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
_SHARES = _WEIGHTS / 2.0
_CLOSE_DEG = 1.0
_QUARTER_M = float(geodesic.inverse(0.0, 0.0, 90.0, 0.0)[2][0])


def isometric_latitude_rad(lat_deg: ArrayLike) -> Floats:
    """Return the isometric latitude, in which a rhumb line is straight, in radians [OGP]_.

    Infinite at the poles, which are refused before this is called.

    Examples
    --------
    Meridional parts of 45 degrees on WGS84, minutes of equatorial longitude [BowditchMP]_:

    >>> round(float(isometric_latitude_rad(45.0)) * 60 * 180 / np.pi, 2)
    3013.65
    """
    phi = np.radians(np.asarray(lat_deg, dtype=np.float64))
    return np.asarray(np.arcsinh(np.tan(phi)) - _E * np.arctanh(_E * np.sin(phi)))


def meridian_arc_m(lat_deg: ArrayLike) -> Floats:
    """Return the distance along the meridian from the equator, metres, north positive.

    Examples
    --------
    The quarter meridian [Rapp]_:

    >>> round(float(meridian_arc_m(90.0)[0]), 3)
    10001965.729
    """
    lat = np.atleast_1d(np.asarray(lat_deg, dtype=np.float64))
    distance_m = geodesic.inverse(0.0, 0.0, np.abs(lat), 0.0)[2]
    return np.copysign(distance_m, lat)


def _latitude_north_deg(lat_deg: Floats, north_m: Floats) -> Floats:
    """Return the latitude a distance further north along the meridian, which is a geodesic.

    Beyond a pole it goes on along the opposite meridian, 180 degrees of longitude away.
    """
    zero = np.zeros_like(lat_deg)
    lon_deg, lat2_deg, _ = GEOD.fwd(zero, lat_deg, zero, north_m)
    beyond = (np.abs(lon_deg) > 90.0) | (np.abs(lat2_deg) >= 90.0)
    beyond |= np.abs(north_m) >= 2.0 * _QUARTER_M
    if beyond.any():
        raise OutOfDomain("a line of constant course was followed beyond the pole")
    return np.asarray(lat2_deg)


def _mean_slopes(lat1_deg: Floats, lat2_deg: Floats) -> tuple[Floats, Floats]:
    """Return the mean slope of meridian arc (m/rad) and of isometric latitude (rad/rad).

    Between latitudes that are close, plain differences cancel: the slopes are averaged by
    Gauss-Legendre quadrature instead, which is exact to rounding on so short a stretch.
    """
    room_deg = 90.0 - np.maximum(np.abs(lat1_deg), np.abs(lat2_deg))
    step_deg = lat2_deg - lat1_deg
    close = np.abs(step_deg) <= np.minimum(_CLOSE_DEG, room_deg / 2.0)
    mid = np.radians((lat1_deg + lat2_deg) / 2.0)
    half = np.radians(step_deg / 2.0)
    arc_slope, isometric_slope = np.empty(mid.shape), np.empty(mid.shape)
    slopes_loop(
        mid.ravel(), half.ravel(), _NODES, _SHARES, arc_slope.ravel(), isometric_slope.ravel()
    )
    if not close.all():
        far = ~close
        step_rad = np.radians(step_deg[far])
        one, two = lat1_deg[far], lat2_deg[far]
        arc_slope[far] = (meridian_arc_m(two) - meridian_arc_m(one)) / step_rad
        isometric_slope[far] = (
            isometric_latitude_rad(two) - isometric_latitude_rad(one)
        ) / step_rad
    return arc_slope, isometric_slope


def inverse(
    lat1_deg: ArrayLike, lon1_deg: ArrayLike, lat2_deg: ArrayLike, lon2_deg: ArrayLike
) -> tuple[Floats, Floats]:
    """Return course and length of the rhumb line, the shorter way in longitude.

    Parameters
    ----------
    lat1_deg, lon1_deg, lat2_deg, lon2_deg : array_like, shape (n,) or broadcastable
        Positions in degrees, none on a pole.

    Returns
    -------
    course_deg, distance_m : ndarray, shape (n,)
        True course in [0, 360) and length. On half the world's longitude the way is east.

    Raises
    ------
    OutOfDomain
        For a position on a pole.

    Notes
    -----
    Error below 1e-7 m up to latitude 89 and 5,000 NM (tests/core/test_reference.py).

    Examples
    --------
    32-14.7N 066-28.9W to 36-58.7N 075-42.2W [BowditchMercator]_, on WGS84 in metres:

    >>> course, distance = inverse(32.245, -66.4816667, 36.9783333, -75.7033333)
    >>> round(float(course[0]), 4), round(float(distance[0]) / 1852, 2)
    (301.8474, 537.32)
    """
    lat1, lon1, lat2, lon2 = columns(lat1_deg, lon1_deg, lat2_deg, lon2_deg)
    if bool((np.maximum(np.abs(lat1), np.abs(lat2)) >= 90.0).any()):
        raise OutOfDomain("a rhumb line cannot start or end on a pole")
    arc_slope, isometric_slope = _mean_slopes(lat1, lat2)
    east_rad = np.radians(signed_change_deg(lon1, lon2))
    north_rad = isometric_slope * np.radians(lat2 - lat1)
    course_deg = normal_course_deg(np.degrees(np.arctan2(east_rad, north_rad)))
    return course_deg, np.hypot(east_rad, north_rad) * arc_slope / isometric_slope


def direct(
    lat_deg: ArrayLike, lon_deg: ArrayLike, course_deg: ArrayLike, distance_m: ArrayLike
) -> tuple[Floats, Floats]:
    """Return where a rhumb line arrives.

    Parameters
    ----------
    lat_deg, lon_deg, course_deg, distance_m : array_like, shape (n,) or broadcastable
        Start in degrees, true course, metres; a negative distance goes backwards.

    Returns
    -------
    lat_deg, lon_deg : ndarray, shape (n,)
        Position reached.

    Raises
    ------
    OutOfDomain
        When the line would run beyond a pole.

    Examples
    --------
    Due east along the parallel of 60 degrees, a minute of longitude is 930.000 m [Bowditch7]_:

    >>> lat, lon = direct(60.0, 10.0, 90.0, 930.0)
    >>> round(float(lat[0]), 9), round((float(lon[0]) - 10.0) * 60, 5)
    (60.0, 1.0)
    """
    lat, lon, course, distance = columns(lat_deg, lon_deg, course_deg, distance_m)
    north_m, east_m = np.empty(lat.shape), np.empty(lat.shape)
    run_loop(course.ravel(), distance.ravel(), north_m.ravel(), east_m.ravel())
    lat2 = np.where(north_m == 0.0, lat, _latitude_north_deg(lat, north_m))
    lon2 = np.empty(lat.shape)
    if easting_loop(
        lat.ravel(), lat2.ravel(), lon.ravel(), east_m.ravel(), _CLOSE_DEG, _NODES, _SHARES,
        lon2.ravel(),
    ):  # fmt: skip
        far = np.isnan(lon2)
        lon2[far] = _easting_far_deg(lat[far], lat2[far], lon[far], east_m[far])
    return lat2, lon2


def _easting_far_deg(lat_deg: Floats, lat2_deg: Floats, lon_deg: Floats, east_m: Floats) -> Floats:
    """Return longitudes where rhumb lines arrive, whatever the latitudes are apart."""
    arc_slope, isometric_slope = _mean_slopes(lat_deg, lat2_deg)
    return normal_longitude_deg(lon_deg + np.degrees(east_m * isometric_slope / arc_slope))
