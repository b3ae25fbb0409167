"""The response that meets a ship's own numbers: penalised least squares, and how sure it is.

Eight values are sought, ln K', ln T', ln a', q, ln ku, ln(cr/ku), ln kb and ln Tb' (``THETA``).
Each number of a trial pulls with the scatter that such numbers have, and each value is held to what
ships are like by a prior [Weights]_: a hard-over circle alone says little of small helm. The cubic
value is held through its share of the rate in the turn at 35 degrees, A = a' r35'^2, with r35' read
off the ship's own circle. What the data leave open stays in the covariance (J' J)^-1; to a band
made from it belongs ``STRUCTURAL_FLOOR_LENGTHS``.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import cast

import numpy as np
import scipy

from wheelover.core.arrays import Floats, Table
from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.fit_columns import FINE_STEP, LOSS, QUICK_STEP
from wheelover.core.manoeuvre.fit_numbers import Number, Trials, computed
from wheelover.core.manoeuvre.fit_own_turns import OwnTurns, own_turn_residuals
from wheelover.core.types.fitted import Uncertain
from wheelover.core.types.ship import Response
from wheelover.core.units import m_per_s_from_kn

COUNT = 8
_PRIOR = (
    # Mean and standard deviation; those of logarithms as a factor.
    (math.log(2.3), math.log(1.8)),
    (math.log(3.2), math.log(1.8)),
    (math.log(6.0), math.log(1.8)),
    (1.0, 0.5),
    (math.log(0.075), math.log(1.4)),
    (math.log(9.0), math.log(1.8)),
    (math.log(0.40), math.log(1.2)),
    (math.log(0.6), math.log(1.8)),
)
"""Of K', T', the cubic share A, q, ku, cr/ku, kb and Tb' [Weights]_."""

_CUBIC_ROW, _USUAL_TURNING = 2, 0.75
_BOUND_DEVIATIONS = 3.5
_TRIED_COUNT, _POLISHED_COUNT = 24, 2
_DIFFERENCE = 1e-3
_MOST_LOOKS = 25
_NOT_MADE = 30.0
"""A manoeuvre that a response does not make is as bad as a number off by so many scatters."""

