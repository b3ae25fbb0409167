"""The compiled loop that finds the nearest danger inside each side of each corridor."""

import math

from wheelover.core.arrays import Bools, Floats, Ints, Table
from wheelover.core.compiled import compiled


@compiled(
    "int64(int64[::1],int64[::1],int64[::1],bool_[:,::1],float64[::1],float64[::1],float64[:,::1],"
    "float64[:,::1],int64[:,::1],int64[:,::1])"
)
def corridors_loop(
    order: Ints, piece: Ints, hazard: Ints, beside: Bools, clearance_m: Floats, margin_m: Floats,
    limits_m: Table, left_m: Table, found: Ints, others: Ints,
) -> int:  # fmt: skip
    """Write what is nearest inside each limit, and inside its margin; return how many are as near.

    Parameters
    ----------
    order : ndarray, shape (n,)
        Rows by leg and danger.
    piece, hazard, clearance_m, margin_m : ndarray, shape (n,)
        Of each row the leg, the danger, what is left of the distance, and what must be left over
        the limit.
    beside : ndarray of bool, shape (2, n)
        Whether each counts on either side.
    limits_m : ndarray, shape (2, legs)
        The limit of each side, nan for none.
    left_m : ndarray, shape (2, n)
        By what rows inside a limit, and inside a margin, are told apart.
    found : ndarray, shape (3, 4 * legs)
        Takes of each leg and side, inside the limit and inside the margin, the nearest row, the
        number of dangers, and the last of them. It comes in as -1, 0 and -1.
    others : ndarray, shape (2, 2 * n)
        Takes the group and the row of dangers as near as those found before.
    """
    count = 0
    for place in range(order.size):
        row = order[place]
        for side in range(2):
            limit_m = limits_m[side, piece[row]]
            if not beside[side, row] or math.isnan(limit_m):
                continue
            if clearance_m[row] > limit_m + margin_m[row]:
                continue
            within = 1 if clearance_m[row] > limit_m else 0
            group = (piece[row] * 2 + side) * 2 + within
            if found[2, group] != hazard[row]:
                found[1, group] += 1
                found[2, group] = hazard[row]
            known = found[0, group]
            if known < 0 or left_m[within, row] < left_m[within, known]:
                found[0, group] = row
            elif left_m[within, row] == left_m[within, known] and hazard[row] != hazard[known]:
                others[0, count], others[1, count] = group, row
                count += 1
    return count
