"""The response run for many ships at once: a column for each ship and manoeuvre.

The same model as ``model.py`` [Nomoto1957]_ [Norrbin1963]_ [Extensions]_, in ship lengths and in
the time in which she sails one at her approach speed. A fit asks for hundreds of manoeuvres of
ships that differ a little; here they run side by side as numpy columns. Helm is to starboard.
"""

import math
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Bools, Floats, Ints, Table

FINE_STEP, QUICK_STEP = 0.2, 0.5
"""Shares of the shortest time in the model that a step may be: errors below 1e-4 and 3e-3 lengths
(tests/core/test_fit_columns.py)."""

_MOST_SHARES = 300.0
"""A run ends after so many of the shortest times in the model, whatever its steps are."""

_SAME_SHARE = 1e-10
_LEAST_SPEED_RATIO = 0.02
HEADING, RATE, SPEED, DRIFT, AHEAD, STARBOARD = range(6)
GAIN, LAG, CUBIC, RACE, RECOVERY, LOSS, DRIFT_GAIN, DRIFT_LAG = range(8)


@dataclass(frozen=True, slots=True, kw_only=True)
class Helm:
    """The orders of each column, shape (m,).

    The rudder is put over at the start. Where ``switch_rad`` is finite it is put to the other side
    when the heading has changed by so much to either side, and the column ends at the last of
    ``swing_count`` peaks; elsewhere it ends at the heading ``until_rad``. A rudder runs
    ``run_ratio`` radians in a length sailed at the approach speed, after ``delay_lengths``.
    """

    rudder_rad: Floats
    switch_rad: Floats
    until_rad: Floats
    swing_count: Ints
    run_ratio: Floats
    delay_lengths: Floats

    def each_for(self, ship_count: int) -> "Helm":
        """Return every manoeuvre for each of so many ships: those of one manoeuvre together."""
        return Helm(**{name: np.repeat(getattr(self, name), ship_count) for name in self.__slots__})


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """What was run: ``state`` and ``slope`` of shape (k, 6, m), ``time_lengths`` (k, m).

    ``order_index`` and ``peak_index`` of shape (swings, m) say at which row an opposite order was
    given, and after which row the heading stopped growing; -1 where that did not come.
    """

    time_lengths: Floats
    state: Table
    slope: Table
    order_index: Ints
    peak_index: Ints
    done: Bools


def slopes(ships: Table, state: Table, rudder_rad: Floats) -> Table:
    """Return how fast everything changes, shape (6, m)."""
    rate, speed, drift = state[RATE], np.maximum(state[SPEED], _LEAST_SPEED_RATIO), state[DRIFT]
    turning = rate / speed
    way = state[HEADING] - drift
    out = np.empty_like(state)
    helm = ships[GAIN] * rudder_rad * np.exp(-ships[RACE] * np.log(speed))
    out[HEADING] = rate
    out[RATE] = (
        speed * speed / ships[LAG] * (helm - turning * (1.0 + ships[CUBIC] * turning * turning))
    )
    out[SPEED] = ships[RECOVERY] * (1.0 - speed * speed) - ships[LOSS] * rate * rate
    out[DRIFT] = (ships[DRIFT_GAIN] * rate - speed * drift) / ships[DRIFT_LAG]
    out[AHEAD] = speed * np.cos(way)
    out[STARBOARD] = speed * np.sin(way)
    return out


def step(
    ships: Table,
    state: Table,
    first: Table,
    rudder_rad: Floats,
    run_ratio: Floats,
    by_lengths: Floats,
) -> Table:
    """Return the state after one step of fourth order [Hairer]_, the rudder running evenly."""
    half = 0.5 * by_lengths
    middle = rudder_rad + run_ratio * half
    second = slopes(ships, state + half * first, middle)
    third = slopes(ships, state + half * second, middle)
    last = slopes(ships, state + by_lengths * third, rudder_rad + run_ratio * by_lengths)
    return state + by_lengths / 6.0 * (first + 2.0 * (second + third) + last)


def start(count: int) -> Table:
    """Return so many ships steady on their course at the approach speed."""
    state = np.zeros((6, count))
    state[SPEED] = 1.0
    return state


