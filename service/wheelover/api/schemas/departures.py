"""A plan at other times of departure: what is asked, and the answer."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.depth import DepthPieceOut
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.api.schemas.strict import Strict
from wheelover.api.schemas.utc import UtcTime

MOST_DEPARTURES = 50
OutcomeName = Literal["holds", "fails", "not_known"]
LightName = Literal["day", "civil", "nautical", "astronomical", "night"]
WarningStateName = Literal["in_force", "cancelled", "later", "not_known"]
WindowResultName = Literal["met", "early", "late", "not_known"]

Shift = Annotated[
    float, Field(ge=-31_536_000.0, le=31_536_000.0, description="Seconds later than the plan's")
]


class DraftDeparturesIn(Strict):
    """Other departures for a draft: times, or how much later than its own in seconds."""

    departures_utc: Annotated[list[UtcTime], Field(max_length=MOST_DEPARTURES)] | None = None
    shifts_s: Annotated[list[Shift], Field(max_length=MOST_DEPARTURES)] | None = None

    @model_validator(mode="after")
    def _some_and_not_too_many(self) -> "DraftDeparturesIn":
        """Refuse none, and more than are read beside one another."""
        count = len(self.departures_utc or ()) + len(self.shifts_s or ())
        if not 1 <= count <= MOST_DEPARTURES:
            raise ValueError(
                f"{count} departures given in departures_utc and shifts_s; 1 to {MOST_DEPARTURES} "
                "are taken"
            )
        return self


class DeparturesRequest(DraftDeparturesIn):
    """A plan, and other departures for it: times, or how much later than its own in seconds."""

    plan: PlanRequest


class GateThenOut(Answer):
    """A gate of the tide: enough of it under the keel, not too much over the mast.

    ``limit_m`` is the height of tide that decides and ``height_m`` the one that is there in the
    worst case of the time that she passes. ``was`` is the outcome at the plan's own departure.
    """

    piece: DepthPieceOut
    waypoint_id: str
    kind: Literal["keel", "mast"]
    hazard_id: str | None
    hazard_name: str | None
    station: str
    limit_m: float | None
    height_m: float | None
    from_utc: str | None
    to_utc: str | None
    outcome: OutcomeName
    was: OutcomeName | None
    reason: str | None


class WindowThenOut(Answer):
    """A window of arrival at another departure, beside the result at the plan's own."""

    waypoint_id: str
    from_utc: str | None
    to_utc: str | None
    result: WindowResultName
    was: WindowResultName | None
    off_s: float | None
    reason: str | None


class DaylightThenOut(Answer):
    """A need of daylight at another departure: the light when she is there."""

    waypoint_id: str
    part: Literal["waypoint", "wheel_over"]
    need: str
    at_utc: str | None
    light: LightName | None
    outcome: OutcomeName
    was: OutcomeName | None
    reason: str | None


class WheelOverThenOut(Answer):
    """A planned wheel-over at another departure: the light then, ``was`` that at the plan's own.

    ``lost_cue_ids`` are those of its first and second cue that by eye are not seen in that light,
    by what is known of them.
    """

    waypoint_id: str
    at_utc: str | None
    light: LightName | None
    was: LightName | None
    lost_cue_ids: list[str]
    reason: str | None


class WarningThenOut(Answer):
    """A navigational warning near the track at another departure.

    Whether it counts, by the times that it gives, while she is on the pieces of track that pass
    it, and ``was`` the same at the plan's own. Passed more than once it is in force where it is at
    any of them, and ``piece`` is the one that decides. Its danger counts until somebody takes it
    out.
    """

    hazard_id: str
    name: str
    piece: DepthPieceOut
    waypoint_id: str
    issued_utc: str | None
    cancel_utc: str | None
    from_utc: str | None
    to_utc: str | None
    state: WarningStateName
    was: WarningStateName | None


class AreaThenOut(Answer):
    """When she enters and leaves an area to know of at another departure, and at the plan's own."""

    area_id: str
    name: str | None
    danger_class: str | None
    inside_at_start: bool
    inside_at_end: bool
    enters_utc: str | None
    leaves_utc: str | None
    was_enters_utc: str | None
    was_leaves_utc: str | None
    reason: str | None


class EtaThenOut(Answer):
    """When she is at a waypoint."""

    waypoint_id: str
    eta_utc: str | None


class DepartedOut(Answer):
    """A plan re-timed for a departure; where it cannot be ``reason`` says why.

    Where the plan's own departure cannot be, there is no ``was`` beside what the others have.
    """

    departure_utc: str | None
    shift_s: float
    arrival_utc: str | None
    duration_s: float | None
    etas: list[EtaThenOut]
    gates: list[GateThenOut]
    windows: list[WindowThenOut]
    daylight: list[DaylightThenOut]
    wheel_overs: list[WheelOverThenOut]
    warnings: list[WarningThenOut]
    areas: list[AreaThenOut]
    problems: list[str]
    reason: str | None


class DeparturesAnswer(Answer):
    """The plan as it stands and at other departures; ``note`` says what is not computed again."""

    was: DepartedOut
    moved: list[DepartedOut]
    note: str


class DraftDepartures(DeparturesAnswer):
    """The draft of a plan at other departures, with the edit it belongs to."""

    plan_id: str
    edit: int
