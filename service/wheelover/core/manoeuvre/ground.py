"""What any run of helm orders needs: orders in their sequence, and the way over the ground."""

import math

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.errors import Fault, InvalidInput
from wheelover.core.geo.angles import normal_course_deg
from wheelover.core.types.manoeuvre import Current, HelmOrder, Motion


def require_in_sequence(orders: tuple[HelmOrder, ...]) -> None:
    """Raise for an order that would be given before the one before it.

    Raises
    ------
    InvalidInput
        Naming the order.
    """
    latest_s = 0.0
    for index, order in enumerate(orders):
        if order.at_s is None:
            continue
        if order.at_s < latest_s:
            message = f"order {index + 1} is given at {order.at_s:g} s, before {latest_s:g} s"
            raise InvalidInput(message, (Fault(pointer=f"/orders/{index}/at_s", message=message),))
        latest_s = order.at_s


def motion_over_ground(
    *,
    times_s: Floats,
    heading_change_rad: Floats,
    rate_rad_per_s: Floats,
    speed_m_per_s: Floats,
    ahead_m: Floats,
    starboard_m: Floats,
    rudder_rad: Floats,
    heading_deg: float,
    current: Current,
) -> Motion:
    """Return the motion over the ground, north up, from that in the water along the first heading.

    Parameters
    ----------
    times_s, heading_change_rad, rate_rad_per_s, speed_m_per_s, ahead_m, starboard_m, rudder_rad :
        ndarray, shape (n,). Place is that in the water, from where she was at first.
    heading_deg : float
        Her heading at first.
    current : Current
        It carries ship and water alike, so the way of the water is added and nothing else changes.
    """
    sine, cosine = math.sin(math.radians(heading_deg)), math.cos(math.radians(heading_deg))
    sets, drift_m = math.radians(current.set_deg), current.drift_m_per_s * times_s
    return Motion(
        time_s=times_s,
        east_m=ahead_m * sine + starboard_m * cosine + drift_m * math.sin(sets),
        north_m=ahead_m * cosine - starboard_m * sine + drift_m * math.cos(sets),
        heading_deg=normal_course_deg(heading_deg + np.degrees(heading_change_rad)),
        rate_deg_per_min=np.degrees(rate_rad_per_s) * 60.0,
        speed_m_per_s=speed_m_per_s,
        rudder_deg=np.degrees(rudder_rad),
    )
