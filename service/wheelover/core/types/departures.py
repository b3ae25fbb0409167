"""A plan at another time of departure: what it is held against, and what comes of it."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.chart import WarningTimes
from wheelover.core.types.clearance import Piece
from wheelover.core.types.schedule import AreaTime, ArrivalWindow
from wheelover.core.types.sky import DaylightNeed, Light
from wheelover.core.types.tide import Tide
from wheelover.core.types.track import Arc

GateKind = Literal["keel", "mast"]
Outcome = Literal["holds", "fails", "not_known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TideGate:
    """Where the height of tide decides: enough of it under the keel, not too much over the mast.

    ``tides`` are the tables that count there, None for the height that the plan gives. ``limit_m``
    is the least height at which a requirement under the keel is met at the planned
    speed, or the greatest at which one over the mast is. Where it is not known, or more than the
    tide is not, ``reason`` says why.
    """

    piece: Piece
    kind: GateKind
    tides: tuple[Tide | None, ...]
    limit_m: float | None
    speed_kn: float | None
    hazard_id: str | None = None
    hazard_name: str | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GateThen:
    """What comes of a gate: when she is there, and the height of tide that decides."""

    gate: TideGate
    outcome: Outcome
    from_s: float | None = None
    to_s: float | None = None
    height_m: float | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DaylightThen:
    """What comes of a need of daylight: when she is there, and the light then."""

    need: DaylightNeed
    outcome: Outcome
    at_s: float | None = None
    light: Light | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelOverThen:
    """A planned wheel-over: when she is there, the light then, and the cues that it takes away.

    ``lost_cues`` are those of the plan's first and second cue, observed by eye, that by what is
    known of them are not seen in that light. ``reason`` says why nothing is known, or that her time
    there rests on a stream that is not.
    """

    waypoint_index: int
    at_s: float | None = None
    light: Light | None = None
    lost_cues: tuple[str, ...] = ()
    reason: str | None = None


WarningState = Literal["in_force", "cancelled", "later", "not_known"]
"""Whether a warning counts as she passes: cancelled by then, or counting from later on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PassedOn:
    """A piece of the track that passes a danger: a leg as far as ``to_m``, or an arc."""

    piece: Piece
    to_m: float
    arc: Arc | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WarningNear:
    """A warning with a time of its own near the track, and the pieces that pass it.

    The nearest comes first, then every other on which its danger is not outside its limit.
    """

    times: WarningTimes
    hazard_id: str
    name: str
    passes: tuple[PassedOn, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WarningThen:
    """What comes of a warning: when she is on the piece of track that passes it.

    Of several that do, ``piece`` is the one that decides: where it is in force, else where that is
    not known, else the nearest.
    """

    warning: WarningNear
    piece: Piece
    state: WarningState
    from_s: float | None = None
    to_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaThen:
    """When she enters and leaves an area to know of, seconds since 1970 UTC.

    None where the track begins or ends inside it, and where no time is known; ``reason`` says so.
    """

    area: AreaTime
    enters_s: float | None = None
    leaves_s: float | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Departed:
    """A plan re-timed for a departure, seconds since 1970 UTC.

    ``problems`` are said in words: ETAs that are not made, streams that are not stemmed, speeds
    above her most. Where it cannot be re-timed at all ``reason`` says why.
    """

    departure_s: float
    arrival_s: float | None = None
    duration_s: float | None = None
    etas_s: tuple[float | None, ...] = ()
    gates: tuple[GateThen, ...] = ()
    windows: tuple[ArrivalWindow, ...] = ()
    daylight: tuple[DaylightThen, ...] = ()
    wheel_overs: tuple[WheelOverThen, ...] = ()
    warnings: tuple[WarningThen, ...] = ()
    areas: tuple[AreaThen, ...] = ()
    problems: tuple[str, ...] = ()
    reason: str | None = None
