"""How the ship answers her rudder: the first-order model and its extensions, step by step.

In lengths and speeds (a prime marks what has been made so: r' = r L / U), with the rudder to
starboard positive::

    r_dot = (U/L)^2 / T' [ K' (U0/U)^q rudder - r' - a' r'^3 ]
    U_dot = [ ku (U0^2 - U^2) - cr U^2 r'^2 ] / L
    b_dot = (U/L) / Tb' (kb r' - b)
    x_dot = U cos(psi - b),  y_dot = U sin(psi - b)

The linear part is [Nomoto1957]_, the cubic term [Norrbin1963]_; race exponent, loss of speed and
drift are the extensions that a fit to turning circles needs [Extensions]_.
"""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import NamedTuple

from wheelover.core.errors import OutOfDomain
from wheelover.core.types.ship import Response
from wheelover.core.units import m_per_s_from_kn

_STEP_SHARE = 0.05
"""A step is this share of the shortest time in the model (error: tests/core/test_manoeuvre.py)."""

_LEAST, _MOST = 1e-4, 1e4
MOST_STEPS = 100_000
"""A run of more steps than this is refused: she answers too quickly for so long a run."""

MOST_TURN_STEPS = 150_000
"""A turn whose orders are not found within so many steps, all looks together, is refused."""


@contextmanager
def within_numbers() -> Iterator[None]:
    """Turn numbers that run away into an error that says so.

    Raises
    ------
    OutOfDomain
        When a speed comes to nothing or a rate grows beyond all bounds.
    """
    try:
        yield
    except (OverflowError, ZeroDivisionError) as error:
        raise OutOfDomain(
            "with this response the speed comes to nothing or the rate of turn grows without bound"
        ) from error


class State(NamedTuple):
    """Heading (change from the start), rate, speed, drift angle and place in the water.

    Place is ahead and to starboard of where she was, along her first heading.
    """

    heading_rad: float
    rate_rad_per_s: float
    speed_m_per_s: float
    drift_rad: float
    ahead_m: float
    starboard_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShipModel:
    """The model of one ship at one approach speed; gain, lag and cubic ratio are K', T' and a'."""

    length_m: float
    speed_m_per_s: float
    gain_ratio: float
    lag_ratio: float
    cubic_ratio: float
    race_exponent: float
    speed_recovery: float
    speed_loss: float
    drift_lengths: float
    drift_lag: float
    step_s: float

    @property
    def start(self) -> State:
        """Return her steady on her course at the approach speed."""
        return State(0.0, 0.0, self.speed_m_per_s, 0.0, 0.0, 0.0)


def ship_model(
    response: Response, loa_m: float, speed_kn: float, most_rudder_deg: float = 45.0
) -> ShipModel:
    """Return the model of a ship at an approach speed.

    Parameters
    ----------
    response : Response
        How she answers the helm, at the speed it was measured at.
    loa_m : float
        Her length overall.
    speed_kn : float
        Approach speed through the water.
    most_rudder_deg : float
        The largest rudder that will be ordered; how fast she then turns sets the length of a step.

    Raises
    ------
    OutOfDomain
        For a response without a time or a gain above zero: her rate would not settle.

    Notes
    -----
    At another speed the values in lengths hold: K scales with the speed, T with its inverse, alpha
    with its inverse square.
    """
    if response.k_per_s <= 0.0 or response.t_s <= 0.0:
        raise OutOfDomain(
            f"k_per_s {response.k_per_s:g} and t_s {response.t_s:g} must both be above zero: the "
            "model does not hold for a ship whose rate of turn does not settle"
        )
    speed_m_per_s = m_per_s_from_kn(speed_kn)
    per_length_s = loa_m / m_per_s_from_kn(response.at_speed_kn)
    with within_numbers():
        gain, lag = response.k_per_s * per_length_s, response.t_s / per_length_s
        cubic = response.alpha_s2 / per_length_s**2
    if not (_LEAST < gain < _MOST and _LEAST < lag < _MOST and cubic < _MOST):
        raise OutOfDomain(
            f"in ship lengths the response has K' {gain:.3g}, T' {lag:.3g} and a' {cubic:.3g}: no "
            "ship answers like that; look at k_per_s, t_s, alpha_s2, at_speed_kn and loa_m"
        )
    recovery, loss = response.speed_recovery or 0.0, response.speed_loss or 0.0
    return ShipModel(
        length_m=loa_m,
        speed_m_per_s=speed_m_per_s,
        gain_ratio=gain,
        lag_ratio=lag,
        cubic_ratio=cubic,
        race_exponent=response.race_exponent,
        speed_recovery=recovery,
        speed_loss=loss,
        drift_lengths=response.drift_lengths,
        drift_lag=response.drift_lag,
        step_s=_step_lengths(response, gain * math.radians(most_rudder_deg), lag, cubic)
        * loa_m
        / speed_m_per_s,
    )


