"""The compiled loop that says where the points in boxes stand in a grid."""

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, copy_over, inlined
from wheelover.core.geo.point_grid import BANDS_PER_DEG, CELLS_PER_BAND, CELLS_PER_DEG

_FIRST_ROOM = 4096


@inlined
def _first_east_of(lon_deg: Floats, low: int, high: int, west_deg: float) -> int:
    """Return the first of sorted points that does not lie west of a longitude."""
    while low < high:
        middle = (low + high) // 2
        if lon_deg[middle] < west_deg:
            low = middle + 1
        else:
            high = middle
    return low


@inlined
def _bands(south_deg: float, north_deg: float, first_band: int, cell_starts: Ints
) -> tuple[int, int]:  # fmt: skip
    """Return the bands between two latitudes, counted from the first that holds points."""
    count = (cell_starts.size - 1) // CELLS_PER_BAND
    lowest = max(0, int((south_deg + 90.0) * BANDS_PER_DEG)) - first_band
    highest = int((north_deg + 90.0) * BANDS_PER_DEG) - first_band + 1
    return max(0, lowest), min(count, highest)


@inlined
def _span(
    lon_deg: Floats, cell_starts: Ints, band_start: int, west_deg: float, east_deg: float
) -> tuple[int, int]:
    """Return the first point of a band between two longitudes, and the end of them."""
    cell = min(max(int((west_deg + 180.0) * CELLS_PER_DEG), 0), CELLS_PER_BAND - 1)
    last = min(max(int((east_deg + 180.0) * CELLS_PER_DEG), 0), CELLS_PER_BAND - 1)
    low, high = cell_starts[band_start + cell], cell_starts[band_start + cell + 1]
    start = _first_east_of(lon_deg, low, high, west_deg)
    low, high = cell_starts[band_start + last], cell_starts[band_start + last + 1]
    # A point on the eastern edge is in: the edge is shifted by what the order does not tell apart.
    return start, _first_east_of(lon_deg, low, high, east_deg + 1e-9)


@compiled("int64[:,::1](float64[:,::1],float64[::1],int64,int64[::1])")
def spans_loop(boxes: Table, lon_deg: Floats, first_band: int, cell_starts: Ints) -> Ints:
    """Return where the points in boxes stand: number of the box, first point and end, (m, 3).

    ``boxes`` holds south, north, west and east of each.
    """
    spans = np.empty((_FIRST_ROOM, 3), np.int64)
    count = 0
    for box in range(boxes.shape[0]):
        south, north, west, east = boxes[box]
        lowest, highest = _bands(south, north, first_band, cell_starts)
        for band in range(lowest, highest):
            # What runs beyond 180 degrees goes on from -180.
            for turn in range(1 if east <= 180.0 else 2):
                start, end = _span(
                    lon_deg,
                    cell_starts,
                    band * CELLS_PER_BAND,
                    west if turn == 0 else -180.0,
                    min(east, 180.0) if turn == 0 else east - 360.0,
                )
                if start < end:
                    if count == spans.shape[0]:
                        longer = np.empty((2 * count, 3), np.int64)
                        copy_over(longer.reshape(longer.size), spans.reshape(spans.size))
                        spans = longer
                    spans[count, 0] = box
                    spans[count, 1] = start
                    spans[count, 2] = end
                    count += 1
    return spans[:count]
