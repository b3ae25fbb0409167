"""Nearest points of an arc to positions, each by exact geodesics."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, require_finite
from wheelover.core.clearance.passing import Passing
from wheelover.core.clearance.sides import sides_of_arcs
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.turns.arc import points_on_arc
from wheelover.core.types.track import Arc


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcFeet:
    """Nearest points of an arc to n positions, in columns of shape (n,).

    ``turned_deg`` is the angle at the centre from the arc's start, and ``inner`` says that the
    position lies within the circle.
    """

    turned_deg: Floats
    lat_deg: Floats
    lon_deg: Floats
    distance_m: Floats
    inner: Bools


def feet_on_arc(arc: Arc, lat_deg: Floats, lon_deg: Floats) -> ArcFeet:
    """Return the nearest points of an arc to positions.

    The geodesic from the centre meets the arc square, so inside the arc's sector the distance is
    that from the centre less the radius; outside it the nearer end of the arc is nearest.
    """
    bearing, _, from_centre_m = geodesic.inverse(
        arc.centre.lat_deg, arc.centre.lon_deg, lat_deg, lon_deg
    )
    sign = np.copysign(1.0, arc.sweep_deg)
    turned = sign * signed_change_deg(arc.from_bearing_deg + arc.sweep_deg / 2.0, bearing)
    half_sweep = abs(arc.sweep_deg) / 2.0
    turned_deg = np.clip(turned, -half_sweep, half_sweep) + half_sweep
    nearest_lat, nearest_lon = points_on_arc(arc, turned_deg)
    _, _, end_m = geodesic.inverse(nearest_lat, nearest_lon, lat_deg, lon_deg)
    inside_sector = np.abs(turned) <= half_sweep
    distance_m = np.where(inside_sector, np.abs(from_centre_m - arc.radius_m), end_m)
    require_finite("distance from an arc", distance_m)
    return ArcFeet(
        turned_deg=turned_deg,
        lat_deg=nearest_lat,
        lon_deg=nearest_lon,
        distance_m=distance_m,
        inner=from_centre_m < arc.radius_m,
    )


def passing_of_arc_feet(
    piece_index: int, arc: Arc, feet: ArcFeet, rows: Ints, hazard: Ints, lat_deg: Floats,
    lon_deg: Floats,
) -> Passing:  # fmt: skip
    """Return the given rows of nearest points as rows of dangers, with the side of each."""
    starboard = np.full(rows.size, arc.sweep_deg > 0.0)
    distance_m = feet.distance_m[rows]
    return Passing(
        piece=np.full(rows.size, piece_index),
        hazard=hazard,
        distance_m=distance_m,
        along_m=np.radians(feet.turned_deg[rows]) * arc.radius_m,
        danger_lat_deg=lat_deg[rows],
        danger_lon_deg=lon_deg[rows],
        side=sides_of_arcs(starboard, feet.inner[rows], distance_m),
    )
