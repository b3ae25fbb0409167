"""The compiled loops that look for points of a grid near curves and arcs.

What they take and give are tables of numbers; core/geo/near_points.py gives them their names.
They come after those of core/geo/near_bounds.py and write rows of what may still matter.
"""

import math

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined
from wheelover.core.geo.ellipsoid import E2
from wheelover.core.geo.near_bounds import from_arc_m, from_chord_m

LONGEST_M = 9_260.0
"""Up to this distance, 5 NM, the series from chord to geodesic is good to 1e-7 m."""

_STEPS = 12
_SETTLED_SHARE = 1e-5
_SLACK_RATIO = 1.0 + 1e-6
_SLACK_M = 1e-3
_SAME_M = 1e-9
_IN_DOUBT_M = 0.01


@inlined
def geodesic_m(levels: Table, at: int, x_m: float, y_m: float, z_m: float) -> float:
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
        here, run_x, bend_x = on_cubic(curves, curve, share, 0)
        off_x = places_m[0, place] - here
        here, run_y, bend_y = on_cubic(curves, curve, share, 1)
        off_y = places_m[1, place] - here
        here, run_z, bend_z = on_cubic(curves, curve, share, 2)
        off_z = places_m[2, place] - here
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
    found[0] = geodesic_m(levels, curve, off_x, off_y, off_z)
    if found[0] > wide_m * _SLACK_RATIO + _SLACK_M:
        return False
    found[1] = share
    found[2] = 0.0
    if share <= 0.0 or share >= 1.0:
        straight = run_x * run_x + run_y * run_y + run_z * run_z
        found[2] = (off_x * run_x + off_y * run_y + off_z * run_z) / math.sqrt(straight + 1e-24)
    found[3] = to_the_right(places_m, place, (run_x, run_y, run_z), (off_x, off_y, off_z))
    return True


@inlined
def chord_share(curves: Table, curve: int, places_m: Floats, place: int) -> float:
    """Return the share of the way at which a chord is nearest to a point."""
    x = places_m[0, place] - curves[curve, 0, 0]
    y = places_m[1, place] - curves[curve, 0, 1]
    z = places_m[2, place] - curves[curve, 0, 2]
    share = (x * curves[curve, 4, 0] + y * curves[curve, 4, 1] + z * curves[curve, 4, 2]) / curves[
        curve, 5, 0
    ]
    return float(min(max(share, 0.0), 1.0))


@inlined
def to_the_right(
    places_m: Floats, place: int, run: tuple[float, float, float], off: tuple[float, float, float]
) -> float:
    """Return a number above zero for what lies off to the right of a run, seen from above."""
    up_z = places_m[2, place] / (1.0 - E2)
    return float(
        off[0] * (run[1] * up_z - run[2] * places_m[1, place])
        + off[1] * (run[2] * places_m[0, place] - run[0] * up_z)
        + off[2] * (run[0] * places_m[1, place] - run[1] * places_m[0, place])
    )


@inlined
def measure(from_m: float, to_m: float, share_ratio: float) -> float:
    """Return the measure at a share of the way, at its end to the last digit."""
    return to_m if share_ratio == 1.0 else from_m + share_ratio * (to_m - from_m)


@inlined
def on_cubic(
    curves: Table, curve: int, share_ratio: float, axis: int
) -> tuple[float, float, float]:
    """Return one coordinate of a place on a cubic with its first and second derivative."""
    run, square, cube = curves[curve, 1, axis], curves[curve, 2, axis], curves[curve, 3, axis]
    place = curves[curve, 0, axis] + share_ratio * (
        run + share_ratio * (square + share_ratio * cube)
    )
    slope = run + share_ratio * (2.0 * square + share_ratio * 3.0 * cube)
    return place, slope, 2.0 * square + 6.0 * share_ratio * cube


_TRACK = "int64[::1],int64[:,::1],int64,float64[:,::1]"
_ASKED = "int64[::1],float64[:,::1],float64[::1],int64[::1],float64[::1],float64"
_ROWS = "int64[:,::1],float64[:,::1],int64"


