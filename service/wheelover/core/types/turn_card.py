"""The turn card: everything about one alteration of course, and what it would be otherwise."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from wheelover.core.types.manoeuvre import Motion, SimulatedTurn, Steering
from wheelover.core.types.route import Position
from wheelover.core.types.sweep import HullClearance, SweptStrip, SweptTurn, SweptWidth, Window
from wheelover.core.types.track import PlannedTurn


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What a turn is tried with instead of what is planned; what is None stays as planned.

    ``distance_nm`` is of the wheel-over before the waypoint.
    """

    speed_kn: float | None = None
    set_deg: float | None = None
    drift_kn: float | None = None
    depth_m: float | None = None
    wind_force_bft: float | None = None
    rudder_deg: float | None = None
    steering: Steering | None = None
    helm_delay_s: float | None = None
    turn_radius_nm: float | None = None
    loading: str | None = None
    distance_nm: float | None = None
    wind_from_deg: float | None = None
    wind_kn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A turn tried otherwise that was kept, to stand beside the plan under a name."""

    name: str
    waypoint_id: str
    tried: Tried


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFound:
    """What comes of a case. ``turn`` is None where ``reason`` says why nothing does."""

    case: Case
    loa_m: float | None = None
    turn: PlannedTurn | None = None
    swept: SweptTurn | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """Nine tenths of what may be: one in twenty lies below the one, one above the other."""

    low_m: float
    high_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """How sure the simulated wheel-over is.

    ``member_count`` ships spread as the fit leaves them unsure, none where no covariance is known
    and the width is that of common practice. ``off_track`` is by method, ``own`` among them, where
    each leaves her beside the new track, starboard positive; ``floor_m`` of it, to either side, is
    what the model itself misses by.
    """

    member_count: int
    distance: Between
    off_track: Mapping[str, Between]
    floor_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HardOver:
    """The same turn with the rudder hard over, as a last resort, and until when it may be given."""

    turn: SimulatedTurn
    window: Window | None
    window_reason: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CardRun:
    """Her run through a turn from the planned wheel-over, and what the hull sweeps on it."""

    helm_at: Position
    motion: Motion = field(compare=False)
    drift_deg: tuple[float, ...]
    to_go_m: tuple[float, ...]
    strip: SweptStrip
    width: SweptWidth | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnCard:
    """One turn with everything that is known of it.

    ``run``, ``band`` and ``hard_over`` are None where the turn is not simulated, and
    ``hard_over_reason`` says why it cannot be made hard over. ``hull`` holds by method the danger
    that matters most when helm is given where that method says, None where none is near.
    """

    turn: PlannedTurn
    loa_m: float | None
    beam_m: float | None
    swept: SweptTurn
    hull: Mapping[str, HullClearance | None]
    run: CardRun | None = None
    band: Band | None = None
    hard_over: HardOver | None = None
    hard_over_reason: str | None = None
