"""Places on an edge and on a cubic, for the compiled loops that find where they are nearest."""

import math

from wheelover.core.arrays import Table
from wheelover.core.compiled import inlined
from wheelover.core.geo.ellipsoid import A_M, E2
from wheelover.core.geo.near_loops import on_cubic

_STEPS = 12
_SETTLED_SHARE = 1e-12
_RADIANS_PER_DEG = math.pi / 180.0

PLACE, RUN, BEND = 0, 3, 6
"""Where place, first and second derivative by the share stand in a column of nine numbers."""


@inlined
def on_edge(edges: Table, edge: int, share_ratio: float, at: Table) -> None:
    """Write place, run and bend of an edge at a share of the way.

    ``edges[edge]`` holds latitude, longitude, and how far it goes north and east, in degrees; the
    derivatives follow from the radii of curvature [Rapp]_.
    """
    lat = (edges[edge, 0] + share_ratio * edges[edge, 2]) * _RADIANS_PER_DEG
    lon = (edges[edge, 1] + share_ratio * edges[edge, 3]) * _RADIANS_PER_DEG
    north, east = edges[edge, 2] * _RADIANS_PER_DEG, edges[edge, 3] * _RADIANS_PER_DEG
    sin_lat, cos_lat, sin_lon, cos_lon = math.sin(lat), math.cos(lat), math.sin(lon), math.cos(lon)
    w2 = 1.0 - E2 * sin_lat * sin_lat
    normal_m = A_M / math.sqrt(w2)
    meridian_m, across_m = normal_m * (1.0 - E2) / w2, normal_m * cos_lat
    at[0] = across_m * cos_lon
    at[1] = across_m * sin_lon
    at[2] = normal_m * (1.0 - E2) * sin_lat
    up_m, aside_m = meridian_m * north, across_m * east
    at[3] = -up_m * sin_lat * cos_lon - aside_m * sin_lon
    at[4] = -up_m * sin_lat * sin_lon + aside_m * cos_lon
    at[5] = up_m * cos_lat
    growth_m = 3.0 * up_m * north * E2 * sin_lat * cos_lat / w2
    down_m = up_m * north
    turn_m = 2.0 * up_m * sin_lat * east
    out_m = aside_m * east
    at[6] = -growth_m * sin_lat * cos_lon - down_m * cos_lat * cos_lon
    at[6] += turn_m * sin_lon - out_m * cos_lon
    at[7] = -growth_m * sin_lat * sin_lon - down_m * cos_lat * sin_lon
    at[7] += -turn_m * cos_lon - out_m * sin_lon
    at[8] = growth_m * cos_lat - down_m * sin_lat


@inlined
def _step(at: Table, off_x_m: float, off_y_m: float, off_z_m: float) -> float:
    """Return by what share to go on to where a place that lies so far off is abeam."""
    straight = at[3] * at[3] + at[4] * at[4] + at[5] * at[5]
    steep = straight - (off_x_m * at[6] + off_y_m * at[7] + off_z_m * at[8])
    # Beyond the centre of a curve's own bend the distance has no least: a short step instead.
    if not steep > 0.2 * straight:
        steep = 2.0 * straight
    return float((off_x_m * at[3] + off_y_m * at[4] + off_z_m * at[5]) / max(steep, 1e-12))


@inlined
def foot_on_edge(
    edges: Table, edge: int, x_m: float, y_m: float, z_m: float, share_ratio: float, at: Table
) -> float:
    """Return the share of the way at which an edge is nearest to a place, begun at a share."""
    for _ in range(_STEPS):
        on_edge(edges, edge, share_ratio, at)
        step = _step(at, x_m - at[0], y_m - at[1], z_m - at[2])
        change = min(max(share_ratio + step, 0.0), 1.0) - share_ratio
        share_ratio += change
        if abs(change) <= _SETTLED_SHARE:
            break
    return share_ratio


@inlined
def foot_on_cubic(
    curves: Table, curve: int, x_m: float, y_m: float, z_m: float, share_ratio: float, at: Table
) -> float:
    """Return the share of the way at which a cubic is nearest to a place, begun at a share.

    ``at`` takes place, run and bend there.
    """
    for _ in range(_STEPS):
        for axis in range(3):
            at[axis], at[3 + axis], at[6 + axis] = on_cubic(curves, curve, share_ratio, axis)
        step = _step(at, x_m - at[0], y_m - at[1], z_m - at[2])
        change = min(max(share_ratio + step, 0.0), 1.0) - share_ratio
        share_ratio += change
        if abs(change) <= _SETTLED_SHARE:
            break
    return share_ratio
