"""Helm orders, and the motion that follows from them."""

from dataclasses import dataclass, field
from typing import Literal

from wheelover.core.arrays import Bools, Floats

OrderName = Literal["helm", "counter_helm", "midships"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HelmOrder:
    """Put the rudder to an angle, starboard positive, at a time or when the heading has changed.

    Exactly one of ``at_s`` and ``at_heading_change_deg`` is given; the change counts from the
    heading at the start, starboard positive.
    """

    rudder_deg: float
    at_s: float | None = None
    at_heading_change_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Current:
    """A uniform current: where it goes, degrees true, and how fast."""

    set_deg: float = 0.0
    drift_m_per_s: float = 0.0


NO_CURRENT = Current()
"""Still water, or a current that nobody gave."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wind:
    """A uniform true wind: where it comes from, degrees true, and how fast over the ground."""

    from_deg: float
    speed_m_per_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class InWind:
    """What the wind does to her on a steady heading.

    ``leeway_deg`` is from her heading to her way through the water, and ``helm_deg`` the rudder
    that she carries to hold the heading; both positive to starboard.
    """

    leeway_deg: float
    helm_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """The ship's midships over the ground in columns of shape (n,), from where she was at first.

    Speed is through the water, rates and rudder are positive to starboard.
    """

    time_s: Floats
    east_m: Floats
    north_m: Floats
    heading_deg: Floats
    rate_deg_per_min: Floats
    speed_m_per_s: Floats
    rudder_deg: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenOrder:
    """One of the three orders of a turn: when it is given, and where she is then."""

    order: OrderName
    at_s: float
    rudder_deg: float
    heading_deg: float
    east_m: float
    north_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SteadyTurn:
    """The three orders that steady the ship on the new course, and what comes of them.

    ``distance_to_new_course_m`` is counted from the helm order along the inbound course to where
    the line through the steady position on the outbound course crosses it.
    """

    heading_in_deg: float
    heading_out_deg: float
    orders: tuple[GivenOrder, ...]
    steady_at_s: float
    distance_to_new_course_m: float
    rate_max_deg_per_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SteadyTurns:
    """The orders of n turns in columns: shape (n,), of the orders (n, 3), in their sequence.

    ``refused`` says by row why there are no orders; such a row is not ``found`` and holds nan.
    """

    found: Bools
    refused: dict[int, str]
    heading_in_deg: Floats
    heading_out_deg: Floats
    at_s: Floats
    rudder_deg: Floats
    heading_deg: Floats
    east_m: Floats
    north_m: Floats
    steady_at_s: Floats
    distance_to_new_course_m: Floats
    rate_max_deg_per_min: Floats


Steering = Literal["rudder", "rate", "radius"]
"""What the helm holds through a turn: an angle, a rate of turn, or a radius through the water."""

SteeringOrderName = Literal["helm", "counter_helm", "midships", "rate", "radius", "steady"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SteeringOrder:
    """An order of a simulated turn, when it is given, and where she is then.

    What is ordered is a rudder, a rate or a radius; rudder and rate are positive to starboard, and
    an order to steady on the new heading names none of them. Places count from the first order.
    """

    order: SteeringOrderName
    at_s: float
    heading_deg: float
    east_m: float
    north_m: float
    rudder_deg: float | None = None
    rate_deg_per_min: float | None = None
    radius_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedTurn:
    """A turn as she would make it, from the first order until she is steady.

    ``rudder_for`` says of a turn steered by rudder whether the angle is that of the planned radius
    or was itself planned. ``rudder_deg`` is the largest that is used, above zero. ``motion`` counts
    from where the first order is given; it follows from the rest.
    """

    steering: Steering
    rudder_for: Literal["radius", "rudder"] | None
    rudder_deg: float
    heading_in_deg: float
    heading_out_deg: float
    orders: tuple[SteeringOrder, ...]
    steady_at_s: float
    distance_to_new_course_m: float
    rate_max_deg_per_min: float
    motion: Motion = field(compare=False)
