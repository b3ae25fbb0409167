"""Places along legs and arcs that are looked at one by one, and the courses there."""

import math
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.geo import geodesic
from wheelover.core.legs import points_along
from wheelover.core.types.track import Arc, LegLine

LEAST_STEP_M = 92.6
"""Places are looked at this far apart, half a cable, or farther on long legs."""

_MOST_PLACES = 120


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Places:
    """Places of one leg or one arc, in sailing order, columns of shape (n,).

    ``along_m`` counts on a leg from its first waypoint, on an arc from where it begins.
    """

    along_m: Floats
    lat_deg: Floats
    lon_deg: Floats
    course_deg: Floats


def on_leg(path: LegLine, from_m: float, to_m: float) -> Places:
    """Return the places of a leg that are looked at, its ends included.

    Parameters
    ----------
    path : LegLine
        The leg.
    from_m, to_m : float
        The stretch of the leg that is track.
    """
    along_m = _spread_m(from_m, to_m)
    lat, lon, course = points_along(path, along_m)
    return Places(along_m=along_m, lat_deg=lat, lon_deg=lon, course_deg=course)


def on_arc(arc: Arc) -> Places:
    """Return the places of an arc that are looked at, its ends included; courses are tangents.

    Parameters
    ----------
    arc : Arc
        The arc.
    """
    along_m = _spread_m(0.0, arc.arc_m)
    share = along_m / arc.arc_m if arc.arc_m > 0.0 else np.zeros_like(along_m)
    lat, lon, outward_deg = geodesic.direct(
        arc.centre.lat_deg, arc.centre.lon_deg, arc.from_bearing_deg + share * arc.sweep_deg,
        arc.radius_m,
    )  # fmt: skip
    course_deg = (outward_deg + math.copysign(90.0, arc.sweep_deg)) % 360.0
    return Places(along_m=along_m, lat_deg=lat, lon_deg=lon, course_deg=course_deg)


def _spread_m(from_m: float, to_m: float) -> Floats:
    """Return places between two ends."""
    count = math.ceil(max(to_m - from_m, 0.0) / LEAST_STEP_M)
    return np.linspace(from_m, to_m, min(max(count, 1), _MOST_PLACES) + 1)
