"""A track of which some pieces were moved, checked again where that can have changed anything.

Which rows of a piece matter hangs on the other pieces near the same dangers. So of a track that is
kept to be checked again all rows are kept, those that do not matter as well: what passes a piece
that was not moved need not be measured again, and which rows matter is told anew from distances.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import compress
from operator import is_
from typing import TypeVar

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.clearance.edge_pairs import Needed, least_left_m, that_matter
from wheelover.core.clearance.index import Surroundings, most_asked_m, surroundings_wide
from wheelover.core.clearance.matter_loop import rows_loop
from wheelover.core.clearance.of_points import TrackLines, track_lines, track_with
from wheelover.core.clearance.of_track import needed_of, passing_each
from wheelover.core.clearance.passing import NO_PASSING, Passing, TrackPiece, joined
from wheelover.core.clearance.whole import Measured, asked_m, judged_whole
from wheelover.core.margins import Margins, margins_of
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import (
    Clearances,
    Infringement,
    Piece,
    PieceLeast,
    PieceNear,
    SideNearest,
)
from wheelover.core.types.when_asked import Once, WhenAsked

_Told = TypeVar("_Told", Infringement, PieceLeast, PieceNear, SideNearest)


class Checked:
    """A track that was checked, kept to check it again when a part of it is moved.

    ``every`` has the row of every piece and every danger within its search distance, in their
    order, ``left_m`` the least left over a limit on each piece, ``numbers`` which is which.
    """

    def __init__(self, pieces: tuple[TrackPiece, ...], hazards: Hazards, limits: Limits) -> None:
        self.pieces, self.hazards, self.limits = pieces, hazards, limits
        self.numbers = {one.piece: number for number, one in enumerate(pieces)}
        self.margins = margins_of([one.asked for one in pieces], limits)
        self.track: TrackLines = track_lines(pieces)
        self.every, self.lost = NO_PASSING, frozenset[int]()
        self.left_m: Floats = np.full(len(pieces), np.inf)
        if hazards.count and pieces:
            self.every, self.lost = passing_each(self.track, self.around)
            least_left_m(self.every, self._within_m(), self.left_m)
        self.index_rows()

    def index_rows(self) -> None:
        """Note where the rows of each danger stand."""
        self._by_hazard = np.argsort(self.every.hazard, kind="stable")
        self._hazard_sorted = self.every.hazard[self._by_hazard]
        self._piece = np.ascontiguousarray(self.every.piece)

    @cached_property
    def around(self) -> Surroundings:
        """Return the dangers ready to be looked for as far as the track asks."""
        return surroundings_wide(self.hazards, self.margins)

    @cached_property
    def needed(self) -> Needed:
        """Return what is asked around them."""
        return needed_of(self.around, asked_m(self.margins))

    def _within_m(self) -> Floats:
        """Return of every row within what distance its danger is inside its limit."""
        return self.needed.within_m(self.every.piece, self.every.hazard)

    @cached_property
    def found(self) -> Measured:
        """Return what was measured."""
        return Measured(
            pieces=self.pieces,
            lines=lambda: self.track,
            margins=self.margins,
            passing=self.every.rows(that_matter(self.every, self._within_m(), self.left_m))
            if self.hazards.count and self.pieces
            else NO_PASSING,
            lost=self.lost,
        )

    @cached_property
    def clearances(self) -> Clearances:
        """Return what was found, judged."""
        return judged_whole(self.found, self.hazards)

    def rows_of(self, hazards: Ints, moved: Bools) -> Ints:
        """Return the numbers of the rows of some dangers on the pieces that were not moved."""
        wanted, rows = np.sort(hazards), np.empty(2 * hazards.size, dtype=np.int64)
        columns = self._hazard_sorted, self._by_hazard, self._piece
        count = rows_loop(wanted, *columns, moved, rows)
        if count > rows.size:
            rows = np.empty(count, dtype=np.int64)
            rows_loop(wanted, *columns, moved, rows)
        return rows[:count]


@dataclass(frozen=True, kw_only=True)
class Rechecked:
    """A track checked again: the whole where it is asked for, and what its moved pieces clear.

    ``moved`` says of each piece whether it is not as it was or was asked about.
    """

    base: Checked
    pieces: tuple[TrackPiece, ...]
    moved: Bools
    fresh: Passing
    margins: Margins
    local: Clearances

    @cached_property
    def clearances(self) -> Clearances:
        """Return what the whole computation returns for the track, to a nanometre or two.

        Where two edges meet, which of them a distance is from may hang on what else was looked at.
        """
        if self.pieces is self.base.pieces:
            return self.base.clearances
        kept = np.flatnonzero(~self.moved[self.base.every.piece])
        found = Measured(
            pieces=self.pieces,
            lines=Once(lambda: track_lines(self.pieces)),
            margins=self.margins,
            passing=_that_matter(
                self.base,
                _surrounded(self.base, self.margins)[1],
                self.moved,
                self.fresh,
                self.base.every.rows(kept),
            ),
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
    moved = _moved(base, pieces, also)
    margins = _margins(base, pieces, moved)
    if margins is None or base.lost or base.hazards.count == 0:
        return _anew(base, pieces, moved)
    numbers = np.flatnonzero(moved)
    own = track_lines(tuple(compress(pieces, moved)))
    around, needed = _surrounded(base, margins)
    fresh, lost = passing_each(own, around)
    if lost:
        return _anew(base, pieces, moved)
    fresh = fresh.with_columns(piece=numbers[fresh.piece])
    others = base.every.rows(base.rows_of(fresh.hazard, moved))
    found = Measured(
        pieces=pieces,
        lines=Once(lambda: track_with(base.track, pieces, own, numbers)),
        margins=margins,
        passing=_that_matter(base, needed, moved, fresh, others),
    )
    ours = Measured(
        pieces=own.pieces,
        lines=lambda: own,
        margins=_of_pieces(margins, numbers) if margins.rules else margins,
        passing=NO_PASSING,
    )
    return Rechecked(
        base=base,
        pieces=pieces,
        moved=moved,
        fresh=fresh,
        margins=margins,
        local=_of_moved(judged_whole(found, base.hazards, ours, about=moved), pieces, moved),
    )


def _moved(base: Checked, new: tuple[TrackPiece, ...], also: Collection[Piece]) -> Bools:
    """Return of the new pieces which are not as they were or asked about.

    All of them where some were added, or where one is a leg that was an arc.
    """
    old = base.pieces
    if len(old) != len(new):
        return np.ones(len(new), dtype=np.bool_)
    moved = ~np.fromiter(map(is_, old, new), np.bool_, len(new))
    for number in np.flatnonzero(moved).tolist():
        moved[number] = old[number] != new[number]
        if (old[number].leg is None) != (new[number].leg is None):
            return np.ones(len(new), dtype=np.bool_)
    for piece in also:
        number = base.numbers.get(piece, -1)
        if number < 0 or new[number].piece != piece:
            return moved | np.array([one.piece in also for one in new], dtype=np.bool_)
        moved[number] = True
    return moved


def _margins(base: Checked, pieces: tuple[TrackPiece, ...], moved: Bools) -> Margins | None:
    """Return what the new pieces ask; None where all must be measured anew."""
    if bool(np.all(moved)):
        return None
    pairs = compress(zip(base.pieces, pieces, strict=True), moved)
    if all(one.asked == other.asked for one, other in pairs):
        return base.margins
    margins = margins_of([one.asked for one in pieces], base.limits)
    same = np.array_equal(most_asked_m(margins), most_asked_m(base.margins))
    return margins if same else None


def _anew(base: Checked, pieces: tuple[TrackPiece, ...], moved: Bools) -> Rechecked:
    """Return the whole track checked anew."""
    again = Checked(pieces, base.hazards, base.limits)
    return Rechecked(
        base=again,
        pieces=pieces,
        moved=moved,
        fresh=NO_PASSING,
        margins=again.margins,
        local=_of_moved(judged_whole(again.found, again.hazards, about=moved), pieces, moved),
    )


def _surrounded(base: Checked, margins: Margins) -> tuple[Surroundings, Needed]:
    """Return the dangers ready to be looked for, and what is asked around them."""
    if margins is base.margins:
        return base.around, base.needed
    around = surroundings_wide(base.hazards, margins)
    return around, needed_of(around, asked_m(margins))


def _that_matter(
    base: Checked, needed: Needed, moved: Bools, fresh: Passing, others: Passing
) -> Passing:
    """Return the rows that matter of moved pieces and of others, in order."""
    both = joined([fresh, others])
    within_m = needed.within_m(both.piece, both.hazard)
    left_m = least_left_m(fresh, within_m, np.where(moved, np.inf, base.left_m))
    kept = that_matter(both, within_m, left_m)
    order = np.argsort(both.piece[kept] * base.hazards.count + both.hazard[kept])
    return both.rows(kept[order])


def _of_pieces(margins: Margins, numbers: Ints) -> Margins:
    """Return what some pieces ask."""
    columns = ("limit_m", "limit_source", "rule_m", "rule")
    return replace(margins, **{name: getattr(margins, name)[numbers] for name in columns})


def _of_moved(found: Clearances, pieces: tuple[TrackPiece, ...], moved: Bools) -> Clearances:
    """Return of clearances what is about the moved pieces; their rows are that already."""
    wanted = {one.piece for one in compress(pieces, moved)}
    return replace(
        found,
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
