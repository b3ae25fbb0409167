"""Nearest points of the whole track to all that the dangers are made of."""

from collections.abc import Iterable, Iterator

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table, side_by_side
from wheelover.core.clearance.edge_pairs import (
    Bounds,
    EdgePairs,
    Needed,
    least_left_m,
    that_matter,
)
from wheelover.core.clearance.edges_of_arcs import passing_arc_edges
from wheelover.core.clearance.edges_of_legs import passing_leg_edges
from wheelover.core.clearance.index import EdgeIndex, Surroundings
from wheelover.core.clearance.inside import Areas, dangers_around
from wheelover.core.clearance.inside_loop import ends_loop
from wheelover.core.clearance.near_edges import near_edges
from wheelover.core.clearance.of_arcs import places_on_arcs
from wheelover.core.clearance.of_points import TrackLines, passing_points
from wheelover.core.clearance.passing import (
    NO_PASSING,
    Passing,
    joined,
    nearest_of_each,
)
from wheelover.core.legs import points_along
from wheelover.core.types.clearance import SIDES

_CROSSED = SIDES.index("crossed")


def passing_track(
    track: TrackLines, around: Surroundings, limits_m: Table
) -> tuple[Passing, frozenset[int]]:
    """Return the nearest points of the pieces of a track to the dangers near it that matter.

    Those rows matter that tell the piece nearest to each danger, all pieces on which it is inside
    its limit, and the danger that has the least left over the limit on each piece.

    Parameters
    ----------
    track : TrackLines
        The track.
    around : Surroundings
        The dangers, and how far around each to look.
    limits_m : ndarray, shape (pieces, k)
        What each piece asks of dangers without a limit of their own, in as many columns as
        ``around`` tells classes of dangers apart.

    Returns
    -------
    passing : Passing
        Each danger once at most for each piece.
    unmeasured : frozenset of int
        Numbers of the pieces whose nearest points could not be found: a leg that winds about a
        pole may curve too sharply. They have no rows; the rest of the track is measured.
    """
    needed = needed_of(around, limits_m)
    passing, lost = passing_each(track, around, needed)
    within_m = needed.within_m(passing.piece, passing.hazard)
    least_m = least_left_m(passing, within_m, np.full(len(track.pieces), np.inf))
    return passing.rows(that_matter(passing, within_m, least_m)), lost


def needed_of(around: Surroundings, limits_m: Table) -> Needed:
    """Return what is asked around dangers, with what pieces ask of those without an own limit."""
    return Needed(
        limit_m=limits_m,
        column=around.columns,
        own_m=around.own_m,
        unsure_m=around.hazards.position_uncertainty_m,
    )


def passing_each(
    track: TrackLines, around: Surroundings, needed: Needed | None = None
) -> tuple[Passing, frozenset[int]]:
    """Return the nearest points of the pieces of a track to the dangers near it.

    Parameters
    ----------
    track, around
        As in ``passing_track``.
    needed : Needed or None
        With it rows that cannot matter may be left out, and are where that saves a look; without
        it every danger within its search distance of a piece has a row.

    Returns
    -------
    passing, unmeasured
        As ``passing_track`` returns them, in the order of pieces and dangers.
    """
    found = []
    lost: frozenset[int] = frozenset()
    limits_m = None if needed is None else needed.limit_m
    if around.points is not None:
        near, lost = passing_points(track, around.points, limits_m)
        found.append(near.of(around.points.points.hazard))
    if around.edges is not None:
        near, more = passing_edges(track, around.edges, needed=needed)
        found += [near, inside_of_track(track, around.areas)]
        lost |= more
    passing = joined(found)
    if lost:
        passing = passing.rows(np.flatnonzero(~np.isin(passing.piece, list(lost))))
    return nearest_of_each(passing), lost


