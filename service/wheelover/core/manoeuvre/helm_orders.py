"""The three orders of a turn that leave her steady on the new leg: helm, counter-helm, midships."""

import math
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq, minimize_scalar

from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.angles import normal_course_deg, signed_change_deg
from wheelover.core.manoeuvre.model import (
    MOST_TURN_STEPS,
    ShipModel,
    State,
    advance,
    steps_in,
    within_numbers,
)
from wheelover.core.manoeuvre.rudder import Rudder, amidships
from wheelover.core.types.manoeuvre import Current, GivenOrder, OrderName, SteadyTurn

_LEAST_CHANGE_DEG = 1e-6
_TIME_S = 1e-11
_RATIO = 1e-14
_GRID_STEPS = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moment:
    """A moment of the turn: when, what she does, and where the rudder is."""

    at_s: float
    state: State
    rudder: Rudder


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
    return float(normal_course_deg(course_deg - math.degrees(math.asin(across / speed_m_per_s))))


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
    The longer the helm is held, the farther she turns before the counter-helm has stopped her: both
    times are found by bracketed roots on the stepped model.
    """
    stream = current or Current()
    headings = [
        heading_for_course_deg(course, model.speed_m_per_s, stream)
        for course in (course_in_deg, course_out_deg)
    ]
    change_deg = _heading_change_deg(course_in_deg, course_out_deg, headings)
    side = math.copysign(1.0, change_deg)
    helm_rad = side * math.radians(rudder_deg)
    back_rad = -side * math.radians(counter_rudder_deg or rudder_deg)
    first = _Moment(at_s=0.0, state=model.start, rudder=amidships(rudder_rate_deg_per_s))
    turn = _Turn(
        model=model, side_ratio=side, helm_rad=helm_rad, back_rad=back_rad, held=[first], spent=[0]
    )
    courses_deg = (course_in_deg, course_out_deg)
    try:
        with within_numbers():
            times = turn.solve(math.radians(abs(change_deg)))
            return _answer(turn, times, helm_delay_s, headings, courses_deg, stream)
    except ValueError as error:
        # A root that is not bracketed after all: undefined numbers, or lost to rounding.
        raise OutOfDomain("no helm orders were found that steady her on the new course") from error


def _heading_change_deg(
    course_in_deg: float, course_out_deg: float, headings_deg: list[float]
) -> float:
    """Return the change of heading: that of the course, and what the crab angles differ by."""
    course_change = float(signed_change_deg(course_in_deg, course_out_deg))
    if abs(math.sin(math.radians(course_change))) < math.sin(math.radians(_LEAST_CHANGE_DEG)):
        raise OutOfDomain(
            f"the courses {course_in_deg:g} and {course_out_deg:g} lie along one line, on which no "
            "distance to the new course exists"
        )
    crabs = [
        float(signed_change_deg(course, heading))
        for course, heading in zip((course_in_deg, course_out_deg), headings_deg, strict=True)
    ]
    change = course_change + crabs[1] - crabs[0]
    if abs(change) < _LEAST_CHANGE_DEG:
        raise OutOfDomain("the heading does not change: the current alone makes the new course")
    return change


@dataclass(frozen=True, slots=True, kw_only=True)
class _Turn:
    """A turn to one side with its two rudder angles; times count from the rudder's first move.

    ``held`` keeps moments of the helm held on, ``_GRID_STEPS`` steps apart, which every look at a
    shorter or longer helm begins from. ``spent`` counts the steps of all looks together.
    """

    model: ShipModel
    side_ratio: float
    helm_rad: float
    back_rad: float
    held: list[_Moment]
    spent: list[int]

    def solve(self, change_rad: float) -> tuple[float, float, float]:
        """Return when the rudder is put over the other way, when back, and when it is amidships."""
        latest_s = self._long_enough_s(change_rad)

        def too_far(counter_s: float) -> float:
            return self.side_ratio * self._steadied(counter_s)[1].state.heading_rad - change_rad

        counter_s = float(brentq(too_far, 0.0, latest_s, xtol=_TIME_S, rtol=_RATIO))
        midships_s, steady = self._steadied(counter_s)
        return counter_s, midships_s, steady.at_s

    def helm(self, until_s: float) -> _Moment:
        """Return the moment after the helm has been over for so long."""
        grid_s = _GRID_STEPS * self.model.step_s
        number = int(until_s / grid_s)
        while len(self.held) <= number:
            self.held.append(self._on(self.held[-1], self.helm_rad, grid_s))
        return self._on(self.held[number], self.helm_rad, until_s - number * grid_s)

    def _long_enough_s(self, change_rad: float) -> float:
        """Return a time of helm in which she turns farther than wanted."""
        length_s = self.model.length_m / self.model.speed_m_per_s
        until_s = length_s
        while self.side_ratio * self.helm(until_s).state.heading_rad <= change_rad:
            until_s *= 1.5
        return until_s

    def _steadied(self, counter_s: float) -> tuple[float, _Moment]:
        """Return when the rudder is put amidships, and the moment it is there and she steady."""
        over = self.helm(counter_s)
        least_s = self.model.length_m / self.model.speed_m_per_s / 16.0

        def left(while_s: float) -> float:
            return self.side_ratio * self._back(over, while_s).state.rate_rad_per_s

        if left(0.0) <= 0.0:
            # No helm at all: there is nothing to stop.
            return over.at_s, self._back(over, 0.0)
        low_s, high_s = 0.0, least_s
        while left(high_s) > 0.0:
            low_s, high_s = high_s, high_s * 2.0
        while_s = float(brentq(left, low_s, high_s, xtol=_TIME_S, rtol=_RATIO))
        return over.at_s + while_s, self._back(over, while_s)

    def _back(self, over: _Moment, while_s: float) -> _Moment:
        """Return the moment the rudder is amidships, after so long a counter-helm."""
        countered = self._on(over, self.back_rad, while_s)
        rudder = countered.rudder.to(0.0)
        left_s = 0.0 if math.isinf(rudder.left_s) else rudder.left_s
        return self._on(countered, 0.0, left_s)

    def _on(self, moment: _Moment, target_rad: float, while_s: float) -> _Moment:
        """Return the moment after the rudder has been sent to an angle for so long."""
        self._spend(while_s)
        rudder, state, left_s = moment.rudder.to(target_rad), moment.state, while_s
        if 0.0 < rudder.left_s < while_s:
            state = advance(
                self.model, state, rudder.angle_rad, rudder.run_rad_per_s, rudder.left_s
            )
            left_s -= rudder.left_s
            rudder = rudder.after(rudder.left_s)
        if left_s > 0.0:
            state = advance(self.model, state, rudder.angle_rad, rudder.run_rad_per_s, left_s)
            rudder = rudder.after(left_s)
        return _Moment(at_s=moment.at_s + while_s, state=state, rudder=rudder)

    def _spend(self, while_s: float) -> None:
        """Count the steps of a look, and give up when all looks together take too many."""
        self.spent[0] += steps_in(self.model, while_s)
        if self.spent[0] > MOST_TURN_STEPS:
            raise OutOfDomain(
                "with this response and rudder she does not come to the new heading and to rest on "
                f"it within {MOST_TURN_STEPS} steps: no such orders were found"
            )

    def at(self, times: tuple[float, float, float], while_s: float) -> State:
        """Return what she does so long after the rudder first moved; before that she is steady."""
        counter_s, midships_s, _ = times
        if while_s <= 0.0:
            return self.model.start
        moment = self.helm(min(while_s, counter_s))
        if while_s > counter_s:
            moment = self._on(moment, self.back_rad, min(while_s, midships_s) - counter_s)
        if while_s > midships_s:
            moment = self._on(moment, 0.0, while_s - midships_s)
        return moment.state

    def largest_rate_rad_per_s(self, times: tuple[float, float, float]) -> float:
        """Return the largest rate of turn: held helm loses speed, so it may lie anywhere."""
        grid_s = _GRID_STEPS * self.model.step_s / 4.0
        looks = np.append(np.arange(0.0, times[2], grid_s), times[0])
        rates = [self._rate(times, float(one)) for one in looks]
        best_s = float(looks[int(np.argmax(rates))])
        found = minimize_scalar(
            lambda while_s: -self._rate(times, while_s),
            bounds=(max(best_s - grid_s, 0.0), min(best_s + grid_s, times[2])),
            method="bounded",
            options={"xatol": 1e-4},
        )
        return max(*rates, -float(found.fun))

    def _rate(self, times: tuple[float, float, float], while_s: float) -> float:
        """Return the rate of turn, positive to the side of the turn."""
        return self.side_ratio * self.at(times, while_s).rate_rad_per_s


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """Where she is over the ground, from where the helm was ordered."""

    turn: _Turn
    times: tuple[float, float, float]
    delay_s: float
    heading_in_deg: float
    current: Current

    def place_m(self, at_s: float) -> tuple[float, float]:
        """Return east and north at a time after the helm order."""
        state = self.turn.at(self.times, at_s - self.delay_s)
        ahead_m = state.ahead_m + self.turn.model.speed_m_per_s * min(at_s, self.delay_s)
        sine, cosine = (f(math.radians(self.heading_in_deg)) for f in (math.sin, math.cos))
        sets, drift_m = math.radians(self.current.set_deg), self.current.drift_m_per_s * at_s
        return (
            ahead_m * sine + state.starboard_m * cosine + drift_m * math.sin(sets),
            ahead_m * cosine - state.starboard_m * sine + drift_m * math.cos(sets),
        )

    def given(self, order: OrderName, at_s: float, rudder_rad: float) -> GivenOrder:
        """Return an order with where she is when it is given."""
        state = self.turn.at(self.times, at_s - self.delay_s)
        east_m, north_m = self.place_m(at_s)
        return GivenOrder(
            order=order,
            at_s=at_s,
            rudder_deg=math.degrees(rudder_rad),
            heading_deg=float(
                normal_course_deg(self.heading_in_deg + math.degrees(state.heading_rad))
            ),
            east_m=east_m,
            north_m=north_m,
        )


def _answer(
    turn: _Turn,
    times: tuple[float, float, float],
    helm_delay_s: float,
    headings_deg: list[float],
    courses_deg: tuple[float, float],
    current: Current,
) -> SteadyTurn:
    """Return the orders with where she is at each, and the distance to the new course.

    The delay comes once: an order is given that much before the rudder moves, and the helm order is
    the first moment that counts.
    """
    counter_s, midships_s, steady_s = times
    ground = _Ground(
        turn=turn,
        times=times,
        delay_s=helm_delay_s,
        heading_in_deg=headings_deg[0],
        current=current,
    )
    course_rad = math.radians(courses_deg[0])
    change_rad = math.radians(float(signed_change_deg(*courses_deg)))
    east_m, north_m = ground.place_m(steady_s + helm_delay_s)
    along_m = east_m * math.sin(course_rad) + north_m * math.cos(course_rad)
    across_m = east_m * math.cos(course_rad) - north_m * math.sin(course_rad)
    return SteadyTurn(
        heading_in_deg=headings_deg[0],
        heading_out_deg=headings_deg[1],
        orders=(
            ground.given("helm", 0.0, turn.helm_rad),
            ground.given("counter_helm", counter_s, turn.back_rad),
            ground.given("midships", midships_s, 0.0),
        ),
        steady_at_s=steady_s + helm_delay_s,
        distance_to_new_course_m=along_m - across_m / math.tan(change_rad),
        rate_max_deg_per_min=math.degrees(turn.largest_rate_rad_per_s(times)) * 60.0,
    )
