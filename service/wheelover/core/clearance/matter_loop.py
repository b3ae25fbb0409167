"""The compiled loops that tell which rows of pieces and dangers matter."""

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.compiled import compiled


@compiled("void(int64[::1],float64[::1],float64[::1],int64,float64[::1])")
def least_left_loop(
    piece: Ints, distance_m: Floats, within_m: Floats, count: int, least_m: Floats
) -> None:
    """Lower what is left on each piece to the least that the first rows leave over their limit."""
    for row in range(count):
        left_m = distance_m[row] - within_m[row]
        least_m[piece[row]] = min(least_m[piece[row]], left_m)


@compiled(
    "int64(int64[::1],int64[::1],int64[::1],float64[::1],float64[::1],float64[::1],float64,"
    "bool_[::1],int64[::1])"
)
def matter_loop(
    order: Ints, piece: Ints, hazard: Ints, distance_m: Floats, within_m: Floats,
    least_m: Floats, alike_m: float, matters: Bools, kept: Ints,
) -> int:  # fmt: skip
    """Write the rows that matter in ``kept``, ascending; return how many there are.

    ``order`` holds the rows by danger. A row matters where no other of its danger is nearer by more
    than ``alike_m``, inside its limit, and with the least left over the limit on its piece.
    """
    start = 0
    while start < order.size:
        nearest_m, stop = distance_m[order[start]], start + 1
        while stop < order.size and hazard[order[stop]] == hazard[order[start]]:
            nearest_m = min(nearest_m, distance_m[order[stop]])
            stop += 1
        for place in range(start, stop):
            row = order[place]
            left_m = max(least_m[piece[row]], 0.0) + alike_m
            matters[row] = (
                distance_m[row] <= nearest_m + alike_m or distance_m[row] - within_m[row] <= left_m
            )
        start = stop
    count = 0
    for row in range(order.size):
        if matters[row]:
            kept[count] = row
            count += 1
    return count


@compiled("int64(int64[::1],int64[::1],int64[::1],int64[::1],bool_[::1],int64[::1])")
def rows_loop(
    hazards: Ints, hazard_sorted: Ints, by_hazard: Ints, piece: Ints, moved: Bools, rows: Ints
) -> int:
    """Write the rows of some dangers on pieces that were not moved; return how many there are.

    ``hazards`` are ascending and may stand there several times. ``by_hazard`` holds the rows in the
    order of their dangers, which ``hazard_sorted`` are. What finds no room is counted only.
    """
    count = 0
    for number in range(hazards.size):
        if number > 0 and hazards[number] == hazards[number - 1]:
            continue
        low, high = 0, hazard_sorted.size
        while low < high:
            middle = (low + high) // 2
            if hazard_sorted[middle] < hazards[number]:
                low = middle + 1
            else:
                high = middle
        while low < hazard_sorted.size and hazard_sorted[low] == hazards[number]:
            if not moved[piece[by_hazard[low]]]:
                if count < rows.size:
                    rows[count] = by_hazard[low]
                count += 1
            low += 1
    return count
