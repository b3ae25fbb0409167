"""Which pieces and edges may matter, told from bounds on their distance before any exact look.

An exact look at a piece and an edge costs a hundred times what a bound does, and of the dangers
about a track few are nearest to, or inside the limit of, more than one piece.
"""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, Table
from wheelover.core.clearance.matter_loop import least_left_loop, matter_loop
from wheelover.core.clearance.passing import Passing

_ALIKE_M = 1e-3
"""Rows as near as this count as equal: which of them is told is settled later."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgePairs:
    """Pairs of a line of the track and a stretch of an edge, in columns of shape (m,).

    ``line`` numbers the stretches of legs, or the arcs; ``piece`` the pieces of the track.
    ``least_m`` and ``most_m`` bound the distance.
    """

    line: Ints
    piece: Ints
    edge: Ints
    least_m: Floats
    most_m: Floats

    def rows(self, which: Ints | Bools | slice) -> "EdgePairs":
        """Return the pairs of the given numbers."""
        return EdgePairs(
            line=self.line[which],
            piece=self.piece[which],
            edge=self.edge[which],
            least_m=self.least_m[which],
            most_m=self.most_m[which],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed:
    """What is asked around dangers, so that it can be told which pairs matter.

    ``limit_m`` of shape (pieces, k) is what each piece asks, ``column`` which of the k counts for
    each danger, ``own_m`` the limit of a danger itself, nan for none, ``unsure_m`` how uncertain
    its position is; of these the latter three have shape (n,).
    """

    limit_m: Table
    column: Ints
    own_m: Floats
    unsure_m: Floats

    def within_m(self, piece: Ints, hazard: Ints) -> Floats:
        """Return within what distance of a piece each danger is inside its limit."""
        own_m = self.own_m[hazard]
        asked_m = np.where(np.isnan(own_m), self.limit_m[piece, self.column[hazard]], own_m)
        return np.asarray(asked_m + self.unsure_m[hazard])


def least_left_m(passing: Passing, within_m: Floats, least_m: Floats) -> Floats:
    """Return the least that any danger leaves over its limit on each piece, infinite for none.

    Parameters
    ----------
    passing : Passing
        Rows.
    within_m : ndarray
        Of them, and maybe of more behind them, within what distance each is inside its limit.
    least_m : ndarray, shape (pieces,)
        What is known of it before; lowered in place and returned.
    """
    distance_m = np.ascontiguousarray(passing.distance_m)
    piece = np.ascontiguousarray(passing.piece)
    least_left_loop(piece, distance_m, within_m, piece.size, least_m)
    return least_m


def that_matter(passing: Passing, within_m: Floats, least_m: Floats) -> Ints:
    """Return the rows that tell the nearest piece of a danger, a limit, or the least margin.

    Which those are hangs on the distances alone, not on what else was measured on the way: a track
    measured in parts has the same.

    Parameters
    ----------
    passing : Passing
        Among them all rows of their dangers that may matter, each danger once for each piece.
    within_m : ndarray, shape (m,)
        Within what distance each is inside its limit.
    least_m : ndarray, shape (pieces,)
        The least that any danger leaves over its limit on each piece.

    Returns
    -------
    ndarray
        Their numbers, ascending.
    """
    hazard, count = np.ascontiguousarray(passing.hazard), passing.hazard.size
    # No two of these numbers are the same: they sort fast.
    order = np.sort(hazard * count + np.arange(count)) % max(count, 1)
    matters, kept = np.empty(count, dtype=np.bool_), np.empty(count, dtype=np.int64)
    many = matter_loop(
        order, np.ascontiguousarray(passing.piece), hazard,
        np.ascontiguousarray(passing.distance_m), within_m, least_m, _ALIKE_M, matters, kept,
    )  # fmt: skip
    return kept[:many]


class Bounds:
    """The least bounds so far of each danger and each piece, lowered by every portion of pairs."""

    def __init__(self, needed: Needed, hazard: Ints, pieces: int) -> None:
        self._needed, self._hazard = needed, hazard
        self._margin_m = np.full(pieces, np.inf)
        # Of a million dangers few are near: those met so far, ascending, with their bounds.
        self._met: Ints = np.empty(0, dtype=np.int64)
        self._nearest_m = np.empty(0)

    def lower(self, pairs: EdgePairs) -> None:
        """Take the bounds of some more pairs."""
        hazard = self._hazard[pairs.edge]
        met = np.union1d(self._met, hazard)
        nearest_m = np.full(met.size, np.inf)
        nearest_m[np.searchsorted(met, self._met)] = self._nearest_m
        np.minimum.at(nearest_m, np.searchsorted(met, hazard), pairs.most_m)
        self._met, self._nearest_m = met, nearest_m
        left_m = pairs.most_m - self._needed.within_m(pairs.piece, hazard)
        np.minimum.at(self._margin_m, pairs.piece, left_m)

    def may_matter(self, pairs: EdgePairs) -> Bools:
        """Return which pairs that were taken may tell the nearest piece, a limit or a margin."""
        hazard = self._hazard[pairs.edge]
        within_m = self._needed.within_m(pairs.piece, hazard)
        least_left_m = np.maximum(self._margin_m[pairs.piece], 0.0)
        nearest_m = self._nearest_m[np.searchsorted(self._met, hazard)]
        return np.asarray(pairs.least_m <= np.maximum(nearest_m, within_m + least_left_m))
