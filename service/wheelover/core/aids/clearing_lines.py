"""Clearing bearings by marks past one danger, in the plane of a scene."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.aids.careful import bearing_down_deg, bearing_up_deg
from wheelover.core.aids.clearing_plane import Danger, Scene, positions_of
from wheelover.core.aids.left_out import left_out, past_bearing, without_left_out
from wheelover.core.aids.near_dangers import LISTED_M
from wheelover.core.aids.tangents import across_m, tangents
from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.geo import geodesic
from wheelover.core.geo.angles import normal_course_deg, signed_change_deg
from wheelover.core.types.aid_lines import LimitWord
from wheelover.core.types.marks import Mark
from wheelover.core.units import NM_M

MOST_ANGLE_DEG = 60.0
"""A line that leads farther across the track than this keeps her off nothing beside it."""

MOST_RANGE_M = 8.0 * NM_M
"""Bearings and ranges are taken of marks no farther off."""

LEAST_RANGE_M = 0.1 * NM_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Tangent:
    """A tangent from a mark past a danger that leaves the track on its clear side.

    ``place`` numbers the mark in the scene. ``direction_rad`` is that of the tangent from it in the
    plane, ``side`` 1 where the clear water is clockwise of it and -1 elsewhere; ``far_m`` is how
    far the track beside the danger goes from the mark, and ``unsure_m`` how unsure its place is.
    """

    scene: Scene
    danger: Danger
    place: int
    direction_rad: float
    side: int
    angle_deg: float
    far_m: float
    unsure_m: float = 0.0

    @property
    def mark_m(self) -> Floats:
        """Return where the mark is in the plane."""
        return np.asarray(self.scene.marks_m[self.place])

    @property
    def mark(self) -> int:
        """Return the number of the mark."""
        return self.scene.marks[self.place]


def tangents_past(scene: Scene, danger: Danger, unsure_m: Floats) -> list[Tangent]:
    """Return the tangents from the marks of a scene past a danger, most nearly along her course.

    Parameters
    ----------
    scene : Scene
        The track and the marks.
    danger : Danger
        The danger, with what is to be kept off it.
    unsure_m : ndarray, shape (m,)
        How unsure the place of each mark of the scene is: the line keeps farther off by as much.
    """
    if danger.side == 0 or not scene.marks:
        return []
    low, high = tangents(scene.marks_m, danger.vertices_m, danger.radius_m + unsure_m)
    direction = np.concatenate([low, high])
    side = np.repeat([-1, 1], low.size)
    place = np.tile(np.arange(low.size), 2)
    known = np.flatnonzero(~np.isnan(direction))
    direction, side, place = direction[known], side[known], place[known]
    away = scene.track_m[danger.rows][None, :, :] - scene.marks_m[place][:, None, :]
    sine, cosine = np.sin(direction)[:, None], np.cos(direction)[:, None]
    ahead = away[..., 0] * cosine + away[..., 1] * sine
    right = (away[..., 1] * cosine - away[..., 0] * sine) * side[:, None]
    range_m = np.hypot(away[..., 0], away[..., 1])
    angle = np.mod(np.degrees(direction), 180.0)
    angle = np.minimum(angle, 180.0 - angle)
    good = np.all(ahead >= LEAST_RANGE_M, axis=1) & np.all(right > 0.0, axis=1)
    good &= (np.max(range_m, axis=1) <= MOST_RANGE_M) & (angle <= MOST_ANGLE_DEG)
    rows = np.flatnonzero(good)
    rows = rows[np.lexsort((place[rows], angle[rows]))]
    return [
        Tangent(
            scene=scene,
            danger=danger,
            place=int(place[row]),
            direction_rad=float(direction[row]),
            side=int(side[row]),
            angle_deg=float(angle[row]),
            far_m=float(np.max(range_m[row])),
            unsure_m=float(unsure_m[place[row]]),
        )
        for row in rows.tolist()
    ]


def not_cleared(one: Tangent) -> tuple[int, ...]:
    """Return the other dangers on that side, beside the same stretch, that a tangent leaves out."""
    reaches = past_bearing(one.mark_m, one.direction_rad, one.side)
    return left_out(one.scene, one.danger, one.danger.rows, one.unsure_m, reaches)


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingLine:
    """A clearing bearing as seen from her: the tangent, and what it is rounded to.

    ``rows`` are the places of the track it serves; ``direction_rad`` is that of the line as set,
    and ``others`` are the dangers beside them that lie on its clear side.
    """

    word: LimitWord
    bearing_deg: float
    set_deg: float
    room_m: float
    mark_ahead: bool
    rows: Ints
    direction_rad: float
    others: tuple[int, ...]


def bearing_lines(found: Sequence[Tangent], marks: Sequence[Mark]) -> list[BearingLine | None]:
    """Return the clearing bearings along tangents; None where rounding leaves the track no room.

    Parameters
    ----------
    found : sequence of Tangent
        The tangents.
    marks : sequence of Mark
        All marks.

    Notes
    -----
    Looking at the mark ahead with the danger to starboard the bearing must not be less (NLT), with
    it to port not more (NMT); of a mark astern the other way about [ClearingBearing]_. In general:
    where clear water lies clockwise of the line from the mark, not less.
    """
    if not found:
        return []
    seen = _seen_deg(found, marks)
    return [_line(one, bearing) for one, bearing in zip(found, seen, strict=True)]


def _seen_deg(found: Sequence[Tangent], marks: Sequence[Mark]) -> list[float]:
    """Return the bearing of each mark from its line beside the danger, the strictest along it.

    Meridians run together, so that along the line it is not everywhere the same to a tenth.
    """
    ends = []
    for one in found:
        unit = np.array([np.cos(one.direction_rad), np.sin(one.direction_rad)])
        run_m = (one.scene.track_m[one.danger.rows] - one.mark_m) @ unit
        ends += [one.mark_m + float(np.min(run_m)) * unit, one.mark_m + float(np.max(run_m)) * unit]
    frames = [one.scene.frame for one in found for _ in range(2)]
    lat, lon = positions_of(frames, np.array(ends))
    places = [marks[one.mark].position for one in found]
    there = np.repeat([(one.lat_deg, one.lon_deg) for one in places], 2, axis=0)
    azimuth, _, _ = geodesic.inverse(lat, lon, there[:, 0], there[:, 1])
    first, last = azimuth[0::2], azimuth[1::2]
    turned = signed_change_deg(first, last)
    side = np.array([one.side for one in found])
    strictest = np.where(side > 0, np.maximum(turned, 0.0), np.minimum(turned, 0.0))
    bearings: list[float] = normal_course_deg(first + strictest).tolist()
    return bearings


def _line(one: Tangent, bearing_deg: float) -> BearingLine | None:
    """Return the clearing bearing along one tangent, None where it leaves the track no room."""
    scene, rows = one.scene, one.danger.rows
    set_deg = bearing_up_deg(bearing_deg) if one.side > 0 else bearing_down_deg(bearing_deg)
    turned_rad = float(np.radians(signed_change_deg(bearing_deg, set_deg)))
    direction_rad = one.direction_rad + turned_rad
    ahead_m, right_m = across_m(one.mark_m, direction_rad, scene.track_m)
    room_m = one.side * right_m
    least_m = float(np.min(room_m[rows]))
    if least_m <= 0.0:
        return None
    good = (room_m >= least_m - 1e-9) & (ahead_m >= LEAST_RANGE_M)
    good &= ahead_m**2 + right_m**2 <= MOST_RANGE_M**2
    good &= room_m <= LISTED_M
    reaches = past_bearing(one.mark_m, direction_rad, one.side)
    good = without_left_out(scene, one.danger, good, one.unsure_m, reaches)
    serves = around_rows(good, rows)
    return BearingLine(
        word="NLT" if one.side > 0 else "NMT",
        bearing_deg=bearing_deg,
        set_deg=set_deg,
        room_m=least_m,
        mark_ahead=bool(np.cos(one.direction_rad) < 0.0),
        rows=serves,
        direction_rad=direction_rad,
        others=left_out(scene, one.danger, serves, one.unsure_m, reaches),
    )


def around_rows(good: Bools, rows: Ints) -> Ints:
    """Return the rows given, and those before and after without a gap that are good as well."""
    bad = np.flatnonzero(~good)
    before, after = bad[bad < rows[0]], bad[bad > rows[-1]]
    first = int(before[-1]) + 1 if before.size else 0
    last = int(after[0]) if after.size else good.size
    return np.arange(first, last)
