"""The compiled loop that says where the points in boxes stand in a grid."""

import math

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, copy_over, inlined
from wheelover.core.geo.point_grid import BANDS_PER_DEG, CELLS_PER_BAND, CELLS_PER_DEG

_FIRST_ROOM = 4096
_LEAST_M_PER_DEG = 110_500.0
_POLAR_DEG = 89.0


@inlined
def first_from(key_deg: Floats, low: int, high: int, value_deg: float) -> int:
    """Return the first number from ``low`` on, ``high`` at most, whose key is not below a value."""
    while low < high:
        middle = (low + high) // 2
        if key_deg[middle] < value_deg:
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
    start = first_from(lon_deg, low, high, west_deg)
    low, high = cell_starts[band_start + last], cell_starts[band_start + last + 1]
    # A point on the eastern edge is in: the edge is shifted by what the order does not tell apart.
    return start, first_from(lon_deg, low, high, east_deg + 1e-9)


@compiled("void(float64[:,:],float64[:,:],float64[::1],float64[:,::1])")
def boxes_loop(lats_deg: Table, lons_deg: Table, margin_m: Floats, boxes: Table) -> None:
    """Write the boxes about lines (``near_points.boxes_around``): south, north, west and east."""
    for row in range(margin_m.size):
        margin_deg = margin_m[row] / _LEAST_M_PER_DEG
        south = min(lats_deg[row, 0], lats_deg[row, 1]) - margin_deg
        north = max(lats_deg[row, 0], lats_deg[row, 1]) + margin_deg
        farthest = max(abs(south), abs(north))
        run = _to_the_east(lons_deg[row, 1] - lons_deg[row, 0])
        west, width = -180.0, 360.0
        if farthest < _POLAR_DEG:
            wide = margin_deg / math.cos(farthest * math.pi / 180.0) + 1e-8
            if abs(run) + 2.0 * wide < 360.0:
                west = _to_the_east(lons_deg[row, 0] + min(run, 0.0) - wide)
                width = abs(run) + 2.0 * wide
        boxes[row, 0], boxes[row, 1], boxes[row, 2], boxes[row, 3] = (
            south,
            north,
            west,
            west + width,
        )


@inlined
def _to_the_east(lon_deg: float) -> float:
    """Return a longitude, or a change of it, from -180 up to 180 degrees."""
    turned = lon_deg + 180.0
    return turned - 360.0 * math.floor(turned / 360.0) - 180.0


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
