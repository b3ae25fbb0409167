"""The compiled loop that finds the convex hulls of groups of a few places."""

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined


@inlined
def _turn_m2(place_m: Floats, group: int, one: int, other: int, third: int) -> float:
    """Return a number above zero where the way over three places bends to the left."""
    run_x = place_m[group, other, 0] - place_m[group, one, 0]
    run_y = place_m[group, other, 1] - place_m[group, one, 1]
    on_x = place_m[group, third, 0] - place_m[group, one, 0]
    on_y = place_m[group, third, 1] - place_m[group, one, 1]
    return float(run_x * on_y - run_y * on_x)


@inlined
def _sort(place_m: Floats, group: int, order: Ints) -> None:
    """Write the numbers of places from west to east, of those on a meridian from south to north."""
    for number in range(order.size):
        at = number
        while at > 0:
            x, y = place_m[group, number, 0], place_m[group, number, 1]
            before = order[at - 1]
            west = place_m[group, before, 0] < x
            if west or (place_m[group, before, 0] == x and place_m[group, before, 1] <= y):
                break
            order[at] = before
            at -= 1
        order[at] = number


@compiled("void(float64[:,:,::1],float64[:,:,::1])")
def hulls_loop(place_m: Floats, vertex_m: Table) -> None:
    """Write the corners of convex hulls of groups of places, clockwise from the southernmost.

    ``place_m`` of shape (n, k, 2) holds the places and ``vertex_m`` takes the corners, filled up
    with the last. Places along an edge are no corners.
    """
    k = place_m.shape[1]
    order, chain = np.empty(k, dtype=np.int64), np.empty(2 * k + 1, dtype=np.int64)
    for group in range(place_m.shape[0]):
        _sort(place_m, group, order)
        count = 0
        for half in range(2):
            floor = count + 1 if half == 0 else count
            for step in range(k):
                if half == 1 and step == 0:
                    continue
                place = order[step] if half == 0 else order[k - 1 - step]
                while count > floor and (
                    _turn_m2(place_m, group, chain[count - 2], chain[count - 1], place) <= 0.0
                ):
                    count -= 1
                chain[count] = place
                count += 1
        # The last is the first again.
        count -= 1
        first = 0
        for corner in range(1, count):
            south = place_m[group, chain[corner], 1] - place_m[group, chain[first], 1]
            if south < 0.0:
                first = corner
        for corner in range(k):
            place = chain[(first - min(corner, count - 1)) % count]
            vertex_m[group, corner, 0] = place_m[group, place, 0]
            vertex_m[group, corner, 1] = place_m[group, place, 1]