@inlined
def _choose(
    away_m: Floats, start: int, end: int, owner: Ints, asked_m: Table, limits_m: Table, line: int,
    doubt_m: float, best_m: Floats, zero_m: float, least_m: float, chosen: Ints,
) -> tuple[int, float]:  # fmt: skip
    """Choose the points of a span that may matter; return how many, and the least margin so far.

    A point is ``doubt_m`` nearer or farther at most than ``away_m`` says.
    """
    own = asked_m.shape[0] > 1
    need_m = _need_m(asked_m, 0, limits_m, line)
    for row in range(end - start):
        if own:
            need_m = _need_m(asked_m, owner[start + row], limits_m, line)
        least_m = min(least_m, away_m[row] + doubt_m - need_m)
    count = 0
    for row in range(end - start):
        if own:
            need_m = _need_m(asked_m, owner[start + row], limits_m, line)
        near_m = max(best_m[start + row] - zero_m, need_m + max(least_m, 0.0))
        chosen[count] = start + row
        # Without a branch: which points are chosen is hard to foresee for a processor.
        count += 1 if away_m[row] <= near_m + doubt_m else 0
    return count, least_m


@inlined
def _need_m(asked_m: Table, owner: int, limits_m: Table, line: int) -> float:
    """Return within what distance a danger is inside its limit: its own, else that of the line.

    ``asked_m`` holds the uncertainty of its position, its own limit, nan without one, and as its
    fourth the column of the line's limits that counts. An infinite limit of the line counts before
    all: it asks for every row.
    """
    own_m = asked_m[owner, 1]
    line_m = limits_m[line, int(asked_m[owner, 3])]
    by_line = math.isnan(own_m) or math.isinf(line_m)
    return float(asked_m[owner, 0] + (line_m if by_line else own_m))


@inlined
def _row_of(seen: Ints, numbers: Ints, count: int, group: int, place: int) -> int:
    """Return the row that a group has of a point already, -1 without one.

    What ``seen`` says may be left from an earlier question: the row itself tells.
    """
    row = int(seen[place])
    if row < count and numbers[0, row] == group and numbers[1, row] == place:
        return row
    return -1


@inlined
def _write(
    numbers: Ints, values: Table, row: int, group: int, place: int, distance_m: float,
    along_m: float, ahead_m: float, right_m: float,
) -> None:  # fmt: skip
    """Write a row."""
    numbers[0, row] = group
    numbers[1, row] = place
    values[0, row] = distance_m
    values[1, row] = along_m
    values[2, row] = ahead_m
    values[3, row] = right_m


@compiled(
    "UniTuple(int64,2)(float64[:,:,::1],float64[:,::1],float64[:,::1],float64[:,::1],int64[::1],"
    f"{_TRACK},{_ASKED},{_ROWS})"
)
def curves_loop(
    curves: Table, levels: Table, shape: Table, limits_m: Table, seen: Ints, group: Ints,
    spans: Ints, span: int,
    places_m: Floats, owner: Ints, asked_m: Table, away_m: Floats, chosen: Ints, best_m: Floats,
    zero_m: float, numbers: Ints, values: Table, count: int,
) -> tuple[int, int]:  # fmt: skip
    """Write rows of the points near curves that matter; return the next span and row.

    A row matters if no other piece is surely nearer to the point, if the point is inside its
    limit, or if none before had less left over its limit on the same group; how far a point is from
    the track at most stands in ``best_m``, counted from ``zero_m``. It ends early where ``numbers``
    of group and point, and ``values`` of distance, measure, run left to abeam and distance to the
    right, have no room for a whole span. ``asked_m`` holds uncertainty, own limit, search
    distance and the column of ``limits_m`` of each owner, or of all.
    """
    found = np.empty(4)
    own = asked_m.shape[0] > 1
    last, least_m = -1, math.inf
    while span < spans.shape[0]:
        curve, start, end = spans[span]
        if count + end - start > numbers.shape[1]:
            break
        bow_m, from_m, to_m = shape[curve]
        if group[curve] != last:
            last, least_m = group[curve], math.inf
        from_chord_m(curves, curve, places_m, start, end, away_m)
        some, least_m = _choose(
            away_m, start, end, owner, asked_m, limits_m, curve, bow_m + _IN_DOUBT_M, best_m,
            zero_m, least_m, chosen,
        )  # fmt: skip
        for number in range(some):
            place = chosen[number]
            search_m = asked_m[owner[place] if own else 0, 2]
            if away_m[place - start] > search_m + bow_m:
                continue
            found[1] = chord_share(curves, curve, places_m, place)
            if not _look_from_curve(curves, levels, curve, places_m, place, search_m, found):
                continue
            best_m[place] = min(best_m[place], found[0] + zero_m)
            row = _row_of(seen, numbers, count, last, place)
            if row < 0 or found[0] < values[0, row] - _SAME_M:
                if row < 0:
                    row = count
                    count += 1
                    seen[place] = row
                along_m = measure(from_m, to_m, found[1])
                _write(numbers, values, row, last, place, found[0], along_m, found[2], found[3])
        span += 1
    return span, count


