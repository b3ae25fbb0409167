"""What comes out of the standard manoeuvres: the turning circle and the zig-zag."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class CirclePoint:
    """A moment of a turning circle, from when and where the helm was ordered.

    Change of heading, transfer and rate are positive to the side of the turn.
    """

    heading_change_deg: float
    time_s: float
    advance_m: float
    transfer_m: float
    speed_m_per_s: float
    rate_deg_per_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TurningCircle:
    """A turning circle, its points at 90, 180, 270 and 360 degrees, and the steady turn at its end.

    ``rudder_deg`` is positive to starboard, everything else to the side of the turn. Advance and
    transfer belong to 90 degrees, the tactical diameter to 180.
    """

    rudder_deg: float
    advance_m: float
    transfer_m: float
    tactical_diameter_m: float
    points: tuple[CirclePoint, ...]
    rate_max_deg_per_min: float
    final_diameter_m: float
    final_speed_m_per_s: float
    final_rate_deg_per_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """One order of a zig-zag and how far she swung on after it.

    ``peak_at_s`` is when the heading was farthest out, ``overshoot_deg`` by how much beyond the
    heading of the order, not negative.
    """

    order_at_s: float
    peak_at_s: float
    overshoot_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ZigZag:
    """A zig-zag: first rudder and first change of heading, and its swings.

    Both are positive when the first order is to starboard.
    """

    rudder_deg: float
    heading_change_deg: float
    swings: tuple[Swing, ...]
