"""What is as near as another is told in the order of ids, whatever order the dangers came in."""

import itertools
from collections.abc import Sequence

import numpy as np

from wheelover.core.arrays import Bools, Ints


def settled(rows: Ints, equal: Bools, hazard: Ints, ids: Sequence[str]) -> Ints:
    """Return rows with those that are equal in the order of the ids of their dangers.

    Parameters
    ----------
    rows : ndarray, shape (n,)
        Rows in their order.
    equal : ndarray of bool, shape (n - 1,)
        Whether each row is equal to the one behind it.
    hazard : ndarray
        The danger of every row there is.
    ids : sequence of str
        Of the dangers.
    """
    if not bool(np.any(equal)):
        return rows
    rows = rows.copy()
    bounds = np.flatnonzero(np.concatenate(([True], ~equal, [True])))
    for start, stop in itertools.pairwise(bounds.tolist()):
        if stop - start > 1:
            rows[start:stop] = sorted(rows[start:stop], key=lambda one: ids[int(hazard[one])])
    return rows
