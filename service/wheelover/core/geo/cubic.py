"""Short stretches of lines on the ellipsoid as cubic curves in space.

A cubic through both ends with the right direction there follows a leg of some miles to a small
part of a millimetre. It serves to find nearest points; lengths are then taken on the ellipsoid.
"""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.geo.angles import sin_cos_deg
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.nearest import nearest_share, share_along_chord


@dataclass(frozen=True, slots=True, kw_only=True)
class Cubics:
    """Cubic curves, n of them: places at both ends and runs there, of shape (n, 3), metres.

    A run is the derivative of the place by the share of the way, from 0 to 1.
    """

    start_m: Floats
    end_m: Floats
    start_run_m: Floats
    end_run_m: Floats

    def rows(self, which: Ints) -> "Cubics":
        """Return the curves of the given numbers, one or several times each."""
        return Cubics(
            start_m=self.start_m[which],
            end_m=self.end_m[which],
            start_run_m=self.start_run_m[which],
            end_run_m=self.end_run_m[which],
        )


def direction(lat_deg: Floats, lon_deg: Floats, course_deg: Floats) -> Floats:
    """Return courses at positions as unit vectors in space, shape (n, 3)."""
    sin_lat, cos_lat = sin_cos_deg(lat_deg)
    sin_lon, cos_lon = sin_cos_deg(lon_deg)
    sine, cosine = sin_cos_deg(course_deg)
    return np.stack(
        [
            -sine * sin_lon - cosine * sin_lat * cos_lon,
            sine * cos_lon - cosine * sin_lat * sin_lon,
            cosine * cos_lat,
        ],
        axis=-1,
    )


def cubics_between(points: tuple[Floats, Floats, Floats], first: Ints, length_m: Floats) -> Cubics:
    """Return the curves from some points of lines to the point that follows each.

    Parameters
    ----------
    points : tuple of three ndarrays, shape (p,)
        Latitudes, longitudes and courses of points along one or several lines, degrees.
    first : ndarray, shape (n,)
        The number of the point at which each curve begins.
    length_m : ndarray, shape (n,)
        Length along the line to the next point.

    Notes
    -----
    Where the line curves by one part in p metres, the error is about length^4 / (384 p^3)
    [Hermite]_.
    """
    lat_deg, lon_deg, course_deg = points
    places_m = earth_centred_m(lat_deg, lon_deg)
    ahead = direction(lat_deg, lon_deg, course_deg)
    return Cubics(
        start_m=places_m[first],
        end_m=places_m[first + 1],
        start_run_m=ahead[first] * length_m[:, None],
        end_run_m=ahead[first + 1] * length_m[:, None],
    )


def places_on(curves: Cubics, share_ratio: Floats) -> tuple[Floats, Floats, Floats]:
    """Return places on curves, with the first and second derivative by the share.

    Parameters
    ----------
    curves : Cubics
        Curves, n of them.
    share_ratio : ndarray, shape (n,)
        Share of the way along each.

    Returns
    -------
    place_m, run_m, bend_m : ndarray, shape (n, 3)
        The cubic with the given ends and derivatives at the ends [Hermite]_.
    """
    u = share_ratio[:, None]
    leap = curves.end_m - curves.start_m
    square = 3.0 * leap - 2.0 * curves.start_run_m - curves.end_run_m
    cube = curves.start_run_m + curves.end_run_m - 2.0 * leap
    place = curves.start_m + u * (curves.start_run_m + u * (square + u * cube))
    run = curves.start_run_m + u * (2.0 * square + u * 3.0 * cube)
    return place, run, 2.0 * square + 6.0 * u * cube


def feet_on(curves: Cubics, place_m: Floats) -> Floats:
    """Return the share of the way at which each curve is nearest to a place, in [0, 1].

    Parameters
    ----------
    curves : Cubics
        Curves, n of them, each so short that it has one nearest place only.
    place_m : ndarray, shape (n, 3)
        A place for each, earth-centred.
    """
    first = share_along_chord(place_m, curves.start_m, curves.end_m)
    return nearest_share(lambda ratio: places_on(curves, ratio), place_m, first)
