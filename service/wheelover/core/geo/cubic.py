"""Short stretches of lines on the ellipsoid as cubic curves in space.

A cubic through both ends with the right direction there follows a leg of some miles to a small
part of a millimetre. It serves to find nearest points; lengths are then taken on the ellipsoid.
"""

from dataclasses import dataclass, fields

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table, side_by_side
from wheelover.core.geo.angles import sin_cos_deg
from wheelover.core.geo.line_loops import cubics_loop


@dataclass(frozen=True, slots=True, kw_only=True)
class Cubics:
    """Cubic curves, n of them, as compiled loops take them, and what bounds them.

    ``terms`` of shape (n, 6, 3) holds start, run, square and cube terms by the share of the way,
    the way to the end and its square; ``levels`` of shape (n, 5) the direction of north half way
    and the curvatures along and across the meridian there. Ends and middles have shape (n, 3). No
    curve leaves its chord by more than ``bow_m``.
    """

    terms: Table
    levels: Table
    ends_m: Floats
    middles_m: Floats
    bow_m: Floats

    @property
    def starts_m(self) -> Floats:
        """Return where each begins, shape (n, 3)."""
        return self.terms[:, 0]

    def rows(self, which: Ints) -> "Cubics":
        """Return the curves of the given numbers, one or several times each."""
        return Cubics(**{one.name: getattr(self, one.name)[which] for one in fields(self)})


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
    count = first.size
    curves = Cubics(
        terms=np.empty((count, 6, 3)),
        levels=np.empty((count, 5)),
        ends_m=np.empty((count, 3)),
        middles_m=np.empty((count, 3)),
        bow_m=np.empty(count),
    )
    cubics_loop(
        side_by_side(*points), first, length_m, curves.terms, curves.levels, curves.ends_m,
        curves.middles_m, curves.bow_m,
    )  # fmt: skip
    return curves
