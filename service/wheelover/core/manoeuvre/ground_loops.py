"""Turns asked for over the ground, compiled: rows of ships and courses in, rows of orders out."""

import math

import numpy as np

from wheelover.core.arrays import Ints, Table
from wheelover.core.compiled import compiled, copy_over, inlined
from wheelover.core.manoeuvre.sail_loops import FOUND, NO_CROSSING
from wheelover.core.manoeuvre.series import SHIP_COUNT, STEP
from wheelover.core.manoeuvre.turn_loops import (
    ANSWER_COUNT,
    BACK,
    CHANGE,
    COUNTER,
    COUNTER_AT,
    DELAY,
    HELM,
    MIDSHIPS,
    MIDSHIPS_AT,
    MOST_RATE,
    RUDDER_RATE,
    STEADY,
    STEADY_AT,
    TOO_LONG_RUN,
    TURN_COUNT,
    solve_turn,
)

LENGTH_M, SPEED_M_PER_S, SHIP = range(3)
ASK = SHIP + SHIP_COUNT
"""Columns of what is asked with: those of ``ShipModel`` in their sequence, from SHIP on as
core/manoeuvre/series.py has them but for the step in seconds, and then from ASK on:"""

(
    COURSE_IN_DEG, COURSE_OUT_DEG, RUDDER_DEG, COUNTER_RUDDER_DEG, RUDDER_RATE_DEG_PER_S,
    HELM_DELAY_S, SET_DEG, DRIFT_M_PER_S, ASKED_COUNT,
) = range(ASK, ASK + 9)  # fmt: skip

HEADING_IN_DEG, HEADING_OUT_DEG, ORDERS = range(3)
AT_S, GIVEN_RUDDER_DEG, HEADING_DEG, EAST_M, NORTH_M, ORDER_COUNT = range(6)
STEADY_AT_S, DISTANCE_M, MOST_DEG_PER_MIN, RUN_S, GROUND_COUNT = range(17, 22)
"""Columns of what is found: headings, from ORDERS on three times what is said of an order, and what
comes of them. RUN_S is the run that was too long, if one was."""

UNDEFINED, NOT_MADE_GOOD, ONE_LINE, NO_CHANGE = range(NO_CROSSING + 1, NO_CROSSING + 5)
"""Why orders were not looked for, beside the reasons of core/manoeuvre/sail_loops.py."""

LEAST_CHANGE_DEG = 1e-6


@inlined
def _normal_deg(course_deg: float) -> float:
    """Return a course in [0, 360), as ``normal_course_deg`` does."""
    wrapped = course_deg % 360.0
    return 0.0 if wrapped >= 360.0 else wrapped


@inlined
def _change_deg(from_deg: float, to_deg: float) -> float:
    """Return the turn from one direction to another, as ``signed_change_deg`` does."""
    difference = to_deg - from_deg
    if abs(difference) < 180.0:
        return difference
    wrapped = (difference + 180.0) % 360.0 - 180.0
    return 180.0 if wrapped == -180.0 else wrapped


@inlined
def _heading_deg(asked: Table, course_deg: float) -> float:
    """Return the heading that makes good a course, nan where none does."""
    speed = asked[SPEED_M_PER_S]
    angle_rad = math.radians(asked[SET_DEG] - course_deg)
    across = asked[DRIFT_M_PER_S] * math.sin(angle_rad)
    along = asked[DRIFT_M_PER_S] * math.cos(angle_rad)
    if not abs(across) < speed or not math.sqrt(speed**2 - across**2) + along > 0.0:
        return math.nan
    return _normal_deg(course_deg - math.degrees(math.asin(across / speed)))


@inlined
def _prepare(asked: Table, ground: Table, turn: Table) -> tuple[int, float]:
    """Write headings and what the search takes; return why not, and to which side she turns."""
    for number in range(ASKED_COUNT):
        at_once = number == RUDDER_RATE_DEG_PER_S and asked[number] == math.inf
        if not (math.isfinite(asked[number]) or at_once):
            return UNDEFINED, 0.0
    course_in, course_out = asked[COURSE_IN_DEG], asked[COURSE_OUT_DEG]
    ground[HEADING_IN_DEG] = _heading_deg(asked, course_in)
    ground[HEADING_OUT_DEG] = _heading_deg(asked, course_out)
    if math.isnan(ground[HEADING_IN_DEG] + ground[HEADING_OUT_DEG]):
        return NOT_MADE_GOOD, 0.0
    course_change = _change_deg(course_in, course_out)
    least = math.sin(math.radians(LEAST_CHANGE_DEG))
    if abs(math.sin(math.radians(course_change))) < least:
        return ONE_LINE, 0.0
    # The change of heading is that of the course, and what the crab angles differ by.
    crab_in = _change_deg(course_in, ground[HEADING_IN_DEG])
    change = course_change + _change_deg(course_out, ground[HEADING_OUT_DEG]) - crab_in
    if abs(change) < LEAST_CHANGE_DEG:
        return NO_CHANGE, 0.0
    length_s = asked[LENGTH_M] / asked[SPEED_M_PER_S]
    turn[HELM] = math.radians(asked[RUDDER_DEG])
    turn[BACK] = math.radians(asked[COUNTER_RUDDER_DEG])
    turn[RUDDER_RATE] = math.radians(asked[RUDDER_RATE_DEG_PER_S]) * length_s
    turn[CHANGE] = math.radians(abs(change))
    turn[DELAY] = asked[HELM_DELAY_S] / length_s
    return FOUND, math.copysign(1.0, change)


