"""Clearing bearings and clearing ranges: past which dangers near each leg which marks lead.

Only loaded dangers are cleared, and only where the planned track keeps to the clear side.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.aids.clearing_lines import (
    MOST_RANGE_M,
    BearingLine,
    RangeLine,
    Tangent,
    bearing_lines,
    not_cleared,
    ranges_past,
    tangents_past,
)
from wheelover.core.aids.clearing_plane import (
    Danger,
    Scene,
    SceneAsked,
    Shape,
    positions_of,
    scenes_of,
    shapes_of,
    stretch_of,
)
from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.near_marks import NearMarks
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
from wheelover.core.types.marks import Mark
from wheelover.core.types.route import Position
from wheelover.core.types.track import LegLine, PlannedLeg, PlannedTurn, Side
from wheelover.core.units import NM_M

MOST_DANGERS = 4
"""Of each leg the dangers with the least left over their margin are looked at."""

MOST_BEARINGS, MOST_RANGES = 2, 1
"""So many lines of each danger are told; of marks that were chosen, all."""

_GROUP_M = 3.0 * NM_M
_MOST_MARKS = 8
_TRIED = 4
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
    if which.size == 0:
        return ()
    shapes = shapes_of(hazards, which)
    margins = margins_of([(leg.asked,) for leg in legs], limits)
    columns = margins.columns_of(hazards)
    asked: list[SceneAsked] = []
    told: list[tuple[PlannedLeg, list[_Near]]] = []
    for number, leg in enumerate(legs):
        found = by_leg.get(leg.index, [])
        if not found or leg.path is None or not leg.room:
            continue
        told.append((leg, found))
        limits_m = margins.limit_m[number]
        rows, wanted = near.of_leg(number), chosen.get(leg.index, ())
        for group in _groups(found):
            off_m = [
                _kept_off_m(hazards, one.hazard, limits_m[columns[one.hazard]]) for one in group
            ]
            kept = tuple(
                (one.hazard, shapes[one.hazard], each_m)
                for one, each_m in zip(group, off_m, strict=True)
                if not np.isnan(each_m)
            )
            if kept:
                asked.append(_asked(leg, leg.path, group, kept, (seen, rows, wanted)))
    scenes = scenes_of(asked, (seen.lat_deg, seen.lon_deg))
    is_choice = {index for index, wanted in chosen.items() if wanted}
    bearings = _bearings(scenes, seen, is_choice)
    ranges = [one for scene in scenes for one in _ranges(scene, seen, scene.leg.index in is_choice)]
    return tuple(
        _of_leg(leg, found, chosen.get(leg.index, ()), seen, _Lines(
            bearings=[one for one in bearings if one.leg_index == leg.index],
            ranges=[one for one in ranges if one.leg_index == leg.index],
            looked=any(scene.leg.index == leg.index for scene in scenes),
        ))
        for leg, found in told
    )  # fmt: skip


def _asked(
    leg: PlannedLeg,
    path: LegLine,
    group: list[_Near],
    kept: tuple[tuple[int, Shape, float], ...],
    near: tuple[Seen, NearMarks, tuple[str, ...]],
) -> SceneAsked:
    """Return the stretch of a leg to look at for a group of dangers, with the marks to try."""
    seen, rows, wanted = near
    from_m, to_m = stretch_of(leg, (group[0].along_m, group[-1].along_m))
    marks = _marks_for((from_m + to_m) / 2.0, seen, rows, wanted)
    return SceneAsked(leg=leg, path=path, from_m=from_m, to_m=to_m, shapes=kept, marks=marks)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lines:
    """The lines of one leg, and whether any margin was asked of the dangers near it."""

    bearings: list[ClearingBearing]
    ranges: list[ClearingRange]
    looked: bool


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


def _kept_off_m(hazards: Hazards, which: int, asked_m: float) -> float:
    """Return what is kept off a danger: margin and uncertainty; nan where no margin is asked."""
    own_m = float(hazards.min_clearance_m[which])
    margin_m = asked_m if np.isnan(own_m) else own_m
    return float(margin_m + hazards.position_uncertainty_m[which])


def _of_leg(
    leg: PlannedLeg, found: list[_Near], wanted: tuple[str, ...], seen: Seen, lines: _Lines
) -> LegClearing:
    """Return the clearing lines of one leg."""
    cleared = {one.hazard_index for one in lines.bearings}
    cleared |= {one.hazard_index for one in lines.ranges}
    used = {one.mark_id for one in lines.bearings} | {one.mark_id for one in lines.ranges}
    known = {one.id for one in seen.marks} if wanted else set()
    return LegClearing(
        leg_index=leg.index,
        bearings=tuple(lines.bearings),
        ranges=tuple(lines.ranges),
        none_for=tuple(one.hazard for one in found if one.hazard not in cleared),
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
        reason=None if lines.looked else "no margin is asked of the dangers near the leg",
    )


def _marks_for(
    middle_m: float, seen: Seen, near: NearMarks, wanted: tuple[str, ...]
) -> tuple[int, ...]:
    """Return the numbers of the marks to try: the chosen, else fixed ones near the course line."""
    if wanted:
        return tuple(one for one in near.mark.tolist() if seen.marks[one].id in wanted)
    away_m = np.hypot(near.along_m - middle_m, near.across_m)
    rows = np.flatnonzero(seen.fixed[near.mark] & (away_m <= MOST_RANGE_M + NM_M))
    off = np.abs(near.across_m[rows]) / np.maximum(away_m[rows], 1.0)
    by_line = rows[np.lexsort((near.mark[rows], off))][: _MOST_MARKS // 2]
    by_range = rows[np.lexsort((near.mark[rows], away_m[rows]))][:_MOST_MARKS]
    both = dict.fromkeys([*by_line.tolist(), *by_range.tolist()])
    return tuple(near.mark[list(both)[:_MOST_MARKS]].tolist())


def _bearings(scenes: Sequence[Scene], seen: Seen, is_choice: set[int]) -> list[ClearingBearing]:
    """Return the clearing bearings of all scenes, of each danger the best first."""
    kept: list[tuple[Tangent, tuple[int, ...]]] = []
    for scene in scenes:
        chosen = scene.leg.index in is_choice
        for danger in scene.dangers:
            some = [
                one
                for one in tangents_past(scene, danger)
                if one.near_m <= _most_m(seen, one.mark)
                and (chosen or _can_be_seen(seen.marks[one.mark]))
            ]
            kept += [(one, not_cleared(one)) for one in some] if chosen else _best(some)
    lines = bearing_lines([one for one, _ in kept], seen.marks)
    found = [
        (one, others, line)
        for (one, others), line in zip(kept, lines, strict=True)
        if line is not None
    ]
    ends = _ends([(one, line) for one, _, line in found])
    return [
        _bearing(one, others, line, seen, (start, end), chosen=one.scene.leg.index in is_choice)
        for (one, others, line), (start, end) in zip(found, ends, strict=True)
    ]


def _best(some: list[Tangent]) -> list[tuple[Tangent, tuple[int, ...]]]:
    """Return the few tangents that leave out the fewest other dangers, with those."""
    tried: list[tuple[Tangent, tuple[int, ...]]] = []
    for one in some[:_TRIED]:
        tried.append((one, not_cleared(one)))
        if sum(1 for _, others in tried if not others) == MOST_BEARINGS:
            break
    tried.sort(key=lambda pair: len(pair[1]))
    return tried[:MOST_BEARINGS]


def _most_m(seen: Seen, number: int) -> float:
    """Return from how far a mark is seen through the air and, where known, over the horizon."""
    sight_m, air_m = float(seen.sight_m[number]), float(seen.air_m[number])
    return air_m if np.isnan(sight_m) else min(sight_m, air_m)


def _can_be_seen(mark: Mark) -> bool:
    """Return whether a mark is not said to be inconspicuous by day and unlit by night."""
    return mark.visually_conspicuous is not False or mark.lit


def _ends(found: list[tuple[Tangent, BearingLine]]) -> list[tuple[Position, Position]]:
    """Return the ends of lines to draw: the mark, and past the track that they serve."""
    if not found:
        return []
    places = []
    for one, line in found:
        run = np.array([np.cos(line.direction_rad), np.sin(line.direction_rad)])
        reach_m = float(np.max((one.scene.track_m[line.rows] - one.mark_m) @ run))
        places += [one.mark_m, one.mark_m + reach_m * run]
    frames = [one.scene.frame for one, _ in found for _ in range(2)]
    both = positions(*positions_of(frames, np.array(places)))
    return list(zip(both[0::2], both[1::2], strict=True))


def _bearing(
    one: Tangent,
    others: tuple[int, ...],
    line: BearingLine,
    seen: Seen,
    ends: tuple[Position, Position],
    *,
    chosen: bool,
) -> ClearingBearing:
    """Return one clearing bearing with the line to draw."""
    scene, mark = one.scene, seen.marks[one.mark]
    sight: Sight = "not_known" if np.isnan(seen.sight_m[one.mark]) else "in_sight"
    notes = []
    if mark.floating:
        notes.append("A floating mark: it swings and may be off its place.")
    if sight == "not_known":
        notes.append("From how far it is seen is not known: a height is missing.")
    return ClearingBearing(
        leg_index=scene.leg.index,
        mark_id=mark.id,
        hazard_index=one.danger.number,
        word=line.word,
        bearing_deg=line.bearing_deg,
        set_deg=line.set_deg,
        danger_side=_SIDES[one.danger.side],
        mark_ahead=line.mark_ahead,
        room_m=line.room_m,
        from_m=float(scene.along_m[line.rows[0]]),
        to_m=float(scene.along_m[line.rows[-1]]),
        angle_deg=one.angle_deg,
        radius_m=one.danger.radius_m,
        sight=sight,
        line_from=ends[0],
        line_to=ends[1],
        chosen=chosen,
        not_cleared=others,
        notes=tuple(notes),
    )


def _ranges(scene: Scene, seen: Seen, is_choice: bool) -> list[ClearingRange]:
    """Return the clearing ranges past the dangers of a scene, of each the best."""
    out = []
    for danger in scene.dangers:
        found = [
            one
            for one in ranges_past(scene, danger)
            if is_choice or seen.marks[one.mark].radar_conspicuous is not False
        ]
        found.sort(
            key=lambda one: (not seen.marks[one.mark].radar_conspicuous, one.range_m, one.mark)
        )
        kept = found if is_choice else found[:MOST_RANGES]
        out += [_range(scene, danger, one, seen, chosen=is_choice) for one in kept]
    return out


def _range(
    scene: Scene, danger: Danger, line: RangeLine, seen: Seen, *, chosen: bool
) -> ClearingRange:
    """Return one clearing range."""
    mark = seen.marks[line.mark]
    notes = () if mark.radar_conspicuous else ("Whether radar shows it well is not said.",)
    return ClearingRange(
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
        chosen=chosen,
        notes=notes,
    )
