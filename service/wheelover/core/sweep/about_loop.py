"""The compiled loop that finds places in many boxes at once."""

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined
from wheelover.core.geo.span_loop import first_from

BAND_KEY = 1024.0
"""What keys of one band have more than those of the band before."""

_ROUNDED_DEG = 1e-9
_SPANS = 3


@inlined
def _span(first_deg: float, width_deg: float, number: int) -> tuple[float, float]:
    """Return one of the stretches of longitude, east of -180, of a box: crossed over for none.

    A box that runs over 180 degrees has two; a place on 180 degrees is one on -180 as well.
    """
    if width_deg >= 360.0:
        return (0.0, 360.0) if number == 0 else (1.0, 0.0)
    beyond_deg = first_deg + width_deg - 360.0
    if number == 0:
        return first_deg, min(first_deg + width_deg, 360.0)
    if number == 1 and beyond_deg > 0.0:
        return 0.0, beyond_deg
    if number == 2 and first_deg == 0.0 and beyond_deg < 0.0:
        return 360.0, 360.0
    return 1.0, 0.0


@inlined
def _stop_from(key_deg: Floats, start: int, value_deg: float) -> int:
    """Return the first number from ``start`` on whose key is not below a value: few are between."""
    step, low = 1, start
    while low + step < key_deg.size and key_deg[low + step] < value_deg:
        low += step
        step *= 2
    return first_from(key_deg, low, min(low + step, key_deg.size), value_deg)


@compiled("int64[:,::1](float64[::1],int64[::1],float64[:,::1])")
def boxes_loop(key_deg: Floats, number: Ints, boxes: Table) -> Ints:
    """Return rows of a box and the number of a place in it, or somewhat beside it.

    ``boxes`` holds of each box the lowest and the highest band, where it begins in the west and its
    width in degrees; ``key_deg`` the keys of places, ascending, and ``number`` what they are.
    """
    most = 0
    for box in range(boxes.shape[0]):
        most += (int(boxes[box, 1] - boxes[box, 0]) + 1) * _SPANS
    spans = np.empty((most, 3), dtype=np.int64)
    count = total = 0
    for box in range(boxes.shape[0]):
        first_deg = (boxes[box, 2] + 180.0) % 360.0
        for step in range(int(boxes[box, 1] - boxes[box, 0]) + 1):
            base_deg = (boxes[box, 0] + step) * BAND_KEY
            for part in range(_SPANS):
                west_deg, east_deg = _span(first_deg, boxes[box, 3], part)
                if east_deg < west_deg:
                    continue
                start = first_from(key_deg, 0, key_deg.size, base_deg + west_deg - _ROUNDED_DEG)
                stop = _stop_from(key_deg, start, base_deg + east_deg + _ROUNDED_DEG)
                spans[count, 0], spans[count, 1], spans[count, 2] = box, start, stop
                count += 1
                total += stop - start
    rows = np.empty((total, 2), dtype=np.int64)
    row = 0
    for one in range(count):
        for place in range(spans[one, 1], spans[one, 2]):
            rows[row, 0], rows[row, 1] = spans[one, 0], number[place]
            row += 1
    return rows
