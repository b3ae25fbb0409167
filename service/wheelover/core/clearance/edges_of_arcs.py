"""Nearest points of the arcs of the track to edges of lines and areas."""

from functools import partial

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table, require_finite
from wheelover.core.clearance.edge_grid import Chords, pairs_near
from wheelover.core.clearance.edge_pairs import EdgePairs
from wheelover.core.clearance.edges_of_legs import (
    CHORD_SHARE,
    between_lines,
    in_order,
    pair_key,
    worth_a_look,
)
from wheelover.core.clearance.index import EdgeIndex
from wheelover.core.clearance.of_arcs import ArcColumns, feet_on_arcs
from wheelover.core.clearance.of_points import TrackLines
from wheelover.core.clearance.passing import NO_PASSING, Passing, first_of_each
from wheelover.core.clearance.sides import sides_of_arcs
from wheelover.core.geo import geodesic
from wheelover.core.geo.edge_loops import arc_edges_loop
from wheelover.core.geo.edges import Edges, feet_on, positions_on
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.near_points import LONGEST_M, levels_at
from wheelover.core.geo.nearest import share_along_chord, share_of_change


def passing_arc_edges(track: TrackLines, pairs: EdgePairs, index: EdgeIndex) -> Passing:
    """Return the nearest points of arcs to the edges near them, one for each arc and danger.

    On an edge the nearest place to an arc is one of its ends, the place nearest to the centre or
    to an end of the arc, or a place where it crosses the circle. All are looked at.

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
    hazards = index.lines.stretches.hazard[pairs.edge]
    _, wanted = np.unique(
        pairs.line * (int(np.max(hazards, initial=0)) + 1) + hazards, return_inverse=True
    )
    pairs = pairs.rows(
        worth_a_look(wanted, pairs.least_m, pairs.most_m, index.search_m[pairs.edge])
    )
    arc, edge = pairs.line, pairs.edge
    if edge.size == 0:
        return NO_PASSING
    found = np.empty((edge.size, 4))
    near_by = track.arcs.radius_m[arc] + index.search_m[edge] <= LONGEST_M
    for rows, look in (
        (np.flatnonzero(near_by), _looks),
        (np.flatnonzero(~near_by), _looks_afar),
    ):
        if rows.size:
            found[rows] = look(track, arc[rows], index, edge[rows])
    share_ratio, distance_m, along_m, beyond_m = np.ascontiguousarray(found.T)
    require_finite("distance from an arc", distance_m)
    hazard = index.lines.stretches.hazard[edge]
    near = np.flatnonzero(distance_m <= index.search_m[edge])
    key = arc[near] * (int(np.max(hazard)) + 1) + hazard[near]
    rows = near[first_of_each(key, distance_m[near], along_m[near])]
    of_arc = arc[rows]
    lat, lon = positions_on(index.lines.stretches.edges.rows(edge[rows]), share_ratio[rows])
    return Passing(
        piece=track.arc_piece[of_arc],
        hazard=hazard[rows],
        distance_m=distance_m[rows],
        along_m=along_m[rows],
        danger_lat_deg=lat,
        danger_lon_deg=lon,
        side=sides_of_arcs(
            track.arcs.sweep_deg[of_arc] > 0.0, beyond_m[rows] < 0.0, distance_m[rows]
        ),
    )


def _looks(track: TrackLines, arc: Ints, index: EdgeIndex, edge: Ints) -> Table:
    """Return for pairs where on the edge, how far off, where on the arc, how far outside, (m, 4).

    Good within ``LONGEST_M`` of the centre.
    """
    own, line = np.unique(arc, return_inverse=True)
    circles = track.circles
    frame, radius_m = np.ascontiguousarray(circles.frame[own]), circles.radius_m[own]
    found = np.empty((edge.size, 4))
    arc_edges_loop(
        frame,
        levels_at(frame[:, 0]),
        np.ascontiguousarray(circles.ends_m[own]),
        np.stack([radius_m, circles.half_rad[own], np.zeros(own.size)], axis=1),
        index.lines.edge_table,
        line,
        np.ascontiguousarray(edge),
        found,
    )
    return found


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


def near_arc_edges(track: TrackLines, which: Ints, index: EdgeIndex) -> EdgePairs:
    """Return pairs of arc and stretch of an edge that may be within its search distance.

    Parameters
    ----------
    track : TrackLines
        The track.
    which : ndarray
        The numbers of the arcs among its arcs.
    index : EdgeIndex
        The edges.
    """
    lines, chords = index.lines, chords_of_arcs(track).rows(which)
    place, edge, rough_m, most_m = pairs_near(lines.grids, chords, index.search_m, index.widest_m)
    wanted = pair_key(place, lines.stretches.hazard[edge])
    search_m = index.search_m[edge]
    worth = worth_a_look(wanted, rough_m, most_m * (1.0 + CHORD_SHARE), search_m)
    place, edge = in_order(place[worth], edge[worth])
    centre_m, radius_m = track.circles.frame[which, 0][place], track.circles.radius_m[which][place]
    starts_m, ends_m = lines.starts_m[edge], lines.ends_m[edge]
    share_ratio = share_along_chord(centre_m, starts_m, ends_m)
    foot_m = starts_m + share_ratio[:, None] * (ends_m - starts_m)
    least_m = np.linalg.norm(foot_m - centre_m, axis=1) - lines.bow_m[edge]
    most_m = np.maximum(
        np.linalg.norm(starts_m - centre_m, axis=1), np.linalg.norm(ends_m - centre_m, axis=1)
    )
    # A chord through the circle is a little shorter than the geodesic: by 1 m within 50 NM.
    inside_by_m = radius_m - most_m - lines.bow_m[edge] - 1e-4 * radius_m - 1.0
    off_circle_m = np.maximum(least_m - radius_m, inside_by_m)
    near = np.flatnonzero(off_circle_m <= index.search_m[edge])
    place, edge, off_circle_m = place[near], edge[near], off_circle_m[near]
    apart_m = between_lines(chords, lines, place, edge)
    doubt_m, arc = chords.reach_m[place] + lines.bow_m[edge], which[place]
    return EdgePairs(
        line=arc,
        piece=track.arc_piece[arc],
        edge=edge,
        least_m=np.maximum(off_circle_m, apart_m - doubt_m),
        most_m=np.minimum(apart_m + doubt_m, _at_most_m(track, arc, index, edge)),
    )


def chords_of_arcs(track: TrackLines) -> Chords:
    """Return the arcs of a track by their chords.

    An arc leaves its chord by its sagitta at most; of more than half a circle by its diameter.
    """
    arcs, circles = track.arcs, track.circles
    half_rad, radius_m = circles.half_rad, circles.radius_m
    sagitta_m = radius_m * (1.0 - np.cos(np.minimum(half_rad, np.pi / 2.0)))
    reach_m = np.where(half_rad < np.pi / 2.0, sagitta_m, 2.0 * radius_m)
    return Chords(
        lat_deg=np.repeat(arcs.centre_lat_deg[:, None], 2, axis=1),
        lon_deg=np.repeat(arcs.centre_lon_deg[:, None], 2, axis=1),
        around_m=radius_m + 1.0,
        from_m=np.ascontiguousarray(circles.ends_m[:, 0]),
        to_m=np.ascontiguousarray(circles.ends_m[:, 1]),
        # Radii are lengths on the ellipsoid, a little longer than in space; chords dip below it.
        reach_m=reach_m + 1e-3 * radius_m + 1.0,
    )


def _at_most_m(track: TrackLines, arc: Ints, index: EdgeIndex, edge: Ints) -> Floats:
    """Return how far apart an arc and an edge are at most: ends and middle from the arc's ends."""
    lines, arcs = index.lines, track.arcs
    ends_m = (
        earth_centred_m(arcs.start_lat_deg, arcs.start_lon_deg)[arc],
        earth_centred_m(arcs.end_lat_deg, arcs.end_lon_deg)[arc],
    )
    apart_m = [
        np.linalg.norm(place_m[edge] - end_m, axis=1)
        for place_m in (lines.starts_m, lines.middles_m, lines.ends_m)
        for end_m in ends_m
    ]
    return np.asarray(np.min(apart_m, axis=0) * (1.0 + CHORD_SHARE))


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
