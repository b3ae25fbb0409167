"""The compiled loops that say where edges and pieces of the track are nearest to one another.

Each pair is looked at by itself: what it gives hangs on no other that was asked about.
"""

import math

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined
from wheelover.core.geo.edge_places import foot_on_cubic, foot_on_edge, on_edge
from wheelover.core.geo.near_loops import (
    LONGEST_M,
    geodesic_m,
    look_from_circle,
    measure,
    to_the_right,
)

_MOST_STEPS = 80
_ROOT_SHARE = 1e-12
_CLOSE_M = 1e-8
_ON_TRACK_M = 0.0005
_NO_DOUBT_M = 0.01
_NO_DOUBT_SHARE = 1e-6


@inlined
def _past_abeam(
    curves: Table, curve: int, edges: Table, edge: int, share_ratio: float,
    foot: Table, there: Table, here: Table,
) -> tuple[float, float]:  # fmt: skip
    """Return how far past abeam of its curve an edge has run, and how far apart they are.

    ``foot`` holds the share of the curve to begin at, and takes that of its nearest place.
    """
    on_edge(edges, edge, share_ratio, there)
    foot[0] = foot_on_cubic(curves, curve, there[0], there[1], there[2], foot[0], here)
    x, y, z = there[0] - here[0], there[1] - here[1], there[2] - here[2]
    return x * there[3] + y * there[4] + z * there[5], math.sqrt(x * x + y * y + z * z)


@inlined
def _between(
    low_ratio: float, past_low_m: float, high_ratio: float, past_high_m: float, step: int
) -> float:
    """Return where to look next for a change of sign: along the chord, at times half way."""
    middle = 0.5 * (low_ratio + high_ratio)
    if step % 4 == 3 or past_high_m == past_low_m:
        return middle
    share_ratio = low_ratio - past_low_m * (high_ratio - low_ratio) / (past_high_m - past_low_m)
    return share_ratio if low_ratio < share_ratio < high_ratio else middle


@inlined
def _beyond_circle(
    frame: Table, levels: Table, arc: int, radius_m: float, edges: Table, edge: int,
    share_ratio: float, there: Table,
) -> float:  # fmt: skip
    """Return how far outside the circle of an arc a place on an edge lies, negative inside."""
    on_edge(edges, edge, share_ratio, there)
    return (
        geodesic_m(
            levels,
            arc,
            there[0] - frame[arc, 0, 0],
            there[1] - frame[arc, 0, 1],
            there[2] - frame[arc, 0, 2],
        )
        - radius_m
    )


@inlined
def _narrowed(
    low_ratio: float, past_low_m: float, high_ratio: float, past_high_m: float,
    share_ratio: float, past_m: float, step: int,
) -> tuple[float, float, float, float]:  # fmt: skip
    """Return a bracket with a look between its ends taken for the end on its side.

    An end that stays counts for half every other time: so the other does not creep towards it.
    """
    keeps = 1.0 if step % 2 == 0 else 0.5
    if past_m < 0.0:
        return share_ratio, past_m, high_ratio, keeps * past_high_m
    return low_ratio, keeps * past_low_m, share_ratio, past_m


@inlined
def _abeam_of_curve(
    curves: Table, curve: int, edges: Table, edge: int, low_ratio: float, past_low_m: float,
    high_ratio: float, past_high_m: float, foot: Table, there: Table, here: Table,
) -> float:  # fmt: skip
    """Return the share of an edge, between two, at which it is abeam of its curve."""
    share_ratio = low_ratio
    for step in range(_MOST_STEPS):
        if high_ratio - low_ratio <= _ROOT_SHARE:
            break
        share_ratio = _between(low_ratio, past_low_m, high_ratio, past_high_m, step)
        past, _ = _past_abeam(curves, curve, edges, edge, share_ratio, foot, there, here)
        way2_m2 = there[3] * there[3] + there[4] * there[4] + there[5] * there[5]
        if abs(past) <= _ROOT_SHARE * way2_m2:
            break
        low_ratio, past_low_m, high_ratio, past_high_m = _narrowed(
            low_ratio, past_low_m, high_ratio, past_high_m, share_ratio, past, step
        )
    return share_ratio


