"""What is computed for the bridge team: how often to fix, and what can be reached meanwhile."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.clearance import Piece
from wheelover.core.types.track import Side

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
    and then ``reason`` says why. Without ``reached`` nothing lies within ``searched_m``: the times
    are those to run as far. ``notes`` say what is assumed.
    """

    leg_index: int
    speed_m_per_s: float | None = None
    reached: Reachable | None = None
    searched_m: float | None = None
    longest_s: float | None = None
    from_track_s: float | None = None
    reason: str | None = None
    notes: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
