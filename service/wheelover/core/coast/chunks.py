"""The shores of the world in chunks of a few edges, so that those near a place are found at once.

No polygon is cut. Even a ring of a million vertices is only looked at in boxes of its chunks.
"""

from collections.abc import Callable
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wheelover.core.arrays import Bools, Floats, Ints, numbered
from wheelover.core.types.coast import Coast

CHUNK_COUNT = 32
"""A chunk has at most so many edges."""

CELL_DEG = 0.25
"""Height and width of the cells that chunks are looked up in."""

COLUMN_COUNT = round(360.0 / CELL_DEG)
ROW_COUNT = round(180.0 / CELL_DEG) + 1

# Vertices are whole micro-degrees rounded to single precision; no vertex lies on these lines.
_OFFSET_DEG = 0.0031830988618379
_PORTIONS = 20
_POLE_DEG = 90.0
_DATE_LINE_DEG = 180.0

Progress = Callable[[int], None]
"""Is told how many per cent are done."""


def row_of(lat_deg: ArrayLike) -> Ints:
    """Return the row of cells that latitudes lie in."""
    share = (np.asarray(lat_deg, np.float64) + _POLE_DEG + CELL_DEG - _OFFSET_DEG) / CELL_DEG
    return np.asarray(np.clip(np.floor(share), 0, ROW_COUNT - 1), dtype=np.int64)


def line_lat_deg(row: Ints) -> Floats:
    """Return the latitude of the lower edge of rows of cells; that of the first is below -90."""
    return np.asarray(row * CELL_DEG - _POLE_DEG - CELL_DEG + _OFFSET_DEG)


def column_of(lon_deg: ArrayLike) -> Ints:
    """Return the column of cells that longitudes from -180 to 180 lie in."""
    share = (np.asarray(lon_deg, np.float64) + _DATE_LINE_DEG) / CELL_DEG
    return np.asarray(np.clip(np.floor(share), 0, COLUMN_COUNT - 1), dtype=np.int64)


def coast_of(
    points_deg: NDArray[np.float32], first: Ints, end: Ints, version: str, progress: Progress
) -> Coast:
    """Return shores in chunks, ready to be looked at.

    Parameters
    ----------
    points_deg : ndarray, shape (n, 2)
        Longitude and latitude of the vertices of closed rings behind one another.
    first, end : ndarray, shape (rings,)
        Where each ring begins, and where the next would; without gaps.
    version : str
        What the data are called.
    progress : callable
        Is told how many per cent are done.
    """
    start, edge_count = _chunks(first, end)
    box_deg = _boxes(points_deg, start, edge_count, progress)
    cell_starts, cell_chunks = _cells(box_deg)
    progress(85)
    line_starts, line_lon_deg = _lines(points_deg, start, edge_count, box_deg)
    progress(100)
    return Coast(
        version=version,
        points_deg=points_deg,
        first=start,
        edge_count=edge_count,
        box_deg=box_deg,
        cell_starts=cell_starts,
        cell_chunks=cell_chunks,
        line_starts=line_starts,
        line_lon_deg=line_lon_deg,
    )


