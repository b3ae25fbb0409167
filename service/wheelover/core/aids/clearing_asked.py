"""The stretches of legs that are looked at for clearing lines: the dangers and marks near each."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from wheelover.core.aids.clearing_lines import MOST_RANGE_M
from wheelover.core.aids.clearing_plane import SceneAsked, Shape, stretch_of
from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.near_dangers import LISTED_M, Listed, Near, groups_of
from wheelover.core.aids.near_marks import NearMarks
from wheelover.core.arrays import Floats
from wheelover.core.legs import in_columns, points_along
from wheelover.core.types.track import LegLine, PlannedLeg
from wheelover.core.units import NM_M

_MOST_MARKS = 8


def of_groups(
    leg: PlannedLeg,
    path: LegLine,
    found: list[Near],
    dangers: tuple[Listed, Floats],
    marks: tuple[Seen, NearMarks, tuple[str, ...]],
) -> list[SceneAsked]:
    """Return the stretches of a leg to look at, of dangers of which a margin is asked.

    Parameters
    ----------
    leg, path
        The leg and its line.
    found : list of Near
        The dangers past which lines are sought.
    dangers : tuple
        All dangers that are listed, and what is kept off each.
    marks : tuple
        The marks, those near the leg, and those chosen for it.
    """
    listed, off_m = dangers
    row = {one: number for number, one in enumerate(listed.hazard.tolist())}
    asked = []
    for group in groups_of(found):
        kept = tuple(
            (one.hazard, listed.shapes[one.hazard], float(off_m[row[one.hazard]]))
            for one in group
            if not np.isnan(off_m[row[one.hazard]])
        )
        if kept:
            asked.append(_asked(leg, path, group, kept, marks))
    return asked


def with_others(
    asked: Sequence[SceneAsked], off: Sequence[Floats], listed: Listed
) -> list[SceneAsked]:
    """Return the same with all other dangers near each stretch of which a margin is asked.

    Parameters
    ----------
    asked : sequence of SceneAsked
        The stretches.
    off : sequence of ndarray
        What is kept off each danger that is listed, for each stretch.
    listed : Listed
        All dangers that are listed.
    """
    if not asked:
        return []
    middle_m = np.array([(one.from_m + one.to_m) / 2.0 for one in asked])
    lat, lon, _ = points_along(in_columns([one.path for one in asked]), middle_m)
    found = []
    for one, off_m, lat_deg, lon_deg in zip(asked, off, lat.tolist(), lon.tolist(), strict=True):
        here = {number for number, _, _ in one.shapes}
        most_m = float(np.nanmax(off_m))
        within_m = (one.to_m - one.from_m) / 2.0 + LISTED_M + most_m
        kept_off = dict(zip(listed.hazard.tolist(), off_m.tolist(), strict=True))
        others = tuple(
            (number, listed.shapes[number], kept_off[number])
            for number in listed.around(lat_deg, lon_deg, within_m)
            if number not in here and not np.isnan(kept_off[number])
        )
        found.append(replace(one, others=others))
    return found


def _asked(
    leg: PlannedLeg,
    path: LegLine,
    group: list[Near],
    kept: tuple[tuple[int, Shape, float], ...],
    near: tuple[Seen, NearMarks, tuple[str, ...]],
) -> SceneAsked:
    """Return the stretch of a leg to look at for a group of dangers, with the marks to try."""
    seen, rows, wanted = near
    from_m, to_m = stretch_of(leg, (group[0].along_m, group[-1].along_m))
    marks = _marks_for((from_m + to_m) / 2.0, seen, rows, wanted)
    return SceneAsked(leg=leg, path=path, from_m=from_m, to_m=to_m, shapes=kept, marks=marks)


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
