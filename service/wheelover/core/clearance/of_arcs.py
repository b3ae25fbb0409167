"""Nearest points of arcs to positions, each by exact geodesics."""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, require_finite
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.types.track import Arc


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcColumns:
    """Arcs in columns of shape (n,): their centres, ends, radii and angles."""

    centre_lat_deg: Floats
    centre_lon_deg: Floats
    start_lat_deg: Floats
    start_lon_deg: Floats
    end_lat_deg: Floats
    end_lon_deg: Floats
    radius_m: Floats
    from_bearing_deg: Floats
    sweep_deg: Floats

    @property
    def count(self) -> int:
        """Return how many arcs there are."""
        return len(self.radius_m)

    def rows(self, which: Ints) -> "ArcColumns":
        """Return the arcs of the given numbers, one or several times each."""
        return ArcColumns(**{one.name: getattr(self, one.name)[which] for one in fields(self)})


def arcs_in_columns(arcs: Sequence[Arc]) -> ArcColumns:
    """Return arcs in columns, for questions that are asked of many at once."""
    rows = [
        (a.centre.lat_deg, a.centre.lon_deg, a.start.lat_deg, a.start.lon_deg, a.end.lat_deg,
         a.end.lon_deg, a.radius_m, a.from_bearing_deg, a.sweep_deg)
        for a in arcs
    ]  # fmt: skip
    names = [one.name for one in fields(ArcColumns)]
    table = np.array(rows, dtype=np.float64).reshape(-1, len(names))
    return ArcColumns(**dict(zip(names, np.ascontiguousarray(table.T), strict=True)))


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcFeet:
    """Nearest points of arcs to n positions, in columns of shape (n,).

    ``along_m`` is the angle at the centre from the arc's start times the radius, and ``inner`` says
    that the position lies within the circle.
    """

    along_m: Floats
    distance_m: Floats
    inner: Bools


def places_on_arcs(arcs: ArcColumns, along_m: Floats) -> tuple[Floats, Floats]:
    """Return positions on arcs, one on each: the angle turned times the radius along, degrees."""
    turned_deg = np.degrees(along_m / arcs.radius_m)
    bearing_deg = arcs.from_bearing_deg + np.copysign(turned_deg, arcs.sweep_deg)
    lat, lon, _ = geodesic.direct(
        arcs.centre_lat_deg, arcs.centre_lon_deg, bearing_deg, arcs.radius_m
    )
    return lat, lon


def feet_on_arcs(arcs: ArcColumns, lat_deg: Floats, lon_deg: Floats) -> ArcFeet:
    """Return the nearest point of each arc to a position.

    Parameters
    ----------
    arcs : ArcColumns
        Arcs, n of them.
    lat_deg, lon_deg : ndarray, shape (n,)
        A position for each.

    Raises
    ------
    OutOfDomain
        When a distance comes out undefined.

    Notes
    -----
    The geodesic from the centre meets the arc square, so inside the arc's sector the distance is
    that from the centre less the radius; outside it the nearer end of the arc is nearest.
    """
    bearing, _, from_centre_m = geodesic.inverse(
        arcs.centre_lat_deg, arcs.centre_lon_deg, lat_deg, lon_deg
    )
    sign = np.copysign(1.0, arcs.sweep_deg)
    turned = sign * signed_change_deg(arcs.from_bearing_deg + arcs.sweep_deg / 2.0, bearing)
    half_sweep = np.abs(arcs.sweep_deg) / 2.0
    turned_deg = np.clip(turned, -half_sweep, half_sweep) + half_sweep
    distance_m = np.abs(from_centre_m - arcs.radius_m)
    outside = np.flatnonzero(np.abs(turned) > half_sweep)
    at_end = turned[outside] > 0.0
    distance_m[outside] = geodesic.inverse(
        np.where(at_end, arcs.end_lat_deg[outside], arcs.start_lat_deg[outside]),
        np.where(at_end, arcs.end_lon_deg[outside], arcs.start_lon_deg[outside]),
        lat_deg[outside],
        lon_deg[outside],
    )[2]
    require_finite("distance from an arc", distance_m)
    return ArcFeet(
        along_m=np.radians(turned_deg) * arcs.radius_m,
        distance_m=distance_m,
        inner=from_centre_m < arcs.radius_m,
    )
