"""The stretches of legs that are looked at for clearing lines: the dangers and marks near each."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from wheelover.core.aids.clearing_lines import MOST_RANGE_M
from wheelover.core.aids.clearing_plane import SceneAsked, stretch_of
from wheelover.core.aids.index_objects import Seen
from wheelover.core.aids.near_dangers import LISTED_M, Listed, Near, groups_of
from wheelover.core.aids.near_marks import NearMarks
from wheelover.core.arrays import Floats, Ints
from wheelover.core.legs import in_columns, points_along
from wheelover.core.types.track import LegLine, PlannedLeg
from wheelover.core.units import NM_M

_MOST_MARKS = 8


def of_groups(
    leg: PlannedLeg,
    path: LegLine,
    found: Sequence[Near],
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
    asked = []
    for group in groups_of(found):
        rows = np.searchsorted(listed.hazard, [one.hazard for one in group])
        sought = rows[~np.isnan(off_m[rows])]
        if sought.size:
            asked.append(_asked(leg, path, group, (sought, off_m), marks))
    return asked


def with_others(asked: Sequence[SceneAsked], listed: Listed, unsure_m: Floats) -> list[SceneAsked]:
    """Return the same with all other dangers near each stretch, asked a margin of or not.

    Parameters
    ----------
    asked : sequence of SceneAsked
        The stretches.
    listed : Listed
        All dangers that are listed.
    unsure_m : ndarray, shape (n,)
        How unsure the place of each is: so much is kept off it where no margin is asked.
    """
    if not asked:
        return []
    middle_m = np.array([(one.from_m + one.to_m) / 2.0 for one in asked])
    lat, lon, _ = points_along(in_columns([one.path for one in asked]), middle_m)
    found = []
    for one, lat_deg, lon_deg in zip(asked, lat.tolist(), lon.tolist(), strict=True):
        bare = np.isnan(one.off_m)
        off_m = np.where(bare, unsure_m, one.off_m)
        within_m = (one.to_m - one.from_m) / 2.0 + LISTED_M + float(np.max(off_m))
        others = listed.around(lat_deg, lon_deg, within_m)
        others[one.sought] = False
        found.append(replace(one, others=np.flatnonzero(others), off_m=off_m, bare=bare))
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
        bare=np.isnan(off_m),
        marks=marks,
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
