"""Clearing bearings and clearing ranges: past which dangers near each leg which marks lead.

Only loaded dangers are cleared, and only where the planned track keeps to the clear side.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from wheelover.core.aids.clearing_lines import (
    MOST_RANGE_M,
    BearingLine,
    bearing_line,
    not_cleared,
    range_line,
)
from wheelover.core.aids.clearing_plane import Danger, Scene, scene_of, shapes_of
from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.near_marks import NearMarks
from wheelover.core.arrays import Floats
from wheelover.core.legs import positions
from wheelover.core.margins import margins_of
from wheelover.core.types.aid_lines import (
    ClearingBearing,
    ClearingRange,
    LegClearing,
    NotUsable,
    Sight,
)
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import Clearances
from wheelover.core.types.track import PlannedLeg, PlannedTurn, Side
from wheelover.core.units import NM_M

MOST_DANGERS = 6
"""Of each leg the dangers with the least left over their margin are looked at."""

MOST_BEARINGS, MOST_RANGES = 2, 1
"""So many lines of each danger are told; of marks that were chosen, all."""

_GROUP_M = 3.0 * NM_M
_MOST_MARKS = 10
_SIDES: dict[int, Side] = {1: "starboard", -1: "port"}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Near:
    """A danger near a leg: about where along it, and what is left over its margin."""

    hazard: int
    along_m: float
    left_m: float


def clearing_lines(
    track: tuple[Sequence[PlannedLeg], Sequence[PlannedTurn]],
    seen: Seen,
    near: NearMarks,
    chosen: Mapping[int, tuple[str, ...]],
    dangers: tuple[Hazards, Clearances, Limits],
) -> tuple[LegClearing, ...]:
    """Return the clearing lines of every leg that has dangers near it.

    Parameters
    ----------
    track : tuple
        The legs and the turns.
    seen : Seen
        The marks, and from how far each is seen.
    near : NearMarks
        Which marks lie near which leg.
    chosen : mapping of int to tuple of str
        The marks that were chosen for legs, by the index of the leg.
    dangers : tuple
        The loaded dangers, those near the track, and what is asked of them.
    """
    legs, turns = track
    hazards, clearances, limits = dangers
    by_leg = _near_legs(legs, turns, clearances)
    which = np.array([one.hazard for each in by_leg.values() for one in each], dtype=np.int64)
    shapes = shapes_of(hazards, which) if which.size else {}
    margins = margins_of([(leg.asked,) for leg in legs], limits) if legs else None
    columns = None if margins is None else margins.columns_of(hazards)
    out = []
    for number, leg in enumerate(legs):
        found = by_leg.get(leg.index, [])
        if not found or leg.path is None or not leg.room or margins is None or columns is None:
            continue
        scenes = []
        for group in _groups(found):
            kept = [
                (one.hazard, shapes[one.hazard], kept_off_m)
                for one in group
                if (kept_off_m := _kept_off_m(hazards, one.hazard, float(
                    margins.limit_m[number, columns[one.hazard]]))) is not None
            ]  # fmt: skip
            if kept:
                span_m = (group[0].along_m, group[-1].along_m)
                scenes.append(scene_of(leg, leg.path, span_m, kept))
        wanted = chosen.get(leg.index, ())
        out.append(_of_leg(leg, scenes, seen, near.of_leg(number), wanted, found))
    return tuple(out)


def _near_legs(
    legs: Sequence[PlannedLeg], turns: Sequence[PlannedTurn], clearances: Clearances
) -> dict[int, list[_Near]]:
    """Return the dangers near each leg, of its turns too, those with the least left first."""
    to_end = {leg.from_index + 1: leg for leg in legs}
    from_start = {leg.from_index: leg for leg in legs}
    waypoint = {turn.index: turn.waypoint_index for turn in turns}
    found: dict[int, dict[int, _Near]] = {}

    def add(leg_index: int, one: _Near) -> None:
        before = found.setdefault(leg_index, {}).get(one.hazard)
        if before is None or one.left_m < before.left_m:
            found[leg_index][one.hazard] = one

    for row in clearances.near:
        left_m = row.clearance_m - (row.limit_m or 0.0)
        if row.piece.kind == "leg":
            one = _Near(hazard=row.hazard_index, along_m=row.along_m, left_m=left_m)
            add(row.piece.index, one)
            continue
        at = waypoint[row.piece.index]
        for leg, at_end in ((to_end.get(at), True), (from_start.get(at), False)):
            if leg is not None:
                along_m = leg.track_to_m if at_end else leg.track_from_m
                add(leg.index, _Near(hazard=row.hazard_index, along_m=along_m, left_m=left_m))
    return {
        index: sorted(
            sorted(each.values(), key=lambda one: (one.left_m, one.hazard))[:MOST_DANGERS],
            key=lambda one: (one.along_m, one.hazard),
        )
        for index, each in found.items()
    }


def _groups(near: list[_Near]) -> list[list[_Near]]:
    """Return dangers in groups that lie near to one another along the leg."""
    groups: list[list[_Near]] = []
    for one in near:
        if groups and one.along_m - groups[-1][0].along_m <= _GROUP_M:
            groups[-1].append(one)
        else:
            groups.append([one])
    return groups


def _kept_off_m(hazards: Hazards, which: int, asked_m: float) -> float | None:
    """Return what is kept off a danger: margin and uncertainty; None where no margin is asked."""
    own_m = float(hazards.min_clearance_m[which])
    margin_m = asked_m if np.isnan(own_m) else own_m
    if np.isnan(margin_m):
        return None
    return margin_m + float(hazards.position_uncertainty_m[which])


def _of_leg(
    leg: PlannedLeg,
    scenes: list[Scene],
    seen: Seen,
    near: NearMarks,
    wanted: tuple[str, ...],
    found: list[_Near],
) -> LegClearing:
    """Return the clearing lines of one leg."""
    bearings: list[ClearingBearing] = []
    ranges: list[ClearingRange] = []
    none_for = [one.hazard for one in found]
    for scene in scenes:
        marks = _marks_for(scene, seen, near, wanted)
        places = _places(scene, seen, marks)
        for danger in scene.dangers:
            some = _bearings(scene, danger, seen, marks, places, bool(wanted))
            others = _ranges(scene, danger, seen, marks, places, bool(wanted))
            bearings += some
            ranges += others
            if some or others:
                none_for.remove(danger.number)
    used = {one.mark_id for one in bearings} | {one.mark_id for one in ranges}
    known = {one.id for one in seen.marks}
    return LegClearing(
        leg_index=leg.index,
        bearings=tuple(bearings),
        ranges=tuple(ranges),
        none_for=tuple(none_for),
        not_usable=tuple(
            NotUsable(
                mark_id=one,
                reason="it leads past none of the dangers near the leg"
                if one in known
                else "no mark of this id is loaded",
            )
            for one in wanted
            if one not in used
        ),
        reason=None if scenes else "no margin is asked of the dangers near the leg",
    )


def _marks_for(scene: Scene, seen: Seen, near: NearMarks, wanted: tuple[str, ...]) -> list[int]:
    """Return the numbers of the marks to try: the chosen, else fixed ones near the course line."""
    marks = near.mark.tolist()
    if wanted:
        return [one for one in marks if seen.marks[one].id in wanted]
    middle_m = float(np.mean(scene.along_m))
    away_m = np.hypot(near.along_m - middle_m, near.across_m)
    fixed = np.array([not seen.marks[one].floating for one in marks], np.bool_)
    rows = np.flatnonzero(fixed & (away_m <= MOST_RANGE_M + NM_M))
    off = np.abs(near.across_m[rows]) / np.maximum(away_m[rows], 1.0)
    by_line = rows[np.lexsort((near.mark[rows], off))][: _MOST_MARKS // 2]
    by_range = rows[np.lexsort((near.mark[rows], away_m[rows]))][:_MOST_MARKS]
    both = dict.fromkeys([*by_line.tolist(), *by_range.tolist()])
    return [marks[one] for one in list(both)[:_MOST_MARKS]]


def _places(scene: Scene, seen: Seen, marks: list[int]) -> Floats:
    """Return where marks are in the plane of a scene, shape (n, 2)."""
    if not marks:
        return np.empty((0, 2))
    lat = np.array([seen.marks[one].position.lat_deg for one in marks])
    lon = np.array([seen.marks[one].position.lon_deg for one in marks])
    return scene.frame.places_m(lat, lon)


def _bearings(
    scene: Scene,
    danger: Danger,
    seen: Seen,
    marks: list[int],
    places: Floats,
    is_choice: bool,
) -> list[ClearingBearing]:
    """Return the clearing bearings past one danger, the best first."""
    if danger.side == 0:
        return []
    found: list[tuple[int, Floats, BearingLine, tuple[int, ...]]] = []
    for number, place in zip(marks, places, strict=True):
        if not is_choice and not _can_be_seen(seen, number):
            continue
        line = bearing_line(scene, danger, seen.marks[number], place)
        if line is None or line.near_m > min(seen.air_m[number], _most_m(seen, number)):
            continue
        found.append((number, place, line, not_cleared(scene, danger, line, place)))
    found.sort(key=lambda one: (len(one[3]), one[2].angle_deg, one[0]))
    kept = found if is_choice else found[:MOST_BEARINGS]
    return [replace(_bearing(scene, danger, seen, one), chosen=is_choice) for one in kept]


def _most_m(seen: Seen, number: int) -> float:
    """Return from how far a mark shows above the horizon, without an end where not known."""
    sight_m = float(seen.sight_m[number])
    return np.inf if np.isnan(sight_m) else sight_m


def _can_be_seen(seen: Seen, number: int) -> bool:
    """Return whether a mark is not said to be inconspicuous by day and unlit by night."""
    mark = seen.marks[number]
    return mark.visually_conspicuous is not False or mark.lit


def _bearing(
    scene: Scene,
    danger: Danger,
    seen: Seen,
    found: tuple[int, Floats, BearingLine, tuple[int, ...]],
) -> ClearingBearing:
    """Return one clearing bearing with the line to draw."""
    number, place, line, others = found
    run = np.array([np.cos(line.direction_rad), np.sin(line.direction_rad)])
    reach_m = float(np.max((scene.track_m[line.rows] - place) @ run))
    lat, lon = scene.frame.positions_deg(np.stack([place, place + reach_m * run]))
    start, end = positions(lat, lon)
    mark = seen.marks[number]
    sight: Sight = "not_known" if np.isnan(seen.sight_m[number]) else "in_sight"
    notes = []
    if mark.floating:
        notes.append("A floating mark: it swings and may be off its place.")
    if sight == "not_known":
        notes.append("From how far it is seen is not known: a height is missing.")
    return ClearingBearing(
        leg_index=scene.leg.index,
        mark_id=mark.id,
        hazard_index=danger.number,
        word=line.word,
        bearing_deg=line.bearing_deg,
        set_deg=line.set_deg,
        danger_side=_SIDES[danger.side],
        mark_ahead=line.mark_ahead,
        room_m=line.room_m,
        from_m=float(scene.along_m[line.rows[0]]),
        to_m=float(scene.along_m[line.rows[-1]]),
        angle_deg=line.angle_deg,
        radius_m=danger.radius_m,
        sight=sight,
        line_from=start,
        line_to=end,
        not_cleared=others,
        notes=tuple(notes),
    )


def _ranges(
    scene: Scene,
    danger: Danger,
    seen: Seen,
    marks: list[int],
    places: Floats,
    is_choice: bool,
) -> list[ClearingRange]:
    """Return the clearing ranges past one danger, those with the most room first."""
    found = []
    for number, place in zip(marks, places, strict=True):
        mark = seen.marks[number]
        if mark.radar_conspicuous is False and not is_choice:
            continue
        line = range_line(scene, danger, place)
        if line is None:
            continue
        notes = () if mark.radar_conspicuous else ("Whether radar shows it well is not said.",)
        one = ClearingRange(
            leg_index=scene.leg.index,
            mark_id=mark.id,
            hazard_index=danger.number,
            word=line.word,
            range_m=line.range_m,
            set_nm=line.set_nm,
            danger_side=_SIDES[danger.side],
            room_m=line.room_m,
            from_m=float(scene.along_m[line.rows[0]]),
            to_m=float(scene.along_m[line.rows[-1]]),
            radius_m=danger.radius_m,
            chosen=is_choice,
            notes=notes,
        )
        found.append(((not mark.radar_conspicuous, line.range_m, number), one))
    found.sort(key=lambda pair: pair[0])
    kept = found if is_choice else found[:MOST_RANGES]
    return [one for _, one in kept]
