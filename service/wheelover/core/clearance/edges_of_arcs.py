"""Nearest points of the arcs of the track to edges of lines and areas."""

from functools import partial

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.clearance.index import EdgeIndex
from wheelover.core.clearance.of_arcs import feet_on_arc, passing_of_arc_feet
from wheelover.core.clearance.passing import NO_PASSING, Passing, first_of_each
from wheelover.core.geo import geodesic
from wheelover.core.geo.edges import Edges, feet_on, positions_on
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.nearest import share_along_chord, share_of_change
from wheelover.core.types.route import Position
from wheelover.core.types.track import Arc


def passing_arc_edges(piece_index: int, arc: Arc, index: EdgeIndex) -> Passing:
    """Return the nearest points of an arc to the edges near it, one for each danger.

    On an edge the nearest place to an arc is one of its ends, the place nearest to the centre or
    to an end of the arc, or a place where it crosses the circle. All are looked at.
    """
    edge = _near_edges(arc, index)
    if edge.size == 0:
        return NO_PASSING
    edges = index.lines.stretches.edges.rows(edge)
    shares = _candidates(arc, edges)
    row = np.tile(np.arange(edge.size), len(shares))
    lat, lon = positions_on(edges.rows(row), np.concatenate(shares))
    feet = feet_on_arc(arc, lat, lon)
    hazard = index.lines.stretches.hazard[edge[row]]
    near = np.flatnonzero(feet.distance_m <= index.search_m[edge[row]])
    along_deg = feet.turned_deg[near]
    rows = near[first_of_each(hazard[near], feet.distance_m[near], along_deg)]
    return passing_of_arc_feet(piece_index, arc, feet, rows, hazard[rows], lat, lon)


def _near_edges(arc: Arc, index: EdgeIndex) -> Ints:
    """Return the stretches of edges that may be within their search distance of an arc."""
    lines = index.lines
    centre_m = earth_centred_m(arc.centre.lat_deg, arc.centre.lon_deg)[0]
    reach_m = arc.radius_m + float(np.max(index.search_m)) + lines.half_m + 1.0
    edge = np.sort(np.asarray(lines.tree.query_ball_point(centre_m, reach_m), dtype=np.int64))
    starts_m, ends_m = lines.starts_m[edge], lines.ends_m[edge]
    share_ratio = share_along_chord(np.broadcast_to(centre_m, starts_m.shape), starts_m, ends_m)
    foot_m = starts_m + share_ratio[:, None] * (ends_m - starts_m)
    least_m = np.linalg.norm(foot_m - centre_m, axis=1) - lines.bow_m[edge]
    most_m = np.maximum(
        np.linalg.norm(starts_m - centre_m, axis=1), np.linalg.norm(ends_m - centre_m, axis=1)
    )
    # A chord through the circle is a little shorter than the geodesic: by 1 m within 50 NM.
    inside_by_m = arc.radius_m - most_m - lines.bow_m[edge] - 1e-4 * arc.radius_m - 1.0
    apart_m = np.maximum(least_m - arc.radius_m, inside_by_m)
    return np.asarray(edge[apart_m <= index.search_m[edge]])


def _candidates(arc: Arc, edges: Edges) -> list[Floats]:
    """Return the shares of the way at which each edge may be nearest to an arc."""
    count = edges.lat_deg.size
    low, high = np.zeros(count), np.ones(count)
    nearest = _foot(edges, arc.centre)
    shares = [low, high, nearest, _foot(edges, arc.start), _foot(edges, arc.end)]
    for end in (low, high):
        here_m, there_m = (
            _beyond_circle_m(arc, edges, share_ratio) for share_ratio in (nearest, end)
        )
        rows = np.flatnonzero((here_m < 0.0) & (there_m > 0.0))
        crossing = nearest.copy()
        if rows.size:
            crossing[rows] = share_of_change(
                partial(_beyond_of_rows_m, arc, edges.rows(rows)),
                end[rows],
                nearest[rows],
            )
        shares.append(crossing)
    return shares


def _foot(edges: Edges, place: Position) -> Floats:
    """Return where each edge is nearest to a place, as a share of the way along it."""
    place_m = earth_centred_m(place.lat_deg, place.lon_deg)
    return feet_on(edges, np.broadcast_to(place_m, (edges.lat_deg.size, 3)))


def _beyond_circle_m(arc: Arc, edges: Edges, share_ratio: Floats) -> Floats:
    """Return how far outside the circle of an arc places on edges lie, negative inside."""
    lat, lon = positions_on(edges, share_ratio)
    centre = arc.centre
    return geodesic.inverse(centre.lat_deg, centre.lon_deg, lat, lon)[2] - arc.radius_m


def _beyond_of_rows_m(arc: Arc, edges: Edges, share_ratio: Floats, rows: Ints) -> Floats:
    """Return how far outside the circle places on some of the edges lie."""
    return _beyond_circle_m(arc, edges.rows(rows), share_ratio)
