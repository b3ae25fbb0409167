"""The compiled loop that bounds how far edges are from stretches of legs, by their middles."""

import math

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined


@inlined
def _apart(one_m: Table, one: int, other_m: Table, other: int) -> float:
    """Return the distance of two places in space."""
    x_m = one_m[one, 0] - other_m[other, 0]
    y_m = one_m[one, 1] - other_m[other, 1]
    z_m = one_m[one, 2] - other_m[other, 2]
    return math.sqrt(x_m * x_m + y_m * y_m + z_m * z_m)


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
    "void(int64[::1],int64[::1],float64[:,::1],float64[:,::1],float64[::1],float64[:,::1],"
    "float64[:,::1],float64[:,::1],float64[::1],float64[:,::1])"
)
def rough_loop(
    stretch: Ints, edge: Ints, from_m: Table, to_m: Table, bow_m: Floats, starts_m: Table,
    middles_m: Table, ends_m: Table, edge_bow_m: Floats, bounds_m: Table,
) -> None:  # fmt: skip
    """Write for each pair how far apart they are at least and at most.

    The middle of an edge is a place of it, and no other is farther from it than half its length.
    """
    for pair in range(stretch.size):
        this, other = stretch[pair], edge[pair]
        apart_m = _from_chord(middles_m, other, from_m, to_m, this)
        half_m = _apart(ends_m, other, starts_m, other) / 2.0
        bounds_m[pair, 0] = apart_m - half_m - bow_m[this] - edge_bow_m[other]
        bounds_m[pair, 1] = apart_m + bow_m[this]
