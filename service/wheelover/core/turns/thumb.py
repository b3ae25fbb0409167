"""Wheel-over by the bridge's rule of thumb: rate from speed over radius, half the run laid back."""

from wheelover.core.turns.setting import LaidBack, TurnSetting
from wheelover.core.types.track import NotApplicable
from wheelover.core.units import m_from_nm, nm_from_m, trade_rate_of_turn_deg_per_min


def rule_of_thumb(setting: TurnSetting) -> LaidBack | NotApplicable:
    """Return the wheel-over by speed over radius, half the run of the turn laid back, plus reach.

    The rate of turn is the speed in the turn over the radius, in degrees per minute; the change of
    course at that rate takes a time; half of what the ship runs in it at her approach speed is laid
    off back from the waypoint, and the reach is added. Still water.

    Parameters
    ----------
    setting : TurnSetting
        The change of course, the radius, both speeds and the reach.

    Returns
    -------
    LaidBack or NotApplicable
        The distance is along the inbound leg, back from the waypoint.

    Notes
    -----
    Common practice of the trade [WO]_. Half the run is half of an arc 4.5 percent too short, where
    geometry lays back the tangent: they agree for gentle turns, and at 90 degrees the rule
    lays back about a quarter less than the tangent.
    """
    reason = _missing(setting)
    if reason is not None:
        return NotApplicable(method="rule_of_thumb", reason=reason)
    radius_nm = nm_from_m(setting.radius_m or 0.0)
    approach_kn, turn_kn = setting.approach_speed_kn or 0.0, setting.turn_speed_kn or 0.0
    reach_m = setting.reach_m or 0.0
    change_deg = abs(setting.course_change_deg)
    rate_deg_per_min = trade_rate_of_turn_deg_per_min(turn_kn, radius_nm)
    time_s = change_deg / rate_deg_per_min * 60.0
    run_nm = approach_kn * time_s / 3600.0
    distance_m = m_from_nm(run_nm / 2.0) + reach_m
    working = (
        f"rate = V / R = {turn_kn:.4g} / {radius_nm:.4g} = {rate_deg_per_min:.3f} deg/min",
        f"time = change / rate = {change_deg:.2f} / {rate_deg_per_min:.3f} "
        f"= {time_s / 60.0:.4f} min",
        f"run = V x time / 60 = {approach_kn:.4g} x {time_s / 60.0:.4f} / 60 = {run_nm:.4f} NM",
        f"WOP = run / 2 + reach = {run_nm / 2.0:.4f} + {nm_from_m(reach_m):.4f} "
        f"= {nm_from_m(distance_m):.4f} NM before the waypoint",
    )
    return LaidBack(method="rule_of_thumb", distance_m=distance_m, reach_m=reach_m, working=working)


def _missing(setting: TurnSetting) -> str | None:
    """Return what the rule lacks, if it lacks anything."""
    if setting.arc is None:
        return setting.reason or "there is no arc here"
    if setting.radius_m is None:
        return "no turn radius is given, by the waypoint or by the ship"
    if setting.approach_speed_kn is None or setting.turn_speed_kn is None:
        return "no speed is given, by the leg that leads to the turn or by the ship"
    if setting.reach_m is None:
        return setting.reach_reason or "the reach is not known"
    return None
