"""The compiled loops that say, roughly and fast, how far points of a grid are from curves and arcs.

Nothing in them branches, so that a processor takes two points at a time.
"""

import math

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, inlined


@inlined
def from_chord_m(
    curves: Table, curve: int, places_m: Floats, start: int, end: int, away_m: Floats
) -> None:
    """Write how far from the chord of a curve the points of a span are."""
    from_x, from_y, from_z = curves[curve, 0, 0], curves[curve, 0, 1], curves[curve, 0, 2]
    leap_x, leap_y, leap_z = curves[curve, 4, 0], curves[curve, 4, 1], curves[curve, 4, 2]
    per_way2 = 1.0 / curves[curve, 5, 0]
    # Numbers that cannot be negative: else the compiler does not take two points at a time.
    first = np.uint64(start)
    for row in range(np.uint64(end - start)):
        place = first + row
        x = places_m[0, place] - from_x
        y = places_m[1, place] - from_y
        z = places_m[2, place] - from_z
        share = min(max((x * leap_x + y * leap_y + z * leap_z) * per_way2, 0.0), 1.0)
        x -= share * leap_x
        y -= share * leap_y
        z -= share * leap_z
        away_m[row] = math.sqrt(x * x + y * y + z * z)


@inlined
def from_arc_m(
    frame: Table, ends_m: Floats, shape: Table, arc: int, places_m: Floats, start: int, end: int,
    away_m: Floats,
) -> None:  # fmt: skip
    """Write how far from an arc the points of a span are, to a centimetre within 5 NM."""
    radius_m, cosine = shape[arc, 0], math.cos(shape[arc, 1])
    at_x, at_y, at_z = frame[arc, 0, 0], frame[arc, 0, 1], frame[arc, 0, 2]
    mid_x, mid_y, mid_z = frame[arc, 1, 0], frame[arc, 1, 1], frame[arc, 1, 2]
    on_x, on_y, on_z = frame[arc, 2, 0], frame[arc, 2, 1], frame[arc, 2, 2]
    from_x, from_y, from_z = ends_m[arc, 0, 0], ends_m[arc, 0, 1], ends_m[arc, 0, 2]
    to_x, to_y, to_z = ends_m[arc, 1, 0], ends_m[arc, 1, 1], ends_m[arc, 1, 2]
    signed2 = cosine * abs(cosine)
    first = np.uint64(start)
    for row in range(np.uint64(end - start)):
        place = first + row
        x, y, z = places_m[0, place], places_m[1, place], places_m[2, place]
        east, north, up = x - at_x, y - at_y, z - at_z
        middle = east * mid_x + north * mid_y + up * mid_z
        onward = east * on_x + north * on_y + up * on_z
        within = middle * abs(middle) >= signed2 * (middle * middle + onward * onward)
        x -= to_x if onward > 0.0 else from_x
        y -= to_y if onward > 0.0 else from_y
        z -= to_z if onward > 0.0 else from_z
        inside2 = east * east + north * north + up * up
        chord_m = math.sqrt(inside2 if within else x * x + y * y + z * z)
        away_m[row] = abs(chord_m - (radius_m if within else 0.0))


@inlined
def _lower(best_m: Floats, start: int, end: int, away_m: Floats, more_m: float) -> None:
    """Lower the bounds of the points of a span to how far away they are and some more."""
    first = np.uint64(start)
    for row in range(np.uint64(end - start)):
        best_m[first + row] = min(best_m[first + row], away_m[row] + more_m)


@compiled(
    "void(float64[:,:,::1],float64[::1],int64[:,::1],float64[:,::1],float64[::1],float64[::1])"
)
def curve_bounds_loop(
    curves: Table, more_m: Floats, spans: Ints, places_m: Floats, away_m: Floats, best_m: Floats
) -> None:
    """Lower the bounds of points to the distance of chords and ``more_m``."""
    for span in range(spans.shape[0]):
        curve, start, end = spans[span]
        from_chord_m(curves, curve, places_m, start, end, away_m)
        _lower(best_m, start, end, away_m, more_m[curve])


@compiled(
    "void(float64[:,:,::1],float64[:,:,::1],float64[:,::1],float64,int64[:,::1],float64[:,::1],"
    "float64[::1],float64[::1])"
)
def circle_bounds_loop(
    frame: Table, ends_m: Floats, shape: Table, more_m: float, spans: Ints, places_m: Floats,
    away_m: Floats, best_m: Floats,
) -> None:  # fmt: skip
    """Lower the bounds of points to the distance of arcs and ``more_m``."""
    for span in range(spans.shape[0]):
        arc, start, end = spans[span]
        from_arc_m(frame, ends_m, shape, arc, places_m, start, end, away_m)
        _lower(best_m, start, end, away_m, more_m)
