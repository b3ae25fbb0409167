"""Nearest points of the whole track to all that the dangers are made of."""

from collections.abc import Iterable, Iterator

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.clearance.edge_grid import spans_near
from wheelover.core.clearance.edge_pairs import (
    Bounds,
    EdgePairs,
    Needed,
    least_left_m,
    that_matter,
)
from wheelover.core.clearance.edges_of_arcs import chords_of_arcs, near_arc_edges, passing_arc_edges
from wheelover.core.clearance.edges_of_legs import chords_of_legs, near_leg_edges, passing_leg_edges
from wheelover.core.clearance.index import EdgeIndex, Surroundings
from wheelover.core.clearance.inside import Areas, dangers_around
from wheelover.core.clearance.of_arcs import places_on_arcs
from wheelover.core.clearance.of_points import TrackLines, passing_points
from wheelover.core.clearance.passing import (
    NO_PASSING,
    Passing,
    joined,
    nearest_of_each,
)
from wheelover.core.errors import OutOfDomain
from wheelover.core.legs import points_along
from wheelover.core.types.clearance import SIDES

_CROSSED = SIDES.index("crossed")
_MOST_PAIRS = 1_000_000


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
    return that_matter(passing, needed, least_left_m(passing, needed, len(track.pieces))), lost


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
    track: TrackLines, index: EdgeIndex, key: Ints | None = None, needed: Needed | None = None
) -> tuple[Passing, frozenset[int]]:
    """Return the nearest points to lines and areas, and the pieces where they are not found.

    Parameters
    ----------
    track : TrackLines
        The track.
    index : EdgeIndex
        The edges, and how far around each to look.
    key : ndarray or None, shape (stretches of edges,)
        What one nearest point of each leg is wanted for; without it for each danger.
    needed : Needed or None
        With what is asked around dangers only rows that may matter are returned, as
        ``passing_track`` says; others may be among them, not all the nearest of their piece.
        Without it all.
    """
    portions: Iterable[tuple[EdgePairs, EdgePairs]] = (
        _pairs_of(track, which, index, key) for which in _in_portions(track, index)
    )
    if needed is not None:
        portions = _that_matter(track, portions, index, needed)
    found, lost = [], set()
    for of_legs, of_arcs in portions:
        if of_arcs.edge.size:
            found.append(passing_arc_edges(track, of_arcs, index))
        passings, failed = _legs_or_lost(track, of_legs, index, key)
        found += passings
        lost |= failed
    return joined(found), frozenset(lost)


def _pairs_of(
    track: TrackLines, which: Ints, index: EdgeIndex, key: Ints | None
) -> tuple[EdgePairs, EdgePairs]:
    """Return the pairs of some pieces that are legs, and of those that are arcs, with edges."""
    on_arc = np.isin(which, track.arc_piece)
    arcs = np.searchsorted(track.arc_piece, which[on_arc])
    return near_leg_edges(track, which[~on_arc], index, key), near_arc_edges(track, arcs, index)


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


def _legs_or_lost(
    track: TrackLines, pairs: EdgePairs, index: EdgeIndex, key: Ints | None
) -> tuple[list[Passing], set[int]]:
    """Return the nearest points of some legs, and those whose nearest points are not found.

    Where all together have no answer, each half is asked, so that one leg beside a pole costs the
    others nothing but time.
    """
    which = np.unique(pairs.piece)
    if which.size == 0:
        return [], set()
    try:
        return [passing_leg_edges(track, pairs, index, key)], set()
    except OutOfDomain:
        if which.size == 1:
            return [], {int(which[0])}
    first = pairs.piece < which[which.size // 2]
    one, lost = _legs_or_lost(track, pairs.rows(first), index, key)
    other, more = _legs_or_lost(track, pairs.rows(~first), index, key)
    return [*one, *other], lost | more


def _in_portions(track: TrackLines, index: EdgeIndex) -> list[Ints]:
    """Return the pieces near edges in portions, none with more pairs to look at than fit."""
    weight = np.zeros(len(track.pieces))
    for chords, piece in (
        (chords_of_legs(track.stretches), track.stretches.piece),
        (chords_of_arcs(track), track.arc_piece),
    ):
        for grid in index.lines.grids:
            spans = spans_near(grid, chords, index.widest_m)
            weight += np.bincount(
                piece[spans[:, 0]], spans[:, 2] - spans[:, 1], minlength=weight.size
            )
    which = np.flatnonzero(weight)
    if which.size == 0:
        return []
    portion = np.cumsum(weight[which]) // _MOST_PAIRS
    return np.split(which, np.flatnonzero(np.diff(portion)) + 1)


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
    stretches = track.stretches
    first = np.searchsorted(stretches.piece, np.unique(stretches.piece))
    last = np.append(first[1:], stretches.piece.size) - 1
    arcs = track.arcs
    end_m = np.radians(np.abs(arcs.sweep_deg)) * arcs.radius_m
    leg_piece = stretches.piece[first]
    return (
        np.concatenate([leg_piece, leg_piece, track.arc_piece, track.arc_piece]),
        np.concatenate(
            [stretches.low_m[first], stretches.high_m[last], np.zeros(arcs.count), end_m]
        ),
        np.concatenate(
            [
                stretches.lat_deg[first, 0],
                stretches.lat_deg[last, 1],
                arcs.start_lat_deg,
                arcs.end_lat_deg,
            ]
        ),
        np.concatenate(
            [
                stretches.lon_deg[first, 0],
                stretches.lon_deg[last, 1],
                arcs.start_lon_deg,
                arcs.end_lon_deg,
            ]
        ),
    )
