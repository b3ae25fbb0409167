"""Run helm orders: where the ship goes, from steady on her course."""

import math
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from wheelover.core.arrays import Floats, Table, require_finite
from wheelover.core.manoeuvre.ground import motion_over_ground, require_in_sequence
from wheelover.core.manoeuvre.model import ShipModel, run_away, ship_row, too_long
from wheelover.core.manoeuvre.rudder import Rudder, amidships
from wheelover.core.manoeuvre.sail_loops import (
    MOST_STEPS,
    heading_reached,
    moments_loop,
    whole_piece,
)
from wheelover.core.manoeuvre.series import (
    AHEAD,
    HEADING,
    RATE,
    SPEED,
    STARBOARD,
    STATE_COUNT,
    series_table,
    steady_state,
)
from wheelover.core.types.manoeuvre import Current, HelmOrder, Motion

_SAME_S = 1e-12
_SAME_RAD = 1e-13


@dataclass(slots=True)
class _Run:
    """A run on its way: what she does, what is ordered, and what the rudder will do.

    ``state`` and ``series`` are in lengths and approach speeds (core/manoeuvre/series.py).
    """

    model: ShipModel
    ship: Table
    state: Table
    series: Table
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
    Series in time that end wherever the rudder starts or stops to move, so that they hold. Error
    below 1e-5 m and 1e-5 degrees (tests/core/test_manoeuvre.py).
    """
    require_in_sequence(orders)
    if not times_s[-1] / model.step_s < MOST_STEPS:
        raise too_long(model.step_s, times_s[-1])
    run = _Run(
        model=model,
        ship=ship_row(model),
        state=steady_state(),
        series=series_table(),
        rudder=amidships(rudder_rate_deg_per_s),
        waiting=deque(orders),
        delay_s=helm_delay_s,
    )
    rows = _rows(run, np.array(times_s))
    require_finite("the motion of the ship", rows)
    return motion_over_ground(
        times_s=np.array(times_s),
        heading_change_rad=rows[:, HEADING],
        rate_rad_per_s=rows[:, RATE] / model.length_s,
        speed_m_per_s=rows[:, SPEED] * model.speed_m_per_s,
        ahead_m=rows[:, AHEAD] * model.length_m,
        starboard_m=rows[:, STARBOARD] * model.length_m,
        rudder_rad=rows[:, STATE_COUNT],
        heading_deg=heading_deg,
        current=current or Current(),
    )


def _rows(run: _Run, times_s: Floats) -> Table:
    """Return state and rudder at each of the wanted times, shape (n, 7)."""
    rows = np.empty((times_s.size, STATE_COUNT + 1))
    done = 0
    while True:
        _settle(run)
        while done < times_s.size and times_s[done] <= run.now_s + _SAME_S:
            rows[done] = (*run.state, run.rudder.angle_rad)
            done += 1
        if done == times_s.size:
            return rows
        begun_s, rudder = run.now_s, run.rudder
        _run_on(run, float(times_s[-1]))
        until = done + int(np.searchsorted(times_s[done:], run.now_s - _SAME_S))
        after_s = times_s[done:until] - begun_s
        rows[done:until, :STATE_COUNT] = moments_loop(run.series, after_s / run.model.length_s)
        rows[done:until, STATE_COUNT] = rudder.angle_rad + rudder.run_rad_per_s * after_s
        done = until


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
            due = abs(run.state[HEADING] - wanted) <= _SAME_RAD
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


def _run_on(run: _Run, end_s: float) -> None:
    """Run on for one piece: at most to where something changes or the next order is given."""
    length_s = run.model.length_s
    holds = whole_piece(
        run.ship, run.state, run.rudder.angle_rad, run.rudder.run_rad_per_s * length_s, run.series
    )
    if math.isnan(holds):
        raise run_away()
    moment_s = min(end_s, run.now_s + holds * length_s, *_next_moments(run))
    while_s = max(moment_s - run.now_s, _SAME_S)
    if run.waiting and run.waiting[0].at_heading_change_deg is not None:
        wanted_rad = math.radians(run.waiting[0].at_heading_change_deg)
        reached = heading_reached(run.series, while_s / length_s, wanted_rad, _SAME_RAD)
        if not math.isnan(reached):
            while_s = reached * length_s
            moment_s = run.now_s + while_s
            _move(run, while_s, moment_s)
            _give(run, run.waiting.popleft())
            return
    _move(run, while_s, max(moment_s, run.now_s + _SAME_S))


def _move(run: _Run, while_s: float, until_s: float) -> None:
    """Move state, rudder and time to a moment within the piece."""
    halves = np.array([0.5, 1.0]) * while_s / run.model.length_s
    between, run.state = moments_loop(run.series, halves)
    if not (between[SPEED] > 0.0 and run.state[SPEED] > 0.0):
        raise run_away()
    run.rudder, run.now_s = run.rudder.after(while_s), until_s
