"""Nearest points of the legs of the track to edges of lines and areas."""

from typing import NamedTuple

import numpy as np

from wheelover.core.arrays import Floats, Ints, require_finite, side_by_side
from wheelover.core.clearance.edge_pairs import EdgePairs
from wheelover.core.clearance.index import EdgeIndex
from wheelover.core.clearance.of_points import TrackLines
from wheelover.core.clearance.passing import NO_PASSING, Passing, first_of_each
from wheelover.core.clearance.sides import sides_of_legs
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.edge_loops import leg_edges_loop
from wheelover.core.geo.edges import positions_on
from wheelover.core.geo.near_loops import LONGEST_M
from wheelover.core.legs import feet_on_leg


def passing_leg_edges(
    track: TrackLines, pairs: EdgePairs, index: EdgeIndex, *, each: bool = False
) -> tuple[Passing, frozenset[int]]:
    """Return the nearest points of legs to the edges near them.

    Parameters
    ----------
    track : TrackLines
        The track.
    pairs : EdgePairs
        Stretches of its legs and edges that may hold a nearest point.
    index : EdgeIndex
        The edges, and what finds those near enough to matter.
    each : bool
        Whether one nearest point is wanted for each stretch of an edge; without it for each danger.

    Returns
    -------
    passing : Passing
        ``hazard`` holds stretches or dangers, each once for each leg.
    lost : frozenset of int
        Numbers of the pieces for which no nearest point is closed in on, beside a pole.

    Notes
    -----
    Along an edge the run to abeam of the leg's nearest point is zero where the distance is least
    and where they cross. Both lines serve as curves in space to find that place; the distance there
    is the geodesic to the leg, beyond 5 NM by one exact look. Error below 1e-6 m
    (tests/core/test_clearance_shapes.py).
    """
    if pairs.edge.size == 0:
        return NO_PASSING, frozenset()
    kept, look = _looks(track, pairs, index, each=each)
    lost = frozenset[int]()
    if not bool(np.all(look.distance_m <= LONGEST_M)):
        lost = _look_afar(track, pairs.rows(kept), look, index)
        rows = np.flatnonzero(~np.isin(pairs.piece[kept], list(lost)))
        kept, look = kept[rows], look.rows(rows)
    require_finite("distance of an edge from a leg", look.distance_m)
    key = pairs.piece[kept] * index.lines.stretches.count + index.keys(each=each)[pairs.edge[kept]]
    first = first_of_each(key, look.distance_m, look.along_m)
    return _passing(track, pairs.rows(kept[first]), look.rows(first), index, each=each), lost


class _Look(NamedTuple):
    """Where curves and edges are nearest to one another, in columns of shape (m,).

    ``share_ratio`` is where on the edge, ``apart_m`` the chord and ``distance_m`` the geodesic
    between both places. ``along_m``, ``ahead_m`` and ``right_m`` are as in ``near_points.Near``.
    """

    share_ratio: Floats
    apart_m: Floats
    distance_m: Floats
    along_m: Floats
    ahead_m: Floats
    right_m: Floats

    def rows(self, which: Ints) -> "_Look":
        """Return the pairs of the given numbers."""
        return _Look(*(one[which] for one in self))


def _looks(
    track: TrackLines, pairs: EdgePairs, index: EdgeIndex, *, each: bool
) -> tuple[Ints, _Look]:
    """Return the pairs that may be nearest, by number, and where their lines are.

    Beyond ``LONGEST_M`` distances are rough and want one exact look.
    """
    stretches, lines = track.stretches, index.lines
    curves = stretches.curves
    found = np.empty((pairs.edge.size, 6))
    kept = np.empty(pairs.edge.size, dtype=np.int64)
    bounds_m = side_by_side(stretches.low_m, stretches.high_m)
    with lines.marks.lent() as marks:
        count, marks.epoch = leg_edges_loop(
            curves.terms, curves.levels, bounds_m, lines.edge_table, pairs.line, pairs.piece,
            pairs.edge, pairs.least_m, pairs.most_m, index.keys(each=each), marks.best_m,
            marks.mark, marks.epoch, found, kept,
        )  # fmt: skip
    return kept[:count], _Look(*np.ascontiguousarray(found[:count].T))


def _look_afar(
    track: TrackLines, pairs: EdgePairs, look: _Look, index: EdgeIndex
) -> frozenset[int]:
    """Give pairs that are far apart one exact look, in place; return the pieces where that fails.

    Where all together have no answer, each piece is asked by itself.
    """
    far = np.flatnonzero(~(look.distance_m <= LONGEST_M))
    place_deg = positions_on(index.lines.stretches.edges.rows(pairs.edge), look.share_ratio)
    try:
        _look_exactly(track, pairs, look, place_deg, far)
    except OutOfDomain:
        lost = set()
        for one in np.unique(pairs.piece[far]).tolist():
            try:
                _look_exactly(track, pairs, look, place_deg, far[pairs.piece[far] == one])
            except OutOfDomain:
                lost.add(one)
        return frozenset(lost)
    return frozenset()


def _look_exactly(
    track: TrackLines, pairs: EdgePairs, look: _Look, place_deg: tuple[Floats, Floats], far: Ints
) -> None:
    """Give some pairs an exact look, in place."""
    stretches, own = track.stretches, pairs.line[far]
    legs = track.legs.rows(np.searchsorted(track.leg_piece, stretches.piece[own]))
    feet = feet_on_leg(
        legs, stretches.low_m[own], stretches.high_m[own], place_deg[0][far], place_deg[1][far]
    )
    look.distance_m[far], look.along_m[far] = feet.distance_m, feet.along_m
    look.ahead_m[far], look.right_m[far] = feet.ahead_m, feet.bearing_off_deg


def _passing(
    track: TrackLines, pairs: EdgePairs, look: _Look, index: EdgeIndex, *, each: bool
) -> Passing:
    """Return nearest points of legs as rows, with the side on which each danger lies."""
    stretches, edge = index.lines.stretches, pairs.edge
    lat, lon = positions_on(stretches.edges.rows(edge), look.share_ratio)
    side = np.empty(edge.size, dtype=np.int64)
    sides_of_legs(
        track.ends, pairs.piece, look.along_m, look.ahead_m, look.right_m, look.distance_m, side
    )
    return Passing(
        piece=pairs.piece,
        hazard=edge if each else stretches.hazard[edge],
        distance_m=look.distance_m,
        along_m=look.along_m,
        danger_lat_deg=lat,
        danger_lon_deg=lon,
        side=side,
    )