def step_lengths(ships: Table, most_rudder_rad: Floats, share_ratio: float) -> Floats:
    """Return the step in lengths sailed: a share of the shortest time in the model."""
    helm = ships[GAIN] * most_rudder_rad
    turning = np.minimum(helm, np.cbrt(helm / ships[CUBIC]))
    fastest = np.maximum.reduce(
        [
            (1.0 + 3.0 * ships[CUBIC] * turning**2) / ships[LAG],
            2.0 * turning,
            1.0 / ships[DRIFT_LAG],
            2.0 * ships[RECOVERY] + ships[LOSS] * turning**2,
            np.ones_like(helm),
        ]
    )
    return np.asarray(share_ratio / fastest)


def hermite(share: Table, low: Table, low_slope: Table, high: Table, high_slope: Table) -> Table:
    """Return values within a step by the cubic with these ends [Hermite]_; slopes per step."""
    square = share * share
    cube = square * share
    return (
        low * (2.0 * cube - 3.0 * square + 1.0)
        + low_slope * (cube - 2.0 * square + share)
        + high * (3.0 * square - 2.0 * cube)
        + high_slope * (cube - square)
    )


def share_at(low: Table, low_slope: Table, high: Table, high_slope: Table) -> Floats:
    """Return where within a step the cubic with these ends is zero; its ends have unlike signs."""
    under, over = np.zeros_like(low), np.ones_like(low)
    falling = low > high
    share = np.clip(low / np.where(low == high, 1.0, low - high), 0.0, 1.0)
    for _ in range(30):
        value = hermite(share, low, low_slope, high, high_slope)
        below = (value < 0.0) != falling
        under, over = np.where(below, share, under), np.where(below, over, share)
        gap = _cubic_slope(share, low, low_slope, high, high_slope)
        newton = share - value / np.where(gap == 0.0, 1.0, gap)
        inside = (newton > under) & (newton < over) & (gap != 0.0)
        new = np.where(inside, newton, 0.5 * (under + over))
        moved, share = np.abs(new - share) > _SAME_SHARE, new
        if not moved.any():
            break
    return share


def _cubic_slope(
    share: Table, low: Table, low_slope: Table, high: Table, high_slope: Table
) -> Table:
    """Return the slope of the cubic with these ends, per step."""
    square = share * share
    return (
        6.0 * (low - high) * (square - share)
        + low_slope * (3.0 * square - 4.0 * share + 1.0)
        + high_slope * (3.0 * square - 2.0 * share)
    )


