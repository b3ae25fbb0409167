"""Edges of lines and areas, cut into stretches short enough to have one nearest place."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.errors import InvalidChart
from wheelover.core.geo.edges import Edges
from wheelover.core.geo.ellipsoid import A_M, meridian_radius_m, normal_radius_m
from wheelover.core.types.chart import Paths
from wheelover.core.units import NM_M

STRETCH_M = 5.0 * NM_M
"""No stretch of a leg or an edge is longer than this."""

MOST_STRETCHES = 2_000_000
"""Edges that come to more stretches than this are refused: measuring them would never end."""

_CUBIC_M4 = 4e-3
_NEAREST_POLE_M = 10_000.0
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


def leg_stretch_m(nearest_pole_deg: float) -> float:
    """Return how long a stretch of a leg may be for a cubic to follow it to 0.01 mm.

    Parameters
    ----------
    nearest_pole_deg : float
        Distance of the leg from the nearer pole, in degrees of latitude.

    Notes
    -----
    A line of constant course at a distance p from the pole curves by up to 1 / p, and the
    cubic's remainder is length^4 / (384 p^3) [Hermite]_.
    """
    pole_m = max(np.radians(nearest_pole_deg) * A_M, 100.0)
    return float(min(STRETCH_M, (_CUBIC_M4 * pole_m**3) ** 0.25))


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
    pieces = _pieces(whole)
    total = float(np.sum(pieces))
    if total > MOST_STRETCHES:
        raise InvalidChart(
            f"the lines and areas of the dangers are longer in sum than is measured here: about "
            f"{total * STRETCH_M / NM_M:.0f} NM, at most {MOST_STRETCHES * STRETCH_M / NM_M:.0f}. "
            "Leave out those far from the track"
        )
    return _cut(whole, np.asarray(paths.hazard[path]), pieces.astype(np.int64))


def _pieces(edges: Edges) -> Floats:
    """Return into how many stretches each edge is cut, shape (n,), as floats against overflow."""
    far_deg = np.maximum(np.abs(edges.lat_deg), np.abs(edges.lat_deg + edges.north_deg))
    near_deg = np.where(
        np.sign(edges.lat_deg) * np.sign(edges.lat_deg + edges.north_deg) < 0,
        0.0,
        np.minimum(np.abs(edges.lat_deg), np.abs(edges.lat_deg + edges.north_deg)),
    )
    north_m = np.abs(np.radians(edges.north_deg)) * meridian_radius_m(far_deg)
    wide_m = normal_radius_m(far_deg) * np.cos(np.radians(near_deg))
    length_m = np.hypot(north_m, np.abs(np.radians(edges.east_deg)) * wide_m)
    pole_m = np.maximum(np.radians(90.0 - far_deg) * A_M, _NEAREST_POLE_M)
    stretch_m = np.clip(pole_m / 10.0, _SHORTEST_M, STRETCH_M)
    return np.maximum(1.0, np.ceil(length_m / stretch_m))


def _cut(edges: Edges, hazard: Ints, pieces: Ints) -> EdgeStretches:
    """Return each edge in its number of equal stretches."""
    edge = np.repeat(np.arange(pieces.size), pieces)
    place = np.arange(edge.size) - np.repeat(np.cumsum(pieces) - pieces, pieces)
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
