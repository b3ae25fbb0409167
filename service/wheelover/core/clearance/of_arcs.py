"""Nearest points of the arcs of the track."""

import numpy as np

from wheelover.core.arrays import require_finite
from wheelover.core.clearance.passing import (
    ON_TRACK_M,
    Passing,
    SearchIndex,
    pairs_found,
)
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.turns.arc import points_on_arc
from wheelover.core.types.chart import PointHazards
from wheelover.core.types.plan import Whereabouts
from wheelover.core.types.track import Arc


def passing_arc(arc: Arc, hazards: PointHazards, index: SearchIndex) -> Passing:
    """Return the nearest points of an arc to the dangers near it.

    The geodesic from the centre meets the arc square, so inside the arc's sector the distance is
    that from the centre less the radius; outside it the nearer end of the arc is nearest.
    """
    centre_m = earth_centred_m(arc.centre.lat_deg, arc.centre.lon_deg)
    reach_m = arc.radius_m + float(np.max(index.search_m)) + 1.0
    _, hazard = pairs_found(index.tree.query_ball_point(centre_m, reach_m))
    lat, lon = hazards.lat_deg[hazard], hazards.lon_deg[hazard]
    bearing, _, from_centre_m = geodesic.inverse(arc.centre.lat_deg, arc.centre.lon_deg, lat, lon)
    sign = np.copysign(1.0, arc.sweep_deg)
    turned = sign * signed_change_deg(arc.from_bearing_deg + arc.sweep_deg / 2.0, bearing)
    half_sweep = abs(arc.sweep_deg) / 2.0
    nearest_lat, nearest_lon = points_on_arc(
        arc, np.clip(turned, -half_sweep, half_sweep) + half_sweep
    )
    _, _, end_m = geodesic.inverse(nearest_lat, nearest_lon, lat, lon)
    inside_sector = np.abs(turned) <= half_sweep
    distance_m = np.where(inside_sector, np.abs(from_centre_m - arc.radius_m), end_m)
    require_finite("distance from an arc", distance_m)
    near = distance_m <= index.search_m[hazard]
    inner = from_centre_m < arc.radius_m
    inner_side: Whereabouts = "starboard" if arc.sweep_deg > 0 else "port"
    outer_side: Whereabouts = "port" if arc.sweep_deg > 0 else "starboard"
    side: list[Whereabouts] = [
        "crossed" if distance < ON_TRACK_M else (inner_side if within else outer_side)
        for distance, within in zip(distance_m[near], inner[near], strict=True)
    ]
    return Passing(
        hazard=hazard[near],
        distance_m=distance_m[near],
        lat_deg=nearest_lat[near],
        lon_deg=nearest_lon[near],
        side=tuple(side),
    )
