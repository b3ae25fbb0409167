"""Intervals of a line that are forbidden, and what stays free between them."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints

LEAST_GAP_M = 0.1
"""What is free over less than this is not counted as free."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forbidden:
    """Closed intervals, m of them, each with the number of what forbids it."""

    low_m: Floats
    high_m: Floats
    key: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A free interval, and the numbers of what forbids below and above it."""

    low_m: float
    high_m: float
    low_key: int
    high_key: int


def joined(*some: Forbidden) -> Forbidden:
    """Return the intervals of several collections together."""
    return Forbidden(
        low_m=np.concatenate([one.low_m for one in some]),
        high_m=np.concatenate([one.high_m for one in some]),
        key=np.concatenate([one.key for one in some]),
    )


def forbidden(*rows: tuple[float, float, int]) -> Forbidden:
    """Return single intervals with their numbers as a collection."""
    low_m, high_m, key = np.array(rows, np.float64).reshape(-1, 3).T
    return Forbidden(low_m=low_m, high_m=high_m, key=key.astype(np.int64))


def gaps_between(them: Forbidden) -> list[Gap]:
    """Return what is free between forbidden intervals, in ascending order.

    Parameters
    ----------
    them : Forbidden
        The intervals. What lies below the first or above the last is no gap.
    """
    order = np.lexsort((them.key, -them.high_m, them.low_m))
    low_m, high_m, key = them.low_m[order], them.high_m[order], them.key[order]
    reach_m = np.maximum.accumulate(high_m)
    before = np.flatnonzero(low_m[1:] - reach_m[:-1] >= LEAST_GAP_M)
    # The interval that reaches highest of all up to there; of several the first.
    first = np.searchsorted(reach_m, reach_m[before])
    return [
        Gap(
            low_m=float(reach_m[one]),
            high_m=float(low_m[one + 1]),
            low_key=int(key[lowest]),
            high_key=int(key[one + 1]),
        )
        for one, lowest in zip(before.tolist(), first.tolist(), strict=True)
    ]


def tightest_key(them: Forbidden, ends: Forbidden) -> int:
    """Return the number of what alone, between the ends, leaves the least free.

    Parameters
    ----------
    them : Forbidden
        The intervals, at least one.
    ends : Forbidden
        What bounds the line on both sides.
    """

    def left_m(key: int) -> float:
        own = them.key == key
        alone = Forbidden(low_m=them.low_m[own], high_m=them.high_m[own], key=them.key[own])
        return sum(gap.high_m - gap.low_m for gap in gaps_between(joined(alone, ends)))

    keys: list[int] = np.unique(them.key).tolist()
    return min(keys, key=left_m)
