"""The compiled loops that lay short lines on the ellipsoid as curves in space."""

import math

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined
from wheelover.core.geo.ellipsoid import A_M, E2

_RADIANS_PER_DEG = math.pi / 180.0


@inlined
def _sine_cosine(angle_deg: float) -> tuple[float, float]:
    """Return sine and cosine, exact at every multiple of 90 degrees (``angles.sin_cos_deg``)."""
    quarter = np.rint(angle_deg / 90.0)
    rest = (angle_deg - 90.0 * quarter) * _RADIANS_PER_DEG
    sine, cosine = math.sin(rest), math.cos(rest)
    turn = quarter - 4.0 * math.floor(quarter / 4.0)
    if turn == 1.0:
        return cosine, -sine
    if turn == 2.0:
        return -sine, -cosine
    if turn == 3.0:
        return -cosine, sine
    return sine, cosine


@inlined
def _place(lat_deg: float, lon_deg: float, axes: Table) -> tuple[float, float, float]:
    """Return a place on the ellipsoid; ``axes`` takes the directions of north and east there."""
    sin_lat, cos_lat = _sine_cosine(lat_deg)
    sin_lon, cos_lon = _sine_cosine(lon_deg)
    axes[0, 0], axes[0, 1], axes[0, 2] = -sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat
    axes[1, 0], axes[1, 1], axes[1, 2] = -sin_lon, cos_lon, 0.0
    normal_m = A_M / math.sqrt(1.0 - E2 * sin_lat * sin_lat)
    across_m = normal_m * cos_lat
    return across_m * cos_lon, across_m * sin_lon, normal_m * (1.0 - E2) * sin_lat


@inlined
def _levels(x_m: float, y_m: float, z_m: float, levels: Table, row: int) -> None:
    """Write the direction of north at a place and the curvatures along and across the meridian.

    At a pole every direction is north: both curvatures are one there [Rapp]_.
    """
    up_z = z_m / (1.0 - E2)
    long = math.sqrt(x_m * x_m + y_m * y_m + up_z * up_z)
    up_x, up_y, sine = x_m / long, y_m / long, up_z / long
    cosine = math.sqrt(max(1.0 - sine * sine, 1e-24))
    levels[row, 0], levels[row, 1] = -sine * up_x / cosine, -sine * up_y / cosine
    levels[row, 2] = (1.0 - sine * sine) / cosine
    w2 = 1.0 - E2 * sine * sine
    w = math.sqrt(w2)
    levels[row, 3], levels[row, 4] = w2 * w / (A_M * (1.0 - E2)), w / A_M


@compiled(
    "void(float64[:,::1],int64[::1],float64[::1],float64[:,:,::1],float64[:,::1],float64[:,::1],"
    "float64[:,::1],float64[::1])"
)
def cubics_loop(
    points: Table, first: Ints, length_m: Floats, terms: Table, levels: Table, ends_m: Table,
    middles_m: Table, bow_m: Floats,
) -> None:  # fmt: skip
    """Write the cubics from some points of lines to the point behind each [Hermite]_.

    ``points`` holds latitude, longitude and course of each, degrees. ``terms`` takes start, run,
    square and cube terms, the way to the end and its square; ``levels`` what is level half way;
    ``bow_m`` a bound on how far each leaves its chord.
    """
    axes, start, end = np.empty((2, 3)), np.empty((2, 3)), np.empty((2, 3))
    for row in range(first.size):
        for which in range(2):
            lat_deg, lon_deg, course_deg = points[first[row] + which]
            at = end if which else start
            at[0, 0], at[0, 1], at[0, 2] = _place(lat_deg, lon_deg, axes)
            sine, cosine = _sine_cosine(course_deg)
            for axis in range(3):
                at[1, axis] = (cosine * axes[0, axis] + sine * axes[1, axis]) * length_m[row]
        way2_m2, off2_m2 = 0.0, 0.0
        for axis in range(3):
            leap = end[0, axis] - start[0, axis]
            run, square = start[1, axis], 3.0 * leap - 2.0 * start[1, axis] - end[1, axis]
            cube = start[1, axis] + end[1, axis] - 2.0 * leap
            terms[row, 0, axis], terms[row, 1, axis] = start[0, axis], run
            terms[row, 2, axis], terms[row, 3, axis], terms[row, 4, axis] = square, cube, leap
            ends_m[row, axis] = end[0, axis]
            middles_m[row, axis] = start[0, axis] + 0.5 * (run + 0.5 * (square + 0.5 * cube))
            off = middles_m[row, axis] - 0.5 * (start[0, axis] + end[0, axis])
            way2_m2 += leap * leap
            off2_m2 += off * off
        for axis in range(3):
            terms[row, 5, axis] = max(way2_m2, 1e-12)
        bow_m[row] = 1.25 * math.sqrt(off2_m2) + 1.0
        half_m = terms[row, 0] + 0.5 * terms[row, 4]
        _levels(half_m[0], half_m[1], half_m[2], levels, row)


