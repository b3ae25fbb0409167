"""What the hull comes too near to on runs, and where it first does."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.plane import from_plane_deg
from wheelover.core.sweep.about import About, groups_of, things_about, widest_each_m
from wheelover.core.sweep.dangers import Middles, Parts, Sought, parts_of
from wheelover.core.sweep.holding import dangers_holding_each
from wheelover.core.sweep.hull import hull_box_m
from wheelover.core.sweep.margins import AskedOnRuns, asked_on_runs
from wheelover.core.sweep.near_loop import first_near_loop, nearest_pieces_loop
from wheelover.core.sweep.poses import Pieces, pieces_between, pieces_of
from wheelover.core.sweep.runs import Run, together
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import LIMIT_SOURCES
from wheelover.core.types.sweep import LateDanger

_MOST_PLACES = 50_000
"""So many points and vertices are looked at together, and more where they are about one run."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Look:
    """What is looked at: runs, what lies about them, the dangers, and what is asked of them.

    ``reach_m`` is how far from where each run starts its hull may come.
    """

    runs: Sequence[Run]
    box_m: Floats
    middles: Middles
    reach_m: Floats
    first_deg: tuple[Floats, Floats]
    hazards: Hazards
    asked: AskedOnRuns


@dataclass(frozen=True, slots=True, kw_only=True)
class _Met:
    """Dangers too near to runs in rows (m,): the first piece of the run that is, the least left."""

    run: Ints
    hazard: Ints
    piece: Ints
    off_m: Floats


def dangers_met(
    runs: Sequence[Run], loa_m: float, beam_m: float, hazards: Hazards, limits: Limits
) -> list[tuple[LateDanger, ...] | str]:
    """Return the dangers that the hull comes too near to on each run, with where it first does.

    Parameters
    ----------
    runs : sequence of Run
        The runs.
    loa_m, beam_m : float
        The hull, of which the box around it counts.
    hazards : Hazards
        The dangers.
    limits : Limits
        What is asked where neither the danger nor a leg has a limit of its own.

    Returns
    -------
    list
        For each run its dangers, or why no hull can be moved along it past those that are near.

    Raises
    ------
    InvalidShip
        When a dimension of the hull is not above zero.
    """
    if hazards.count == 0 or not runs:
        return [() for _ in runs]
    look = _look(runs, loa_m, beam_m, hazards, limits)
    reach_m = look.reach_m + widest_each_m(hazards, look.asked.most_m)
    points, paths = things_about(hazards, look.middles.lat_deg, look.middles.lon_deg, reach_m)
    found: list[tuple[LateDanger, ...] | str] = []
    for first, stop in groups_of(hazards, points, paths, len(runs), _MOST_PLACES):
        met, why_not = _met(look, points.some(first, stop), paths.some(first, stop))
        bounds = np.searchsorted(met.run, np.arange(first, stop + 1)).tolist()
        for run, (start, end) in enumerate(itertools.pairwise(bounds), first):
            found.append(why_not[run] if run in why_not else _dangers(look, met, start, end))
    return found


def _look(
    runs: Sequence[Run], loa_m: float, beam_m: float, hazards: Hazards, limits: Limits
) -> _Look:
    """Return what is to be looked at."""
    count = np.array([one.motion.east_m.size for one in runs])
    starts = np.cumsum(count) - count
    east_m = np.concatenate([one.motion.east_m for one in runs])
    north_m = np.concatenate([one.motion.north_m for one in runs])
    lat = np.array([one.start.lat_deg for one in runs], np.float64)
    lon = np.array([one.start.lon_deg for one in runs], np.float64)
    side_m = loa_m + beam_m
    # To starboard of east is south.
    place_m = np.stack([east_m, -north_m], axis=1)
    return _Look(
        runs=runs,
        box_m=hull_box_m(loa_m, beam_m),
        middles=Middles(
            lat_deg=lat,
            lon_deg=lon,
            along_ratio=np.broadcast_to([1.0, 0.0], (len(runs), 2)),
            low_m=np.minimum.reduceat(place_m, starts) - side_m,
            high_m=np.maximum.reduceat(place_m, starts) + side_m,
        ),
        reach_m=np.maximum.reduceat(np.hypot(east_m, north_m), starts) + side_m,
        first_deg=from_plane_deg((lat, lon), np.stack([east_m[starts], north_m[starts]], axis=1)),
        hazards=hazards,
        asked=asked_on_runs([one.asked for one in runs], limits),
    )


def _met(look: _Look, points: About, paths: About) -> tuple[_Met, dict[int, str]]:
    """Return what is met on runs, by run and danger, and of some runs why no hull can follow."""
    hazards = look.hazards
    parts = parts_of(
        hazards,
        look.middles,
        _sought(look, points, hazards.points.hazard[points.number]),
        _sought(look, paths, hazards.paths.hazard[paths.number]),
    )
    run, hazard = dangers_holding_each(hazards.paths, paths, *look.first_deg)
    none = np.zeros(run.size, np.int64)
    near, why_not = _near(look, parts)
    # What holds the hull from the first is met there, wherever its edge is.
    every = _Met(
        run=np.concatenate([run, near.run]),
        hazard=np.concatenate([hazard, near.hazard]),
        piece=np.concatenate([none, near.piece]),
        off_m=np.concatenate([none.astype(np.float64), near.off_m]),
    )
    return _by_danger(every), why_not


