"""The compiled loop that says whether the rings of an area hold a place."""

from wheelover.core.arrays import Floats, Ints
from wheelover.core.compiled import compiled


@compiled("int64(float64[::1],float64[::1],int64[::1],int64,int64,float64,float64)")
def crossings_loop(
    lats_deg: Floats, lons_deg: Floats, starts: Ints, first: int, last: int, lat_deg: float,
    lon_deg: float,
) -> int:  # fmt: skip
    """Return how often a line due east of a place crosses the paths of some numbers."""
    crossings = 0
    for path in range(first, last):
        for vertex in range(starts[path], starts[path + 1] - 1):
            here, there = lats_deg[vertex], lats_deg[vertex + 1]
            if (here > lat_deg) == (there > lat_deg):
                continue
            share = (lat_deg - here) / (there - here)
            at_deg = lons_deg[vertex] + share * (lons_deg[vertex + 1] - lons_deg[vertex])
            if at_deg > lon_deg:
                crossings += 1
    return crossings
