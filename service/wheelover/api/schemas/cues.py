"""Marks and cues in answers."""

from typing import Literal

from wheelover.api.schemas.answer import Answer, PositionOut
from wheelover.core.types.cues import CueKind, Seen
from wheelover.core.types.marks import MarkKind


class LightOut(Answer):
    """One light of a mark. Its sector is given by true bearings of the light from seaward."""

    nominal_range_nm: float | None
    height_m: float | None
    character: str | None
    sector_from_deg: float | None
    sector_to_deg: float | None
    only_at: Literal["day", "fog"] | None


class SeaMarkOut(Answer):
    """A mark. ``source`` is ``you``, ``dangers`` for typed ones, or the name of its cell.

    Heights count from the water, of charted marks from the cell's datum of heights. What is null is
    not known.
    """

    id: str
    name: str
    kind: MarkKind
    what: str | None
    source: str
    position: PositionOut
    floating: bool
    lit: bool
    height_m: float | None
    nominal_range_nm: float | None
    light_character: str | None
    lights: list[LightOut]
    visually_conspicuous: bool | None
    radar_conspicuous: bool | None
    racon: bool
    position_uncertainty_m: float | None
    leading_deg: float | None


class MarkSourceOut(Answer):
    """How many marks one source gives."""

    source: str
    count: int


class MarksOut(Answer):
    """The loaded marks. Listed are those that a cue uses and the user's own."""

    loaded_count: int
    sources: list[MarkSourceOut]
    rows: list[SeaMarkOut]
    left_out_count: int


class SightOut(Answer):
    """Whether a mark can be made out, and why; ``not_known`` where data are missing."""

    seen: Seen
    why: str


class SetRunOut(Answer):
    """What the turn does when the helm comes at a set value.

    ``later_m`` and ``later_s`` count from the planned wheel-over along the inbound leg, negative
    earlier. ``off_track_m`` is where the simulated turn then ends beside the new track, starboard
    positive; null where it is not simulated.
    """

    later_m: float
    later_s: float | None
    off_track_m: float | None
    inside_window: bool | None


class CueSetOut(SetRunOut):
    """A cue set to what can be read: a bearing to half a degree, or a distance to 0.01 NM.

    Of an index line ``side`` is on which side of it, looking along the new course, the mark lies.
    """

    bearing_deg: float | None
    distance_nm: float | None
    side: Literal["port", "starboard"] | None


class CueOut(Answer):
    """One mark observed in one way, as it stands at the planned wheel-over.

    ``index_nm`` is how far the mark lies from the wheel-over line, ``crossing_deg`` the angle of
    the line of position and the inbound track. Errors are metres along it, with what the place of
    the mark may be out by where that is given, null where the cue does not hang on what is read.
    ``off_line_ratio`` is how far she ends beside the new track for each
    metre beside the old one. ``seen`` is at the planned time, by ``means``.
    """

    id: str
    kind: CueKind
    mark_id: str
    mark_name: str
    mark_kind: MarkKind
    floating: bool
    bearing_deg: float
    relative_bearing_deg: float
    range_nm: float
    index_nm: float
    index_side: Literal["port", "starboard"]
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
    geographical_range_nm: float | None
    luminous_range_nm: float | None
    nominal_range_nm: float | None
    radar_range_nm: float | None
    light_character: str | None
    in_sector: bool | None
    vertical_angle_deg: float | None
    by_day: SightOut
    by_night: SightOut
    by_radar: SightOut
    seen: Seen
    means: Literal["eye", "radar"] | None
    reasons: list[str]
    set_to: CueSetOut | None


class WheelOverSetOut(SetRunOut):
    """The wheel-over as it is set: distance to go to the waypoint, and what the first cue reads."""

    distance_to_go_nm: float
    range_nm: float | None
    bearing_deg: float | None


class WarningPointOut(Answer):
    """A warning before the wheel-over; without a place ``reason`` says why.

    ``distance_nm`` counts back from the wheel-over along the track, ``after_s`` from its start. It
    lies in the turn at ``waypoint_id``, or on the leg that leads there.
    """

    before_s: float | None
    before_nm: float | None
    source: Literal["you", "default"]
    distance_nm: float | None
    position: PositionOut | None
    on: Literal["leg", "turn"] | None
    waypoint_id: str | None
    after_s: float | None
    at_utc: str | None
    reason: str | None


class TurnCuesOut(Answer):
    """Cues of a turn, the best first; ``first`` and ``second`` number the rows.

    Of source ``default`` nobody chose it. ``unknown_ids`` are chosen ones that no loaded mark
    gives. ``dark`` says whether it is dark at the planned time, ``dark_reason`` why nobody knows.
    """

    reason: str | None
    rows: list[CueOut]
    first: int | None
    first_source: Literal["you", "default"] | None
    second: int | None
    second_source: Literal["you", "default"] | None
    unknown_ids: list[str]
    dark: bool | None
    dark_reason: str | None
    after_s: float | None
    at_utc: str | None
    wheel_over_set: WheelOverSetOut | None
    warning_points: list[WarningPointOut]
