"""What every wheel-over method is given about one turn."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import Arc, LegLine
from wheelover.core.units import m_per_s_from_kn

ReachSource = Literal["ship", "default"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnSetting:
    """One turn as the methods see it. ``reason`` says why there is no arc, if there is none."""

    leg_in: LegLine
    leg_out: LegLine
    course_change_deg: float
    arc: Arc | None
    reason: str | None
    reach_m: float | None
    reach_reason: str | None


def reach_of(
    ship: ShipProfile | None, approach_speed_kn: float | None
) -> tuple[float | None, ReachSource | None, str | None]:
    """Return the reach in metres, where it comes from, and why it is missing if it is.

    Parameters
    ----------
    ship : ShipProfile or None
        The ship. Without a reach of her own it is one length overall, which is an assumption.
    approach_speed_kn : float or None
        Speed through the water on the inbound leg, knots; a reach in seconds needs it.
    """
    if ship is None:
        return None, None, "no ship is given, so her reach is not known"
    if ship.reach_m is not None:
        return ship.reach_m, "ship", None
    if ship.reach_lengths is not None:
        return ship.reach_lengths * ship.loa_m, "ship", None
    if ship.reach_s is None:
        return ship.loa_m, "default", None
    if approach_speed_kn is None:
        return None, None, "the reach is given in seconds and no speed is given to run it at"
    return ship.reach_s * m_per_s_from_kn(approach_speed_kn), "ship", None