@inlined
def look_from_circle(
    frame: Table, levels: Table, ends_m: Floats, arc: int, shape: Table, places_m: Floats,
    place: int, wide_m: float, found: Table,
) -> bool:  # fmt: skip
    """Find the nearest place of an arc to a point; return whether the point is near.

    The geodesic from the centre meets the arc square, so inside the arc's sector the distance is
    that from the centre less the radius; outside it the nearer end of the arc is nearest.
    ``found`` takes distance, way from the start, and distance beyond the circle.
    """
    x = places_m[0, place] - frame[arc, 0, 0]
    y = places_m[1, place] - frame[arc, 0, 1]
    z = places_m[2, place] - frame[arc, 0, 2]
    radius_m, half_rad = shape[arc, 0], shape[arc, 1]
    from_centre_m = geodesic_m(levels, arc, x, y, z)
    angle = math.atan2(
        x * frame[arc, 2, 0] + y * frame[arc, 2, 1] + z * frame[arc, 2, 2],
        x * frame[arc, 1, 0] + y * frame[arc, 1, 1] + z * frame[arc, 1, 2],
    )
    if abs(angle) <= half_rad:
        distance_m = abs(from_centre_m - radius_m)
    else:
        end = 1 if angle > 0.0 else 0
        distance_m = geodesic_m(
            levels,
            arc,
            places_m[0, place] - ends_m[arc, end, 0],
            places_m[1, place] - ends_m[arc, end, 1],
            places_m[2, place] - ends_m[arc, end, 2],
        )
    if distance_m > wide_m * _SLACK_RATIO + _SLACK_M:
        return False
    found[0] = distance_m
    found[1] = (min(max(angle, -half_rad), half_rad) + half_rad) * radius_m
    found[2] = from_centre_m - radius_m
    return True


@compiled(
    "UniTuple(int64,2)(float64[:,:,::1],float64[:,::1],float64[:,:,::1],float64[:,::1],"
    f"float64[:,::1],{_TRACK},{_ASKED},{_ROWS})"
)
def circles_loop(
    frame: Table, levels: Table, ends_m: Floats, shape: Table, limits_m: Table, group: Ints,
    spans: Ints, span: int,
    places_m: Floats, owner: Ints, asked_m: Table, away_m: Floats, chosen: Ints, best_m: Floats,
    zero_m: float, numbers: Ints, values: Table, count: int,
) -> tuple[int, int]:  # fmt: skip
    """Write rows of the points near arcs that matter, as ``curves_loop`` does."""
    found = np.empty(3)
    own = asked_m.shape[0] > 1
    last, least_m = -1, math.inf
    while span < spans.shape[0]:
        arc, start, end = spans[span]
        if count + end - start > numbers.shape[1]:
            break
        doubt_m = shape[arc, 2]
        if arc != last:
            last, least_m = arc, math.inf
        from_arc_m(frame, ends_m, shape, arc, places_m, start, end, away_m)
        some, least_m = _choose(
            away_m, start, end, owner, asked_m, limits_m, arc, doubt_m, best_m, zero_m, least_m,
            chosen,
        )  # fmt: skip
        for number in range(some):
            place = chosen[number]
            search_m = asked_m[owner[place] if own else 0, 2]
            if away_m[place - start] <= search_m + doubt_m and look_from_circle(
                frame, levels, ends_m, arc, shape, places_m, place, search_m, found
            ):
                best_m[place] = min(best_m[place], found[0] + zero_m)
                _write(numbers, values, count, group[arc], place, found[0], found[1], 0.0, found[2])
                count += 1
        span += 1
    return span, count