_PRIMES = (2, 3, 5, 7, 11, 13, 17, 19)


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What is known of one ship: trials at first and recorded turns, either of which may lack."""

    trials: Trials
    own_turns: OwnTurns
    at_speed_kn: float

    @property
    def length_m(self) -> float:
        """Return her length overall."""
        return self.trials.length_m


def responses_from(theta: Table) -> Table:
    """Return K', T', a', q, ku, cr, kb and Tb' of fitted values, both of shape (8, m)."""
    ships = np.exp(theta)
    ships[3] = theta[3]
    ships[LOSS] = np.exp(theta[4] + theta[5])
    return ships


def fit(evidence: Evidence, *, scatter_ratio: float = 1.0, band_ratio: float = 1.0) -> Uncertain:
    """Return the values that meet the evidence best, and their covariance.

    Parameters
    ----------
    evidence : Evidence
        Numbers of trials, recorded turns, or both.
    scatter_ratio : float
        How many times as far off as usual the numbers may be. What they leave open grows up to what
        ships are like; the values stay as they are.
    band_ratio : float
        How many times as wide the whole band is to be.

    Raises
    ------
    OutOfDomain
        When nothing is given that tells anything, or no response comes near it.

    Notes
    -----
    Least squares by scipy's trust region, from the best of 24 starts spread over the priors (the
    spread is the same every time). Error of the model: steps of ``QUICK_STEP``.
    """
    if not evidence.trials.numbers and not evidence.own_turns.turns:
        raise OutOfDomain("none of the numbers given says anything of how she answers the helm")
    mean, deviation = _prior(evidence.trials)
    problem = _Problem(evidence, mean, deviation)
    starts = mean[:, None] + deviation[:, None] * scores(_TRIED_COUNT)
    starts[:, 0] = mean
    costs = np.sum(problem.residuals(starts) ** 2, axis=0)
    best: tuple[float, Floats] = (math.inf, mean)
    for index in np.argsort(costs, kind="stable")[:_POLISHED_COUNT]:
        found = problem.polished(starts[:, index])
        best = min(best, found, key=lambda one: one[0])
    return _uncertain(problem, best[1], scatter_ratio, band_ratio)


def _uncertain(
    problem: "_Problem", theta: Table, scatter_ratio: float, band_ratio: float
) -> Uncertain:
    """Return fitted values with their covariance."""
    slope = problem.slope(theta)
    data = slope[:-COUNT] / scatter_ratio
    prior = slope[-COUNT:]
    covariance = band_ratio**2 * np.linalg.inv(data.T @ data + prior.T @ prior)
    return Uncertain(
        theta=tuple(theta.tolist()),
        covariance=tuple(tuple(row) for row in (0.5 * (covariance + covariance.T)).tolist()),
        length_m=problem.evidence.length_m,
        at_speed_kn=problem.evidence.at_speed_kn,
        scatter_ratio=scatter_ratio,
        band_ratio=band_ratio,
    )


class _Problem:
    """Residuals of the evidence and the priors, over their scatter."""

    def __init__(self, evidence: Evidence, mean: Table, deviation: Table) -> None:
        self.evidence, self.mean, self.deviation = evidence, mean, deviation
        numbers = evidence.trials.numbers
        self.values = np.array([one.value for one in numbers])
        self.scatter = np.array([one.scatter for one in numbers])
        self.at: Floats | None = None
        self.kept: tuple[Floats, Table] = (np.empty(0), np.empty((0, COUNT)))

    def residuals(self, theta: Table, share_ratio: float = QUICK_STEP) -> Table:
        """Return residuals of shape (n + 8, m) for values of shape (8, m)."""
        ships = responses_from(theta)
        numbers = computed(self.evidence.trials, ships, share_ratio)
        data = (numbers - self.values[:, None]) / self.scatter[:, None]
        own = own_turn_residuals(self.evidence.own_turns, ships)
        prior = (theta - self.mean[:, None]) / self.deviation[:, None]
        rows = np.vstack([data, own, prior])
        return np.where(np.isfinite(rows), np.clip(rows, -1e3, 1e3), _NOT_MADE)

    def both(self, theta: Table) -> tuple[Floats, Table]:
        """Return residuals and their slope: side by side they cost hardly more than one."""
        if self.at is None or not np.array_equal(self.at, theta):
            moved = theta[:, None] + _DIFFERENCE * np.eye(COUNT)
            back = theta[:, None] - _DIFFERENCE * np.eye(COUNT)
            rows = self.residuals(np.column_stack([theta, moved, back]))
            slope = (rows[:, 1 : COUNT + 1] - rows[:, COUNT + 1 :]) / (2.0 * _DIFFERENCE)
            self.at, self.kept = theta.copy(), (rows[:, 0], slope)
        return self.kept

    def rows(self, theta: Table) -> Floats:
        """Return the residuals, shape (n + 8,)."""
        return self.both(theta)[0]

    def slope(self, theta: Table) -> Table:
        """Return the slope of the residuals, shape (n + 8, 8)."""
        return self.both(theta)[1]

    def polished(self, start: Table) -> tuple[float, Floats]:
        """Return the cost and the values at the bottom that a start leads to."""
        reach = _BOUND_DEVIATIONS * self.deviation
        found = scipy.optimize.least_squares(
            self.rows,
            start,
            jac=self.slope,
            bounds=(self.mean - reach, self.mean + reach),
            x_scale=self.deviation,
            ftol=1e-6,
            xtol=1e-5,
            gtol=1e-5,
            max_nfev=_MOST_LOOKS,
        )
        return float(found.cost), np.asarray(found.x)


def _prior(trials: Trials) -> tuple[Floats, Floats]:
    """Return mean and standard deviation of the values before any number is seen."""
    mean, deviation = np.array(_PRIOR).T
    mean[_CUBIC_ROW] -= 2.0 * math.log(_hard_over_turning(trials))
    return mean, deviation


def _hard_over_turning(trials: Trials) -> float:
    """Return r' in the turn at 35 degrees, as the largest circle of the papers shows it.

    The tactical diameter is about a third larger than the last circle, and at less rudder r' is
    smaller by about the root of it: this sets a scale only.
    """
    shown = [
        2.0 * trials.length_m * share / one.value * math.sqrt(35.0 / one.rudder_deg)
        for one in sorted(trials.numbers, key=lambda one: -one.rudder_deg)
        for share in _shares(one)
    ]
    return float(np.clip(shown[0], 0.2, 1.5)) if shown else _USUAL_TURNING


def _shares(one: Number) -> Iterator[float]:
    """Yield the tactical or last diameter over the last, for a number that is one of them."""
    if one.quantity == "final_diameter":
        yield 1.0
    elif one.quantity == "tactical_diameter":
        yield 1.3


def response_of(uncertain: Uncertain) -> Response:
    """Return fitted values as the response of a ship at the speed they were fitted at."""
    ships = responses_from(np.array(uncertain.theta)[:, None])[:, 0]
    return _response(ships.tolist(), uncertain)


def _response(ship: list[float], uncertain: Uncertain) -> Response:
    """Return one response in seconds and knots."""
    gain, lag, cubic, race, recovery, loss, drift_gain, drift_lag = ship
    length_s = uncertain.length_m / m_per_s_from_kn(uncertain.at_speed_kn)
    return Response(
        k_per_s=gain / length_s,
        t_s=lag * length_s,
        at_speed_kn=uncertain.at_speed_kn,
        alpha_s2=cubic * length_s**2,
        drift_lengths=drift_gain,
        race_exponent=race,
        speed_recovery=recovery,
        speed_loss=loss,
        drift_lag=drift_lag,
    )


def members(uncertain: Uncertain, count: int) -> Table:
    """Return responses spread as the fitted values are uncertain: the same ones every time.

    Parameters
    ----------
    uncertain : Uncertain
        Fitted values and their covariance.
    count : int
        How many, above 16.

    Returns
    -------
    ndarray, shape (8, count)
        K', T', a', q, ku, cr, kb and Tb' of each, in lengths overall.

    Notes
    -----
    Richtmyer's sequence [Niederreiter]_ through the inverse of the normal distribution, moved and
    stretched so that mean and covariance of the values are those of the fit.
    """
    root = np.linalg.cholesky(np.array(uncertain.covariance))
    theta = np.array(uncertain.theta)[:, None] + root @ scores(count)
    return responses_from(theta)


def member_responses(uncertain: Uncertain, count: int) -> tuple[Response, ...]:
    """Return ``members`` as responses."""
    return tuple(_response(ship, uncertain) for ship in members(uncertain, count).T.tolist())


def scores(count: int) -> Table:
    """Return normal scores of shape (8, count) with mean zero and covariance one.

    Raises
    ------
    OutOfDomain
        For 16 or fewer: their covariance would not be one.

    Examples
    --------
    >>> np.round(np.cov(scores(100), bias=True)[:2, :2], 9) + 0.0
    array([[1., 0.],
           [0., 1.]])
    """
    if count <= 2 * COUNT:
        raise OutOfDomain(f"{count} members cannot show eight uncertain values; ask for 17 or more")
    number = np.arange(1, count + 1)
    spread = np.mod(number * np.sqrt(_PRIMES)[:, None], 1.0)
    normal = scipy.special.ndtri(spread)
    normal -= normal.mean(axis=1, keepdims=True)
    root = np.linalg.cholesky(normal @ normal.T / count)
    return cast(Table, np.linalg.solve(root, normal))


def compared(trials: Trials, uncertain: Uncertain) -> Floats:
    """Return what the fitted response gives for the numbers of trials, shape (n,)."""
    ships = responses_from(np.array(uncertain.theta)[:, None])
    return computed(trials, ships, FINE_STEP)[:, 0]
