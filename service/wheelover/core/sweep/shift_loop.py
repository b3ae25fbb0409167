"""The compiled loop that says by how much convex pieces may be moved before a part is too near."""

import math

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined


@inlined
def _on_side(
    from_x_m: float, from_y_m: float, to_x_m: float, to_y_m: float, off_m: float, found_m: Floats
) -> None:
    """Widen ``found_m`` to where the x-axis meets the lines beside an edge, on either side of it.

    Edges along the axis meet it nowhere else than the circles about their ends do.
    """
    run_x, run_y = to_x_m - from_x_m, to_y_m - from_y_m
    length_m = math.hypot(run_x, run_y)
    if run_y == 0.0:
        return
    aside_x, aside_y = off_m * run_y / length_m, -off_m * run_x / length_m
    for side in (-1.0, 1.0):
        share = -(from_y_m + side * aside_y) / run_y
        if share >= 0.0 and share <= 1.0:
            place_m = from_x_m + side * aside_x + share * run_x
            found_m[0] = min(found_m[0], place_m)
            found_m[1] = max(found_m[1], place_m)


@inlined
def _interval(
    vertex_m: Floats, piece: int, part_m: Floats, part: int, near_m: float, found_m: Floats
) -> None:
    """Write where the x-axis is within a distance of a piece as a part sees it.

    The places are the corners of the piece as they lie from the ends of the part.
    """
    corners = vertex_m.shape[1]
    point = part_m[part, 0, 0] == part_m[part, 1, 0] and part_m[part, 0, 1] == part_m[part, 1, 1]
    ends = 1 if point else 2
    found_m[0], found_m[1] = math.inf, -math.inf
    for corner in range(corners):
        after = corner + 1 if corner + 1 < corners else 0
        for end in range(ends):
            x_m = part_m[part, end, 0] - vertex_m[piece, corner, 0]
            y_m = part_m[part, end, 1] - vertex_m[piece, corner, 1]
            squared = near_m * near_m - y_m * y_m
            if squared >= 0.0:
                half_m = math.sqrt(squared)
                found_m[0] = min(found_m[0], x_m - half_m)
                found_m[1] = max(found_m[1], x_m + half_m)
            next_x_m = part_m[part, end, 0] - vertex_m[piece, after, 0]
            next_y_m = part_m[part, end, 1] - vertex_m[piece, after, 1]
            _on_side(x_m, y_m, next_x_m, next_y_m, near_m, found_m)
        if not point:
            x_m = part_m[part, 0, 0] - vertex_m[piece, corner, 0]
            y_m = part_m[part, 0, 1] - vertex_m[piece, corner, 1]
            other_x_m = part_m[part, 1, 0] - vertex_m[piece, corner, 0]
            other_y_m = part_m[part, 1, 1] - vertex_m[piece, corner, 1]
            _on_side(x_m, y_m, other_x_m, other_y_m, near_m, found_m)


@compiled(
    "float64[:,::1](float64[:,:,::1],float64[::1],float64[:,:,::1],float64[::1],int64[::1],"
    "int64[::1],float64,float64)"
)
def intervals_loop(
    vertex_m: Floats, bulge_m: Floats, part_m: Floats, margin_m: Floats, piece: Ints, part: Ints,
    least_m: float, most_m: float,
) -> Table:  # fmt: skip
    """Return the number of each pair that meets within two shifts, and from where to where."""
    rows = np.empty((piece.size, 3))
    found_m = np.empty(2)
    count = 0
    for pair in range(piece.size):
        near_m = margin_m[part[pair]] + bulge_m[piece[pair]]
        _interval(vertex_m, piece[pair], part_m, part[pair], near_m, found_m)
        if found_m[1] >= least_m and found_m[0] <= most_m:
            rows[count, 0], rows[count, 1], rows[count, 2] = pair, found_m[0], found_m[1]
            count += 1
    return rows[:count]
