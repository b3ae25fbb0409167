"""A turn card asked for and answered."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.api.schemas.plan_response import (
    Answer,
    PlannedOut,
    PositionOut,
    SimulatedTurnOut,
    WheelOverOut,
)
from wheelover.api.schemas.ship import Rudder
from wheelover.api.schemas.strict import Direction, Knots, Miles, Radius, Strict, Word
from wheelover.core.types.turn_card import Tried


class TriedIn(Strict):
    """What a turn is tried with instead of what is planned; what is left out stays as planned."""

    speed_kn: Knots | None = None
    set_deg: Direction | None = None
    drift_kn: Annotated[float, Field(ge=0.0, le=30.0, description="Knots")] | None = None
    depth_m: Annotated[float, Field(gt=0.0, le=12_000.0, description="Metres")] | None = None
    wind_force_bft: Annotated[float, Field(ge=0.0, le=12.0)] | None = None
    rudder_deg: Rudder | None = None
    steering: Literal["rudder", "rate", "radius"] | None = None
    helm_delay_s: Annotated[float, Field(ge=0.0, le=600.0, description="Seconds")] | None = None
    turn_radius_nm: Radius | None = None
    distance_nm: Miles | None = None

    @model_validator(mode="after")
    def _whole_current(self) -> "TriedIn":
        """Refuse half a current."""
        if (self.set_deg is None) != (self.drift_kn is None):
            raise ValueError("set_deg and drift_kn belong together")
        return self

    def to_core(self) -> Tried:
        """Return it as the core takes it."""
        return Tried(**self.model_dump())


class TurnCardRequest(Strict):
    """A plan, the waypoint of one of its turns, and what is tried there."""

    plan: PlanRequest
    waypoint_id: Word
    tried: TriedIn | None = None


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
    limit_source: Literal["hazard", "leg", "plan"] | None
    met: bool | None


class CardMethodOut(WheelOverOut):
    """What one method says, and what comes of it: one row for each method, always.

    ``hull`` is the danger that matters most when helm is given there; the band is of
    ``off_track_m``, nine in ten of what may be.
    """

    hull: HullOut | None
    off_track_band_m: list[float] | None


class CardPlannedOut(PlannedOut):
    """The planned wheel-over, and what comes of it."""

    hull: HullOut | None
    off_track_band_m: list[float] | None


class ColumnsOut(Answer):
    """Her run in columns, a number each for every moment.

    Drift is from her way through the water to her heading, bow to starboard positive; ``to_go_m``
    is along her way to where she is steady.
    """

    t_s: list[float]
    to_go_m: list[float]
    lat_deg: list[float]
    lon_deg: list[float]
    heading_deg: list[float]
    rate_deg_per_min: list[float]
    speed_kn: list[float]
    rudder_deg: list[float]
    drift_deg: list[float]


class OutlineOut(Answer):
    """The outline of the hull at a moment, a convex shape to draw."""

    t_s: float
    lat_deg: list[float]
    lon_deg: list[float]


class RingOut(Answer):
    """A closed line; its first place is its last too."""

    lat_deg: list[float]
    lon_deg: list[float]


class StripOut(Answer):
    """The water that the hull covers on the run."""

    outer: RingOut
    holes: list[RingOut]


class WidthOut(Answer):
    """How far the hull reaches to either side of the planned track, and when."""

    port_m: float
    starboard_m: float
    port_at_s: float
    starboard_at_s: float


class RunOut(Answer):
    """Her run from the planned wheel-over until she is steady, and what the hull sweeps on it."""

    columns: ColumnsOut
    outlines: list[OutlineOut]
    strip: StripOut
    width: WidthOut | None


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
    """Between which wheel-overs every limit is held; without ends there is none."""

    earliest: WindowEndOut | None
    latest: WindowEndOut | None
    planned_inside: bool
    window_count: int
    off_track_m_per_s: float
    tightest: BoundOut | None


class BandOut(Answer):
    """How sure the simulated wheel-over is: nine in ten of what may be."""

    kind: Literal["fitted", "stated"]
    member_count: int
    distance_m: list[float]
    floor_m: float
    words: str


class HardOverOut(Answer):
    """The turn with the rudder hard over, as a last resort, and until when it may be given."""

    distance_nm: float
    manoeuvre: SimulatedTurnOut | None
    window: WindowOut | None
    window_reason: str | None


class TurnCardAnswer(Answer):
    """Everything about one turn. ``reason`` says why it is not simulated, where it is not."""

    waypoint_id: str
    waypoint_index: int
    loa_m: float | None
    beam_m: float | None
    tried: bool
    methods: list[CardMethodOut]
    planned: CardPlannedOut
    reason: str | None
    run: RunOut | None
    swept: list[HullOut]
    window: WindowOut | None
    window_reason: str | None
    band: BandOut | None
    hard_over: HardOverOut | None
    hard_over_reason: str | None
