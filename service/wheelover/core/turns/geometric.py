"""Wheel-over by geometry: the tangent length of the turn plus the reach."""

import math

from wheelover.core.turns.setting import LaidBack, TurnSetting
from wheelover.core.types.track import Arc, NotApplicable
from wheelover.core.units import nm_from_m


def geometric(setting: TurnSetting) -> LaidBack | NotApplicable:
    """Return the wheel-over at tangent length plus reach before the waypoint.

    The reach is the run from the helm order until the ship starts to turn; the tangent length is
    that of the planned radius. Still water, and the radius is held all the way.

    Parameters
    ----------
    setting : TurnSetting
        The legs, the arc and the ship's reach.

    Returns
    -------
    LaidBack or NotApplicable
        The distance is along the inbound leg, back from the waypoint.

    Notes
    -----
    Radius and reach construction, common practice of the trade [WO]_.
    """
    if setting.arc is None:
        return NotApplicable(method="geometric", reason=setting.reason or "there is no arc here")
    if setting.reach_m is None:
        return NotApplicable(
            method="geometric", reason=setting.reach_reason or "the reach is not known"
        )
    return LaidBack(
        method="geometric",
        distance_m=setting.arc.tangent_in_m + setting.reach_m,
        reach_m=setting.reach_m,
        working=_working(setting.arc, setting.reach_m, setting.course_change_deg),
    )


def _working(arc: Arc, reach_m: float, change_deg: float) -> tuple[str, ...]:
    """Return the lines of the hand calculation; the plane tangent stands beside the true one."""
    radius_nm, reach_nm = nm_from_m(arc.radius_m), nm_from_m(reach_m)
    size_deg = abs(change_deg)
    plane_nm = radius_nm * math.tan(math.radians(size_deg) / 2.0)
    tangent_nm = nm_from_m(arc.tangent_in_m)
    return (
        f"tangent = R tan(change / 2) = {radius_nm:.4g} x tan {size_deg / 2.0:.2f} "
        f"= {plane_nm:.4f} NM by hand; {tangent_nm:.4f} NM on the ellipsoid",
        f"WOP = tangent + reach = {tangent_nm:.4f} + {reach_nm:.4f} "
        f"= {tangent_nm + reach_nm:.4f} NM before the waypoint",
    )
