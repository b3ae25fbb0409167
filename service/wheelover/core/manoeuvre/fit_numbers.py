"""The numbers of trials that a response must meet, and what a response gives for them.

A place that a paper gives for another point of the ship than midships is not turned into one of
midships; the response is asked where that point comes to be. From straight ahead to a change of
heading theta, a point e ahead of midships goes e (cos theta - 1) farther ahead and e sin theta
farther to the side than midships does.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from wheelover.core.arrays import Floats, Table
from wheelover.core.manoeuvre.fit_columns import FINE_STEP, Helm, Runs, run_columns
from wheelover.core.manoeuvre.fit_readings import (
    Moment,
    final_diameter_lengths,
    moment_of_heading,
    moment_of_peak,
)
from wheelover.core.types.fitted import AnyUnit, Unit
from wheelover.core.types.trials import Side, TrialSet, TrialShip
from wheelover.core.units import m_per_s_from_kn

Quantity = Literal[
    "advance",
    "transfer",
    "tactical_diameter",
    "final_diameter",
    "time",
    "speed",
    "first_overshoot",
    "second_overshoot",
    "initial_turning_distance",
    "course_change_distance",
]
_SHARE = {
    "advance": 0.03,
    "transfer": 0.06,
    "tactical_diameter": 0.03,
    "final_diameter": 0.06,
    "time": 0.03,
    "speed": 0.08,
    "initial_turning_distance": 0.04,
    "course_change_distance": 0.05,
}
"""How far a trial number is usually off, as a share of it [Weights]_."""

_OVERSHOOT_DEG = {"first_overshoot": 2.5, "second_overshoot": 4.0}
_TRIED_SHARES = (0.15, 0.35, 0.55, 0.75, 0.95)
"""Shares of a change of course at which the opposite helm is tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Manoeuvre:
    """Rudder, and the heading at which it is put over (zig-zag) or up to which it is held."""

    rudder_deg: float
    speed_kn: float
    until_deg: float = 0.0
    switch_deg: float | None = None
    swing_count: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A number of a trial. ``scatter`` is its standard deviation, in the unit of ``value``."""

    trial: str
    quantity: Quantity
    side: Side
    manoeuvres: tuple[Manoeuvre, ...]
    heading_change_deg: float
    unit: Unit
    value: AnyUnit
    scatter: AnyUnit

    @property
    def rudder_deg(self) -> float:
        """Return the rudder of its manoeuvre."""
        return self.manoeuvres[0].rudder_deg

    @property
    def speed_kn(self) -> float:
        """Return the approach speed of its manoeuvre."""
        return self.manoeuvres[0].speed_kn


@dataclass(frozen=True, slots=True, kw_only=True)
class Trials:
    """The numbers of one set, and what of the ship they hang on.

    ``ahead_m`` is how far the point of the papers lies ahead of midships.
    """

    length_m: float
    rudder_rate_deg_per_s: float
    helm_delay_s: float
    ahead_m: float
    numbers: tuple[Number, ...]
    manoeuvres: dict[Manoeuvre, int] = field(default_factory=dict)


def trials_of(ship: TrialShip, trial_set: TrialSet) -> Trials:
    """Return the numbers of a set of trials."""
    numbers = (
        *_of_circles(trial_set),
        *_of_zig_zags(trial_set),
        *_of_initial_turnings(trial_set),
        *_of_course_changes(trial_set),
    )
    manoeuvres = dict.fromkeys(one for number in numbers for one in number.manoeuvres)
    from_bow_m = trial_set.reference_from_bow_m
    return Trials(
        length_m=ship.loa_m,
        rudder_rate_deg_per_s=ship.rudder_rate_deg_per_s,
        helm_delay_s=ship.helm_delay_s,
        ahead_m=0.0 if from_bow_m is None else ship.loa_m / 2.0 - from_bow_m,
        numbers=numbers,
        manoeuvres={one: index for index, one in enumerate(manoeuvres)},
    )


def _of_circles(trial_set: TrialSet) -> Iterator[Number]:
    """Yield the numbers of turning circles."""
    for circle in trial_set.circles:
        given: list[tuple[Quantity, float, Unit, float | None]] = [
            ("advance", 90.0, "m", circle.advance_m),
            ("transfer", 90.0, "m", circle.transfer_m),
            ("tactical_diameter", 180.0, "m", circle.tactical_diameter_m),
            ("final_diameter", 0.0, "m", circle.final_diameter_m),
        ]
        for point in circle.points:
            given.append(("time", point.heading_change_deg, "s", point.time_s))
            given.append(("speed", point.heading_change_deg, "kn", point.speed_kn))
        manoeuvre = Manoeuvre(
            rudder_deg=circle.rudder_deg,
            speed_kn=circle.speed_kn,
            until_deg=max((one[1] for one in given if one[3] is not None), default=0.0),
        )
        for quantity, heading_change_deg, unit, value in given:
            if value is not None:
                yield Number(
                    trial=f"turning circle, rudder {circle.rudder_deg:g}",
                    quantity=quantity,
                    side=circle.side,
                    manoeuvres=(manoeuvre,),
                    heading_change_deg=heading_change_deg,
                    unit=unit,
                    value=value,
                    scatter=_SHARE[quantity] * abs(value),
                )


def _of_zig_zags(trial_set: TrialSet) -> Iterator[Number]:
    """Yield the overshoots of zig-zags."""
    for trial in trial_set.zig_zags:
        manoeuvre = Manoeuvre(
            rudder_deg=trial.rudder_deg,
            speed_kn=trial.speed_kn,
            switch_deg=trial.heading_change_deg,
            swing_count=2,
        )
        given: tuple[tuple[Quantity, float | None], ...] = (
            ("first_overshoot", trial.first_overshoot_deg),
            ("second_overshoot", trial.second_overshoot_deg),
        )
        for quantity, value in given:
            if value is not None:
                yield Number(
                    trial=f"zig-zag {trial.rudder_deg:g}/{trial.heading_change_deg:g}",
                    quantity=quantity,
                    side=trial.side,
                    manoeuvres=(manoeuvre,),
                    heading_change_deg=trial.heading_change_deg,
                    unit="deg",
                    value=value,
                    scatter=_OVERSHOOT_DEG[quantity],
                )


def _of_initial_turnings(trial_set: TrialSet) -> Iterator[Number]:
    """Yield the distances until a first change of heading."""
    for trial in trial_set.initial_turnings:
        manoeuvre = Manoeuvre(
            rudder_deg=trial.rudder_deg,
            speed_kn=trial.speed_kn,
            until_deg=trial.heading_change_deg,
        )
        yield Number(
            trial=f"initial turning {trial.rudder_deg:g}/{trial.heading_change_deg:g}",
            quantity="initial_turning_distance",
            side=trial.side,
            manoeuvres=(manoeuvre,),
            heading_change_deg=trial.heading_change_deg,
            unit="m",
            value=trial.distance_m,
            scatter=_SHARE["initial_turning_distance"] * trial.distance_m,
        )


def _of_course_changes(trial_set: TrialSet) -> Iterator[Number]:
    """Yield the distances to new courses."""
    for trial in trial_set.course_changes:
        tried = tuple(
            Manoeuvre(
                rudder_deg=trial.rudder_deg,
                speed_kn=trial.speed_kn,
                switch_deg=share * trial.change_deg,
                swing_count=1,
            )
            for share in _TRIED_SHARES
        )
        yield Number(
            trial=f"change of course by {trial.change_deg:g}, rudder {trial.rudder_deg:g}",
            quantity="course_change_distance",
            side=trial.side,
            manoeuvres=tried,
            heading_change_deg=trial.change_deg,
            unit="m",
            value=trial.distance_m,
            scatter=_SHARE["course_change_distance"] * trial.distance_m,
        )


def computed(trials: Trials, ships: Table, share_ratio: float = FINE_STEP) -> Table:
    """Return what responses give for the numbers of trials.

    Parameters
    ----------
    trials : Trials
        The numbers.
    ships : ndarray, shape (8, m)
        K', T', a', q, ku, cr, kb and Tb' of each response.
    share_ratio : float
        The length of a step, see ``run_columns``.

    Returns
    -------
    ndarray, shape (numbers, m)
        In the unit of each number; nan where a manoeuvre does not come to its end.
    """
    count = ships.shape[1]
    if not trials.numbers:
        return np.empty((0, count))
    helm = _helm(trials).each_for(count)
    # A response far from any ship may run away; what is read off it is nan, and the caller sees it.
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        runs = run_columns(np.tile(ships, len(trials.manoeuvres)), helm, share_ratio)
        ran = _Ran(trials, ships, runs)
        return np.array([_READ[one.quantity](one, ran) for one in trials.numbers])


@dataclass(frozen=True, slots=True)
class _Ran:
    """What was run, of which each number reads its own part."""

    trials: Trials
    ships: Table
    runs: Runs
    moments: dict[tuple[Manoeuvre, float], Moment] = field(default_factory=dict)

    def at_heading(self, one: Number) -> Moment:
        """Return the moment of a number's change of heading."""
        key = (one.manoeuvres[0], one.heading_change_deg)
        if key not in self.moments:
            self.moments[key] = moment_of_heading(self.of(key[0]), math.radians(key[1]))
        return self.moments[key]

    def of(self, manoeuvre: Manoeuvre) -> Runs:
        """Return the columns of one manoeuvre."""
        count = self.ships.shape[1]
        first = self.trials.manoeuvres[manoeuvre] * count
        part = slice(first, first + count)
        runs = self.runs
        return Runs(
            time_lengths=runs.time_lengths[:, part],
            state=runs.state[:, :, part],
            slope=runs.slope[:, :, part],
            order_index=runs.order_index[:, part],
            peak_index=runs.peak_index[:, part],
            done=runs.done[part],
        )


