"""Nearest points of the legs of the track to edges of lines and areas."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, Table, require_finite
from wheelover.core.clearance.edge_grid import Chords, pairs_near
from wheelover.core.clearance.edge_pairs import EdgePairs
from wheelover.core.clearance.index import EdgeIndex, EdgeTree
from wheelover.core.clearance.leg_stretches import LegStretches
from wheelover.core.clearance.of_points import TrackLines
from wheelover.core.clearance.passing import NO_PASSING, Passing, first_of_each
from wheelover.core.clearance.rough_loop import chords_loop
from wheelover.core.clearance.sides import sides_of_legs
from wheelover.core.geo.edge_loops import leg_edges_loop
from wheelover.core.geo.edges import positions_on
from wheelover.core.geo.near_points import LONGEST_M, curve_terms
from wheelover.core.legs import feet_on_leg

_NO_DOUBT_M = 0.01
_MOST_NUMBERS = 500_000
_NO_DOUBT_SHARE = 1e-6

CHORD_SHARE = 1e-4
"""Chords are shorter than geodesics by less than this share of them, up to 200 km."""


def passing_leg_edges(
    track: TrackLines, pairs: EdgePairs, index: EdgeIndex, key: Ints | None = None
) -> Passing:
    """Return the nearest points of legs to the edges near them.

    Parameters
    ----------
    track : TrackLines
        The track.
    pairs : EdgePairs
        Stretches of its legs and edges that may hold a nearest point.
    index : EdgeIndex
        The edges, and what finds those near enough to matter.
    key : ndarray or None, shape (stretches of edges,)
        What one nearest point is wanted for; without it for each danger.

    Returns
    -------
    Passing
        ``hazard`` holds the keys, each once for each leg.

    Raises
    ------
    OutOfDomain
        Where no nearest point is closed in on, beside a pole.

    Notes
    -----
    Along an edge the run to abeam of the leg's nearest point is zero where the distance is least
    and where they cross. Both lines serve as curves in space to find that place; the distance there
    is the geodesic to the leg, beyond 5 NM by one exact look. Error below 1e-6 m
    (tests/core/test_clearance_shapes.py).
    """
    keys = index.lines.stretches.hazard if key is None else key
    stretches = track.stretches
    wanted = pair_key(pairs.piece, keys[pairs.edge])
    pairs = pairs.rows(
        worth_a_look(wanted, pairs.least_m, pairs.most_m, index.search_m[pairs.edge])
    )
    stretch, edge = pairs.line, pairs.edge
    if edge.size == 0:
        return NO_PASSING
    look = looks_from_curves(stretches, index.lines.edge_table, pairs)
    wanted = pair_key(stretches.piece[stretch], keys[edge])
    doubt_m = _NO_DOUBT_M + _NO_DOUBT_SHARE * look.apart_m
    rows = np.flatnonzero(
        worth_a_look(wanted, look.apart_m - doubt_m, look.apart_m + doubt_m, index.search_m[edge])
    )
    look = look.rows(rows)
    place_deg = positions_on(index.lines.stretches.edges.rows(edge[rows]), look.share_ratio)
    _look_afar(track, stretch[rows], look, place_deg)
    require_finite("distance of an edge from a leg", look.distance_m)
    first = first_of_each(wanted[rows], look.distance_m, look.along_m)
    piece, hazard = stretches.piece[stretch[rows[first]]], keys[edge[rows[first]]]
    return _passing(track, piece, look.rows(first), hazard, [one[first] for one in place_deg])


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


def looks_from_curves(stretches: LegStretches, edge_table: Table, pairs: EdgePairs) -> _Look:
    """Return where the stretches and edges of pairs are nearest to one another.

    Beyond ``LONGEST_M`` distances are rough and want one exact look.

    Parameters
    ----------
    stretches : LegStretches
        Of the whole track.
    edge_table : ndarray, shape (stretches of edges, 4)
        Where each edge begins and how far it goes north and east, degrees.
    pairs : EdgePairs
        Pairs of both.
    """
    own, line = np.unique(pairs.line, return_inverse=True)
    terms, levels = curve_terms(stretches.curves.rows(own))
    bounds_m = np.stack([stretches.low_m[own], stretches.high_m[own]], axis=1)
    found = np.empty((pairs.edge.size, 6))
    edge = np.ascontiguousarray(pairs.edge)
    leg_edges_loop(terms, levels, bounds_m, edge_table, line, edge, found)
    return _Look(*np.ascontiguousarray(found.T))


def _look_afar(
    track: TrackLines, stretch: Ints, look: _Look, place_deg: tuple[Floats, Floats]
) -> None:
    """Give pairs that are far apart one exact look, in place."""
    far = np.flatnonzero(~(look.distance_m <= LONGEST_M))
    if far.size == 0:
        return
    stretches, own = track.stretches, stretch[far]
    legs = track.legs.rows(np.searchsorted(track.leg_piece, stretches.piece[own]))
    feet = feet_on_leg(
        legs, stretches.low_m[own], stretches.high_m[own], place_deg[0][far], place_deg[1][far]
    )
    look.distance_m[far], look.along_m[far] = feet.distance_m, feet.along_m
    look.ahead_m[far], look.right_m[far] = feet.ahead_m, feet.bearing_off_deg


def pair_key(piece: Ints, key: Ints) -> Ints:
    """Return one number for each pair of piece and key, in their order and not too large."""
    number = piece * (int(np.max(key, initial=0)) + 1) + key
    if int(np.max(number, initial=0)) <= _MOST_NUMBERS:
        return np.asarray(number, dtype=np.int64)
    _, which = np.unique(number, return_inverse=True)
    return np.asarray(which, dtype=np.int64)


def _passing(
    track: TrackLines, piece: Ints, look: _Look, hazard: Ints, danger_deg: Sequence[Floats]
) -> Passing:
    """Return nearest points of legs as rows, with the side on which each danger lies."""
    side = sides_of_legs(
        track.ends,
        piece,
        look.along_m,
        look.ahead_m,
        look.right_m >= 0.0,
        look.distance_m,
    )
    return Passing(
        piece=piece,
        hazard=hazard,
        distance_m=look.distance_m,
        along_m=look.along_m,
        danger_lat_deg=danger_deg[0],
        danger_lon_deg=danger_deg[1],
        side=side,
    )


def near_leg_edges(
    track: TrackLines, which: Ints, index: EdgeIndex, key: Ints | None = None
) -> EdgePairs:
    """Return pairs of leg stretch and edge stretch that may be within the search distance.

    Parameters
    ----------
    track : TrackLines
        The track.
    which : ndarray
        The numbers of the pieces that are the legs, ascending.
    index : EdgeIndex
        The edges.
    key : ndarray or None, shape (stretches of edges,)
        As in ``passing_leg_edges``.
    """
    keys = index.lines.stretches.hazard if key is None else key
    lines, rows = index.lines, np.flatnonzero(np.isin(track.stretches.piece, which))
    stretches = track.stretches.of(which)
    chords = chords_of_legs(stretches)
    stretch, edge, least_m, most_m = pairs_near(lines.grids, chords, index.search_m, index.widest_m)
    # Those that the middles of the edges alone show to be too far need no second look.
    wanted = pair_key(stretches.piece[stretch], keys[edge])
    worth = worth_a_look(wanted, least_m, most_m * (1.0 + CHORD_SHARE), index.search_m[edge])
    stretch, edge = in_order(stretch[worth], edge[worth])
    apart_m = between_lines(chords, lines, stretch, edge)
    doubt_m = stretches.bow_m[stretch] + lines.bow_m[edge]
    near = np.flatnonzero(apart_m - doubt_m <= index.search_m[edge])
    stretch, edge = stretch[near], edge[near]
    return EdgePairs(
        line=rows[stretch],
        piece=stretches.piece[stretch],
        edge=edge,
        least_m=apart_m[near] - doubt_m[near],
        most_m=apart_m[near] + doubt_m[near],
    )


def in_order(line: Ints, edge: Ints) -> tuple[Ints, Ints]:
    """Return pairs ordered by line and edge: of equally near ones the first counts."""
    order = np.lexsort((edge, line))
    return line[order], edge[order]


def chords_of_legs(stretches: LegStretches) -> Chords:
    """Return stretches of legs by their chords."""
    curves = stretches.curves
    return Chords(
        lat_deg=stretches.lat_deg,
        lon_deg=stretches.lon_deg,
        around_m=stretches.bow_m,
        from_m=np.ascontiguousarray(curves.start_m),
        to_m=np.ascontiguousarray(curves.end_m),
        reach_m=stretches.bow_m,
    )


def between_lines(chords: Chords, lines: EdgeTree, line: Ints, edge: Ints) -> Floats:
    """Return the distance between chords of a track and of edges in space, pair by pair."""
    apart_m = np.empty(edge.size)
    chords_loop(line, edge, chords.from_m, chords.to_m, lines.starts_m, lines.ends_m, apart_m)
    return apart_m


def between_chords(
    start_m: Floats, end_m: Floats, other_start_m: Floats, other_end_m: Floats
) -> Floats:
    """Return the distance between chords in space, row by row: ends, or the perpendicular."""
    rows, apart_m = np.arange(start_m.shape[0]), np.empty(start_m.shape[0])
    one, other = np.ascontiguousarray(start_m), np.ascontiguousarray(end_m)
    third, fourth = np.ascontiguousarray(other_start_m), np.ascontiguousarray(other_end_m)
    chords_loop(rows, rows, one, other, third, fourth, apart_m)
    return apart_m


def worth_a_look(key: Ints, least_m: Floats, most_m: Floats, search_m: Floats) -> Bools:
    """Return which pairs can hold the nearest point of each key, from bounds on their distance.

    Chords are shorter than geodesics, by less than one part in 10,000 at 200 km.
    """
    best_m = np.full(int(np.max(key, initial=-1)) + 1, np.inf)
    np.minimum.at(best_m, key, most_m)
    return np.asarray((least_m <= best_m[key]) & (least_m <= search_m))
