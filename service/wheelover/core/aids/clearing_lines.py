"""Clearing bearings and ranges by one mark past one danger, in the plane of a scene."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.aids.careful import bearing_down_deg, bearing_up_deg, down_nm, up_nm
from wheelover.core.aids.clearing_plane import Danger, Scene
from wheelover.core.aids.tangents import across_m, least_and_most_m, tangents
from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import normal_course_deg, signed_change_deg
from wheelover.core.types.aid_lines import LimitWord
from wheelover.core.types.marks import Mark
from wheelover.core.units import NM_M, m_from_nm

MOST_ANGLE_DEG = 60.0
"""A line that leads farther across the track than this keeps her off nothing beside it."""

MOST_RANGE_M = 8.0 * NM_M
"""Bearings and ranges are taken of marks no farther off."""

LEAST_RANGE_M = 0.1 * NM_M


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingLine:
    """A clearing bearing as seen from her: the tangent, and what it is rounded to.

    ``rows`` are the places of the track it serves; ``direction_rad`` is that of the tangent from
    the mark in the plane, ``side`` 1 where the clear water is clockwise of it and -1 elsewhere.
    """

    word: LimitWord
    bearing_deg: float
    set_deg: float
    room_m: float
    angle_deg: float
    mark_ahead: bool
    rows: Ints
    direction_rad: float
    side: int
    near_m: float


def bearing_line(scene: Scene, danger: Danger, mark: Mark, place_m: Floats) -> BearingLine | None:
    """Return the clearing bearing of a mark past a danger with the most room; None without one.

    Parameters
    ----------
    scene : Scene
        The track.
    danger : Danger
        The danger, with what is to be kept off it.
    mark : Mark
        The mark.
    place_m : ndarray, shape (2,)
        Where it is in the plane.

    Notes
    -----
    Looking at the mark ahead with the danger to starboard the bearing must not be less (NLT), with
    it to port not more (NMT); of a mark astern the other way about [ClearingBearing]_. In general:
    where clear water lies clockwise of the line from the mark, not less.
    """
    found = tangents(place_m, danger.vertices_m, danger.radius_m)
    if np.isnan(found.low_rad):
        return None
    lines = [
        one
        for direction_rad, side in ((found.low_rad, -1), (found.high_rad, 1))
        if (one := _line(scene, danger, mark, place_m, direction_rad, side)) is not None
    ]
    return max(lines, key=lambda one: one.room_m, default=None)


def _line(
    scene: Scene, danger: Danger, mark: Mark, place_m: Floats, direction_rad: float, side: int
) -> BearingLine | None:
    """Return the clearing bearing along one tangent, None where the track is not clear of it."""
    rows = scene.beside(danger)
    ahead_m, right_m = across_m(place_m, direction_rad, scene.track_m)
    if bool(np.any(ahead_m[rows] < LEAST_RANGE_M)) or bool(np.any(side * right_m[rows] <= 0.0)):
        return None
    away_m = np.hypot(ahead_m, right_m)
    if float(np.max(away_m[rows])) > MOST_RANGE_M:
        return None
    angle_deg = float(np.degrees(direction_rad)) % 180.0
    angle_deg = min(angle_deg, 180.0 - angle_deg)
    if angle_deg > MOST_ANGLE_DEG:
        return None
    bearing_deg = _seen_deg(scene, mark, place_m, direction_rad, ahead_m[rows], side)
    set_deg = bearing_up_deg(bearing_deg) if side > 0 else bearing_down_deg(bearing_deg)
    turned_rad = float(np.radians(signed_change_deg(bearing_deg, set_deg)))
    ahead_m, right_m = across_m(place_m, direction_rad + turned_rad, scene.track_m)
    room_m = side * right_m
    least_m = float(np.min(room_m[rows]))
    if least_m <= 0.0:
        return None
    good = (room_m >= least_m - 1e-9) & (ahead_m >= LEAST_RANGE_M) & (away_m <= MOST_RANGE_M)
    return BearingLine(
        word="NLT" if side > 0 else "NMT",
        bearing_deg=bearing_deg,
        set_deg=set_deg,
        room_m=least_m,
        angle_deg=angle_deg,
        mark_ahead=bool(np.cos(direction_rad) < 0.0),
        rows=_around(good, rows),
        direction_rad=direction_rad + turned_rad,
        side=side,
        near_m=float(np.min(away_m[rows])),
    )


def _around(good: Bools, rows: Ints) -> Ints:
    """Return the rows given, and those before and after without a gap that are good as well."""
    first, last = int(rows[0]), int(rows[-1])
    while first > 0 and good[first - 1]:
        first -= 1
    while last + 1 < good.size and good[last + 1]:
        last += 1
    return np.arange(first, last + 1)


def _seen_deg(
    scene: Scene, mark: Mark, place_m: Floats, direction_rad: float, ahead_m: Floats, side: int
) -> float:
    """Return the bearing of the mark from the line beside the danger, the strictest along it.

    Meridians run together, so that along the line it is not everywhere the same to a tenth.
    """
    runs_m = np.array([float(np.min(ahead_m)), float(np.max(ahead_m))])
    unit = np.array([np.cos(direction_rad), np.sin(direction_rad)])
    lat, lon = scene.frame.positions_deg(place_m + runs_m[:, None] * unit)
    there = mark.position
    azimuth_deg, _, _ = geodesic.inverse(lat, lon, there.lat_deg, there.lon_deg)
    turned = signed_change_deg(azimuth_deg[0], azimuth_deg)
    strictest = float(np.max(turned) if side > 0 else np.min(turned))
    return float(normal_course_deg(azimuth_deg[0] + strictest))


def not_cleared(
    scene: Scene, danger: Danger, line: BearingLine, place_m: Floats
) -> tuple[int, ...]:
    """Return the other dangers on that side, beside the stretch, that a bearing does not clear."""
    ahead = scene.track_m[line.rows, 0]
    found = []
    for other in scene.dangers:
        if other.number == danger.number or other.side not in (danger.side, 0):
            continue
        along = other.vertices_m[:, 0]
        beside = (along >= ahead[0] - other.radius_m) & (along <= ahead[-1] + other.radius_m)
        run_m, right_m = across_m(place_m, line.direction_rad, other.vertices_m)
        inside = beside & (run_m > 0.0) & (line.side * right_m > -other.radius_m + 1e-6)
        if bool(np.any(inside)):
            found.append(other.number)
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeLine:
    """A clearing range: that of the circle about the mark, and what it is rounded to."""

    word: LimitWord
    range_m: float
    set_nm: float
    room_m: float
    rows: Ints


def range_line(scene: Scene, danger: Danger, place_m: Floats) -> RangeLine | None:
    """Return the clearing range of an object past a danger, None without one.

    Round an object on the danger's side the circle holds all of the danger with its margin: the
    range must not be less. With the object across the track the circle ends before the danger: the
    range must not be more.

    Parameters
    ----------
    scene : Scene
        The track.
    danger : Danger
        The danger.
    place_m : ndarray, shape (2,)
        Where the object is.
    """
    rows = scene.beside(danger)
    away_m = np.hypot(*(scene.track_m - place_m).T)
    near_m, far_m = least_and_most_m(place_m, danger.vertices_m, danger.edges_m)
    across = place_m[1] * danger.side
    if across > 0.0:
        range_m = far_m + danger.radius_m
        set_nm = up_nm(range_m)
        room_m = away_m - m_from_nm(set_nm)
    else:
        range_m = near_m - danger.radius_m
        set_nm = down_nm(range_m)
        room_m = m_from_nm(set_nm) - away_m
    least_m = float(np.min(room_m[rows]))
    too_far = range_m > MOST_RANGE_M or set_nm <= 0.0
    if danger.side == 0 or least_m <= 0.0 or too_far:
        return None
    return RangeLine(
        word="NLT" if across > 0.0 else "NMT",
        range_m=range_m,
        set_nm=set_nm,
        room_m=least_m,
        rows=_around(room_m >= least_m - 1e-9, rows),
    )
