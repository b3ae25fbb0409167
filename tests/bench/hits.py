"""What every way of measuring clearance returns, and how two answers are compared."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.units import NM_M

SEARCH_M = 2.0 * NM_M
"""Dangers within this distance of the track are asked for."""

_FEW = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Hits:
    """Dangers within the searched distance, in columns of shape (m,), each danger once.

    ``hazard`` numbers the dangers, rising, and ``distance_m`` is the least distance of each from
    the track.
    """

    hazard: Ints
    distance_m: Floats


def least_of_each(hazard: Ints, distance_m: Floats, count: int) -> Hits:
    """Return the least distance of each danger that has one within the searched distance.

    Parameters
    ----------
    hazard : ndarray, shape (m,)
        Numbers of dangers below ``count``, in any order and repeated.
    distance_m : ndarray, shape (m,)
        Distances, metres.
    count : int
        How many dangers there are.
    """
    if hazard.size < count // _FEW:
        order = np.argsort(hazard)
        hazard = hazard[order]
        first = np.flatnonzero(np.append(True, np.diff(hazard) != 0)[: order.size])
        least_m = np.minimum.reduceat(distance_m[order], first) if first.size else np.empty(0)
        near = least_m <= SEARCH_M
        return Hits(hazard=hazard[first[near]], distance_m=least_m[near])
    least_m = np.full(count, np.inf)
    np.minimum.at(least_m, hazard, distance_m)
    found = np.flatnonzero(least_m <= SEARCH_M)
    return Hits(hazard=found, distance_m=least_m[found])


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """What two answers to one question do not agree on.

    ``only_ours`` and ``only_theirs`` number the dangers that one of them alone has, with the
    distance it gives. ``hazard`` numbers those that both have, the worst difference first.
    """

    only_ours: Hits
    only_theirs: Hits
    hazard: Ints
    ours_m: Floats
    theirs_m: Floats

    @property
    def worst_m(self) -> float:
        """Return the largest difference of distance, zero where no danger is common."""
        return float(np.max(np.abs(self.ours_m - self.theirs_m), initial=0.0))


def difference(ours: Hits, theirs: Hits) -> Difference:
    """Return what two answers do not agree on, danger by danger."""
    hazard, in_ours, in_theirs = np.intersect1d(
        ours.hazard, theirs.hazard, assume_unique=True, return_indices=True
    )
    ours_m, theirs_m = ours.distance_m[in_ours], theirs.distance_m[in_theirs]
    order = np.argsort(-np.abs(ours_m - theirs_m), kind="stable")
    return Difference(
        only_ours=_without(ours, in_ours),
        only_theirs=_without(theirs, in_theirs),
        hazard=hazard[order],
        ours_m=ours_m[order],
        theirs_m=theirs_m[order],
    )


def _without(hits: Hits, common: Ints) -> Hits:
    """Return the hits whose rows are not common."""
    rest = np.ones(hits.hazard.size, dtype=np.bool_)
    rest[common] = False
    return Hits(hazard=hits.hazard[rest], distance_m=hits.distance_m[rest])
