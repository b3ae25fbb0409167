"""Nearest points of the legs of the track to points of dangers."""

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, require_finite
from wheelover.core.clearance.index import PointIndex, bow_bound_m
from wheelover.core.clearance.passing import (
    ON_TRACK_M,
    Passing,
    TrackPiece,
    first_of_each,
    pairs_found,
)
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.nearest import share_along_chord
from wheelover.core.legs import Feet, feet_on_leg, points_along
from wheelover.core.types.plan import Whereabouts
from wheelover.core.types.track import LegLine
from wheelover.core.units import NM_M

_STRETCH_M = 10.0 * NM_M
_BEYOND_M = 0.001


def passing_leg(piece: TrackPiece, leg: LegLine, index: PointIndex) -> Passing:
    """Return the nearest points of a stretch of a leg to the points near it.

    Parameters
    ----------
    piece : TrackPiece
        The stretch.
    leg : LegLine
        The leg it belongs to.
    index : PointIndex
        The points, and what finds those near enough to matter.

    Returns
    -------
    Passing
        ``hazard`` holds numbers of points, each once.

    Raises
    ------
    OutOfDomain
        Where no nearest point is closed in on, beside a pole.
    """
    point, low_m, high_m = _near_stretches(piece, leg, index)
    lat, lon = index.points.lat_deg[point], index.points.lon_deg[point]
    feet = feet_on_leg(leg, low_m, high_m, lat, lon)
    require_finite("distance from a leg", feet.distance_m)
    first = first_of_each(point, feet.distance_m, feet.along_m)
    return passing_of_feet(piece, feet.rows(first), point[first], lat[first], lon[first])


def passing_of_feet(
    piece: TrackPiece, feet: Feet, hazard: Ints, danger_lat_deg: Floats, danger_lon_deg: Floats
) -> Passing:
    """Return nearest points of a leg as rows, with the side on which each danger lies."""
    side = tuple(
        _side_of_leg(piece, along, ahead, off, distance)
        for along, ahead, off, distance in zip(
            feet.along_m.tolist(),
            feet.ahead_m.tolist(),
            feet.bearing_off_deg.tolist(),
            feet.distance_m.tolist(),
            strict=True,
        )
    )
    return Passing(
        hazard=hazard,
        distance_m=feet.distance_m,
        along_m=feet.along_m,
        lat_deg=feet.lat_deg,
        lon_deg=feet.lon_deg,
        danger_lat_deg=danger_lat_deg,
        danger_lon_deg=danger_lon_deg,
        side=side,
    )


def _near_stretches(
    piece: TrackPiece, leg: LegLine, index: PointIndex
) -> tuple[Ints, Floats, Floats]:
    """Return pairs of point and stretch of the leg that may hold its nearest point.

    A stretch is at most 10 NM long. Its bow away from the chord bounds the distance from both
    sides, so that no danger within its search distance can be lost.
    """
    count = max(1, int(np.ceil((piece.to_m - piece.from_m) / _STRETCH_M)))
    edges_m = np.linspace(piece.from_m, piece.to_m, count + 1)
    lat, lon, _ = points_along(leg, edges_m)
    mid_lat, mid_lon, _ = points_along(leg, (edges_m[:-1] + edges_m[1:]) / 2.0)
    ends, mids = earth_centred_m(lat, lon), earth_centred_m(mid_lat, mid_lon)
    bow_m = bow_bound_m(ends[:-1], mids, ends[1:])
    half_m = np.linalg.norm(ends[1:] - ends[:-1], axis=1) / 2.0
    reach_m = half_m + bow_m + float(np.max(index.search_m))
    stretch, point = pairs_found(index.tree.query_ball_point(mids, reach_m))
    chord_m = _from_chords(index.points_m[point], ends[stretch], ends[stretch + 1])
    worth = worth_a_look(
        point, chord_m - bow_m[stretch], chord_m + bow_m[stretch], index.search_m[point]
    )
    return point[worth], edges_m[stretch[worth]], edges_m[stretch[worth] + 1]


def _from_chords(points_m: Floats, starts_m: Floats, ends_m: Floats) -> Floats:
    """Return the distance of points from chords, in space, row by row."""
    share = share_along_chord(points_m, starts_m, ends_m)
    foot_m = starts_m + share[:, None] * (ends_m - starts_m)
    return np.asarray(np.linalg.norm(points_m - foot_m, axis=1))


def worth_a_look(key: Ints, least_m: Floats, most_m: Floats, search_m: Floats) -> Bools:
    """Return which pairs can hold the nearest point of each key, from bounds on their distance.

    Chords are shorter than geodesics, by less than one part in 10,000 at 200 km.
    """
    best_m = np.full(int(np.max(key, initial=-1)) + 1, np.inf)
    np.minimum.at(best_m, key, most_m)
    return np.asarray((least_m <= best_m[key]) & (least_m <= search_m))


def _side_of_leg(
    piece: TrackPiece, along_m: float, ahead_m: float, off_deg: float, distance_m: float
) -> Whereabouts:
    """Return on which side of a leg a danger lies, or that it lies beyond an end of the track."""
    if distance_m < ON_TRACK_M:
        return "crossed"
    by_bearing: Whereabouts = "starboard" if off_deg >= 0.0 else "port"
    if ahead_m > _BEYOND_M and along_m >= piece.to_m:
        return "ahead" if piece.closes else (piece.corner_side or by_bearing)
    if ahead_m < -_BEYOND_M and along_m <= piece.from_m:
        return "astern" if piece.opens else (piece.corner_before_side or by_bearing)
    return by_bearing