def _helm(trials: Trials) -> Helm:
    """Return the orders of the manoeuvres of trials, a column each."""
    every = list(trials.manoeuvres)
    length_s = trials.length_m / np.array([m_per_s_from_kn(one.speed_kn) for one in every])
    zig = np.array([one.switch_deg is not None for one in every])
    return Helm(
        rudder_rad=np.radians([one.rudder_deg for one in every]),
        switch_rad=np.where(zig, np.radians([one.switch_deg or 0.0 for one in every]), math.inf),
        until_rad=np.where(zig, math.inf, np.radians([one.until_deg for one in every])),
        swing_count=np.array([one.swing_count for one in every], dtype=np.int64),
        run_ratio=math.radians(trials.rudder_rate_deg_per_s) * length_s,
        delay_lengths=trials.helm_delay_s / length_s,
    )


def _ahead_m(one: Number, ran: _Ran) -> Floats:
    """Return how far ahead she is at a heading."""
    theta = math.radians(one.heading_change_deg)
    moment = ran.at_heading(one)
    of_point = ran.trials.ahead_m * (math.cos(theta) - 1.0)
    return moment.ahead_lengths * ran.trials.length_m + of_point


def _aside_m(one: Number, ran: _Ran) -> Floats:
    """Return how far to the side of the turn she is at a heading."""
    theta = math.radians(one.heading_change_deg)
    moment = ran.at_heading(one)
    return moment.starboard_lengths * ran.trials.length_m + ran.trials.ahead_m * math.sin(theta)


