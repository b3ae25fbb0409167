"""Pairs of lines of a track and edges of dangers that may be nearest to one another."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.clearance.edge_grid import spans_near
from wheelover.core.clearance.edge_pairs import EdgePairs
from wheelover.core.clearance.index import EdgeIndex
from wheelover.core.clearance.of_points import TrackLines
from wheelover.core.clearance.rough_loop import chords_loop, pairs_loop

_ROOM = 400_000


@dataclass(frozen=True, slots=True, kw_only=True)
class _Chords:
    """Stretches of legs and arcs of a track by their chords, in the order of its pieces.

    ``line`` numbers the stretches, or the arcs. Each leaves the box of its two positions by less
    than ``around_m`` and its chord by less than ``reach_m``; ``radius_m`` is zero but for arcs.
    """

    piece: Ints
    line: Ints
    lat_deg: Floats
    lon_deg: Floats
    around_m: Floats
    from_m: Table
    to_m: Table
    reach_m: Floats
    centre_m: Table
    radius_m: Floats


def near_edges(
    track: TrackLines, index: EdgeIndex, *, each: bool = False
) -> Iterator[tuple[EdgePairs, EdgePairs]]:
    """Yield pairs of the legs, and of the arcs, that may hold a nearest point, in portions.

    Parameters
    ----------
    track : TrackLines
        The track.
    index : EdgeIndex
        The edges, and how far around each to look.
    each : bool
        Whether one nearest point is wanted for each stretch of an edge; without it for each danger.
    """
    chords, lines = _chords_of(track), index.lines
    spans = spans_near(
        lines.grids, chords.lat_deg, chords.lon_deg, index.widest_m + chords.around_m
    )
    own = (chords.from_m, chords.to_m, chords.reach_m, chords.centre_m, chords.radius_m)
    places = (lines.grids.number, lines.grids.middles_m, lines.grids.half_m)
    edges = (lines.starts_m, lines.middles_m, lines.ends_m, lines.bow_m, index.search_m,
             index.keys(each=each))  # fmt: skip
    room = _room(chords.piece, spans)
    span = 0
    while span < spans.shape[0]:
        pairs, bounds_m = np.empty((2, room), dtype=np.int64), np.empty((2, room))
        with lines.marks.lent() as marks:
            span, count, marks.epoch = pairs_loop(
                spans, span, chords.piece, own, places, edges, (marks.best_m, marks.mark),
                marks.epoch, pairs, bounds_m, 0,
            )  # fmt: skip
        on_arc = chords.radius_m[pairs[0, :count]] > 0.0
        legs, arcs = (
            _pairs(chords, pairs[:, rows], bounds_m[:, rows])
            for rows in (np.flatnonzero(~on_arc), np.flatnonzero(on_arc))
        )
        yield legs, arcs


def _room(piece: Ints, spans: Ints) -> int:
    """Return how many pairs are looked at at once: no fewer than the most of one piece."""
    sizes = spans[:, 2] - spans[:, 1]
    total = int(np.sum(sizes))
    if total <= _ROOM:
        return total
    return max(_ROOM, int(np.max(np.bincount(piece[spans[:, 0]], sizes))))


def _pairs(chords: _Chords, pairs: Ints, bounds_m: Table) -> EdgePairs:
    """Return pairs ordered by line and edge: of equally near ones the first counts."""
    order = np.lexsort((pairs[1], pairs[0]))
    chord = pairs[0][order]
    return EdgePairs(
        line=chords.line[chord],
        piece=chords.piece[chord],
        edge=pairs[1][order],
        least_m=bounds_m[0][order],
        most_m=bounds_m[1][order],
    )


def _chords_of(track: TrackLines) -> _Chords:
    """Return the stretches of legs and the arcs of a track by their chords.

    An arc leaves its chord by its sagitta at most; of more than half a circle by its diameter.
    """
    stretches, arcs, circles = track.stretches, track.arcs, track.circles
    half_rad, radius_m = circles.half_rad, circles.radius_m
    sagitta_m = radius_m * (1.0 - np.cos(np.minimum(half_rad, np.pi / 2.0)))
    reach_m = np.where(half_rad < np.pi / 2.0, sagitta_m, 2.0 * radius_m)
    piece = np.concatenate([stretches.piece, track.arc_piece])
    order = np.argsort(piece, kind="stable")
    curves, none_m = stretches.curves, np.zeros(stretches.piece.size)

    def both(legs: Table, arcs: Table) -> Table:
        return np.concatenate([legs, arcs])[order]

    return _Chords(
        piece=piece[order],
        line=np.concatenate([np.arange(one.size) for one in (none_m, radius_m)])[order],
        lat_deg=both(stretches.lat_deg, np.stack([arcs.centre_lat_deg] * 2, axis=1)),
        lon_deg=both(stretches.lon_deg, np.stack([arcs.centre_lon_deg] * 2, axis=1)),
        around_m=both(curves.bow_m, radius_m + 1.0),
        from_m=both(curves.starts_m, circles.ends_m[:, 0]),
        to_m=both(curves.ends_m, circles.ends_m[:, 1]),
        # Radii are lengths on the ellipsoid, a little longer than in space; chords dip below it.
        reach_m=both(curves.bow_m, reach_m + 1e-3 * radius_m + 1.0),
        centre_m=both(curves.starts_m, circles.frame[:, 0]),
        radius_m=both(none_m, radius_m),
    )


def between_chords(
    start_m: Floats, end_m: Floats, other_start_m: Floats, other_end_m: Floats
) -> Floats:
    """Return the distance between chords in space, row by row: ends, or the perpendicular."""
    rows, apart_m = np.arange(start_m.shape[0]), np.empty(start_m.shape[0])
    one, other = np.ascontiguousarray(start_m), np.ascontiguousarray(end_m)
    third, fourth = np.ascontiguousarray(other_start_m), np.ascontiguousarray(other_end_m)
    chords_loop(rows, rows, one, other, third, fourth, apart_m)
    return apart_m
