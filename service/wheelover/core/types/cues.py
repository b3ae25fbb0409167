"""Cues for the wheel-over: what tells the bridge team that it has come, ranked, and set up."""

from dataclasses import dataclass
from typing import Literal

from wheelover.core.types.marks import Mark
from wheelover.core.types.route import Position

CueKind = Literal["bearing", "range", "index"]
"""A bearing of the mark, its range, or an index line through it parallel to the new course."""

Seen = Literal["yes", "no", "not_known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WarningWish:
    """A warning point before the wheel-over, by time or by distance: one of both."""

    before_s: float | None = None
    before_nm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """Whether a mark can be made out, and in words why; ``not_known`` where data are missing."""

    seen: Seen
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranges:
    """How far a mark can be made out, None where what it hangs on is not known.

    ``nominal_range_nm`` and ``light_character`` are of the light that shows towards the ship,
    ``in_sector`` whether any does; None for a mark without lights. ``angle_min`` is how high it
    stands above the water as seen from the ship, minutes of arc.
    """

    geographical_nm: float | None
    luminous_nm: float | None
    nominal_range_nm: float | None
    radar_nm: float | None
    light_character: str | None
    in_sector: bool | None
    angle_min: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounded:
    """A cue set to what can be read, and what the turn does when the helm is given there.

    ``later_m`` is how much later along the inbound leg than planned that is, negative earlier.
    ``off_track_m`` is where the simulated turn, begun there, leaves her beside the new track,
    starboard positive, None where it is not simulated; ``inside_window`` whether the helm comes
    while the hull keeps every limit, None where no window is known.
    """

    value: float
    unit: Literal["NM", "deg"]
    distance_to_go_m: float
    later_m: float
    later_s: float | None
    off_track_m: float | None
    inside_window: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """One mark observed in one way, as it stands when she is at the wheel-over.

    ``bearing_deg`` is true from the ship, ``relative_deg`` from the inbound course, starboard
    positive, ``off_parallel_deg`` how far the line of bearing lies from the new course.
    ``crossing_deg`` is the angle between the line of position and the inbound track.
    Rates are over the ground; None where her speed is not known. ``index_m`` is how far the mark
    lies from the wheel-over line, to starboard of it positive. Errors are metres along the inbound
    track: for half a degree, for a hundredth of a mile, and for what a radar is allowed, each with
    what the place of the mark may be out by, where that is given; None where the cue does not hang
    on it. ``off_line_ratio`` is how far beside the new track she ends
    for each metre that she is beside the old one. ``seen`` says whether it can be observed as this
    kind of cue needs at the planned time, by ``means``.
    """

    id: str
    kind: CueKind
    mark: Mark
    bearing_deg: float
    relative_deg: float
    range_m: float
    index_m: float
    off_parallel_deg: float
    crossing_deg: float
    bearing_rate_deg_per_min: float | None
    range_rate_kn: float | None
    error_half_degree_m: float | None
    error_hundredth_nm_m: float | None
    error_radar_m: float | None
    off_line_ratio: float
    radar_scale_nm: float
    radar_scale_given: bool
    ranges: Ranges
    by_day: Sight
    by_night: Sight
    by_radar: Sight
    seen: Seen
    means: Literal["eye", "radar"] | None
    reasons: tuple[str, ...]
    set_to: Rounded | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WarningPoint:
    """A warning before the wheel-over; without a place ``reason`` says why there is none.

    ``at_s`` counts as the times of the plan do, from its start.
    """

    before_s: float | None
    before_nm: float | None
    assumed: bool
    distance_m: float | None = None
    position: Position | None = None
    on: Literal["leg", "turn"] | None = None
    on_index: int | None = None
    at_s: float | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnCues:
    """The cues of one turn, the best first; ``reason`` says why none was looked for.

    ``first`` and ``second`` number the rows; ``chosen`` says which of them the navigator chose.
    ``unknown_ids`` are chosen cues that none of the loaded marks near the turn gives, and
    ``chosen_twice`` is a second that was chosen and is the first again: another is taken. ``dark``
    is whether it is dark at the planned time, None where ``dark_reason`` says why that is not
    known.
    ``at_s`` counts from the start of the plan.
    """

    turn_index: int
    rows: tuple[Cue, ...] = ()
    first: int | None = None
    second: int | None = None
    chosen: tuple[bool, bool] = (False, False)
    unknown_ids: tuple[str, ...] = ()
    chosen_twice: str | None = None
    dark: bool | None = None
    dark_reason: str | None = None
    at_s: float | None = None
    distance_set: Rounded | None = None
    warnings: tuple[WarningPoint, ...] = ()
    reason: str | None = None
