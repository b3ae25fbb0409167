"""What the bridge team does along a leg: how it fixes, who is where, and whom it calls."""

from dataclasses import dataclass
from typing import Literal, get_args

Stage = Literal["berth", "pilotage", "confined", "coastal", "open"]
"""What a leg leads through, from berth to berth."""

STAGES: tuple[Stage, ...] = get_args(Stage)

FixMethod = Literal[
    "gnss",
    "radar_ranges",
    "radar_bearings",
    "radar_range_and_bearing",
    "parallel_index",
    "visual_bearings",
    "visual_transits",
    "horizontal_angles",
    "visual_bearing_and_radar_range",
    "soundings",
    "celestial",
    "terrestrial_radio",
]
"""Ways of fixing her position, and of watching it."""

FIX_METHODS: tuple[FixMethod, ...] = get_args(FixMethod)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixing:
    """How and how often her position is fixed on a leg; what is None nobody has said."""

    primary: FixMethod | None = None
    secondary: FixMethod | None = None
    interval_min: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LegMonitoring:
    """What is planned for the bridge team on a leg; what is None nobody has said.

    ``watch`` is the watch condition and the manning, ``machinery`` the state of the engines and
    the notice they want, ``call_master`` when the master is called.
    """

    stage: Stage | None = None
    fixing: Fixing | None = None
    watch: str | None = None
    machinery: str | None = None
    pilot: str | None = None
    tugs: str | None = None
    call_master: str | None = None
    notes: str | None = None


PointKind = Literal[
    "call_master", "report", "machinery", "pilot", "tugs", "abort", "no_return", "ukc", "other"
]
"""What is done at a point of the track: called, reported, ordered, decided, checked."""

POINT_KINDS: tuple[PointKind, ...] = get_args(PointKind)


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionPoint:
    """A place on the plan where something must be done.

    It stands ``before_nm`` before the waypoint that the leg ``leg_to_id`` leads to, or at a place
    of its own: then the nearest place of the track counts, of that leg where one is named.
    ``notice_min`` is how long before it somebody wants to know.
    """

    id: str
    kind: PointKind
    leg_to_id: str | None = None
    before_nm: float | None = None
    lat_deg: float | None = None
    lon_deg: float | None = None
    notice_min: float | None = None
    channel: str | None = None
    text: str | None = None
