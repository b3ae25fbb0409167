"""A turn card asked for and answered."""

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.hull import HullOut, WindowOut
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.api.schemas.plan_response import (
    PlannedOut,
    SimulatedTurnOut,
    WheelOverOut,
)
from wheelover.api.schemas.strict import Strict, Word
from wheelover.api.schemas.tried import TriedIn
from wheelover.core.turns.band import LEAST_MEMBERS


def _enough(count: int) -> int:
    """Refuse so few members that their spread could not be that of the fit."""
    if 0 < count < LEAST_MEMBERS:
        raise ValueError(f"0 members give no band; otherwise at least {LEAST_MEMBERS} are needed")
    return count


MemberCount = Annotated[int, Field(ge=0, le=1000), AfterValidator(_enough)]


class TurnCardRequest(Strict):
    """A plan, the waypoint of one of its turns, and what is tried there.

    ``member_count`` says of how many ships the band is made; without any there is none, which takes
    less time while a value is moved.
    """

    plan: PlanRequest
    waypoint_id: Word
    tried: TriedIn | None = None
    member_count: MemberCount = 200


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
