"""How the ship answers her rudder: the first-order model and its extensions.

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
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields

import numpy as np

from wheelover.core.arrays import Floats, Table
from wheelover.core.errors import OutOfDomain
from wheelover.core.types.ship import Response
from wheelover.core.units import m_per_s_from_kn

_STEP_SHARE = 0.05
"""Runs are counted in steps of this share of the shortest time in the model."""

_LEAST, _MOST = 1e-4, 1e4


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
        raise run_away() from error


def run_away() -> OutOfDomain:
    """Return the error that the numbers of a run have run away."""
    return OutOfDomain(
        "with this response the speed comes to nothing or the rate of turn grows without bound"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ShipModel:
    """The model of one ship at one approach speed; gain, lag and cubic ratio are K', T' and a'.

    Runs are refused when they are of too many steps of ``step_s``; it does not set the accuracy.
    """

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
    def length_s(self) -> float:
        """Return the time in which she sails her length: the unit of time of compiled loops."""
        return self.length_m / self.speed_m_per_s


@dataclass(frozen=True, slots=True, kw_only=True)
class ShipColumns:
    """Models of many ships, or of one at many speeds or of many responses.

    The columns are those of ``ShipModel``, each of shape (n,), or (1,) where all have the same.
    """

    length_m: Floats
    speed_m_per_s: Floats
    gain_ratio: Floats
    lag_ratio: Floats
    cubic_ratio: Floats
    race_exponent: Floats
    speed_recovery: Floats
    speed_loss: Floats
    drift_lengths: Floats
    drift_lag: Floats
    step_s: Floats


_COLUMNS = tuple(one.name for one in fields(ShipModel))


def ship_columns(models: Sequence[ShipModel]) -> ShipColumns:
    """Return models in columns; ``dataclasses.replace`` then puts other columns in their place."""
    return ShipColumns(
        **{name: np.array([getattr(model, name) for model in models]) for name in _COLUMNS}
    )


def ship_values(ships: ShipModel | ShipColumns) -> tuple[float | Floats, ...]:
    """Return the values of a model, or of models in columns, in their sequence."""
    return tuple(getattr(ships, name) for name in _COLUMNS)


def ship_row(model: ShipModel) -> Table:
    """Return a ship in lengths and approach speeds, as core/manoeuvre/series.py has her."""
    row = np.array(ship_values(model)[2:], dtype=np.float64)
    row[-1] /= model.length_s
    return row


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


def too_long(step_s: float, while_s: float) -> OutOfDomain:
    """Return the error that a run of so long is too long for a ship counted in such steps."""
    return OutOfDomain(
        f"she answers in {step_s / _STEP_SHARE:.3g} s: a run of {while_s:.0f} s is too "
        "long to be computed step by step"
    )
