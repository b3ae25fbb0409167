"""Stretches of edges in grids of their middles, and the pairs of line and edge found in them."""

from dataclasses import dataclass, fields

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.clearance.rough_loop import chord_spans_loop
from wheelover.core.geo.near_points import boxes_around, spans_in
from wheelover.core.geo.point_grid import PointGrid, point_grid

_SHORT_M = 400.0
"""Edges that reach no farther from their middle are looked for by themselves: most are short."""

_FIRST_ROOM = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeGrid:
    """Edges of about one length in a grid of their middles.

    ``number`` holds the number of the edge of each middle, in the order of the grid, ``middles_m``
    where it is, ``half_m`` how far its edge reaches from it, ``widest_m`` the most of it.
    """

    grid: PointGrid
    number: Ints
    middles_m: Table
    half_m: Floats
    widest_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Chords:
    """Lines of a track by their chords, c of them: where to look for edges near each.

    ``lat_deg`` and ``lon_deg`` of shape (c, 2) hold two places, and the line leaves the box of them
    by less than ``around_m``; from the chord of ``from_m`` and ``to_m``, shape (c, 3), by less than
    ``reach_m``.
    """

    lat_deg: Floats
    lon_deg: Floats
    around_m: Floats
    from_m: Table
    to_m: Table
    reach_m: Floats

    def rows(self, which: Ints) -> "Chords":
        """Return the lines of the given numbers."""
        return Chords(**{one.name: getattr(self, one.name)[which] for one in fields(self)})


def edge_grids(
    lat_deg: Floats, lon_deg: Floats, middles_m: Table, half_m: Floats
) -> tuple[EdgeGrid, ...]:
    """Return the grids of edges: of the short ones, and of the others.

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
    found = []
    for rows in (np.flatnonzero(short), np.flatnonzero(~short)):
        if rows.size == 0:
            continue
        grid = point_grid(lat_deg[rows], lon_deg[rows], np.arange(rows.size))
        number = rows[grid.order]
        found.append(
            EdgeGrid(
                grid=grid,
                number=number,
                middles_m=np.ascontiguousarray(middles_m[number]),
                half_m=half_m[number],
                widest_m=float(np.max(half_m[rows])),
            )
        )
    return tuple(found)


def spans_near(one: EdgeGrid, chords: Chords, search_m: float) -> Ints:
    """Return for chords from where to where the edges of a grid stand that may be near.

    Parameters
    ----------
    one : EdgeGrid
        The edges.
    chords : Chords
        The lines.
    search_m : float
        How far around edges is looked at most.

    Returns
    -------
    ndarray, shape (m, 3)
        Number of the chord, first edge in the grid, and the one behind the last.
    """
    lat, lon = chords.lat_deg, chords.lon_deg
    margin_m = search_m + one.widest_m + chords.around_m
    boxes = boxes_around((lat[:, 0], lat[:, 1]), (lon[:, 0], lon[:, 1]), margin_m)
    return spans_in(boxes, one.grid)


def pairs_near(
    grids: tuple[EdgeGrid, ...], chords: Chords, search_m: Floats, widest_m: float
) -> tuple[Ints, Ints, Floats, Floats]:
    """Return pairs of chord and edge that may be near, with bounds on how far they are apart.

    Parameters
    ----------
    grids : tuple of EdgeGrid
        The edges.
    chords : Chords
        The lines.
    search_m : ndarray, shape (n,)
        How far around each edge is looked.
    widest_m : float
        The most of it.

    Returns
    -------
    chord, edge : ndarray, shape (m,)
        In no order to go by.
    least_m, most_m : ndarray, shape (m,)
        Bounds by the middles of the edges.
    """
    parts = [_pairs_in(one, chords, search_m, widest_m) for one in grids]
    pairs = np.concatenate([np.empty((2, 0), dtype=np.int64), *(one for one, _ in parts)], axis=1)
    bounds_m = np.concatenate([np.empty((2, 0)), *(one for _, one in parts)], axis=1)
    return pairs[0], pairs[1], bounds_m[0], bounds_m[1]


def _pairs_in(
    one: EdgeGrid, chords: Chords, search_m: Floats, widest_m: float
) -> tuple[Ints, Table]:
    """Return the same of one grid: pairs and bounds, shape (2, m) each."""
    spans = spans_near(one, chords, widest_m)
    sizes = spans[:, 2] - spans[:, 1]
    room = min(int(np.sum(sizes)), _FIRST_ROOM)
    pairs, bounds_m = np.empty((2, room), dtype=np.int64), np.empty((2, room))
    span = count = 0
    while True:
        span, count = chord_spans_loop(
            spans, span, chords.from_m, chords.to_m, chords.reach_m, one.number, one.middles_m,
            one.half_m, search_m, pairs, bounds_m, count,
        )  # fmt: skip
        if span == sizes.size:
            return pairs[:, :count], bounds_m[:, :count]
        room = 2 * room + int(sizes[span])
        more, more_m = np.empty((2, room), dtype=np.int64), np.empty((2, room))
        more[:, :count], more_m[:, :count] = pairs[:, :count], bounds_m[:, :count]
        pairs, bounds_m = more, more_m
