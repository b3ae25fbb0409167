"""Clearing transits: two marks in line that, kept open to the careful side, clear a danger.

A line through two marks needs no compass: while the rear mark stands open to her side of the front
one she is on that side of it. It serves where all of the danger, with what is kept off it, lies on
the other side [ClearingBearing]_. Marks seen a tenth of a degree open are taken to be in line, so
the danger lies behind the line by as much as that is there.
"""

from dataclasses import dataclass

import numpy as np

from wheelover.core.aids.clearing_lines import (
    LEAST_RANGE_M,
    MOST_ANGLE_DEG,
    MOST_RANGE_M,
    around_rows,
)
from wheelover.core.aids.clearing_plane import Danger, Scene, positions_of
from wheelover.core.aids.clears_too import behind_bearing, clears_too
from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.leads import LEAST_APART_M
from wheelover.core.aids.left_out import left_out, past_bearing, without_left_out
from wheelover.core.aids.leg_light import seen_by_eye, worst_of
from wheelover.core.aids.near_dangers import LISTED_M
from wheelover.core.aids.sectors import looks_along
from wheelover.core.aids.tangents import across_m
from wheelover.core.aids.transits import OPEN_DEG
from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.geo import geodesic
from wheelover.core.legs import positions
from wheelover.core.types.aid_lines import ClearingTransit
from wheelover.core.types.cues import Sight
from wheelover.core.types.marks import Mark
from wheelover.core.types.route import Position
from wheelover.core.types.track import Side