def _step_lengths(
    response: Response, helm_ratio: float, lag_ratio: float, cubic_ratio: float
) -> float:
    """Return the step in lengths sailed: a share of the shortest time in the model."""
    # The largest rate hard over without loss of speed, r' + a' r'^3 = K' rudder, from above.
    rate = helm_ratio
    if cubic_ratio > 0.0:
        rate = min(rate, (helm_ratio / cubic_ratio) ** (1.0 / 3.0))
    fastest = max(
        (1.0 + 3.0 * cubic_ratio * rate**2) / lag_ratio,
        rate,
        1.0 / response.drift_lag if response.drift_lag > 0.0 else 0.0,
        2.0 * (response.speed_recovery or 0.0) + (response.speed_loss or 0.0) * rate**2,
    )
    return _STEP_SHARE / max(fastest, 1e-3)


def _slopes(model: ShipModel, state: State, rudder_rad: float) -> State:
    """Return how fast everything changes."""
    heading, rate, speed, drift, _, _ = state
    if not speed > 0.0:
        raise ZeroDivisionError("the speed has come to nothing")
    length = model.length_m
    turning = rate * length / speed
    helm = model.gain_ratio * rudder_rad
    if model.race_exponent != 0.0:
        helm *= (model.speed_m_per_s / speed) ** model.race_exponent
    rate_slope = (
        (speed / length) ** 2 / model.lag_ratio * (helm - turning - model.cubic_ratio * turning**3)
    )
    speed_slope = (
        model.speed_recovery * (model.speed_m_per_s**2 - speed**2)
        - model.speed_loss * (speed * turning) ** 2
    ) / length
    if model.drift_lag > 0.0:
        drift_slope = speed / length / model.drift_lag * (model.drift_lengths * turning - drift)
    else:
        drift, drift_slope = model.drift_lengths * turning, 0.0
    way = heading - drift
    return State(
        rate, rate_slope, speed_slope, drift_slope, speed * math.cos(way), speed * math.sin(way)
    )


def _moved(state: State, slopes: State, by_s: float) -> State:
    """Return a state moved along slopes."""
    return State(*(a + by_s * b for a, b in zip(state, slopes, strict=True)))


def step(
    model: ShipModel, state: State, rudder_rad: float, run_rad_per_s: float, by_s: float
) -> State:
    """Return the state after one step of fourth order, the rudder running at one rate through it.

    Parameters
    ----------
    model : ShipModel
        The ship.
    state : State
        At the start of the step.
    rudder_rad, run_rad_per_s : float
        Rudder at the start of the step, and the rate it runs at.
    by_s : float
        Length of the step, not longer than the model's own.
    """
    half = by_s / 2.0
    middle_rad = rudder_rad + run_rad_per_s * half
    one = _slopes(model, state, rudder_rad)
    two = _slopes(model, _moved(state, one, half), middle_rad)
    three = _slopes(model, _moved(state, two, half), middle_rad)
    four = _slopes(model, _moved(state, three, by_s), rudder_rad + run_rad_per_s * by_s)
    return State(
        *(
            value + by_s / 6.0 * (a + 2.0 * b + 2.0 * c + d)
            for value, a, b, c, d in zip(state, one, two, three, four, strict=True)
        )
    )


def advance(
    model: ShipModel, state: State, rudder_rad: float, run_rad_per_s: float, by_s: float
) -> State:
    """Return the state after a while in which the rudder runs at one rate, in steps short enough.

    Raises
    ------
    OutOfDomain
        For a while of too many steps.
    """
    count = steps_in(model, by_s)
    each_s = by_s / count
    for number in range(count):
        state = step(
            model, state, rudder_rad + run_rad_per_s * each_s * number, run_rad_per_s, each_s
        )
    return state


def steps_in(model: ShipModel, while_s: float) -> int:
    """Return how many steps a while takes.

    Raises
    ------
    OutOfDomain
        When they are too many.
    """
    count = while_s / model.step_s
    if not count < MOST_STEPS:
        raise OutOfDomain(
            f"she answers in {model.step_s / _STEP_SHARE:.3g} s: a run of {while_s:.0f} s is too "
            "long to be computed step by step"
        )
    return max(1, math.ceil(count))
