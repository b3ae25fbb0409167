"""The standard manoeuvres, run on any model that runs helm orders.

Turning circle and zig-zag are those of the standards for ship manoeuvrability [MSC137]_, in still
water, counted from the helm order and for midships.
"""

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import scipy

from wheelover.core.arrays import Floats
from wheelover.core.errors import OutOfDomain
from wheelover.core.types.manoeuvre import HelmOrder, Motion
from wheelover.core.types.standard_manoeuvres import CirclePoint, Swing, TurningCircle, ZigZag

_ROWS_A_LENGTH = 50
_FIRST_LENGTHS, _MOST_LENGTHS = 20.0, 640.0
_ROUND_DEG = (90.0, 180.0, 270.0, 360.0)
_STEADY_DEG = 720.0


class RunsOrders(Protocol):
    """A ship on her approach speed in still water, as a function from helm orders to motion."""

    def __call__(self, orders: tuple[HelmOrder, ...], times_s: list[float], /) -> Motion:
        """Return the motion under the orders at the wanted times."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Path:
    """A run as curves over time; heading counts from that at the start, positive to one side."""

    time_s: Floats
    heading_deg: Floats
    rate_deg_per_min: Floats
    heading_curve: "scipy.interpolate.CubicHermiteSpline"
    rate_curve: "scipy.interpolate.CubicSpline"
    advance_curve: "scipy.interpolate.CubicSpline"
    transfer_curve: "scipy.interpolate.CubicSpline"
    speed_curve: "scipy.interpolate.CubicSpline"

    def first_at_s(
        self, heading_deg: float, after_s: float = 0.0, side_ratio: float = 1.0
    ) -> float:
        """Return when a heading is first reached, nan when it is not."""
        beyond = side_ratio * (self.heading_deg - heading_deg) >= 0.0
        places = np.flatnonzero(beyond & (self.time_s > after_s))
        if places.size == 0:
            return math.nan
        low_s, high_s = max(after_s, self.time_s[places[0] - 1]), self.time_s[places[0]]
        return float(
            scipy.optimize.brentq(
                lambda at_s: float(self.heading_curve(at_s)) - heading_deg, low_s, high_s
            )
        )

    def peak_at_s(self, after_s: float, side_ratio: float) -> float:
        """Return when the heading next stops growing to a side, nan when it does not."""
        back = side_ratio * self.rate_deg_per_min <= 0.0
        places = np.flatnonzero(back & (self.time_s > after_s))
        if places.size == 0:
            return math.nan
        low_s, high_s = max(after_s, self.time_s[places[0] - 1]), self.time_s[places[0]]
        return float(
            scipy.optimize.brentq(lambda at_s: float(self.rate_curve(at_s)), low_s, high_s)
        )


def turning_circle(
    run: RunsOrders, *, rudder_deg: float, length_m: float, speed_m_per_s: float
) -> TurningCircle:
    """Return the turning circle at a rudder angle.

    Parameters
    ----------
    run : callable
        The ship, in still water: orders and times to motion.
    rudder_deg : float
        Rudder held, starboard positive, not zero.
    length_m, speed_m_per_s : float
        Length and approach speed: how close the motion is looked at, and for how long.

    Raises
    ------
    OutOfDomain
        When she has not turned twice round within 640 lengths sailed at the approach speed.

    Notes
    -----
    The final diameter is twice speed over rate of turn when she has turned 720 degrees.
    """
    side_ratio = math.copysign(1.0, rudder_deg)
    order = (HelmOrder(rudder_deg=rudder_deg, at_s=0.0),)
    sailed_lengths = _FIRST_LENGTHS
    while sailed_lengths <= _MOST_LENGTHS:
        path = _path(run, order, sailed_lengths, length_m / speed_m_per_s, side_ratio)
        steady_s = path.first_at_s(_STEADY_DEG)
        if not math.isnan(steady_s):
            return _circle(path, rudder_deg, steady_s)
        sailed_lengths *= 2.0
    raise OutOfDomain(
        f"with {rudder_deg:g} degrees of rudder she does not turn twice round within "
        f"{_MOST_LENGTHS:.0f} lengths"
    )


def _circle(path: _Path, rudder_deg: float, steady_s: float) -> TurningCircle:
    """Return the numbers of a run that has gone twice round."""
    points = tuple(_point(path, heading_deg) for heading_deg in _ROUND_DEG)
    speed, rate = float(path.speed_curve(steady_s)), float(path.rate_curve(steady_s))
    return TurningCircle(
        rudder_deg=rudder_deg,
        advance_m=points[0].advance_m,
        transfer_m=points[0].transfer_m,
        tactical_diameter_m=points[1].transfer_m,
        points=points,
        rate_max_deg_per_min=float(np.max(path.rate_deg_per_min)),
        final_diameter_m=2.0 * speed / math.radians(rate / 60.0),
        final_speed_m_per_s=speed,
        final_rate_deg_per_min=rate,
    )


def _point(path: _Path, heading_deg: float) -> CirclePoint:
    """Return the moment at which a change of heading is reached."""
    at_s = path.first_at_s(heading_deg)
    return CirclePoint(
        heading_change_deg=heading_deg,
        time_s=at_s,
        advance_m=float(path.advance_curve(at_s)),
        transfer_m=float(path.transfer_curve(at_s)),
        speed_m_per_s=float(path.speed_curve(at_s)),
        rate_deg_per_min=float(path.rate_curve(at_s)),
    )


def zig_zag(
    run: RunsOrders,
    *,
    rudder_deg: float,
    heading_change_deg: float,
    length_m: float,
    speed_m_per_s: float,
    swing_count: int = 3,
) -> ZigZag:
    """Return the overshoots and times of a zig-zag.

    Parameters
    ----------
    run : callable
        The ship, in still water: orders and times to motion.
    rudder_deg : float
        First rudder, starboard positive, not zero; the same angle is put over to either side.
    heading_change_deg : float
        At which change of heading to either side the rudder is put over, above zero.
    length_m, speed_m_per_s : float
        Length and approach speed: how close the motion is looked at, and for how long.
    swing_count : int
        How many overshoots are wanted.

    Raises
    ------
    OutOfDomain
        When she has not made them within 640 lengths sailed at the approach speed.
    """
    side_ratio = math.copysign(1.0, rudder_deg)
    orders = [HelmOrder(rudder_deg=rudder_deg, at_s=0.0)]
    for number in range(swing_count):
        way = side_ratio * (-1.0) ** number
        orders.append(
            HelmOrder(
                rudder_deg=-way * abs(rudder_deg), at_heading_change_deg=way * heading_change_deg
            )
        )
    sailed_lengths = _FIRST_LENGTHS
    while sailed_lengths <= _MOST_LENGTHS:
        path = _path(run, tuple(orders), sailed_lengths, length_m / speed_m_per_s, side_ratio)
        swings = _swings(path, heading_change_deg, swing_count)
        if swings:
            return ZigZag(
                rudder_deg=rudder_deg,
                heading_change_deg=side_ratio * heading_change_deg,
                swings=swings,
            )
        sailed_lengths *= 2.0
    raise OutOfDomain(f"she does not make {swing_count} overshoots in {_MOST_LENGTHS:.0f} lengths")


def _swings(path: _Path, heading_change_deg: float, swing_count: int) -> tuple[Swing, ...]:
    """Return the swings of a run, none when it was too short for all of them."""
    swings: list[Swing] = []
    from_s, side_ratio = 0.0, 1.0
    for _ in range(swing_count):
        order_s = path.first_at_s(side_ratio * heading_change_deg, from_s, side_ratio)
        if math.isnan(order_s):
            return ()
        from_s = path.peak_at_s(order_s, side_ratio)
        if math.isnan(from_s):
            return ()
        swings.append(
            Swing(
                order_at_s=order_s,
                peak_at_s=from_s,
                overshoot_deg=side_ratio * float(path.heading_curve(from_s)) - heading_change_deg,
            )
        )
        side_ratio = -side_ratio
    return tuple(swings)


def _path(
    run: RunsOrders,
    orders: tuple[HelmOrder, ...],
    sailed_lengths: float,
    length_s: float,
    side_ratio: float,
) -> _Path:
    """Return a run of so many lengths at the approach speed, seen from the side she turns to."""
    rows = np.arange(round(sailed_lengths * _ROWS_A_LENGTH) + 1)
    motion = run(orders, (rows * (length_s / _ROWS_A_LENGTH)).tolist())
    first = math.radians(motion.heading_deg[0])
    turned = np.degrees(np.unwrap(np.radians(motion.heading_deg)))
    heading = side_ratio * (turned - turned[0])
    ahead = motion.east_m * math.sin(first) + motion.north_m * math.cos(first)
    starboard = motion.east_m * math.cos(first) - motion.north_m * math.sin(first)
    rate = side_ratio * motion.rate_deg_per_min
    time = motion.time_s
    return _Path(
        time_s=time,
        heading_deg=heading,
        rate_deg_per_min=rate,
        heading_curve=scipy.interpolate.CubicHermiteSpline(time, heading, rate / 60.0),
        rate_curve=scipy.interpolate.CubicSpline(time, rate),
        advance_curve=scipy.interpolate.CubicSpline(time, ahead),
        transfer_curve=scipy.interpolate.CubicSpline(time, side_ratio * starboard),
        speed_curve=scipy.interpolate.CubicSpline(time, motion.speed_m_per_s),
    )
