"""Run helm orders through the force model: where the ship goes, from steady on her course."""

import math

import numpy as np

from wheelover.core.arrays import Floats, require_finite
from wheelover.core.errors import OutOfDomain
from wheelover.core.manoeuvre.ground import motion_over_ground, require_in_sequence
from wheelover.core.manoeuvre.mmg import ship_table
from wheelover.core.manoeuvre.mmg_loops import NO_HEADWAY, TOO_LONG, run_loop
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.manoeuvre import Current, HelmOrder, Motion

_STEP_LENGTHS = 0.02
"""A step in lengths sailed at the approach speed (error: tests/core/test_mmg.py)."""

_MOST_STEPS = 1_000_000


def run_force_model(
    model: ForceModel,
    orders: tuple[HelmOrder, ...],
    times_s: list[float],
    *,
    heading_deg: float,
    rudder_rate_deg_per_s: float | None = None,
    helm_delay_s: float = 0.0,
    current: Current | None = None,
) -> Motion:
    """Return the motion at the wanted times.

    She starts steady at her approach speed with the rudder amidships, and her revolutions stay
    those that hold this speed straight ahead.

    Parameters
    ----------
    model : ForceModel
        The ship.
    orders : tuple of HelmOrder
        In their sequence: one is given when its moment has come and all before it are given.
    times_s : list of float
        When her motion is wanted: from zero on, growing.
    heading_deg : float
        Her heading at the start.
    rudder_rate_deg_per_s : float or None
        Above zero; without it the rudder needs no time.
    helm_delay_s : float
        From an order until the rudder starts to move.
    current : Current or None
        It carries ship and water alike.

    Returns
    -------
    Motion
        Of midships. The speed is that through the water, along and across together.

    Raises
    ------
    InvalidInput
        For an order whose time is before that of the one before it, naming it.
    OutOfDomain
        For a run of too many steps, or one in which she loses her headway.

    Notes
    -----
    Fixed steps of fourth order that end wherever the rudder starts or stops to move [Hairer]_.
    Error below 1e-5 lengths (tests/core/test_mmg.py).
    """
    require_in_sequence(orders)
    step_s = _STEP_LENGTHS * model.length_m / model.speed_m_per_s
    if not times_s[-1] / step_s < _MOST_STEPS:
        raise OutOfDomain(f"a run of {times_s[-1]:.0f} s is too long to be computed step by step")
    rate_rad_per_s = (
        math.inf if rudder_rate_deg_per_s is None else math.radians(rudder_rate_deg_per_s)
    )
    times = np.array(times_s, dtype=np.float64)
    rows, end = run_loop(
        ship_table(model),
        _order_table(orders),
        times,
        model.speed_m_per_s,
        rate_rad_per_s,
        helm_delay_s,
        step_s,
        _MOST_STEPS,
    )
    _require_run_through(end)
    require_finite("the motion of the ship", rows)
    return motion_over_ground(
        times_s=times,
        heading_change_rad=rows[:, 0],
        rate_rad_per_s=rows[:, 3],
        speed_m_per_s=np.hypot(rows[:, 1], rows[:, 2]),
        ahead_m=rows[:, 4],
        starboard_m=rows[:, 5],
        rudder_rad=rows[:, 6],
        heading_deg=heading_deg,
        current=current or Current(),
    )


def _require_run_through(end: int) -> None:
    """Raise for a run that did not come to its end."""
    if end == NO_HEADWAY:
        raise OutOfDomain(
            "the ship loses her headway under these orders: the force model is known ahead only"
        )
    if end == TOO_LONG:
        raise OutOfDomain("the rudder starts and stops too often for a run to be computed")


def _order_table(orders: tuple[HelmOrder, ...]) -> Floats:
    """Return the orders in rows: by heading or not, heading or time, rudder."""
    rows = [
        (
            float(order.at_s is None),
            math.radians(order.at_heading_change_deg or 0.0) if order.at_s is None else order.at_s,
            math.radians(order.rudder_deg),
        )
        for order in orders
    ]
    return np.array(rows, dtype=np.float64).reshape(len(rows), 3)
