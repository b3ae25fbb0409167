"""Edges that are straight in longitude and latitude, as lines in space.

Such are the edges of lines and areas in GeoJSON (RFC 7946, 3.1.1) [RFC7946]_: neither geodesics nor
lines of constant course.
"""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints, side_by_side
from wheelover.core.geo.angles import sin_cos_deg
from wheelover.core.geo.ellipsoid import E2, earth_centred_m, meridian_radius_m, normal_radius_m
from wheelover.core.geo.nearest import nearest_share, share_along_chord


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """Edges in columns of shape (n,): where each begins, and how far it goes north and east."""

    lat_deg: Floats
    lon_deg: Floats
    north_deg: Floats
    east_deg: Floats

    def rows(self, which: Ints) -> "Edges":
        """Return the edges of the given numbers, one or several times each."""
        return Edges(
            lat_deg=self.lat_deg[which],
            lon_deg=self.lon_deg[which],
            north_deg=self.north_deg[which],
            east_deg=self.east_deg[which],
        )


def positions_on(edges: Edges, share_ratio: Floats) -> tuple[Floats, Floats]:
    """Return latitude and longitude at a share of the way along each edge, shape (n,)."""
    return (
        edges.lat_deg + share_ratio * edges.north_deg,
        edges.lon_deg + share_ratio * edges.east_deg,
    )


def places_on(edges: Edges, share_ratio: Floats) -> tuple[Floats, Floats, Floats]:
    """Return places on edges, with the first and second derivative by the share.

    Parameters
    ----------
    edges : Edges
        Edges, n of them.
    share_ratio : ndarray, shape (n,)
        Share of the way along each.

    Returns
    -------
    place_m, run_m, bend_m : ndarray, shape (n, 3)
        Earth-centred; the derivatives follow from the radii of curvature [Rapp]_.
    """
    lat, lon = positions_on(edges, share_ratio)
    (sin_lat, cos_lat), (sin_lon, cos_lon) = sin_cos_deg(lat), sin_cos_deg(lon)
    zero = np.zeros_like(lat)
    outward = side_by_side(cos_lon, sin_lon, zero)
    east = side_by_side(-sin_lon, cos_lon, zero)
    north = side_by_side(-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat)
    up = side_by_side(cos_lat * cos_lon, cos_lat * sin_lon, sin_lat)
    meridian, across = meridian_radius_m(lat), normal_radius_m(lat) * cos_lat
    turn_north, turn_east = np.radians(edges.north_deg), np.radians(edges.east_deg)
    run = (meridian * turn_north)[:, None] * north + (across * turn_east)[:, None] * east
    growth = 3.0 * meridian * E2 * sin_lat * cos_lat / (1.0 - E2 * sin_lat**2)
    bend = (
        (growth * turn_north**2)[:, None] * north
        - (meridian * turn_north**2)[:, None] * up
        - (2.0 * meridian * sin_lat * turn_north * turn_east)[:, None] * east
        - (across * turn_east**2)[:, None] * outward
    )
    return earth_centred_m(lat, lon), run, bend


def feet_on(edges: Edges, place_m: Floats) -> Floats:
    """Return the share of the way at which each edge is nearest to a place, in [0, 1].

    Parameters
    ----------
    edges : Edges
        Edges, n of them, each so short that it has one nearest place only.
    place_m : ndarray, shape (n, 3)
        A place for each, earth-centred.
    """
    starts_m = earth_centred_m(edges.lat_deg, edges.lon_deg)
    ends_m = earth_centred_m(edges.lat_deg + edges.north_deg, edges.lon_deg + edges.east_deg)
    first = share_along_chord(place_m, starts_m, ends_m)
    return nearest_share(lambda ratio: places_on(edges, ratio), place_m, first)
