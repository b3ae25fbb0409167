"""The schedule of a plan: when she is where, how fast, and in what stream.

Times count in seconds from the departure; where it is known, ``Schedule.departure_s`` says when
that is. What is None is not known, and ``reason`` says why.
"""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.clearance import Piece
from wheelover.core.types.route import CurrentSource, Position, SpeedSource

TimeSource = Literal["given", "computed"]
WindowResult = Literal["met", "early", "late", "not_known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivalWindow:
    """The window of arrival at a waypoint, seconds since 1970 UTC, and whether she meets it.

    ``off_s`` is by how much she is early or late. ``reason`` says why it is not known, or what is
    assumed of the way to it.
    """

    waypoint_index: int
    from_s: float | None
    to_s: float | None
    result: WindowResult
    off_s: float | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaypointTime:
    """When she is at a waypoint, and how far it is along the track and to its end.

    At a turn that is the middle of its arc. ``source`` says whether the ETA was given; of one that
    is given and cannot be made ``eta_s`` is when she comes and ``given_s`` when she was to.
    ``note`` says what is assumed of the way to it.
    """

    waypoint_index: int
    eta_s: float | None
    source: TimeSource | None
    given_s: float | None = None
    stay_s: float = 0.0
    etd_s: float | None = None
    run_m: float | None = None
    to_go_m: float | None = None
    reason: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelOverTime:
    """When she is at the planned wheel-over of a turn, and at the start and end of its arc.

    ``lost_s`` is what slowing in the turn costs; how she gathers speed again is not counted.
    """

    turn_index: int
    waypoint_index: int
    at_s: float | None
    arc_start_s: float | None
    arc_end_s: float | None
    lost_s: float | None
    to_go_m: float | None
    station: str | None = None
    reason: str | None = None
    arc_reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StreamStep:
    """The stream at a time on a leg, and what is steered and made good in it."""

    at_s: float
    set_deg: float
    drift_kn: float
    steer_deg: float
    over_ground_kn: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LegTime:
    """From when to when she is on the track's part of a leg, how fast, and what she steers.

    The speed over the ground is the mean of the time it takes; the course to steer is that in the
    mean stream, and ``steps`` holds both hour by hour where the stream changes. ``covered`` is
    false where a part of the time lies outside its table: then no mean stream is told, and no
    course to steer in it; and ``fails_here`` true where the stream
    cannot be stemmed on this leg. Where the speed over the ground is given and the stream changes,
    ``speed_kn`` is the greatest through the water, and ``steps_kn`` that of each step, all of one
    time.
    """

    leg_index: int
    length_m: float | None
    speed_kn: float | None
    speed_source: SpeedSource | None
    start_s: float | None = None
    end_s: float | None = None
    over_ground_kn: float | None = None
    steer_deg: float | None = None
    set_deg: float | None = None
    drift_kn: float | None = None
    current_source: CurrentSource | None = None
    station: str | None = None
    covered: bool = True
    fails_here: bool = False
    steps: tuple[StreamStep, ...] = ()
    steps_kn: tuple[float, ...] = ()
    reason: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EtaMissed:
    """A given ETA that is not made: by how much, and what mean speed over the ground it asks for.

    ``by_speeds`` says that all legs to it have speeds of their own, which count.
    """

    waypoint_index: int
    off_s: float | None
    needed_kn: float | None
    by_speeds: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaEdge:
    """Where and when she crosses the edge of an area, and on which piece of the track.

    ``along_m`` counts on a leg from its first waypoint, on an arc from where it begins.
    """

    position: Position
    piece: Piece
    at_s: float | None
    along_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaTime:
    """A stretch of the track inside an area to know of.

    Where she is inside it already when the track begins ``enters`` is None, and ``leaves`` where
    she is still inside it at its end.
    """

    area_id: str
    name: str | None
    danger_class: str | None
    source: Literal["chart", "you"]
    enters: AreaEdge | None
    leaves: AreaEdge | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelUsed:
    """What a leg, with the turn at its end, or a stay burns of one fuel; None is not known.

    ``rate_t_per_day`` is her consumption at the speed of the leg, from her own table, its mean
    where the speed through the water changes. ``outside_kn`` is the speed where it lies outside
    the table.
    """

    leg_index: int
    fuel: str | None
    rate_t_per_day: float | None
    burnt_t: float | None
    stay_t: float | None
    reason: str | None = None
    outside_kn: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelTotal:
    """What the passage burns of one fuel: ``known_t`` of what is known, all of it where none is
    missing.
    """

    fuel: str | None
    known_t: float
    total_t: float | None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneAt:
    """The zone description at a waypoint: hours to add to zone time to have UTC."""

    description_h: float
    given: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeLabel:
    """A place along the track at a full hour, counted from midnight UTC or from the departure."""

    position: Position
    at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """The schedule of a plan. ``departure_s`` is in seconds since 1970 UTC."""

    departure_s: float | None = None
    departure_source: TimeSource | None = None
    duration_s: float | None = None
    rows: tuple[WaypointTime, ...] = ()
    wheel_overs: tuple[WheelOverTime, ...] = ()
    legs: tuple[LegTime, ...] = ()
    windows: tuple[ArrivalWindow, ...] = ()
    missed: tuple[EtaMissed, ...] = ()
    areas: tuple[AreaTime, ...] = ()
    areas_reason: str | None = None
    fuel: tuple[FuelUsed, ...] = ()
    fuel_totals: tuple[FuelTotal, ...] = ()
    fuel_reason: str | None = None
    zones: tuple[ZoneAt, ...] = ()
    labels: tuple[TimeLabel, ...] = ()
    reason: str | None = None


NO_SCHEDULE = Schedule()
