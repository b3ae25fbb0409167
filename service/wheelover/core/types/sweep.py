"""What the hull sweeps, how near it comes to dangers, and the window of a wheel-over."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.arrays import Floats
from wheelover.core.types.clearance import LimitSource
from wheelover.core.types.limits import Rule
from wheelover.core.types.route import Position
from wheelover.core.types.track import Side

BoundKind = Literal["off_track", "danger", "corridor", "leg_start", "range"]
WhichLeg = Literal["inbound", "outbound"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A closed line on the chart, in columns of shape (n,); its first place is its last too."""

    lat_deg: Floats
    lon_deg: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class SweptStrip:
    """The water that the hull covers on a run: the outer ring, and holes it leaves, mostly none."""

    outer: Ring
    holes: tuple[Ring, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SweptWidth:
    """How far the hull reaches to either side of the planned track, and when it does.

    A negative reach says that she keeps wholly to the other side of the track.
    """

    port_m: float
    starboard_m: float
    port_at_s: float
    starboard_at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HullClearance:
    """How near the hull comes to one danger on a run.

    ``distance_m`` is from the box around the hull to ``hazard_point``, zero where it touches the
    danger or is inside it: never more than the true one, and at most ``allowance_m`` less, for the
    way between two poses. ``clearance_m`` is what is left of it after the uncertainty of the
    danger's position. ``pose_index`` and ``at_s`` are the row of the motion from which on it is
    that near, until the next row. ``met`` is None where no limit is given.
    """

    hazard_index: int
    hazard_id: str
    distance_m: float
    clearance_m: float
    allowance_m: float
    pose_index: int
    at_s: float
    hull_point: Position
    hazard_point: Position
    limit_m: float | None
    limit_source: LimitSource | None
    met: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """What ends a window: which limit it is, and of what.

    ``kind`` is ``off_track`` (the steady position beside the outbound leg), ``danger`` (the hull
    would be within its limit), ``corridor`` (the hull would be outside the cross-track limit of
    ``leg`` on ``side``), ``leg_start`` (the inbound leg begins there) or ``range`` (nothing was
    looked at beyond: no limit at all was met). ``limit_m`` is what is asked for, None where a
    danger has no limit and must only not be touched.
    """

    kind: BoundKind
    limit_m: float | None = None
    hazard_index: int | None = None
    hazard_id: str | None = None
    leg: WhichLeg | None = None
    side: Side | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowEnd:
    """The earliest or latest wheel-over: where, when, and what binds there.

    ``distance_m`` is before the waypoint along the inbound leg, negative beyond it. ``later_m`` and
    ``later_s`` count from the planned wheel-over along the leg, negative before it.
    """

    distance_m: float
    later_m: float
    later_s: float
    bound: Bound


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Between which places the helm may be given so that the run keeps every limit.

    Without ends there is none, and ``tightest`` names the limit that alone leaves the least.
    ``window_count`` says how many separate windows there are: this is the one that holds the
    planned wheel-over, else the nearest to it. ``off_track_m`` is where the planned one ends
    beside the outbound leg, starboard positive, and ``off_track_m_per_s`` how much farther to
    starboard each second of delay puts her there.
    """

    planned_distance_m: float
    planned_inside: bool
    earliest: WindowEnd | None
    latest: WindowEnd | None
    window_count: int
    off_track_m: float
    off_track_m_per_s: float
    tightest: Bound | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SweptTurn:
    """What the hull sweeps in one simulated turn, begun where helm is planned.

    ``clearances`` is None, and ``window`` too, where ``reason`` says why nothing was swept;
    ``window_reason`` says why a swept turn has no window.
    """

    turn_index: int
    clearances: tuple[HullClearance, ...] | None = None
    window: Window | None = None
    reason: str | None = None
    window_reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LateDanger:
    """A danger that the hull comes too near to when the helm is late.

    ``first_at_s`` and ``first_ahead_m`` are when and after what run from the planned wheel-over she
    first is inside its limit, ``clearance_m`` the least that is left of the distance on the way.
    ``before_helm`` says that she meets it before the late helm is given, ``in_time`` that she comes
    too near with the helm in time as well, None where that was not looked at; ``touched`` that the
    hull reaches it as far as its position is known.
    """

    hazard_index: int
    hazard_id: str
    clearance_m: float
    limit_m: float | None
    limit_source: LimitSource | None
    touched: bool
    first_at_s: float
    first_ahead_m: float
    before_helm: bool = False
    in_time: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LateHelm:
    """What lies ahead in one turn whose helm is ``late_s`` late.

    ``run_on_m`` is how far she runs on meanwhile. ``dangers`` come in the order in which she meets
    them, None where ``reason`` says why nothing was looked at. Where the turn is not ``simulated``
    she is taken along the planned arc. ``assumed`` says that nobody said how late. ``rule`` is what
    the limit set asks; it is missed where anything is met that late.
    """

    turn_index: int
    late_s: float
    run_on_m: float | None = None
    simulated: bool = False
    dangers: tuple[LateDanger, ...] | None = None
    reason: str | None = None
    assumed: bool = False
    rule: Rule | None = None
    rule_missed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SweptLeg:
    """The strip that the hull sweeps along a leg on which the current makes her crab.

    ``crab_deg`` is from the course to the heading, starboard positive. ``clearance_m`` is the least
    clearance of the centre line less the half width, None where no danger is near.
    """

    leg_index: int
    crab_deg: float | None = None
    half_width_m: float | None = None
    clearance_m: float | None = None
    reason: str | None = None
