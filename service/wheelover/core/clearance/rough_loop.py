"""The compiled loops that bound, roughly and fast, how far edges are from pieces of the track."""

import math
from typing import TypeAlias

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined
from wheelover.core.geo.edge_loops import lower

Lines: TypeAlias = tuple[Table, Table, Floats, Table, Floats]
Places: TypeAlias = tuple[Ints, Table, Floats]
Edges: TypeAlias = tuple[Table, Table, Table, Floats, Floats, Ints]
Marked: TypeAlias = tuple[Floats, Ints]

CHORD_RATIO = 1.0 + 1e-4
"""Geodesics are longer than their chords by less than this ratio, up to 200 km."""


@inlined
def _from_chord(place_m: Table, place: int, start_m: Table, end_m: Table, chord: int) -> float:
    """Return the distance of a place from a chord."""
    square, along = 0.0, 0.0
    for axis in range(3):
        run_m = end_m[chord, axis] - start_m[chord, axis]
        square += run_m * run_m
        along += (place_m[place, axis] - start_m[chord, axis]) * run_m
    share = min(max(along / max(square, 1e-12), 0.0), 1.0)
    off2 = 0.0
    for axis in range(3):
        run_m = end_m[chord, axis] - start_m[chord, axis]
        off_m = place_m[place, axis] - start_m[chord, axis] - share * run_m
        off2 += off_m * off_m
    return math.sqrt(off2)


@inlined
def _dot(a_m: Table, a: int, b_m: Table, b: int, c_m: Table, c: int, d_m: Table, d: int) -> float:
    """Return the product of the way from b to a and that from d to c."""
    total_m2 = 0.0
    for axis in range(3):
        total_m2 += (a_m[a, axis] - b_m[b, axis]) * (c_m[c, axis] - d_m[d, axis])
    return total_m2


@inlined
def between_chords_m(
    from_m: Table, to_m: Table, one: int, starts_m: Table, ends_m: Table, other: int
) -> float:
    """Return how far chords are apart: ends, or the perpendicular to both."""
    best_m = min(
        _from_chord(from_m, one, starts_m, ends_m, other),
        _from_chord(to_m, one, starts_m, ends_m, other),
    )
    best_m = min(best_m, _from_chord(starts_m, other, from_m, to_m, one))
    best_m = min(best_m, _from_chord(ends_m, other, from_m, to_m, one))
    a = _dot(to_m, one, from_m, one, to_m, one, from_m, one)
    b = _dot(to_m, one, from_m, one, ends_m, other, starts_m, other)
    c = _dot(ends_m, other, starts_m, other, ends_m, other, starts_m, other)
    d = _dot(to_m, one, from_m, one, from_m, one, starts_m, other)
    e = _dot(ends_m, other, starts_m, other, from_m, one, starts_m, other)
    square = a * c - b * b
    if square > 1e-12 * a * c + 1e-12:
        s, t = (b * e - c * d) / square, (a * e - b * d) / square
        if 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0:
            gap2 = 0.0
            for axis in range(3):
                gap_m = from_m[one, axis] + s * (to_m[one, axis] - from_m[one, axis])
                gap_m -= starts_m[other, axis]
                gap_m -= t * (ends_m[other, axis] - starts_m[other, axis])
                gap2 += gap_m * gap_m
            best_m = min(best_m, math.sqrt(gap2))
    return best_m


@compiled(
    "void(int64[::1],int64[::1],float64[:,::1],float64[:,::1],float64[:,::1],float64[:,::1],"
    "float64[::1])"
)
def chords_loop(
    chord: Ints, edge: Ints, from_m: Table, to_m: Table, starts_m: Table, ends_m: Table,
    apart_m: Floats,
) -> None:  # fmt: skip
    """Write for each pair how far the chords are apart."""
    for pair in range(chord.size):
        apart_m[pair] = between_chords_m(from_m, to_m, chord[pair], starts_m, ends_m, edge[pair])


