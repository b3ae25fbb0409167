"""Clearing bearings and clearing ranges: past which dangers near each leg which marks lead.

Only loaded dangers are cleared, and only where the planned track keeps to the clear side.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from wheelover.core.aids.clearing_lines import MOST_RANGE_M
from wheelover.core.aids.clearing_plane import SceneAsked, scenes_of, stretch_of
from wheelover.core.aids.clearing_told import bearings_of, ranges_of_scene
from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.leg_light import dark_between
from wheelover.core.aids.near_dangers import (
    LISTED_M,
    Listed,
    Near,
    groups_of,
    kept_off_m,
    listed_of,
    near_legs,
)
from wheelover.core.aids.near_marks import NearMarks
from wheelover.core.arrays import Floats, Ints
from wheelover.core.legs import in_columns, points_along
from wheelover.core.margins import margins_of
from wheelover.core.types.aid_lines import ClearingBearing, ClearingRange, LegClearing, NotUsable
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import Clearances
from wheelover.core.types.track import LegLine, PlannedLeg, PlannedTurn
from wheelover.core.units import NM_M

_MOST_MARKS = 8


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
    by_leg, more = near_legs(legs, turns, clearances, hazards.ids)
    if not by_leg:
        return ()
    listed = listed_of(hazards, clearances)
    margins = margins_of([(leg.asked,) for leg in legs], limits)
    columns = margins.columns_of(hazards)
    asked: list[SceneAsked] = []
    told: list[tuple[PlannedLeg, list[Near]]] = []
    for number, leg in enumerate(legs):
        found = by_leg.get(leg.index, [])
        if not found or leg.path is None or not leg.room:
            continue
        told.append((leg, found))
        asked_m = margins.limit_m[number][columns[listed.hazard]]
        off_m = kept_off_m(hazards, listed.hazard, asked_m)
        marks = (seen, near.of_leg(number), chosen.get(leg.index, ()))
        asked += _of_groups(leg, leg.path, found, (listed, off_m), marks)
    marks_deg = (seen.lat_deg, seen.lon_deg)
    scenes = scenes_of(_with_others(asked, listed), listed.shapes, marks_deg)
    dark = dark_between(seen.when, [(one.leg, one.along_m[0], one.along_m[-1]) for one in scenes])
    is_choice = {index for index, wanted in chosen.items() if wanted}
    bearings, unseen = bearings_of(scenes, dark, seen, is_choice)
    ranges: list[ClearingRange] = []
    for scene in scenes:
        some, hidden = ranges_of_scene(scene, seen, hazards, chosen=scene.leg.index in is_choice)
        ranges += some
        unseen |= hidden
    return tuple(
        _of_leg(leg, found, chosen.get(leg.index, ()), seen, _Lines(
            bearings=[one for one in bearings if one.leg_index == leg.index],
            ranges=[one for one in ranges if one.leg_index == leg.index],
            looked=any(scene.leg.index == leg.index for scene in scenes),
            unseen=frozenset(one for index, one in unseen if index == leg.index),
            left_out_count=more.get(leg.index, 0),
        ))
        for leg, found in told
    )  # fmt: skip


def _of_groups(
    leg: PlannedLeg,
    path: LegLine,
    found: list[Near],
    dangers: tuple[Listed, Floats],
    marks: tuple[Seen, NearMarks, tuple[str, ...]],
) -> list[SceneAsked]:
    """Return the stretches of a leg to look at, of dangers of which a margin is asked."""
    listed, off_m = dangers
    asked = []
    for group in groups_of(found):
        rows = np.searchsorted(listed.hazard, [one.hazard for one in group])
        sought = rows[~np.isnan(off_m[rows])]
        if sought.size:
            asked.append(_asked(leg, path, group, (sought, off_m), marks))
    return asked


def _with_others(asked: list[SceneAsked], listed: Listed) -> list[SceneAsked]:
    """Return the same with all other dangers near each stretch of which a margin is asked."""
    if not asked:
        return []
    middle_m = np.array([(one.from_m + one.to_m) / 2.0 for one in asked])
    lat, lon, _ = points_along(in_columns([one.path for one in asked]), middle_m)
    found = []
    for one, lat_deg, lon_deg in zip(asked, lat.tolist(), lon.tolist(), strict=True):
        most_m = float(np.nanmax(one.off_m))
        within_m = (one.to_m - one.from_m) / 2.0 + LISTED_M + most_m
        others = listed.around(lat_deg, lon_deg, within_m) & ~np.isnan(one.off_m)
        others[one.sought] = False
        found.append(replace(one, others=np.flatnonzero(others)))
    return found


def _asked(
    leg: PlannedLeg,
    path: LegLine,
    group: list[Near],
    kept: tuple[Ints, Floats],
    near: tuple[Seen, NearMarks, tuple[str, ...]],
) -> SceneAsked:
    """Return the stretch of a leg to look at for a group of dangers, with the marks to try."""
    seen, rows, wanted = near
    from_m, to_m = stretch_of(leg, (group[0].along_m, group[-1].along_m))
    marks = _marks_for((from_m + to_m) / 2.0, seen, rows, wanted)
    sought, off_m = kept
    return SceneAsked(
        leg=leg,
        path=path,
        from_m=from_m,
        to_m=to_m,
        sought=sought,
        others=sought[:0],
        off_m=off_m,
        marks=marks,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lines:
    """The lines of one leg, and whether any margin was asked of the dangers near it."""

    bearings: list[ClearingBearing]
    ranges: list[ClearingRange]
    looked: bool
    unseen: frozenset[str]
    left_out_count: int


def _of_leg(
    leg: PlannedLeg, found: list[Near], wanted: tuple[str, ...], seen: Seen, lines: _Lines
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
                reason=_why_not(one, known, lines.unseen),
            )
            for one in wanted
            if one not in used
        ),
        reason=None if lines.looked else "no margin is asked of the dangers near the leg",
        left_out_count=lines.left_out_count,
    )


def _why_not(mark_id: str, known: set[str], unseen: frozenset[str]) -> str:
    """Return why a chosen mark gives no line."""
    if mark_id not in known:
        return "no mark of this id is loaded"
    if mark_id in unseen:
        return "where it would lead past a danger it is not seen then, nor does the radar show it"
    return "it leads past none of the dangers near the leg"


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
