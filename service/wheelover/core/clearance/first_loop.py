"""The compiled loop that takes of rows with one key the nearest."""

from wheelover.core.arrays import Floats, Ints
from wheelover.core.compiled import compiled


@compiled("int64(int64[::1],int64[::1],float64[::1],float64[::1],float64,int64[::1])")
def first_loop(
    order: Ints, keys: Ints, distance_m: Floats, along_m: Floats, on_track_m: float, first: Ints
) -> int:
    """Write of each key the row with the least distance; return how many.

    ``order`` has the rows sorted by key. What is nearer than ``on_track_m`` has no distance; of
    equal ones the first along counts, and of those the first in ``order``.
    """
    count = 0
    for place in range(order.size):
        row = order[place]
        if place == 0 or keys[row] != keys[order[place - 1]]:
            first[count] = row
            count += 1
            continue
        best = first[count - 1]
        here_m = 0.0 if distance_m[row] < on_track_m else distance_m[row]
        there_m = 0.0 if distance_m[best] < on_track_m else distance_m[best]
        if here_m < there_m or (here_m == there_m and along_m[row] < along_m[best]):
            first[count - 1] = row
    return count
