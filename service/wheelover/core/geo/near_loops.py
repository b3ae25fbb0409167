"""The compiled loops that look for points of a grid near curves and arcs.

What they take and give are tables of numbers; core/geo/near_points.py gives them their names.
"""

import math
from typing import TypeVar

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, copy_over, inlined
from wheelover.core.geo.ellipsoid import E2
from wheelover.core.geo.point_grid import BANDS_PER_DEG, CELLS_PER_BAND

_STEPS = 12
_SETTLED_SHARE = 1e-5
_SLACK_RATIO = 1.0 + 1e-6
_SLACK_M = 1e-3
_SAME_M = 1e-9
_FIRST_ROOM = 4096


Rows = TypeVar("Rows", Table, Ints)


@inlined
def _geodesic_m(levels: Table, at: int, x_m: float, y_m: float, z_m: float) -> float:
    """Return the geodesic length between places that lie (x, y, z) apart, from their chord.

    ``levels[at]`` holds the direction of north and the curvatures along and across the meridian at
    a place nearby. The geodesic curves like the normal section (Euler's formula), and a chord c
    under a curvature k is c (1 + h^2 / 6 + 3 h^4 / 40) long with h = c k / 2 [Rapp]_.
    """
    square = x_m * x_m + y_m * y_m + z_m * z_m
    if square == 0.0:
        return 0.0
    north_m = x_m * levels[at, 0] + y_m * levels[at, 1] + z_m * levels[at, 2]
    north2 = north_m * north_m
    bend_m = north2 * levels[at, 3] + (square - north2) * levels[at, 4]
    h2 = 0.25 * bend_m * bend_m / square
    return float(math.sqrt(square) * (1.0 + h2 * (1.0 / 6.0 + h2 * 0.075)))


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
    """Return the first point of a band not west of a longitude, and an end not west of another."""
    cell = min(max(int(west_deg + 180.0), 0), CELLS_PER_BAND - 1)
    last = min(max(int(east_deg + 180.0), 0), CELLS_PER_BAND - 1)
    low, high = cell_starts[band_start + cell], cell_starts[band_start + cell + 1]
    return _first_east_of(lon_deg, low, high, west_deg), cell_starts[band_start + last + 1]


@inlined
def _longer(table: Rows) -> Rows:
    """Return a table with twice the room."""
    longer = np.empty((2 * table.shape[0], table.shape[1]), table.dtype)
    copy_over(longer.reshape(longer.size), table.reshape(table.size))
    return longer


@inlined
def _look_from_curve(
    curves: Table,
    levels: Table,
    curve: int,
    places_m: Floats,
    place: int,
    wide_m: float,
    found: Table,
) -> bool:
    """Find the nearest place of a cubic to a point; return whether the point is near.

    ``curves[curve]`` holds start, run, square and cube terms of the cubic, the way to its end and
    the square of that. ``found`` has the share of the way to begin with; it takes distance, share,
    run left to abeam, and a number above zero where the point lies to the right.
    """
    share = found[1]
    run_x = run_y = run_z = 0.0
    off_x = off_y = off_z = 0.0
    for _ in range(_STEPS):
        here, run_x, bend_x = _along(curves, curve, share, 0)
        off_x = places_m[place, 0] - here
        here, run_y, bend_y = _along(curves, curve, share, 1)
        off_y = places_m[place, 1] - here
        here, run_z, bend_z = _along(curves, curve, share, 2)
        off_z = places_m[place, 2] - here
        straight = run_x * run_x + run_y * run_y + run_z * run_z
        steep = straight - (off_x * bend_x + off_y * bend_y + off_z * bend_z)
        if not steep > 0.2 * straight:
            steep = 2.0 * straight
        step = (off_x * run_x + off_y * run_y + off_z * run_z) / max(steep, 1e-12)
        change = min(max(share + step, 0.0), 1.0) - share
        share += change
        if abs(change) <= _SETTLED_SHARE:
            # So short a way the curve is straight to a nanometre: no further look is needed.
            off_x -= change * run_x
            off_y -= change * run_y
            off_z -= change * run_z
            break
    found[0] = _geodesic_m(levels, curve, off_x, off_y, off_z)
    if found[0] > wide_m * _SLACK_RATIO + _SLACK_M:
        return False
    found[1] = share
    found[2] = 0.0
    if share <= 0.0 or share >= 1.0:
        straight = run_x * run_x + run_y * run_y + run_z * run_z
        found[2] = (off_x * run_x + off_y * run_y + off_z * run_z) / math.sqrt(straight + 1e-24)
    found[3] = _to_the_right(places_m, place, (run_x, run_y, run_z), (off_x, off_y, off_z))
    return True


