"""Run helm orders: where the ship goes, from steady on her course."""

import math
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import brentq

from wheelover.core.arrays import require_finite
from wheelover.core.manoeuvre.ground import motion_over_ground, require_in_sequence
from wheelover.core.manoeuvre.model import ShipModel, State, step, steps_in, within_numbers
from wheelover.core.manoeuvre.rudder import Rudder, amidships
from wheelover.core.types.manoeuvre import Current, HelmOrder, Motion

_SAME_S = 1e-12
_SAME_RAD = 1e-13


@dataclass(slots=True)
class _Run:
    """A run on its way: what she does, what is ordered, and what the rudder will do."""

    model: ShipModel
    state: State
    rudder: Rudder
    waiting: deque[HelmOrder]
    delay_s: float
    now_s: float = 0.0
    to_come: deque[tuple[float, float]] = field(default_factory=deque)


def run_orders(
    model: ShipModel,
    orders: tuple[HelmOrder, ...],
    times_s: list[float],
    *,
    heading_deg: float,
    rudder_rate_deg_per_s: float | None = None,
    helm_delay_s: float = 0.0,
    current: Current | None = None,
) -> Motion:
    """Return the motion at the wanted times.

    Parameters
    ----------
    model : ShipModel
        The ship at her approach speed.
    orders : tuple of HelmOrder
        In their sequence: one is given when its moment has come and all before it are given.
    times_s : list of float
        When her motion is wanted: from zero on, growing.
    heading_deg : float
        Her heading at the start, on which she is steady with the rudder amidships.
    rudder_rate_deg_per_s : float or None
        Without it the rudder needs no time.
    helm_delay_s : float
        From an order until the rudder starts to move.
    current : Current or None
        It carries ship and water alike.

    Raises
    ------
    InvalidInput
        For an order whose time is before that of the one before it, naming it.
    OutOfDomain
        For a run of too many steps.

    Notes
    -----
    Fixed steps of fourth order that end wherever the rudder starts or stops to move, so that the
    order is kept [Hairer]_. Error below 1e-4 m and 1e-6 degrees (tests/core/test_manoeuvre.py).
    """
    require_in_sequence(orders)
    steps_in(model, times_s[-1])
    run = _Run(
        model=model,
        state=model.start,
        rudder=amidships(rudder_rate_deg_per_s),
        waiting=deque(orders),
        delay_s=helm_delay_s,
    )
    with within_numbers():
        rows = [_row(run) for _ in _reach_each(run, times_s)]
    require_finite("the motion of the ship", rows)
    heading, rate, speed, _, ahead, starboard, rudder = np.array(rows).T
    return motion_over_ground(
        times_s=np.array(times_s),
        heading_change_rad=heading,
        rate_rad_per_s=rate,
        speed_m_per_s=speed,
        ahead_m=ahead,
        starboard_m=starboard,
        rudder_rad=rudder,
        heading_deg=heading_deg,
        current=current or Current(),
    )


def _reach_each(run: _Run, times_s: list[float]) -> Iterator[None]:
    """Run on to each of the wanted times."""
    for time_s in times_s:
        _settle(run)
        while run.now_s < time_s - _SAME_S:
            moment_s = min(time_s, *_next_moments(run))
            _run_until(run, max(moment_s, run.now_s + _SAME_S))
            _settle(run)
        yield


def _settle(run: _Run) -> None:
    """Give the orders that are due now, and send the rudder where it is due to go."""
    _give_orders(run)
    _start_rudder(run)


def _give_orders(run: _Run) -> None:
    """Give every order whose time has come."""
    while run.waiting:
        order = run.waiting[0]
        if order.at_s is not None:
            due = order.at_s <= run.now_s + _SAME_S
        else:
            wanted = math.radians(order.at_heading_change_deg or 0.0)
            due = abs(run.state.heading_rad - wanted) <= _SAME_RAD
        if not due:
            return
        _give(run, run.waiting.popleft())


def _give(run: _Run, order: HelmOrder) -> None:
    """Give an order: the rudder will start to move when the delay has gone by."""
    run.to_come.append((run.now_s + run.delay_s, math.radians(order.rudder_deg)))


def _start_rudder(run: _Run) -> None:
    """Send the rudder where it was last ordered, as far as the delay has gone by."""
    while run.to_come and run.to_come[0][0] <= run.now_s + _SAME_S:
        run.rudder = run.rudder.to(run.to_come.popleft()[1])


def _next_moments(run: _Run) -> Iterator[float]:
    """Yield the next times at which something changes by itself."""
    yield run.now_s + run.rudder.left_s
    if run.to_come:
        yield run.to_come[0][0]
    if run.waiting and run.waiting[0].at_s is not None:
        yield run.waiting[0].at_s


def _run_until(run: _Run, until_s: float) -> None:
    """Run on to a time, or to the heading at which the next order is given if that comes first."""
    while_s = until_s - run.now_s
    if while_s <= 0.0:
        return
    count = steps_in(run.model, while_s)
    each_s = while_s / count
    for _ in range(count):
        before, rudder = run.state, run.rudder
        after = step(run.model, before, rudder.angle_rad, rudder.run_rad_per_s, each_s)
        share_s = _crossing_s(run, before, after, each_s)
        if share_s is not None:
            run.state = step(run.model, before, rudder.angle_rad, rudder.run_rad_per_s, share_s)
            run.rudder, run.now_s = rudder.after(share_s), run.now_s + share_s
            _give(run, run.waiting.popleft())
            return
        run.state, run.rudder, run.now_s = after, rudder.after(each_s), run.now_s + each_s
    run.now_s = until_s


def _crossing_s(run: _Run, before: State, after: State, each_s: float) -> float | None:
    """Return when within a step the heading of the next order is reached, None if it is not."""
    if not run.waiting or run.waiting[0].at_heading_change_deg is None:
        return None
    wanted = math.radians(run.waiting[0].at_heading_change_deg)
    low, high = before.heading_rad - wanted, after.heading_rad - wanted
    if abs(low) <= _SAME_RAD or low * high > 0.0:
        return None
    rudder = run.rudder

    def off(share_s: float) -> float:
        moved = step(run.model, before, rudder.angle_rad, rudder.run_rad_per_s, share_s)
        return moved.heading_rad - wanted

    return float(brentq(off, 0.0, each_s, xtol=1e-12, rtol=1e-15))


def _row(run: _Run) -> tuple[float, ...]:
    """Return what is kept of a moment."""
    return (*run.state, run.rudder.angle_rad)
