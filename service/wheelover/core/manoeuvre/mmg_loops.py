"""The compiled loops that run helm orders through the force model.

What they take and give are tables of numbers; core/manoeuvre/mmg.py gives them their names. A state
is heading, surge, sway, rate of turn, and place ahead and to starboard; all in metres, seconds and
radians. Forces are over half the density of the water.
"""

import math

import numpy as np

from wheelover.core.arrays import Floats, Ints, Table
from wheelover.core.compiled import compiled, copy_over, inlined
from wheelover.core.manoeuvre.mmg_slopes import slopes_of

RUN_THROUGH, NO_HEADWAY, TOO_LONG = 0, 1, 2

_SAME_S = 1e-12
_SAME_RAD = 1e-13
_THERE_S = 1e-10
_LOOKS = 60


@inlined
def _step(
    ship: Table, state: Table, rudder_rad: float, run_rad_per_s: float, by_s: float, work: Table
) -> None:
    """Put the state after one step of fourth order into the first row of ``work``."""
    after, one, two, three, four, moved, force = work
    half_s = 0.5 * by_s
    middle_rad = rudder_rad + run_rad_per_s * half_s
    slopes_of(ship, state, rudder_rad, force, one)
    for place in range(6):
        moved[place] = state[place] + half_s * one[place]
    slopes_of(ship, moved, middle_rad, force, two)
    for place in range(6):
        moved[place] = state[place] + half_s * two[place]
    slopes_of(ship, moved, middle_rad, force, three)
    for place in range(6):
        moved[place] = state[place] + by_s * three[place]
    slopes_of(ship, moved, rudder_rad + run_rad_per_s * by_s, force, four)
    for place in range(6):
        after[place] = state[place] + by_s / 6.0 * (
            one[place] + 2.0 * two[place] + 2.0 * three[place] + four[place]
        )


@inlined
def _run_rad_per_s(helm: Table) -> float:
    """Return the signed rate of the rudder; ``helm`` is its angle, where it is sent, its rate."""
    if helm[0] == helm[1]:
        return 0.0
    return float(math.copysign(helm[2], helm[1] - helm[0]))


@inlined
def _left_s(helm: Table) -> float:
    """Return the time until the rudder is where it is sent, infinite when it is there."""
    return math.inf if helm[0] == helm[1] else abs(helm[1] - helm[0]) / helm[2]


@inlined
def _move_rudder(helm: Table, by_s: float) -> None:
    """Move the rudder on, not beyond where it is sent."""
    if by_s >= _left_s(helm):
        helm[0] = helm[1]
    else:
        helm[0] += _run_rad_per_s(helm) * by_s


@inlined
def _settle(orders: Table, due_s: Floats, counts: Ints, state: Table, helm: Table,
            now_s: float, delay_s: float) -> None:  # fmt: skip
    """Give the orders that are due now, and send the rudder where it is due to go.

    ``counts`` holds how many orders are given, and how many the rudder has had.
    """
    while counts[0] < orders.shape[0]:
        by_heading, wanted, _ = orders[counts[0]]
        if by_heading != 0.0:
            due = abs(state[0] - wanted) <= _SAME_RAD
        else:
            due = wanted <= now_s + _SAME_S
        if not due:
            break
        due_s[counts[0]] = now_s + delay_s
        counts[0] += 1
    while counts[1] < counts[0] and due_s[counts[1]] <= now_s + _SAME_S:
        helm[1] = orders[counts[1], 2]
        if math.isinf(helm[2]):
            helm[0] = helm[1]
        counts[1] += 1
    if _left_s(helm) <= _THERE_S:
        # So little that late in a run the clock would not move.
        helm[0] = helm[1]


@inlined
def _next_moment_s(
    orders: Table, due_s: Floats, counts: Ints, helm: Table, now_s: float, latest_s: float
) -> float:
    """Return the next time at which something changes by itself."""
    next_s = min(latest_s, now_s + _left_s(helm))
    if counts[1] < counts[0]:
        next_s = min(next_s, due_s[counts[1]])
    if counts[0] < orders.shape[0] and orders[counts[0], 0] == 0.0:
        next_s = min(next_s, orders[counts[0], 1])
    return max(next_s, now_s + _SAME_S)


