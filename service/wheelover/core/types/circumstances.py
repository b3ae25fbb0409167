"""Weather and water on the one hand, the company's margins on the other."""

from dataclasses import dataclass

from wheelover.core.errors import Fault, InvalidConditions
from wheelover.core.types.cues import WarningWish
from wheelover.core.types.dangers import WaterKind
from wheelover.core.types.limits import LimitSet, Waiver
from wheelover.core.types.sky import DaylightNeed
from wheelover.core.types.stream import Stream
from wheelover.core.types.tide import Tide
from wheelover.core.units import beaufort_from_kn


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneFrom:
    """The zone description that is kept from a waypoint on: hours to add to zone time for UTC."""

    from_id: str
    description_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """Current, water and wind. ``set_deg`` is where the current goes to.

    ``depth_m`` is the least depth of water in the turns, tide included; ``wind_force_bft`` is on
    the Beaufort scale. ``wind_from_deg`` is where the true wind comes from, and ``wind_kn`` its
    mean speed over the ground. What is None is not known.

    ``tide_m`` is the height of tide where no table of ``tides`` counts. ``wave_height_m`` is the
    significant height of sea and swell together, and ``wave_allowance_m`` what the navigator takes
    off for them instead. ``height_datum_m`` is how far above chart datum the level lies from which
    clearances under objects count, where these do not say it themselves. ``departure_s`` is the
    time of departure, in seconds since 1970 UTC. ``streams`` go before the current of the plan on
    the legs that they cover. ``zones`` are zone descriptions kept otherwise than by longitude, and
    ``visibility_nm`` is the meteorological visibility.

    Raises
    ------
    InvalidConditions
        When a set is given without its drift or a wind without its direction, or the reverse.
    """

    set_deg: float | None = None
    drift_kn: float | None = None
    tide_m: float | None = None
    depth_m: float | None = None
    wind_force_bft: float | None = None
    thrusters_in_use: bool = False
    wind_from_deg: float | None = None
    wind_kn: float | None = None
    tides: tuple[Tide, ...] = ()
    wave_height_m: float | None = None
    wave_allowance_m: float | None = None
    water_density_kg_per_m3: float | None = None
    height_datum_m: float | None = None
    departure_s: float | None = None
    streams: tuple[Stream, ...] = ()
    zones: tuple[ZoneFrom, ...] = ()
    visibility_nm: float | None = None

    def __post_init__(self) -> None:
        """Refuse half a current, and half a wind."""
        self._require_both("current", "set_deg", "drift_kn")
        self._require_both("wind", "wind_from_deg", "wind_kn")

    def _require_both(self, what: str, direction: str, speed: str) -> None:
        """Refuse one of two members that only make sense together."""
        if (getattr(self, direction) is None) != (getattr(self, speed) is None):
            missing = speed if getattr(self, speed) is None else direction
            message = f"a {what} needs both {direction} and {speed}; {missing} is missing"
            fault = Fault(pointer=f"/conditions/{missing}", message=message)
            raise InvalidConditions(message, (fault,))

    @property
    def most_wind_bft(self) -> float | None:
        """Return the wind force given, or that of the wind speed; of both the greater."""
        forces_bft = [] if self.wind_force_bft is None else [self.wind_force_bft]
        if self.wind_kn is not None:
            forces_bft.append(beaufort_from_kn(self.wind_kn))
        return max(forces_bft, default=None)


STILL_WATER = Conditions()
"""No current, and nothing known of depth and wind."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Margins that the plan is held against; a company's or the navigator's own.

    ``max_off_track_m`` is how far beside the new track a turn may leave the ship, and
    ``min_to_close_s`` how long the planned wheel-over must come before the latest. ``helm_late_s``
    is how late the helm is taken to be to see what lies ahead then. ``water`` is the kind of water
    of legs that name none. ``limit_set`` stands beside what the plan itself gives: where both give
    one, the stricter counts. Of ``min_ukc_m`` and ``min_ukc_draught_ratio`` times the draught the
    greater is required under the keel; ``min_overhead_m`` over the mast, and
    ``electrical_distance_m`` under cables besides. ``warning_points`` come before each wheel-over.
    ``daylight_needs`` is where she must be by day. ``sources_max_age_days`` is how long before
    departure charts and publications may have been corrected last.
    """

    min_clearance_m: float | None = None
    min_ukc_m: float | None = None
    max_off_track_m: float | None = None
    min_to_close_s: float | None = None
    safety_contour_m: float | None = None
    safety_depth_m: float | None = None
    helm_late_s: float | None = None
    water: WaterKind | None = None
    limit_set: LimitSet | None = None
    waivers: tuple[Waiver, ...] = ()
    min_ukc_draught_ratio: float | None = None
    min_overhead_m: float | None = None
    electrical_distance_m: float | None = None
    daylight_needs: tuple[DaylightNeed, ...] = ()
    sources_max_age_days: float | None = None
    warning_points: tuple[WarningWish, ...] = ()


NO_LIMITS = Limits()
"""Nothing is asked of the plan."""
