"""The three orders of a turn on the force model: helm, counter-helm, midships, each when she asks.

The force model is steadied as a helmsman would steady her: the counter-helm is held until the rate
comes to nothing as the rudder comes amidships, and the helm before it so long that she is then on
the new heading. Times are found by bracketed roots on whole runs.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from wheelover.core.manoeuvre.helm_orders import heading_for_course_deg
from wheelover.core.manoeuvre.run_forces import run_force_model
from wheelover.core.types.force_model import ForceModel
from wheelover.core.types.manoeuvre import Current, HelmOrder, Motion

_LOOK_LENGTHS = 60.0
_LONGER_LENGTHS = 0.2
_ROWS = 1201
_TIME_S = 1e-2


@dataclass(frozen=True, slots=True, kw_only=True)
class ForceTurn:
    """The orders found, and where the force model ends over the ground."""

    counter_at_s: float
    midships_at_s: float
    steady_at_s: float
    distance_to_new_course_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """A turn of the force model, to starboard or port."""

    model: ForceModel
    side: float
    rudder_deg: float
    rate_deg_per_s: float
    heading_in_deg: float
    change_deg: float
    current: Current

    @property
    def look_s(self) -> float:
        """Return how long it may take."""
        return _LOOK_LENGTHS * self.model.length_m / self.model.speed_m_per_s

    def run(self, orders: list[tuple[float, float]], times_s: list[float]) -> Motion:
        """Return the motion under (time, rudder to the side of the turn) orders."""
        given = tuple(HelmOrder(rudder_deg=self.side * rudder, at_s=at) for at, rudder in orders)
        return run_force_model(
            self.model,
            given,
            times_s,
            heading_deg=self.heading_in_deg,
            rudder_rate_deg_per_s=self.rate_deg_per_s,
            current=self.current,
        )

    def turned_deg(self, motion: Motion) -> np.ndarray:
        """Return how far she has turned to the side of the turn."""
        return self.side * np.degrees(
            np.unwrap(np.radians(motion.heading_deg - self.heading_in_deg))
        )


def force_turn(
    model: ForceModel,
    course_in_deg: float,
    course_out_deg: float,
    rudder_deg: float,
    rate_deg_per_s: float,
    current: Current,
) -> ForceTurn:
    """Return the turn of a force model with one rudder both ways.

    Parameters
    ----------
    model : ForceModel
        The ship.
    course_in_deg, course_out_deg : float
        Courses over the ground, less than half round apart.
    rudder_deg, rate_deg_per_s : float
        Helm and counter-helm, and how fast the rudder runs.
    current : Current
        It carries her; she crabs on both courses.
    """
    speed = model.speed_m_per_s
    heading_in = heading_for_course_deg(course_in_deg, speed, current)
    heading_out = heading_for_course_deg(course_out_deg, speed, current)
    change = (heading_out - heading_in + 180.0) % 360.0 - 180.0
    asked = _Asked(
        model=model,
        side=math.copysign(1.0, change),
        rudder_deg=rudder_deg,
        rate_deg_per_s=rate_deg_per_s,
        heading_in_deg=heading_in,
        change_deg=abs(change),
        current=current,
    )
    times = np.linspace(0.0, asked.look_s, _ROWS)
    turned = asked.turned_deg(asked.run([(0.0, rudder_deg)], times.tolist()))
    latest_s = float(times[np.argmax(turned >= abs(change))])
    counter = float(brentq(lambda at: _beyond_deg(asked, at), 1e-3, latest_s, xtol=_TIME_S))
    midships, steady = _steadied(asked, counter)
    return _answer(asked, course_in_deg, course_out_deg, counter, midships, steady)


def _steadied(asked: _Asked, counter_s: float) -> tuple[float, float]:
    """Return when midships must be ordered after a counter-helm, and when she is then steady."""
    rudder, rate = asked.rudder_deg, asked.rate_deg_per_s
    held = [(0.0, rudder), (counter_s, -rudder)]
    times = np.linspace(0.0, counter_s + asked.look_s, 2 * _ROWS)
    rates = asked.side * asked.run(held, times.tolist()).rate_deg_per_min
    past = np.flatnonzero((times > counter_s) & (rates <= 0.0))
    stopped_s = float(times[past[0]])

    def at_end(midships_s: float) -> tuple[float, float]:
        # Where the rudder is when midships is ordered says how long it takes to come back.
        reached = min(rudder, rate * counter_s)
        angle = max(reached - rate * (midships_s - counter_s), -rudder)
        end_s = midships_s + abs(angle) / rate
        motion = asked.run([*held, (midships_s, 0.0)], [0.0, end_s])
        return asked.side * float(motion.rate_deg_per_min[-1]), end_s

    # A ship unstable on her course swings on as the rudder comes back: it must be held a little
    # longer than until the rate is nothing.
    while at_end(stopped_s)[0] > 0.0:
        stopped_s += _LONGER_LENGTHS * asked.model.length_m / asked.model.speed_m_per_s
    midships = float(brentq(lambda at: at_end(at)[0], counter_s, stopped_s, xtol=_TIME_S))
    return midships, at_end(midships)[1]


def _beyond_deg(asked: _Asked, counter_s: float) -> float:
    """Return how far beyond the new heading she is steady after so long a helm."""
    midships, steady = _steadied(asked, counter_s)
    rudder = asked.rudder_deg
    orders = [(0.0, rudder), (counter_s, -rudder), (midships, 0.0)]
    times = np.linspace(0.0, steady, 200).tolist()
    return float(asked.turned_deg(asked.run(orders, times))[-1]) - asked.change_deg


def _answer(
    asked: _Asked,
    course_in_deg: float,
    course_out_deg: float,
    counter_s: float,
    midships_s: float,
    steady_s: float,
) -> ForceTurn:
    """Return the turn with its distance to the new course."""
    rudder = asked.rudder_deg
    orders = [(0.0, rudder), (counter_s, -rudder), (midships_s, 0.0)]
    end = asked.run(orders, [0.0, steady_s])
    course = math.radians(course_in_deg)
    change = math.radians((course_out_deg - course_in_deg + 180.0) % 360.0 - 180.0)
    east, north = float(end.east_m[-1]), float(end.north_m[-1])
    along = east * math.sin(course) + north * math.cos(course)
    across = east * math.cos(course) - north * math.sin(course)
    return ForceTurn(
        counter_at_s=counter_s,
        midships_at_s=midships_s,
        steady_at_s=steady_s,
        distance_to_new_course_m=along - across / math.tan(change),
    )
