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
