"""The compiled loop that says which convex piece of a run is nearest to each part of a danger."""

import math

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined

_SLACK_M = 1e-6
_BLOCK = 8


@inlined
def _to_segment(
    x_m: float, y_m: float, from_x_m: float, from_y_m: float, to_x_m: float, to_y_m: float
) -> tuple[float, float, float]:
    """Return the squared distance of a place from a segment, and the place nearest on that."""
    run_x, run_y = to_x_m - from_x_m, to_y_m - from_y_m
    way2 = run_x * run_x + run_y * run_y
    share = 0.0
    if way2 > 0.0:
        share = min(max(((x_m - from_x_m) * run_x + (y_m - from_y_m) * run_y) / way2, 0.0), 1.0)
    at_x, at_y = from_x_m + share * run_x, from_y_m + share * run_y
    return (x_m - at_x) * (x_m - at_x) + (y_m - at_y) * (y_m - at_y), at_x, at_y


@inlined
def _crossed(
    a_x_m: float,
    a_y_m: float,
    b_x_m: float,
    b_y_m: float,
    c_x_m: float,
    c_y_m: float,
    d_x_m: float,
    d_y_m: float,
) -> bool:
    """Return whether segments a b and c d cross; where they only touch, distances say it."""
    one = (b_x_m - a_x_m) * (c_y_m - a_y_m) - (b_y_m - a_y_m) * (c_x_m - a_x_m)
    two = (b_x_m - a_x_m) * (d_y_m - a_y_m) - (b_y_m - a_y_m) * (d_x_m - a_x_m)
    three = (d_x_m - c_x_m) * (a_y_m - c_y_m) - (d_y_m - c_y_m) * (a_x_m - c_x_m)
    four = (d_x_m - c_x_m) * (b_y_m - c_y_m) - (d_y_m - c_y_m) * (b_x_m - c_x_m)
    return ((one > 0.0) != (two > 0.0)) and ((three > 0.0) != (four > 0.0))


@inlined
def _measure(
    vertex_m: Floats, piece: int, from_x_m: float, from_y_m: float, to_x_m: float, to_y_m: float,
    found_m: Floats,
) -> float:  # fmt: skip
    """Return the squared distance of a piece from a part; ``found_m`` takes the places on both."""
    corners = vertex_m.shape[1]
    least = math.inf
    left = right = False
    point = from_x_m == to_x_m and from_y_m == to_y_m
    for corner in range(corners):
        after = corner + 1 if corner + 1 < corners else 0
        a_x_m, a_y_m = vertex_m[piece, corner, 0], vertex_m[piece, corner, 1]
        b_x_m, b_y_m = vertex_m[piece, after, 0], vertex_m[piece, after, 1]
        side = (b_x_m - a_x_m) * (from_y_m - a_y_m) - (b_y_m - a_y_m) * (from_x_m - a_x_m)
        left, right = left or side > 0.0, right or side < 0.0
        square, x_m, y_m = _to_segment(from_x_m, from_y_m, a_x_m, a_y_m, b_x_m, b_y_m)
        if square < least:
            least = square
            found_m[0], found_m[1], found_m[2], found_m[3] = x_m, y_m, from_x_m, from_y_m
        if point:
            continue
        square, x_m, y_m = _to_segment(to_x_m, to_y_m, a_x_m, a_y_m, b_x_m, b_y_m)
        if square < least:
            least = square
            found_m[0], found_m[1], found_m[2], found_m[3] = x_m, y_m, to_x_m, to_y_m
        square, x_m, y_m = _to_segment(a_x_m, a_y_m, from_x_m, from_y_m, to_x_m, to_y_m)
        if square < least:
            least = square
            found_m[0], found_m[1], found_m[2], found_m[3] = a_x_m, a_y_m, x_m, y_m
        if _crossed(a_x_m, a_y_m, b_x_m, b_y_m, from_x_m, from_y_m, to_x_m, to_y_m):
            return 0.0
    # On one side of all edges of a convex piece is inside it.
    return 0.0 if left != right else least


@inlined
def _circle(
    block_m: Floats, middle_m: Floats, radius_m: Floats, bulge_m: Floats, first: int, last: int
) -> None:
    """Write a circle about neighbouring pieces: its middle, how far they reach, how near one is."""
    x_m = y_m = 0.0
    for piece in range(first, last):
        x_m += middle_m[piece, 0] / (last - first)
        y_m += middle_m[piece, 1] / (last - first)
    reach_m, near_m = 0.0, math.inf
    for piece in range(first, last):
        off_m = math.hypot(middle_m[piece, 0] - x_m, middle_m[piece, 1] - y_m)
        reach_m = max(reach_m, off_m + radius_m[piece] + bulge_m[piece])
        near_m = min(near_m, off_m)
    block_m[0], block_m[1], block_m[2], block_m[3] = x_m, y_m, reach_m, near_m


