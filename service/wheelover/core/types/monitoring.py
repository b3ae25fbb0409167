"""What is computed for the bridge team: how often to fix, and what can be reached meanwhile."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.clearance import Piece
from wheelover.core.types.route import Position
from wheelover.core.types.track import Side
from wheelover.core.types.watch import ActionPoint, PointKind

DangerKind = Literal["danger", "coastline"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reachable:
    """The first thing that she could reach from a leg between two fixes.

    ``hazard_index`` numbers the dangers of the chart, None of the coastline. ``clearance_m`` is how
    far it lies from the track, ``xtd_nm`` the cross-track limit to its side, and ``left_m`` what is
    left of that distance beside the limit and half of what the hull sweeps.
    """

    what: DangerKind
    piece: Piece
    side: Side | None
    hazard_index: int | None
    clearance_m: float
    xtd_nm: float | None
    half_width_m: float
    left_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LegFixing:
    """How often a leg wants a fix so that she cannot reach a danger between two.

    ``longest_s`` is the time to the nearest thing from the edge of the cross-track limit, and
    ``from_track_s`` from the track; both None where the speed is not known or nothing was measured,
    and then ``reason`` says why. ``speed_m_per_s`` is along the leg over the ground, and
    ``toward_m_per_s`` how fast she can come nearer to anything, with the stream behind her. Without
    ``reached`` nothing lies within ``searched_m``: the times are those to run as far. ``notes`` say
    what is assumed.
    """

    leg_index: int
    speed_m_per_s: float | None = None
    toward_m_per_s: float | None = None
    reached: Reachable | None = None
    searched_m: float | None = None
    longest_s: float | None = None
    from_track_s: float | None = None
    reason: str | None = None
    notes: tuple[str, ...] = ()
    working: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OnTrack:
    """A place of the planned track.

    ``along_m`` counts on the leg from its first waypoint, ``before_m`` from the place to the
    waypoint that the leg leads to, ``track_m`` along the planned track from its start; None where
    the place is on a corner that the track cuts off.
    """

    leg_index: int
    leg_to_id: str
    along_m: float
    before_m: float
    position: Position
    track_m: float | None = None
    at_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPoint:
    """An action point where it stands, and where its notice falls.

    ``off_track_m`` is how far a place of its own lies from the track, starboard positive. Without a
    ``place`` the ``reason`` says why there is none.
    """

    point: ActionPoint
    place: OnTrack | None = None
    position: Position | None = None
    off_track_m: float | None = None
    notice_at_s: float | None = None
    notice: OnTrack | None = None
    reason: str | None = None
    time_reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPoint:
    """A place of action that a cell charts near the track: offered, not taken."""

    kind: PointKind
    object_class: str
    object_id: str
    cell: str
    position: Position
    place: OnTrack
    off_track_m: float
    name: str | None = None
    channel: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """How far she runs on before she stops, of her trials, and how that was come by.

    ``trial_speed_kn`` is the speed of the trial used. ``extrapolated`` says that no trial was as
    fast: the run was made longer with the square of the speed. ``stream_m`` is what the stream
    carries her meanwhile, None where that is not known.
    """

    speed_kn: float
    run_m: float
    trial_speed_kn: float
    trial_run_m: float
    engine_order: str | None
    time_s: float | None
    extrapolated: bool
    stream_m: float | None
    source: str | None
    working: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnRound:
    """The water she needs to turn round to one side, from where the helm is ordered.

    ``ahead_m`` is the farthest ahead that midships comes, ``aside_m`` the farthest to the side of
    the turn.
    """

    side: Side
    ahead_m: float
    aside_m: float
    source: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomStretch:
    """A stretch of a leg or an arc along which she has room to turn round.

    Metres along the leg from its first waypoint, or along the arc from where it begins.
    """

    from_m: float
    to_m: float
    side: Side


@dataclass(frozen=True, slots=True, kw_only=True)
class BendRoom:
    """The room to turn round along the arc of a turn beside a leg.

    There only the side of the turn counts: to the other she would have to stop her swing first.
    """

    turn_index: int
    waypoint_id: str
    arc_m: float
    side: Side
    room: tuple[RoomStretch, ...]
    whole: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LegAbort:
    """Where the plan can still be given up on a leg of pilotage or confined water.

    ``no_return`` is the last place before the room to turn round ends, None where it does not or
    where there is none; ``abort`` lies the stopping run before it, and ``no_abort`` says why it
    does not. ``committed_before`` says that she has no room where the leg begins: then the point of
    no return lies on a leg before, or nowhere on the track. ``bends`` are the turn behind it, and
    that before it where the leg before is of open water. ``reasons`` say what is not known.
    """

    leg_index: int
    stop: Stop | None = None
    turns: tuple[TurnRound, ...] = ()
    room: tuple[RoomStretch, ...] = ()
    bends: tuple[BendRoom, ...] = ()
    looked_from_m: float | None = None
    looked_to_m: float | None = None
    step_m: float | None = None
    no_return: OnTrack | None = None
    abort: OnTrack | None = None
    no_abort: str | None = None
    committed_before: bool = False
    reasons: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