@inlined
def _chord_share(curves: Table, curve: int, places_m: Floats, place: int, reach_m: float) -> float:
    """Return the share of the way at which a chord is nearest to a point, -1 beyond the reach."""
    x = places_m[place, 0] - curves[curve, 0, 0]
    y = places_m[place, 1] - curves[curve, 0, 1]
    z = places_m[place, 2] - curves[curve, 0, 2]
    share = (x * curves[curve, 4, 0] + y * curves[curve, 4, 1] + z * curves[curve, 4, 2]) / curves[
        curve, 5, 0
    ]
    share = min(max(share, 0.0), 1.0)
    x -= share * curves[curve, 4, 0]
    y -= share * curves[curve, 4, 1]
    z -= share * curves[curve, 4, 2]
    return share if x * x + y * y + z * z <= reach_m * reach_m else -1.0


@inlined
def _to_the_right(
    places_m: Floats, place: int, run: tuple[float, float, float], off: tuple[float, float, float]
) -> float:
    """Return a number above zero for what lies off to the right of a run, seen from above."""
    up_z = places_m[place, 2] / (1.0 - E2)
    return float(
        off[0] * (run[1] * up_z - run[2] * places_m[place, 1])
        + off[1] * (run[2] * places_m[place, 0] - run[0] * up_z)
        + off[2] * (run[0] * places_m[place, 1] - run[1] * places_m[place, 0])
    )


@inlined
def _measure(from_m: float, to_m: float, share_ratio: float) -> float:
    """Return the measure at a share of the way, at its end to the last digit."""
    return to_m if share_ratio == 1.0 else from_m + share_ratio * (to_m - from_m)


@inlined
def _along(curves: Table, curve: int, share_ratio: float, axis: int) -> tuple[float, float, float]:
    """Return one coordinate of a place on a cubic with its first and second derivative."""
    run, square, cube = curves[curve, 1, axis], curves[curve, 2, axis], curves[curve, 3, axis]
    place = curves[curve, 0, axis] + share_ratio * (
        run + share_ratio * (square + share_ratio * cube)
    )
    slope = run + share_ratio * (2.0 * square + share_ratio * 3.0 * cube)
    return place, slope, 2.0 * square + 6.0 * share_ratio * cube


_TABLES = "float64[:,::1],float64[::1],int64,int64[::1],int64[::1],int64[::1],float64[::1],float64"
_FOUND = "Tuple((int64[:,::1],float64[:,::1],int64))"


@compiled(
    f"{_FOUND}(float64[:,:,::1],float64[:,::1],float64[:,::1],int64[::1],{_TABLES},int64[::1])"
)
def curves_loop(
    curves: Table, levels: Table, shape: Table, group: Ints, places_m: Floats, lon_deg: Floats,
    first_band: int, cell_starts: Ints, order: Ints, owner: Ints, search_m: Floats,
    widest_m: float, seen: Ints,
) -> tuple[Ints, Table, int]:  # fmt: skip
    """Return tables of the points near curves, and how many of their rows count.

    Numbers are those of group and point, values distance, measure, run left to abeam and distance
    to the right. ``seen`` of zeros marks what a group has; one search distance counts for all.
    """
    numbers = np.empty((_FIRST_ROOM, 2), np.int64)
    values = np.empty((_FIRST_ROOM, 4))
    found = np.empty(4)
    own = search_m.size > 1
    count = 0
    for curve in range(curves.shape[0]):
        bow_m, from_m, to_m, south, north, west, east = shape[curve]
        lowest, highest = _bands(south, north, first_band, cell_starts)
        for band in range(lowest, highest):
            # What runs beyond 180 degrees goes on from -180.
            for turn in range(1 if east <= 180.0 else 2):
                edge = west if turn == 0 else -180.0
                limit = min(east, 180.0) if turn == 0 else east - 360.0
                place, end = _span(lon_deg, cell_starts, band * CELLS_PER_BAND, edge, limit)
                while place < end and lon_deg[place] <= limit:
                    found[1] = _chord_share(curves, curve, places_m, place, widest_m + bow_m)
                    if found[1] >= 0.0 and _look_from_curve(
                        curves,
                        levels,
                        curve,
                        places_m,
                        place,
                        search_m[owner[place] if own else 0],
                        found,
                    ):
                        row = seen[place] - 1
                        known = row >= 0 and numbers[row, 0] == group[curve]
                        if not known:
                            row = count
                            count += 1
                            seen[place] = count
                            if count > numbers.shape[0]:
                                numbers = _longer(numbers)
                                values = _longer(values)
                        if not known or found[0] < values[row, 0] - _SAME_M:
                            numbers[row, 0] = group[curve]
                            numbers[row, 1] = order[place]
                            values[row, 0] = found[0]
                            values[row, 1] = _measure(from_m, to_m, found[1])
                            values[row, 2] = found[2]
                            values[row, 3] = found[3]
                    place += 1
    return numbers, values, count