@inlined
def _crossing_s(
    ship: Table, state: Table, wanted_rad: float, helm: Table, by_s: float, work: Table
) -> float:
    """Return when within a step a heading is reached, below zero if it is not.

    The first row of ``work`` holds the state after the step. Newton's steps by the rate of turn,
    kept within the bracket.
    """
    before = state[0] - wanted_rad
    after = work[0, 0] - wanted_rad
    if abs(before) <= _SAME_RAD or before * after > 0.0:
        return -1.0
    low_s, high_s, share_s = 0.0, by_s, by_s * before / (before - after)
    for _ in range(_LOOKS):
        _step(ship, state, helm[0], _run_rad_per_s(helm), share_s, work)
        off = work[0, 0] - wanted_rad
        if abs(off) <= 1e-15 or high_s - low_s <= _SAME_S:
            break
        if (off > 0.0) == (before > 0.0):
            low_s = share_s
        else:
            high_s = share_s
        rate = work[0, 3]
        next_s = share_s - off / rate if rate != 0.0 else -1.0
        if not low_s <= next_s <= high_s:
            next_s = 0.5 * (low_s + high_s)
        if next_s == share_s:
            break
        share_s = next_s
    _step(ship, state, helm[0], _run_rad_per_s(helm), share_s, work)
    return float(share_s)


@inlined
def _run_until(
    ship: Table, orders: Table, counts: Ints, due_s: Floats, state: Table, helm: Table,
    now_s: float, until_s: float, delay_s: float, step_s: float, work: Table,
) -> float:  # fmt: skip
    """Run on to a time, or to the heading of the next order if that comes first; return when.

    The time returned is nan when she has lost her headway.
    """
    while_s = until_s - now_s
    count = max(1, math.ceil(while_s / step_s))
    each_s = while_s / count
    watched = counts[0] < orders.shape[0] and orders[counts[0], 0] != 0.0
    for _ in range(count):
        _step(ship, state, helm[0], _run_rad_per_s(helm), each_s, work)
        share_s = -1.0
        if watched:
            share_s = _crossing_s(ship, state, orders[counts[0], 1], helm, each_s, work)
        copy_over(state, work[0])
        if not state[1] > 0.0:
            return math.nan
        if share_s >= 0.0:
            _move_rudder(helm, share_s)
            now_s += share_s
            due_s[counts[0]] = now_s + delay_s
            counts[0] += 1
            return now_s
        _move_rudder(helm, each_s)
        now_s += each_s
    return until_s


@compiled(
    "Tuple((float64[:,::1],int64))(float64[:,::1],float64[:,::1],float64[::1],"
    "float64,float64,float64,float64,int64)"
)
def run_loop(
    ship: Table, orders: Table, times_s: Floats, speed_m_per_s: float, rate_rad_per_s: float,
    delay_s: float, step_s: float, most_count: int,
) -> tuple[Table, int]:  # fmt: skip
    """Return state and rudder at each time, and how the run ended.

    ``orders`` holds whether an order is by heading, its heading or time, and the rudder ordered.
    """
    rows = np.empty((times_s.size, 7))
    work = np.empty((7, 6))
    state = np.array([0.0, speed_m_per_s, 0.0, 0.0, 0.0, 0.0])
    helm = np.array([0.0, 0.0, rate_rad_per_s])
    due_s = np.empty(orders.shape[0])
    counts = np.zeros(2, np.int64)
    now_s = 0.0
    runs = 0
    for row in range(times_s.size):
        _settle(orders, due_s, counts, state, helm, now_s, delay_s)
        while now_s < times_s[row] - _SAME_S:
            until_s = _next_moment_s(orders, due_s, counts, helm, now_s, times_s[row])
            now_s = _run_until(
                ship, orders, counts, due_s, state, helm, now_s, until_s, delay_s, step_s, work
            )
            if math.isnan(now_s):
                return rows, NO_HEADWAY
            runs += 1
            if runs > most_count:
                return rows, TOO_LONG
            _settle(orders, due_s, counts, state, helm, now_s, delay_s)
        copy_over(rows[row], state)
        rows[row, 6] = helm[0]
    return rows, RUN_THROUGH
