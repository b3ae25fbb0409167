"""Nearest points of the arcs of the track to edges of lines and areas."""

from functools import partial

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table, require_finite, side_by_side
from wheelover.core.clearance.edge_pairs import EdgePairs
from wheelover.core.clearance.index import EdgeIndex
from wheelover.core.clearance.of_arcs import ArcColumns, feet_on_arcs
from wheelover.core.clearance.of_points import TrackLines
from wheelover.core.clearance.passing import NO_PASSING, Passing, first_of_each
from wheelover.core.clearance.sides_loop import sides_of_arcs_loop
from wheelover.core.geo import geodesic
from wheelover.core.geo.edge_loops import arc_edges_loop
from wheelover.core.geo.edges import Edges, feet_on, positions_on
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.nearest import share_of_change


def passing_arc_edges(track: TrackLines, pairs: EdgePairs, index: EdgeIndex) -> Passing:
    """Return the nearest points of arcs to the edges near them, one for each arc and danger.

    Parameters
    ----------
    track : TrackLines
        The track.
    pairs : EdgePairs
        Arcs and edges that may hold a nearest point.
    index : EdgeIndex
        The edges, and what finds those near enough to matter.

    Raises
    ------
    OutOfDomain
        When a distance comes out undefined.
    """
    if pairs.edge.size == 0:
        return NO_PASSING
    kept, found = _looks(track, pairs, index)
    arc, edge = pairs.line[kept], pairs.edge[kept]
    rows = np.flatnonzero(np.isnan(found[:, 1]))
    if rows.size:
        found[rows] = _looks_afar(track, arc[rows], index, edge[rows])
    share_ratio, distance_m, along_m, beyond_m = np.ascontiguousarray(found.T)
    require_finite("distance from an arc", distance_m)
    near = np.flatnonzero(distance_m <= index.search_m[edge])
    key = arc[near] * index.lines.stretches.count + index.lines.owner[edge[near]]
    rows = near[first_of_each(key, distance_m[near], along_m[near])]
    of_arc, edge, off_m = arc[rows], edge[rows], distance_m[rows]
    lat, lon = positions_on(index.lines.stretches.edges.rows(edge), share_ratio[rows])
    piece, side = np.empty((2, rows.size), dtype=np.int64)
    sides_of_arcs_loop(
        of_arc, beyond_m[rows], off_m, track.arcs.sweep_deg, track.arc_piece, piece, side
    )
    return Passing(
        piece=piece,
        hazard=index.lines.stretches.hazard[edge],
        distance_m=off_m,
        along_m=along_m[rows],
        danger_lat_deg=lat,
        danger_lon_deg=lon,
        side=side,
    )


def _looks(track: TrackLines, pairs: EdgePairs, index: EdgeIndex) -> tuple[Ints, Table]:
    """Return the pairs that may be nearest, by number, and for each where, shape (m, 4).

    That is where on the edge, how far off, where on the arc, how far outside; nan for how far off
    where a look from the arc in space is not exact.
    """
    circles, lines = track.circles, index.lines
    found = np.empty((pairs.edge.size, 4))
    kept = np.empty(pairs.edge.size, dtype=np.int64)
    shape = side_by_side(circles.radius_m, circles.half_rad, np.zeros(circles.radius_m.size))
    with lines.marks.lent() as marks:
        count, marks.epoch = arc_edges_loop(
            circles.frame, circles.levels, circles.ends_m, shape, lines.edge_table, pairs.line,
            pairs.piece, pairs.edge, pairs.least_m, pairs.most_m, index.search_m, lines.owner,
            marks.best_m, marks.mark, marks.epoch, found, kept,
        )  # fmt: skip
    return kept[:count], found[:count]


def _looks_afar(track: TrackLines, arc: Ints, index: EdgeIndex, edge: Ints) -> Table:
    """Return the same by exact geodesics."""
    arcs, edges = track.arcs.rows(arc), index.lines.stretches.edges.rows(edge)
    shares = np.stack(_candidates(arcs, edges))
    row = np.tile(np.arange(edge.size), len(shares))
    feet = feet_on_arcs(arcs.rows(row), *positions_on(edges.rows(row), shares.ravel()))
    best = first_of_each(row, feet.distance_m, feet.along_m)
    beyond_m = np.where(feet.inner, -1.0, 1.0)
    columns = shares.ravel(), feet.distance_m, feet.along_m, beyond_m
    return np.stack([one[best] for one in columns], axis=1)


def _candidates(arcs: ArcColumns, edges: Edges) -> list[Floats]:
    """Return the shares of the way at which each edge may be nearest to its arc."""
    low, high = np.zeros(arcs.count), np.ones(arcs.count)
    nearest = _feet(edges, arcs.centre_lat_deg, arcs.centre_lon_deg)
    shares = [
        low,
        high,
        nearest,
        _feet(edges, arcs.start_lat_deg, arcs.start_lon_deg),
        _feet(edges, arcs.end_lat_deg, arcs.end_lon_deg),
    ]
    here_m = _beyond_circle_m(arcs, edges, nearest)
    for end in (low, high):
        rows = np.flatnonzero((here_m < 0.0) & (_beyond_circle_m(arcs, edges, end) > 0.0))
        crossing = nearest.copy()
        if rows.size:
            crossing[rows] = share_of_change(
                partial(_beyond_of_rows_m, arcs.rows(rows), edges.rows(rows)),
                end[rows],
                nearest[rows],
            )
        shares.append(crossing)
    return shares


def _feet(edges: Edges, lat_deg: Floats, lon_deg: Floats) -> Floats:
    """Return where each edge is nearest to its place, as a share of the way along it."""
    return feet_on(edges, earth_centred_m(lat_deg, lon_deg))


def _beyond_circle_m(arcs: ArcColumns, edges: Edges, share_ratio: Floats) -> Floats:
    """Return how far outside the circle of its arc a place on each edge lies, negative inside."""
    lat, lon = positions_on(edges, share_ratio)
    distance_m = geodesic.inverse(arcs.centre_lat_deg, arcs.centre_lon_deg, lat, lon)[2]
    return distance_m - arcs.radius_m


def _beyond_of_rows_m(arcs: ArcColumns, edges: Edges, share_ratio: Floats, rows: Ints) -> Floats:
    """Return how far outside the circle places on some of the edges lie."""
    return _beyond_circle_m(arcs.rows(rows), edges.rows(rows), share_ratio)
