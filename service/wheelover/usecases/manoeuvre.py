"""Run helm orders, and find the orders of a turn; nothing is stored."""

import math
from typing import Any

import numpy as np

from wheelover.core.errors import Fault, InvalidInput
from wheelover.core.manoeuvre.helm_orders import steady_turn
from wheelover.core.manoeuvre.model import ShipModel
from wheelover.core.manoeuvre.run_orders import run_orders
from wheelover.core.types.manoeuvre import Current, HelmOrder, SteadyTurn
from wheelover.core.units import kn_from_m_per_s
from wheelover.render.rounding import DEGREES, METRES, OTHER, SECONDS, course, rounded

MOST_ROWS = 50_000
"""More rows than this are refused: ask for fewer, or for a shorter run."""


def track_of_orders(
    model: ShipModel,
    orders: tuple[HelmOrder, ...],
    until_s: float,
    step_s: float,
    heading_deg: float,
    rudder_rate_deg_per_s: float | None,
    helm_delay_s: float,
    current: Current,
) -> dict[str, Any]:
    """Return the way of a ship under helm orders as JSON values: a row every ``step_s``.

    Raises
    ------
    InvalidInput
        For too many rows, or an order before the one before it.
    OutOfDomain
        For a run too long to be computed step by step.
    """
    if until_s / step_s > MOST_ROWS:
        message = f"{until_s / step_s:.0f} rows are wanted; at most {MOST_ROWS} are given"
        raise InvalidInput(message, (Fault(pointer="/step_s", message=message),))
    whole = np.arange(math.floor(until_s / step_s + 1e-9) + 1) * step_s
    times_s = [float(one) for one in whole if one < until_s - 1e-9] + [until_s]
    motion = run_orders(
        model,
        orders,
        times_s,
        heading_deg=heading_deg,
        rudder_rate_deg_per_s=rudder_rate_deg_per_s,
        helm_delay_s=helm_delay_s,
        current=current,
    )
    columns = zip(
        motion.time_s.tolist(),
        motion.east_m.tolist(),
        motion.north_m.tolist(),
        motion.heading_deg.tolist(),
        motion.rate_deg_per_min.tolist(),
        motion.speed_m_per_s.tolist(),
        motion.rudder_deg.tolist(),
        strict=True,
    )
    return {
        "track": [
            {
                "t_s": rounded(time, SECONDS),
                "east_m": rounded(east, METRES),
                "north_m": rounded(north, METRES),
                "heading_deg": course(heading),
                "rate_deg_per_min": rounded(rate, OTHER),
                "speed_kn": rounded(kn_from_m_per_s(speed), OTHER),
                "rudder_deg": rounded(rudder, OTHER),
            }
            for time, east, north, heading, rate, speed, rudder in columns
        ]
    }


def turn_orders(
    model: ShipModel,
    course_in_deg: float,
    course_out_deg: float,
    rudder_deg: float,
    counter_rudder_deg: float | None,
    rudder_rate_deg_per_s: float | None,
    helm_delay_s: float,
    current: Current,
) -> dict[str, Any]:
    """Return the three orders that steady a ship on a new course, as JSON values.

    Raises
    ------
    OutOfDomain
        When there are none.
    """
    turn = steady_turn(
        model,
        course_in_deg,
        course_out_deg,
        rudder_deg,
        counter_rudder_deg=counter_rudder_deg,
        rudder_rate_deg_per_s=rudder_rate_deg_per_s,
        helm_delay_s=helm_delay_s,
        current=current,
    )
    return _document(turn)


def _document(turn: SteadyTurn) -> dict[str, Any]:
    """Return a turn as JSON values."""
    return {
        "heading_in_deg": course(turn.heading_in_deg),
        "heading_out_deg": course(turn.heading_out_deg),
        "orders": [
            {
                "order": one.order,
                "at_s": rounded(one.at_s, SECONDS),
                "rudder_deg": rounded(one.rudder_deg, DEGREES),
                "heading_deg": course(one.heading_deg),
                "east_m": rounded(one.east_m, METRES),
                "north_m": rounded(one.north_m, METRES),
            }
            for one in turn.orders
        ],
        "steady_at_s": rounded(turn.steady_at_s, SECONDS),
        "distance_to_new_course_m": rounded(turn.distance_to_new_course_m, METRES),
        "rate_max_deg_per_min": rounded(turn.rate_max_deg_per_min, OTHER),
    }