def places_of(track: TrackLines, passing: Passing) -> tuple[Floats, Floats]:
    """Return the positions of nearest points on the track, degrees, shape (m,)."""
    lat, lon = np.empty(passing.piece.size), np.empty(passing.piece.size)
    on_arc = np.isin(passing.piece, track.arc_piece)
    if bool(np.any(on_arc)):
        arcs = track.arcs.rows(np.searchsorted(track.arc_piece, passing.piece[on_arc]))
        lat[on_arc], lon[on_arc] = places_on_arcs(arcs, passing.along_m[on_arc])
    on_leg = ~on_arc
    if bool(np.any(on_leg)):
        legs = track.legs.rows(np.searchsorted(track.leg_piece, passing.piece[on_leg]))
        lat[on_leg], lon[on_leg], _ = points_along(legs, passing.along_m[on_leg])
    return lat, lon


def passing_edges(
    track: TrackLines, index: EdgeIndex, needed: Needed | None = None, *, each: bool = False
) -> tuple[Passing, frozenset[int]]:
    """Return the nearest points to lines and areas, and the pieces where they are not found.

    Parameters
    ----------
    track : TrackLines
        The track.
    index : EdgeIndex
        The edges, and how far around each to look.
    needed : Needed or None
        With what is asked around dangers only rows that may matter are returned, as
        ``passing_track`` says; others may be among them, not all the nearest of their piece.
        Without it all.
    each : bool
        Whether one nearest point of each leg is wanted for each stretch of an edge; without it for
        each danger.
    """
    portions: Iterable[tuple[EdgePairs, EdgePairs]] = near_edges(track, index, each=each)
    if needed is not None:
        portions = _that_matter(track, portions, index, needed)
    found, lost = [], frozenset[int]()
    for of_legs, of_arcs in portions:
        passing, more = passing_leg_edges(track, of_legs, index, each=each)
        found += [passing_arc_edges(track, of_arcs, index), passing]
        lost |= more
    return joined(found), lost


def _that_matter(
    track: TrackLines,
    portions: Iterable[tuple[EdgePairs, EdgePairs]],
    index: EdgeIndex,
    needed: Needed,
) -> Iterator[tuple[EdgePairs, EdgePairs]]:
    """Yield of portions of pairs those that may matter once all bounds are known."""
    bounds = Bounds(needed, index.lines.stretches.hazard, len(track.pieces))
    kept = []
    for of_legs, of_arcs in portions:
        bounds.lower(of_legs)
        bounds.lower(of_arcs)
        kept.append([one.rows(bounds.may_matter(one)) for one in (of_legs, of_arcs)])
    for of_legs, of_arcs in kept:
        yield of_legs.rows(bounds.may_matter(of_legs)), of_arcs.rows(bounds.may_matter(of_arcs))


def inside_of_track(track: TrackLines, areas: Areas) -> Passing:
    """Return the dangers in whose areas a piece begins or ends; what it enters it also crosses."""
    if areas.hazard.size == 0 or not track.pieces:
        return NO_PASSING
    piece, along_m, lat, lon = _ends(track)
    row, hazard = dangers_around(areas, lat, lon)
    return Passing(
        piece=piece[row],
        hazard=hazard,
        distance_m=np.zeros(hazard.size),
        along_m=along_m[row],
        danger_lat_deg=lat[row],
        danger_lon_deg=lon[row],
        side=np.full(hazard.size, _CROSSED),
    )


def _ends(track: TrackLines) -> tuple[Ints, Floats, Floats, Floats]:
    """Return both ends of every piece: its number, how far along they are, and where."""
    stretches, arcs = track.stretches, track.arcs
    count = 2 * (track.leg_piece.size + arcs.count)
    piece, ends = np.empty(count, dtype=np.int64), np.empty((3, count))
    table = side_by_side(
        arcs.start_lat_deg, arcs.start_lon_deg, arcs.end_lat_deg, arcs.end_lon_deg,
        arcs.radius_m, arcs.sweep_deg,
    )  # fmt: skip
    ends_loop(
        stretches.piece, stretches.lat_deg, stretches.lon_deg, stretches.low_m, stretches.high_m,
        track.arc_piece, table, piece, ends,
    )  # fmt: skip
    return piece, ends[0], ends[1], ends[2]