@inlined
def _look_from_curve(
    curves: Table, levels: Table, bounds_m: Table, curve: int, edges: Table, edge: int,
    there: Table, here: Table, foot: Table, looks: Table, place_m: Table, found: Table, row: int,
) -> None:  # fmt: skip
    """Write where a curve and an edge are nearest, as ``leg_edges_loop`` says.

    Along an edge the run to abeam of the curve's nearest place is zero where the distance is least.
    ``looks`` has room for run and distance at three places.
    """
    foot[0], best = 0.5, 0
    for part in range(3):
        looks[0, part], looks[1, part] = _past_abeam(
            curves, curve, edges, edge, 0.5 * part, foot, there, here
        )
        if looks[1, part] < looks[1, best]:
            best = part
    best_share, best_m = 0.5 * best, looks[1, best]
    for part in range(2):
        if not (looks[0, part] < 0.0 and looks[0, part + 1] > 0.0):
            continue
        share_ratio = _abeam_of_curve(
            curves, curve, edges, edge, 0.5 * part, looks[0, part], 0.5 * part + 0.5,
            looks[0, part + 1], foot, there, here,
        )  # fmt: skip
        _, apart_m = _past_abeam(curves, curve, edges, edge, share_ratio, foot, there, here)
        if apart_m < best_m:
            best_share, best_m = share_ratio, apart_m
    _past_abeam(curves, curve, edges, edge, best_share, foot, there, here)
    off = there[0] - here[0], there[1] - here[1], there[2] - here[2]
    run = here[3], here[4], here[5]
    found[row, 0], found[row, 1] = best_share, best_m
    found[row, 2] = geodesic_m(levels, curve, off[0], off[1], off[2])
    found[row, 3] = measure(bounds_m[curve, 0], bounds_m[curve, 1], foot[0])
    found[row, 4] = 0.0
    if foot[0] <= 0.0 or foot[0] >= 1.0:
        straight = run[0] * run[0] + run[1] * run[1] + run[2] * run[2]
        found[row, 4] = (off[0] * run[0] + off[1] * run[1] + off[2] * run[2]) / math.sqrt(
            straight + 1e-24
        )
    place_m[0, 0], place_m[1, 0], place_m[2, 0] = there[0], there[1], there[2]
    found[row, 5] = to_the_right(place_m, 0, run, off)


@inlined
def _begin(
    pair: int, piece: Ints, edge: Ints, keys: Ints, most_m: Floats, best_m: Floats, mark: Ints,
    epoch: int,
) -> int:  # fmt: skip
    """Take the bounds of the pairs of one piece; return the first pair of the next."""
    end = pair
    while end < piece.size and piece[end] == piece[pair]:
        lower(best_m, mark, keys[edge[end]], epoch, most_m[end])
        end += 1
    return end


@inlined
def lower(best_m: Floats, mark: Ints, key: int, epoch: int, most_m: float) -> None:
    """Lower the bound of a key; what other epochs left of it is not meant."""
    if mark[key] != epoch:
        mark[key], best_m[key] = epoch, most_m
    elif most_m < best_m[key]:
        best_m[key] = most_m


_PAIRS = "int64[::1],int64[::1],int64[::1],float64[::1],float64[::1]"
_MARKED = "int64[::1],float64[::1],int64[::1],int64"


