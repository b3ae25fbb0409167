"""Nearest points of the whole track to points of dangers."""

from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from wheelover.core.arrays import Ints, Table, side_by_side
from wheelover.core.clearance.index import PointIndex
from wheelover.core.clearance.leg_stretches import LegStretches, leg_stretches
from wheelover.core.clearance.of_arcs import ArcColumns, arcs_in_columns, feet_on_arcs
from wheelover.core.clearance.passing import Passing, TrackPiece
from wheelover.core.clearance.sides import PieceEnds, piece_ends, sides_of_legs
from wheelover.core.clearance.sides_loop import sides_of_arcs_loop
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.line_loops import circles_loop
from wheelover.core.geo.near_loops import LONGEST_M
from wheelover.core.geo.near_points import (
    Circles,
    Curves,
    Near,
    boxes_around,
    near_lines,
)
from wheelover.core.legs import LegColumns, feet_on_leg, in_columns

Columns = TypeVar("Columns", PieceEnds, LegColumns, ArcColumns)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackLines:
    """The pieces of a track as lines in space.

    ``leg_piece`` and ``arc_piece`` number the pieces that are legs and arcs, which ``legs``, and
    ``arcs`` and ``circles``, hold.
    """

    pieces: tuple[TrackPiece, ...]
    ends: PieceEnds
    leg_piece: Ints
    legs: LegColumns
    stretches: LegStretches
    arc_piece: Ints
    arcs: ArcColumns
    circles: Circles


def track_lines(pieces: tuple[TrackPiece, ...]) -> TrackLines:
    """Return the pieces of a track as lines in space."""
    on_leg = np.array([one.leg is not None for one in pieces], dtype=np.bool_)
    leg_piece = np.flatnonzero(on_leg)
    legs = in_columns([one.leg for one in pieces if one.leg is not None])
    arcs = arcs_in_columns([one.arc for one in pieces if one.arc is not None])
    return TrackLines(
        pieces=pieces,
        ends=piece_ends(pieces),
        leg_piece=leg_piece,
        legs=legs,
        stretches=leg_stretches(pieces, legs, leg_piece),
        arc_piece=np.flatnonzero(~on_leg),
        arcs=arcs,
        circles=_circles(arcs),
    )


def track_with(
    track: TrackLines, pieces: tuple[TrackPiece, ...], own: TrackLines, numbers: Ints
) -> TrackLines:
    """Return a track with other lines for some of its pieces: legs for legs and arcs for arcs.

    Its stretches and circles are those that it had: it serves to tell places, not to measure.

    Parameters
    ----------
    track : TrackLines
        The track as it was.
    pieces : tuple of TrackPiece
        Its pieces as they are.
    own : TrackLines
        Those that are not as they were.
    numbers : ndarray
        Their numbers among the pieces.
    """
    legs, arcs = numbers[own.leg_piece], numbers[own.arc_piece]
    return replace(
        track,
        pieces=pieces,
        ends=_with_rows(track.ends, own.ends, numbers),
        legs=_with_rows(track.legs, own.legs, np.searchsorted(track.leg_piece, legs)),
        arcs=_with_rows(track.arcs, own.arcs, np.searchsorted(track.arc_piece, arcs)),
    )


def _with_rows(columns: Columns, others: Columns, which: Ints) -> Columns:
    """Return columns with others in some of their rows."""
    changed = {}
    for name in columns.__slots__:
        column = changed[name] = getattr(columns, name).copy()
        column[which] = getattr(others, name)
    return type(columns)(**changed)


def _circles(arcs: ArcColumns) -> Circles:
    """Return arcs as circles in space."""
    circles = Circles(
        frame=np.empty((arcs.count, 3, 3)),
        ends_m=np.empty((arcs.count, 2, 3)),
        radius_m=arcs.radius_m,
        half_rad=np.radians(np.abs(arcs.sweep_deg)) / 2.0,
        levels=np.empty((arcs.count, 5)),
    )
    table = side_by_side(
        arcs.centre_lat_deg, arcs.centre_lon_deg, arcs.start_lat_deg, arcs.start_lon_deg,
        arcs.end_lat_deg, arcs.end_lon_deg, arcs.from_bearing_deg + arcs.sweep_deg / 2.0,
        np.copysign(90.0, arcs.sweep_deg),
    )  # fmt: skip
    circles_loop(table, circles.frame, circles.levels, circles.ends_m)
    return circles


def passing_points(
    track: TrackLines, index: PointIndex, limits_m: Table | None = None
) -> tuple[Passing, frozenset[int]]:
    """Return the nearest points of every piece of a track to the points near it.

    Parameters
    ----------
    track : TrackLines
        The track.
    index : PointIndex
        The points, and how far around each to look.
    limits_m : ndarray, shape (pieces, k), or None
        With the limits of the pieces, for dangers without one of their own, only the rows that may
        matter are returned (``near_lines``); without them all.

    Returns
    -------
    passing : Passing
        ``hazard`` holds numbers of points, each once for each piece.
    unmeasured : frozenset of int
        Numbers of the pieces whose nearest points could not be found, beside a pole.

    Notes
    -----
    Error of the distance below 1e-6 m within 10 NM; what is farther off gets one exact geodesic
    (tests/core/test_clearance.py, tests/core/test_near_points.py).
    """
    near, leg_rows = near_track(track, index, limits_m)
    legs = near.rows(slice(leg_rows))
    exact, lost = _exact_far(track, index, legs)
    if exact is not legs:
        others = near.rows(slice(leg_rows, None))
        near = Near(*(np.concatenate(each) for each in zip(exact, others, strict=True)))
        leg_rows = exact.group.size
    return _passing(track, near, leg_rows, index), lost


