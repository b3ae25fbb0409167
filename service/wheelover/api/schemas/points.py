"""Action points in requests and in answers, and where the plan can be given up."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from wheelover.api.schemas.answer import Answer, PositionOut
from wheelover.api.schemas.strict import Latitude, Longitude, Miles, Strict, Word
from wheelover.api.schemas.words import LongWords, Words
from wheelover.core.types.watch import ActionPoint, PointKind

NoticeMinutes = Annotated[float, Field(ge=0.0, le=10_080.0, description="Minutes before")]


class PointIn(Strict):
    """A place where something must be done.

    It stands ``before_nm`` before the waypoint that a leg leads to, or at a place of its own, of
    which the nearest place of the track counts: of one leg where that is named.
    """

    id: Word
    kind: PointKind
    leg_to_id: Word | None = None
    before_nm: Miles | None = None
    lat_deg: Latitude | None = None
    lon_deg: Longitude | None = None
    notice_min: NoticeMinutes | None = None
    channel: Words | None = None
    text: LongWords | None = None

    @model_validator(mode="after")
    def _stands_once(self) -> "PointIn":
        """Refuse a point that stands nowhere, or twice."""
        if (self.lat_deg is None) != (self.lon_deg is None):
            raise ValueError("a place needs both lat_deg and lon_deg")
        if (self.before_nm is None) == (self.lat_deg is None):
            raise ValueError("give either before_nm with leg_to_id, or lat_deg and lon_deg")
        if self.before_nm is not None and self.leg_to_id is None:
            raise ValueError("before_nm counts from the end of a leg: leg_to_id is missing")
        return self

    def to_core(self) -> ActionPoint:
        """Return it as the core takes it."""
        return ActionPoint(**self.model_dump())


class PlaceOut(Answer):
    """A place of the planned track: on the leg to a waypoint, and so far before its end.

    ``track_nm`` counts along the track from its start, null on a corner that the track cuts off.
    Times count from the start of the track.
    """

    leg_to_id: str
    before_nm: float
    track_nm: float | None
    position: PositionOut
    at_s: float | None
    at_utc: str | None


class PointOut(Answer):
    """An action point where it stands. Without a ``place`` the ``reason`` says why."""

    id: str
    kind: PointKind
    text: str | None
    channel: str | None
    position: PositionOut | None
    place: PlaceOut | None
    off_track_nm: float | None
    off_track_side: Literal["port", "starboard"] | None
    notice_min: float | None
    notice_at_s: float | None
    notice_at_utc: str | None
    notice: PlaceOut | None
    reason: str | None
    time_reason: str | None


class PointFoundOut(Answer):
    """What a cell charts near the track: offered, and part of the plan once somebody takes it."""

    kind: PointKind
    object_class: str
    object_id: str
    cell: str
    name: str | None
    channel: str | None
    position: PositionOut
    place: PlaceOut
    off_track_nm: float
    off_track_side: Literal["port", "starboard"] | None


class StopOut(Answer):
    """How far she runs on before she is stopped."""

    speed_kn: float
    run_m: float
    time_s: float | None
    trial_speed_kn: float
    trial_run_m: float
    engine_order: str | None
    extrapolated: bool
    source: str | None
    working: list[str]
    notes: list[str]


class TurnRoundOut(Answer):
    """The water she needs to turn round to one side."""

    side: Literal["port", "starboard"]
    ahead_m: float
    aside_m: float
    source: str
    notes: list[str]


class RoomOut(Answer):
    """A stretch of a leg with room to turn round, before the waypoint that it leads to."""

    from_before_nm: float
    to_before_nm: float
    side: Literal["port", "starboard"]


class BendStretchOut(Answer):
    """A stretch of an arc with room to turn round, from where the arc begins."""

    from_m: float
    to_m: float


class BendRoomOut(Answer):
    """The room to turn round along the arc of a turn, to the side of the turn alone."""

    waypoint_id: str
    side: Literal["port", "starboard"]
    arc_m: float
    whole: bool
    room: list[BendStretchOut]


class AbortOut(Answer):
    """Where the plan can still be given up on a leg of pilotage or confined water.

    ``no_return`` is the last place before the room to turn round ends; null where it lasts to the
    end of the turn behind the leg, and where there is none at all (``room`` is empty). ``bends``
    are the turn behind the leg and, where the leg before is of open water, the one before it.
    ``abort`` lies the stopping run before ``no_return``.
    """

    stop: StopOut | None
    turns: list[TurnRoundOut]
    room: list[RoomOut]
    bends: list[BendRoomOut]
    looked: bool
    step_m: float | None
    no_return: PlaceOut | None
    abort: PlaceOut | None
    reasons: list[str]
    notes: list[str]
    rule: str