@compiled(
    "UniTuple(int64,2)(float64[:,:,::1],float64[:,::1],float64[:,::1],float64[:,::1],"
    f"{_PAIRS},{_MARKED},float64[:,::1],int64[::1])"
)
def leg_edges_loop(
    curves: Table, levels: Table, bounds_m: Table, edges: Table, line: Ints, piece: Ints,
    edge: Ints, least_m: Floats, most_m: Floats, keys: Ints, best_m: Floats, mark: Ints,
    epoch: int, found: Table, kept: Ints,
) -> tuple[int, int]:  # fmt: skip
    """Write for pairs of a curve and an edge where they are nearest; return rows and epoch.

    Of each piece and key, by ``keys`` of edges, only those pairs are told that may be nearest, with
    their numbers in ``kept``: others are not looked at where bounds show it. ``found`` takes
    the share of the edge, the chord, the geodesic distance, the measure of the curve, what is left
    along it to abeam, and a number above zero where the edge lies to the right.
    """
    there, here, foot = np.empty(9), np.empty(9), np.zeros(1)
    looks, place_m = np.empty((2, 3)), np.empty((3, 1))
    pair = count = 0
    while pair < line.size:
        epoch += 1
        end, first = _begin(pair, piece, edge, keys, most_m, best_m, mark, epoch), count
        for one in range(pair, end):
            key = keys[edge[one]]
            if least_m[one] > best_m[key]:
                continue
            _look_from_curve(
                curves, levels, bounds_m, line[one], edges, edge[one], there, here, foot, looks,
                place_m, found, count,
            )  # fmt: skip
            doubt_m = _NO_DOUBT_M + _NO_DOUBT_SHARE * found[count, 1]
            lower(best_m, mark, key, epoch, found[count, 1] + doubt_m)
            kept[count] = one
            count += 1
        looked, count = count, first
        for row in range(first, looked):
            doubt_m = _NO_DOUBT_M + _NO_DOUBT_SHARE * found[row, 1]
            if found[row, 1] - doubt_m <= best_m[keys[edge[kept[row]]]]:
                kept[count] = kept[row]
                for column in range(6):
                    found[count, column] = found[row, column]
                count += 1
        pair = end
    return count, epoch


@inlined
def _on_circle(
    frame: Table, levels: Table, arc: int, radius_m: float, edges: Table, edge: int,
    inner_ratio: float, past_inner_m: float, outer_ratio: float, past_outer_m: float, there: Table,
) -> float:  # fmt: skip
    """Return the share of an edge, between one inside a circle and one outside, where it is met."""
    low_ratio, high_ratio = min(inner_ratio, outer_ratio), max(inner_ratio, outer_ratio)
    turned = 1.0 if inner_ratio < outer_ratio else -1.0
    past_low_m, past_high_m = (
        (past_inner_m, past_outer_m)
        if inner_ratio < outer_ratio
        else (-past_outer_m, -past_inner_m)
    )
    share_ratio = inner_ratio
    for step in range(_MOST_STEPS):
        if high_ratio - low_ratio <= _ROOT_SHARE:
            break
        share_ratio = _between(low_ratio, past_low_m, high_ratio, past_high_m, step)
        beyond = turned * _beyond_circle(
            frame, levels, arc, radius_m, edges, edge, share_ratio, there
        )
        if abs(beyond) <= _CLOSE_M:
            break
        low_ratio, past_low_m, high_ratio, past_high_m = _narrowed(
            low_ratio, past_low_m, high_ratio, past_high_m, share_ratio, beyond, step
        )
    return share_ratio