@inlined
def _over_ground_m(
    asked: Table, sign: float, heading_deg: float, place: Table, at_s: float
) -> tuple[float, float]:
    """Return east and north, at a time after the helm order, of a place in the water in lengths."""
    # The delay comes once: until the rudder moves she goes on as she was.
    ahead_m = place[0] * asked[LENGTH_M] + asked[SPEED_M_PER_S] * asked[HELM_DELAY_S]
    starboard_m = sign * place[1] * asked[LENGTH_M]
    heading_rad, set_rad = math.radians(heading_deg), math.radians(asked[SET_DEG])
    sine, cosine = math.sin(heading_rad), math.cos(heading_rad)
    drift_m = asked[DRIFT_M_PER_S] * at_s
    return (
        ahead_m * sine + starboard_m * cosine + drift_m * math.sin(set_rad),
        ahead_m * cosine - starboard_m * sine + drift_m * math.cos(set_rad),
    )


@inlined
def _write_orders(asked: Table, sign: float, answer: Table, ground: Table) -> None:
    """Write the orders: when, what, and where she is when each is given."""
    length_s = asked[LENGTH_M] / asked[SPEED_M_PER_S]
    heading_deg = ground[HEADING_IN_DEG]
    ground[ORDERS + GIVEN_RUDDER_DEG] = sign * asked[RUDDER_DEG]
    ground[ORDERS + HEADING_DEG] = heading_deg
    ground[ORDERS + ORDER_COUNT + GIVEN_RUDDER_DEG] = -sign * asked[COUNTER_RUDDER_DEG]
    for order, at, first in ((1, COUNTER_AT, COUNTER), (2, MIDSHIPS_AT, MIDSHIPS)):
        given = ground[ORDERS + order * ORDER_COUNT : ORDERS + (order + 1) * ORDER_COUNT]
        given[AT_S] = answer[at] * length_s
        given[HEADING_DEG] = _normal_deg(heading_deg + sign * math.degrees(answer[first]))
        given[EAST_M], given[NORTH_M] = _over_ground_m(
            asked, sign, heading_deg, answer[first + 1 : first + 3], given[AT_S]
        )


@inlined
def _write_outcome(asked: Table, sign: float, answer: Table, ground: Table) -> None:
    """Write when she is steady, the distance to the new course, and the largest rate."""
    length_s = asked[LENGTH_M] / asked[SPEED_M_PER_S]
    at_s = answer[STEADY_AT] * length_s + asked[HELM_DELAY_S]
    place = answer[STEADY + 1 : STEADY + 3]
    east_m, north_m = _over_ground_m(asked, sign, ground[HEADING_IN_DEG], place, at_s)
    course_rad = math.radians(asked[COURSE_IN_DEG])
    change_rad = math.radians(_change_deg(asked[COURSE_IN_DEG], asked[COURSE_OUT_DEG]))
    along_m = east_m * math.sin(course_rad) + north_m * math.cos(course_rad)
    across_m = east_m * math.cos(course_rad) - north_m * math.sin(course_rad)
    ground[STEADY_AT_S] = at_s
    ground[DISTANCE_M] = along_m - across_m / math.tan(change_rad)
    ground[MOST_DEG_PER_MIN] = math.degrees(answer[MOST_RATE]) / length_s * 60.0


@inlined
def _solve(asked: Table, ground: Table) -> int:
    """Find the orders of one row, write them, and return why the search ended."""
    turn, answer = np.zeros(TURN_COUNT), np.zeros(ANSWER_COUNT)
    status, sign = _prepare(asked, ground, turn)
    if status == FOUND:
        length_s = asked[LENGTH_M] / asked[SPEED_M_PER_S]
        ship = np.empty(ASK - SHIP)
        copy_over(ship, asked[SHIP:ASK])
        ship[STEP] /= length_s
        status = solve_turn(ship, turn, answer)
        ground[RUN_S] = answer[TOO_LONG_RUN] * length_s
    if status == FOUND:
        _write_orders(asked, sign, answer, ground)
        _write_outcome(asked, sign, answer, ground)
    return status


@compiled("int64[::1](float64[:,::1],float64[:,::1])")
def turns_loop(asked: Table, grounds: Table) -> Ints:
    """Return why the search for each row ended, (n,).

    Of what is asked with, (n, ASKED_COUNT), each row fills one of what is found, (n, GROUND_COUNT),
    which comes in as zeros.
    """
    statuses = np.empty(asked.shape[0], np.int64)
    for row in range(asked.shape[0]):
        statuses[row] = _solve(asked[row], grounds[row])
    return statuses
