"""Which places are land of the coastline."""

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Bools, Floats, Ints, as_floats, numbered
from wheelover.core.coast.chunks import (
    COLUMN_COUNT,
    column_of,
    edges_of,
    ends_of,
    line_lat_deg,
    row_of,
)
from wheelover.core.types.coast import Coast

_PORTION = 2000


def on_land(coast: Coast, lat_deg: ArrayLike, lon_deg: ArrayLike) -> Bools:
    """Return which places are land: inside an odd number of rings.

    So a lake is water, and an island in it land. A place on a shore is one or the other.

    Parameters
    ----------
    coast : Coast
        The shores.
    lat_deg, lon_deg : array_like, shape (n,)
        Positions in degrees.

    Returns
    -------
    ndarray, shape (n,)
        True on land.

    Notes
    -----
    At the lower edge of a row of cells it is known where the shores cross it; from there a place
    is reached along its meridian, and each shore crossed on the way changes land into water.
    """
    lat, lon = as_floats(lat_deg), as_floats(lon_deg)
    # At 180 degrees the shores east of it count, which begin there.
    lon = (lon + 180.0) % 360.0 - 180.0
    found = np.empty(lat.size, dtype=np.bool_)
    for low in range(0, lat.size, _PORTION):
        part = slice(low, low + _PORTION)
        found[part] = _on_land(coast, lat[part], lon[part])
    return found


def _on_land(coast: Coast, lat_deg: Floats, lon_deg: Floats) -> Bools:
    """Return which of a few thousand places are land."""
    row = row_of(lat_deg)
    crossed = _crossed_west(coast, row, lon_deg)
    cell = row * COLUMN_COUNT + column_of(lon_deg)
    place, number = numbered(np.diff(coast.cell_starts)[cell])
    chunk = coast.cell_chunks[coast.cell_starts[cell][place] + number]
    box = coast.box_deg[chunk]
    line_deg = line_lat_deg(row)
    on_way = (box[:, 0] <= lon_deg[place]) & (box[:, 2] >= lon_deg[place])
    on_way &= (box[:, 1] <= lat_deg[place]) & (box[:, 3] >= line_deg[place])
    place, chunk = place[on_way], chunk[on_way].astype(np.int64)
    which, edge = edges_of(coast.first, coast.edge_count, chunk)
    one, other = ends_of(coast, edge)
    of_place = place[which]
    x_deg = lon_deg[of_place]
    over = np.flatnonzero((one[:, 0] > x_deg) != (other[:, 0] > x_deg))
    one, other, of_place, x_deg = one[over], other[over], of_place[over], x_deg[over]
    share = (x_deg - one[:, 0]) / (other[:, 0] - one[:, 0])
    at_deg = one[:, 1] + share * (other[:, 1] - one[:, 1])
    between = (at_deg > line_deg[of_place]) & (at_deg <= lat_deg[of_place])
    crossed = crossed + np.bincount(of_place[between], minlength=lat_deg.size)
    return np.asarray(crossed % 2 == 1)


def _crossed_west(coast: Coast, row: Ints, lon_deg: Floats) -> Ints:
    """Return how many shores lie west of places on the lower edges of their rows."""
    count = np.zeros(row.size, dtype=np.int64)
    for one in np.unique(row).tolist():
        of_line = coast.line_lon_deg[coast.line_starts[one] : coast.line_starts[one + 1]]
        here = row == one
        count[here] = np.searchsorted(of_line, lon_deg[here], side="right")
    return count