def _final_diameter_m(one: Number, ran: _Ran) -> Floats:
    """Return the diameter of the last circle."""
    length_m = ran.trials.length_m
    rudder = np.full(ran.ships.shape[1], math.radians(one.rudder_deg))
    return final_diameter_lengths(ran.ships, rudder, ran.trials.ahead_m / length_m) * length_m


def _time_s(one: Number, ran: _Ran) -> Floats:
    """Return the time until a heading."""
    moment = ran.at_heading(one)
    return moment.time_lengths * ran.trials.length_m / m_per_s_from_kn(one.speed_kn)


def _speed_kn(one: Number, ran: _Ran) -> Floats:
    """Return the speed at a heading."""
    moment = ran.at_heading(one)
    return moment.speed_ratio * one.speed_kn


def _overshoot_deg(order: int) -> Callable[[Number, _Ran], Floats]:
    """Return the reader of an overshoot."""

    def read(one: Number, ran: _Ran) -> Floats:
        moment = moment_of_peak(ran.of(one.manoeuvres[0]), order)
        return np.abs(np.degrees(moment.heading_rad)) - one.heading_change_deg

    return read


def _course_change_m(one: Number, ran: _Ran) -> Floats:
    """Return the distance to a new course, between the changes that the tried helms come to."""
    peaks = [moment_of_peak(ran.of(each), 0) for each in one.manoeuvres]
    reached = np.array([peak.heading_rad for peak in peaks])
    theta = math.radians(one.heading_change_deg)
    ahead = _between(theta, reached, np.array([peak.ahead_lengths for peak in peaks]))
    aside = _between(theta, reached, np.array([peak.starboard_lengths for peak in peaks]))
    # The point starts so much farther ahead, and comes to the same line.
    return (ahead - aside / math.tan(theta)) * ran.trials.length_m - ran.trials.ahead_m


def _between(at_rad: float, places: Table, values: Table) -> Table:
    """Return the polynomial through values at places, shape (n, m), by Neville's scheme."""
    row = values.copy()
    for width in range(1, len(row)):
        left, right = places[:-width], places[width:]
        row = ((at_rad - left) * row[1:] - (at_rad - right) * row[:-1]) / (right - left)
    return np.asarray(row[0])


_READ: dict[Quantity, Callable[[Number, _Ran], Floats]] = {
    "advance": _ahead_m,
    "transfer": _aside_m,
    "tactical_diameter": _aside_m,
    "final_diameter": _final_diameter_m,
    "time": _time_s,
    "speed": _speed_kn,
    "first_overshoot": _overshoot_deg(0),
    "second_overshoot": _overshoot_deg(1),
    "initial_turning_distance": _ahead_m,
    "course_change_distance": _course_change_m,
}
