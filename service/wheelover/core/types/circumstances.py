"""Weather and water on the one hand, the company's margins on the other."""

from dataclasses import dataclass

from wheelover.core.errors import Fault, InvalidConditions


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """Current, water and wind. ``set_deg`` is where the current goes to.

    ``depth_m`` is the least depth of water in the turns, tide included; ``wind_force_bft`` is on
    the Beaufort scale. What is None is not known.

    Raises
    ------
    InvalidConditions
        When a set is given without its drift, or a drift without its set.
    """

    set_deg: float | None = None
    drift_kn: float | None = None
    tide_m: float | None = None
    depth_m: float | None = None
    wind_force_bft: float | None = None
    thrusters_in_use: bool = False

    def __post_init__(self) -> None:
        """Refuse half a current."""
        if (self.set_deg is None) != (self.drift_kn is None):
            missing = "drift_kn" if self.drift_kn is None else "set_deg"
            message = f"a current needs both set_deg and drift_kn; {missing} is missing"
            fault = Fault(pointer=f"/conditions/{missing}", message=message)
            raise InvalidConditions(message, (fault,))


STILL_WATER = Conditions()
"""No current, and nothing known of depth and wind."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Margins that the plan is held against; a company's or the navigator's own.

    ``max_off_track_m`` is how far beside the new track a turn may leave the ship, and
    ``min_to_close_s`` how long the planned wheel-over must come before the latest.
    """

    min_clearance_m: float | None = None
    min_ukc_m: float | None = None
    max_off_track_m: float | None = None
    min_to_close_s: float | None = None
