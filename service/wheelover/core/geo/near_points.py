"""Points near short curves and near arcs, found in a grid of points.

Everything is reckoned with earth-centred vectors, so that neither the meridian of 180 degrees nor
a high latitude needs anything special, and no projection stands in for the ellipsoid.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table, side_by_side
from wheelover.core.geo.cubic import Cubics
from wheelover.core.geo.near_bounds import circle_bounds_loop, curve_bounds_loop
from wheelover.core.geo.near_loops import circles_loop, curves_loop
from wheelover.core.geo.point_grid import PointGrid, Scratch
from wheelover.core.geo.span_loop import boxes_loop, spans_loop

_FIRST_ROOM = 250_000
_CIRCLE_DOUBT_M = 0.05
_CHORD_RATIO = 1e-4


class Near(NamedTuple):
    """Pairs of a curve or an arc and a point near it, in columns of shape (m,).

    ``group`` is that of the curve, ``point`` the number of the point and ``distance_m`` the
    geodesic distance. ``along_m`` is where the nearest place lies, by the bounds of the curve.
    ``ahead_m`` is what is left along the curve from there to abeam of the point, zero but
    at an end, and ``right_m`` is above zero where the point lies to the right of it.
    """

    group: Ints
    point: Ints
    distance_m: Floats
    along_m: Floats
    ahead_m: Floats
    right_m: Floats

    def rows(self, which: Ints | slice) -> "Near":
        """Return the pairs of the given numbers."""
        return Near(
            self.group[which],
            self.point[which],
            self.distance_m[which],
            self.along_m[which],
            self.ahead_m[which],
            self.right_m[which],
        )


def boxes_around(lat_deg: Floats, lon_deg: Floats, margin_m: Floats) -> Table:
    """Return boxes that hold all that is within a margin of lines between two positions.

    Parameters
    ----------
    lat_deg, lon_deg : ndarray, shape (s, 2)
        Both ends of each line, which runs the shorter way in longitude and leaves the box of its
        ends by less than the margin has in hand.
    margin_m : ndarray, shape (s,)
        Margin in metres.

    Returns
    -------
    ndarray, shape (s, 4)
        South, north, west and east in degrees: west from -180 up to 180, and east at most 360
        degrees east of it.
    """
    boxes = np.empty((margin_m.size, 4))
    boxes_loop(lat_deg, lon_deg, margin_m, boxes)
    return boxes


class Curves(NamedTuple):
    """Curves, s of them, each so short that it has one nearest place only.

    ``bounds_m`` is the measure of the way at both ends of each. ``group``, ascending, is what each
    is a part of: a point is given once for each.
    """

    cubics: Cubics
    boxes: Table
    bounds_m: tuple[Floats, Floats]
    group: Ints


class Circles(NamedTuple):
    """Arcs of circles, c of them.

    ``frame`` of shape (c, 3, 3) holds the earth-centred place of the centre, the direction from
    there to the middle of the arc, and the direction a quarter of a circle on in its sense.
    ``ends_m`` of shape (c, 2, 3) holds the places of both ends, ``radius_m`` and ``half_rad``, of
    shape (c,), the geodesic radius and half the angle at the centre. ``levels`` are those at the
    centres, as of ``Cubics``.
    """

    frame: Table
    ends_m: Floats
    radius_m: Floats
    half_rad: Floats
    levels: Table


class Sought(NamedTuple):
    """Which points are looked for.

    ``asked_m`` of shape (k, 4) or (1, 4) holds for each of the owners of points, or for all alike,
    the uncertainty of its position, its own limit, nan without one, how far around it to look, and
    the number of the column of limits that counts for it.
    One for all is faster: those of a million dangers do not fit the cache of a processor.
    ``widest_m`` is the largest distance to look, and ``column_count`` says how many columns of
    limits there are.
    """

    grid: PointGrid
    asked_m: Table
    widest_m: float
    column_count: int


def near_lines(
    curves: Curves,
    circles: Circles,
    boxes: Table,
    sought: Sought,
    limits_m: tuple[Table, Table] | None = None,
) -> tuple[Near, int]:
    """Return the points within their search distance of curves, and of arcs.

    Parameters
    ----------
    curves : Curves
        Curves, s of them.
    circles : Circles
        Arcs, c of them; they are answered under their numbers.
    boxes : ndarray, shape (c, 4)
        Where to look for the points near each arc.
    sought : Sought
        Points and search distances. With ``limits_m`` none may be beyond ``LONGEST_M``.
    limits_m : tuple of ndarrays, shape (s, m) and (c, m), or None
        Limits of curves and arcs for owners without one of their own, in m columns. With them only
        rows that may matter are returned, which takes a fraction of the time: for each point those
        of the groups and arcs to which it is nearest, within some millimetres; those of points in
        the limit, widened by their uncertainty; and for each group and arc that of the point
        with the least left over the limit. Others may be among them, not all with the nearest
        place of their group.

    Returns
    -------
    near : Near
        Those of the curves, and behind them those of the arcs. Beyond ``LONGEST_M`` the distances
        are rough and want one exact look. For arcs ``along_m`` is the angle from the start times
        the radius, and ``right_m`` how far outside the circle the point lies, negative inside.
    curve_row_count : int
        How many rows are those of curves.
    """
    every = limits_m is None
    # Where every point is inside the limit, every row matters.
    on_curves_m, on_circles_m = limits_m or (
        np.full((curves.group.size, sought.column_count), np.inf),
        np.full((circles.radius_m.size, sought.column_count), np.inf),
    )
    legs = _curve_tables(curves, on_curves_m)
    arcs = _circle_tables(circles, on_circles_m, sought.widest_m if every else 0.0)
    leg_spans, arc_spans = (spans_in(one, sought.grid) for one in (curves.boxes, boxes))
    with sought.grid.scratches.lent() as scratch:
        scratch.begin()
        if not every:
            places_m, best_m, zero_m = sought.grid.places_m, scratch.best_m, scratch.zero_m
            away_m = np.empty(_longest(leg_spans, arc_spans))
            curve_bounds_loop(
                legs[0], curves.cubics.bow_m + zero_m, leg_spans, places_m, away_m, best_m
            )
            circle_bounds_loop(
                arcs[0], arcs[2], arcs[3], _CIRCLE_DOUBT_M + zero_m, arc_spans, places_m, away_m,
                best_m,
            )  # fmt: skip
        numbered_arcs = (*arcs, np.arange(circles.radius_m.size))
        found = _Found.of(leg_spans, arc_spans)
        numbered_legs = (*legs, scratch.seen, curves.group)
        found = _rows(curves_loop, numbered_legs, leg_spans, sought, scratch, found)
        on_curves = found.row_count
        found = _rows(circles_loop, numbered_arcs, arc_spans, sought, scratch, found)
    return found.near(sought.grid), on_curves


def _curve_tables(curves: Curves, limit_m: Table) -> tuple[Table, Table, Table, Table]:
    """Return curves as their loop takes them.

    First start, run, square and cube terms, the way to the end and its square; then levels half
    way; then bow and bounds; then limits.
    """
    return (
        curves.cubics.terms,
        curves.cubics.levels,
        side_by_side(curves.cubics.bow_m, *curves.bounds_m),
        np.ascontiguousarray(limit_m),
    )


def _circle_tables(
    circles: Circles, limit_m: Table, far_m: float
) -> tuple[Table, Table, Floats, Table, Table]:
    """Return arcs as their loop takes them; their rough distances serve as far as ``far_m``.

    A chord is shorter than the geodesic by less than one part in 10,000 at 200 km.
    """
    radius_m = circles.radius_m
    doubt_m = _CIRCLE_DOUBT_M + _CHORD_RATIO * (far_m + radius_m if far_m else 0.0 * radius_m)
    return (
        circles.frame,
        circles.levels,
        circles.ends_m,
        side_by_side(radius_m, circles.half_rad, doubt_m),
        np.ascontiguousarray(limit_m),
    )


def spans_in(boxes: Table, grid: PointGrid) -> Ints:
    """Return the spans of the sorted points of a grid in boxes, shape (m, 3): box, start and end.

    Parameters
    ----------
    boxes : ndarray, shape (s, 4)
        The boxes, as ``boxes_around`` returns them.
    grid : PointGrid
        The points.
    """
    return spans_loop(boxes, grid.lon_deg, grid.first_band_index, grid.cell_starts)


def _longest(*spans: Ints) -> int:
    """Return how many points the longest span has."""
    return max(int(np.max(one[:, 2] - one[:, 1], initial=0)) for one in spans)


class _Found(NamedTuple):
    """Tables of rows, of which so many are written; room for the longest span."""

    numbers: Ints
    values: Table
    row_count: int
    away_m: Floats
    chosen: Ints

    @classmethod
    def of(cls, *spans: Ints) -> "_Found":
        """Return room for what spans hold, or for the first of it."""
        room = min(sum(int(np.sum(one[:, 2] - one[:, 1])) for one in spans), _FIRST_ROOM)
        longest = _longest(*spans)
        return cls(
            numbers=np.empty((2, room), dtype=np.int64),
            values=np.empty((4, room)),
            row_count=0,
            away_m=np.empty(longest),
            chosen=np.empty(longest, dtype=np.int64),
        )

    def wider(self, count: int, wanted: int) -> "_Found":
        """Return the rows with twice the room and some more."""
        room = 2 * self.numbers.shape[1] + wanted
        numbers, values = np.empty((2, room), dtype=np.int64), np.empty((4, room))
        numbers[:, :count], values[:, :count] = self.numbers[:, :count], self.values[:, :count]
        return self._replace(numbers=numbers, values=values, row_count=count)

    def near(self, grid: PointGrid) -> Near:
        """Return the rows that are written."""
        numbers, values = self.numbers[:, : self.row_count], self.values[:, : self.row_count]
        return Near(numbers[0], grid.order[numbers[1]], *values)


def _rows(
    loop: Callable[..., tuple[int, int]],
    lines: tuple[Table | Ints, ...],
    spans: Ints,
    sought: Sought,
    scratch: Scratch,
    found: _Found,
) -> _Found:
    """Return the rows found before and those that a loop finds, in tables that grow when full."""
    grid, span = sought.grid, 0
    while True:
        span, count = loop(
            *lines, spans, span, grid.places_m, grid.owner, sought.asked_m, found.away_m,
            found.chosen, scratch.best_m, scratch.zero_m, found.numbers, found.values,
            found.row_count,
        )  # fmt: skip
        if span == spans.shape[0]:
            return found._replace(row_count=count)
        found = found.wider(count, int(spans[span, 2] - spans[span, 1]))
