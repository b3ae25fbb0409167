"""What is planned for the bridge team on a leg, in requests and in answers."""

from typing import Annotated, Literal

from pydantic import Field

from wheelover.api.schemas.answer import Answer
from wheelover.api.schemas.points import AbortOut
from wheelover.api.schemas.strict import Strict
from wheelover.api.schemas.words import LongWords, Words
from wheelover.core.types.watch import Fixing, FixMethod, LegMonitoring, Stage

IntervalMinutes = Annotated[float, Field(ge=0.1, le=1440.0, description="Minutes between fixes")]


class FixingIn(Strict):
    """How and how often her position is fixed on a leg."""

    primary: FixMethod | None = None
    secondary: FixMethod | None = None
    interval_min: IntervalMinutes | None = None


class MonitoringIn(Strict):
    """What is planned for the bridge team on the leg that leads to a waypoint.

    ``watch`` is the watch condition and the manning, ``machinery`` the state of the engines and the
    notice they want, ``call_master`` when the master is called.
    """

    stage: Stage | None = None
    fixing: FixingIn | None = None
    watch: Words | None = None
    machinery: Words | None = None
    pilot: Words | None = None
    tugs: Words | None = None
    call_master: Words | None = None
    notes: LongWords | None = None

    def to_core(self) -> LegMonitoring:
        """Return it as the core takes it."""
        fixing = None if self.fixing is None else Fixing(**self.fixing.model_dump())
        return LegMonitoring(**self.model_dump(exclude={"fixing"}), fixing=fixing)


class ReachableOut(Answer):
    """What she could reach first. ``left_m`` is what is left beside limit and hull."""

    what: Literal["danger", "coastline"]
    hazard_id: str | None
    hazard_name: str | None
    side: Literal["port", "starboard"] | None
    clearance_m: float
    xtd_nm: float | None
    left_m: float


class FixingOut(Answer):
    """How a leg is fixed as planned, and how often it wants a fix.

    ``longest_interval_s`` is the time in which she could reach a danger from the edge of her
    cross-track limit, ``from_track_s`` from the track, whole seconds rounded down; fixes come more
    often than that. Null where it is not known: ``reason`` says why. ``shared`` names what both
    methods hang on.
    """

    primary: FixMethod | None
    secondary: FixMethod | None
    interval_min: float | None
    shared: list[str]
    longest_interval_s: float | None
    from_track_s: float | None
    speed_over_ground_kn: float | None
    reaches: ReachableOut | None
    searched_nm: float | None
    in_time: bool | None
    reason: str | None
    working: list[str]
    notes: list[str]


class MonitoringOut(Answer):
    """What is planned for the bridge team on a leg; ``missing`` names what nobody has said."""

    stage: Stage | None
    watch: str | None
    machinery: str | None
    pilot: str | None
    tugs: str | None
    call_master: str | None
    notes: str | None
    missing: list[str]
    fixing: FixingOut
    abort: AbortOut | None