@compiled(
    "void(int64[::1],float64[:,::1],float64[:,::1],float64[:,:,::1],float64[:,::1],float64[::1],"
    "int64[::1],float64[:,::1],float64[:,:,::1],float64[:,:,::1],int64[:,::1],float64[:,:,::1],"
    "float64[:,::1],float64[:,:,::1])"
)
def lines_loop(
    leg_piece: Ints, lats_deg: Table, lons_deg: Table, terms: Table, ends_m: Table, bow_m: Floats,
    arc_piece: Ints, arcs: Table, frame: Table, arc_ends_m: Table, numbers: Ints,
    boxes_deg: Table, leaves_m: Table, places_m: Table,
) -> None:  # fmt: skip
    """Write stretches of legs and arcs as chords, in the order of their pieces.

    ``arcs`` holds latitude, longitude, radius and half the angle of each. ``numbers`` takes piece
    and number of each line, ``boxes_deg`` latitudes and longitudes of two places, ``leaves_m`` how
    far it leaves their box, and its chord, and its radius, zero but for arcs, and ``places_m``
    start, end and centre.

    An arc leaves its chord by its sagitta at most; of more than half a circle by its diameter.
    Radii are lengths on the ellipsoid, a little longer than in space; chords dip below it.
    """
    leg, arc = 0, 0
    for row in range(leg_piece.size + arc_piece.size):
        on_leg = arc >= arc_piece.size or (
            leg < leg_piece.size and leg_piece[leg] <= arc_piece[arc]
        )
        if on_leg:
            numbers[0, row], numbers[1, row] = leg_piece[leg], leg
            for end in range(2):
                boxes_deg[0, row, end] = lats_deg[leg, end]
                boxes_deg[1, row, end] = lons_deg[leg, end]
            leaves_m[0, row] = leaves_m[1, row] = bow_m[leg]
            leaves_m[2, row] = 0.0
            for axis in range(3):
                places_m[0, row, axis] = places_m[2, row, axis] = terms[leg, 0, axis]
                places_m[1, row, axis] = ends_m[leg, axis]
            leg += 1
        else:
            numbers[0, row], numbers[1, row] = arc_piece[arc], arc
            radius_m, half_rad = arcs[arc, 2], arcs[arc, 3]
            sagitta_m = radius_m * (1.0 - math.cos(min(half_rad, math.pi / 2.0)))
            reach_m = sagitta_m if half_rad < math.pi / 2.0 else 2.0 * radius_m
            for end in range(2):
                boxes_deg[0, row, end], boxes_deg[1, row, end] = arcs[arc, 0], arcs[arc, 1]
            leaves_m[0, row], leaves_m[2, row] = radius_m + 1.0, radius_m
            leaves_m[1, row] = reach_m + 1e-3 * radius_m + 1.0
            for axis in range(3):
                places_m[0, row, axis] = arc_ends_m[arc, 0, axis]
                places_m[1, row, axis] = arc_ends_m[arc, 1, axis]
                places_m[2, row, axis] = frame[arc, 0, axis]
            arc += 1


@inlined
def _apart_m(one_m: Table, one: int, other_m: Table, other: int) -> float:
    """Return how far apart places are."""
    return math.sqrt(_dot(one_m, one, other_m, other, one_m, one, other_m, other))


@inlined
def _off_circle_m(
    centre_m: Table, line: int, radius_m: float, starts_m: Table, ends_m: Table, edge: int,
    bow_m: float,
) -> float:  # fmt: skip
    """Return how far an edge is at least from the circle of an arc."""
    least_m = _from_chord(centre_m, line, starts_m, ends_m, edge) - bow_m
    most_m = max(_apart_m(starts_m, edge, centre_m, line), _apart_m(ends_m, edge, centre_m, line))
    # A chord through the circle is a little shorter than the geodesic: by 1 m within 50 NM.
    inside_by_m = radius_m - most_m - bow_m - 1e-4 * radius_m - 1.0
    return max(least_m - radius_m, inside_by_m)


@inlined
def _ends_apart_m(
    from_m: Table, to_m: Table, line: int, starts_m: Table, middles_m: Table, ends_m: Table,
    edge: int,
) -> float:  # fmt: skip
    """Return how near ends and middle of an edge are to an end of a line."""
    starts = min(_apart_m(starts_m, edge, from_m, line), _apart_m(starts_m, edge, to_m, line))
    middles = min(_apart_m(middles_m, edge, from_m, line), _apart_m(middles_m, edge, to_m, line))
    ends = min(_apart_m(ends_m, edge, from_m, line), _apart_m(ends_m, edge, to_m, line))
    return min(starts, middles, ends)


@inlined
def _piece_spans(spans: Ints, span: int, piece: Ints) -> tuple[int, int]:
    """Return the first span of the next piece, and how many edges stand in those of this one."""
    last, count = span, 0
    while last < spans.shape[0] and piece[spans[last, 0]] == piece[spans[span, 0]]:
        count += spans[last, 2] - spans[last, 1]
        last += 1
    return last, count


@inlined
def _by_middles(
    spans: Ints, span: int, last: int, lines: Lines, places: Places, edges: Edges,
    marks: Marked, epoch: int, pairs: Ints, bounds_m: Table, count: int,
) -> int:  # fmt: skip
    """Write pairs that the middles of the edges alone do not show to be too far apart."""
    from_m, to_m, reach_m, _, _ = lines
    number, middles_m, half_m = places
    search_m, keys = edges[4], edges[5]
    for row in range(span, last):
        line = spans[row, 0]
        for place in range(spans[row, 1], spans[row, 2]):
            edge = number[place]
            apart_m = _from_chord(middles_m, place, from_m, to_m, line)
            least_m = apart_m - half_m[place] - reach_m[line]
            if least_m <= search_m[edge]:
                most_m = (apart_m + reach_m[line]) * CHORD_RATIO
                lower(marks[0], marks[1], keys[edge], epoch, most_m)
                pairs[0, count], pairs[1, count], bounds_m[0, count] = line, edge, least_m
                count += 1
    return count