@inlined
def _candidates(
    frame: Table, levels: Table, ends_m: Floats, radius_m: float, arc: int, edges: Table,
    edge: int, shares: Table, there: Table,
) -> None:  # fmt: skip
    """Write the shares of the way at which an edge may be nearest to its arc."""
    shares[0], shares[1] = 0.0, 1.0
    centre_x, centre_y, centre_z = frame[arc, 0, 0], frame[arc, 0, 1], frame[arc, 0, 2]
    shares[2] = foot_on_edge(edges, edge, centre_x, centre_y, centre_z, 0.5, there)
    for end in range(2):
        x, y, z = ends_m[arc, end, 0], ends_m[arc, end, 1], ends_m[arc, end, 2]
        shares[3 + end] = foot_on_edge(edges, edge, x, y, z, 0.5, there)
    inner_ratio = shares[2]
    here_m = _beyond_circle(frame, levels, arc, radius_m, edges, edge, inner_ratio, there)
    for end in range(2):
        shares[5 + end] = inner_ratio
        if here_m < 0.0:
            there_m = _beyond_circle(frame, levels, arc, radius_m, edges, edge, end * 1.0, there)
            if there_m > 0.0:
                shares[5 + end] = _on_circle(
                    frame, levels, arc, radius_m, edges, edge, inner_ratio, here_m, end * 1.0,
                    there_m, there,
                )  # fmt: skip


@inlined
def _look_from_arc(
    frame: Table, levels: Table, ends_m: Floats, shape: Table, arc: int, edges: Table, edge: int,
    there: Table, shares: Table, look: Table, place_m: Table, found: Table, row: int,
) -> None:  # fmt: skip
    """Write where an arc and an edge are nearest, as ``arc_edges_loop`` says.

    On an edge the nearest place to an arc is one of its ends, the place nearest to the centre or to
    an end of the arc, or a place where it crosses the circle.
    """
    _candidates(frame, levels, ends_m, shape[arc, 0], arc, edges, edge, shares, there)
    least_m = math.inf
    for number in range(shares.size):
        on_edge(edges, edge, shares[number], there)
        for axis in range(3):
            place_m[axis, 0] = there[axis]
        look_from_circle(frame, levels, ends_m, arc, shape, place_m, 0, math.inf, look)
        off_m = 0.0 if look[0] < _ON_TRACK_M else look[0]
        if off_m < least_m or (off_m == least_m and look[1] < found[row, 2]):
            least_m = off_m
            found[row, 0], found[row, 1] = shares[number], look[0]
            found[row, 2], found[row, 3] = look[1], look[2]


@compiled(
    "UniTuple(int64,2)(float64[:,:,::1],float64[:,::1],float64[:,:,::1],float64[:,::1],"
    f"float64[:,::1],{_PAIRS},float64[::1],{_MARKED},float64[:,::1],int64[::1])"
)
def arc_edges_loop(
    frame: Table, levels: Table, ends_m: Floats, shape: Table, edges: Table, line: Ints,
    piece: Ints, edge: Ints, least_m: Floats, most_m: Floats, search_m: Floats, keys: Ints,
    best_m: Floats, mark: Ints, epoch: int, found: Table, kept: Ints,
) -> tuple[int, int]:  # fmt: skip
    """Write for pairs of an arc and an edge where they are nearest, as ``leg_edges_loop`` does.

    ``found`` takes the share of the edge, the distance, the way along the arc and how far outside
    its circle the place lies; of crossings the first along the arc counts. Where the search
    reaches more than ``LONGEST_M`` from the centre the distance is nan: it wants an exact look.
    """
    there, shares, look = np.empty(9), np.empty(7), np.empty(3)
    place_m = np.empty((3, 1))
    pair = count = 0
    while pair < line.size:
        epoch += 1
        end = _begin(pair, piece, edge, keys, most_m, best_m, mark, epoch)
        for one in range(pair, end):
            key, arc = keys[edge[one]], line[one]
            if least_m[one] > best_m[key]:
                continue
            if shape[arc, 0] + search_m[edge[one]] > LONGEST_M:
                found[count, 1] = math.nan
            else:
                _look_from_arc(
                    frame, levels, ends_m, shape, arc, edges, edge[one], there, shares, look,
                    place_m, found, count,
                )  # fmt: skip
                lower(best_m, mark, key, epoch, found[count, 1] + _NO_DOUBT_M)
            kept[count] = one
            count += 1
        pair = end
    return count, epoch