_SIDES: dict[int, Side] = {1: "starboard", -1: "port"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Pairs:
    """Pairs of marks in columns of shape (p,): front and rear by their place in the scene.

    ``direction_rad`` leads from the rear mark past the front one to sea; ``apart_m`` lies between
    them; ``front_off_m`` is how unsure the front one's place is, ``slope_ratio`` how much more the
    line may be off with each metre before it.
    """

    front: Ints
    rear: Ints
    direction_rad: Floats
    apart_m: Floats
    front_off_m: Floats
    slope_ratio: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Found:
    """A transit past a danger before it is told; ``side`` 1 where clear water lies clockwise."""

    scene: Scene
    danger: Danger
    front: int
    rear: int
    direction_rad: float
    side: int
    unsure_m: float
    open_m: float
    rows: Ints
    room_m: float
    clears: tuple[int, ...]
    others: tuple[int, ...]

    @property
    def mark_m(self) -> Floats:
        """Return where the front mark is in the plane."""
        return np.asarray(self.scene.marks_m[self.front])


def transits_of_scene(
    scene: Scene, dark: frozenset[bool], seen: Seen, *, chosen: bool
) -> list[ClearingTransit]:
    """Return the clearing transits past the dangers of a scene, none twice.

    Parameters
    ----------
    scene : Scene
        A stretch of a leg with the dangers and the marks near it.
    dark : frozenset of bool
        Whether it is dark along it.
    seen : Seen
        The marks, and from where they are looked for.
    chosen : bool
        Whether marks were chosen for the leg: then only those are tried, conspicuous or not.
    """
    pairs = _pairs(scene, seen, chosen=chosen)
    if pairs is None:
        return []
    cleared: set[int] = set()
    told: list[ClearingTransit] = []
    for danger in scene.dangers:
        if danger.number in cleared or danger.side == 0:
            continue
        found = [one for row in _past(scene, danger, pairs) if (one := _line(scene, danger, row))]
        found.sort(key=lambda one: (len(one.others), -len(one.clears), -one.room_m))
        for one in found:
            sight = _looked_at(one, dark, seen)
            if sight.seen == "no":
                continue
            told.append(_told(one, sight, seen, chosen=chosen))
            cleared |= {danger.number, *one.clears}
            break
    return told


def _pairs(scene: Scene, seen: Seen, *, chosen: bool) -> _Pairs | None:
    """Return the pairs of marks that may be seen in line, each way round; None without any."""
    marks = [seen.marks[one] for one in scene.marks]
    usable = [
        place
        for place, one in enumerate(marks)
        if not one.floating and (chosen or one.visually_conspicuous or one.lit)
    ]
    if len(usable) < 2:
        return None
    first, second = (np.array(usable)[one] for one in np.triu_indices(len(usable), 1))
    front, rear = np.concatenate([first, second]), np.concatenate([second, first])
    run = scene.marks_m[front] - scene.marks_m[rear]
    apart_m = np.hypot(run[:, 0], run[:, 1])
    unsure_m = np.array([one.position_uncertainty_m or 0.0 for one in marks])
    kept = apart_m >= LEAST_APART_M
    front, rear, run, apart_m = front[kept], rear[kept], run[kept], apart_m[kept]
    if not front.size:
        return None
    return _Pairs(
        front=front,
        rear=rear,
        direction_rad=np.arctan2(run[:, 1], run[:, 0]),
        apart_m=apart_m,
        front_off_m=unsure_m[front],
        slope_ratio=(unsure_m[front] + unsure_m[rear]) / apart_m,
    )


_Row = tuple[int, int, float, int, float, float, float]
"""Front, rear, direction, side of the clear water; how unsure the line is, how far beside it the
marks stand open, and how far from the front mark that is."""


def _past(scene: Scene, danger: Danger, pairs: _Pairs) -> list[_Row]:
    """Return the pairs whose line has all of a danger behind it and the track before it."""
    sine, cosine = np.sin(pairs.direction_rad)[:, None], np.cos(pairs.direction_rad)[:, None]

    def from_line(places_m: Floats) -> tuple[Floats, Floats]:
        away = places_m[None, :, :] - scene.marks_m[pairs.front][:, None, :]
        ahead = away[..., 0] * cosine + away[..., 1] * sine
        return ahead, away[..., 1] * cosine - away[..., 0] * sine

    ahead, right = from_line(scene.track_m[danger.rows])
    run, beside = from_line(danger.vertices_m)
    side = np.where(right[:, 0] > 0.0, 1, -1)
    far_m = np.maximum(np.max(run, axis=1) + danger.radius_m, np.max(ahead, axis=1))
    unsure_m = pairs.front_off_m + pairs.slope_ratio * np.maximum(far_m, 0.0)
    open_m = np.radians(OPEN_DEG) * far_m * (far_m + pairs.apart_m) / pairs.apart_m
    behind_m = -np.max(beside * side[:, None], axis=1)
    angle = np.mod(np.degrees(pairs.direction_rad), 180.0)
    good = np.minimum(angle, 180.0 - angle) <= MOST_ANGLE_DEG
    good &= np.all(right * side[:, None] > 0.0, axis=1)
    good &= np.all(ahead >= LEAST_RANGE_M, axis=1) & np.all(run > 0.0, axis=1)
    good &= np.max(np.hypot(ahead, right), axis=1) <= MOST_RANGE_M
    good &= behind_m >= danger.radius_m + unsure_m + open_m
    return [
        (
            int(pairs.front[row]), int(pairs.rear[row]), float(pairs.direction_rad[row]),
            int(side[row]), float(unsure_m[row]), float(open_m[row]), float(far_m[row]),
        )
        for row in np.flatnonzero(good).tolist()
    ]  # fmt: skip


def _line(scene: Scene, danger: Danger, row: _Row) -> _Found | None:
    """Return a transit with the track that it serves, None where that is on its wrong side."""
    front, rear, direction_rad, side, unsure_m, open_m, reach_m = row
    mark_m = scene.marks_m[front]
    ahead_m, right_m = across_m(mark_m, direction_rad, scene.track_m)
    room_m = side * right_m
    least_m = float(np.min(room_m[danger.rows]))
    if least_m <= open_m:
        return None
    off_m = unsure_m + open_m
    reaches = past_bearing(mark_m, direction_rad, side)
    good = (room_m >= least_m - 1e-9) & (ahead_m >= LEAST_RANGE_M) & (room_m <= LISTED_M)
    # Farther off it may be off by more than is counted.
    good &= ahead_m <= reach_m
    good = without_left_out(scene, danger, good, off_m, reaches)
    serves = around_rows(good, danger.rows)
    behind = behind_bearing(mark_m, direction_rad, side)

    def holds(places_m: Floats, places_off_m: Floats) -> Bools:
        run_m, _ = across_m(mark_m, direction_rad, places_m)
        return np.asarray(behind(places_m, places_off_m) & (run_m <= reach_m))

    return _Found(
        scene=scene,
        danger=danger,
        front=front,
        rear=rear,
        direction_rad=direction_rad,
        side=side,
        unsure_m=unsure_m,
        open_m=open_m,
        rows=serves,
        room_m=least_m,
        clears=clears_too(scene, danger, serves, off_m, holds),
        others=left_out(scene, danger, serves, off_m, reaches),
    )


def _looked_at(one: _Found, dark: frozenset[bool], seen: Seen) -> Sight:
    """Return whether both marks are seen from the stretch it serves, at limits of sectors too."""
    scene, rows = one.scene, one.rows
    places = scene.track_m[[rows[0], rows[rows.size // 2], rows[-1]]]
    looked = []
    for place in (one.front, one.rear):
        mark = seen.marks[scene.marks[place]]
        looked += [
            seen_by_eye(mark, each, dark, seen.lookout)
            for each in looks_along(mark, scene.marks_m[place], places, scene.frame.course_deg)
        ]
    return worst_of(looked)


def _told(one: _Found, sight: Sight, seen: Seen, *, chosen: bool) -> ClearingTransit:
    """Return a clearing transit as it is told."""
    scene = one.scene
    front, rear = (seen.marks[scene.marks[place]] for place in (one.front, one.rear))
    ends = _ends(one)
    azimuth, _, _ = geodesic.inverse(
        front.position.lat_deg, front.position.lon_deg, rear.position.lat_deg,
        rear.position.lon_deg,
    )  # fmt: skip
    notes = [text for mark in (front, rear) for text in _notes(mark)]
    if sight.seen != "yes":
        notes.append(f"Whether both are seen is not known: {sight.why}.")
    angle = float(np.mod(np.degrees(one.direction_rad), 180.0))
    return ClearingTransit(
        leg_index=scene.leg.index,
        front_id=front.id,
        rear_id=rear.id,
        hazard_index=one.danger.number,
        open_side="port" if one.side > 0 else "starboard",
        bearing_deg=float(azimuth[0]),
        danger_side=_SIDES[one.danger.side],
        mark_ahead=bool(np.cos(one.direction_rad) < 0.0),
        room_m=one.room_m,
        open_m=one.open_m,
        from_m=float(scene.along_m[one.rows[0]]),
        to_m=float(scene.along_m[one.rows[-1]]),
        angle_deg=min(angle, 180.0 - angle),
        radius_m=one.danger.radius_m + one.unsure_m,
        sight="in_sight" if sight.seen == "yes" else "not_known",
        line_from=ends[0],
        line_to=ends[1],
        chosen=chosen,
        clears=one.clears,
        not_cleared=one.others,
        notes=tuple(dict.fromkeys(notes)),
    )


def _ends(one: _Found) -> list[Position]:
    """Return the ends of the line to draw: the rear mark, and past the track that it serves."""
    run = np.array([np.cos(one.direction_rad), np.sin(one.direction_rad)])
    reach_m = float(np.max((one.scene.track_m[one.rows] - one.mark_m) @ run))
    places = np.array([one.scene.marks_m[one.rear], one.mark_m + reach_m * run])
    return positions(*positions_of([one.scene.frame] * 2, places))


def _notes(mark: Mark) -> list[str]:
    """Return what must be said of the place of a mark."""
    if mark.position_uncertainty_m is None:
        return [f"How unsure the place of {mark.name} is, is not given."]
    return []
