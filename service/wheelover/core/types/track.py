"""The planned track: legs, arcs, wheel-overs and turns."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.dangers import WaterKind
from wheelover.core.types.limits import ClassMargins, LegAsked
from wheelover.core.types.manoeuvre import SimulatedTurn, Steering
from wheelover.core.types.route import (
    CanalWaiver,
    CurrentSource,
    LineKind,
    Method,
    Position,
    SpeedSource,
)
from wheelover.core.types.ship import TurnTable

Side = Literal["port", "starboard"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LegLine:
    """The line of one leg: where it starts, on what course, and how long it is.

    ``arrival_course_deg`` is the course at its far end; on a rhumb line the same.
    """

    line: LineKind
    start: Position
    course_deg: float
    arrival_course_deg: float
    length_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedLeg:
    """One leg. ``path`` is None on a leg of no length, which has no course.

    ``track_from_m`` and ``track_to_m`` are where the planned track joins and leaves the leg,
    along it from its first waypoint: the tangent points of the turns at its ends. The current is
    the leg's own, else the plan's; its members are all None where neither is given.
    """

    index: int
    from_index: int
    from_id: str
    to_id: str
    line: LineKind
    path: LegLine | None
    track_from_m: float
    track_to_m: float
    room: bool
    speed_kn: float | None
    speed_source: SpeedSource | None
    xtd_port_nm: float | None
    xtd_starboard_nm: float | None
    min_clearance_m: float | None
    set_deg: float | None
    drift_kn: float | None
    current_source: CurrentSource | None
    water: WaterKind | None = None
    min_clearance_by_class: ClassMargins = ()
    canal: CanalWaiver | None = None

    @property
    def asked(self) -> LegAsked:
        """Return what it asks of the dangers it passes."""
        return LegAsked(
            min_clearance_m=self.min_clearance_m,
            min_clearance_by_class=self.min_clearance_by_class,
            water=self.water,
        )

    @property
    def length_m(self) -> float:
        """Return its length from waypoint to waypoint."""
        return 0.0 if self.path is None else self.path.length_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """The circle of constant geodesic radius tangent to both legs of a turn.

    ``from_bearing_deg`` is the bearing of the arc's start from its centre and ``sweep_deg`` the
    angle at the centre to its end, starboard positive.
    """

    centre: Position
    start: Position
    end: Position
    radius_m: float
    tangent_in_m: float
    tangent_out_m: float
    arc_m: float
    from_bearing_deg: float
    sweep_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TableUsed:
    """The ship's turning table that a wheel-over came from, and what was read out of it."""

    table: TurnTable
    advance_m: float
    transfer_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelOver:
    """Where one method puts the wheel-over: before the waypoint, along the inbound leg.

    ``reach_m`` is None where the method adds none. ``working`` holds the lines of the hand
    calculation and ``notes`` what the result does not know or take into account. ``off_track_m`` is
    where the simulated manoeuvre, begun there, leaves her beside the outbound leg, starboard
    positive; None where it cannot be simulated. ``before_waypoint_s`` is the run to the waypoint
    over the ground.
    """

    method: Method
    distance_m: float
    position: Position
    reach_m: float | None
    working: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    table: TableUsed | None = None
    manoeuvre: SimulatedTurn | None = None
    off_track_m: float | None = None
    before_waypoint_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodSpread:
    """How far the wheel-overs of the methods are apart; the earliest is farthest back.

    ``time_s`` is at the approach speed through the water, None where no speed is given.
    """

    earliest: Method
    latest: Method
    distance_m: float
    time_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotApplicable:
    """A method that gives no wheel-over here, and why."""

    method: Method
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedWheelOver:
    """The wheel-over chosen for the plan; ``distance_m`` is None when the choice gives none.

    ``off_track_m`` and ``before_waypoint_s`` as in ``WheelOver``.
    """

    method: Method | Literal["own"]
    source: Literal["waypoint", "default"]
    distance_m: float | None
    position: Position | None
    off_track_m: float | None = None
    before_waypoint_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelOverLine:
    """The line through the wheel-over point parallel to the new course.

    ``offset_m`` is its distance from the outbound leg, positive where it lies to starboard of it;
    ``offset_side`` says the same in a word.
    """

    course_deg: float
    offset_m: float
    offset_side: Side
    start: Position
    end: Position


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedTurn:
    """One alteration of course. Without an ``arc`` the ``reason`` says why there is none.

    Rates are positive to starboard: ``rate_deg_per_min`` holds the radius at the speed in the
    turn, ``trade_rate_deg_per_min`` is what the bridge rule V / R says. The current is the turn's
    own, else that of the leg that leads to it, else the plan's; its members are all None where
    none is given.
    """

    index: int
    waypoint_index: int
    waypoint_id: str
    course_in_deg: float | None
    course_out_deg: float | None
    radius_m: float | None
    radius_source: Literal["waypoint", "ship"] | None
    approach_speed_kn: float | None
    wheel_overs: tuple[WheelOver | NotApplicable, ...]
    planned: PlannedWheelOver
    fits: bool
    course_change_deg: float | None = None
    arc: Arc | None = None
    reason: str | None = None
    turn_speed_kn: float | None = None
    rate_deg_per_min: float | None = None
    trade_rate_deg_per_min: float | None = None
    duration_s: float | None = None
    reach_m: float | None = None
    reach_source: Literal["ship", "default"] | None = None
    wheel_over_line: WheelOverLine | None = None
    spread: MethodSpread | None = None
    missing_m: float | None = None
    steering: Steering = "rudder"
    current_set_deg: float | None = None
    current_drift_kn: float | None = None
    current_source: CurrentSource | None = None