def _sought(look: _Look, about: About, hazard: Ints) -> Sought:
    """Return points or paths of dangers with how far about their runs they matter."""
    margin_m = look.asked.of(look.hazards, hazard, about.place).margin_m
    return Sought(
        place=about.place,
        number=about.number,
        reach_m=margin_m + look.reach_m[about.place],
        margin_m=margin_m,
    )


def _near(look: _Look, parts: Parts) -> tuple[_Met, dict[int, str]]:
    """Return each part that the hull comes too near to, with the first piece that is."""
    numbers = np.unique(parts.place).tolist()
    each = _pieces(look, numbers)
    why_not = {run: one for run, one in zip(numbers, each, strict=True) if isinstance(one, str)}
    kept = {run: one for run, one in zip(numbers, each, strict=True) if not isinstance(one, str)}
    place = np.full(len(look.runs), -1)
    place[list(kept)] = np.arange(len(kept))
    parts = parts.rows(place[parts.place] >= 0)
    if not parts.count:
        none = np.empty(0, np.int64)
        return _Met(run=none, hazard=none, piece=none, off_m=np.empty(0)), why_not
    pieces = together(list(kept.values()))
    first = np.concatenate([[0], np.cumsum([one.count for one in kept.values()])])
    run = place[parts.place]
    off_m, nearest = np.empty(parts.count), np.zeros(parts.count, dtype=np.int64)
    shape = (pieces.vertex_m, pieces.middle_m, pieces.radius_m, pieces.bulge_m, first)
    nearest_pieces_loop(
        *shape, np.argsort(run, kind="stable"), run, parts.start_m, parts.end_m, parts.margin_m,
        off_m, nearest, np.empty((parts.count, 5)),
    )  # fmt: skip
    near = np.flatnonzero(off_m <= parts.margin_m)
    parts, run = parts.rows(near), run[near]
    piece = first_near_loop(*shape, run, parts.start_m, parts.end_m, parts.margin_m)
    return _Met(
        run=parts.place, hazard=parts.hazard, piece=piece - first[run], off_m=off_m[near]
    ), why_not


def _pieces(look: _Look, numbers: list[int]) -> list[Pieces | str]:
    """Return the pieces of some runs, or why no hull can be moved along one."""
    motions = [look.runs[one].motion for one in numbers]
    try:
        return [*pieces_of(motions, look.box_m)]
    except OutOfDomain:
        pass
    found: list[Pieces | str] = []
    for motion in motions:
        try:
            found.append(pieces_between(motion, look.box_m))
        except OutOfDomain as error:
            found.append(str(error))
    return found


def _by_danger(met: _Met) -> _Met:
    """Return each danger of a run once: the first piece near it, and the least distance of any."""
    order = np.lexsort((met.piece, met.hazard, met.run))
    run, hazard = met.run[order], met.hazard[order]
    new = (np.diff(run, prepend=-1) != 0) | (np.diff(hazard, prepend=-1) != 0)
    starts = np.flatnonzero(new)
    least_m = np.minimum.reduceat(met.off_m[order], starts) if starts.size else np.empty(0)
    return _Met(
        run=run[starts], hazard=hazard[starts], piece=met.piece[order][starts], off_m=least_m
    )


def _dangers(look: _Look, met: _Met, start: int, end: int) -> tuple[LateDanger, ...]:
    """Return the dangers of the rows of one run, from one row up to another."""
    if start == end:
        return ()
    rows = slice(start, end)
    hazards, motion = look.hazards, look.runs[int(met.run[start])].motion
    hazard, piece = met.hazard[rows], met.piece[rows]
    asked = look.asked.of(hazards, hazard, met.run[rows])
    clearance_m = met.off_m[rows] - hazards.position_uncertainty_m[hazard]
    gone_m = np.cumsum(np.hypot(np.diff(motion.east_m), np.diff(motion.north_m)))
    ahead_m, at_s = np.append(0.0, gone_m)[piece], motion.time_s[piece]
    columns = (hazard, clearance_m, asked.limit_m, asked.limit_source, at_s, ahead_m)
    return tuple(
        LateDanger(
            hazard_index=danger,
            hazard_id=hazards.ids[danger],
            clearance_m=left_m,
            limit_m=limit_m if source >= 0 else None,
            limit_source=LIMIT_SOURCES[source] if source >= 0 else None,
            touched=left_m <= 0.0,
            first_at_s=first_at_s,
            first_ahead_m=first_ahead_m,
        )
        for danger, left_m, limit_m, source, first_at_s, first_ahead_m in zip(
            *(one.tolist() for one in columns), strict=True
        )
    )
