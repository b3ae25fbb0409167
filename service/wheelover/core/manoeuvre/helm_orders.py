"""The three orders of a turn that leave her steady on the new leg: helm, counter-helm, midships."""

import math

import numpy as np
from numpy.typing import ArrayLike

from wheelover.core.arrays import Table
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.angles import normal_course_deg
from wheelover.core.manoeuvre import ground_loops as column
from wheelover.core.manoeuvre.model import (
    ShipColumns,
    ShipModel,
    run_away,
    ship_values,
    too_long,
)
from wheelover.core.manoeuvre.sail_loops import (
    FOUND,
    MOST_TURN_STEPS,
    NO_CROSSING,
    NOT_FOUND,
    RUN_AWAY,
    TOO_LONG,
)
from wheelover.core.types.manoeuvre import Current, GivenOrder, OrderName, SteadyTurn, SteadyTurns

_END_OF_ORDERS = column.ORDERS + 3 * column.ORDER_COUNT


def heading_for_course_deg(course_deg: float, speed_m_per_s: float, current: Current) -> float:
    """Return the heading that makes good a course over the ground in a current.

    Raises
    ------
    OutOfDomain
        When the current across the course is faster than the ship: it cannot be stemmed.

    Examples
    --------
    To make good 090 at 5 kn with a current setting 210 at 2 kn, steer 069.7 [CurrentSailing]_:

    >>> kn = 1852 / 3600
    >>> stream = Current(set_deg=210.0, drift_m_per_s=2 * kn)
    >>> round(heading_for_course_deg(90.0, 5 * kn, stream), 1)
    69.7
    """
    across, _ = _components_m_per_s(course_deg, speed_m_per_s, current)
    return float(normal_course_deg(course_deg - math.degrees(math.asin(across / speed_m_per_s))))


def speed_made_good_m_per_s(course_deg: float, speed_m_per_s: float, current: Current) -> float:
    """Return the speed over the ground along a course that is made good in a current.

    Raises
    ------
    OutOfDomain
        As ``heading_for_course_deg``.

    Examples
    --------
    The same [CurrentSailing]_: 5 kn through the water make good 3.7 kn.

    >>> kn = 1852 / 3600
    >>> stream = Current(set_deg=210.0, drift_m_per_s=2 * kn)
    >>> round(speed_made_good_m_per_s(90.0, 5 * kn, stream) / kn, 1)
    3.7
    """
    return _components_m_per_s(course_deg, speed_m_per_s, current)[1]


def _components_m_per_s(
    course_deg: float, speed_m_per_s: float, current: Current
) -> tuple[float, float]:
    """Return the current across a course, and the speed made good along it."""
    across = current.drift_m_per_s * math.sin(math.radians(current.set_deg - course_deg))
    along = current.drift_m_per_s * math.cos(math.radians(current.set_deg - course_deg))
    if abs(across) >= speed_m_per_s:
        raise OutOfDomain(
            f"the current runs across the course of {course_deg:05.1f} at {abs(across):.2f} m/s, "
            f"faster than the ship at {speed_m_per_s:.2f}: that course cannot be made good"
        )
    if math.sqrt(speed_m_per_s**2 - across**2) + along <= 0.0:
        raise OutOfDomain(
            f"the current runs against the course of {course_deg:05.1f} faster than the ship: "
            "no way is made good along it"
        )
    return across, math.sqrt(speed_m_per_s**2 - across**2) + along


def steady_turn(
    model: ShipModel,
    course_in_deg: float,
    course_out_deg: float,
    rudder_deg: float,
    *,
    counter_rudder_deg: float | None = None,
    rudder_rate_deg_per_s: float | None = None,
    helm_delay_s: float = 0.0,
    current: Current | None = None,
) -> SteadyTurn:
    """Return the orders after which rate and rudder come to rest on the new heading together.

    Parameters
    ----------
    model : ShipModel
        The ship at her approach speed.
    course_in_deg, course_out_deg : float
        Courses over the ground.
    rudder_deg, counter_rudder_deg : float
        Angles of helm and counter-helm, above zero; without the second it is the same as the first.
    rudder_rate_deg_per_s : float or None
        Without it the rudder needs no time.
    helm_delay_s : float
        From an order until the rudder starts to move.
    current : Current or None
        She crabs on the inbound course, and her heading at the end is the one that makes good the
        outbound course at the approach speed. The change of heading is not the change of course.

    Raises
    ------
    OutOfDomain
        When no such orders exist: courses that are one line, a course that cannot be made good.

    Notes
    -----
    As ``steady_turns``, of one.
    """
    stream = current or Current()
    rate_deg_per_s = math.inf if rudder_rate_deg_per_s is None else rudder_rate_deg_per_s
    asked = np.array(
        [
            [
                *ship_values(model),
                course_in_deg,
                course_out_deg,
                rudder_deg,
                counter_rudder_deg or rudder_deg,
                rate_deg_per_s,
                helm_delay_s,
                stream.set_deg,
                stream.drift_m_per_s,
            ]
        ]
    )
    ground = np.zeros((1, column.GROUND_COUNT))
    status = int(column.turns_loop(asked, ground)[0])
    if status != FOUND:
        raise OutOfDomain(_reason(status, asked[0], ground[0]))
    return _turn(ground[0].tolist())