def _chunks(first: Ints, end: Ints) -> tuple[Ints, Ints]:
    """Return where each chunk begins and how many edges it has; none reaches into another ring."""
    edges = end - first - 1
    ring, place = numbered(-(-edges // CHUNK_COUNT))
    start = first[ring] + place * CHUNK_COUNT
    return start, np.minimum(CHUNK_COUNT, edges[ring] - place * CHUNK_COUNT)


def _boxes(
    points_deg: NDArray[np.float32], start: Ints, edge_count: Ints, progress: Progress
) -> NDArray[np.float32]:
    """Return the box of each chunk. Its last vertex is the first of the next of its ring."""
    box_deg = np.empty((start.size, 4), dtype=np.float32)
    bounds = np.linspace(0, start.size, _PORTIONS + 1).astype(np.int64)
    for done, (low, high) in enumerate(pairwise(bounds.tolist())):
        if low == high:
            continue
        begin = start[low]
        stop = start[high] if high < start.size else points_deg.shape[0]
        part = np.ascontiguousarray(points_deg[begin:stop].T)
        last = points_deg[start[low:high] + edge_count[low:high]]
        inside = start[low:high] - begin
        for axis in (0, 1):
            least = np.minimum.reduceat(part[axis], inside)
            most = np.maximum.reduceat(part[axis], inside)
            box_deg[low:high, axis] = np.minimum(least, last[:, axis])
            box_deg[low:high, axis + 2] = np.maximum(most, last[:, axis])
        progress(60 * (done + 1) // _PORTIONS)
    return box_deg


def _cells(box_deg: NDArray[np.float32]) -> tuple[Ints, NDArray[np.int32]]:
    """Return which chunks touch each cell."""
    left, right = column_of(box_deg[:, 0]), column_of(box_deg[:, 2])
    low, high = row_of(box_deg[:, 1]), row_of(box_deg[:, 3])
    wide = right - left + 1
    chunk, place = numbered(wide * (high - low + 1))
    cell = (low[chunk] + place // wide[chunk]) * COLUMN_COUNT + left[chunk] + place % wide[chunk]
    order = np.argsort(cell, kind="stable")
    counts = np.bincount(cell, minlength=ROW_COUNT * COLUMN_COUNT)
    return np.append(0, np.cumsum(counts)), chunk[order].astype(np.int32)


def _lines(
    points_deg: NDArray[np.float32], start: Ints, edge_count: Ints, box_deg: NDArray[np.float32]
) -> tuple[Ints, Floats]:
    """Return the longitudes at which the rings cross the lower edge of each row of cells."""
    low, high = row_of(box_deg[:, 1]), row_of(box_deg[:, 3])
    chunk, place = numbered(high - low)
    row = low[chunk] + place + 1
    pair, edge = edges_of(start, edge_count, chunk)
    # A line runs from the west: crossings count that lie at its place or west of it.
    one, other = _ends(points_deg, edge)
    lat_deg = line_lat_deg(row[pair])
    crossing = np.flatnonzero((one[:, 1] > lat_deg) != (other[:, 1] > lat_deg))
    one, other, lat_deg = one[crossing], other[crossing], lat_deg[crossing]
    share = (lat_deg - one[:, 1]) / (other[:, 1] - one[:, 1])
    lon_deg = one[:, 0] + share * (other[:, 0] - one[:, 0])
    of_row = row[pair[crossing]]
    order = np.lexsort((lon_deg, of_row))
    counts = np.bincount(of_row, minlength=ROW_COUNT)
    return np.append(0, np.cumsum(counts)), lon_deg[order]


def edges_of(start: Ints, edge_count: Ints, chunk: Ints) -> tuple[Ints, Ints]:
    """Return the edges of chunks: which of the chunks given, and the number of its first vertex.

    Parameters
    ----------
    start, edge_count : ndarray
        Of all chunks.
    chunk : ndarray, shape (m,)
        Numbers of chunks, one or several times each.
    """
    which, place = numbered(edge_count[chunk])
    return which, start[chunk[which]] + place


def _ends(points_deg: NDArray[np.float32], edge: Ints) -> tuple[Floats, Floats]:
    """Return both ends of edges, longitude and latitude, shape (m, 2)."""
    return points_deg[edge].astype(np.float64), points_deg[edge + 1].astype(np.float64)


def ends_of(coast: Coast, edge: Ints) -> tuple[Floats, Floats]:
    """Return both ends of edges of a coast, longitude and latitude in degrees, shape (m, 2)."""
    return _ends(coast.points_deg, edge)


def is_seam(one_deg: Floats, other_deg: Floats) -> Bools:
    """Return which edges are no shore: those where rings are cut at 180 degrees or at the pole.

    Parameters
    ----------
    one_deg, other_deg : ndarray, shape (m, 2)
        Longitude and latitude of both ends.
    """
    on_date_line = (np.abs(one_deg[:, 0]) == _DATE_LINE_DEG) & (
        np.abs(other_deg[:, 0]) == _DATE_LINE_DEG
    )
    at_pole = (one_deg[:, 1] == -_POLE_DEG) | (other_deg[:, 1] == -_POLE_DEG)
    return np.asarray(on_date_line | at_pole)
