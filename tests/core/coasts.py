"""Small coasts of rings that are given, for tests of the core."""

import numpy as np

from wheelover.core.coast.chunks import coast_of
from wheelover.core.types.coast import Coast

Ring = list[tuple[float, float]]


def box(west: float, south: float, east: float, north: float) -> Ring:
    """Return a closed ring around a box."""
    return [(west, south), (east, south), (east, north), (west, north), (west, south)]


def coast_with(*rings: Ring) -> Coast:
    """Return a coast of some closed rings of longitudes and latitudes."""
    sizes = np.array([len(one) for one in rings])
    end = np.cumsum(sizes)
    points = np.array([place for ring in rings for place in ring], dtype=np.float32)
    return coast_of(points, end - sizes, end, "of a test", lambda _percent: None)
