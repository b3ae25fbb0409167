"""The compiled loop that says by how much convex pieces may be moved before a part is too near."""

import math

import numpy as np

from wheelover.core.arrays import Floats, Table
from wheelover.core.compiled import compiled, inlined

_SLACK_M = 1e-6
"""So much more than what is too near is looked at: boxes are rounded otherwise than distances."""


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


@inlined
def _boxes(vertex_m: Floats, bulge_m: Floats) -> Table:
    """Return the least and largest x and y of each piece with its bulge, and last those of all."""
    count = vertex_m.shape[0]
    box_m = np.empty((count + 1, 4))
    box_m[count, 0] = box_m[count, 1] = math.inf
    box_m[count, 2] = box_m[count, 3] = -math.inf
    for piece in range(count):
        for axis in range(2):
            low_m, high_m = math.inf, -math.inf
            for corner in range(vertex_m.shape[1]):
                low_m = min(low_m, vertex_m[piece, corner, axis])
                high_m = max(high_m, vertex_m[piece, corner, axis])
            box_m[piece, axis] = low_m - bulge_m[piece]
            box_m[piece, 2 + axis] = high_m + bulge_m[piece]
            box_m[count, axis] = min(box_m[count, axis], box_m[piece, axis])
            box_m[count, 2 + axis] = max(box_m[count, 2 + axis], box_m[piece, 2 + axis])
    return box_m


@inlined
def _meets(
    box_m: Floats, piece: int, part_m: Floats, part: int, margin_m: float, least_m: float,
    most_m: float,
) -> bool:  # fmt: skip
    """Return whether a part may be too near to what is in a box, moved by some shift."""
    one_x, other_x = part_m[part, 0, 0], part_m[part, 1, 0]
    one_y, other_y = part_m[part, 0, 1], part_m[part, 1, 1]
    below = min(one_y, other_y) - box_m[piece, 3] > margin_m
    above = box_m[piece, 1] - max(one_y, other_y) > margin_m
    beyond = min(one_x, other_x) - box_m[piece, 2] - margin_m > most_m
    before = max(one_x, other_x) - box_m[piece, 0] + margin_m < least_m
    return not (below or above or beyond or before)


@compiled(
    "float64[:,::1](float64[:,:,::1],float64[::1],float64[:,:,::1],float64[::1],float64,float64)"
)
def intervals_loop(
    vertex_m: Floats, bulge_m: Floats, part_m: Floats, margin_m: Floats, least_m: float,
    most_m: float,
) -> Table:  # fmt: skip
    """Return the part of each pair that meets within two shifts, and from where to where.

    Pairs come by piece, and those of a piece by part. Most parts lie beside the way of all pieces
    together: that is told at once.
    """
    count = vertex_m.shape[0]
    box_m = _boxes(vertex_m, bulge_m)
    near = np.empty(margin_m.size, dtype=np.int64)
    some = pairs = 0
    for part in range(margin_m.size):
        if _meets(box_m, count, part_m, part, margin_m[part] + _SLACK_M, least_m, most_m):
            near[some] = part
            some += 1
    rows, found_m = np.empty((count * some, 3)), np.empty(2)
    for piece in range(count):
        for place in range(some):
            part = near[place]
            if not _meets(box_m, piece, part_m, part, margin_m[part] + _SLACK_M, least_m, most_m):
                continue
            _interval(vertex_m, piece, part_m, part, margin_m[part] + bulge_m[piece], found_m)
            if found_m[1] >= least_m and found_m[0] <= most_m:
                rows[pairs, 0], rows[pairs, 1], rows[pairs, 2] = part, found_m[0], found_m[1]
                pairs += 1
    return rows[:pairs]
