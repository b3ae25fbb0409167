"""The swept hull and the window of a wheel-over, in answers."""

from typing import Literal

from wheelover.api.schemas.answer import Answer, PositionOut
from wheelover.core.types.clearance import LimitSource


class HullOut(Answer):
    """How near the hull comes to a danger, and when after the first order."""

    hazard_id: str
    hazard_name: str | None
    distance_m: float
    clearance_m: float
    at_s: float
    hull_point: PositionOut
    hazard_point: PositionOut
    limit_m: float | None
    limit_source: LimitSource | None
    met: bool | None


class BoundOut(Answer):
    """What ends a window: which limit, and of what."""

    kind: Literal["off_track", "danger", "corridor", "leg_start", "range"]
    limit_m: float | None
    hazard_id: str | None
    hazard_name: str | None
    leg: Literal["inbound", "outbound"] | None
    side: Literal["port", "starboard"] | None


class WindowEndOut(Answer):
    """The earliest or latest wheel-over; later is counted from the planned one."""

    distance_nm: float
    later_m: float
    later_s: float
    bound: BoundOut


class WindowOut(Answer):
    """Between which wheel-overs every limit is held; without ends there is none.

    ``not_checked`` says what of the water between the ends was not held against charts, and
    ``on_coast`` that coastline lies in it, which ends no window; null where it was not looked at.
    """

    earliest: WindowEndOut | None
    latest: WindowEndOut | None
    planned_inside: bool
    window_count: int
    off_track_m_per_s: float
    tightest: BoundOut | None
    not_checked: str | None
    on_coast: bool | None


class LegHullOut(Answer):
    """The strip that the hull sweeps along a leg; crab is from course to heading."""

    crab_deg: float | None
    half_width_m: float | None
    clearance_m: float | None
    reason: str | None


class TurnHullOut(Answer):
    """What the hull sweeps in a simulated turn: the danger that matters most, and the window."""

    least: HullOut | None
    window: WindowOut | None
    reason: str | None
    window_reason: str | None


class LateDangerOut(Answer):
    """A danger that the hull comes too near to when the helm is late.

    ``first_at_s`` and ``first_ahead_m`` are when and after what run from the planned wheel-over
    she first is inside its limit; ``clearance_m`` is the least on the way. ``before_helm`` says
    that she meets it before the late helm is given, ``in_time`` that she comes too near with the
    helm in time as well, null where that was not looked at.
    """

    hazard_id: str
    hazard_name: str | None
    clearance_m: float
    limit_m: float | None
    limit_source: LimitSource | None
    touched: bool
    first_at_s: float
    first_ahead_m: float
    before_helm: bool
    in_time: bool | None


class LateHelmOut(Answer):
    """What lies ahead if the helm is late: she runs on straight, then turns as planned.

    ``dangers`` come in the order in which she meets them, the first 12 of ``danger_count``, null
    where ``reason`` says why nothing was looked at. ``assumed`` says that nobody said how late.
    Where the turn is not ``simulated`` she is taken along the planned arc. ``rule`` is that of the
    limit set; it is missed where anything is met that late. ``not_checked`` and ``on_coast`` are as
    those of a window, of the water that she runs into.
    """

    late_s: float
    assumed: bool
    run_on_m: float | None
    simulated: bool
    dangers: list[LateDangerOut] | None
    danger_count: int | None
    reason: str | None
    rule: str | None
    rule_missed: bool
    not_checked: str | None
    on_coast: bool | None