@inlined
def _away(x_m: float, y_m: float, part_m: tuple[float, float, float, float]) -> float:
    """Return how far a place is from a part of a danger."""
    square, _, _ = _to_segment(x_m, y_m, part_m[0], part_m[1], part_m[2], part_m[3])
    return math.sqrt(square)


@inlined
def _beyond(
    vertex_m: Floats, middle_m: Floats, piece: int, away_m: float,
    part_m: tuple[float, float, float, float], least_m: float,
) -> bool:  # fmt: skip
    """Return whether a piece is farther than ``least_m`` from a part, as seen from its middle.

    No place of the part lies nearer along the way from the middle to the nearest of its places, and
    none of the piece farther than that of its corners which lies farthest along it.
    """
    x_m, y_m = middle_m[piece, 0], middle_m[piece, 1]
    _, at_x, at_y = _to_segment(x_m, y_m, part_m[0], part_m[1], part_m[2], part_m[3])
    run_x, run_y = at_x - x_m, at_y - y_m
    within = (away_m - least_m - _SLACK_M) * away_m
    for corner in range(vertex_m.shape[1]):
        along = (vertex_m[piece, corner, 0] - x_m) * run_x + (
            vertex_m[piece, corner, 1] - y_m
        ) * run_y
        if along >= within:
            return False
    return True


@inlined
def _blocks(
    middle_m: Floats, radius_m: Floats, bulge_m: Floats, first: Ints, first_block: Ints
) -> Table:
    """Return circles about neighbouring pieces of each run, and write which is a run's first.

    Neighbouring pieces lie together: a circle about a few of them says of most parts that none of
    them matters.
    """
    first_block[0] = 0
    for run in range(first.size - 1):
        count = first[run + 1] - first[run]
        first_block[run + 1] = first_block[run] + (count + _BLOCK - 1) // _BLOCK
    block_m = np.empty((first_block[first.size - 1], 4))
    for run in range(first.size - 1):
        for number in range(first_block[run], first_block[run + 1]):
            begin = first[run] + (number - first_block[run]) * _BLOCK
            end = min(begin + _BLOCK, first[run + 1])
            _circle(block_m[number], middle_m, radius_m, bulge_m, begin, end)
    return block_m


@inlined
def _nearest_middle(
    block_m: Floats, block_away_m: Floats, middle_m: Floats, away_m: Floats,
    run: tuple[int, int, int, int], part_m: tuple[float, float, float, float], wanted_m: float,
) -> tuple[int, float]:  # fmt: skip
    """Write how far the middles of pieces are from a part; return the nearest, and what is near.

    ``run`` holds from where to where its pieces go, and its blocks. Of blocks that cannot be near
    enough ``block_away_m`` takes what is infinite.
    """
    begin, end, block, last = run
    for number in range(block, last):
        block_away_m[number] = _away(block_m[number, 0], block_m[number, 1], part_m)
        wanted_m = min(wanted_m, block_away_m[number] + block_m[number, 3])
    wanted_m += _SLACK_M
    nearest, nearest_m = begin, math.inf
    for number in range(block, last):
        if block_away_m[number] - block_m[number, 2] > wanted_m:
            block_away_m[number] = math.inf
            continue
        first = begin + (number - block) * _BLOCK
        for piece in range(first, min(first + _BLOCK, end)):
            away_m[piece] = _away(middle_m[piece, 0], middle_m[piece, 1], part_m)
            wanted_m = min(wanted_m, away_m[piece] + _SLACK_M)
            if away_m[piece] < nearest_m:
                nearest, nearest_m = piece, away_m[piece]
    return nearest, wanted_m


