"""The compiled loops that look for points of a grid near curves and arcs.

What they take and give are tables of numbers; core/geo/near_points.py gives them their names.
"""

import math
from typing import TypeVar

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined
from wheelover.core.geo.ellipsoid import A_M, E2
from wheelover.core.geo.point_grid import BANDS_PER_DEG, CELLS_PER_BAND

_STEPS = 12
_SETTLED_SHARE = 1e-5
_SLACK_RATIO = 1.0 + 1e-6
_SLACK_M = 1e-3
_SAME_M = 1e-9
_FIRST_ROOM = 4096


Rows = TypeVar("Rows", Table, Ints)


@inlined
def _geodesic_m(place_m: Floats, x_m: float, y_m: float, z_m: float) -> float:
    """Return the geodesic length between places that lie (x, y, z) apart, from their chord.

    The geodesic curves like the normal section through its middle (Euler's formula), and a chord c
    under a curvature k is c (1 + h^2 / 6 + 3 h^4 / 40) long with h = c k / 2 [Rapp]_.
    """
    square = x_m * x_m + y_m * y_m + z_m * z_m
    if square == 0.0:
        return 0.0
    up_x = place_m[0] + 0.5 * x_m
    up_y = place_m[1] + 0.5 * y_m
    up_z = (place_m[2] + 0.5 * z_m) / (1.0 - E2)
    size = math.sqrt(up_x * up_x + up_y * up_y + up_z * up_z)
    sine = up_z / size
    rise = (x_m * up_x + y_m * up_y + z_m * up_z) / size
    cosine2 = 1.0 - sine * sine
    north = z_m - rise * sine
    north2 = 1.0 if cosine2 < 1e-12 else min(north * north / (cosine2 * square), 1.0)
    w2 = 1.0 - E2 * sine * sine
    root = math.sqrt(w2)
    curve_per_m = north2 * (w2 * root) / (A_M * (1.0 - E2)) + (1.0 - north2) * root / A_M
    h2 = 0.25 * square * curve_per_m * curve_per_m
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
    """Return a table with twice the room; copied one by one, which compiles in a tenth of the time.

    Assigning a slice would compile the text of an error of shapes as well.
    """
    longer = np.empty((2 * table.shape[0], table.shape[1]), table.dtype)
    for row in range(table.shape[0]):
        for column in range(table.shape[1]):
            longer[row, column] = table[row, column]
    return longer


@inlined
def _look_from_curve(line: Table, chord: Table, place_m: Floats, reach_m: float, search_m: Floats,
                     owner: int, found: Table) -> bool:  # fmt: skip
    """Find the nearest place of a cubic to a point; return whether the point is near.

    Most candidates are farther from the chord than ``reach_m``, the widest search and the curve's
    bow; only for others is the search distance of their owner fetched. ``chord`` holds the way from
    start to end and its square. ``found`` takes distance, share of the way, run left to abeam and
    distance to the right.
    """
    x = place_m[0] - line[0, 0]
    y = place_m[1] - line[0, 1]
    z = place_m[2] - line[0, 2]
    share = (x * chord[0] + y * chord[1] + z * chord[2]) / chord[3]
    share = min(max(share, 0.0), 1.0)
    off_x = x - share * chord[0]
    off_y = y - share * chord[1]
    off_z = z - share * chord[2]
    if off_x * off_x + off_y * off_y + off_z * off_z > reach_m * reach_m:
        return False
    run_x = run_y = run_z = 0.0
    foot_x = foot_y = foot_z = 0.0
    for _ in range(_STEPS):
        foot_x, run_x, bend_x = _along(line, chord, share, 0)
        foot_y, run_y, bend_y = _along(line, chord, share, 1)
        foot_z, run_z, bend_z = _along(line, chord, share, 2)
        off_x = place_m[0] - foot_x
        off_y = place_m[1] - foot_y
        off_z = place_m[2] - foot_z
        straight = run_x * run_x + run_y * run_y + run_z * run_z
        steep = straight - (off_x * bend_x + off_y * bend_y + off_z * bend_z)
        if not steep > 0.2 * straight:
            steep = 2.0 * straight
        step = (off_x * run_x + off_y * run_y + off_z * run_z) / max(steep, 1e-12)
        change = min(max(share + step, 0.0), 1.0) - share
        share += change
        if abs(change) <= _SETTLED_SHARE:
            # So short a way the curve is straight to a nanometre: no further look is needed.
            foot_x += change * run_x
            foot_y += change * run_y
            foot_z += change * run_z
            break
    found[4] = foot_x
    found[5] = foot_y
    found[6] = foot_z
    wide_m = search_m[owner] * _SLACK_RATIO + _SLACK_M
    return _measured(found, place_m, (run_x, run_y, run_z), share, wide_m)


