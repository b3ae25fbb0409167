"""How near the hull comes to dangers on runs."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from wheelover.core.arrays import Ints, side_by_side
from wheelover.core.sweep.about import About, groups_of, things_about, widest_each_m
from wheelover.core.sweep.dangers import Middles, Parts, Sought, parts_of
from wheelover.core.sweep.holding import dangers_holding_each
from wheelover.core.sweep.margins import AskedOnRuns, asked_on_runs
from wheelover.core.sweep.near_loop import nearest_of_each_loop, nearest_pieces_loop
from wheelover.core.sweep.near_rows import Found, rows_of
from wheelover.core.sweep.runs import Run, Runs, in_columns
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import NO_LIMITS, Limits
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.route import Position
from wheelover.core.types.sweep import HullClearances
from wheelover.core.units import NM_M

LEAST_SEARCH_M = 2.0 * NM_M
"""Dangers within this distance are listed even where no limit asks for more."""

_MOST_PLACES = 50_000
"""So many points and vertices are looked at together, and more where they are about one run."""


def hull_clearances(
    motion: Motion,
    start: Position,
    loa_m: float,
    beam_m: float,
    hazards: Hazards,
    *,
    asked: tuple[LegAsked, ...] = (LegAsked(),),
    limits: Limits = NO_LIMITS,
) -> HullClearances:
    """Return how near the hull comes to each danger on a run.

    Parameters
    ----------
    motion : Motion
        Midships over the ground from where the run starts, n rows.
    start : Position
        Where that is.
    loa_m, beam_m : float
        The hull, of which the box around it counts.
    hazards : Hazards
        The dangers; the uncertainty of a position comes off the clearance.
    asked : tuple of LegAsked
        What the leg asks, or both legs of a turn.
    limits : Limits
        What is asked where neither the danger nor the leg has a limit of its own.

    Returns
    -------
    HullClearances
        A row for each danger within its limit and uncertainty, or 2 NM, whichever is larger;
        nearest first.

    Raises
    ------
    InvalidShip
        When a dimension is not above zero.
    OutOfDomain
        For a motion that no hull can be moved along.

    Notes
    -----
    Between two rows the hull is taken to cover the convex hull of both and as much more as the
    curve of its corners may leave that: never less than it does. It is too much by up to a quarter
    of the box's diagonal times the change of heading from row to row, inside the turn: 0.9 m for a
    degree and 200 m, which more rows make less. Places are in the plane about the start,
    true to a millimetre within 2 NM [Snyder1987]_.
    """
    run = Run(motion=motion, start=start, asked=asked)
    return hulls_clearances((run,), loa_m, beam_m, hazards, limits)[0]


def hulls_clearances(
    runs: Sequence[Run], loa_m: float, beam_m: float, hazards: Hazards, limits: Limits = NO_LIMITS
) -> list[HullClearances]:
    """Return how near the hull comes to each danger on each of several runs.

    To ask about many at once takes little longer than to ask about a few.

    Parameters
    ----------
    runs : sequence of Run
        The runs.
    loa_m, beam_m, hazards, limits
        As in ``hull_clearances``.

    Returns
    -------
    list of HullClearances
        For each run what ``hull_clearances`` returns.

    Raises
    ------
    InvalidShip, OutOfDomain
        As ``hull_clearances``, if it is so for any of the runs.
    """
    if not runs:
        return []
    hulls = in_columns(runs, loa_m, beam_m)
    asked = asked_on_runs([one.asked for one in runs], limits)
    look = _Look(hulls=hulls, hazards=hazards, asked=asked)
    reach_m = np.maximum(widest_each_m(hazards, asked.most_m), LEAST_SEARCH_M) + hulls.swept_m
    points, paths = things_about(hazards, hulls.lat_deg, hulls.lon_deg, reach_m)
    listed: list[HullClearances] = []
    for first, stop in groups_of(hazards, points, paths, len(runs), _MOST_PLACES):
        found = _found(look, points.some(first, stop), paths.some(first, stop))
        limited = asked.of(hazards, found.hazard, found.run)
        listed += rows_of(found, limited, hulls, hazards, first, stop)
    return listed


@dataclass(frozen=True, slots=True, kw_only=True)
class _Look:
    """What is looked at: the hull on runs, the dangers, and what is asked of them there."""

    hulls: Runs
    hazards: Hazards
    asked: AskedOnRuns


def _found(look: _Look, points: About, paths: About) -> Found:
    """Return the dangers within what is listed about runs, by run and number."""
    hulls, hazards = look.hulls, look.hazards
    middles = Middles(
        lat_deg=hulls.lat_deg,
        lon_deg=hulls.lon_deg,
        along_ratio=np.broadcast_to([1.0, 0.0], hulls.low_m.shape),
        # To starboard of east is south.
        low_m=side_by_side(hulls.low_m[:, 0], -hulls.high_m[:, 1]),
        high_m=side_by_side(hulls.high_m[:, 0], -hulls.low_m[:, 1]),
    )
    parts = parts_of(
        hazards,
        middles,
        _sought(look, points, hazards.points.hazard[points.number]),
        _sought(look, paths, hazards.paths.hazard[paths.number]),
    )
    return _with_held(look, paths, _nearest(look, parts))


def _sought(look: _Look, about: About, hazard: Ints) -> Sought:
    """Return points or paths of dangers with how far about their runs they matter."""
    limited = look.asked.of(look.hazards, hazard, about.place)
    listing_m = np.maximum(limited.margin_m, LEAST_SEARCH_M)
    return Sought(
        place=about.place,
        number=about.number,
        reach_m=listing_m + look.hulls.swept_m[about.place],
        margin_m=listing_m,
    )


def _nearest(look: _Look, parts: Parts) -> Found:
    """Return the piece of its run that is nearest to each danger, within what is listed.

    A piece and a part that meet do so in many places: shapely says which.
    """
    off_m, nearest = np.empty(parts.count), np.zeros(parts.count, dtype=np.int64)
    found, pieces = np.empty((parts.count, 5)), look.hulls.pieces
    nearest_pieces_loop(
        pieces.vertex_m, pieces.middle_m, pieces.radius_m, pieces.bulge_m, look.hulls.first,
        np.argsort(parts.place, kind="stable"), parts.place, parts.start_m, parts.end_m,
        parts.margin_m, off_m, nearest, found,
    )  # fmt: skip
    near = np.flatnonzero(off_m <= parts.margin_m)
    key = parts.place[near] * look.hazards.count + parts.hazard[near]
    order = np.argsort(key, kind="stable")
    part = near[nearest_of_each_loop(order, key, off_m[near], nearest[near])]
    places_m, piece = found[part, :4].reshape(-1, 2, 2), nearest[part]
    met = np.flatnonzero(found[part, 4] == 0.0)
    if met.size:
        shapes = shapes_of_parts(parts.rows(part[met]))
        lines = shapely.shortest_line(pieces.hulls_of(piece[met]), shapes)
        places_m[met] = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    return Found(
        run=parts.place[part],
        hazard=parts.hazard[part],
        piece=piece,
        distance_m=off_m[part],
        places_m=places_m,
    )


def _with_held(look: _Look, paths: About, found: Found) -> Found:
    """Return dangers near runs, and before them those whose areas hold the first place of a run.

    A danger that holds the hull from the first is entered there, wherever its edge is met later.
    """
    hulls = look.hulls
    run, hazard = dangers_holding_each(
        look.hazards.paths, paths, hulls.first_lat_deg, hulls.first_lon_deg
    )
    if not run.size:
        return found
    count = look.hazards.count
    other = np.isin(found.run * count + found.hazard, run * count + hazard, invert=True)
    places_m = np.repeat(hulls.first_m[run][:, None], 2, axis=1)
    return Found(
        run=np.concatenate([run, found.run[other]]),
        hazard=np.concatenate([hazard, found.hazard[other]]),
        piece=np.concatenate([hulls.first[run], found.piece[other]]),
        distance_m=np.concatenate([np.zeros(run.size), found.distance_m[other]]),
        places_m=np.concatenate([places_m, found.places_m[other]]),
    )


def shapes_of_parts(parts: Parts) -> Any:
    """Return parts of dangers as shapely points and lines."""
    shapes = np.empty(parts.count, object)
    point = np.all(parts.start_m == parts.end_m, axis=1)
    shapes[point] = shapely.points(parts.start_m[point])
    line = ~point
    shapes[line] = shapely.linestrings(np.stack([parts.start_m[line], parts.end_m[line]], axis=1))
    return shapes