@compiled(
    "void(float64[:,:,::1],float64[:,::1],float64[::1],float64[::1],int64[::1],int64[::1],"
    "int64[::1],float64[:,::1],float64[:,::1],float64[::1],float64[::1],int64[::1],float64[:,::1])"
)
def nearest_pieces_loop(
    vertex_m: Floats, middle_m: Floats, radius_m: Floats, bulge_m: Floats, first: Ints,
    order: Ints, run: Ints, start_m: Floats, end_m: Floats, listing_m: Floats, off_m: Floats,
    nearest: Ints, places_m: Table,
) -> None:  # fmt: skip
    """Write for each part which piece of its run is nearest, how far off, and the places on both.

    ``first`` holds the first piece of each run, and how many there are of all; ``order`` in which
    order parts are looked at, best those of one run together. ``off_m`` is the distance less the
    bulge of the piece, zero at least; where none is within ``listing_m`` it is more than that or
    infinite. Of pieces equally near the first counts. ``middle_m`` lies in each piece and none of
    it is farther away than ``radius_m``: that bounds the distance from both sides.
    """
    away_m, found_m = np.empty(middle_m.shape[0]), np.empty(4)
    first_block = np.empty(first.size, dtype=np.int64)
    block_m = _blocks(middle_m, radius_m, bulge_m, first, first_block)
    block_away_m = np.empty(block_m.shape[0])
    for part in order:
        begin, end = first[run[part]], first[run[part] + 1]
        block, last = first_block[run[part]], first_block[run[part] + 1]
        from_x_m, from_y_m, to_x_m, to_y_m = (
            start_m[part, 0], start_m[part, 1], end_m[part, 0], end_m[part, 1],
        )  # fmt: skip
        part_m = (from_x_m, from_y_m, to_x_m, to_y_m)
        middle, wanted_m = _nearest_middle(
            block_m, block_away_m, middle_m, away_m, (begin, end, block, last), part_m,
            listing_m[part],
        )  # fmt: skip
        # First the piece with the nearest middle: what it keeps the others are held to.
        best_m = math.inf
        for number in range(block - 1, last):
            if number >= block and block_away_m[number] == math.inf:
                continue
            low = begin + (number - block) * _BLOCK if number >= block else middle
            high = min(low + _BLOCK, end) if number >= block else middle + 1
            for piece in range(low, high):
                least_m = min(wanted_m, best_m) + bulge_m[piece]
                known = piece == middle and number >= block
                if known or away_m[piece] - radius_m[piece] > least_m:
                    continue
                if _beyond(vertex_m, middle_m, piece, away_m[piece], part_m, least_m):
                    continue
                square = _measure(vertex_m, piece, from_x_m, from_y_m, to_x_m, to_y_m, found_m)
                here_m = max(math.sqrt(square) - bulge_m[piece], 0.0)
                if here_m < best_m or (here_m == best_m and piece < nearest[part]):
                    best_m = here_m
                    nearest[part] = piece
                    for column in range(4):
                        places_m[part, column] = found_m[column]
                    places_m[part, 4] = square
        off_m[part] = best_m


@compiled(
    "int64[::1](float64[:,:,::1],float64[:,::1],float64[::1],float64[::1],int64[::1],int64[::1],"
    "float64[:,::1],float64[:,::1],float64[::1])"
)
def first_near_loop(
    vertex_m: Floats, middle_m: Floats, radius_m: Floats, bulge_m: Floats, first: Ints, run: Ints,
    start_m: Floats, end_m: Floats, margin_m: Floats,
) -> Ints:  # fmt: skip
    """Return for each part the first piece of its run that is within a margin of it.

    Where none is, that is the number of the run's last piece and one. Else as
    ``nearest_pieces_loop``.
    """
    found, found_m = np.empty(run.size, dtype=np.int64), np.empty(4)
    for part in range(run.size):
        part_m = (start_m[part, 0], start_m[part, 1], end_m[part, 0], end_m[part, 1])
        found[part] = first[run[part] + 1]
        for piece in range(first[run[part]], first[run[part] + 1]):
            away_m = _away(middle_m[piece, 0], middle_m[piece, 1], part_m)
            least_m = margin_m[part] + bulge_m[piece]
            if away_m - radius_m[piece] - _SLACK_M > least_m:
                continue
            if _beyond(vertex_m, middle_m, piece, away_m, part_m, least_m):
                continue
            square = _measure(vertex_m, piece, part_m[0], part_m[1], part_m[2], part_m[3], found_m)
            if max(math.sqrt(square) - bulge_m[piece], 0.0) <= margin_m[part]:
                found[part] = piece
                break
    return found


@compiled("int64[::1](int64[::1],int64[::1],float64[::1],int64[::1])")
def nearest_of_each_loop(order: Ints, key: Ints, off_m: Floats, piece: Ints) -> Ints:
    """Return of the rows of each key that which is nearest, of those the one of the first piece.

    ``order`` holds the numbers of the rows by key; of rows alike in all the first counts.
    """
    found = np.empty(order.size, dtype=np.int64)
    count = 0
    for place in range(order.size):
        row = order[place]
        if place == 0 or key[row] != key[order[place - 1]]:
            found[count] = row
            count += 1
            continue
        best = found[count - 1]
        nearer = off_m[row] < off_m[best]
        if nearer or (off_m[row] == off_m[best] and piece[row] < piece[best]):
            found[count - 1] = row
    return found[:count]
