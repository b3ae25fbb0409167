"""What is as near as another is told in the order of ids, whatever order the dangers came in."""

from collections.abc import Sequence

import numpy as np

from wheelover.core.arrays import Bools, Ints


def settle(rows: Ints, equal: Bools, hazard: Ints, ids: Sequence[str]) -> None:
    """Put rows that are equal in the order of the ids of their dangers.

    Parameters
    ----------
    rows : ndarray, shape (n,)
        Rows in their order, which is changed.
    equal : ndarray of bool, shape (n,)
        Whether each row is equal to the one before it; the first is equal to none.
    hazard : ndarray
        The danger of every row there is.
    ids : sequence of str
        Of the dangers.
    """
    spans: list[list[int]] = []
    for place in np.flatnonzero(equal).tolist():
        if spans and spans[-1][1] == place:
            spans[-1][1] += 1
        else:
            spans.append([place - 1, place + 1])
    for start, stop in spans:
        group = rows[start:stop].tolist()
        names = [ids[one] for one in hazard[group].tolist()]
        rows[start:stop] = [row for _, row in sorted(zip(names, group, strict=True))]
