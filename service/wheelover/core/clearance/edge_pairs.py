"""Which pieces and edges may matter, told from bounds on their distance before any exact look.

An exact look at a piece and an edge costs a hundred times what a bound does, and of the dangers
about a track few are nearest to, or inside the limit of, more than one piece.
"""

from dataclasses import dataclass, fields

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, Table


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

    def rows(self, which: Ints | Bools) -> "EdgePairs":
        """Return the pairs of the given numbers."""
        return EdgePairs(**{one.name: getattr(self, one.name)[which] for one in fields(self)})


def pairs_together(parts: list[EdgePairs]) -> EdgePairs:
    """Return the pairs of one or several portions behind one another."""
    return EdgePairs(
        **{
            one.name: np.concatenate([getattr(part, one.name) for part in parts])
            for one in fields(EdgePairs)
        }
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
