"""Stretches of edges in grids of their middles, where those near a line are found by looking."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.geo.near_points import boxes_around, spans_in
from wheelover.core.geo.point_grid import PointGrid, point_grid

_SHORT_M = 400.0
"""Edges that reach no farther from their middle are looked for by themselves: most are short."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grid:
    """Edges of about one length: their middles, the place of the first, how far they reach."""

    middles: PointGrid
    first: int
    widest_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeGrids:
    """Edges in grids of their middles: the short ones, and behind them the others.

    ``number`` holds the number of the edge of each middle, in the order of the grids, ``middles_m``
    where it is, ``half_m`` how far its edge reaches from it.
    """

    grids: tuple[_Grid, ...]
    number: Ints
    middles_m: Table
    half_m: Floats


def edge_grids(lat_deg: Floats, lon_deg: Floats, middles_m: Table, half_m: Floats) -> EdgeGrids:
    """Return edges in grids.

    Parameters
    ----------
    lat_deg, lon_deg : ndarray, shape (n,)
        The middles of the edges, longitudes from -180 to 180.
    middles_m : ndarray, shape (n, 3)
        The same in space.
    half_m : ndarray, shape (n,)
        How far each edge reaches from its middle.
    """
    short = half_m <= _SHORT_M
    grids, numbers, first = [], [], 0
    for rows in (np.flatnonzero(short), np.flatnonzero(~short)):
        if rows.size == 0:
            continue
        grid = point_grid(lat_deg[rows], lon_deg[rows], np.arange(rows.size))
        grids.append(_Grid(middles=grid, first=first, widest_m=float(np.max(half_m[rows]))))
        numbers.append(rows[grid.order])
        first += rows.size
    number = np.concatenate(numbers)
    return EdgeGrids(
        grids=tuple(grids),
        number=number,
        middles_m=np.ascontiguousarray(middles_m[number]),
        half_m=half_m[number],
    )


def spans_near(edges: EdgeGrids, lat_deg: Floats, lon_deg: Floats, reach_m: Floats) -> Ints:
    """Return for lines from where to where the edges stand that may be near.

    Parameters
    ----------
    edges : EdgeGrids
        The edges.
    lat_deg, lon_deg : ndarray, shape (c, 2)
        Two places of each line.
    reach_m : ndarray, shape (c,)
        How far about the box of them edges are looked for.

    Returns
    -------
    ndarray, shape (m, 3)
        Number of the line, first edge in the grids, and the one behind the last, in the order of
        lines.
    """
    found = []
    for one in edges.grids:
        boxes = boxes_around(lat_deg, lon_deg, reach_m + one.widest_m)
        spans = spans_in(boxes, one.middles)
        spans[:, 1:] += one.first
        found.append(spans)
    if len(found) == 1:
        return found[0]
    spans = np.concatenate(found)
    return np.ascontiguousarray(spans[np.argsort(spans[:, 0], kind="stable")])
