"""The compiled loops that tell which points and edges lie about places, and what holds them."""

import math

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined

_ROUGH_SHARE, _ROUGH_M = 0.002, 5.0
"""How far a place in degrees times metres may be off, beside what meridians bend: below 80 degrees
and within 15 NM."""

_TURN_DEG = 360.0


@inlined
def _east_deg(lon_deg: float, from_deg: float) -> float:
    """Return how far a longitude is to the east of another, in [-180, 180)."""
    off_deg = lon_deg - from_deg + 180.0
    if off_deg < 0.0 or off_deg >= _TURN_DEG:
        off_deg %= _TURN_DEG
    return off_deg - 180.0


@inlined
def _outside(
    planes: Table, place: int, from_deg: tuple[float, float], to_deg: tuple[float, float],
    margin_m: float,
) -> bool:  # fmt: skip
    """Return whether a straight part lies farther from a place's rectangle than its margin.

    ``planes[place]`` holds latitude and longitude, metres in a degree north and east, the direction
    of the rectangle, its least and largest x and y, and how meridians bend there, per metre.
    ``from_deg`` and ``to_deg`` are the ends of the part, north and east of the place.
    """
    from_n, from_e = from_deg[0] * planes[place, 2], from_deg[1] * planes[place, 3]
    to_n, to_e = to_deg[0] * planes[place, 2], to_deg[1] * planes[place, 3]
    east, north = planes[place, 4], planes[place, 5]
    from_x, to_x = from_e * east + from_n * north, to_e * east + to_n * north
    from_y, to_y = from_e * north - from_n * east, to_e * north - to_n * east
    beside_m = max(planes[place, 6] - max(from_x, to_x), min(from_x, to_x) - planes[place, 8], 0.0)
    aside_m = max(planes[place, 7] - max(from_y, to_y), min(from_y, to_y) - planes[place, 9], 0.0)
    far_m = max(abs(from_n) + abs(from_e), abs(to_n) + abs(to_e))
    rough_m = far_m * (far_m * planes[place, 10] + _ROUGH_SHARE) + _ROUGH_M
    return bool(math.hypot(beside_m, aside_m) > margin_m + rough_m)


@inlined
def _way_inside(start_deg: float, run_deg: float, half_deg: float) -> tuple[float, float]:
    """Return the shares of the way at which a line enters and leaves; crossed over for neither."""
    if run_deg == 0.0:
        if abs(start_deg) > half_deg:
            return math.inf, -math.inf
        return -math.inf, math.inf
    one, other = (-half_deg - start_deg) / run_deg, (half_deg - start_deg) / run_deg
    return min(one, other), max(one, other)


@compiled(
    "int64[::1](Array(float64,1,'C',True),Array(float64,1,'C',True),int64[::1],int64[::1],"
    "float64[:,::1],float64[:,::1])"
)
def points_loop(
    lat_deg: Floats, lon_deg: Floats, place: Ints, number: Ints, boxes: Table, planes: Table
) -> Ints:
    """Return which rows are those of points that lie in their box and about their rectangle.

    ``boxes`` holds for each row half the height and width of its box and its margin about the
    rectangle of its place, ``planes`` what ``_outside`` says.
    """
    found = np.empty(place.size, dtype=np.int64)
    count = 0
    for row in range(place.size):
        here = place[row]
        north_deg = lat_deg[number[row]] - planes[here, 0]
        east_deg = _east_deg(lon_deg[number[row]], planes[here, 1])
        if abs(north_deg) > boxes[row, 0] or abs(east_deg) > boxes[row, 1]:
            continue
        at_deg = (north_deg, east_deg)
        if not _outside(planes, here, at_deg, at_deg, boxes[row, 2]):
            found[count] = row
            count += 1
    return found[:count]


