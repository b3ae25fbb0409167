"""The compiled loops that say whether areas hold places, and where pieces of the track end."""

import math

from wheelover.core.arrays import Bools, Floats, Ints, Table
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


@compiled(
    "void(float64[::1],float64[::1],int64[::1],int64[::1],int64[::1],int64[::1],int64[::1],"
    "float64[::1],float64[::1],bool_[::1])"
)
def holds_loop(
    lats_deg: Floats, lons_deg: Floats, starts: Ints, first: Ints, stop: Ints, row: Ints,
    area: Ints, lat_deg: Floats, lon_deg: Floats, holds: Bools,
) -> None:  # fmt: skip
    """Write for pairs of a place and an area whether its rings are crossed an odd number of times.

    ``row`` and ``area`` number them; the rings of an area are the paths from ``first`` to ``stop``.
    """
    for pair in range(row.size):
        lat, lon, one = lat_deg[row[pair]], lon_deg[row[pair]], area[pair]
        crossings = crossings_loop(lats_deg, lons_deg, starts, first[one], stop[one], lat, lon)
        holds[pair] = crossings % 2 == 1


@compiled(
    "void(int64[::1],float64[:,::1],float64[:,::1],float64[::1],float64[::1],int64[::1],"
    "float64[:,::1],int64[::1],float64[:,::1])"
)
def ends_loop(
    leg_piece: Ints, lats_deg: Table, lons_deg: Table, low_m: Floats, high_m: Floats,
    arc_piece: Ints, arcs: Table, piece: Ints, ends: Table,
) -> None:  # fmt: skip
    """Write both ends of legs, of which there are stretches, and of arcs.

    ``arcs`` holds latitude and longitude of both ends, the radius and the angle turned. ``piece``
    takes their numbers, ``ends`` how far along they are, their latitudes and longitudes. Every leg
    has a stretch, so that both are filled.
    """
    count = 0
    for one in range(leg_piece.size):
        if one == 0 or leg_piece[one] != leg_piece[one - 1]:
            piece[count], ends[0, count] = leg_piece[one], low_m[one]
            ends[1, count], ends[2, count] = lats_deg[one, 0], lons_deg[one, 0]
            count += 1
        if one + 1 == leg_piece.size or leg_piece[one] != leg_piece[one + 1]:
            piece[count], ends[0, count] = leg_piece[one], high_m[one]
            ends[1, count], ends[2, count] = lats_deg[one, 1], lons_deg[one, 1]
            count += 1
    for arc in range(arc_piece.size):
        end_m = abs(arcs[arc, 5]) * (math.pi / 180.0) * arcs[arc, 4]
        for end in range(2):
            piece[count], ends[0, count] = arc_piece[arc], end_m if end == 1 else 0.0
            ends[1, count], ends[2, count] = arcs[arc, 2 * end], arcs[arc, 2 * end + 1]
            count += 1
