"""The compiled loop that says which convex piece of a run is nearest to each part of a danger."""

import math

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined

_SLACK_M = 1e-6


@inlined
def _to_segment(
    x: float, y: float, from_x: float, from_y: float, to_x: float, to_y: float
) -> tuple[float, float, float]:
    """Return the squared distance of a place from a segment, and the place nearest on that."""
    run_x, run_y = to_x - from_x, to_y - from_y
    way2 = run_x * run_x + run_y * run_y
    share = 0.0
    if way2 > 0.0:
        share = min(max(((x - from_x) * run_x + (y - from_y) * run_y) / way2, 0.0), 1.0)
    at_x, at_y = from_x + share * run_x, from_y + share * run_y
    return (x - at_x) * (x - at_x) + (y - at_y) * (y - at_y), at_x, at_y


@inlined
def _crossed(
    a_x: float, a_y: float, b_x: float, b_y: float, c_x: float, c_y: float, d_x: float, d_y: float
) -> bool:
    """Return whether segments a b and c d cross; where they only touch, distances say it."""
    one = (b_x - a_x) * (c_y - a_y) - (b_y - a_y) * (c_x - a_x)
    two = (b_x - a_x) * (d_y - a_y) - (b_y - a_y) * (d_x - a_x)
    three = (d_x - c_x) * (a_y - c_y) - (d_y - c_y) * (a_x - c_x)
    four = (d_x - c_x) * (b_y - c_y) - (d_y - c_y) * (b_x - c_x)
    return ((one > 0.0) != (two > 0.0)) and ((three > 0.0) != (four > 0.0))


@inlined
def _measure(
    vertex_m: Floats, piece: int, from_x: float, from_y: float, to_x: float, to_y: float,
    found: Floats,
) -> float:  # fmt: skip
    """Return the squared distance of a piece from a part; ``found`` takes the places on both."""
    corners = vertex_m.shape[1]
    least = math.inf
    left = right = False
    point = from_x == to_x and from_y == to_y
    for corner in range(corners):
        after = corner + 1 if corner + 1 < corners else 0
        a_x, a_y = vertex_m[piece, corner, 0], vertex_m[piece, corner, 1]
        b_x, b_y = vertex_m[piece, after, 0], vertex_m[piece, after, 1]
        side = (b_x - a_x) * (from_y - a_y) - (b_y - a_y) * (from_x - a_x)
        left, right = left or side > 0.0, right or side < 0.0
        square, x, y = _to_segment(from_x, from_y, a_x, a_y, b_x, b_y)
        if square < least:
            least = square
            found[0], found[1], found[2], found[3] = x, y, from_x, from_y
        if point:
            continue
        square, x, y = _to_segment(to_x, to_y, a_x, a_y, b_x, b_y)
        if square < least:
            least = square
            found[0], found[1], found[2], found[3] = x, y, to_x, to_y
        square, x, y = _to_segment(a_x, a_y, from_x, from_y, to_x, to_y)
        if square < least:
            least = square
            found[0], found[1], found[2], found[3] = a_x, a_y, x, y
        if _crossed(a_x, a_y, b_x, b_y, from_x, from_y, to_x, to_y):
            return 0.0
    # On one side of all edges of a convex piece is inside it.
    return 0.0 if left != right else least


@compiled(
    "void(float64[:,:,::1],float64[:,::1],float64[::1],float64[::1],float64[:,::1],float64[:,::1],"
    "float64[::1],float64[::1],int64[::1],float64[:,::1])"
)
def nearest_pieces_loop(
    vertex_m: Floats, middle_m: Floats, radius_m: Floats, bulge_m: Floats, start_m: Floats,
    end_m: Floats, listing_m: Floats, off_m: Floats, nearest: Ints, places_m: Table,
) -> None:  # fmt: skip
    """Write for each part which piece is nearest, how far off it is, and the places on both.

    ``off_m`` is the distance less the bulge of the piece, zero at least, infinite where none is
    within ``listing_m``; of pieces equally near the first counts. ``middle_m`` lies in each piece
    and none of it is farther away than ``radius_m``: that bounds the distance from both sides.
    """
    count = middle_m.shape[0]
    away_m, found = np.empty(count), np.empty(4)
    for part in range(start_m.shape[0]):
        from_x, from_y, to_x, to_y = (
            start_m[part, 0], start_m[part, 1], end_m[part, 0], end_m[part, 1],
        )  # fmt: skip
        wanted_m = listing_m[part]
        point = from_x == to_x and from_y == to_y
        for piece in range(count):
            x, y = middle_m[piece, 0] - from_x, middle_m[piece, 1] - from_y
            square = x * x + y * y
            if not point:
                square, _, _ = _to_segment(
                    middle_m[piece, 0], middle_m[piece, 1], from_x, from_y, to_x, to_y
                )
            away_m[piece] = math.sqrt(square)
            wanted_m = min(wanted_m, away_m[piece])
        wanted_m += _SLACK_M
        best_m = math.inf
        for piece in range(count):
            if away_m[piece] - radius_m[piece] - bulge_m[piece] > min(wanted_m, best_m):
                continue
            square = _measure(vertex_m, piece, from_x, from_y, to_x, to_y, found)
            here_m = max(math.sqrt(square) - bulge_m[piece], 0.0)
            if here_m < best_m:
                best_m = here_m
                nearest[part] = piece
                for column in range(4):
                    places_m[part, column] = found[column]
                places_m[part, 4] = square
        off_m[part] = best_m