@inlined
def _edges_of(
    vertices: tuple[Floats, Floats], first: int, stop: int, box: tuple[int, int, float],
    boxes: Table, planes: Table, found: Table, count: int,
) -> tuple[int, bool]:  # fmt: skip
    """Write the edges of a path that lie in a box; return how many there are now, and if any is
    long enough, or the box wide enough, to be met at another turn of longitude too.

    ``box`` holds the row of the box and the place, and by how many degrees the path is turned.
    """
    lat_deg, lon_deg = vertices
    row, here, turn_deg = box
    half_n, half_e = boxes[row, 0], boxes[row, 1]
    least_deg, most_deg = planes[here, 0] - half_n, planes[here, 0] + half_n
    wide = False
    for begin in range(first, max(stop - 1, min(first + 1, stop))):
        end = min(begin + 1, stop - 1)
        if min(lat_deg[begin], lat_deg[end]) > most_deg:
            continue
        if max(lat_deg[begin], lat_deg[end]) < least_deg:
            continue
        run_n, run_e = lat_deg[end] - lat_deg[begin], lon_deg[end] - lon_deg[begin]
        wide = wide or abs(run_e) + half_e >= 0.5 * _TURN_DEG
        start_n = lat_deg[begin] - planes[here, 0]
        start_e = _east_deg(lon_deg[begin], planes[here, 1]) + turn_deg
        if start_e + max(run_e, 0.0) < -half_e or start_e + min(run_e, 0.0) > half_e:
            continue
        enter_n, leave_n = _way_inside(start_n, run_n, half_n)
        enter_e, leave_e = _way_inside(start_e, run_e, half_e)
        enter, leave = max(enter_n, enter_e, 0.0), min(leave_n, leave_e, 1.0)
        if enter > leave:
            continue
        start_n, start_e = start_n + enter * run_n, start_e + enter * run_e
        run_n, run_e = (leave - enter) * run_n, (leave - enter) * run_e
        from_deg, to_deg = (start_n, start_e), (start_n + run_n, start_e + run_e)
        if _outside(planes, here, from_deg, to_deg, boxes[row, 2]):
            continue
        found[count, 0] = row
        found[count, 1], found[count, 2] = start_n, start_e
        found[count, 3], found[count, 4] = run_n, run_e
        count += 1
    return count, wide


@compiled(
    "float64[:,::1](Array(float64,1,'C',True),Array(float64,1,'C',True),Array(int64,1,'C',True),"
    "int64[::1],int64[::1],float64[:,::1],float64[:,::1])"
)
def edges_loop(
    lat_deg: Floats, lon_deg: Floats, starts: Ints, place: Ints, number: Ints, boxes: Table,
    planes: Table,
) -> Table:  # fmt: skip
    """Return what of the edges of paths lies in their boxes and about their rectangles.

    Columns: the row, where the edge begins north and east of its place, how far it goes in degrees.
    Rows of one place follow one another; of an edge that is met at several turns of longitude there
    are several, all of one turn before those of the next. Else as ``points_loop``.
    """
    most = 0
    for row in range(number.size):
        vertices = starts[number[row] + 1] - starts[number[row]]
        most += 3 * max(vertices - 1, min(vertices, 1))
    found = np.empty((most, 5))
    count = row = 0
    while row < number.size:
        here, first, before, wide = place[row], row, count, False
        while row < number.size and place[row] == here:
            row += 1
        # At other turns of longitude only where the first look says that it may matter.
        for look in range(2):
            if look == 1 and not wide:
                break
            count = before
            for turn in range(-look, look + 1):
                for one in range(first, row):
                    path = number[one]
                    count, long = _edges_of(
                        (lat_deg, lon_deg), starts[path], starts[path + 1],
                        (one, here, turn * _TURN_DEG), boxes, planes, found, count,
                    )  # fmt: skip
                    wide = wide or long
    return found[:count]


@compiled(
    "int64[::1](Array(float64,1,'C',True),Array(float64,1,'C',True),int64[::1],int64[::1],"
    "float64[::1],float64[::1])"
)
def crossings_loop(
    lats_deg: Floats, lons_deg: Floats, first: Ints, last: Ints, lat_deg: Floats, lon_deg: Floats
) -> Ints:
    """Return how often a line due east of a place crosses the edges between vertices, row by row.

    ``first`` and ``last`` number the vertices at the ends of the edges of each row, ``lat_deg`` and
    ``lon_deg`` hold its place.
    """
    found = np.zeros(first.size, dtype=np.int64)
    for row in range(first.size):
        lat, lon = lat_deg[row], lon_deg[row]
        for vertex in range(first[row], last[row]):
            here, there = lats_deg[vertex], lats_deg[vertex + 1]
            if (here > lat) == (there > lat):
                continue
            share = (lat - here) / (there - here)
            if lons_deg[vertex] + share * (lons_deg[vertex + 1] - lons_deg[vertex]) > lon:
                found[row] += 1
    return found