def near_track(
    track: TrackLines, index: PointIndex, limits_m: Table | None = None
) -> tuple[Near, int]:
    """Return the points near legs under the numbers of pieces, and near arcs under those of arcs.

    Those of legs come first, and with them how many there are; those far from legs still want an
    exact look. Arguments are those of ``passing_points``.
    """
    stretches, arcs, widest_m = track.stretches, track.arcs, index.sought.widest_m
    curves = Curves(
        cubics=stretches.curves,
        boxes=boxes_around(stretches.lat_deg, stretches.lon_deg, widest_m + stretches.curves.bow_m),
        bounds_m=(stretches.low_m, stretches.high_m),
        group=stretches.piece,
    )
    lat, lon = arcs.centre_lat_deg, arcs.centre_lon_deg
    reach_m = arcs.radius_m + widest_m + 1.0
    # Where distances are rough it is not known which rows may matter.
    if limits_m is None or float(np.max(reach_m, initial=widest_m)) > LONGEST_M:
        limits = None
    else:
        limits = limits_m[stretches.piece], limits_m[track.arc_piece]
    boxes = boxes_around(side_by_side(lat, lat), side_by_side(lon, lon), reach_m)
    near, leg_rows = near_lines(curves, track.circles, boxes, index.sought, limits)
    _exact_wide(arcs, index, near.rows(slice(leg_rows, None)))
    return near, leg_rows


def _passing(track: TrackLines, near: Near, leg_rows: int, index: PointIndex) -> Passing:
    """Return pairs of legs, and behind them those of arcs, as rows."""
    piece, side = near.group.copy(), np.empty(near.group.size, dtype=np.int64)
    legs, arcs = slice(leg_rows), slice(leg_rows, None)
    sides_of_legs(
        track.ends, near.group[legs], near.along_m[legs], near.ahead_m[legs], near.right_m[legs],
        near.distance_m[legs], side[legs],
    )  # fmt: skip
    sides_of_arcs_loop(
        near.group[arcs], near.right_m[arcs], near.distance_m[arcs], track.arcs.sweep_deg,
        track.arc_piece, piece[arcs], side[arcs],
    )  # fmt: skip
    return Passing(
        piece=piece,
        hazard=near.point,
        distance_m=near.distance_m,
        along_m=near.along_m,
        danger_lat_deg=index.points.lat_deg[near.point],
        danger_lon_deg=index.points.lon_deg[near.point],
        side=side,
    )


def _exact_far(track: TrackLines, index: PointIndex, near: Near) -> tuple[Near, frozenset[int]]:
    """Return pairs with an exact look at those far apart, and the pieces where that fails."""
    rough = ~(near.distance_m <= LONGEST_M)
    if not bool(np.any(rough)):
        return near, frozenset()
    distance_m, along_m = near.distance_m.copy(), near.along_m.copy()
    ahead_m, right_m = near.ahead_m.copy(), near.right_m.copy()
    lost = set()
    for number in np.unique(near.group[rough]).tolist():
        rows = np.flatnonzero(rough & (near.group == number))
        leg, own = track.pieces[number].leg, track.stretches.of(np.array([number]))
        if leg is None:
            raise AssertionError("a stretch belongs to a leg")
        place = np.searchsorted(own.high_m, along_m[rows]).clip(0, own.high_m.size - 1)
        point = near.point[rows]
        try:
            feet = feet_on_leg(
                leg, own.low_m[place], own.high_m[place],
                index.points.lat_deg[point], index.points.lon_deg[point],
            )  # fmt: skip
        except OutOfDomain:
            lost.add(number)
            continue
        distance_m[rows], along_m[rows] = feet.distance_m, feet.along_m
        ahead_m[rows], right_m[rows] = feet.ahead_m, feet.bearing_off_deg
    kept = np.flatnonzero(~np.isin(near.group, list(lost)) & np.isfinite(distance_m))
    lost |= set(near.group[~np.isfinite(distance_m)].tolist())
    exact = near._replace(distance_m=distance_m, along_m=along_m, ahead_m=ahead_m, right_m=right_m)
    return exact.rows(kept), frozenset(lost)


def _exact_wide(arcs: ArcColumns, index: PointIndex, near: Near) -> None:
    """Give those points far from the centre of their arc an exact look."""
    wide = np.flatnonzero(near.right_m + arcs.radius_m[near.group] > LONGEST_M)
    if wide.size:
        point = near.point[wide]
        lat, lon = index.points.lat_deg[point], index.points.lon_deg[point]
        feet = feet_on_arcs(arcs.rows(near.group[wide]), lat, lon)
        near.distance_m[wide] = feet.distance_m
        near.along_m[wide] = feet.along_m
        near.right_m[wide] = np.where(feet.inner, -1.0, 1.0)