@inlined
def _look_from_circle(
    frame: Table, levels: Table, ends_m: Floats, arc: int, radius_m: float, half_rad: float,
    places_m: Floats, place: int, widest_m: float, search_m: Floats, owner: int, found: Table,
) -> bool:  # fmt: skip
    """Find the nearest place of an arc to a point; return whether the point is near.

    The geodesic from the centre meets the arc square, so inside the arc's sector the distance is
    that from the centre less the radius; outside it the nearer end of the arc is nearest.
    ``found`` takes distance, way from the start, and distance beyond the circle.
    """
    x = places_m[place, 0] - frame[arc, 0, 0]
    y = places_m[place, 1] - frame[arc, 0, 1]
    z = places_m[place, 2] - frame[arc, 0, 2]
    square = x * x + y * y + z * z
    outer_m = radius_m + widest_m + 1.0
    # A chord is shorter than the geodesic by less than one part in 10,000 at 200 km.
    inner_m = (radius_m - widest_m) * 0.9999 - 1.0
    if square > outer_m * outer_m or (inner_m > 0.0 and square < inner_m * inner_m):
        return False
    from_centre_m = _geodesic_m(levels, arc, x, y, z)
    angle = math.atan2(
        x * frame[arc, 2, 0] + y * frame[arc, 2, 1] + z * frame[arc, 2, 2],
        x * frame[arc, 1, 0] + y * frame[arc, 1, 1] + z * frame[arc, 1, 2],
    )
    if abs(angle) <= half_rad:
        distance_m = abs(from_centre_m - radius_m)
    else:
        end = 1 if angle > 0.0 else 0
        distance_m = _geodesic_m(
            levels,
            arc,
            places_m[place, 0] - ends_m[arc, end, 0],
            places_m[place, 1] - ends_m[arc, end, 1],
            places_m[place, 2] - ends_m[arc, end, 2],
        )
    if distance_m > search_m[owner] * _SLACK_RATIO + _SLACK_M:
        return False
    found[0] = distance_m
    found[1] = (min(max(angle, -half_rad), half_rad) + half_rad) * radius_m
    found[2] = from_centre_m - radius_m
    return True


@compiled(
    f"{_FOUND}(float64[:,:,::1],float64[:,::1],float64[:,:,::1],float64[:,::1],int64[::1],{_TABLES})"
)
def circles_loop(
    frame: Table, levels: Table, ends_m: Floats, shape: Table, group: Ints, places_m: Floats,
    lon_deg: Floats,
    first_band: int, cell_starts: Ints, order: Ints, owner: Ints, search_m: Floats, widest_m: float,
) -> tuple[Ints, Table, int]:  # fmt: skip
    """Return tables of the points near arcs, as ``curves_loop`` does."""
    numbers = np.empty((_FIRST_ROOM, 2), np.int64)
    values = np.empty((_FIRST_ROOM, 4))
    found = np.empty(3)
    own = search_m.size > 1
    count = 0
    for arc in range(frame.shape[0]):
        radius_m, half_rad, south, north, west, east = shape[arc]
        lowest, highest = _bands(south, north, first_band, cell_starts)
        for band in range(lowest, highest):
            # What runs beyond 180 degrees goes on from -180.
            for turn in range(1 if east <= 180.0 else 2):
                edge = west if turn == 0 else -180.0
                limit = min(east, 180.0) if turn == 0 else east - 360.0
                place, end = _span(lon_deg, cell_starts, band * CELLS_PER_BAND, edge, limit)
                while place < end and lon_deg[place] <= limit:
                    if _look_from_circle(
                        frame, levels, ends_m, arc, radius_m, half_rad, places_m, place, widest_m,
                        search_m, owner[place] if own else 0, found,
                    ):  # fmt: skip
                        if count == numbers.shape[0]:
                            numbers = _longer(numbers)
                            values = _longer(values)
                        numbers[count, 0] = group[arc]
                        numbers[count, 1] = order[place]
                        values[count, 0] = found[0]
                        values[count, 1] = found[1]
                        values[count, 2] = 0.0
                        values[count, 3] = found[2]
                        count += 1
                    place += 1
    return numbers, values, count
