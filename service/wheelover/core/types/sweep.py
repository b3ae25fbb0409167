"""What the hull sweeps, how near it comes to dangers, and the window of a wheel-over."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, overload

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.types.clearance import LIMIT_SOURCES, LimitSource
from wheelover.core.types.limits import Rule
from wheelover.core.types.route import Position
from wheelover.core.types.track import Side

NOT_LOOKED_AT = "whether the loaded charts cover the water that it takes was not looked at"

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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HullClearances(Sequence[HullClearance]):
    """How near the hull comes to dangers on a run, nearest first, in columns of shape (m,).

    Rows are made when they are asked for: beside a coast thousands lie within what is listed.
    ``ids`` are those of all dangers that ``hazard`` numbers. ``limit_m`` is nan and
    ``limit_source`` -1 where no limit is given. Places on hull and danger have shape (2, m).
    """

    ids: tuple[str, ...]
    hazard: Ints
    distance_m: Floats
    clearance_m: Floats
    allowance_m: Floats
    pose: Ints
    at_s: Floats
    lat_deg: Floats
    lon_deg: Floats
    limit_m: Floats
    limit_source: Ints

    def __len__(self) -> int:
        """Return how many dangers are listed."""
        return len(self.hazard)

    @overload
    def __getitem__(self, row: int) -> HullClearance: ...

    @overload
    def __getitem__(self, row: slice) -> tuple[HullClearance, ...]: ...

    def __getitem__(self, row: int | slice) -> HullClearance | tuple[HullClearance, ...]:
        """Return a row, or several."""
        if isinstance(row, slice):
            return tuple(self[one] for one in range(len(self))[row])
        source = int(self.limit_source[row])
        limited, danger = source >= 0, int(self.hazard[row])
        limit_m, clearance_m = float(self.limit_m[row]), float(self.clearance_m[row])
        hull, point = (
            Position(lat_deg=float(self.lat_deg[side, row]), lon_deg=float(self.lon_deg[side, row]))
            for side in (0, 1)
        )
        return HullClearance(
            hazard_index=danger,
            hazard_id=self.ids[danger],
            distance_m=float(self.distance_m[row]),
            clearance_m=clearance_m,
            allowance_m=float(self.allowance_m[row]),
            pose_index=int(self.pose[row]),
            at_s=float(self.at_s[row]),
            hull_point=hull,
            hazard_point=point,
            limit_m=limit_m if limited else None,
            limit_source=LIMIT_SOURCES[source] if limited else None,
            # On the limit is not outside it.
            met=clearance_m > limit_m if limited else None,
        )

    def __eq__(self, other: object) -> bool:
        """Return whether two lists hold the same rows."""
        if not isinstance(other, Sequence):
            return NotImplemented
        return len(self) == len(other) and all(a == b for a, b in zip(self, other, strict=True))

    __hash__ = None  # type: ignore[assignment]

    def too_near(self) -> Iterator[HullClearance]:
        """Yield the rows of dangers inside their limit, or touched as far as is known."""
        limited = self.limit_source >= 0
        inside = (limited & ~(self.clearance_m > self.limit_m)) | (self.clearance_m <= 0.0)
        return (self[row] for row in np.flatnonzero(inside).tolist())

    def least(self) -> HullClearance | None:
        """Return the first row with the least left over its limit, None of none."""
        if len(self) == 0:
            return None
        return self[int(np.argmin(self.clearance_m - np.nan_to_num(self.limit_m)))]


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
    starboard each second of delay puts her there. ``not_checked`` says what of the water between
    its ends was not held against charts; ``on_coast`` that coastline lies in it, None where that
    was not looked at.
    """

    planned_distance_m: float
    planned_inside: bool
    earliest: WindowEnd | None
    latest: WindowEnd | None
    window_count: int
    off_track_m: float
    off_track_m_per_s: float
    tightest: Bound | None = None
    not_checked: str | None = NOT_LOOKED_AT
    on_coast: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SweptTurn:
    """What the hull sweeps in one simulated turn, begun where helm is planned.

    ``clearances`` is None, and ``window`` too, where ``reason`` says why nothing was swept;
    ``window_reason`` says why a swept turn has no window. ``not_checked`` says what of the water
    that the planned run takes, or that lies within a margin of it, no chart covers.
    """

    turn_index: int
    clearances: HullClearances | None = None
    window: Window | None = None
    reason: str | None = None
    window_reason: str | None = None
    not_checked: str | None = None


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
    the limit set asks; it is missed where anything is met that late. ``not_checked`` and
    ``on_coast`` are as those of a window, of the water that she runs into.
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
    not_checked: str | None = NOT_LOOKED_AT
    on_coast: bool | None = None


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
