"""Pairs of lines of a track and edges of dangers that may be nearest to one another."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table, side_by_side
from wheelover.core.clearance.edge_grid import spans_near
from wheelover.core.clearance.edge_pairs import EdgePairs
from wheelover.core.clearance.index import EdgeIndex
from wheelover.core.clearance.of_points import TrackLines
from wheelover.core.clearance.rough_loop import chords_loop, lines_loop, pairs_loop

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
        yield _pairs(chords, pairs[:, :count], bounds_m[:, :count], lines.stretches.count)


def _room(piece: Ints, spans: Ints) -> int:
    """Return how many pairs are looked at at once: no fewer than the most of one piece."""
    sizes = spans[:, 2] - spans[:, 1]
    total = int(np.sum(sizes))
    if total <= _ROOM:
        return total
    return max(_ROOM, int(np.max(np.bincount(piece[spans[:, 0]], sizes))))


def _pairs(
    chords: _Chords, pairs: Ints, bounds_m: Table, edge_count: int
) -> tuple[EdgePairs, EdgePairs]:
    """Return pairs of legs, and of arcs, ordered by line and edge.

    Of equally near ones the first counts.
    """
    chord, edge = pairs
    on_arc = chords.radius_m[chord] > 0.0
    # Arcs behind legs: one sort orders both.
    order = np.argsort((chord + chords.piece.size * on_arc) * edge_count + edge)
    chord, count = chord[order], order.size - int(np.count_nonzero(on_arc))
    both = EdgePairs(
        line=chords.line[chord],
        piece=chords.piece[chord],
        edge=edge[order],
        least_m=bounds_m[0][order],
        most_m=bounds_m[1][order],
    )
    return both.rows(slice(count)), both.rows(slice(count, None))


def _chords_of(track: TrackLines) -> _Chords:
    """Return the stretches of legs and the arcs of a track by their chords."""
    stretches, arcs, circles = track.stretches, track.arcs, track.circles
    count = stretches.piece.size + arcs.count
    numbers, boxes_deg = np.empty((2, count), dtype=np.int64), np.empty((2, count, 2))
    leaves_m, places_m = np.empty((3, count)), np.empty((3, count, 3))
    lines_loop(
        stretches.piece, stretches.lat_deg, stretches.lon_deg, stretches.curves.terms,
        stretches.curves.ends_m, stretches.curves.bow_m, track.arc_piece,
        side_by_side(
            arcs.centre_lat_deg, arcs.centre_lon_deg, circles.radius_m, circles.half_rad
        ),
        circles.frame, circles.ends_m, numbers, boxes_deg, leaves_m, places_m,
    )  # fmt: skip
    return _Chords(
        piece=numbers[0],
        line=numbers[1],
        lat_deg=boxes_deg[0],
        lon_deg=boxes_deg[1],
        around_m=leaves_m[0],
        from_m=places_m[0],
        to_m=places_m[1],
        reach_m=leaves_m[1],
        centre_m=places_m[2],
        radius_m=leaves_m[2],
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