@inlined
def _measured(
    found: Table, place_m: Floats, run: tuple[float, float, float], share_ratio: float,
    wide_m: float,
) -> bool:  # fmt: skip
    """Measure a point from the foot in ``found[4:7]``; return whether it is near."""
    foot_m = found[4:7]
    off = (place_m[0] - foot_m[0], place_m[1] - foot_m[1], place_m[2] - foot_m[2])
    if off[0] * off[0] + off[1] * off[1] + off[2] * off[2] > wide_m * wide_m:
        return False
    distance_m = _geodesic_m(foot_m, off[0], off[1], off[2])
    if distance_m > wide_m:
        return False
    found[0] = distance_m
    found[1] = share_ratio
    found[2], found[3] = _ahead_and_right_m(foot_m, run, off)
    return True


@inlined
def _ahead_and_right_m(
    foot_m: Floats, run: tuple[float, float, float], off: tuple[float, float, float]
) -> tuple[float, float]:
    """Return how far ahead along a curve and to the right of it what lies off a place of it is."""
    up_z = foot_m[2] / (1.0 - E2)
    up = math.sqrt(foot_m[0] * foot_m[0] + foot_m[1] * foot_m[1] + up_z * up_z)
    right_x = run[1] * up_z - run[2] * foot_m[1]
    right_y = run[2] * foot_m[0] - run[0] * up_z
    right_z = run[0] * foot_m[1] - run[1] * foot_m[0]
    size = max(math.sqrt(run[0] * run[0] + run[1] * run[1] + run[2] * run[2]), 1e-12)
    ahead_m = (off[0] * run[0] + off[1] * run[1] + off[2] * run[2]) / size
    return ahead_m, (off[0] * right_x + off[1] * right_y + off[2] * right_z) / (size * up)


@inlined
def _measure(from_m: float, to_m: float, share_ratio: float) -> float:
    """Return the measure at a share of the way, at its end to the last digit."""
    return to_m if share_ratio == 1.0 else from_m + share_ratio * (to_m - from_m)


@inlined
def _along(line: Table, chord: Table, share_ratio: float, axis: int) -> tuple[float, float, float]:
    """Return one coordinate of a place on a cubic with its first and second derivative."""
    square = 3.0 * chord[axis] - 2.0 * line[2, axis] - line[3, axis]
    cube = line[2, axis] + line[3, axis] - 2.0 * chord[axis]
    place = line[0, axis] + share_ratio * (
        line[2, axis] + share_ratio * (square + share_ratio * cube)
    )
    run = line[2, axis] + share_ratio * (2.0 * square + share_ratio * 3.0 * cube)
    return place, run, 2.0 * square + 6.0 * share_ratio * cube


_TABLES = "float64[:,::1],float64[::1],int64,int64[::1],int64[::1],int64[::1],float64[::1],float64"
_FOUND = "Tuple((int64[:,::1],float64[:,::1],int64))"


