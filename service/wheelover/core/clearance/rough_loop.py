"""The compiled loops that bound, roughly and fast, how far edges are from pieces of the track."""

import math

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined


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


@compiled(
    "UniTuple(int64,2)(int64[:,::1],int64,float64[:,::1],float64[:,::1],float64[::1],int64[::1],"
    "float64[:,::1],float64[::1],float64[::1],int64[:,::1],float64[:,::1],int64)"
)
def chord_spans_loop(
    spans: Ints, span: int, from_m: Table, to_m: Table, reach_m: Floats, number: Ints,
    middles_m: Table, half_m: Floats, search_m: Floats, pairs: Ints, bounds_m: Table, count: int,
) -> tuple[int, int]:  # fmt: skip
    """Write pairs of chords and edges whose middles may be near enough; return next span and row.

    ``spans`` holds for each chord from where to where edges stand that may be near. No place of an
    edge is farther than ``half_m`` from its middle, and no place of a line than ``reach_m`` from
    its chord: an arc of a circle by its sagitta. It ends early where there is no room for a span.
    """
    while span < spans.shape[0]:
        chord, start, end = spans[span]
        if count + end - start > pairs.shape[1]:
            break
        for row in range(start, end):
            apart_m = _from_chord(middles_m, row, from_m, to_m, chord)
            least_m = apart_m - half_m[row] - reach_m[chord]
            if least_m <= search_m[number[row]]:
                pairs[0, count], pairs[1, count] = chord, number[row]
                bounds_m[0, count], bounds_m[1, count] = least_m, apart_m + reach_m[chord]
                count += 1
        span += 1
    return span, count


@inlined
def _dot(a_m: Table, a: int, b_m: Table, b: int, c_m: Table, c: int, d_m: Table, d: int) -> float:
    """Return the product of the way from b to a and that from d to c."""
    total_m2 = 0.0
    for axis in range(3):
        total_m2 += (a_m[a, axis] - b_m[b, axis]) * (c_m[c, axis] - d_m[d, axis])
    return total_m2


@compiled(
    "void(int64[::1],int64[::1],float64[:,::1],float64[:,::1],float64[:,::1],float64[:,::1],"
    "float64[::1])"
)
def chords_loop(
    chord: Ints, edge: Ints, from_m: Table, to_m: Table, starts_m: Table, ends_m: Table,
    apart_m: Floats,
) -> None:  # fmt: skip
    """Write for each pair how far the chords are apart: ends, or the perpendicular to both."""
    for pair in range(chord.size):
        one, other = chord[pair], edge[pair]
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
        apart_m[pair] = best_m