@compiled("void(float64[:,::1],float64[:,:,::1],float64[:,::1],float64[:,:,::1])")
def circles_loop(arcs: Table, frame: Table, levels: Table, ends_m: Table) -> None:
    """Write arcs as circles in space (``near_points.Circles``).

    ``arcs`` holds latitude and longitude of centre, start and end, the bearing of the middle from
    the centre, and 90 degrees with the sign of the turn.
    """
    axes = np.empty((2, 3))
    for row in range(arcs.shape[0]):
        for end in range(2):
            lat_deg, lon_deg = arcs[row, 2 + 2 * end], arcs[row, 3 + 2 * end]
            x_m, y_m, z_m = _place(lat_deg, lon_deg, axes)
            ends_m[row, end, 0], ends_m[row, end, 1], ends_m[row, end, 2] = x_m, y_m, z_m
        x_m, y_m, z_m = _place(arcs[row, 0], arcs[row, 1], axes)
        frame[row, 0, 0], frame[row, 0, 1], frame[row, 0, 2] = x_m, y_m, z_m
        _levels(x_m, y_m, z_m, levels, row)
        for which in range(2):
            sine, cosine = _sine_cosine(arcs[row, 6] + which * arcs[row, 7])
            for axis in range(3):
                frame[row, 1 + which, axis] = cosine * axes[0, axis] + sine * axes[1, axis]


@inlined
def _slopes(
    middle_rad: float, half_rad: float, nodes_ratio: Floats, shares_ratio: Floats
) -> tuple[float, float]:
    """Return the mean slopes of meridian arc and isometric latitude about a latitude."""
    arc_m = isometric_ratio = 0.0
    for node in range(nodes_ratio.size):
        phi = middle_rad + half_rad * nodes_ratio[node]
        sine = math.sin(phi)
        w2 = 1.0 - E2 * sine * sine
        arc_m += A_M * (1.0 - E2) / (w2 * math.sqrt(w2)) * shares_ratio[node]
        isometric_ratio += (1.0 - E2) / (w2 * math.cos(phi)) * shares_ratio[node]
    return arc_m, isometric_ratio


@compiled("void(float64[::1],float64[::1],float64[::1],float64[::1],float64[::1],float64[::1])")
def slopes_loop(
    middle_rad: Floats, half_rad: Floats, nodes_ratio: Floats, shares_ratio: Floats,
    arc_m: Floats, isometric_ratio: Floats,
) -> None:  # fmt: skip
    """Write the mean slopes of meridian arc and isometric latitude about latitudes.

    ``nodes_ratio`` and ``shares_ratio`` are those of a Gauss-Legendre quadrature.
    """
    for row in range(middle_rad.size):
        arc_m[row], isometric_ratio[row] = _slopes(
            middle_rad[row], half_rad[row], nodes_ratio, shares_ratio
        )


@compiled("void(float64[::1],float64[::1],float64[::1],float64[::1])")
def run_loop(course_deg: Floats, distance_m: Floats, north_m: Floats, east_m: Floats) -> None:
    """Write how far north and east runs on a course lead, exact on every cardinal one."""
    for row in range(course_deg.size):
        sine, cosine = _sine_cosine(course_deg[row])
        north_m[row] = distance_m[row] * (cosine + 0.0)
        east_m[row] = distance_m[row] * (sine + 0.0)


@compiled(
    "int64(float64[::1],float64[::1],float64[::1],float64[::1],float64,float64[::1],float64[::1],"
    "float64[::1])"
)
def easting_loop(
    lat_deg: Floats, lat2_deg: Floats, lons_deg: Floats, east_m: Floats, close_deg: float,
    nodes_ratio: Floats, shares_ratio: Floats, lon2_deg: Floats,
) -> int:  # fmt: skip
    """Write the longitudes where rhumb lines arrive; return how many are left out, as nan.

    Those are the lines whose latitudes are farther apart than a quadrature serves for
    (``slopes_loop``).
    """
    left_out = 0
    for row in range(lat_deg.size):
        room_deg = 90.0 - max(abs(lat_deg[row]), abs(lat2_deg[row]))
        step_deg = lat2_deg[row] - lat_deg[row]
        if not abs(step_deg) <= min(close_deg, room_deg / 2.0):
            lon2_deg[row] = math.nan
            left_out += 1
            continue
        middle_rad = (lat_deg[row] + lat2_deg[row]) / 2.0 * _RADIANS_PER_DEG
        arc_m, isometric_ratio = _slopes(
            middle_rad, step_deg / 2.0 * _RADIANS_PER_DEG, nodes_ratio, shares_ratio
        )
        east_rad = east_m[row] * isometric_ratio / arc_m
        lon_deg = lons_deg[row] + east_rad * (180.0 / math.pi)
        if abs(lon_deg) > 180.0:
            lon_deg = (lon_deg + 180.0) % 360.0 - 180.0
        lon2_deg[row] = lon_deg
    return left_out


@compiled("void(float64[::1],float64[::1],int64[::1],int64[::1],float64[::1])")
def bounds_loop(from_m: Floats, to_m: Floats, count: Ints, row: Ints, bound_m: Floats) -> None:
    """Write the bounds of equal parts of lines; the last of a line is its end to the last digit."""
    place = 0
    for line in range(count.size):
        length_m = (to_m[line] - from_m[line]) / count[line]
        for part in range(count[line]):
            row[place], bound_m[place] = line, from_m[line] + part * length_m
            place += 1
        row[place], bound_m[place] = line, to_m[line]
        place += 1