@compiled(f"{_FOUND}(float64[:,:,::1],float64[:,::1],int64[::1],{_TABLES},int64[::1])")
def curves_loop(
    lines: Table, shape: Table, group: Ints, places_m: Floats, lon_deg: Floats,
    first_band: int, cell_starts: Ints, order: Ints, owner: Ints, search_m: Floats,
    widest_m: float, seen: Ints,
) -> tuple[Ints, Table, int]:  # fmt: skip
    """Return tables of the points near curves, and how many of their rows count.

    Numbers are those of group and point, values distance, measure, run left to abeam and distance
    to the right. ``seen`` of zeros marks what a group has.
    """
    numbers = np.empty((_FIRST_ROOM, 2), np.int64)
    values = np.empty((_FIRST_ROOM, 4))
    chord, found = np.empty(4), np.empty(7)
    count = 0
    for curve in range(lines.shape[0]):
        line = lines[curve]
        for axis in range(3):
            chord[axis] = line[1, axis] - line[0, axis]
        chord[3] = max(chord[0] ** 2 + chord[1] ** 2 + chord[2] ** 2, 1e-12)
        bow_m, from_m, to_m, south, north, west, east = shape[curve]
        lowest, highest = _bands(south, north, first_band, cell_starts)
        for band in range(lowest, highest):
            # What runs beyond 180 degrees goes on from -180.
            for turn in range(1 if east <= 180.0 else 2):
                edge = west if turn == 0 else -180.0
                limit = min(east, 180.0) if turn == 0 else east - 360.0
                place, end = _span(lon_deg, cell_starts, band * CELLS_PER_BAND, edge, limit)
                while place < end and lon_deg[place] <= limit:
                    if _look_from_curve(
                        line,
                        chord,
                        places_m[place],
                        widest_m + bow_m,
                        search_m,
                        owner[place],
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
    frame: Table, ends_m: Floats, radius_m: float, half_rad: float, place_m: Floats,
    widest_m: float, search_m: Floats, owner: int, found: Table,
) -> bool:  # fmt: skip
    """Find the nearest place of an arc to a point; return whether the point is near.

    The geodesic from the centre meets the arc square, so inside the arc's sector the distance is
    that from the centre less the radius; outside it the nearer end of the arc is nearest.
    ``found`` takes distance, way from the start, and distance beyond the circle.
    """
    x = place_m[0] - frame[0, 0]
    y = place_m[1] - frame[0, 1]
    z = place_m[2] - frame[0, 2]
    square = x * x + y * y + z * z
    outer_m = radius_m + widest_m + 1.0
    # A chord is shorter than the geodesic by less than one part in 10,000 at 200 km.
    inner_m = (radius_m - widest_m) * 0.9999 - 1.0
    if square > outer_m * outer_m or (inner_m > 0.0 and square < inner_m * inner_m):
        return False
    from_centre_m = _geodesic_m(frame[0], x, y, z)
    angle = math.atan2(
        x * frame[2, 0] + y * frame[2, 1] + z * frame[2, 2],
        x * frame[1, 0] + y * frame[1, 1] + z * frame[1, 2],
    )
    if abs(angle) <= half_rad:
        distance_m = abs(from_centre_m - radius_m)
    else:
        end_m = ends_m[1] if angle > 0.0 else ends_m[0]
        distance_m = _geodesic_m(
            end_m, place_m[0] - end_m[0], place_m[1] - end_m[1], place_m[2] - end_m[2]
        )
    if distance_m > search_m[owner] * _SLACK_RATIO + _SLACK_M:
        return False
    found[0] = distance_m
    found[1] = (min(max(angle, -half_rad), half_rad) + half_rad) * radius_m
    found[2] = from_centre_m - radius_m
    return True


@compiled(f"{_FOUND}(float64[:,:,::1],float64[:,:,::1],float64[:,::1],int64[::1],{_TABLES})")
def circles_loop(
    frame: Table, ends_m: Floats, shape: Table, group: Ints, places_m: Floats, lon_deg: Floats,
    first_band: int, cell_starts: Ints, order: Ints, owner: Ints, search_m: Floats, widest_m: float,
) -> tuple[Ints, Table, int]:  # fmt: skip
    """Return tables of the points near arcs, as ``curves_loop`` does."""
    numbers = np.empty((_FIRST_ROOM, 2), np.int64)
    values = np.empty((_FIRST_ROOM, 4))
    found = np.empty(3)
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
                        frame[arc], ends_m[arc], radius_m, half_rad, places_m[place], widest_m,
                        search_m, owner[place], found,
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