def steady_turns(
    ships: ShipColumns,
    course_in_deg: ArrayLike,
    course_out_deg: ArrayLike,
    rudder_deg: ArrayLike,
    *,
    counter_rudder_deg: ArrayLike | None = None,
    rudder_rate_deg_per_s: ArrayLike | None = None,
    helm_delay_s: ArrayLike = 0.0,
    set_deg: ArrayLike = 0.0,
    drift_m_per_s: ArrayLike = 0.0,
) -> SteadyTurns:
    """Return the orders of many turns; one that has none says why and is no error.

    Parameters
    ----------
    ships : ShipColumns
        Columns of shape (n,) or (1,).
    course_in_deg, course_out_deg, rudder_deg, counter_rudder_deg, rudder_rate_deg_per_s, \
helm_delay_s, set_deg, drift_m_per_s : array_like
        As in ``steady_turn``, numbers or shape (n,). A rate of infinity is a rudder that needs no
        time.

    Notes
    -----
    The longer the helm is held, the farther she turns before the counter-helm has stopped her: both
    times are found by bracketed roots on the way she goes. The interpreter's lock is free while
    they are sought, so that parts of the columns can be given to several threads.
    """
    counter = rudder_deg if counter_rudder_deg is None else counter_rudder_deg
    rate = math.inf if rudder_rate_deg_per_s is None else rudder_rate_deg_per_s
    helm = (course_in_deg, course_out_deg, rudder_deg, counter, rate, helm_delay_s)
    columns = np.broadcast_arrays(*ship_values(ships), *helm, set_deg, drift_m_per_s)
    asked = np.array(np.stack(columns, axis=1), dtype=np.float64, order="C")
    grounds = np.zeros((asked.shape[0], column.GROUND_COUNT))
    statuses = column.turns_loop(asked, grounds)
    found = statuses == FOUND
    refused = {
        int(row): _reason(int(statuses[row]), asked[row], grounds[row])
        for row in np.flatnonzero(~found)
    }
    grounds[~found] = np.nan
    orders = grounds[:, column.ORDERS : _END_OF_ORDERS].reshape(-1, 3, column.ORDER_COUNT)
    return SteadyTurns(
        found=found,
        refused=refused,
        heading_in_deg=grounds[:, column.HEADING_IN_DEG],
        heading_out_deg=grounds[:, column.HEADING_OUT_DEG],
        at_s=orders[:, :, column.AT_S],
        rudder_deg=orders[:, :, column.GIVEN_RUDDER_DEG],
        heading_deg=orders[:, :, column.HEADING_DEG],
        east_m=orders[:, :, column.EAST_M],
        north_m=orders[:, :, column.NORTH_M],
        steady_at_s=grounds[:, column.STEADY_AT_S],
        distance_to_new_course_m=grounds[:, column.DISTANCE_M],
        rate_max_deg_per_min=grounds[:, column.MOST_DEG_PER_MIN],
    )


def _reason(status: int, asked: Table, ground: Table) -> str:
    """Return why a row of what is asked has no orders."""
    if status == column.NOT_MADE_GOOD:
        return _why_not_made_good(asked)
    if status == RUN_AWAY:
        return str(run_away())
    if status == TOO_LONG:
        return str(too_long(float(asked[column.ASK - 1]), float(ground[column.RUN_S])))
    courses_deg = asked[column.COURSE_IN_DEG : column.COURSE_OUT_DEG + 1]
    return {
        column.UNDEFINED: "a turn is asked for with numbers that are not finite",
        column.ONE_LINE: f"the courses {courses_deg[0]:g} and {courses_deg[1]:g} lie along one "
        "line, on which no distance to the new course exists",
        column.NO_CHANGE: "the heading does not change: the current alone makes the new course",
        NOT_FOUND: "with this response and rudder she does not come to the new heading and to rest "
        f"on it within {MOST_TURN_STEPS} steps: no such orders were found",
        # A root that is not bracketed after all: lost to rounding.
        NO_CROSSING: "no helm orders were found that steady her on the new course",
    }[status]


def _why_not_made_good(asked: Table) -> str:
    """Return which of the courses cannot be made good, and why."""
    stream = Current(
        set_deg=float(asked[column.SET_DEG]), drift_m_per_s=float(asked[column.DRIFT_M_PER_S])
    )
    for course_deg in asked[column.COURSE_IN_DEG : column.COURSE_OUT_DEG + 1]:
        try:
            heading_for_course_deg(float(course_deg), float(asked[column.SPEED_M_PER_S]), stream)
        except OutOfDomain as error:
            return str(error)
    return "the courses cannot be made good"


def _turn(ground: list[float]) -> SteadyTurn:
    """Return a row of what is found as a turn."""
    rows = [
        ground[first : first + column.ORDER_COUNT]
        for first in range(column.ORDERS, _END_OF_ORDERS, column.ORDER_COUNT)
    ]
    return SteadyTurn(
        heading_in_deg=ground[column.HEADING_IN_DEG],
        heading_out_deg=ground[column.HEADING_OUT_DEG],
        orders=(
            _given("helm", rows[0]),
            _given("counter_helm", rows[1]),
            _given("midships", rows[2]),
        ),
        steady_at_s=ground[column.STEADY_AT_S],
        distance_to_new_course_m=ground[column.DISTANCE_M],
        rate_max_deg_per_min=ground[column.MOST_DEG_PER_MIN],
    )


def _given(order: OrderName, values: list[float]) -> GivenOrder:
    """Return an order of a row of what is found."""
    at_s, rudder_deg, heading_deg, east_m, north_m = values
    return GivenOrder(
        order=order,
        at_s=at_s,
        rudder_deg=rudder_deg,
        heading_deg=heading_deg,
        east_m=east_m,
        north_m=north_m,
    )
