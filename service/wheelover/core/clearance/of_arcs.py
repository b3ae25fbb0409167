"""Nearest points of the arcs of the track to points of dangers."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, require_finite
from wheelover.core.clearance.index import PointIndex
from wheelover.core.clearance.passing import ON_TRACK_M, Passing
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.turns.arc import points_on_arc
from wheelover.core.types.plan import Whereabouts
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


def passing_arc(arc: Arc, index: PointIndex) -> Passing:
    """Return the nearest points of an arc to the points near it; ``hazard`` numbers points."""
    centre_m = earth_centred_m(arc.centre.lat_deg, arc.centre.lon_deg)[0]
    reach_m = arc.radius_m + float(np.max(index.search_m)) + 1.0
    point = np.sort(np.asarray(index.tree.query_ball_point(centre_m, reach_m), dtype=np.int64))
    lat, lon = index.points.lat_deg[point], index.points.lon_deg[point]
    feet = feet_on_arc(arc, lat, lon)
    near = np.flatnonzero(feet.distance_m <= index.search_m[point])
    return passing_of_arc_feet(arc, feet, near, point[near], lat, lon)


def passing_of_arc_feet(
    arc: Arc, feet: ArcFeet, rows: Ints, hazard: Ints, lat_deg: Floats, lon_deg: Floats
) -> Passing:
    """Return the given rows of nearest points as rows of dangers, with the side of each."""
    inner_side: Whereabouts = "starboard" if arc.sweep_deg > 0 else "port"
    outer_side: Whereabouts = "port" if arc.sweep_deg > 0 else "starboard"
    side = tuple(
        "crossed" if distance < ON_TRACK_M else (inner_side if within else outer_side)
        for distance, within in zip(feet.distance_m[rows], feet.inner[rows], strict=True)
    )
    return Passing(
        hazard=hazard,
        distance_m=feet.distance_m[rows],
        along_m=np.radians(feet.turned_deg[rows]) * arc.radius_m,
        lat_deg=feet.lat_deg[rows],
        lon_deg=feet.lon_deg[rows],
        danger_lat_deg=lat_deg[rows],
        danger_lon_deg=lon_deg[rows],
        side=side,
    )