class _Columns:
    """Columns on their way: what each ship does now, and what her rudder will do."""

    def __init__(self, ships: Table, helm: Helm, share_ratio: float) -> None:
        count = helm.rudder_rad.size
        self.ships, self.helm = ships, helm
        self.state, self.time = start(count), np.zeros(count)
        self.slope = slopes(ships, self.state, np.zeros(count))
        self.rudder, self.target = np.zeros(count), np.zeros(count)
        self.ordered, self.order_time = helm.rudder_rad.copy(), helm.delay_lengths.copy()
        self.side, self.swings = np.ones(count), np.zeros(count, dtype=np.int64)
        self.checking = np.zeros(count, dtype=np.bool_)
        self.zig = np.isfinite(helm.switch_rad)
        self.done = np.zeros(count, dtype=np.bool_)
        self.step = step_lengths(ships, np.abs(helm.rudder_rad), share_ratio)
        most = int(helm.swing_count.max(initial=0))
        self.order_index = np.full((most, count), -1, dtype=np.int64)
        self.peak_index = np.full((most, count), -1, dtype=np.int64)

    def move(self, row_index: int) -> None:
        """Move every column that is not done by one step of its own."""
        due = self.order_time <= self.time
        self.target = np.where(due, self.ordered, self.target)
        self.order_time = np.where(due, math.inf, self.order_time)
        gap = self.target - self.rudder
        run = np.where(gap == 0.0, 0.0, np.copysign(self.helm.run_ratio, gap))
        left = np.where(gap == 0.0, math.inf, np.abs(gap) / self.helm.run_ratio)
        by = np.minimum(self.step / np.maximum(self.state[SPEED], _LEAST_SPEED_RATIO), left)
        by = np.where(self.done, 0.0, np.minimum(by, self.order_time - self.time))
        new = step(self.ships, self.state, self.slope, self.rudder, run, by)
        switch = self._switching(new)
        if switch.any():
            by = np.where(switch, self._until_switch(new, self.rudder + run * by, by), by)
            new = step(self.ships, self.state, self.slope, self.rudder, run, by)
        arrived = by >= left
        self.rudder = np.where(arrived, self.target, self.rudder + run * by)
        before = self.side * self.state[RATE]
        self.state, self.time = new, self.time + by
        self.slope = slopes(self.ships, new, self.rudder)
        self._swung(before, row_index)
        self._order(switch, row_index)

    def _switching(self, new: Table) -> Bools:
        """Return which columns reach within a step the heading of the opposite order."""
        beyond = self.side * new[HEADING] >= self.helm.switch_rad
        return np.asarray(self.zig & ~self.checking & ~self.done & beyond)

    def _until_switch(self, new: Table, rudder_rad: Floats, by_lengths: Floats) -> Floats:
        """Return how far into the step that heading is reached; as it is for other columns."""
        ends = slopes(self.ships, new, rudder_rad)
        wanted = self.side * self.helm.switch_rad
        share = share_at(
            self.state[HEADING] - wanted,
            self.slope[HEADING] * by_lengths,
            new[HEADING] - wanted,
            ends[HEADING] * by_lengths,
        )
        return share * by_lengths

    def _swung(self, before_ratio: Floats, row_index: int) -> None:
        """Note the columns whose heading has stopped growing, and those that are done."""
        peak = self.checking & ~self.done & (before_ratio > 0.0)
        peak &= self.side * self.state[RATE] <= 0.0
        if peak.any():
            self.peak_index[self.swings[peak], np.flatnonzero(peak)] = row_index
            self.swings = self.swings + peak
            self.side = np.where(peak, -self.side, self.side)
            self.checking = self.checking & ~peak
        round_off = self.state[HEADING] >= self.helm.until_rad
        self.done = np.where(self.zig, self.swings >= self.helm.swing_count, round_off)
        # A ship that runs away is not followed: what is read off her is nan.
        self.done |= ~np.isfinite(self.state).all(axis=0)

    def _order(self, switch: Bools, row_index: int) -> None:
        """Give the opposite order to some columns."""
        if not switch.any():
            return
        self.order_index[self.swings[switch], np.flatnonzero(switch)] = row_index + 1
        self.checking = self.checking | switch
        self.ordered = np.where(switch, -self.side * self.helm.rudder_rad, self.ordered)
        self.order_time = np.where(switch, self.time + self.helm.delay_lengths, self.order_time)


def run_columns(ships: Table, helm: Helm, share_ratio: float = FINE_STEP) -> Runs:
    """Return the manoeuvres of every column.

    Parameters
    ----------
    ships : ndarray, shape (8, m)
        K', T', a', q, ku, cr, kb and Tb' of each column.
    helm : Helm
        The orders of each column.
    share_ratio : float
        The length of a step, as a share of the shortest time in the model.

    Returns
    -------
    Runs
        ``done`` is false for a column that did not come to its end.

    Notes
    -----
    Steps end wherever a rudder starts or stops to move, so that the order is kept. Places are
    then within 1e-4 lengths of ``run_orders`` (tests/core/test_fit_columns.py).
    """
    columns = _Columns(ships, helm, share_ratio)
    times, states, ends = [columns.time], [columns.state], [columns.slope]
    while not columns.done.all() and len(times) < _MOST_SHARES / share_ratio:
        columns.move(len(times) - 1)
        times.append(columns.time)
        states.append(columns.state)
        ends.append(columns.slope)
    return Runs(
        time_lengths=np.array(times),
        state=np.array(states),
        slope=np.array(ends),
        order_index=columns.order_index,
        peak_index=columns.peak_index,
        done=columns.done,
    )
