"""Edges of lines and areas, cut into stretches short enough to have one nearest place."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints, numbered
from wheelover.core.errors import InvalidChart
from wheelover.core.geo.edges import Edges
from wheelover.core.geo.ellipsoid import A_M, meridian_radius_m, normal_radius_m
from wheelover.core.types.chart import Paths
from wheelover.core.units import NM_M

STRETCH_M = 5.0 * NM_M
"""No stretch of a leg or an edge is longer than this."""

MOST_STRETCHES = 2_000_000
"""Edges that come to more stretches than this are refused: measuring them would never end."""

_CUBIC_M4 = 4e-4
_NEAREST_POLE_M = 100.0
_SHORTEST_M = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeStretches:
    """Stretches of edges in columns: the danger each belongs to, and its line."""

    hazard: Ints
    edges: Edges

    @property
    def count(self) -> int:
        """Return how many stretches there are."""
        return len(self.hazard)


def pole_m(farthest_deg: Floats) -> Floats:
    """Return how far latitudes, whichever way, are from their pole: about, and never nothing."""
    return np.maximum(np.radians(90.0 - farthest_deg) * A_M, _NEAREST_POLE_M)


def leg_stretch_m(nearest_pole_m: Floats) -> Floats:
    """Return how long a stretch of a leg may be for a cubic to follow it to 0.001 mm.

    Parameters
    ----------
    nearest_pole_m : ndarray, shape (n,)
        Distance of the stretch from the nearer pole, metres.

    Notes
    -----
    A line of constant course at a distance p from the pole curves by up to 1 / p, and the
    cubic's remainder is length^4 / (384 p^3) [Hermite]_.
    """
    return np.minimum(STRETCH_M, (_CUBIC_M4 * nearest_pole_m**3) ** 0.25)


def edge_stretches(paths: Paths) -> EdgeStretches:
    """Return the edges of all paths, cut into stretches; a path of one place has one of no length.

    Raises
    ------
    InvalidChart
        When they come to more than ``MOST_STRETCHES``.
    """
    first = np.ones(paths.lat_deg.size, dtype=np.bool_)
    first[paths.starts[1:] - 1] = False
    begin = np.flatnonzero(first)
    path = np.repeat(np.arange(paths.count), np.diff(paths.starts) - 1)
    whole = Edges(
        lat_deg=paths.lat_deg[begin],
        lon_deg=paths.lon_deg[begin],
        north_deg=paths.lat_deg[begin + 1] - paths.lat_deg[begin],
        east_deg=paths.lon_deg[begin + 1] - paths.lon_deg[begin],
    )
    plain = _cut(
        whole, np.asarray(paths.hazard[path]), _pieces(whole, np.full(begin.size, STRETCH_M))
    )
    far_deg = np.abs(np.stack([plain.edges.lat_deg, plain.edges.lat_deg + plain.edges.north_deg]))
    near_pole_m = np.clip(pole_m(np.max(far_deg, axis=0)) / 10.0, _SHORTEST_M, STRETCH_M)
    return _cut(plain.edges, plain.hazard, _pieces(plain.edges, near_pole_m))


def _pieces(edges: Edges, longest_m: Floats) -> Floats:
    """Return into how many stretches each edge is cut, shape (n,), as floats against overflow."""
    ends_deg = np.stack([edges.lat_deg, edges.lat_deg + edges.north_deg])
    near_deg = np.where(
        np.sign(ends_deg[0]) * np.sign(ends_deg[1]) < 0, 0.0, np.min(np.abs(ends_deg), axis=0)
    )
    far_deg = np.max(np.abs(ends_deg), axis=0)
    north_m = np.abs(np.radians(edges.north_deg)) * meridian_radius_m(far_deg)
    wide_m = normal_radius_m(far_deg) * np.cos(np.radians(near_deg))
    length_m = np.hypot(north_m, np.abs(np.radians(edges.east_deg)) * wide_m)
    return np.maximum(1.0, np.ceil(length_m / longest_m))


def _cut(edges: Edges, hazard: Ints, wanted_count: Floats) -> EdgeStretches:
    """Return each edge in its number of equal stretches."""
    total = float(np.sum(wanted_count))
    if total > MOST_STRETCHES:
        raise InvalidChart(
            f"the lines and areas of the dangers are longer in sum than is measured here: about "
            f"{total * STRETCH_M / NM_M:.0f} NM, at most {MOST_STRETCHES * STRETCH_M / NM_M:.0f}. "
            "Leave out those far from the track"
        )
    pieces = wanted_count.astype(np.int64)
    edge, place = numbered(pieces)
    count = pieces[edge]
    return EdgeStretches(
        hazard=hazard[edge],
        edges=Edges(
            lat_deg=edges.lat_deg[edge] + edges.north_deg[edge] * (place / count),
            lon_deg=edges.lon_deg[edge] + edges.east_deg[edge] * (place / count),
            north_deg=edges.north_deg[edge] / count,
            east_deg=edges.east_deg[edge] / count,
        ),
    )
