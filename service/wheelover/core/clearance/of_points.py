"""Nearest points of the whole track to points of dangers."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Ints
from wheelover.core.clearance.index import PointIndex
from wheelover.core.clearance.leg_stretches import LegStretches, leg_stretches
from wheelover.core.clearance.of_arcs import feet_on_arc
from wheelover.core.clearance.passing import NO_PASSING, Passing, TrackPiece, joined
from wheelover.core.clearance.sides import PieceEnds, piece_ends, sides_of_arcs, sides_of_legs
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.cubic import direction
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.near_points import (
    LONGEST_M,
    Circles,
    Near,
    boxes_around,
    near_circles,
    near_curves,
)
from wheelover.core.legs import feet_on_leg
from wheelover.core.types.track import Arc


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackLines:
    """The pieces of a track as lines in space.

    ``arc_piece`` numbers the pieces that are arcs, which ``arcs`` and ``circles`` hold.
    """

    pieces: tuple[TrackPiece, ...]
    ends: PieceEnds
    stretches: LegStretches
    arc_piece: Ints
    arcs: tuple[Arc, ...]
    circles: Circles


def track_lines(pieces: tuple[TrackPiece, ...]) -> TrackLines:
    """Return the pieces of a track as lines in space."""
    turns = [(number, one.arc) for number, one in enumerate(pieces) if one.arc is not None]
    arcs = tuple(arc for _, arc in turns)
    return TrackLines(
        pieces=pieces,
        ends=piece_ends(pieces),
        stretches=leg_stretches(pieces),
        arc_piece=np.array([number for number, _ in turns], dtype=np.int64),
        arcs=arcs,
        circles=_circles(arcs),
    )


def _circles(arcs: tuple[Arc, ...]) -> Circles:
    """Return arcs as circles in space."""
    columns = np.array(
        [
            (a.centre.lat_deg, a.centre.lon_deg, a.from_bearing_deg, a.sweep_deg, a.radius_m,
             a.start.lat_deg, a.start.lon_deg, a.end.lat_deg, a.end.lon_deg)
            for a in arcs
        ],
        dtype=np.float64,
    ).reshape(-1, 9)  # fmt: skip
    lat, lon, from_deg, sweep_deg, radius_m = columns[:, :5].T
    middle_deg = from_deg + sweep_deg / 2.0
    onward_deg = middle_deg + np.copysign(90.0, sweep_deg)
    frame = [earth_centred_m(lat, lon)]
    frame += [direction(lat, lon, bearing_deg) for bearing_deg in (middle_deg, onward_deg)]
    ends = [earth_centred_m(columns[:, one], columns[:, one + 1]) for one in (5, 7)]
    return Circles(
        frame=np.stack(frame, axis=1),
        ends_m=np.stack(ends, axis=1),
        radius_m=np.ascontiguousarray(radius_m),
        half_rad=np.radians(np.abs(sweep_deg)) / 2.0,
    )


def passing_points(track: TrackLines, index: PointIndex) -> tuple[Passing, frozenset[int]]:
    """Return the nearest points of every piece of a track to the points near it.

    Parameters
    ----------
    track : TrackLines
        The track.
    index : PointIndex
        The points, and how far around each to look.

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
    on_legs, lost = _of_legs(track, index)
    return joined([on_legs, _of_arcs(track, index)]), lost


def _of_legs(track: TrackLines, index: PointIndex) -> tuple[Passing, frozenset[int]]:
    """Return the nearest points of the legs to the points near them."""
    stretches = track.stretches
    if stretches.piece.size == 0:
        return NO_PASSING, frozenset()
    search_m = float(np.max(index.search_m))
    boxes = boxes_around(
        (stretches.lat_deg[:, 0], stretches.lat_deg[:, 1]),
        (stretches.lon_deg[:, 0], stretches.lon_deg[:, 1]),
        search_m + stretches.bow_m,
    )
    near = near_curves(
        stretches.curves,
        boxes,
        stretches.bow_m,
        (stretches.low_m, stretches.high_m),
        stretches.piece,
        index.grid,
        index.search_m,
    )
    near, lost = _exact_far(track, index, near)
    side = sides_of_legs(
        track.ends, near.group, near.along_m, near.ahead_m, near.right_m >= 0.0, near.distance_m
    )
    return _passing(near, side, index), lost


def _passing(near: Near, side: Ints, index: PointIndex) -> Passing:
    """Return pairs as rows."""
    return Passing(
        piece=near.group,
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
        leg, own = track.pieces[number].leg, track.stretches.of(number)
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


def _of_arcs(track: TrackLines, index: PointIndex) -> Passing:
    """Return the nearest points of the arcs to the points near them."""
    circles = track.circles
    if not track.arcs:
        return NO_PASSING
    lat = np.array([arc.centre.lat_deg for arc in track.arcs])
    lon = np.array([arc.centre.lon_deg for arc in track.arcs])
    reach_m = circles.radius_m + float(np.max(index.search_m)) + 1.0
    number = np.arange(len(track.arcs))
    boxes = boxes_around((lat, lat), (lon, lon), reach_m)
    near = near_circles(circles, boxes, number, index.grid, index.search_m)
    near = _exact_wide(track, index, near)
    starboard = np.array([arc.sweep_deg > 0.0 for arc in track.arcs], dtype=np.bool_)
    side = sides_of_arcs(starboard[near.group], near.right_m < 0.0, near.distance_m)
    return _passing(near._replace(group=track.arc_piece[near.group]), side, index)


def _exact_wide(track: TrackLines, index: PointIndex, near: Near) -> Near:
    """Return pairs with an exact look at points far from the centre of their arc."""
    wide = near.right_m + track.circles.radius_m[near.group] > LONGEST_M
    for number in np.unique(near.group[wide]).tolist():
        rows = np.flatnonzero(wide & (near.group == number))
        point = near.point[rows]
        arc = track.arcs[number]
        feet = feet_on_arc(arc, index.points.lat_deg[point], index.points.lon_deg[point])
        near.distance_m[rows] = feet.distance_m
        near.along_m[rows] = np.radians(feet.turned_deg) * arc.radius_m
        near.right_m[rows] = np.where(feet.inner, -1.0, 1.0)
    return near
