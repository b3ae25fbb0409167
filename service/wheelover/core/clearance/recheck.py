"""A track of which some pieces were moved, checked again where that can have changed anything.

What passes a piece is measured with the pieces near the same dangers: which rows are kept of it
hangs on which other is nearest. So beside the pieces that were moved those are measured again
that share a danger with them, before or after; and for their sake those that share one with these
are looked at. All other rows stand as they were.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from itertools import compress
from typing import TypeVar
from weakref import WeakKeyDictionary

import numpy as np
import scipy

from wheelover.core.arrays import Bools, Floats, Ints, Table, numbered
from wheelover.core.clearance.edge_grid import Chords, EdgeGrid, spans_near
from wheelover.core.clearance.index import (
    EdgeIndex,
    Surroundings,
    most_asked_m,
    surroundings_wide,
)
from wheelover.core.clearance.of_points import TrackLines, track_lines
from wheelover.core.clearance.passing import Passing, TrackPiece, joined
from wheelover.core.clearance.whole import Measured, judged_whole, measured, passing_near
from wheelover.core.margins import Margins, margins_of
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import (
    ClearanceRows,
    Clearances,
    Infringement,
    Piece,
    PieceLeast,
    PieceNear,
    SideNearest,
)
from wheelover.core.types.when_asked import WhenAsked

_Told = TypeVar("_Told", Infringement, PieceLeast, PieceNear, SideNearest)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spots:
    """Short parts of pieces as places in space: none of a part is farther off than its reach.

    Latitudes and longitudes, shape (n, 2), are of two places, and the part leaves the box of them
    by less than ``around_m``.
    """

    piece: Ints
    place_m: Table
    reach_m: Floats
    lat_deg: Floats
    lon_deg: Floats
    around_m: Floats

    def of(self, wanted: Bools) -> "_Spots":
        """Return those of some pieces."""
        rows = np.flatnonzero(wanted[self.piece])
        return _Spots(**{one.name: getattr(self, one.name)[rows] for one in fields(self)})

    def and_(self, others: "_Spots") -> "_Spots":
        """Return these and others."""
        return _Spots(
            **{
                one.name: np.concatenate([getattr(self, one.name), getattr(others, one.name)])
                for one in fields(self)
            }
        )


class Checked:
    """A track that was checked, kept to check it again when a part of it is moved."""

    def __init__(self, pieces: tuple[TrackPiece, ...], hazards: Hazards, limits: Limits) -> None:
        self.hazards, self.limits = hazards, limits
        self.found: Measured = measured(pieces, hazards, limits)
        self.spots = _spots_of(self.found.track)
        self.spot_tree = scipy.spatial.cKDTree(self.spots.place_m) if pieces else None
        hazard = self.found.passing.hazard
        self._by_hazard = np.argsort(hazard, kind="stable")
        self._hazard_sorted = hazard[self._by_hazard]

    @property
    def pieces(self) -> tuple[TrackPiece, ...]:
        """Return the pieces of the track."""
        return self.found.track.pieces

    @cached_property
    def clearances(self) -> Clearances:
        """Return what was found, judged."""
        return judged_whole(self.found, self.hazards)

    def rows_of(self, hazards: Ints) -> Passing:
        """Return the rows of some dangers, each in the order of pieces."""
        starts = np.searchsorted(self._hazard_sorted, hazards)
        stops = np.searchsorted(self._hazard_sorted, hazards, side="right")
        which, place = numbered(stops - starts)
        return self.found.passing.rows(self._by_hazard[starts[which] + place])


@dataclass(frozen=True, kw_only=True)
class Rechecked:
    """A track checked again: the whole where it is asked for, and what its moved pieces clear.

    ``moved`` says of each piece whether it is not as it was or was asked about, ``again`` whether
    it was measured again.
    """

    base: Checked
    pieces: tuple[TrackPiece, ...]
    moved: Bools
    again: Bools
    fresh: Passing
    margins: Margins
    local: Clearances

    @cached_property
    def clearances(self) -> Clearances:
        """Return what the whole computation returns for the track, to the last digit."""
        old = self.base.found.passing
        kept = old.rows(np.flatnonzero(~self.again[old.piece]))
        both = joined([kept, self.fresh])
        order = np.lexsort((both.hazard, both.piece))
        found = Measured(
            track=track_lines(self.pieces), margins=self.margins, passing=both.rows(order)
        )
        return judged_whole(found, self.base.hazards)


def recheck(
    base: Checked, pieces: tuple[TrackPiece, ...], also: Collection[Piece] = ()
) -> Rechecked:
    """Return what a track clears of which some pieces are not as they were.

    Parameters
    ----------
    base : Checked
        The track as it was, checked.
    pieces : tuple of TrackPiece
        The track as it is, in sailing order. What it asks of dangers may have changed as well.
    also : collection of Piece
        Pieces to measure and to tell of as if they were moved, whether or not they were. Of those
        that the track does not have nothing is told.

    Returns
    -------
    Rechecked
        ``local`` holds the rows, infringements, least, near and sides of the pieces that were moved
        or asked about and of the dangers to which one of them is nearest, or on which one is too
        near, each as the whole computation gives it.
    """
    moved = _moved(base.pieces, pieces)
    moved |= np.array([one.piece in also for one in pieces], dtype=np.bool_)
    margins = _margins(base, pieces, moved)
    if margins is None or base.found.lost or base.spot_tree is None:
        return _anew(base, pieces, moved)
    around = surroundings_wide(base.hazards, margins)
    lines = track_lines(tuple(compress(pieces, moved)))
    own = _renumbered(_spots_of(lines), np.flatnonzero(moved))
    again, beside = _touched(base, around, moved, own)
    numbers = np.flatnonzero(beside)
    track = track_lines(tuple(pieces[one] for one in numbers.tolist()))
    passing, lost = passing_near(track, _of_pieces(margins, numbers), around)
    if lost:
        return _anew(base, pieces, moved)
    passing = replace(passing, piece=numbers[passing.piece])
    fresh = passing.rows(np.flatnonzero(again[passing.piece]))
    return Rechecked(
        base=base,
        pieces=pieces,
        moved=moved,
        again=again,
        fresh=fresh,
        margins=margins,
        local=_local(base, pieces, margins, (moved, again), fresh, (numbers, track)),
    )


def _moved(old: tuple[TrackPiece, ...], new: tuple[TrackPiece, ...]) -> Bools:
    """Return of the new pieces which are not as they were; all of them where some were added."""
    if len(old) != len(new):
        return np.ones(len(new), dtype=np.bool_)
    same = [one is other or one == other for one, other in zip(old, new, strict=True)]
    return ~np.array(same, dtype=np.bool_)


def _margins(base: Checked, pieces: tuple[TrackPiece, ...], moved: Bools) -> Margins | None:
    """Return what the new pieces ask; None where all must be measured anew."""
    if bool(np.all(moved)):
        return None
    pairs = compress(zip(base.pieces, pieces, strict=True), moved)
    if all(one.asked == other.asked for one, other in pairs):
        return base.found.margins
    margins = margins_of([one.asked for one in pieces], base.limits)
    same = np.array_equal(most_asked_m(margins), most_asked_m(base.found.margins))
    return margins if same else None


def _anew(base: Checked, pieces: tuple[TrackPiece, ...], moved: Bools) -> Rechecked:
    """Return the whole track checked anew."""
    fresh = Checked(pieces, base.hazards, base.limits)
    found = Rechecked(
        base=fresh,
        pieces=pieces,
        moved=moved,
        again=np.zeros(len(pieces), dtype=np.bool_),
        fresh=fresh.found.passing.rows(slice(0, 0)),
        margins=fresh.found.margins,
        local=_of_moved(fresh.clearances, pieces, moved),
    )
    found.__dict__["clearances"] = fresh.clearances
    return found


def _touched(base: Checked, around: Surroundings, moved: Bools, own: _Spots) -> tuple[Bools, Bools]:
    """Return which pieces are measured again, and which must be looked at for their sake."""
    was = base.spots.of(moved)
    again, beside = moved.copy(), moved.copy()
    both = was.and_(own)
    again[_sharing(base, around, both)] = True
    beside |= again
    more = base.spots.of(again & ~moved)
    if more.piece.size:
        beside[_sharing(base, around, more)] = True
    return again, beside


def _sharing(base: Checked, around: Surroundings, spots: _Spots) -> Ints:
    """Return the pieces of the track as it was that may be near a danger which spots are near."""
    found: list[Ints] = []
    widest_spot_m = float(np.max(base.spots.reach_m))
    if around.points is not None:
        reach_m = spots.reach_m + widest_spot_m + 2.0 * around.points.sought.widest_m + 1.0
        found.append(_pieces_about(base, spots.place_m, reach_m))
    if around.edges is not None:
        middle_m, radius_m = _hazards_about(base.hazards, around.edges, spots)
        reach_m = radius_m + widest_spot_m + around.edges.widest_m + 1.0
        found.append(_pieces_about(base, middle_m, reach_m))
    return np.unique(np.concatenate([*found, np.empty(0, dtype=np.int64)]))


def _pieces_about(base: Checked, places_m: Table, reach_m: Floats) -> Ints:
    """Return the pieces of the track as it was with a spot within reach of places."""
    if places_m.shape[0] == 0 or base.spot_tree is None:
        return np.empty(0, dtype=np.int64)
    lists = base.spot_tree.query_ball_point(places_m, reach_m)
    return np.asarray(base.spots.piece[np.unique(np.concatenate(lists).astype(np.int64))])


_SPHERES: WeakKeyDictionary[Hazards, tuple[Ints, Table, Floats]] = WeakKeyDictionary()


def _hazards_about(hazards: Hazards, index: EdgeIndex, spots: _Spots) -> tuple[Table, Floats]:
    """Return spheres about the whole of each line and area of which an edge is near spots."""
    known = _SPHERES.get(hazards)
    if known is None:
        known = _SPHERES[hazards] = _spheres(index)
    number, middle_m, radius_m = known
    edge = [np.empty(0, dtype=np.int64)]
    for grid in index.lines.grids:
        which, place = _about(grid, spots, index.widest_m)
        middles_m = grid.middles_m[place]
        off_m = np.linalg.norm(middles_m - spots.place_m[which], axis=1)
        near = off_m <= spots.reach_m[which] + grid.half_m[place] + index.widest_m + 1.0
        edge.append(grid.number[place[near]])
    hazard = np.unique(index.lines.stretches.hazard[np.concatenate(edge)])
    rows = np.searchsorted(number, hazard)
    return middle_m[rows], radius_m[rows]


def _about(grid: EdgeGrid, spots: _Spots, search_m: float) -> tuple[Ints, Ints]:
    """Return pairs of spots and of edges in a grid that may be near them."""
    chords = Chords(
        lat_deg=spots.lat_deg,
        lon_deg=spots.lon_deg,
        around_m=spots.around_m,
        from_m=spots.place_m,
        to_m=spots.place_m,
        reach_m=spots.reach_m,
    )
    spans = spans_near(grid, chords, search_m)
    which, place = numbered(spans[:, 2] - spans[:, 1])
    return spans[which, 0], spans[which, 1] + place


def _spheres(index: EdgeIndex) -> tuple[Ints, Table, Floats]:
    """Return the dangers that have edges, ascending, and spheres about all edges of each."""
    lines = index.lines
    order = np.argsort(lines.stretches.hazard, kind="stable")
    number, first = np.unique(lines.stretches.hazard[order], return_index=True)
    low_m = np.minimum.reduceat(np.minimum(lines.starts_m, lines.ends_m)[order], first)
    high_m = np.maximum.reduceat(np.maximum(lines.starts_m, lines.ends_m)[order], first)
    bow_m = np.maximum.reduceat(lines.bow_m[order], first)
    return number, (low_m + high_m) / 2.0, np.linalg.norm(high_m - low_m, axis=1) / 2.0 + bow_m


def _spots_of(track: TrackLines) -> _Spots:
    """Return the short parts of a track: stretches of its legs, and its arcs."""
    stretches, circles, arcs = track.stretches, track.circles, track.arcs
    half_m = np.linalg.norm(stretches.curves.end_m - stretches.curves.start_m, axis=1) / 2.0
    return _Spots(
        piece=np.concatenate([stretches.piece, track.arc_piece]),
        place_m=np.concatenate([stretches.middles_m, circles.frame[:, 0]]),
        reach_m=np.concatenate([half_m + stretches.bow_m, circles.radius_m + 1.0]),
        lat_deg=np.concatenate([stretches.lat_deg, np.stack([arcs.centre_lat_deg] * 2, axis=1)]),
        lon_deg=np.concatenate([stretches.lon_deg, np.stack([arcs.centre_lon_deg] * 2, axis=1)]),
        around_m=np.concatenate([stretches.bow_m, circles.radius_m + 1.0]),
    )


def _renumbered(spots: _Spots, numbers: Ints) -> _Spots:
    """Return spots under the numbers that their pieces have in the whole track."""
    return replace(spots, piece=numbers[spots.piece])


def _of_pieces(margins: Margins, numbers: Ints) -> Margins:
    """Return what some pieces ask."""
    columns = ("limit_m", "limit_source", "rule_m", "rule")
    return replace(margins, **{name: getattr(margins, name)[numbers] for name in columns})


def _local(
    base: Checked,
    pieces: tuple[TrackPiece, ...],
    margins: Margins,
    told: tuple[Bools, Bools],
    fresh: Passing,
    looked_at: tuple[Ints, TrackLines],
) -> Clearances:
    """Return what the moved pieces clear: all rows of the dangers that they are near to count."""
    (moved, again), (numbers, track) = told, looked_at
    hazards = np.unique(fresh.hazard[moved[fresh.piece]])
    near = fresh.rows(np.flatnonzero(np.isin(fresh.hazard, hazards)))
    others = base.rows_of(hazards)
    others = others.rows(np.flatnonzero(~again[others.piece]))
    both = joined([near, others])
    if not bool(np.all(np.isin(both.piece, numbers))):
        # A danger that reaches far beyond what was looked at: an area about most of the track.
        numbers = np.union1d(numbers, both.piece)
        track = track_lines(tuple(pieces[one] for one in numbers.tolist()))
    rows = both.rows(np.lexsort((both.hazard, both.piece)))
    found = Measured(
        track=track,
        margins=_of_pieces(margins, numbers),
        passing=replace(rows, piece=np.searchsorted(numbers, rows.piece)),
    )
    return _of_moved(judged_whole(found, base.hazards), pieces, moved)


def _of_moved(found: Clearances, pieces: tuple[TrackPiece, ...], moved: Bools) -> Clearances:
    """Return of clearances what is about the moved pieces."""
    wanted = {one.piece for one in compress(pieces, moved)}
    return replace(
        found,
        rows=_rows_about(found.rows, wanted),
        infringements=_told_of(wanted, found.infringements),
        least=_told_of(wanted, found.least),
        unmeasured=tuple(one for one in found.unmeasured if one in wanted),
        near=_told_of(wanted, found.near),
        near_left_out={k: v for k, v in found.near_left_out.items() if k in wanted},
        sides=_told_of(wanted, found.sides),
    )


def _told_of(wanted: set[Piece], told: Sequence[_Told]) -> WhenAsked[_Told]:
    """Return what is told of some pieces."""
    return WhenAsked(lambda: tuple(one for one in told if one.piece in wanted))


def _rows_about(rows: ClearanceRows, wanted: set[Piece]) -> ClearanceRows:
    """Return the rows of dangers to which one of some pieces is nearest, or the one that limits."""
    ours = np.array([one in wanted for one in rows.pieces] + [False], dtype=np.bool_)
    kept = np.flatnonzero(ours[rows.piece] | ours[rows.limit_piece])
    columns = [one.name for one in fields(ClearanceRows) if one.name not in ("ids", "pieces")]
    return replace(rows, **{name: getattr(rows, name)[kept] for name in columns})
