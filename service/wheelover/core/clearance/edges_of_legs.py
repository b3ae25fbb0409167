"""Nearest points of the legs of the track to edges of lines and areas."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from wheelover.core.arrays import Floats, Ints, numbered, require_finite
from wheelover.core.clearance.index import EdgeIndex, bow_bound_m
from wheelover.core.clearance.of_legs import passing_of_feet, worth_a_look
from wheelover.core.clearance.passing import (
    NO_PASSING,
    Passing,
    TrackPiece,
    first_of_each,
    pairs_found,
)
from wheelover.core.clearance.stretches import STRETCH_M, leg_stretch_m, pole_m
from wheelover.core.geo import cubic
from wheelover.core.geo.cubic import Cubics, cubics_along
from wheelover.core.geo.edges import Edges, places_on, positions_on
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.nearest import dot, share_along_chord, share_of_change
from wheelover.core.legs import feet_on_leg, points_along
from wheelover.core.types.track import LegLine

_SAMPLES = (0.0, 0.5, 1.0)
_NO_DOUBT_M = 0.01
_NO_DOUBT_SHARE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class _LegStretches:
    """A stretch of a leg cut into short ones: their bounds along it, curves and bows."""

    low_m: Floats
    high_m: Floats
    curves: Cubics
    middles_m: Floats
    bow_m: Floats


def passing_leg_edges(
    piece: TrackPiece, leg: LegLine, index: EdgeIndex, key: Ints | None = None
) -> Passing:
    """Return the nearest points of a stretch of a leg to the edges near it.

    Parameters
    ----------
    piece : TrackPiece
        The stretch.
    leg : LegLine
        The leg it belongs to.
    index : EdgeIndex
        The edges, and what finds those near enough to matter.
    key : ndarray or None, shape (stretches of edges,)
        What one nearest point is wanted for; without it for each danger.

    Returns
    -------
    Passing
        ``hazard`` holds the keys, each once.

    Raises
    ------
    OutOfDomain
        Where no nearest point is closed in on, beside a pole.

    Notes
    -----
    Along an edge the run to abeam of the leg's nearest point is zero where the distance is least
    and where they cross. Both lines serve as curves in space to find that place; the distance there
    is the geodesic to the leg. Error below 1e-6 m (tests/core/test_clearance_shapes.py).
    """
    if not _any_near(piece, leg, index):
        return NO_PASSING
    keys = index.stretches.hazard if key is None else key
    stretches = _stretches(piece, leg)
    stretch, edge = _near_pairs(stretches, index, keys)
    if edge.size == 0:
        return NO_PASSING
    curves, edges = stretches.curves.rows(stretch), index.stretches.edges.rows(edge)
    share_ratio, apart_m = _closest(edges, curves)
    doubt_m = _NO_DOUBT_M + _NO_DOUBT_SHARE * apart_m
    worth = worth_a_look(keys[edge], apart_m - doubt_m, apart_m + doubt_m, index.search_m[edge])
    rows = np.flatnonzero(worth)
    lat, lon = positions_on(edges.rows(rows), share_ratio[rows])
    low_m, high_m = stretches.low_m[stretch[rows]], stretches.high_m[stretch[rows]]
    feet = feet_on_leg(leg, low_m, high_m, lat, lon)
    require_finite("distance of an edge from a leg", feet.distance_m)
    wanted = keys[edge[rows]]
    first = first_of_each(wanted, feet.distance_m, feet.along_m)
    return passing_of_feet(piece, feet.rows(first), wanted[first], lat[first], lon[first])


def _any_near(piece: TrackPiece, leg: LegLine, index: EdgeIndex) -> bool:
    """Return whether any edge can be within its search distance, by a ball around the piece."""
    half_m = (piece.to_m - piece.from_m) / 2.0
    middle_m = earth_centred_m(*points_along(leg, piece.from_m + half_m)[:2])[0]
    reach_m = half_m + float(np.max(index.search_m)) + index.half_m + 1.0
    return bool(index.tree.query(middle_m)[0] <= reach_m)


def _stretches(piece: TrackPiece, leg: LegLine) -> _LegStretches:
    """Return a stretch of a leg, cut as short as its curves need."""
    bounds_m = _bounds_m(piece, leg)
    count = bounds_m.size - 1
    lat, lon, course = points_along(leg, bounds_m)
    curves = cubics_along(lat, lon, course, np.diff(bounds_m))
    middles_m, _, _ = cubic.places_on(curves, np.full(count, 0.5))
    return _LegStretches(
        low_m=bounds_m[:-1],
        high_m=bounds_m[1:],
        curves=curves,
        middles_m=middles_m,
        bow_m=bow_bound_m(curves.start_m, middles_m, curves.end_m),
    )


def _bounds_m(piece: TrackPiece, leg: LegLine) -> Floats:
    """Return where the short stretches begin and end along a leg: shorter where it nears a pole."""
    count = max(1, int(np.ceil((piece.to_m - piece.from_m) / STRETCH_M)))
    bounds_m = np.linspace(piece.from_m, piece.to_m, count + 1)
    lat, _, _ = points_along(leg, bounds_m)
    length_m = (piece.to_m - piece.from_m) / count
    nearest_m = pole_m(np.maximum(np.abs(lat[:-1]), np.abs(lat[1:])))
    pieces = np.maximum(np.ceil(length_m / leg_stretch_m(nearest_m)), 1.0).astype(np.int64)
    stretch, place = numbered(pieces)
    return np.append(bounds_m[stretch] + place * (length_m / pieces[stretch]), piece.to_m)


def _near_pairs(stretches: _LegStretches, index: EdgeIndex, keys: Ints) -> tuple[Ints, Ints]:
    """Return pairs of leg stretch and edge stretch that may hold a nearest point."""
    curves = stretches.curves
    half_m = np.linalg.norm(curves.end_m - curves.start_m, axis=1) / 2.0
    reach_m = half_m + stretches.bow_m + index.half_m + float(np.max(index.search_m))
    stretch, edge = pairs_found(index.tree.query_ball_point(stretches.middles_m, reach_m))
    apart_m = _between_chords(
        curves.start_m[stretch], curves.end_m[stretch], index.starts_m[edge], index.ends_m[edge]
    )
    doubt_m = stretches.bow_m[stretch] + index.bow_m[edge]
    worth = worth_a_look(keys[edge], apart_m - doubt_m, apart_m + doubt_m, index.search_m[edge])
    return stretch[worth], edge[worth]


def _between_chords(
    start_m: Floats, end_m: Floats, other_start_m: Floats, other_end_m: Floats
) -> Floats:
    """Return the distance between chords in space, row by row: ends, or the perpendicular."""
    best_m = np.full(start_m.shape[0], np.inf)
    for place_m, a_m, b_m in (
        (start_m, other_start_m, other_end_m),
        (end_m, other_start_m, other_end_m),
        (other_start_m, start_m, end_m),
        (other_end_m, start_m, end_m),
    ):
        share_ratio = share_along_chord(place_m, a_m, b_m)[:, None]
        best_m = np.minimum(
            best_m, np.linalg.norm(place_m - a_m - share_ratio * (b_m - a_m), axis=1)
        )
    one, other, off = end_m - start_m, other_end_m - other_start_m, start_m - other_start_m
    a, b, c, d, e = (
        dot(one, one),
        dot(one, other),
        dot(other, other),
        dot(one, off),
        dot(other, off),
    )
    square = a * c - b * b
    usable = square > 1e-12 * a * c + 1e-12
    safe = np.where(usable, square, 1.0)
    s, t = (b * e - c * d) / safe, (a * e - b * d) / safe
    within = usable & (s >= 0.0) & (s <= 1.0) & (t >= 0.0) & (t <= 1.0)
    gap_m = np.linalg.norm(off + s[:, None] * one - t[:, None] * other, axis=1)
    return np.where(within, np.minimum(best_m, gap_m), best_m)


def _closest(edges: Edges, curves: Cubics) -> tuple[Floats, Floats]:
    """Return where each edge is nearest to its curve, as a share of it, and how far apart."""
    count = edges.lat_deg.size
    shares = [np.full(count, share) for share in _SAMPLES]
    runs, aparts = zip(*(_look(edges, curves, share) for share in shares), strict=True)
    best_m, best = np.min(aparts, axis=0), np.choose(np.argmin(aparts, axis=0), shares)
    for low, high, before, after in zip(_SAMPLES, _SAMPLES[1:], runs, runs[1:], strict=False):
        rows = np.flatnonzero((before < 0.0) & (after > 0.0))
        if rows.size == 0:
            continue
        some, their = edges.rows(rows), curves.rows(rows)
        share = share_of_change(
            partial(_run_of_rows, some, their),
            np.full(rows.size, low),
            np.full(rows.size, high),
        )
        apart_m = _look(some, their, share)[1]
        nearer = apart_m < best_m[rows]
        best[rows[nearer]], best_m[rows[nearer]] = share[nearer], apart_m[nearer]
    return best, best_m


def _look(edges: Edges, curves: Cubics, share_ratio: Floats) -> tuple[Floats, Floats]:
    """Return how far past its curve's nearest place an edge has run, and how far apart they are.

    The run is negative before abeam.
    """
    place_m, run_m, _ = places_on(edges, share_ratio)
    foot_m, _, _ = cubic.places_on(curves, cubic.feet_on(curves, place_m))
    off_m = place_m - foot_m
    return dot(off_m, run_m), np.sqrt(dot(off_m, off_m))


def _run_of_rows(edges: Edges, curves: Cubics, share_ratio: Floats, rows: Ints) -> Floats:
    """Return the run to abeam of some of the edges."""
    return _look(edges.rows(rows), curves.rows(rows), share_ratio)[0]