@inlined
def _by_chords(
    start: int, end: int, lines: Lines, edges: Edges, marks: Marked, epoch: int, pairs: Ints,
    bounds_m: Table,
) -> int:  # fmt: skip
    """Keep of pairs those that chords do not show to be too far apart; return the end of them."""
    from_m, to_m, reach_m, centre_m, radius_m = lines
    starts_m, middles_m, ends_m, bow_m, search_m, keys = edges
    kept = start
    for row in range(start, end):
        line, edge = pairs[0, row], pairs[1, row]
        if bounds_m[0, row] > marks[0][keys[edge]]:
            continue
        apart_m = between_chords_m(from_m, to_m, line, starts_m, ends_m, edge)
        doubt_m = reach_m[line] + bow_m[edge]
        least_m, most_m = apart_m - doubt_m, apart_m + doubt_m
        if radius_m[line] > 0.0:
            off_m = _off_circle_m(
                centre_m, line, radius_m[line], starts_m, ends_m, edge, bow_m[edge]
            )
            ends_m2 = _ends_apart_m(from_m, to_m, line, starts_m, middles_m, ends_m, edge)
            least_m, most_m = max(least_m, off_m), min(most_m, ends_m2 * CHORD_RATIO)
        if least_m <= search_m[edge]:
            lower(marks[0], marks[1], keys[edge], epoch, most_m)
            pairs[0, kept], pairs[1, kept] = line, edge
            bounds_m[0, kept], bounds_m[1, kept] = least_m, most_m
            kept += 1
    return kept


@inlined
def _nearest(
    start: int, end: int, keys: Ints, best_m: Floats, pairs: Ints, bounds_m: Table
) -> int:  # fmt: skip
    """Keep of pairs those that no other shows to be farther than it; return the end of them."""
    kept = start
    for row in range(start, end):
        if bounds_m[0, row] <= best_m[keys[pairs[1, row]]]:
            pairs[0, kept], pairs[1, kept] = pairs[0, row], pairs[1, row]
            bounds_m[0, kept], bounds_m[1, kept] = bounds_m[0, row], bounds_m[1, row]
            kept += 1
    return kept


_TABLE, _COLUMN, _NUMBERS = "float64[:,::1]", "float64[::1]", "int64[::1]"
_LINES = f"Tuple(({_TABLE},{_TABLE},{_COLUMN},{_TABLE},{_COLUMN}))"
_PLACES = f"Tuple(({_NUMBERS},{_TABLE},{_COLUMN}))"
_EDGES = f"Tuple(({_TABLE},{_TABLE},{_TABLE},{_COLUMN},{_COLUMN},{_NUMBERS}))"
_MARKED = f"Tuple(({_COLUMN},{_NUMBERS}))"


@compiled(
    f"UniTuple(int64,3)(int64[:,::1],int64,{_NUMBERS},{_LINES},{_PLACES},{_EDGES},{_MARKED},int64,"
    f"int64[:,::1],{_TABLE},int64)"
)
def pairs_loop(
    spans: Ints, span: int, piece: Ints, lines: Lines, places: Places, edges: Edges,
    marks: Marked, epoch: int, pairs: Ints, bounds_m: Table, count: int,
) -> tuple[int, int, int]:  # fmt: skip
    """Write pairs of lines and edges that may be nearest; return the next span, row and epoch.

    ``spans`` holds for each line from where to where edges stand in ``places`` that may be near, in
    the order of lines and of the ``piece`` that each is a part of. It ends early where there is no
    room for all of a piece.

    - ``lines``: both ends, how far each leaves its chord at most, and of arcs centre and radius;
    - ``places``: numbers of edges, their middles, and how far each reaches from there at most;
    - ``edges``: start, middle and end of each, how far it leaves its chord at most, how far around
      it to look, and the key of what one nearest pair for each piece is wanted for;
    - ``marks``: bound and epoch of each key.
    """
    while span < spans.shape[0]:
        last, wanted = _piece_spans(spans, span, piece)
        if count + wanted > pairs.shape[1]:
            break
        epoch += 1
        end = _by_middles(
            spans, span, last, lines, places, edges, marks, epoch, pairs, bounds_m, count
        )
        end = _by_chords(count, end, lines, edges, marks, epoch, pairs, bounds_m)
        count = _nearest(count, end, edges[5], marks[0], pairs, bounds_m)
        span = last
    return span, count, epoch
